"""Capacity in the cold and in the warm against printed tables."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.temperature import capacity_fraction
from scrubwright.measures.errors import OutOfRange

ROWS = list(
    csv.DictReader((Path(__file__).parent / "battery_temperature.csv").read_text(encoding="utf-8").splitlines())
)


# The tables print whole percents (or factors of two decimals); they disagree among themselves by up to four.
@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['temperature_c']} C of {row['source'][:20]}")
def test_a_pack_holds_what_the_tables_print(row: dict[str, str]) -> None:
    percent = 100 * float(capacity_fraction(float(row["temperature_c"]) + 273.15))
    assert percent == pytest.approx(float(row["capacity_percent"]), abs=float(row["tolerance"]))


def test_the_heat_above_40_degrees_promises_no_more() -> None:
    assert float(capacity_fraction(320.0)) == float(capacity_fraction(313.15))


# At 0 °F an army handbook prints 40 %, System Advisor Model 51 % at -18.3 °C: such a cold is not told at all.
@pytest.mark.parametrize("electrolyte_k", [254.85, 255.37, 260.0, 330.0, 25.0, float("nan")])
def test_what_the_table_does_not_hold_is_refused(electrolyte_k: float) -> None:
    with pytest.raises(OutOfRange, match="Measure the electrolyte"):
        capacity_fraction(electrolyte_k)
