"""A discharge keeps its charge, agrees with a fine-step integration, and does not depend on how it is cut up."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from scrubwright.battery.discharge import CAUSES, Discharge, Guard, Load, StopCause, discharge
from scrubwright.battery.pack import RatedCapacity
from scrubwright.battery.voltage import VoltageCurve, cell_v, depth_at_fraction
from scrubwright.battery.wells import Wells, capacity_ah, fitted_wells, most_charging_current_a, rested, stepped

CURVE = VoltageCurve(full_v=2.12, slope_v=-0.25, bend_v=-0.03, resistance_ohm=0.0004)

wells_of = st.builds(
    lambda most, c, k: Wells(most_ah=most, available_fraction=c, exchange_per_h=k),
    st.floats(50, 800),
    st.floats(0.1, 0.9),
    st.floats(0.05, 5),
)
loads = st.lists(st.tuples(st.floats(-20, 200), st.floats(0.01, 1.0)), min_size=1, max_size=12).map(
    lambda steps: Load(
        current_a=np.array([each[0] for each in steps]), duration_h=np.array([each[1] for each in steps])
    )
)


def stop(run: Discharge) -> tuple[float, StopCause]:
    return float(run.stop_h[0]), CAUSES[int(run.cause[0])]


def by_small_steps(wells: Wells, start_fraction: float, load: Load, guard: Guard, tick_s: float) -> float:
    """The same, by following both wells tick by tick and reading the voltage at each."""
    charge = rested(wells, start_fraction)
    below_s = 0.0
    at_h: float = 0.0
    full_ah = float(wells.most_ah) * float(wells.available_fraction)
    for current_a, duration_h in zip(load.current_a.tolist(), load.duration_h.tolist(), strict=True):
        ticks = max(1, round(duration_h * 3600 / tick_s))
        for _ in range(ticks):
            charge = stepped(wells, charge, float(current_a), duration_h / ticks)
            at_h += float(duration_h) / ticks
            x = 1 - float(charge.available_ah) / full_ah
            if x >= 1:
                return at_h
            is_low = float(cell_v(guard.curve, x, float(current_a))) <= float(guard.cell_v)
            below_s = below_s + float(duration_h) / ticks * 3600 if is_low else 0.0
            if is_low and below_s >= guard.delay_s:
                return at_h
    return at_h


@settings(max_examples=60, deadline=None)
@given(wells=wells_of, start=st.floats(0.3, 1.0), load=loads, delay_s=st.floats(0, 120), lock_v=st.floats(1.6, 1.9))
def test_the_moment_of_the_stop_is_that_of_small_steps(
    wells: Wells, start: float, load: Load, delay_s: float, lock_v: float
) -> None:
    guard = Guard(curve=CURVE, cell_v=lock_v, delay_s=delay_s)
    tick_s = 2.0
    found_h, _ = stop(discharge(wells, rested(wells, start), load, guard))
    told_h = by_small_steps(wells, start, load, guard, tick_s)
    # The stepper sees a crossing up to a tick late, and a spell just as long as the delay may fall on either side.
    slack_h = 3 * tick_s / 3600
    stops = [found_h]
    for other_s in (max(0.0, delay_s - 2 * tick_s), delay_s + 2 * tick_s):
        other = Guard(curve=CURVE, cell_v=lock_v, delay_s=other_s)
        stops.append(stop(discharge(wells, rested(wells, start), load, other))[0])
    assert min(stops) - slack_h <= told_h <= max(stops) + slack_h


@settings(max_examples=25, deadline=None)
@given(wells=wells_of, start=st.floats(0.2, 1.0), load=loads)
def test_both_wells_agree_with_an_independent_integration(wells: Wells, start: float, load: Load) -> None:
    c, k = float(wells.available_fraction), float(wells.exchange_per_h)
    begin = rested(wells, start)
    here = begin
    state: NDArray[np.float64] = np.array([float(begin.available_ah), float(begin.total_ah - begin.available_ah)])
    valve = k * c * (1 - c)
    for current_a, duration_h in zip(load.current_a, load.duration_h, strict=True):
        here = stepped(wells, here, float(current_a), float(duration_h))

        def flow(_: float, y: NDArray[np.float64], drawn_a: float = float(current_a)) -> list[float]:
            through = valve * (y[1] / (1 - c) - y[0] / c)
            return [-drawn_a + through, -through]

        state = solve_ivp(flow, (0, float(duration_h)), state, rtol=1e-9, atol=1e-9).y[:, -1]
    assert float(here.available_ah) == pytest.approx(state[0], abs=1e-4)
    assert float(here.total_ah) == pytest.approx(state.sum(), abs=1e-4)


@settings(max_examples=60, deadline=None)
@given(wells=wells_of, start=st.floats(0.3, 1.0), load=loads)
def test_what_is_drawn_is_what_is_missing(wells: Wells, start: float, load: Load) -> None:
    begin = rested(wells, start)
    run = discharge(wells, begin, load)
    ends = np.cumsum(load.duration_h)
    spent_h = np.clip(run.stop_h[0] - (ends - load.duration_h), 0, load.duration_h)
    assert float(run.charge.total_ah[0]) == pytest.approx(  # type: ignore[index]
        float(begin.total_ah) - float(spent_h @ load.current_a), abs=1e-6
    )


@settings(max_examples=40, deadline=None)
@given(wells=wells_of, start=st.floats(0.3, 1.0), load=loads, parts=st.integers(2, 5))
def test_cutting_a_step_into_parts_changes_nothing(wells: Wells, start: float, load: Load, parts: int) -> None:
    guard = Guard(curve=CURVE, cell_v=1.75, delay_s=15)
    cut = Load(current_a=np.repeat(load.current_a, parts), duration_h=np.repeat(load.duration_h / parts, parts))
    whole = discharge(wells, rested(wells, start), load, guard)
    pieces = discharge(wells, rested(wells, start), cut, guard)
    assert stop(whole)[0] == pytest.approx(stop(pieces)[0], abs=1e-6)
    assert stop(whole)[1] == stop(pieces)[1]


@settings(max_examples=40, deadline=None)
@given(wells=wells_of, load=loads, charges=st.lists(st.floats(0.2, 1.0), min_size=2, max_size=6))
def test_many_packs_at_once_are_each_as_alone(wells: Wells, load: Load, charges: list[float]) -> None:
    guard = Guard(curve=CURVE, cell_v=1.75, delay_s=15)
    together = discharge(wells, rested(wells, np.array(charges)), load, guard)
    alone = [discharge(wells, rested(wells, each), load, guard) for each in charges]
    assert together.stop_h == pytest.approx([float(each.stop_h[0]) for each in alone], abs=1e-9)
    assert list(together.cause) == [int(each.cause[0]) for each in alone]


@settings(max_examples=40, deadline=None)
@given(wells=wells_of, load=loads, start=st.floats(0.3, 0.9), more=st.floats(0.01, 0.1))
def test_more_charge_never_stops_earlier(wells: Wells, load: Load, start: float, more: float) -> None:
    guard = Guard(curve=CURVE, cell_v=1.75, delay_s=15)
    less, fuller = (discharge(wells, rested(wells, each), load, guard) for each in (start, start + more))
    assert fuller.stop_h[0] >= less.stop_h[0] - 1e-9


@settings(max_examples=40, deadline=None)
@given(wells=wells_of, emptied=st.floats(0.0, 0.99), current_a=st.floats(0, 100))
def test_the_lock_out_depth_is_where_the_voltage_is(wells: Wells, emptied: float, current_a: float) -> None:
    here_v = float(cell_v(CURVE, emptied, current_a))
    assert float(depth_at_fraction(CURVE, here_v, current_a)) == pytest.approx(emptied, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(
    c=st.floats(0.2, 0.8),
    k=st.floats(0.1, 3.0),
    most=st.floats(50, 800),
    hours=st.sampled_from([(1, 5, 20), (3, 5, 20, 100)]),
)
def test_wells_come_back_from_their_own_rate_table(c: float, k: float, most: float, hours: tuple[int, ...]) -> None:
    wells = Wells(most_ah=most, available_fraction=c, exchange_per_h=k)
    told = capacity_ah(wells, np.array(hours, dtype=float))
    rows = [RatedCapacity(capacity_ah=float(q), over_h=float(h)) for q, h in zip(told, hours, strict=True)]
    again = capacity_ah(fitted_wells(rows), np.array([2.0, 4.0, 8.0, 50.0]))
    assert again == pytest.approx(capacity_ah(wells, np.array([2.0, 4.0, 8.0, 50.0])), rel=2e-4)


@settings(max_examples=30, deadline=None)
@given(c=st.floats(0.3, 0.8), k=st.floats(0.1, 3.0))
def test_a_table_that_ends_at_a_voltage_is_met_at_that_voltage(c: float, k: float) -> None:
    wells = Wells(most_ah=300.0, available_fraction=c, exchange_per_h=k)
    rows = [RatedCapacity(capacity_ah=float(capacity_ah(wells, h)), over_h=h) for h in (3.0, 5.0, 20.0)]
    fitted = fitted_wells(rows, curve=CURVE, cut_off_v=1.75)
    for row in rows:
        load = Load(current_a=np.array([row.current_a]), duration_h=np.array([3 * row.over_h]))
        found_h, cause = stop(
            discharge(fitted, rested(fitted, 1.0), load, Guard(curve=CURVE, cell_v=1.75, delay_s=0.0))
        )
        assert cause is StopCause.LOCK_OUT
        assert found_h == pytest.approx(row.over_h, rel=5e-3)


@settings(max_examples=30, deadline=None)
@given(wells=wells_of, start=st.floats(0.1, 0.9), hours=st.floats(0.1, 5.0))
def test_the_most_charging_current_fills_the_first_well(wells: Wells, start: float, hours: float) -> None:
    begin = rested(wells, start)
    end = stepped(wells, begin, -float(most_charging_current_a(wells, begin, hours)), hours)
    assert float(end.available_ah) == pytest.approx(float(wells.most_ah) * float(wells.available_fraction), rel=1e-9)
