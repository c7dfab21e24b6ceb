"""One charge at a time moves to where it pauses least and ends soonest while the others stay.

It never makes an order dearer, later in what counts, or overloaded; it tidies what the solver leaves ragged.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.charging_grid import AFTER_GAS_SLOTS, ROUNDING_A, Grid, Run
from scrubwright.jobs.charging_pairs import Loose, laid_together

# A pause must save this much of what the charge costs.
PAUSE_FRACTION = 0.005
_MOST_PASSES = 5
# Without a tariff, one pause less is worth any number of slots.
_PAUSE_SLOTS = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Weights:
    """What makes one way to run a charge better than another, in one measure: money, or slots without a tariff."""

    early: NDArray[np.float64]
    late: NDArray[np.float64]
    stretch: float
    end: float

    def energy(self, early: int, start: int, length: int) -> float:
        """Of an unbroken part whose first slots are early ones."""
        return float(self.early[start : start + early].sum() + self.late[start + early : start + length].sum())


def tidied(grid: Grid, runs: Sequence[Run]) -> tuple[Run, ...]:
    """The order with each charge moved, one after the other, until none gains by it.

    Parameters
    ----------
    grid
        The night.
    runs
        An order that keeps all limits.
    """
    order = {run.charge: run for run in runs}
    for _ in range(_MOST_PASSES):
        moved = False
        for charge in sorted(order, key=lambda each: (-len(order[each].spans), each)):
            others = [run for run in order.values() if run.charge != charge]
            better = _best_run(grid, charge, others, order[charge])
            moved |= better != order[charge]
            order[charge] = better
        for one, other in _ragged_pairs(grid, order):
            moved |= _swapped(grid, order, one, other)
        if not moved:
            break
    return tuple(order[charge] for charge in sorted(order))


def _ragged_pairs(grid: Grid, order: dict[int, Run]) -> list[tuple[int, int]]:
    """Charges that stand in each other's way, of which one pauses."""
    runs = [order[charge] for charge in sorted(order)]
    return [
        (one.charge, other.charge)
        for one, other in combinations(runs, 2)
        if (one.circuit == other.circuit or grid.is_short_of_air) and len(one.spans) + len(other.spans) > 2
    ]


def _swapped(grid: Grid, order: dict[int, Run], one: int, other: int) -> bool:
    """Lay the loose slots of two charges anew, and say whether that is better."""
    pair = (order[one], order[other])
    weights = [_weights(grid, run.charge) for run in pair]
    starts = [run.slots[grid.loose(run.charge)] for run in pair]
    others = [run for run in order.values() if run.charge not in (one, other)]
    unbroken = [replace(run, slots=run.slots[grid.loose(run.charge) :]) for run in pair]
    around = [*others, *unbroken]
    fits_one, fits_other = (_fits(grid, run.circuit, around, (run.charge,)) for run in pair)
    if pair[0].circuit == pair[1].circuit:
        fits_both = _fits(grid, pair[0].circuit, around, (one, other))
    else:
        fits_both = fits_one & fits_other & _has_air(grid, around, (one, other))
    loose = [
        Loose(
            first=grid.charges[run.charge].first,
            count=grid.loose(run.charge),
            start=start,
            slot_ratio=each.early,
            stretch_ratio=each.stretch,
        )
        for run, start, each in zip(pair, starts, weights, strict=True)
    ]
    laid = laid_together(loose[0], loose[1], fits_one, fits_other, fits_both)
    if laid is None:
        return False
    fresh = [replace(run, slots=(*early, *last.slots)) for run, early, last in zip(pair, laid, unbroken, strict=True)]
    gain = sum(
        _weight(grid, old, each) - _weight(grid, new, each) for old, new, each in zip(pair, fresh, weights, strict=True)
    )
    if gain < 1e-9:
        return False
    order[one], order[other] = fresh
    return True


def _best_run(grid: Grid, charge: int, others: Sequence[Run], now: Run) -> Run:
    """The best run of one charge beside the others; the one it has where none is better."""
    weights = _weights(grid, charge)
    best, least = now, _weight(grid, now, weights)
    for circuit in grid.charges[charge].circuits:
        found = _run_on(grid, charge, circuit, others, weights)
        if found is not None and (weight := _weight(grid, found, weights)) < least - 1e-9:
            best, least = found, weight
    return best


def _weights(grid: Grid, charge: int) -> _Weights:
    each = grid.charges[charge]
    slots = range(grid.slots)
    early = np.array([grid.cost_money(charge, 0, slot) if each.early else 0.0 for slot in slots])
    late = np.array([grid.cost_money(charge, each.early, slot) for slot in slots])
    if not grid.prices_money_per_kwh:
        return _Weights(early=early, late=late, stretch=_PAUSE_SLOTS, end=1.0)
    usual = float(early.mean()) * each.early + float(late.mean()) * each.late
    stretch = PAUSE_FRACTION * usual
    return _Weights(early=early, late=late, stretch=stretch, end=stretch / (4 * grid.slots))


def _weight(grid: Grid, run: Run, weights: _Weights) -> float:
    early = grid.charges[run.charge].early
    slots = np.array(run.slots)
    energy = float(weights.early[slots[:early]].sum() + weights.late[slots[early:]].sum())
    return energy + weights.stretch * len(run.spans) + weights.end * run.ends


def _run_on(grid: Grid, charge: int, circuit: int, others: Sequence[Run], weights: _Weights) -> Run | None:
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
            unbroken = weights.energy(each.early - loose, slot, length) + weights.end * ends
            weight = min(off[loose] + weights.stretch, on[loose]) + unbroken
            if weight < least:
                least, start, goes_on = weight, slot, bool(on[loose] <= off[loose] + weights.stretch)
        charged_from_on[slot] = on <= off + weights.stretch
        idle_from_on[slot] = on < off
        begun = np.minimum(off + weights.stretch, on)
        off = np.minimum(off, on)
        on = np.full(loose + 1, math.inf)
        if fits[slot]:
            on[1:] = begun[:-1] + weights.early[slot]
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
