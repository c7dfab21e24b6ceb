"""Orders of charges keep every limit, and none is better: against trying out every order of small nights."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrubwright.jobs.charging_grid import AFTER_GAS_SLOTS, Grid, GridCharge, Run
from scrubwright.jobs.charging_search import CLOSE_FRACTION, cheapest, cost_money, earliest, fullest, in_time
from scrubwright.jobs.charging_sharing import full_ways
from scrubwright.jobs.charging_tidy import filled_up, tidied

SLOTS = 8
LIMITS_A = (12.0, 16.0)


@st.composite
def nights(draw: st.DrawFn) -> Grid:
    """Up to three charges of up to four quarter hours on one or two circuits."""
    circuits = draw(st.integers(1, 2))
    charges = []
    for _ in range(draw(st.integers(1, 3))):
        late = draw(st.integers(1, 2))
        early = draw(st.integers(0, 2))
        first = draw(st.integers(0, 3))
        mains_a = draw(st.sampled_from([5.0, 7.0, 9.0, 12.0]))
        usable = tuple(number for number in range(circuits) if mains_a <= LIMITS_A[number])
        charges.append(
            GridCharge(
                mains_a=mains_a,
                first=first,
                last=draw(st.integers(min(SLOTS, first + early + late), SLOTS)),
                early=early,
                late=late,
                early_wh=draw(st.sampled_from([100.0, 400.0])),
                late_wh=draw(st.sampled_from([100.0, 200.0])),
                air_m3_per_h=draw(st.sampled_from([0.0, 10.0, 15.0])),
                circuits=usable if draw(st.booleans()) else usable[-1:],
            )
        )
    return Grid(
        begins_at=datetime(2026, 11, 25, 18),
        charges=tuple(charges),
        limits_a=LIMITS_A[:circuits],
        prices_money_per_kwh=tuple(draw(st.lists(st.sampled_from([0.1, 0.2, 0.4]), min_size=SLOTS, max_size=SLOTS))),
        air_m3_per_h=draw(st.sampled_from([None, 15.0, 25.0])),
        may_pause=draw(st.booleans()),
    )


def ways(grid: Grid, number: int) -> Iterator[Run]:
    """Every run of one charge by itself."""
    charge = grid.charges[number]
    for circuit in charge.circuits:
        for start in range(charge.first, charge.last - charge.late + 1):
            unbroken = tuple(range(start, start + charge.late))
            begins = start - charge.early
            earlier: Iterable[tuple[int, ...]] = [tuple(range(begins, start))] if begins >= charge.first else []
            if grid.may_pause:
                earlier = combinations(range(charge.first, start), charge.early)
            for early in earlier:
                yield Run(charge=number, circuit=circuit, slots=(*early, *unbroken))


def keeps_limits(grid: Grid, runs: tuple[Run, ...]) -> bool:
    """Whether no circuit and no room is asked for too much, slot by slot."""
    for slot in range(SLOTS + AFTER_GAS_SLOTS):
        for circuit, limit_a in enumerate(grid.limits_a):
            load_a = sum(
                grid.charges[run.charge].mains_a for run in runs if run.circuit == circuit and slot in run.slots
            )
            if load_a > limit_a + 1e-6:
                return False
        air_m3_per_h = sum(
            grid.charges[run.charge].air_m3_per_h
            for run in runs
            if slot in run.slots or run.ends <= slot < run.ends + AFTER_GAS_SLOTS
        )
        if grid.air_m3_per_h is not None and air_m3_per_h > grid.air_m3_per_h + 1e-6:
            return False
    return True


def orders(grid: Grid, numbers: tuple[int, ...]) -> Iterator[tuple[Run, ...]]:
    """Every order of these charges that keeps the limits."""
    if not numbers:
        yield ()
        return
    for rest in orders(grid, numbers[1:]):
        for run in ways(grid, numbers[0]):
            if keeps_limits(grid, (run, *rest)):
                yield (run, *rest)


def check_runs(grid: Grid, runs: tuple[Run, ...]) -> None:
    for run in runs:
        charge = grid.charges[run.charge]
        assert run.circuit in charge.circuits
        assert len(run.slots) == charge.slots
        assert run.slots == tuple(sorted(set(run.slots)))
        assert run.slots[0] >= charge.first
        assert run.ends <= charge.last
        unbroken = run.slots[charge.early :] if grid.may_pause else run.slots
        assert unbroken == tuple(range(unbroken[0], unbroken[0] + len(unbroken))), "gas must never be interrupted"
    assert keeps_limits(grid, runs)


@settings(max_examples=60, deadline=None)
@given(nights())
def test_the_search_agrees_with_trying_out_every_order(grid: Grid) -> None:
    every = list(orders(grid, tuple(range(len(grid.charges)))))
    soonest, dearest = earliest(grid), cheapest(grid)
    assert bool(soonest.runs) == bool(dearest.runs) == bool(every)
    assert in_time(grid).is_proved
    if every:
        check_runs(grid, soonest.runs)
        check_runs(grid, dearest.runs)
        assert max(run.ends for run in soonest.runs) == min(max(run.ends for run in runs) for runs in every)
        least = min(cost_money(grid, runs) for runs in every)
        assert cost_money(grid, dearest.runs) <= least * (1 + CLOSE_FRACTION) + 1e-9
        assert dearest.bound_ratio <= least + 1e-6


@settings(max_examples=40, deadline=None)
@given(nights())
def test_as_few_as_can_be_are_left_out(grid: Grid) -> None:
    numbers = tuple(range(len(grid.charges)))
    served = (some for count in reversed(range(len(numbers) + 1)) for some in combinations(numbers, count))
    most = len(next(some for some in served if next(orders(grid, some), None) is not None))
    found = fullest(grid)
    check_runs(grid, found.runs)
    assert len(found.runs) == most


@settings(max_examples=40, deadline=None)
@given(nights())
def test_no_pause_is_made_where_an_order_without_one_ends_as_soon(grid: Grid) -> None:
    found = earliest(grid)
    if not found.runs or all(len(run.spans) == 1 for run in found.runs):
        return
    unbroken = replace(grid, may_pause=False)
    every = orders(unbroken, tuple(range(len(grid.charges))))
    assert all(max(run.ends for run in runs) > found.worth_ratio for runs in every)


def test_a_planted_overload_is_seen() -> None:
    charge = GridCharge(
        mains_a=9.0, first=0, last=8, early=1, late=1, early_wh=1.0, late_wh=1.0, air_m3_per_h=0.0, circuits=(0,)
    )
    grid = Grid(begins_at=datetime(2026, 11, 25, 18), charges=(charge, charge), limits_a=(12.0,))
    runs = (Run(charge=0, circuit=0, slots=(0, 1)), Run(charge=1, circuit=0, slots=(1, 2)))
    assert not keeps_limits(grid, runs)
    with pytest.raises(AssertionError):
        check_runs(grid, runs)


@settings(max_examples=40, deadline=None)
@given(nights())
def test_tidying_keeps_every_limit_and_adds_no_pause(grid: Grid) -> None:
    found = in_time(replace(grid, prices_money_per_kwh=()))
    if not found.runs:
        return
    tidy = tidied(replace(grid, prices_money_per_kwh=()), found.runs)
    check_runs(grid, tidy)
    assert sum(len(run.spans) for run in tidy) <= sum(len(run.spans) for run in found.runs)


@settings(max_examples=40, deadline=None)
@given(nights())
def test_filling_up_an_empty_order_keeps_every_limit_and_leaves_no_room(grid: Grid) -> None:
    filled = filled_up(grid, ())
    check_runs(grid, filled)
    for number in set(range(len(grid.charges))) - {run.charge for run in filled}:
        assert not any(keeps_limits(grid, (*filled, run)) for run in ways(grid, number))


@given(
    st.lists(st.tuples(st.sampled_from([3.5, 4.4, 6.0, 8.8, 11.6]), st.integers(1, 3)), max_size=4), st.floats(1, 40)
)
def test_the_full_ways_to_load_a_circuit_are_those_to_which_nothing_can_be_added(
    kinds: list[tuple[float, int]], limit_a: float
) -> None:
    needs, counts = zip(*sorted(dict(kinds).items()), strict=True) if kinds else ((), ())
    every = [
        way
        for way in product(*(range(count + 1) for count in counts))
        if sum(n * need for n, need in zip(way, needs, strict=True)) <= limit_a
    ]
    full = {way for way in every if not any(more != way and all(map(int.__ge__, more, way)) for more in every)}
    assert set(full_ways(tuple(needs), tuple(counts), limit_a) or ()) == full
