"""The strength of battery acid against printed tables, and what water does to it against a maker's rule."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.acid import (
    acid_fraction,
    acid_mol_per_kg,
    gravity_after_topping_up_ratio,
    gravity_of_acid_ratio,
)
from scrubwright.battery.gravity import density_of_gravity_kg_per_l

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_acid.csv").read_text(encoding="utf-8").splitlines()))
MOLALITIES = [row for row in ROWS if row["mol_per_kg"]]
DENSITIES = [row for row in ROWS if row["density_25_c"]]


@pytest.mark.parametrize("row", MOLALITIES, ids=lambda row: f"{row['mass_percent']} %")
def test_acid_in_water_agrees_with_the_printed_molality(row: dict[str, str]) -> None:
    gravity = float(gravity_of_acid_ratio(float(row["mass_percent"]) / 100))
    assert acid_mol_per_kg(gravity) == pytest.approx(float(row["mol_per_kg"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", DENSITIES, ids=lambda row: f"{row['mass_percent']} % {row['source'][:12]}")
def test_density_at_25_degrees_agrees_with_other_tables(row: dict[str, str]) -> None:
    gravity = float(gravity_of_acid_ratio(float(row["mass_percent"]) / 100))
    expected = pytest.approx(float(row["density_25_c"]), abs=float(row["tolerance"]))
    assert gravity * 0.99705 == expected
    if gravity >= 1:
        assert density_of_gravity_kg_per_l(gravity) == expected


@pytest.mark.parametrize(
    ("before", "litres", "water_l", "after"),
    [
        # A stationary battery maker's page, adjustment of specific gravity: 5 cm³ of water for each litre of
        # electrolyte are worth 0.001, for 1.215 and 1.240 at 20 °C.
        (1.240, 1.0, 0.005, 1.239),
        (1.215, 1.0, 0.005, 1.214),
        # Same page, its example: 13 L at 1.228 come down to 1.215 with 845 cm³.
        (1.228, 13.0, 0.845, 1.215),
    ],
)
def test_water_thins_the_acid_as_a_makers_rule_says(before: float, litres: float, water_l: float, after: float) -> None:
    assert gravity_after_topping_up_ratio(before, litres, water_l) == pytest.approx(after, abs=0.001)


@pytest.mark.parametrize(
    ("density_kg_per_l", "percent"),
    # A battery trade glossary: acid of 37 % by mass is 1.280 kg/L at 20 °C; 1.2765 at 25 °C by 0.0007 for each kelvin.
    [(1.2765, 37)],
)
def test_full_strength_acid_is_as_strong_as_the_trade_says(density_kg_per_l: float, percent: float) -> None:
    assert 100 * acid_fraction(density_kg_per_l / 0.99705) == pytest.approx(percent, abs=0.5)
