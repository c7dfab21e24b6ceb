"""The days of many lines at once: by the calendar, by their meter's hours, or by their measured wear."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scrubwright.jobs.due_answer import Rule
from scrubwright.jobs.due_lives import UsualLife, calendar_fraction
from scrubwright.jobs.due_meters import MeterFleet, key_row
from scrubwright.jobs.due_question import Change, DueQuestion
from scrubwright.jobs.due_records import LineRecord, line_of_wear, measured_changes
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.due_date import due_by_fraction, due_days
from scrubwright.wear.hours_left import LINE_VALUES, HoursLeft, left_by_line
from scrubwright.wear.life import FloatArray
from scrubwright.wear.ratio import MachineRatio, left_by_key
from scrubwright.wear.usage import HORIZON_DAYS

# Of a usual life these few values meet each value of the ratio: 10, 30, 50, 70 and 90 %.
_FEW = np.array([1, 4, 7, 10, 13])
_EVEN = np.full(LINE_VALUES, 1.0 / LINE_VALUES)
_SURE = np.eye(LINE_VALUES)[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineDates:
    """When one line is due.

    Parameters
    ----------
    rule
        What asks first.
    low_days, likely_days, high_days
        From today on [days]; below zero where the calendar's day is past.
    due_fraction
        Chance that it is due within the horizon.
    run_h
        Hours of its meter since the interval began [h]; None where no meter tells.
    questions
        What must be asked of its measurements.
    """

    rule: Rule
    low_days: float
    likely_days: float
    high_days: float
    due_fraction: float
    run_h: float | None
    questions: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Hours:
    """Hours left of one line, from the last reading of the meter that tells them."""

    row: int
    read_days: float
    left_h: FloatArray
    share: FloatArray
    run_h: float | None
    is_measured: bool = False
    questions: tuple[Sentence, ...] = ()
    # Where the key meter tells them: which meter it stands for, and its hours since then.
    stands_for: int | None = None
    key_since_h: float = 0.0


def line_dates(
    questions: Sequence[DueQuestion],
    records: Sequence[LineRecord],
    lives: dict[str, UsualLife],
    fleet: MeterFleet,
) -> list[LineDates]:
    """When every line is due.

    Parameters
    ----------
    questions
        Of all machines, asked at one time.
    records
        The lines of all machines.
    lives
        How long they last by their meters.
    fleet
        The meters.
    """
    measured = [measured_changes(question) for question in questions]
    hours = [
        None
        if record.row is None
        else _hours(record, record.row, measured[record.machine].get(record.line.identity, ()), lives, fleet)
        for record in records
    ]
    by_meter, chance = _by_meter(hours, questions[0], fleet)
    by_calendar, calendar_chance = _by_calendar(records, questions[0])
    is_calendar = by_calendar[1] <= by_meter[1]
    ends = np.minimum(by_meter, by_calendar)
    chances = np.maximum(chance, calendar_chance)
    return [
        LineDates(
            rule=_rule(bool(is_calendar[number]), bool(ends[1, number] < HORIZON_DAYS), told),
            low_days=float(ends[0, number]),
            likely_days=float(ends[1, number]),
            high_days=float(ends[2, number]),
            due_fraction=float(chances[number]),
            run_h=None if told is None else told.run_h,
            questions=() if told is None else told.questions,
        )
        for number, told in enumerate(hours)
    ]


def _rule(is_calendar: bool, is_known: bool, hours: _Hours | None) -> Rule:
    if not is_known:
        return Rule.UNKNOWN
    if is_calendar or hours is None:
        return Rule.CALENDAR
    return Rule.WEAR if hours.is_measured else Rule.METER


def _hours(
    record: LineRecord, row: int, measured: Sequence[Change], lives: dict[str, UsualLife], fleet: MeterFleet
) -> _Hours:
    wear, questions = line_of_wear(record, measured, fleet)
    by_key = bool(fleet.goes_by_key[row])
    by = key_row(row) if by_key else row
    read_days = float(fleet.last_days[by])
    begun_days = fleet.days(record.begun_at)
    # Below zero where it was done after the last reading: until then it lived no hour of these.
    run_h = fleet.run_h(row, read_days) - fleet.run_h(row, begun_days)
    told_h = max(0.0, run_h)
    if wear is not None:
        since_h = fleet.run_h(row, read_days) - wear.last_h
        left_h = left_by_line(wear.left_at_h, run_since_h=since_h).left_h[0]
        ratio = float(fleet.ratios.mean_ratio[row]) if by_key else 1.0
        return _Hours(
            row=by,
            read_days=read_days,
            left_h=left_h / ratio,
            share=_EVEN,
            run_h=told_h,
            is_measured=True,
            questions=questions,
        )
    life = lives[record.line.identity]
    share = _SURE if life.is_sure else _EVEN
    if not fleet.is_read[by]:
        # Never read: from the day that it is counted from, at the pace of any machine.
        return _Hours(row=row, read_days=begun_days, left_h=life.values_h, share=share, run_h=None, questions=questions)
    if not by_key:
        return _Hours(
            row=row, read_days=read_days, left_h=life.values_h - run_h, share=share, run_h=told_h, questions=questions
        )
    told_days = max(begun_days, float(fleet.last_days[row])) if fleet.is_read[row] else begun_days
    own_h = fleet.run_h(row, told_days) - fleet.run_h(row, begun_days)
    return _Hours(
        row=by,
        read_days=read_days,
        left_h=life.values_h[_FEW] - own_h,
        share=np.full(len(_FEW), 1.0 / len(_FEW)),
        run_h=told_h,
        questions=questions,
        stands_for=row,
        key_since_h=max(0.0, fleet.run_h(by, read_days) - fleet.run_h(by, told_days)),
    )


def _by_meter(
    hours: Sequence[_Hours | None], question: DueQuestion, fleet: MeterFleet
) -> tuple[FloatArray, FloatArray]:
    """Low, likely and high day of each line by its meter or wear, from today, and the chance by the horizon."""
    ends, chance = np.full((3, len(hours)), np.inf), np.zeros(len(hours))
    direct = [(number, each) for number, each in enumerate(hours) if each is not None and each.stands_for is None]
    by_key = [(number, each) for number, each in enumerate(hours) if each is not None and each.stands_for is not None]
    today_days = fleet.days(question.at)
    for told, left in ((direct, _left_direct), (by_key, _left_through_key)):
        if not told:
            continue
        numbers = np.array([number for number, _ in told])
        mine = [each for _, each in told]
        rows = np.array([each.row for each in mine])
        usage, hours_left = fleet.usage.of(rows), left(mine, fleet)
        read_days = np.array([each.read_days for each in mine])
        due = due_days(usage, hours_left, read_days=read_days, today_days=today_days, clock=fleet.clock)
        ends[:, numbers] = np.array([due.low_days, due.likely_days, due.high_days]) - today_days
        chance[numbers] = due_by_fraction(
            usage,
            hours_left,
            read_days=read_days,
            by_days=today_days + question.horizon_days,
            clock=fleet.clock,
        )
    return ends, chance


def _left_direct(hours: Sequence[_Hours], _: MeterFleet) -> HoursLeft:
    return HoursLeft(
        left_h=np.array([each.left_h for each in hours]), share_fraction=np.array([each.share for each in hours])
    )


def _left_through_key(hours: Sequence[_Hours], fleet: MeterFleet) -> HoursLeft:
    """Each of a few lives with each of the ratios that the meter may have to the key meter."""
    rows = np.array([each.stands_for for each in hours], dtype=np.int64)
    ratio = MachineRatio(mean_ratio=fleet.ratios.mean_ratio[rows], sd_ratio=fleet.ratios.sd_ratio[rows])
    key_since_h = np.array([each.key_since_h for each in hours])
    columns = np.array([each.left_h for each in hours]).T
    parts = [left_by_key(column, ratio, key_since_h=key_since_h) for column in columns]
    return HoursLeft(
        left_h=np.concatenate([part.left_h for part in parts], axis=1),
        share_fraction=np.concatenate([part.share_fraction for part in parts], axis=1) / len(parts),
    )


def _by_calendar(records: Sequence[LineRecord], question: DueQuestion) -> tuple[FloatArray, FloatArray]:
    """Low, likely and high day of each line by the calendar, from today, and the chance by the horizon."""
    ends, chance = np.full((3, len(records)), np.inf), np.zeros(len(records))
    for number, record in enumerate(records):
        if record.line.life_days is None:
            continue
        low, high = record.line.life_days
        age_days = float((question.at.date() - record.begun_at.date()).days)
        ends[:, number] = (low - age_days, math.sqrt(low * high) - age_days, high - age_days)
        chance[number] = calendar_fraction(record.line.life_days, age_days + question.horizon_days)
    return ends, chance
