"""From dates to the answer: each line's day with where it comes from, how the meters stand, and what to ask."""

from collections.abc import Iterator, Sequence
from datetime import timedelta

import numpy as np

from scrubwright.jobs.due_answer import DueAnswer, DueItem, MeterStand, Rule, Standing
from scrubwright.jobs.due_dates import LineDates
from scrubwright.jobs.due_lines import METER_NAMES, DueLine
from scrubwright.jobs.due_lives import UsualLife, planned_change
from scrubwright.jobs.due_meters import KINDS, MeterFleet
from scrubwright.jobs.due_question import DueQuestion
from scrubwright.jobs.due_records import Begun, LineRecord
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.cleaning import STANDINGS
from scrubwright.wear.cleaning import Standing as Reading
from scrubwright.wear.meter_log import OLD_DAYS, MeterLog, meter_log
from scrubwright.wear.meters import Counts

# Days by the calendar that are told as half a day off belong to today.
_TODAY_DAYS = 0.5
# Of one meter no more single readings are told.
MOST_TOLD = 6
_FITS = STANDINGS.index(Reading.ACCEPTED)


def due_answer(
    question: DueQuestion,
    number: int,
    records: Sequence[LineRecord],
    dates: Sequence[LineDates],
    lives: dict[str, UsualLife],
    fleet: MeterFleet,
) -> DueAnswer:
    """The answer for one machine.

    Parameters
    ----------
    question
        What was asked.
    number
        Place of the machine among those asked about.
    records, dates
        Its lines and when they are due.
    lives
        How long parts last by their meters.
    fleet
        The meters of all machines.
    """
    items = [_item(question, record, found, lives) for record, found in zip(records, dates, strict=True)]
    items.sort(key=lambda item: (item.days.value, item.line.identity))
    meters = _meters(question, number, records, fleet)
    return DueAnswer(
        machine=question.machine.name,
        day=question.at.date(),
        horizon_days=question.horizon_days,
        items=tuple(items),
        meters=tuple(meters),
        questions=tuple(_questions(question, records)),
    )


def _item(question: DueQuestion, record: LineRecord, found: LineDates, lives: dict[str, UsualLife]) -> DueItem:
    line = record.line
    life = lives.get(line.identity)
    asks = question.failure_ratio is not None and life is not None
    return DueItem(
        line=line,
        rule=found.rule,
        days=_days(record, found, life),
        standing=_standing(found, question.horizon_days),
        due_fraction=found.due_fraction,
        last_done=record.begun_at.date() if record.begun is Begun.DONE else None,
        counted_from=record.begun_at.date(),
        run_h=found.run_h,
        change=planned_change(life, question.failure_ratio) if asks and life and question.failure_ratio else None,
        questions=found.questions,
    )


def _standing(found: LineDates, horizon_days: float) -> Standing:
    if found.rule is Rule.UNKNOWN:
        return Standing.LATER
    if found.likely_days <= -_TODAY_DAYS or found.high_days <= 0:
        return Standing.OVERDUE
    if found.likely_days <= _TODAY_DAYS:
        return Standing.DUE
    return Standing.SOON if found.likely_days <= horizon_days else Standing.LATER


def _days(record: LineRecord, found: LineDates, life: UsualLife | None) -> Sourced:
    line = record.line
    is_fixed = found.rule is Rule.CALENDAR and found.low_days == found.high_days
    origin = Origin.ESTIMATE
    if found.rule is Rule.CALENDAR:
        origin = line.grounds.origin
    elif found.rule is Rule.WEAR:
        origin = Origin.MEASURED
    return Sourced(
        name="due_days",
        value=found.likely_days,
        origin=origin,
        detail=Sentence("{interval}; {begun}", interval=_interval(line, found.rule, life), begun=_begun(record)),
        low=None if is_fixed else found.low_days,
        high=None if is_fixed else found.high_days,
    )


def _interval(line: DueLine, rule: Rule, life: UsualLife | None) -> Sentence:
    if rule is Rule.WEAR:
        return Sentence("by the line through what was measured")
    if rule is Rule.CALENDAR and line.life_days is not None:
        low, high = line.life_days
        if low == high:
            return Sentence("every {days} days", days=low)
        return Sentence("every {low} to {high} days", low=low, high=high)
    if line.meter is None or life is None:
        return Sentence("nothing to go by")
    meter = METER_NAMES[line.meter]
    if life.told.low is None or life.told.high is None:
        return Sentence("every {hours} hours of the {meter}", hours=round(life.told.value), meter=meter)
    low, high = round(life.told.low), round(life.told.high)
    if life.own is not None:
        return Sentence(
            "{low} to {high} hours of the {meter}, as {ends} of your own parts lasted",
            low=low,
            high=high,
            meter=meter,
            ends=life.own.ends,
        )
    return Sentence(
        "{low} to {high} hours of the {meter}, {origin}", low=low, high=high, meter=meter, origin=life.told.origin
    )


def _begun(record: LineRecord) -> Sentence:
    day = record.begun_at.date().isoformat()
    match record.begun:
        case Begun.DONE:
            return Sentence("last done {day}", day=day)
        case Begun.IN_SERVICE:
            return Sentence("not written down yet; counted from its first day in service, {day}", day=day)
        case Begun.FIRST_READING:
            return Sentence("not written down yet; counted from the first reading, {day}", day=day)
        case Begun.TODAY:
            return Sentence("nothing is written down yet; counted from today")


def _meters(
    question: DueQuestion, number: int, records: Sequence[LineRecord], fleet: MeterFleet
) -> Iterator[MeterStand]:
    needed = {record.line.meter for record in records}
    read = {each.meter.counts: each for each in question.machine.meters}
    for counts in KINDS:
        if counts not in needed and counts not in read:
            continue
        row = fleet.row(number, counts)
        count = int(fleet.batch.lengths[row])
        # Told reading by reading only where one of them does not simply fit.
        told = _reading_questions(question, counts, fleet, row) if count else _never_read(counts, fleet, row)
        last = int(fleet.clean.last[row])
        yield MeterStand(
            counts=counts,
            last_h=float(fleet.batch.value_h[row, last]) if last >= 0 else None,
            last_day=(fleet.start + timedelta(days=float(fleet.batch.at_days[row, last]))).date()
            if last >= 0
            else None,
            pace_h_per_day=float(fleet.clean.pace_h_per_day[row]),
            questions=told,
        )


def _never_read(counts: Counts, fleet: MeterFleet, row: int) -> tuple[Sentence, ...]:
    name = METER_NAMES[counts]
    if fleet.goes_by_key[row]:
        return (Sentence("The {meter} was never read; its hours are guessed from the key meter. Read it.", meter=name),)
    return (Sentence("The {meter} was never read; its dates are a guess from other machines. Read it.", meter=name),)


def _reading_questions(question: DueQuestion, counts: Counts, fleet: MeterFleet, row: int) -> tuple[Sentence, ...]:
    name = METER_NAMES[counts]
    last = int(fleet.clean.last[row])
    is_old = last < 0 or fleet.days(question.at) - float(fleet.last_days[row]) >= OLD_DAYS
    standings = fleet.clean.standing[row, : int(fleet.batch.lengths[row])]
    if not is_old and bool(np.all(standings == _FITS)):
        return ()
    known = next((each for each in question.machine.meters if each.meter.counts is counts), None)
    if known is None:
        return ()
    log = meter_log(known.meter, known.readings, now=question.at)
    said = [log.question, log.asks_for_a_reading(question.at), *_of_the_readings(log)]
    return tuple(Sentence("{meter}: {said}", meter=name, said=each) for each in said if each is not None)


def _of_the_readings(log: MeterLog) -> Iterator[Sentence]:
    """What is said of single readings, the newest first; those of the future in one sentence."""
    ahead = [each for each in log.readings if each.standing is Reading.IN_THE_FUTURE]
    misfits = [each for each in log.readings if each.standing is Reading.DOES_NOT_FIT]
    # The newest misfit stands in the open question already.
    left_out = [*ahead, *(misfits[-1:] if log.question is not None else ())]
    told = [each.why for each in reversed(log.readings) if each.why is not None and each not in left_out]
    yield from told[:MOST_TOLD]
    if len(told) > MOST_TOLD:
        yield Sentence("and {count} more", count=len(told) - MOST_TOLD)
    if ahead:
        yield Sentence(
            "Readings dated after today do not count: {count}. The first is of {day}; correct its date.",
            count=len(ahead),
            day=ahead[0].reading.at.date().isoformat(),
        )


def _questions(question: DueQuestion, records: Sequence[LineRecord]) -> Iterator[Sentence]:
    known = {record.line.identity for record in records} | {record.line.occasion for record in records}
    unknown = sorted({change.line for change in question.machine.changes} - {str(each) for each in known if each})
    if unknown:
        yield Sentence(
            "These lines are not in the catalogue of this machine: {lines}. Check how they are written, or whether "
            "the machine has them.",
            lines=", ".join(unknown),
        )
    ahead = [change for change in question.machine.changes if change.at > question.at]
    if ahead:
        yield Sentence(
            "Changes dated after today do not count: {count}. The first is of {day}; correct its date.",
            count=len(ahead),
            day=min(change.at for change in ahead).date().isoformat(),
        )
    without = sum(record.begun is not Begun.DONE for record in records)
    if without:
        yield Sentence(
            "Never written down as done: {count} of {lines} lines. Their parts may be older than counted here, and due "
            "sooner. Write down when each was last done.",
            count=without,
            lines=len(records),
        )
