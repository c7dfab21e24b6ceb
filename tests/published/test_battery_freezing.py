"""Freezing points against army handbooks, two other tables and laboratory values."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.acid import gravity_of_acid_ratio
from scrubwright.battery.freezing import freezing_k

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_freezing.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize(
    "row", ROWS, ids=lambda row: f"{row['gravity'] or row['mass_percent'] + ' %'} {row['source'][:30]}"
)
def test_the_freezing_point_is_the_one_printed(row: dict[str, str]) -> None:
    if row["gravity"]:
        gravity, printed_k = float(row["gravity"]), (float(row["fahrenheit"]) + 459.67) / 1.8
    else:
        # The table gives by how much the freezing point of water is lowered.
        gravity = float(gravity_of_acid_ratio(float(row["mass_percent"]) / 100))
        printed_k = 273.15 - float(row["depression_k"])
    assert freezing_k(gravity) == pytest.approx(printed_k, abs=float(row["tolerance_k"]))
