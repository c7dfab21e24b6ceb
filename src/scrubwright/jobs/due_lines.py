"""What falls due on a machine by the catalogue: service items and periodic checks, each with its interval."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from scrubwright.catalogue.checks import Check, Grounds, Occasion, Result, Skill, WornBy
from scrubwright.catalogue.parts import Catalogue, ServiceAction, ServiceItem
from scrubwright.catalogue.terms import Term
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.meters import Counts

# A check of these occasions comes round by itself every shift, so it never falls due.
EVERY_SHIFT = frozenset({Occasion.BEFORE_SHIFT, Occasion.WHILE_RUNNING, Occasion.AT_THE_DUMP, Occasion.AFTER_SHIFT})
WEEK_DAYS, MONTH_DAYS, YEAR_DAYS = 7, 30, 365
_LENGTH_LIMIT, _LENGTH_NEW = "limit_m", "new_m"


METER_NAMES: Mapping[Counts, Sentence] = MappingProxyType(
    {
        Counts.KEY: Sentence("key meter"),
        Counts.TRACTION: Sentence("traction meter"),
        Counts.BRUSH: Sentence("brush meter"),
        Counts.VACUUM: Sentence("vacuum meter"),
    }
)


class Task(StrEnum):
    """What is done when a line is due."""

    REPLACE = "replace"
    CLEAN = "clean"
    ADJUST = "adjust"
    GREASE = "grease"
    SWAP = "swap"
    CHECK = "check"


_TASKS = {action: Task(action.value) for action in ServiceAction}


@dataclass(frozen=True, slots=True, kw_only=True)
class DueLine:
    """One thing that falls due.

    Parameters
    ----------
    identity, name
        Its name in the catalogue, and what people call it.
    task
        What is done.
    occasion
        Of a check: the round that it belongs to; None for a service item.
    meter
        The meter whose hours count; None by calendar alone.
    life_h
        Low and high of its usual life by that meter [h]; both the same for a fixed interval; None by calendar alone.
    life_days
        The same by the calendar [days]; None where only hours count.
    limit_m, new_m
        How far it may wear and how it is when new, where that is a length [m]; None else.
    count
        Pieces that are changed together.
    takes_min
        Work [min].
    price_ratio
        Middle of its price, in prices of one rear blade.
    skill
        Who can do it.
    can_stop
        Whether a bad finding keeps the machine from running.
    grounds
        Where the interval comes from.
    """

    identity: str
    name: Sentence
    task: Task
    occasion: Occasion | None
    meter: Counts | None
    life_h: tuple[float, float] | None
    life_days: tuple[int, int] | None
    limit_m: float | None
    new_m: float | None
    count: int
    takes_min: float
    price_ratio: float
    skill: Skill
    can_stop: bool
    grounds: Grounds


def due_lines(catalogue: Catalogue, facts: frozenset[Term]) -> tuple[DueLine, ...]:
    """The service items and periodic checks that a machine of these facts has, part by part.

    Parameters
    ----------
    catalogue
        What the trade knows, a shop's own lines laid over it.
    facts
        What the machine and its site are.
    """
    return tuple(_lines(catalogue, facts))


def _lines(catalogue: Catalogue, facts: frozenset[Term]) -> Iterator[DueLine]:
    for part in catalogue.parts:
        if not part.applies_when.holds(facts):
            continue
        yield from (_of_item(item) for item in part.service if item.applies_when.holds(facts))
        for check in part.checks:
            if check.applies_when.holds(facts) and not EVERY_SHIFT & set(check.when):
                yield from _of_check(check, facts)


def _of_item(item: ServiceItem) -> DueLine:
    limit, new = item.limit, item.new
    return DueLine(
        identity=item.identity,
        name=item.name,
        task=_TASKS[item.action],
        occasion=None,
        meter=_meter(item.meter),
        life_h=item.life_h,
        life_days=item.life_days,
        limit_m=limit.value if limit is not None and limit.name == _LENGTH_LIMIT else None,
        new_m=new.value if new is not None and new.name == _LENGTH_NEW else None,
        count=item.count,
        takes_min=item.takes_min,
        price_ratio=sum(item.cost_ratio) / 2,
        skill=item.skill,
        can_stop=False,
        grounds=item.grounds,
    )


def _of_check(check: Check, facts: frozenset[Term]) -> Iterator[DueLine]:
    days = min(_interval_days(check), default=None)
    if days is None and check.every_h is None:
        return
    stops_here = check.stop_when is not None and check.stop_when.holds(facts)
    yield DueLine(
        identity=check.identity,
        name=check.look,
        task=Task.CHECK,
        occasion=next(each for each in check.when if each is not Occasion.AFTER_IDLENESS),
        meter=None if check.meter is None else _meter(check.meter),
        life_h=None if check.every_h is None else (check.every_h, check.every_h),
        life_days=None if days is None else (days, days),
        limit_m=None,
        new_m=None,
        count=1,
        takes_min=check.takes_min,
        price_ratio=0.0,
        skill=check.skill,
        can_stop=check.if_not is Result.STOP or stops_here,
        grounds=check.grounds,
    )


def _interval_days(check: Check) -> Iterator[int]:
    if Occasion.WEEKLY in check.when:
        yield WEEK_DAYS
    if Occasion.MONTHLY in check.when:
        yield MONTH_DAYS
    if check.every_years is not None:
        yield check.every_years * YEAR_DAYS


def _meter(worn_by: WornBy) -> Counts | None:
    return None if worn_by is WornBy.CALENDAR else Counts(worn_by.value)
