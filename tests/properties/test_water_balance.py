"""No litre is lost or made between tap, tanks, floor and drain."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.measures.tankfuls import fewest_tankfuls
from scrubwright.water.flow import dose_l_per_m2, flow_for_dose_l_per_min, left_on_floor_l_per_m2
from scrubwright.water.tanks import (
    TankPair,
    TankRun,
    first_dry_leg,
    first_overfull_leg,
    stop_s,
    tank_run,
    used_l,
)

shares = st.floats(0.5, 1.0)
legs = st.lists(
    st.tuples(st.floats(0, 40), st.booleans(), st.booleans()),
    min_size=1,
    max_size=40,
)


@st.composite
def tank_pairs(draw: st.DrawFn) -> TankPair:
    solution_l, recovery_l = draw(st.floats(40, 300)), draw(st.floats(40, 300))
    return TankPair(
        solution_l=solution_l,
        recovery_l=recovery_l,
        usable_solution_l=solution_l * draw(shares),
        usable_recovery_l=recovery_l * draw(shares),
        recovered_fraction=draw(shares),
    )


def run_of(tanks: TankPair, way: list[tuple[float, bool, bool]]) -> TankRun:
    used, fills, dumps = (np.array(column) for column in zip(*way, strict=True))
    return tank_run(tanks, used, fills=fills, dumps=dumps)


@given(tank_pairs(), legs)
def test_what_is_filled_is_used_or_still_in_the_tank(tanks: TankPair, way: list[tuple[float, bool, bool]]) -> None:
    run = run_of(tanks, way)
    in_tank_l = tanks.solution_l + np.cumsum(run.filled_l) - np.cumsum(run.used_l)
    assert run.solution_l == pytest.approx(in_tank_l, abs=1e-6)


@given(tank_pairs(), legs)
def test_what_is_used_is_dumped_in_the_tank_or_on_the_floor(
    tanks: TankPair, way: list[tuple[float, bool, bool]]
) -> None:
    run = run_of(tanks, way)
    found_l = np.cumsum(run.dumped_l) + run.recovered_l + np.cumsum(run.left_on_floor_l)
    assert found_l == pytest.approx(np.cumsum(run.used_l), abs=1e-6)


@given(tank_pairs(), legs)
def test_levels_agree_with_tanks_followed_leg_by_leg(tanks: TankPair, way: list[tuple[float, bool, bool]]) -> None:
    run = run_of(tanks, way)
    solution_l, recovered_l = tanks.solution_l, 0.0
    for number, (used, fills, dumps) in enumerate(way):
        solution_l -= used
        recovered_l += tanks.recovered_fraction * used
        solution_l = tanks.solution_l if fills else solution_l
        recovered_l = 0.0 if dumps else recovered_l
        assert run.solution_l[number] == pytest.approx(solution_l, abs=1e-6)
        assert run.recovered_l[number] == pytest.approx(recovered_l, abs=1e-6)


@given(tank_pairs(), st.integers(1, 5))
def test_a_trip_uses_one_tank_up_and_overfills_none(tanks: TankPair, parts: int) -> None:
    whole = np.full(parts, tanks.trip_l / parts)
    none = np.zeros(parts, dtype=bool)
    run = tank_run(tanks, whole, fills=none, dumps=none)
    assert first_dry_leg(tanks, run) is None
    assert first_overfull_leg(tanks, run) is None
    more = tank_run(tanks, np.append(whole, 0.01), fills=np.append(none, False), dumps=np.append(none, False))
    assert parts in (first_dry_leg(tanks, more), first_overfull_leg(tanks, more))


@given(st.floats(0, 10_000), st.floats(20, 300))
def test_tankfuls_hold_the_work_and_one_less_does_not(total_l: float, trip_l: float) -> None:
    count = fewest_tankfuls(total_l, trip_l)
    assert count * trip_l >= total_l * (1 - 1e-8)
    assert count == 1 or (count - 1) * trip_l < total_l


@given(st.floats(0.1, 10), st.floats(500, 8000))
def test_flow_comes_back_from_the_dose(flow_l_per_min: float, moving_rate_m2_per_h: float) -> None:
    dose = dose_l_per_m2(flow_l_per_min, moving_rate_m2_per_h)
    assert flow_for_dose_l_per_min(dose, moving_rate_m2_per_h) == pytest.approx(flow_l_per_min)


@given(st.floats(0, 0.2), st.floats(0, 1))
def test_film_and_recovered_water_make_up_the_dose(dose: float, recovered: float) -> None:
    assert left_on_floor_l_per_m2(dose, recovered) + recovered * dose == pytest.approx(dose)


@given(st.floats(0.1, 10), st.lists(st.floats(0, 3600), min_size=1, max_size=20))
def test_litres_go_by_time_with_the_deck_down(flow_l_per_min: float, seconds: list[float]) -> None:
    laid_l = used_l(flow_l_per_min, np.array(seconds))
    assert laid_l.sum() == pytest.approx(flow_l_per_min * math.fsum(seconds) / 60, abs=1e-9)


@given(st.floats(0, 30), st.floats(0, 300), st.floats(0, 300), st.floats(5, 50))
def test_a_fuller_fill_takes_longer(empty_min: float, one_l: float, two_l: float, hose_l_per_min: float) -> None:
    less_s, more_s = (
        stop_s(empty_min=empty_min, fill_l=litres, fill_l_per_min=hose_l_per_min) for litres in sorted((one_l, two_l))
    )
    assert less_s <= more_s
    assert less_s >= 60 * empty_min
