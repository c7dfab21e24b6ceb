"""Life used: what is refused, and courses of charge that make no swing."""

import math

import pytest

from scrubwright.battery.ageing import heat_ratio, life_cycles, life_used_fraction, prior_drift_per_shift, swings
from scrubwright.battery.gassing import held_gassing_a_per_ah, hydrogen_l_per_ah, split_water_kg
from scrubwright.battery.pack import LifeAtDepth
from scrubwright.measures.errors import BadInput, OutOfRange


@pytest.mark.parametrize("depth", [0.0, -0.2, 1.01, 60, math.nan])
def test_a_depth_that_cannot_be_is_refused(depth: float) -> None:
    with pytest.raises(BadInput, match=r"such as 0\.6"):
        life_cycles(depth)
    with pytest.raises(BadInput):
        life_used_fraction([0.5, depth])


def test_a_curve_with_a_depth_twice_is_refused() -> None:
    twice = (LifeAtDepth(depth_fraction=0.5, life_cycles=800.0), LifeAtDepth(depth_fraction=0.5, life_cycles=900.0))
    with pytest.raises(BadInput, match="give each depth once"):
        life_cycles(0.5, twice)


def test_nothing_worked_uses_nothing_up() -> None:
    assert life_used_fraction([]) == 0
    assert swings([]) == swings([0.8]) == swings([0.8, 0.8, 0.8]) == ()


def test_a_rising_course_is_one_open_swing() -> None:
    (swing,) = swings([0.2, 0.5, 0.9])
    assert swing.depth_fraction == pytest.approx(0.7)
    assert swing.count_cycles == 0.5


def test_a_cold_store_gets_no_credit_and_zero_kelvin_no_answer() -> None:
    assert heat_ratio(260.0) == 1
    with pytest.raises(BadInput):
        heat_ratio(0.0)
    with pytest.raises(BadInput):
        prior_drift_per_shift(0.6, discharges_per_shift=0.0)


def test_gas_outside_what_is_known_is_refused() -> None:
    with pytest.raises(OutOfRange, match="Enter the volts of one cell"):
        held_gassing_a_per_ah(44.4, 298.15)
    with pytest.raises(OutOfRange):
        held_gassing_a_per_ah(2.4, 25.0)
    with pytest.raises(BadInput, match="enter 1 for new"):
        held_gassing_a_per_ah(2.4, 298.15, 0.5)
    with pytest.raises(BadInput):
        hydrogen_l_per_ah(0.0)
    with pytest.raises(BadInput):
        split_water_kg(-1.0, 18)
    with pytest.raises(BadInput, match="from 1 on"):
        split_water_kg(1.0, 0)
