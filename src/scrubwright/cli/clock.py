"""What people type as a time of day: "21:30", or with its day "2026-03-10 21:30"."""

import re
from datetime import date, datetime, time, timedelta

from scrubwright.measures.errors import BadInput

_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})")
_ONE_DAY = timedelta(days=1)
_LAST_MINUTE = time(23, 59)
# A night shift with its drying is shorter; beyond, an hour was likely mistyped, so the day must be typed too.
LONGEST_BY_CLOCK = timedelta(hours=16)


def start_at(option: str, text: str, now: datetime, day: date | None = None) -> datetime:
    """The next time that a clock shows what was typed, or that time on a given day.

    Parameters
    ----------
    option, text
        What was typed: a time of day, or a day and a time.
    now
        When it was typed.
    day
        Of the start; None for the next such time.

    Raises
    ------
    BadInput
        It is no time.

    Examples
    --------
    >>> start_at("--start", "21:30", datetime(2026, 3, 10, 22, 0)).isoformat()
    '2026-03-11T21:30:00'
    """
    typed = _typed(option, text)
    if isinstance(typed, datetime):
        return typed
    if day is not None:
        return datetime.combine(day, typed)
    today = datetime.combine(now.date(), typed)
    return today if today >= now.replace(second=0, microsecond=0) else today + _ONE_DAY


def end_at(option: str, text: str, begun: datetime) -> datetime:
    """The first time after a start that a clock shows what was typed; with its day, that very time.

    Parameters
    ----------
    option, text
        What was typed.
    begun
        The start.

    Raises
    ------
    BadInput
        It is no time, or by the clock alone so late that it was likely meant to come before the start.

    Examples
    --------
    >>> end_at("--dry-by", "05:30", datetime(2026, 3, 10, 21, 30)).isoformat()
    '2026-03-11T05:30:00'
    """
    typed = _typed(option, text)
    if isinstance(typed, datetime):
        return typed
    same_day = datetime.combine(begun.date(), typed)
    found = same_day if same_day > begun else same_day + _ONE_DAY
    if found - begun > LONGEST_BY_CLOCK:
        raise BadInput(
            "{option} is {given}, which comes before the start at {start} or {hours_h} after it. Enter a time within "
            '{longest_h} of the start, or its day too, such as "{example}".',
            option=option,
            given=text,
            start=begun.strftime("%H:%M"),
            hours_h=(found - begun) / timedelta(hours=1),
            longest_h=LONGEST_BY_CLOCK / timedelta(hours=1),
            example=found.strftime("%Y-%m-%d %H:%M"),
        )
    return found


def day_of(option: str, text: str) -> date:
    """A day as typed after an option.

    Raises
    ------
    BadInput
        It is no day.
    """
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput('{option} is "{given}"; enter a day such as 2026-01-31.', option=option, given=text) from None


def end_of_day(option: str, text: str) -> datetime:
    """The last minute of a day as typed after an option.

    Raises
    ------
    BadInput
        It is no day.
    """
    return datetime.combine(day_of(option, text), _LAST_MINUTE)


def _typed(option: str, text: str) -> time | datetime:
    typed = text.strip().lower()
    try:
        if clock := _CLOCK.fullmatch(typed):
            return time(int(clock[1]), int(clock[2]))
        at = datetime.fromisoformat(typed)
        if at.tzinfo is None and len(typed) > len("2026-01-31"):
            return at
    except ValueError:
        pass
    raise BadInput(
        '{option} is "{given}"; enter a time of day such as 21:30, or with its day "2026-01-31 21:30".',
        option=option,
        given=text,
    )
