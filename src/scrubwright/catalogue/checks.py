"""A check of the walk-round: where to stand, what to do and look at, what is good, and what it decides."""

from dataclasses import dataclass
from enum import StrEnum

from scrubwright.catalogue.terms import Condition
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import unit_of


class Occasion(StrEnum):
    """When a check is due."""

    BEFORE_SHIFT = "before shift"
    WHILE_RUNNING = "while running"
    AT_THE_DUMP = "at the dump"
    AFTER_SHIFT = "after shift"
    WEEKLY = "weekly"
    MONTHLY = "monthly"
    BY_HOURS = "by hours"
    YEARLY = "yearly"
    AFTER_IDLENESS = "after idleness"


class Station(StrEnum):
    """Where one stands, in walking order: first around the machine, then clockwise as seen from above."""

    AROUND = "around"
    SEAT = "seat"
    LEFT_SIDE = "left side"
    FRONT = "front"
    RIGHT_SIDE = "right side"
    REAR = "rear"


class State(StrEnum):
    """What the machine does meanwhile, in the order of the walk."""

    KEY_OFF = "key off"
    KEY_ON = "key on"
    MOVING = "moving"


class Result(StrEnum):
    """What was seen means for running, from mild to grave."""

    GOOD = "good"
    NOTE = "note"
    FIX = "fix"
    STOP = "stop"

    @property
    def rank(self) -> int:
        """0 for good up to 3 for a stop."""
        return list(Result).index(self)


class Skill(StrEnum):
    """Who can do it, from the driver up."""

    OPERATOR = "operator"
    LEAD = "lead"
    TECHNICIAN = "technician"

    @property
    def rank(self) -> int:
        """0 for the operator up to 2 for the technician."""
        return list(Skill).index(self)


class Protection(StrEnum):
    """What to wear."""

    GLOVES = "gloves"
    EYES = "eye protection"
    ACID = "face shield, apron and acid gloves"
    HEARING = "hearing protection"
    SHOES = "slip-resistant shoes"


class WornBy(StrEnum):
    """The meter whose hours an interval or a life counts; the calendar where rubber ages by itself."""

    KEY = "key"
    TRACTION = "traction"
    BRUSH = "brush"
    VACUUM = "vacuum"
    CALENDAR = "calendar"


class Against(StrEnum):
    """What a measured number is held against."""

    LIMIT = "limit"
    PLATE = "plate"
    BASELINE = "baseline"


@dataclass(frozen=True, slots=True, kw_only=True)
class Grounds:
    """Where a line of the catalogue comes from.

    Parameters
    ----------
    origin
        Published, common practice, from memory, plate, or measured by a shop.
    detail
        Body, title, year, section; empty for common practice.
    changed
        What a shop's own files changed here: "file: key", in the order they were laid over.
    """

    origin: Origin
    detail: str = ""
    changed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One thing that the person may see, and what it means."""

    saw: Sentence
    result: Result


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A number that the person reads off.

    Parameters
    ----------
    what
        What it is in words, e.g. "Stopping distance".
    name
        Its name with its unit, e.g. "value_m".
    against
        Limits as given here; the plate's own number; or ratios to this machine's first values.
    low, high
        The ends that are still good, in that unit, or as ratios to the baseline; None where open.
    """

    what: Sentence
    name: str
    against: Against
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        if unit_of(self.name) is None:
            raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=self.name)
        if (self.against is Against.PLATE) != (self.low is None and self.high is None):
            raise BadInput(
                "A number held against the plate has no limits of its own; any other has at_least, at_most or both."
            )
        if self.low is not None and self.high is not None and not self.low < self.high:
            raise BadInput("at_least must lie below at_most; give the smaller number first.")

    def is_good(self, name: str, value: float, baseline: float | None = None) -> bool:
        """Whether a reading lies within the limits.

        Parameters
        ----------
        name
            The name that carries the unit of both numbers; the one of this record.
        value
            What was read.
        baseline
            This machine's own first value, or the plate's; None where there is none yet, and then
            such a reading is good: it becomes the baseline.

        Raises
        ------
        BadInput
            The reading is in another unit.
        """
        if name != self.name:
            raise BadInput("The reading is given as {given}; give it as {name}.", given=name, name=self.name)
        match self.against:
            case Against.LIMIT:
                held = value
            case Against.BASELINE:
                if baseline is None or baseline == 0:
                    return True
                held = value / baseline
            case Against.PLATE:
                return baseline is None or value <= baseline
        return (self.low is None or held >= self.low) and (self.high is None or held <= self.high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check.

    Parameters
    ----------
    identity, part
        Its name in the catalogue, and the part it belongs to.
    when
        Its occasions.
    applies_when
        Which machines and sites have it.
    look, good, why, do
        What to do; how it looks when good; why; what to do when it is not.
    if_not
        The gravest thing it can say; `stop_when` makes it a stop where that holds.
    release
        Who may close a stop; None where it never stops.
    takes_min
        How long it takes a practised person [min].
    seen, measured
        What may be seen, good first; or the number that is read off. One of the two.
    every_h, meter
        The interval of a check by hours [h].
    every_years, idle_days
        The interval of a yearly check; how long a rest asks for a check after idleness.
    """

    identity: str
    part: str
    when: tuple[Occasion, ...]
    applies_when: Condition
    station: Station
    state: State
    look: Sentence
    good: Sentence
    why: Sentence
    do: Sentence
    if_not: Result
    stop_when: Condition | None
    release: Skill | None
    skill: Skill
    takes_min: float
    protection: tuple[Protection, ...]
    cautions: tuple[str, ...]
    seen: tuple[Seen, ...]
    measured: Measured | None
    grounds: Grounds
    every_h: float | None = None
    meter: WornBy | None = None
    every_years: int | None = None
    idle_days: int | None = None

    def __post_init__(self) -> None:
        if not self.when:
            raise BadInput('Check "{check}" has no occasion; say when it is done.', check=self.identity)
        if not 0 <= self.takes_min <= 240:
            raise BadInput(
                'Check "{check}" takes {given_min}; enter from 0 to 240 minutes.',
                check=self.identity,
                given_min=self.takes_min,
            )
        self._check_interval()
        self._check_stop()
        self._check_answers()

    def _check_interval(self) -> None:
        if (Occasion.BY_HOURS in self.when) != (self.every_h is not None and self.meter is not None):
            raise BadInput(
                'Check "{check}" is done by hours only with every_h and meter together; give both or neither.',
                check=self.identity,
            )
        if self.every_h is not None and not self.every_h > 0:
            raise BadInput('Check "{check}" has every_h = 0; enter hours above zero.', check=self.identity)
        if (Occasion.YEARLY in self.when) != (self.every_years is not None):
            raise BadInput('Check "{check}" is yearly only with every_years; give both.', check=self.identity)
        if (Occasion.AFTER_IDLENESS in self.when) != (self.idle_days is not None):
            raise BadInput('Check "{check}" follows idleness only with idle_days; give both.', check=self.identity)

    def _check_stop(self) -> None:
        if self.if_not is Result.GOOD:
            raise BadInput(
                'Check "{check}" says that a bad finding is good; if_not is note, fix or stop.', check=self.identity
            )
        if self.can_stop != (self.release is not None):
            raise BadInput(
                'Check "{check}": whatever stops a machine names who may release it (release = lead or technician), '
                "and nothing else does.",
                check=self.identity,
            )
        if self.release is Skill.OPERATOR:
            raise BadInput(
                'Check "{check}": a stop is closed by a lead or a technician, not by the operator.', check=self.identity
            )

    def _check_answers(self) -> None:
        if (self.measured is None) == (not self.seen):
            raise BadInput(
                'Check "{check}" needs either what may be seen or a number to read off, not both.', check=self.identity
            )
        if self.measured is None:
            self._check_seen()

    def _check_seen(self) -> None:
        results = [each.result for each in self.seen]
        if len(results) < 2 or results[0] is not Result.GOOD:
            raise BadInput(
                'Check "{check}" lists what may be seen: the good one first, and at least one more.',
                check=self.identity,
            )
        if max(results, key=lambda result: result.rank) is not self.if_not:
            raise BadInput(
                'Check "{check}": the gravest thing seen and if_not differ; make them the same.', check=self.identity
            )

    @property
    def can_stop(self) -> bool:
        """Whether a finding can keep the machine from running."""
        return self.if_not is Result.STOP or self.stop_when is not None
