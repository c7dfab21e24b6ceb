"""Runs of lanes that a driver can take as one piece of work."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrubwright.floor.lanes import LaneLine

SINGLE, IN_ORDER, EVERY_SECOND = "single", "in order", "every second, then back"
# What leaving a pattern is worth in the search: the moment a driver takes to find the next block on the sheet.
LOOK_UP_S = 8.0
SKIP_S = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Positions `first` to `last` (inclusive) of a tour, driven in one pattern."""

    first: int
    last: int
    pattern: str


def pattern_penalty_s(lanes: Sequence[LaneLine]) -> NDArray[np.float64]:
    """What it costs a driver's head to go from end to end [s], shape (2n + 2, 2n + 2).

    Nothing to the next lane of the same set, a little to the one after it, a look at the sheet to
    anything else. The parking place, ends 0 and 1, costs nothing.

    **Source** ours, see docs/explanation/sequence.md; the seconds are an estimate.
    """
    cell = np.array([-1, *(lane.cell for lane in lanes)])
    rank = np.array([0, *(lane.rank for lane in lanes)])
    step = np.abs(rank[:, None] - rank[None, :])
    cost_s = np.where(step <= 1, 0.0, np.where(step == 2, SKIP_S, LOOK_UP_S))
    cost_s = np.where(cell[:, None] == cell[None, :], cost_s, LOOK_UP_S)
    cost_s[0] = cost_s[:, 0] = 0.0
    return np.repeat(np.repeat(cost_s, 2, axis=0), 2, axis=1)


def runs(entries: NDArray[np.intp], stops: tuple[int, ...], lanes: Sequence[LaneLine]) -> tuple[Run, ...]:
    """Cut a tour into runs of one pattern each; a stop ends a run.

    A run goes through one set of lanes side by side, in order, or every second one and then back
    through those left out.

    Parameters
    ----------
    entries, stops
        As in `Tour`; end `2i + 2` and `2i + 3` belong to lane i.
    lanes
        The lanes.
    """
    order = [lanes[(int(entry) >> 1) - 1] for entry in entries]
    found: list[Run] = []
    first = 0
    while first < len(order):
        last, pattern = _longest(order, first, set(stops))
        found.append(Run(first=first, last=last, pattern=pattern))
        first = last + 1
    return tuple(found)


def _longest(order: Sequence[LaneLine], first: int, stops: set[int]) -> tuple[int, str]:
    last = first
    steps: list[int] = []
    while last + 1 < len(order) and last not in stops and order[last].cell == order[last + 1].cell:
        step = order[last + 1].rank - order[last].rank
        if not _goes_on(steps, step):
            break
        if step:
            steps.append(step)
        last += 1
    if not steps:
        return last, SINGLE if last == first else IN_ORDER
    return last, EVERY_SECOND if abs(steps[0]) == 2 else IN_ORDER


def _goes_on(steps: Sequence[int], step: int) -> bool:
    if step == 0:
        return True
    if not steps:
        return abs(step) <= 2
    if abs(steps[0]) == 1:
        return step == steps[0]
    # Every second lane out, one step aside, every second lane back.
    turned = any(abs(each) == 1 for each in steps)
    return step == -steps[0] if turned else step == steps[0] or abs(step) == 1
