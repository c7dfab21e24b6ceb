"""Acid on the floor: what is told, and what is refused."""

import math

import pytest

from scrubwright.battery.spill import STRONGEST_RATIO, spill
from scrubwright.measures.errors import BadInput, OutOfRange


def test_without_a_gravity_the_strongest_acid_is_assumed() -> None:
    assert spill(1.0).gravity_ratio == STRONGEST_RATIO
    assert spill(1.0).bicarbonate_kg > spill(1.0, 1.280).bicarbonate_kg


def test_first_aid_comes_first_and_the_floor_last() -> None:
    steps = [str(step) for step in spill(0.5, 1.28).steps]
    assert steps[0].startswith("Acid on skin or in eyes comes first: water at once")
    assert steps[-1].startswith("Rinse floor")


def test_what_hurts_people_or_cells_is_forbidden() -> None:
    never = " ".join(map(str, spill(0.5, 1.28).never))
    for word in ("skin", "eyes", "into a cell", "acid back"):
        assert word in never


def test_the_gas_is_told_where_the_doors_are_opened() -> None:
    assert any("Open doors" in step and "119 L" in step for step in map(str, spill(0.5, 1.28).steps))


@pytest.mark.parametrize("acid_l", [0.0, -1.0, math.nan, math.inf])
def test_no_amount_is_refused(acid_l: float) -> None:
    with pytest.raises(BadInput, match="acid_l"):
        spill(acid_l)


def test_a_tank_truck_is_for_the_fire_brigade() -> None:
    with pytest.raises(OutOfRange, match="call the fire brigade"):
        spill(201.0)


@pytest.mark.parametrize("gravity", [1.0, 1.02, 1.049, 1.36])
def test_water_is_no_acid_out_of_a_cell(gravity: float) -> None:
    with pytest.raises(OutOfRange, match=r"from 1\.050 to 1\.350"):
        spill(1.0, gravity)


def test_a_gravity_without_its_point_is_refused() -> None:
    with pytest.raises(BadInput, match="decimal point"):
        spill(1.0, 1280.0)
