"""Tanks along a way: an ordinary night, and what is refused."""

import numpy as np
import pytest

from scrubwright.measures.errors import BadInput
from scrubwright.measures.tankfuls import fewest_tankfuls
from scrubwright.water.flow import area_per_tank_m2, dose_l_per_m2, left_on_floor_l_per_m2
from scrubwright.water.tanks import TankPair, first_dry_leg, first_overfull_leg, stop_s, tank_run

TANKS = TankPair(
    solution_l=100.0, recovery_l=100.0, usable_solution_l=95.0, usable_recovery_l=90.0, recovered_fraction=0.9
)


def test_a_night_with_one_stop() -> None:
    # Scrub 60 L, drive, stop, scrub 40 L.
    stop = np.array([False, False, True, False])
    run = tank_run(TANKS, np.array([60.0, 0.0, 0.0, 40.0]), fills=stop, dumps=stop)
    assert run.solution_l.tolist() == [40, 40, 100, 60]
    assert run.recovered_l.tolist() == pytest.approx([54, 54, 0, 36])
    assert run.filled_l.tolist() == [0, 0, 60, 0]
    assert run.dumped_l.tolist() == pytest.approx([0, 0, 54, 0])
    assert run.left_on_floor_l.tolist() == pytest.approx([6, 0, 0, 4])


def test_a_last_fill_may_take_only_what_is_still_needed() -> None:
    stop = np.array([False, True, False])
    run = tank_run(TANKS, np.array([80.0, 0.0, 25.0]), fills=stop, dumps=stop, fill_to_l=np.array([0.0, 30.0, 0.0]))
    assert run.filled_l.tolist() == [0, 10, 0]
    assert run.solution_l.tolist() == [20, 30, 5]


def test_a_shift_may_start_with_a_part_tank() -> None:
    none = np.array([False])
    run = tank_run(TANKS, np.array([50.0]), fills=none, dumps=none, start_solution_l=60.0)
    assert run.solution_l.tolist() == [10]


def test_the_leg_that_runs_dry_or_overfull_is_named() -> None:
    none = np.zeros(3, dtype=bool)
    run = tank_run(TANKS, np.array([50.0, 46.0, 1.0]), fills=none, dumps=none)
    assert first_dry_leg(TANKS, run) == 1
    assert first_overfull_leg(TANKS, run) is None
    filled = np.array([False, True, False])
    run = tank_run(TANKS, np.array([90.0, 0.0, 20.0]), fills=filled, dumps=none)
    assert (first_dry_leg(TANKS, run), first_overfull_leg(TANKS, run)) == (None, 2)


def test_a_trip_ends_where_the_first_tank_does() -> None:
    # 90 L of recovery take 90 / 0.9 = 100 L of solution; the 95 L end first.
    assert TANKS.trip_l == 95.0
    assert not TANKS.recovery_ends_it
    small = TankPair(
        solution_l=100.0, recovery_l=80.0, usable_solution_l=95.0, usable_recovery_l=72.0, recovered_fraction=0.9
    )
    assert small.trip_l == pytest.approx(80.0)
    assert small.recovery_ends_it


def test_water_that_never_comes_back_fills_no_recovery_tank() -> None:
    tanks = TankPair(
        solution_l=100.0, recovery_l=20.0, usable_solution_l=95.0, usable_recovery_l=20.0, recovered_fraction=0.0
    )
    assert tanks.trip_l == 95.0


def test_a_stop_empties_then_fills() -> None:
    # 5 min + 90 L / 15 L/min = 11 min.
    assert stop_s(empty_min=5.0, fill_l=90.0, fill_l_per_min=15.0) == pytest.approx(660)


@pytest.mark.parametrize(("total_l", "count"), [(0.0, 1), (95.0, 1), (95.1, 2), (285.0, 3)])
def test_tankfuls_are_counted_with_the_first(total_l: float, count: int) -> None:
    assert fewest_tankfuls(total_l, 95.0) == count


def test_a_tank_of_zero_is_refused() -> None:
    with pytest.raises(BadInput, match="The solution tank holds 0 L"):
        TankPair(
            solution_l=0.0, recovery_l=100.0, usable_solution_l=0.0, usable_recovery_l=90.0, recovered_fraction=0.9
        )


def test_a_fill_that_takes_water_out_is_refused() -> None:
    stop = np.array([False, True])
    with pytest.raises(BadInput, match="takes water out"):
        tank_run(TANKS, np.array([10.0, 0.0]), fills=stop, dumps=stop, fill_to_l=np.array([0.0, 50.0]))


def test_legs_of_different_lengths_are_refused() -> None:
    with pytest.raises(BadInput, match="different lengths"):
        tank_run(TANKS, np.zeros(3), fills=np.zeros(2, dtype=bool), dumps=np.zeros(3, dtype=bool))
    with pytest.raises(BadInput, match="less than no solution"):
        tank_run(TANKS, np.array([-1.0]), fills=np.array([False]), dumps=np.array([False]))


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_flow_and_area_refuse_what_is_no_quantity(bad: float) -> None:
    with pytest.raises(BadInput):
        dose_l_per_m2(2.0, bad)
    with pytest.raises(BadInput):
        area_per_tank_m2(bad, 0.04)
    with pytest.raises(BadInput):
        left_on_floor_l_per_m2(0.04, bad - 1.0)
