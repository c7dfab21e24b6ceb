"""When an equalising charge that runs must stop."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from scrubwright.battery.equalising import HOTTEST_K, READINGS_ALIKE, TIME_LIMIT_H, lowest_cells
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import KELVIN_AT_0_C

# The lowest cells count as no longer rising when their mean gains less than this over three readings (ours).
RISE_RATIO = 0.002
# Readings closer together than this are no hourly readings.
LEAST_APART_H = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class EqualiseReading:
    """One hourly look while equalising.

    Parameters
    ----------
    at_h
        Since the start [h, >= 0].
    gravities_ratio
        One a cell, corrected to one temperature, since the pack warms as it gasses; None for a cell not read.
    electrolyte_k
        Of one cell or more [K]; at least one.
    boils
        Whether a person says that a cell boils violently.
    hot_cell
        Whether a person says that one cell is hotter than the others.
    """

    at_h: float
    gravities_ratio: tuple[float | None, ...]
    electrolyte_k: tuple[float, ...]
    boils: bool = False
    hot_cell: bool = False

    def __post_init__(self) -> None:
        check_zero_or_more("at_h", self.at_h)
        if not self.electrolyte_k or not all(
            KELVIN_AT_0_C - 20 < each < KELVIN_AT_0_C + 90 for each in self.electrolyte_k
        ):
            raise BadInput(
                "The reading at {at_h} has no electrolyte temperature that can be; measure at least one cell, and "
                "enter it.",
                at_h=self.at_h,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class EqualiseCall:
    """Whether to stop now, and why.

    Parameters
    ----------
    stop, reason
        The call in one sentence.
    cells
        Those by which its end is judged, counted from 1; empty before the first reading, and where the lowest cell at
        the start was not read again.
    """

    stop: bool
    reason: Sentence
    cells: tuple[int, ...] = ()


def equalise_stop(readings: Sequence[EqualiseReading], limit_h: float = TIME_LIMIT_H) -> EqualiseCall:
    """Whether an equalising charge must stop now.

    What a person sees comes first, then heat, then time; then whether it still does any good.

    Parameters
    ----------
    readings
        From the start on.
    limit_h
        The charger's or the battery maker's limit wins [h, > 0].

    Raises
    ------
    BadInput
        Readings out of order or with different counts of cells, or a limit that is none.

    Notes
    -----
    No rise over three hourly readings: US Army TM 10-3930-644, page 249; 115 °F: a page on equalising. How much counts
    as a rise, which cells are the lowest (a quarter, at the start), and the time limit are ours.
    """
    check_above_zero("limit_h", limit_h)
    if not readings:
        return EqualiseCall(
            stop=False, reason=Sentence("No reading yet: read every cell and the temperature before it starts.")
        )
    counts = {len(each.gravities_ratio) for each in readings}
    times = [each.at_h for each in readings]
    if len(counts) > 1 or any(b <= a for a, b in pairwise(times)):
        raise BadInput(
            "The readings of this equalising charge do not follow each other; enter them in order, each with a value "
            "for the same cells."
        )
    last, cells = readings[-1], judged_cells(readings)
    if last.boils or last.hot_cell:
        return EqualiseCall(
            stop=True,
            cells=cells,
            reason=Sentence("A cell boils hard or runs hotter than the others: stop, and have that cell looked at."),
        )
    if max(last.electrolyte_k) >= HOTTEST_K:
        return EqualiseCall(
            stop=True,
            cells=cells,
            reason=Sentence(
                "A cell is at {cell_k}; from {hottest_k} on the charge must stop. Let the pack cool.",
                cell_k=max(last.electrolyte_k),
                hottest_k=HOTTEST_K,
            ),
        )
    if last.at_h >= limit_h:
        return EqualiseCall(
            stop=True,
            cells=cells,
            reason=Sentence("It has run for {at_h}; the limit is {limit_h}.", at_h=last.at_h, limit_h=limit_h),
        )
    if not cells:
        return EqualiseCall(stop=False, reason=_why_not_judged(readings[0].gravities_ratio))
    if _no_longer_rises(readings, cells):
        return EqualiseCall(
            stop=True,
            cells=cells,
            reason=Sentence(
                "The lowest cells ({cells}) have not risen over {readings} readings: it is done.",
                cells=_listed(cells),
                readings=READINGS_ALIKE,
            ),
        )
    return EqualiseCall(
        stop=False,
        cells=cells,
        reason=Sentence(
            "The lowest cells ({cells}) may still rise: go on, and read them again in an hour. Write the moment «in "
            "between».",
            cells=_listed(cells),
        ),
    )


def _why_not_judged(gravities_ratio: Sequence[float | None]) -> Sentence:
    lowest = lowest_cells(gravities_ratio)
    if not lowest:
        return Sentence("The first row holds no gravity, so nobody can tell whether cells rise: read every cell.")
    return Sentence(
        "Read the lowest cells of the start each hour ({cells}): without them nobody can tell when it is done.",
        cells=_listed(lowest),
    )


def _hourly(readings: Sequence[EqualiseReading]) -> list[EqualiseReading]:
    """The newest reading and those before it that are an hour apart, newest first; at most three."""
    hourly = [readings[-1]]
    for each in reversed(readings[:-1]):
        if hourly[-1].at_h - each.at_h >= LEAST_APART_H:
            hourly.append(each)
    return hourly[:READINGS_ALIKE]


def judged_cells(readings: Sequence[EqualiseReading]) -> tuple[int, ...]:
    """The cells by which the end of an equalising charge is judged, counted from 1.

    The lowest quarter at the start, of the cells that were read then and at each hourly reading; none where the lowest
    cell of the start is not among them.

    Parameters
    ----------
    readings
        From the start on, at least one.
    """
    told = (readings[0], *_hourly(readings))
    count = len(readings[0].gravities_ratio)
    each_hour = [cell + 1 for cell in range(count) if all(each.gravities_ratio[cell] is not None for each in told)]
    return lowest_cells(readings[0].gravities_ratio, each_hour)


def _no_longer_rises(readings: Sequence[EqualiseReading], cells: Sequence[int]) -> bool:
    """Whether these cells stood still over the last three hourly readings."""
    told = _hourly(readings)
    if len(told) < READINGS_ALIKE:
        return False
    means = [float(np.mean([each.gravities_ratio[cell - 1] or 0.0 for cell in cells])) for each in told]
    return max(means[:-1]) - means[-1] <= RISE_RATIO


def _listed(cells: Iterable[int]) -> tuple[Sentence, ...]:
    return tuple(Sentence("{number}", number=cell) for cell in cells)
