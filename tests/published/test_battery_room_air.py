"""Air for charging rooms against the factors that standards and handbooks print, row by row."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.room_air import (
    GassingPack,
    free_volume_m3,
    hydrogen_m3_per_h,
    opening_m2,
    ventilation_2002_m3_per_h,
    ventilation_m3_per_h,
)
from scrubwright.measures.units import KELVIN_AT_0_C

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_room_air.csv").read_text(encoding="utf-8").splitlines()))
ONE = (GassingPack(cells=1, capacity_ah=100.0, gassing_a_per_ah=0.01),)
WORKED_OUT = {
    "air_2002_for_1_a_in_1_cell": lambda: ventilation_2002_m3_per_h(ONE),
    # Air is 24 times the hydrogen for 4 %, five times that to be careful; hydrogen at 0 °C, printed as 0.42 l.
    "air_2002_worked_out": lambda: 24 * 5 * round(hydrogen_m3_per_h(ONE, KELVIN_AT_0_C), 5),
    "air_for_1_a_in_1_cell": lambda: ventilation_m3_per_h(ONE),
    "opening_for_1_m3_per_h": lambda: opening_m2(1.0) * 1e4,
    "free_volume_for_1_m3_per_h": lambda: free_volume_m3(1.0),
    "speed_through_the_opening": lambda: 1.0 / 3600 / opening_m2(1.0),
    "hydrogen_for_1_a_in_1_cell": lambda: hydrogen_m3_per_h(ONE) * 1000,
    "air_of_a_handbook_for_1_a_in_1_cell": lambda: 26 * 5 * hydrogen_m3_per_h(ONE) * 1000 / 3600,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["what"])
def test_air_agrees_with_the_printed_factor(row: dict[str, str]) -> None:
    assert WORKED_OUT[row["what"]]() == pytest.approx(float(row["printed"]), abs=float(row["tolerance"]))


def test_the_later_edition_counts_hydrogen_of_a_warm_room() -> None:
    # 24 x 5 x 0.456 l/Ah at 25 °C = 54.8 l/Ah, printed as 0.055 m³/Ah.
    assert 24 * 5 * hydrogen_m3_per_h(ONE) == pytest.approx(ventilation_m3_per_h(ONE), abs=0.0005)
