"""Clock times of a charging file laid on days, over midnight: when machines are home, ready by when, at which price."""

import re
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from scrubwright.jobs.charging_answer import Tariff
from scrubwright.measures.errors import BadInput

# A time of day, or with its day.
Moment = time | datetime

_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})")
_ONE_DAY = timedelta(days=1)
_DAY_LETTERS = len("2026-01-31")


def moment(where: str, written: str) -> Moment:
    """A time as a file gives it: "22:00", or with its day "2026-03-10 22:00".

    Parameters
    ----------
    where
        Its place in the file, for the message.
    written
        The text.

    Raises
    ------
    BadInput
        It is no time.

    Examples
    --------
    >>> moment("home", "22:00")
    datetime.time(22, 0)
    """
    text = written.strip().lower()
    try:
        if clock := _CLOCK.fullmatch(text):
            return time(int(clock[1]), int(clock[2]))
        at = datetime.fromisoformat(text)
        if at.tzinfo is None and len(text) > _DAY_LETTERS:
            return at
    except ValueError:
        pass
    raise BadInput(
        '{option} is "{given}"; enter a time of day such as 21:30, or with its day "2026-01-31 21:30".',
        option=where,
        given="".join(letter if letter.isprintable() else "?" for letter in written[:40]),
    )


def homes_at(homes: Sequence[Moment], day: date) -> tuple[datetime, ...]:
    """When each machine is home, in one night that begins on a day.

    The night begins with the machine after the longest stretch of the clock in which none comes home; the others
    follow within the day from then on. A time with its own day stands as it is.

    Parameters
    ----------
    homes
        As the file gives them.
    day
        On which the first one is home.

    Examples
    --------
    >>> [at.isoformat() for at in homes_at([time(0, 30), time(22, 0)], date(2026, 3, 10))]
    ['2026-03-11T00:30:00', '2026-03-10T22:00:00']
    """
    clocks = sorted({home for home in homes if isinstance(home, time)})
    before = clocks[-1:] + clocks[:-1]
    first = max(zip(clocks, before, strict=True), key=lambda pair: _gap(*pair), default=(time.min, time.min))[0]
    return tuple(
        home if isinstance(home, datetime) else datetime.combine(day, home) + (home < first) * _ONE_DAY
        for home in homes
    )


def ready_at(where: str, ready_by: Moment, home_at: datetime) -> datetime:
    """When a machine must be done: the first such time after it is home; with its day, that very time.

    Raises
    ------
    BadInput
        It is the time at which the machine is home, or before it.

    Examples
    --------
    >>> ready_at("ready_by", time(6, 0), datetime(2026, 3, 10, 22, 0)).isoformat()
    '2026-03-11T06:00:00'
    """
    same_day = datetime.combine(home_at.date(), ready_by) if isinstance(ready_by, time) else ready_by
    found = same_day + _ONE_DAY if isinstance(ready_by, time) and same_day < home_at else same_day
    if not found > home_at:
        raise BadInput(
            "{key} is {given}, but home is {home}; enter when it must be done, after it is home.",
            key=where,
            given=found.strftime("%Y-%m-%d %H:%M"),
            home=home_at.strftime("%Y-%m-%d %H:%M"),
        )
    return found


def prices(daily: Sequence[tuple[time, float]], first_at: datetime, last_at: datetime) -> tuple[Tariff, ...]:
    """The prices of a night, each from its hour on, the one in force at the beginning first.

    Parameters
    ----------
    daily
        When each begins, every day, and the price of a kilowatt-hour.
    first_at, last_at
        The night.

    Examples
    --------
    >>> night = prices([(time(7), 0.3), (time(22), 0.1)], datetime(2026, 3, 10, 21), datetime(2026, 3, 11, 6))
    >>> [(each.from_at.isoformat(), each.price_money_per_kwh) for each in night]
    [('2026-03-10T07:00:00', 0.3), ('2026-03-10T22:00:00', 0.1)]
    """
    days = range(-1, (last_at.date() - first_at.date()).days + 1)
    every = sorted(
        (datetime.combine(first_at.date() + day * _ONE_DAY, begins), price) for day in days for begins, price in daily
    )
    begun = max((at for at, _ in every if at <= first_at), default=first_at)
    return tuple(Tariff(from_at=at, price_money_per_kwh=price) for at, price in every if begun <= at < last_at)


def _gap(later: time, earlier: time) -> timedelta:
    """How long the clock runs to a time from another; a day where they are the same."""
    gap = datetime.combine(date.min, later) - datetime.combine(date.min, earlier)
    return gap if gap > timedelta(0) else gap + _ONE_DAY
