"""Which due lines to do on one trip: going early throws life away, going late risks a failure, a trip costs money."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from scrubwright.jobs.due_answer import DueAnswer, Rule
from scrubwright.jobs.due_rows import DueRow, due_rows
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.wear.grouping import Urgency, VisitJob, VisitSite, visit_plan
from scrubwright.wear.life import FloatArray

# One hour of work costs about as much as one rear blade (common practice).
PRICE_PER_HOUR_RATIO = 1.0
# What a check or a part due by a fixed date loses when it is done a day early or late is small, yet not nothing.
_LEAST_PRICE_RATIO = 0.1
_BAND_HALF = 0.4
_SITE = "site"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueVisit:
    """One trip: its day, the rows done on it with their machines, and the work [h]."""

    day: date
    rows: tuple[tuple[str, DueRow], ...]
    work_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitsAnswer:
    """The trips of the coming weeks.

    Parameters
    ----------
    visits
        By day.
    not_planned
        Rows for which no hours are left, with their machines.
    machines_that_stand
        Machines of which a check that can stop them has no hours left by its day.
    """

    visits: tuple[DueVisit, ...]
    not_planned: tuple[tuple[str, DueRow], ...]
    machines_that_stand: tuple[str, ...]


def due_visits(
    answers: Sequence[DueAnswer],
    *,
    trip_ratio: float,
    failure_ratio: float,
    day_h: float = 8.0,
    weekdays: tuple[bool, ...] = (True,) * 7,
    patience_s: float = 10.0,
) -> VisitsAnswer:
    """The cheapest days for all that falls due within the horizon, machines of one site together.

    Parameters
    ----------
    answers
        What is due on each machine of the site.
    trip_ratio
        What a trip costs, in prices of one rear blade [>= 0].
    failure_ratio
        What a failure costs, in prices of a planned change [> 1].
    day_h
        Hours of work that one day holds [h, > 0].
    weekdays
        Days on which somebody can come, Monday first.
    patience_s
        How long the search may take [s, > 0].

    Raises
    ------
    BadInput
        A value outside its range, or no machine.

    Notes
    -----
    The price of a day grows with the share of life thrown away before the likely day, and with the chance of a
    failure after it. A check that can stop the machine is never later than its day.
    """
    check_zero_or_more("trip_ratio", trip_ratio)
    check_above_zero("day_h", day_h)
    if not failure_ratio > 1 or not answers:
        raise BadInput("Ask for at least one machine, and let a failure cost more than a planned change.")
    days = int(answers[0].horizon_days)
    begin = answers[0].day
    found: dict[str, tuple[str, DueRow]] = {}
    jobs = []
    for answer in answers:
        for row in due_rows(answer):
            if row.first.rule is not Rule.UNKNOWN and row.first.days.value < days:
                name = str(len(found))
                found[name] = (answer.machine, row)
                jobs.append(_job(name, row, begin, days, failure_ratio))
    open_h = np.array([day_h * weekdays[(begin + timedelta(days=day)).weekday()] for day in range(days)])
    plan = visit_plan(jobs, [VisitSite(name=_SITE, trip_money=trip_ratio)], day_h=open_h, patience_s=patience_s)
    visits = tuple(
        DueVisit(
            day=begin + timedelta(days=visit.day),
            rows=tuple(found[name] for name in visit.jobs),
            work_h=sum(found[name][1].takes_min for name in visit.jobs) / 60.0,
        )
        for visit in plan.visits
    )
    return VisitsAnswer(
        visits=visits,
        not_planned=tuple(found[name] for name in plan.not_planned),
        machines_that_stand=tuple(dict.fromkeys(found[name][0] for name in plan.machine_must_stand)),
    )


def _job(name: str, row: DueRow, today: date, days: int, failure_ratio: float) -> VisitJob:
    can_stop = any(item.line.can_stop for item in row.items)
    latest = min(max(int(row.first.days.value), 0), days - 1) if can_stop else days - 1
    return VisitJob(
        name=name,
        site=_SITE,
        work_h=row.takes_min / 60.0,
        penalty_money=_penalty_ratio(row, today, days, failure_ratio),
        earliest_day=0,
        latest_day=latest,
        urgency=Urgency.STOPS_MACHINE if can_stop else Urgency.SOON,
        is_safety=can_stop,
    )


def _penalty_ratio(row: DueRow, today: date, days: int, failure_ratio: float) -> FloatArray:
    """What each day costs beside the likely one, in prices of one rear blade, shape (days,)."""
    item = row.first
    price = sum(each.line.price_ratio for each in row.items) + PRICE_PER_HOUR_RATIO * row.takes_min / 60.0
    likely_days = max(item.days.value, 0.0)
    high_days = likely_days if item.days.high is None else item.days.high
    interval_days = (today - item.counted_from).days + likely_days
    at_days = np.arange(days, dtype=np.float64)
    thrown_away = np.maximum(likely_days - at_days, 0.0) / max(interval_days, 1.0)
    # From the likely day to the band's late end the chance that it was due rises by four in ten.
    too_late = _BAND_HALF * np.clip((at_days - likely_days) / max(high_days - likely_days, 1.0), 0.0, 1.0)
    told: FloatArray = max(price, _LEAST_PRICE_RATIO) * (thrown_away + (failure_ratio - 1.0) * too_late)
    return told
