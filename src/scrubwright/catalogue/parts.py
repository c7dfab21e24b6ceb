"""A part of the machine and all that the trade knows of it; the catalogue is all parts."""

from dataclasses import dataclass
from enum import StrEnum

from scrubwright.catalogue.checks import Check, Grounds, Result, Skill, Station, WornBy
from scrubwright.catalogue.terms import Condition
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import unit_of


class Hazard(StrEnum):
    """What can hurt."""

    ACID = "acid"
    HYDROGEN = "hydrogen"
    CURRENT = "current"
    MOVING_PARTS = "moving parts"
    TIPPING = "tipping"
    ROLLING = "rolling"
    WET_FLOOR = "wet floor"
    CHEMICALS = "chemicals"
    PRESSURE = "pressure"
    HEAT = "heat"
    LIFTING = "lifting"
    NOISE = "noise"


class ServiceAction(StrEnum):
    """What a service item asks for."""

    REPLACE = "replace"
    CLEAN = "clean"
    ADJUST = "adjust"
    GREASE = "grease"
    SWAP = "swap"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazardous:
    """A caution, shown at the step where it bites."""

    identity: str
    hazard: Hazard
    text: Sentence
    grounds: Grounds


@dataclass(frozen=True, slots=True, kw_only=True)
class WearLimit:
    """How far something may wear.

    Parameters
    ----------
    name
        What is measured, with its unit, e.g. "limit_m".
    value
        The limit.
    """

    name: str
    value: float

    def __post_init__(self) -> None:
        if unit_of(self.name) is None:
            raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceItem:
    """What wears, or is cleaned, adjusted, greased or swapped at intervals.

    Parameters
    ----------
    identity, part, name
        Its name in the catalogue, the part it belongs to, and what people call it.
    action
        What is done.
    applies_when
        Which machines have it.
    count
        How many of them one machine has.
    measured
        How wear is told.
    meter
        The meter whose hours it lives by.
    life_h
        Typical life, low and high, by that meter [h]; None by calendar alone.
    life_days
        Typical life by the calendar, low and high [days]; None where only hours count.
    limit, new
        How far it may wear, and how it is when new; None where that cannot be measured or differs.
    takes_min
        Work for all of them at once [min].
    cost_ratio
        Low and high, in prices of one rear blade.
    """

    identity: str
    part: str
    name: Sentence
    action: ServiceAction
    applies_when: Condition
    count: int
    measured: Sentence
    meter: WornBy
    life_h: tuple[float, float] | None
    life_days: tuple[int, int] | None
    limit: WearLimit | None
    new: WearLimit | None
    takes_min: float
    cost_ratio: tuple[float, float]
    skill: Skill
    grounds: Grounds

    def __post_init__(self) -> None:
        if not self.count >= 1:
            raise BadInput('Service item "{item}" has count 0; enter how many a machine has.', item=self.identity)
        if (self.life_h is None) != (self.meter is WornBy.CALENDAR):
            raise BadInput(
                'Service item "{item}": give life_h with a meter, or meter = "calendar" and life_days alone.',
                item=self.identity,
            )
        if self.life_h is None and self.life_days is None:
            raise BadInput('Service item "{item}" has no life; give life_h, life_days or both.', item=self.identity)
        for ends in (self.life_h, self.life_days):
            if ends is not None and not 0 < ends[0] <= ends[1]:
                raise BadInput(
                    'Service item "{item}": a life is given as two numbers above zero, the low one first.',
                    item=self.identity,
                )
        if not 0 <= self.cost_ratio[0] <= self.cost_ratio[1]:
            raise BadInput('Service item "{item}": cost_ratio is two numbers, the low one first.', item=self.identity)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFault:
    """A fault that a part can cause: the cause, what the driver sees, and what it means for running."""

    identity: str
    part: str
    cause: Sentence
    shows: Sentence
    result: Result
    by_operator: bool
    grounds: Grounds


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonStep:
    """One line of a job breakdown: the important step, its key point, and the reason."""

    step: Sentence
    key: Sentence
    reason: Sentence


# A teaching unit holds about eight steps: Training Within Industry, job instruction (from memory).
MOST_STEPS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """A job broken down for teaching, at most eight steps, for about so many minutes [min]."""

    identity: str
    part: str
    title: Sentence
    takes_min: float
    steps: tuple[LessonStep, ...]
    applies_when: Condition

    def __post_init__(self) -> None:
        if not 1 <= len(self.steps) <= MOST_STEPS:
            raise BadInput(
                'Lesson "{lesson}" has {steps} steps; a unit has from 1 to {most}. Split it in two.',
                lesson=self.identity,
                steps=len(self.steps),
                most=MOST_STEPS,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of the machine."""

    identity: str
    name: Sentence
    does: Sentence
    station: Station
    applies_when: Condition
    cautions: tuple[Hazardous, ...] = ()
    checks: tuple[Check, ...] = ()
    service: tuple[ServiceItem, ...] = ()
    faults: tuple[PartFault, ...] = ()
    lessons: tuple[Lesson, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """All parts; identities are unique, every caution named exists, every condition can be met."""

    parts: tuple[Part, ...]

    def __post_init__(self) -> None:
        self._check_unique()
        self._check_reachable()
        known = {caution.identity for caution in self.cautions}
        for check in self.checks:
            for named in check.cautions:
                if named not in known:
                    raise BadInput(
                        'Check "{check}" names the caution "{caution}", which no part has.',
                        check=check.identity,
                        caution=named,
                    )

    def _check_unique(self) -> None:
        kinds = (self.parts, self.checks, self.service, self.faults, self.lessons, self.cautions)
        for names in ([line.identity for line in kind] for kind in kinds):
            if twice := next((name for name in names if names.count(name) > 1), None):
                raise BadInput('Two lines of the catalogue are called "{id}"; give each its own id.', id=twice)

    def _check_reachable(self) -> None:
        lines: tuple[Part | Check | ServiceItem | Lesson, ...] = (
            *self.parts,
            *self.checks,
            *self.service,
            *self.lessons,
        )
        for line in lines:
            if not line.applies_when.reachable:
                raise BadInput(
                    'No machine can meet applies_when of "{id}"; a machine has one deck and one kind of battery.',
                    id=line.identity,
                )

    @property
    def checks(self) -> tuple[Check, ...]:
        """All checks, part by part."""
        return tuple(check for part in self.parts for check in part.checks)

    @property
    def service(self) -> tuple[ServiceItem, ...]:
        """All service items."""
        return tuple(item for part in self.parts for item in part.service)

    @property
    def faults(self) -> tuple[PartFault, ...]:
        """All faults."""
        return tuple(fault for part in self.parts for fault in part.faults)

    @property
    def lessons(self) -> tuple[Lesson, ...]:
        """All lessons."""
        return tuple(lesson for part in self.parts for lesson in part.lessons)

    @property
    def cautions(self) -> tuple[Hazardous, ...]:
        """All cautions."""
        return tuple(caution for part in self.parts for caution in part.cautions)
