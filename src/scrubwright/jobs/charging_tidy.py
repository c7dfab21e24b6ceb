"""One charge at a time moves to where it pauses least and ends soonest while the others stay.

It tidies what the solver leaves ragged and keeps every limit; with a tariff, sparing a pause may cost a little.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.charging_grid import AFTER_GAS_SLOTS, ROUNDING_A, Grid, Run
from scrubwright.jobs.charging_pauses import Worth, laid_anew

# A pause must save this much of what the charge costs.
PAUSE_FRACTION = 0.005
LONGEST_S = 1.0
_MOST_PASSES = 3
_LEAST_GAIN = 1e-9
# Without a tariff, one pause less is worth any number of slots.
_PAUSE_SLOTS = 1000.0


def tidied(grid: Grid, runs: Sequence[Run]) -> tuple[Run, ...]:
    """The order with each charge moved, one after the other, until none gains by it.

    Parameters
    ----------
    grid
        The night.
    runs
        An order that keeps all limits.
    """
    worths = {run.charge: _worth(grid, run.charge) for run in runs}
    order = {run.charge: run for run in runs}
    for _ in range(_MOST_PASSES):
        before = dict(order)
        for charge in sorted(order, key=lambda each: (-len(order[each].spans), each)):
            others = [run for run in order.values() if run.charge != charge]
            order[charge] = _best_run(grid, charge, others, order[charge], worths[charge])
        for group in _ragged_groups(grid, order):
            fresh = laid_anew(grid, group, [worths[run.charge] for run in group], longest_s=LONGEST_S)
            gain = sum(
                _weight(grid, old, worths[old.charge]) - _weight(grid, new, worths[new.charge])
                for old, new in zip(group, fresh, strict=True)
            )
            if gain > _LEAST_GAIN:
                order |= {run.charge: run for run in fresh}
        if order == before:
            break
    return tuple(order[charge] for charge in sorted(order))


def filled_up(grid: Grid, runs: Sequence[Run]) -> tuple[Run, ...]:
    """The order with each charge that is not in it put where there is still room, the longest first.

    Parameters
    ----------
    grid
        The night.
    runs
        An order of some charges that keeps all limits.
    """
    order = {run.charge: run for run in runs}
    missing = (number for number in range(len(grid.charges)) if number not in order)
    for charge in sorted(missing, key=lambda number: (-grid.charges[number].slots, number)):
        if not grid.charges[charge].has_time:
            continue
        worth = _worth(grid, charge)
        found = [_run_on(grid, charge, c, tuple(order.values()), worth) for c in grid.charges[charge].circuits]
        fits = [run for run in found if run is not None]
        if fits:
            order[charge] = min(fits, key=lambda run: _weight(grid, run, worth))
    return tuple(order[charge] for charge in sorted(order))


def _ragged_groups(grid: Grid, order: dict[int, Run]) -> list[list[Run]]:
    """Charges that stand in each other's way, where one pauses."""
    runs = [order[charge] for charge in sorted(order)]
    groups = (
        [runs]
        if grid.is_short_of_air
        else [[run for run in runs if run.circuit == each] for each, _ in enumerate(grid.limits_a)]
    )
    return [group for group in groups if any(len(run.spans) > 1 for run in group)]


def _best_run(grid: Grid, charge: int, others: Sequence[Run], now: Run, worth: Worth) -> Run:
    """The best run of one charge beside the others; the one it has where none is better."""
    best, least = now, _weight(grid, now, worth)
    for circuit in grid.charges[charge].circuits:
        found = _run_on(grid, charge, circuit, others, worth)
        if found is not None and (weight := _weight(grid, found, worth)) < least - _LEAST_GAIN:
            best, least = found, weight
    return best


def _worth(grid: Grid, charge: int) -> Worth:
    each = grid.charges[charge]
    slots = range(grid.slots)
    early = np.array([grid.cost_money(charge, 0, slot) if each.early else 0.0 for slot in slots])
    late = np.array([grid.cost_money(charge, each.early, slot) for slot in slots])
    if not grid.prices_money_per_kwh:
        return Worth(early_ratio=early, late_ratio=late, stretch_ratio=_PAUSE_SLOTS, end_ratio=1.0)
    usual = float(early.mean()) * each.early + float(late.mean()) * each.late
    stretch = PAUSE_FRACTION * usual
    return Worth(early_ratio=early, late_ratio=late, stretch_ratio=stretch, end_ratio=stretch / (4 * grid.slots))


def _weight(grid: Grid, run: Run, worth: Worth) -> float:
    early = grid.charges[run.charge].early
    slots = np.array(run.slots)
    energy = float(worth.early_ratio[slots[:early]].sum() + worth.late_ratio[slots[early:]].sum())
    return energy + worth.stretch_ratio * len(run.spans) + worth.end_ratio * run.ends


def _run_on(grid: Grid, charge: int, circuit: int, others: Sequence[Run], worth: Worth) -> Run | None:
    """The run of least weight on one circuit: loose slots laid one by one, then the unbroken part.

    Dynamic programming over the slots of the night; `off[k]` and `on[k]` are the least weights with k loose slots
    laid and the slot before idle or charged.
    """
    each, loose = grid.charges[charge], grid.loose(charge)
    length = each.slots - loose
    fits, air = _fits(grid, circuit, others, (charge,)), _has_air(grid, others, (charge,))
    off, on = np.full(loose + 1, math.inf), np.full(loose + 1, math.inf)
    off[0] = 0.0
    least, start, goes_on = math.inf, -1, False
    idle_from_on = np.zeros((grid.slots, loose + 1), dtype=bool)
    charged_from_on = np.zeros_like(idle_from_on)
    for slot in range(each.first, each.last):
        ends = slot + length
        if ends <= each.last and fits[slot:ends].all() and air[ends : ends + AFTER_GAS_SLOTS].all():
            unbroken = worth.of_unbroken_ratio(each.early - loose, slot, length) + worth.end_ratio * ends
            weight = min(off[loose] + worth.stretch_ratio, on[loose]) + unbroken
            if weight < least:
                least, start, goes_on = weight, slot, bool(on[loose] <= off[loose] + worth.stretch_ratio)
        charged_from_on[slot] = on <= off + worth.stretch_ratio
        idle_from_on[slot] = on < off
        begun = np.minimum(off + worth.stretch_ratio, on)
        off = np.minimum(off, on)
        on = np.full(loose + 1, math.inf)
        if fits[slot]:
            on[1:] = begun[:-1] + worth.early_ratio[slot]
    if start < 0:
        return None
    laid = _laid(start, loose, goes_on, idle_from_on, charged_from_on)
    return Run(charge=charge, circuit=circuit, slots=(*laid, *range(start, start + length)))


def _laid(
    start: int, loose: int, goes_on: bool, idle_from_on: NDArray[np.bool_], charged_from_on: NDArray[np.bool_]
) -> tuple[int, ...]:
    """The loose slots of the best run, read backward from where its unbroken part begins."""
    laid: list[int] = []
    slot, left, was_on = start, loose, goes_on
    while left:
        slot -= 1
        if was_on:
            laid.append(slot)
            left -= 1
            was_on = bool(charged_from_on[slot, left])
        else:
            was_on = bool(idle_from_on[slot, left])
    return tuple(reversed(laid))


def _fits(grid: Grid, circuit: int, others: Sequence[Run], charges: Sequence[int]) -> NDArray[np.bool_]:
    """In which slots a circuit and the air have room for these charges at once, shape (slots and the hour after,)."""
    load_a = np.full(grid.slots + AFTER_GAS_SLOTS, sum(grid.charges[charge].mains_a for charge in charges))
    for run in others:
        if run.circuit == circuit:
            load_a[np.array(run.slots)] += grid.charges[run.charge].mains_a
    fits: NDArray[np.bool_] = load_a <= grid.limits_a[circuit] + ROUNDING_A
    return fits & _has_air(grid, others, charges)


def _has_air(grid: Grid, others: Sequence[Run], charges: Sequence[int]) -> NDArray[np.bool_]:
    air_m3_per_h = np.full(grid.slots + AFTER_GAS_SLOTS, sum(grid.charges[charge].air_m3_per_h for charge in charges))
    if grid.air_m3_per_h is None or not grid.is_short_of_air:
        return np.ones_like(air_m3_per_h, dtype=bool)
    for run in others:
        air_m3_per_h[np.array(run.slots)] += grid.charges[run.charge].air_m3_per_h
        air_m3_per_h[run.ends : run.ends + AFTER_GAS_SLOTS] += grid.charges[run.charge].air_m3_per_h
    return air_m3_per_h <= grid.air_m3_per_h + ROUNDING_A
