"""When each of many items is due: by the calendar, its meter or its measured wear, whichever comes first."""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import elementwise

from scrubwright.measures.errors import BadInput
from scrubwright.wear.band_factors import NEUTRAL, BandFactors
from scrubwright.wear.hours_left import HoursLeft
from scrubwright.wear.meters import FloatArray
from scrubwright.wear.open_days import OpenDays
from scrubwright.wear.usage import HORIZON_DAYS, Usage

LOW, LIKELY, HIGH = 0.1, 0.5, 0.9
_TOLERANCE_DAYS = 0.005


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DueDays:
    """When each item is due, with its 80 % band; every array in days of one count, shape (items,).

    Parameters
    ----------
    low_days, likely_days, high_days
        Ends and middle of the band [days].
    """

    low_days: FloatArray
    likely_days: FloatArray
    high_days: FloatArray


def until_days(usage: Usage, left: HoursLeft, chance_fraction: float) -> FloatArray:
    """Days from the last reading within which each item is due by its meter, with this chance [days].

    Parameters
    ----------
    usage
        Of the item's meter, item by item.
    left
        Hours of that meter until it is due.
    chance_fraction
        The chance [above 0, below 1].

    Raises
    ------
    BadInput
        Not one usage for each item.

    Notes
    -----
    Where the hours left are spread, the chance is that of all their values together: the quantile of the mixture, not
    the mean of quantiles. Ten years are told for whatever lies beyond.

    **Source** root of the mixture of `Usage.passed_fraction`; ours (checked in tests/worked/test_due_numbers.py).
    """
    if usage.seen_h.shape != left.left_h.shape[:1]:
        raise BadInput("There must be one meter for each item.")
    is_sure = left.share_fraction.max(axis=1, initial=0.0) > 1.0 - 1e-9
    largest = np.argmax(left.share_fraction, axis=1)
    found = np.zeros(len(largest))
    found[is_sure] = usage.of(np.flatnonzero(is_sure)).days(
        left.left_h[is_sure, largest[is_sure]], np.full(np.count_nonzero(is_sure), chance_fraction)
    )
    spread = np.flatnonzero(~is_sure)
    if len(spread):
        found[spread] = _days_of_mixture(
            usage.of(spread), left.left_h[spread], left.share_fraction[spread], chance_fraction
        )
    return found


def _days_of_mixture(usage: Usage, left_h: FloatArray, share: FloatArray, chance: float) -> FloatArray:
    # The mixture's quantile lies between those of its least and its greatest value.
    low = usage.days(np.min(left_h, axis=1), np.full(len(left_h), chance))
    high = usage.days(np.max(left_h, axis=1), np.full(len(left_h), chance))

    def over(days: FloatArray, rows: FloatArray) -> FloatArray:
        return _mixed(usage, left_h, share, days, rows) - chance

    every = np.arange(len(left_h), dtype=np.float64)
    # With some chance due already, or beyond the horizon, there is no root: the end itself is the answer.
    at_low, at_high = over(low, every), over(high, every)
    is_between = (at_low < 0) & (at_high > 0)
    found = np.where(at_low >= 0, low, high)
    if is_between.any():
        roots = elementwise.find_root(
            over,
            (low[is_between], high[is_between]),
            args=(every[is_between],),
            tolerances={"xatol": _TOLERANCE_DAYS, "xrtol": 1e-6, "fatol": 0.0, "frtol": 0.0},
        )
        found[is_between] = roots.x
    return found


def _mixed(usage: Usage, left_h: FloatArray, share: FloatArray, days: FloatArray, rows: FloatArray) -> FloatArray:
    """Chance over all values of the hours left, for some of the items."""
    which = rows.astype(np.int64)
    known = Usage(
        shape_per_day=usage.shape_per_day,
        evidence_ratio=usage.evidence_ratio[which][:, None],
        seen_h=usage.seen_h[which][:, None],
    )
    chances = share[which] * known.passed_fraction(left_h[which], days[:, None])
    return np.asarray(chances.sum(axis=1))


def due_days(
    usage: Usage,
    left: HoursLeft,
    *,
    read_days: FloatArray,
    today_days: float,
    calendar_due_days: FloatArray | None = None,
    clock: OpenDays | None = None,
    factors: BandFactors = NEUTRAL,
) -> DueDays:
    """When each item is due, with its 80 % band [days].

    Parameters
    ----------
    usage
        Of the item's meter, item by item; by open days where a clock is given.
    left
        Hours of that meter until it is due; infinite where no meter counts.
    read_days
        When that meter was last read [days], shape (items,).
    today_days
        Today [days].
    calendar_due_days
        When the calendar asks for it whatever the meter says [days], shape (items,); infinite where it does not.
    clock
        The site's open days; None takes all days alike.
    factors
        How much wider or narrower than told the band was in the past.

    Raises
    ------
    BadInput
        Not one value for each item.

    Notes
    -----
    A date by the calendar is known, so the quantile of the earlier of the two is the earlier of quantile and date.
    What is reckoned to be due since the last reading is due today; a date of the calendar may lie in the past.

    **Source** ours, see docs/explanation/meters-and-forecasts.md (checked in tests/worked/test_due_numbers.py).
    """
    read = np.asarray(read_days, dtype=np.float64)
    if read.shape != usage.seen_h.shape:
        raise BadInput("There must be one meter for each item.")
    likely = until_days(usage, left, LIKELY)
    low, high = factors.stretched_days(until_days(usage, left, LOW), likely, until_days(usage, left, HIGH))
    ends = []
    for ahead in (low, likely, high):
        at = read + ahead if clock is None else clock.calendar_days(clock.open_at_days(read) + ahead)
        at = np.clip(at, today_days, today_days + HORIZON_DAYS)
        ends.append(at if calendar_due_days is None else np.minimum(at, calendar_due_days))
    return DueDays(low_days=ends[0], likely_days=ends[1], high_days=ends[2])


def due_by_fraction(
    usage: Usage,
    left: HoursLeft,
    *,
    read_days: FloatArray,
    by_days: float,
    calendar_due_days: FloatArray | None = None,
    clock: OpenDays | None = None,
) -> FloatArray:
    """Chance that each item is due by a day [fraction].

    Parameters
    ----------
    usage, left, read_days, calendar_due_days, clock
        As for `due_days`.
    by_days
        The day [days].

    **Source** `Usage.passed_fraction` over all values of the hours left; a date of the calendar is sure.
    """
    read = np.asarray(read_days, dtype=np.float64)
    by = np.full(read.shape, by_days)
    ahead = by - read if clock is None else clock.open_at_days(by) - clock.open_at_days(read)
    rows = np.arange(len(read), dtype=np.float64)
    chance = _mixed(usage, left.left_h, left.share_fraction, np.maximum(ahead, 0.0), rows)
    return chance if calendar_due_days is None else np.where(calendar_due_days <= by_days, 1.0, chance)
