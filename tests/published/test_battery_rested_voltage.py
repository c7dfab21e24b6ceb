"""Voltage of rested cells against trade tables, and the rule of thumb against what texts print."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.acid import gravity_of_acid_ratio
from scrubwright.battery.charge_left import FULL_1265
from scrubwright.battery.pack import Chemistry
from scrubwright.battery.rested_voltage import (
    rested_cell_v,
    rested_charge_left_fraction,
    rule_cell_v,
    sealed_charge_left_fraction,
)

ROWS = list(
    csv.DictReader((Path(__file__).parent / "battery_rested_voltage.csv").read_text(encoding="utf-8").splitlines())
)
FLOODED = [row for row in ROWS if row["kind"] == "flooded"]
SEALED = [row for row in ROWS if row["kind"] != "flooded"]


@pytest.mark.parametrize("row", FLOODED, ids=lambda row: f"{row['at']}")
def test_a_rested_block_stands_at_the_printed_volts(row: dict[str, str]) -> None:
    # The table holds at 80 °F; its gravity is 0.0012 higher at 25 °C.
    block_v = 6 * rested_cell_v(float(row["at"]) + 0.0012)
    assert block_v == pytest.approx(float(row["block_v"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(("block_v", "percent"), [(12.65, 100), (12.45, 75), (12.24, 50), (12.06, 25), (11.89, 0)])
def test_charge_left_by_the_printed_volts_is_the_one_printed(block_v: float, percent: float) -> None:
    # Same trade table; 0.02 V of a block are 0.0033 V of a cell, 2.5 points of charge.
    charge = rested_charge_left_fraction(FULL_1265, block_v / 6, 299.8, 299.8)
    assert 100 * charge == pytest.approx(percent, abs=2.5)


@pytest.mark.parametrize("row", SEALED, ids=lambda row: f"{row['kind']} {row['block_v']} V {row['source'][:17]}")
def test_charge_left_of_a_sealed_block_is_the_one_printed(row: dict[str, str]) -> None:
    charge = sealed_charge_left_fraction(Chemistry(row["kind"]), float(row["block_v"]) / 6)
    assert 100 * charge == pytest.approx(float(row["percent"]), abs=float(row["tolerance"]))


def test_one_mole_of_acid_gives_the_constants_of_bode() -> None:
    # Bode 1977 as in the parameter set Sulzer2019: +1.628 V and -0.294 V at 1 mol/kg, 1.628 - (-0.294) = 1.922 V.
    # 1 mol/kg is 98.079 / (1000 + 98.079) = 8.932 % of acid.
    assert rested_cell_v(float(gravity_of_acid_ratio(0.098079 / 1.098079))) == pytest.approx(1.922, abs=0.0002)


@pytest.mark.parametrize("gravity", [1.200, 1.265, 1.280, 1.300])
def test_what_texts_add_to_the_gravity_spans_what_cells_do(gravity: float) -> None:
    # The rule is printed with 0.84 (two texts), 0.845 (a battery trader's glossary) and 0.84 to 0.86 (a paper).
    assert 0.84 <= rested_cell_v(gravity) - gravity <= 0.86
    assert rule_cell_v(gravity) == gravity + 0.84
