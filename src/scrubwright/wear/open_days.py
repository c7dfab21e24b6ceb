"""Days on which a site works, so that a forecast does not count the others."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from scrubwright.measures.errors import BadInput
from scrubwright.wear.meters import FloatArray

EVERY_WEEKDAY = (True,) * 7
_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedSpell:
    """Days on which nothing is cleaned, the first and the last among them."""

    first: date
    last: date

    def __post_init__(self) -> None:
        if not self.first <= self.last:
            raise BadInput(
                "The closed days from {first} to {last} end before they begin; give the first day first.",
                first=self.first.isoformat(),
                last=self.last.isoformat(),
            )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenDays:
    """A clock that stands still while a site is closed.

    Parameters
    ----------
    start
        Day 0.
    gone_days
        Open days gone at each midnight from day 0 on [days], shape (days + 1,).
    """

    start: date
    gone_days: FloatArray

    def open_at_days(self, at_days: FloatArray) -> FloatArray:
        """Open days gone at a time of the calendar [days].

        Parameters
        ----------
        at_days
            The time, from the start of day 0 on [days]; before and after the record, every day is taken as open.

        **Source** identity.
        """
        at, most = np.asarray(at_days, dtype=np.float64), float(len(self.gone_days) - 1)
        inside = np.interp(at, np.arange(len(self.gone_days)), self.gone_days)
        return inside + np.minimum(at, 0.0) + np.maximum(at - most, 0.0)

    def calendar_days(self, open_days: FloatArray) -> FloatArray:
        """The first time of the calendar at which so many open days are gone [days].

        Parameters
        ----------
        open_days
            Open days gone [days].

        **Source** inverse of `open_at_days`.
        """
        gone, most = np.asarray(open_days, dtype=np.float64), float(self.gone_days[-1])
        places = np.clip(np.searchsorted(self.gone_days, gone, side="left"), 1, len(self.gone_days) - 1)
        before = self.gone_days[places - 1]
        step = np.maximum(self.gone_days[places] - before, 1e-9)
        inside = places - 1 + np.clip((gone - before) / step, 0.0, 1.0)
        return np.where(gone <= 0.0, gone, np.where(gone > most, len(self.gone_days) - 1 + gone - most, inside))


def open_days(
    *, start: date, end: date, weekdays: tuple[bool, ...] = EVERY_WEEKDAY, closed: Iterable[ClosedSpell] = ()
) -> OpenDays:
    """The open days of a site between two dates.

    Parameters
    ----------
    start, end
        First day, and the day after the last; take in the oldest reading and the furthest date that matters.
    weekdays
        Whether the site works on Monday, Tuesday and so on to Sunday; at least one.
    closed
        Spells without work, such as holidays.

    Raises
    ------
    BadInput
        Not seven weekdays, none of them open, or the end comes first.

    Examples
    --------
    >>> working = (True, True, True, True, True, False, False)
    >>> clock = open_days(start=date(2026, 5, 4), end=date(2026, 6, 1), weekdays=working)
    >>> float(clock.open_at_days(7.0))
    5.0
    """
    if len(weekdays) != 7 or not any(weekdays):
        raise BadInput("Give seven weekdays from Monday on, open or closed, and at least one of them open.")
    if not start < end:
        raise BadInput(
            "The calendar from {start} to {end} ends before it begins; give the first day first.",
            start=start.isoformat(),
            end=end.isoformat(),
        )
    days = (end - start) // _ONE_DAY
    is_open = np.array(weekdays)[(start.weekday() + np.arange(days)) % 7].astype(np.float64)
    for spell in closed:
        first = max(0, (spell.first - start) // _ONE_DAY)
        is_open[first : max(0, (spell.last - start) // _ONE_DAY + 1)] = 0.0
    return OpenDays(start=start, gone_days=np.concatenate(([0.0], np.cumsum(is_open))))
