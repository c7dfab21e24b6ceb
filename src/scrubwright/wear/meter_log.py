"""One meter as a person sees it: each reading with what became of it and why, and the question that is open."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from scrubwright.measures.sentence import Sentence
from scrubwright.wear.cleaning import MOST_H_PER_DAY, STANDINGS, Standing, cleaned
from scrubwright.wear.meters import DAY, MeterDefinition, MeterReading, meter_batch

# After so long without a reading the forecast says little of how the machine works now (ours).
OLD_DAYS = 28.0


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedReading:
    """One reading and what became of it.

    Parameters
    ----------
    reading
        As it was written down.
    standing
        Whether and how it counts.
    run_h
        Hours run since the first accepted reading, as known here [h]; never fewer than before.
    why
        What is said of it; None where it simply fits.
    """

    reading: MeterReading
    standing: Standing
    run_h: float
    why: Sentence | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterLog:
    """All readings of one meter in order of time.

    Parameters
    ----------
    meter
        What was read.
    readings
        Every one of them, also those that do not count.
    pace_h_per_day
        The usual pace [h/day].
    question
        What a person must say before the newest readings can count; None where nothing is open.
    """

    meter: MeterDefinition
    readings: tuple[JudgedReading, ...]
    pace_h_per_day: float
    question: Sentence | None

    @property
    def last(self) -> JudgedReading | None:
        """The newest reading that counts; None where none does."""
        counting = [each for each in self.readings if each.standing in _COUNTING]
        return counting[-1] if counting else None

    def age_days(self, now: datetime) -> float | None:
        """How old the newest reading that counts is [days]; None where none does.

        **Source** identity.
        """
        return None if self.last is None else max(0.0, (now - self.last.reading.at) / DAY)

    def asks_for_a_reading(self, now: datetime) -> Sentence | None:
        """What to say of a meter that was never read, or not for four weeks; None where it was read lately."""
        age_days = self.age_days(now)
        if age_days is None:
            return Sentence("This meter was never read. Read it; until then its dates are a guess from other machines.")
        if age_days < OLD_DAYS:
            return None
        return Sentence(
            "This meter was last read {age_days} ago. Read it again; its dates grow less sure.", age_days=age_days
        )


_COUNTING = {Standing.ACCEPTED, Standing.ROLLED_OVER, Standing.NEW_METER}


def meter_log(meter: MeterDefinition, readings: Sequence[MeterReading], *, now: datetime) -> MeterLog:
    """What is believed of one meter, told reading by reading.

    Parameters
    ----------
    meter
        The meter.
    readings
        In any order; a correction stands in the reading that it corrects.
    now
        Later readings lie in the future and do not count.

    Examples
    --------
    >>> from scrubwright.wear.meters import Counts
    >>> days = [datetime(2026, 5, day) for day in (1, 8, 15, 22)]
    >>> hours = [9960.0, 9990.0, 12.0, 35.0]
    >>> log = meter_log(
    ...     MeterDefinition(counts=Counts.KEY, digits=4, step_h=1.0),
    ...     [MeterReading(at=day, value_h=value) for day, value in zip(days, hours)],
    ...     now=datetime(2026, 5, 23),
    ... )
    >>> [each.run_h for each in log.readings]
    [0.0, 30.0, 52.0, 75.0]
    """
    ordered = sorted(readings, key=lambda reading: reading.at)
    start = ordered[0].at if ordered else now
    clean = cleaned(meter_batch([(meter, ordered)], start=start), now_days=(now - start) / DAY)
    pace_h_per_day = float(clean.pace_h_per_day[0])
    judged: list[JudgedReading] = []
    before: MeterReading | None = None
    for reading, code, run_h in zip(ordered, clean.standing[0].tolist(), clean.run_h[0].tolist(), strict=True):
        standing = STANDINGS[code]
        why = _why(meter, reading, standing, before, pace_h_per_day)
        judged.append(JudgedReading(reading=reading, standing=standing, run_h=run_h, why=why))
        if standing in _COUNTING:
            before = reading
    return MeterLog(
        meter=meter,
        readings=tuple(judged),
        pace_h_per_day=pace_h_per_day,
        question=_question(judged) if bool(clean.asks[0]) else None,
    )


def _question(judged: Sequence[JudgedReading]) -> Sentence:
    newest = [each.reading for each in judged if each.standing is Standing.DOES_NOT_FIT][-1]
    return Sentence(
        "The reading {value_h} of {day} does not fit those before it. Was it mistyped, or is it a new meter? Until you "
        "say so, or the next reading shows it, the earlier readings count.",
        value_h=newest.counted_h,
        day=newest.at.date().isoformat(),
    )


def _why(
    meter: MeterDefinition,
    reading: MeterReading,
    standing: Standing,
    before: MeterReading | None,
    pace_h_per_day: float,
) -> Sentence | None:
    day, value_h = reading.at.date().isoformat(), reading.counted_h
    if standing is Standing.ROLLED_OVER:
        return Sentence("By {day} the meter had passed its last digit and begun again at zero.", day=day)
    if standing is Standing.NEW_METER:
        return Sentence(
            "On {day} there is a new meter. The hours since the reading before are taken at the usual "
            "{pace_h_per_day}.",
            day=day,
            pace_h_per_day=pace_h_per_day,
        )
    if standing is Standing.MISTYPED:
        return Sentence("The reading {value_h} of {day} was mistyped and does not count.", value_h=value_h, day=day)
    if standing is Standing.IN_THE_FUTURE:
        return Sentence("The reading of {day} lies in the future; correct its date.", day=day)
    if standing is Standing.TOO_MANY_DIGITS:
        return Sentence(
            "The reading {value_h} of {day} has more digits than the meter, which has {digits} before the point. "
            "Correct the reading, or the digits of the meter.",
            value_h=value_h,
            day=day,
            digits=meter.digits,
        )
    return _why_it_does_not_fit(reading, before) if standing is Standing.DOES_NOT_FIT else None


def _why_it_does_not_fit(reading: MeterReading, before: MeterReading | None) -> Sentence:
    day, value_h = reading.at.date().isoformat(), reading.counted_h
    more_h = value_h - before.counted_h if before else 0.0
    if before and more_h < 0:
        return Sentence(
            "The reading {value_h} of {day} is lower than {before_h} of {before_day}. It is kept and does not count.",
            value_h=value_h,
            day=day,
            before_h=before.counted_h,
            before_day=before.at.date().isoformat(),
        )
    if before and more_h > MOST_H_PER_DAY * ((reading.at - before.at) / DAY):
        return Sentence(
            "The reading {value_h} of {day} is {more_h} above that of {before_day}, more than the time between them. "
            "It is kept and does not count.",
            value_h=value_h,
            day=day,
            more_h=more_h,
            before_day=before.at.date().isoformat(),
        )
    return Sentence(
        "The reading {value_h} of {day} does not fit those before and after it. It is kept and does not count.",
        value_h=value_h,
        day=day,
    )
