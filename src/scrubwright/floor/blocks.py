"""Runs of lanes that a driver can take as one piece of work."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from scrubwright.floor.lanes import LaneLine

SINGLE, IN_ORDER, EVERY_SECOND, AS_LISTED = "single", "in order", "every second, then back", "as listed"
# What leaving a block is worth in the search: the moment a driver takes to find the next one on the sheet (estimate).
LOOK_UP_S = 4.0
WIDEST_STEP = 2
PARALLEL_COSINE = 0.97
# Lanes of one line belong together across a column or a cross aisle, lanes side by side where they nearly overlap.
LONGEST_GAP_M = 8.0
# A short piece this near to where a lane ends is seen without looking at the sheet.
AT_HAND_M = 2.5
SHORT_M = 4.0
NOT_BESIDE = 99


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Positions `first` to `last` (inclusive) of a tour, driven in one pattern."""

    first: int
    last: int
    pattern: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Neighbours:
    """Which lanes a driver finds from which without a look at the sheet.

    Parameters
    ----------
    steps
        For pairs of lanes (first, second) how many lanes aside the second lies: 0 straight on, 1 and 2
        to one side, -1 and -2 to the other.
    at_hand
        Pairs of ends, as in `Links`, one of them of a short piece, that lie next to each other.
    count
        Number of lanes.
    """

    steps: dict[tuple[int, int], int]
    at_hand: frozenset[tuple[int, int]]
    count: int

    def step(self, out: int, into: int) -> int:
        """Step from the lane that end `out` leaves to the one that end `into` enters; NOT_BESIDE if there is none.

        **Source** ours, see docs/explanation/sequence.md.
        """
        step = self.steps.get(((out >> 1) - 1, (into >> 1) - 1), NOT_BESIDE)
        return 0 if step == NOT_BESIDE and (out, into) in self.at_hand else step

    def penalty_s(self) -> NDArray[np.floating[Any]]:
        """What it costs a driver's head to go from end to end [s], shape (2n + 2, 2n + 2).

        Nothing to a lane beside or straight on or to a piece at hand, a look at the sheet to anything
        else. The parking place, ends 0 and 1, costs nothing.

        **Source** ours, see docs/explanation/sequence.md; the seconds are an estimate.
        """
        cost_s = np.full((2 * self.count + 2, 2 * self.count + 2), LOOK_UP_S, dtype=np.float16)
        for first, second in self.steps:
            cost_s[2 * first + 2 : 2 * first + 4, 2 * second + 2 : 2 * second + 4] = 0.0
        for out, into in self.at_hand:
            cost_s[out, into] = 0.0
        cost_s[:2] = cost_s[:, :2] = 0.0
        return cost_s


def neighbours(lanes: Sequence[LaneLine], pitch_m: float) -> Neighbours:
    """Find out which lanes lie beside or straight on from which.

    Parameters
    ----------
    lanes
        The lanes [m].
    pitch_m
        Widest spacing of neighbouring lanes [m, > 0].

    **Source** ours, see docs/explanation/sequence.md.
    """
    lines = np.array([lane.line for lane in lanes], dtype=object)
    ends_m = np.array([point for line in lines for point in (line.coords[0], line.coords[-1])])
    tree = shapely.STRtree(lines)
    first, second = tree.query(lines, predicate="dwithin", distance=max(LONGEST_GAP_M, (WIDEST_STEP + 0.3) * pitch_m))
    area = np.array([lane.area for lane in lanes])
    alike = (first != second) & (area[first] == area[second])
    first, second = first[alike], second[alike]
    step = _steps(ends_m, first, second, pitch_m)
    found = {
        (int(a), int(b)): int(each) for a, b, each in zip(first, second, step, strict=True) if abs(each) <= WIDEST_STEP
    }
    # The search needs costs that are the same both ways.
    mutual = {pair: each for pair, each in found.items() if pair[::-1] in found}
    return Neighbours(steps=mutual, at_hand=_at_hand(lines, ends_m, area), count=len(lanes))


def _steps(
    ends_m: NDArray[np.float64], first: NDArray[np.intp], second: NDArray[np.intp], pitch_m: float
) -> NDArray[np.intp]:
    """Lanes aside that each second lane lies from its first; NOT_BESIDE where it is neither beside nor straight on."""
    span_m = ends_m[1::2] - ends_m[::2]
    length_m = np.maximum(np.hypot(span_m[:, 0], span_m[:, 1]), 1e-9)
    along = span_m / length_m[:, None]
    # One of the two directions of every line stands for it, so that steps have a side.
    along[(along[:, 0] < -1e-6) | ((np.abs(along[:, 0]) <= 1e-6) & (along[:, 1] < 0))] *= -1
    parallel = np.abs(np.einsum("ij,ij->i", along[first], along[second])) > PARALLEL_COSINE
    own = along[first]
    from_m = ends_m[2 * first]
    reach_m = [
        np.einsum("ij,ij->i", ends_m[2 * lane + end] - from_m, own) for lane in (first, second) for end in (0, 1)
    ]
    first_low, first_high = np.minimum(reach_m[0], reach_m[1]), np.maximum(reach_m[0], reach_m[1])
    second_low, second_high = np.minimum(reach_m[2], reach_m[3]), np.maximum(reach_m[2], reach_m[3])
    gap_m = np.maximum(second_low - first_high, first_low - second_high)
    middle_m = (ends_m[2 * second] + ends_m[2 * second + 1]) / 2 - from_m
    aside_m = own[:, 0] * middle_m[:, 1] - own[:, 1] * middle_m[:, 0]
    step = np.rint(aside_m / pitch_m).astype(np.intp)
    # Lanes squeezed into an aisle lie closer than a pitch and are still side by side.
    step = np.where((step == 0) & (np.abs(aside_m) > 0.3 * pitch_m), np.sign(aside_m).astype(np.intp), step)
    near = np.where(step == 0, gap_m < LONGEST_GAP_M, gap_m < pitch_m)
    return np.where(parallel & near, step, NOT_BESIDE)


def _at_hand(
    lines: NDArray[np.object_], ends_m: NDArray[np.float64], area: NDArray[np.intp]
) -> frozenset[tuple[int, int]]:
    tree = shapely.STRtree(shapely.points(ends_m))
    out, into = tree.query(shapely.points(ends_m), predicate="dwithin", distance=AT_HAND_M)
    short = shapely.length(lines) < SHORT_M
    near = (out >> 1 != into >> 1) & (area[out >> 1] == area[into >> 1]) & (short[out >> 1] | short[into >> 1])
    return frozenset(zip((out[near] + 2).tolist(), (into[near] + 2).tolist(), strict=True))


def runs(entries: NDArray[np.intp], stops: tuple[int, ...], beside: Neighbours) -> tuple[Run, ...]:
    """Cut a tour into runs, each of lanes that follow one another without a look at the sheet; a stop ends a run.

    Parameters
    ----------
    entries, stops
        As in `Tour`; ends 2i + 2 and 2i + 3 belong to lane i.
    beside
        Which lanes lie beside which.
    """
    found: list[Run] = []
    first = 0
    steps: list[int] = []
    for position in range(len(entries)):
        last = position == len(entries) - 1
        step = NOT_BESIDE if last else beside.step(int(entries[position]) ^ 1, int(entries[position + 1]))
        if last or position in stops or step == NOT_BESIDE:
            found.append(Run(first=first, last=position, pattern=_pattern(position - first, steps)))
            first, steps = position + 1, []
        else:
            steps.append(step)
    return tuple(found)


def _pattern(more: int, steps: Sequence[int]) -> str:
    """What a run is called by the steps between its lanes."""
    if more == 0:
        return SINGLE
    sideways = [step for step in steps if step]
    if not sideways or (abs(sideways[0]) == 1 and all(step == sideways[0] for step in sideways)):
        return IN_ORDER
    aside = [index for index, step in enumerate(sideways) if abs(step) == 1]
    turn = aside[0] if aside else len(sideways)
    out, back = sideways[:turn], sideways[turn + 1 :]
    if out and len(aside) <= 1 and len(set(out)) == 1 and all(step == -out[0] for step in back):
        return EVERY_SECOND
    return AS_LISTED
