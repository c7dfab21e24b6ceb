"""The catalogue file: its tables and keys, and what each means.

The same tables serve the files that ship with the program and those that a shop lays over them.
Limits of checks are in the unit that `unit` names, in SI as the units table counts it.
"""

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from scrubwright.catalogue.checks import Against, Occasion, Protection, Result, Skill, State, Station, WornBy
from scrubwright.catalogue.parts import Hazard, ServiceAction
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.toml_keys import Table

Id = Annotated[
    str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60), Sentence("Its name: small letters, digits, dashes.")
]
Conditions = Annotated[
    str, Sentence('Which machines and sites have it: facts joined by and, or, not; "always" for all.')
]
Ends = tuple[float, float]


def _from_memory(value: Any) -> Any:
    return "from memory" if value == "memory" else value


class TellingTable(Table):
    """One text in every language of the program."""

    en: Annotated[str, Sentence("The text in English.")] = Field(min_length=1)
    es: Annotated[str, Sentence("The text in Spanish.")] = Field(min_length=1)


class SourcedTable(Table):
    """A line that says where it comes from; the file's own source where it does not."""

    source: Annotated[
        Origin | None, BeforeValidator(_from_memory), Sentence("Where it comes from; the file's source if left out.")
    ] = None
    source_detail: Annotated[
        str, Sentence("Who published it, title or number, year, section. Asked where it is published.")
    ] = ""


class CautionTable(SourcedTable):
    """What can hurt at this part."""

    id: Id
    hazard: Annotated[Hazard, Sentence("What can hurt.")]
    text: Annotated[TellingTable, Sentence("The caution.")]


class SeenTable(Table):
    """One thing that may be seen; the good one first."""

    saw: Annotated[TellingTable, Sentence("What is seen.")]
    result: Annotated[Result, Sentence("What it means for running.")]


class MeasureTable(Table):
    """A number to read off instead of something to see."""

    what: Annotated[TellingTable, Sentence("What is measured.")]
    unit: Annotated[str, Sentence("A suffix of the units table, such as m, l, min, v or a.")]
    against: Annotated[
        Against, Sentence("Held against the limits here, the plate's own number, or this machine's first value.")
    ] = Against.LIMIT
    at_least: Annotated[float | None, Sentence("The least that is good, in that unit; a ratio against a baseline.")] = (
        Field(None, allow_inf_nan=False)
    )
    at_most: Annotated[float | None, Sentence("The most that is good, in that unit; a ratio against a baseline.")] = (
        Field(None, allow_inf_nan=False)
    )


class CheckTable(SourcedTable):
    """One check."""

    id: Id
    when: Annotated[tuple[Occasion, ...], Sentence("Its occasions.")]
    applies_when: Conditions = "always"
    station: Annotated[Station | None, Sentence("Where to stand; the part's place if left out.")] = None
    state: Annotated[State, Sentence("What the machine does meanwhile.")]
    look: Annotated[TellingTable, Sentence("What to do, touch and look at.")]
    good: Annotated[TellingTable, Sentence("How it is when good.")]
    why: Annotated[TellingTable, Sentence("Why it matters.")]
    do: Annotated[TellingTable, Sentence("What to do when it is not good.")]
    if_not: Annotated[Result, Sentence("The gravest thing it can say: note, fix or stop. Always decided.")]
    stop_when: Annotated[str | None, Sentence("Where a bad finding is a stop all the same, as facts.")] = None
    release: Annotated[Skill | None, Sentence("Who may close the stop: lead or technician.")] = None
    skill: Annotated[Skill, Sentence("Who can do it.")]
    minutes: Annotated[float, Sentence("How long it takes.")] = Field(ge=0, le=240)
    ppe: Annotated[tuple[Protection, ...], Sentence("What to wear; empty brackets for nothing.")]
    cautions: Annotated[tuple[str, ...], Sentence("The cautions to show at this step, by id.")] = ()
    every_h: Annotated[float | None, Sentence("For checks by hours: how often.")] = Field(None, gt=0, le=100_000)
    meter: Annotated[WornBy | None, Sentence("For checks by hours: the meter that counts them.")] = None
    every_years: Annotated[int | None, Sentence("For yearly checks: every how many years.")] = Field(None, ge=1, le=20)
    idle_days: Annotated[int | None, Sentence("For checks after idleness: after how many days.")] = Field(
        None, ge=1, le=1000
    )
    seen: Annotated[tuple[SeenTable, ...], Sentence("What may be seen, the good one first.")] = ()
    measure: Annotated[MeasureTable | None, Sentence("The number to read off instead.")] = None


class WearTable(Table):
    """A length or another amount that wears, under its name with unit."""

    name: Annotated[str, Sentence("What is measured, ending in its unit.")]
    value: Annotated[float, Sentence("The amount.")] = Field(allow_inf_nan=False)


class ServiceItemTable(SourcedTable):
    """What wears, or is cleaned, adjusted, greased or swapped at intervals."""

    id: Id
    name: Annotated[TellingTable, Sentence("What people call it.")]
    action: Annotated[ServiceAction, Sentence("What is done.")]
    applies_when: Conditions = "always"
    count: Annotated[int, Sentence("How many one machine has.")] = Field(ge=1, le=100)
    measured: Annotated[TellingTable, Sentence("How wear is told.")]
    meter: Annotated[WornBy, Sentence("The meter that its life counts by, or calendar.")]
    life_h: Annotated[Ends | None, Sentence("Typical life by that meter, low and high, in hours.")] = None
    life_days: Annotated[tuple[int, int] | None, Sentence("Typical life by the calendar, low and high, in days.")] = (
        None
    )
    limit: Annotated[WearTable | None, Sentence("How far it may wear, written as limit_m and the like.")] = None
    new: Annotated[WearTable | None, Sentence("How it is when new, written as new_m and the like.")] = None
    minutes: Annotated[float, Sentence("How long it takes.")] = Field(ge=0, le=1000)
    cost_ratio: Annotated[Ends, Sentence("What it costs, low and high, in prices of one rear blade.")]
    skill: Annotated[Skill, Sentence("Who can do it.")] = Skill.TECHNICIAN


class FaultTable(SourcedTable):
    """A fault that this part can cause."""

    id: Id
    cause: Annotated[TellingTable, Sentence("What is wrong.")]
    shows: Annotated[TellingTable, Sentence("What the driver notices.")]
    result: Annotated[Result, Sentence("What it means for running.")]
    by_operator: Annotated[bool, Sentence("Whether use or care makes it.")] = False


class LessonStepTable(Table):
    """One step of a job breakdown."""

    step: Annotated[TellingTable, Sentence("The important step.")]
    key: Annotated[TellingTable, Sentence("Its key point.")]
    reason: Annotated[TellingTable, Sentence("The reason for it.")]


class LessonTable(Table):
    """A job broken down for teaching."""

    id: Id
    title: Annotated[TellingTable, Sentence("The job.")]
    minutes: Annotated[float, Sentence("How long it takes to teach.")] = Field(gt=0, le=120)
    applies_when: Conditions = "always"
    step: Annotated[tuple[LessonStepTable, ...], Sentence("The steps, in order.")]


class PartFile(SourcedTable):
    """One part of the machine: a file of the catalogue."""

    id: Id
    name: Annotated[TellingTable, Sentence("What people call the part.")]
    does: Annotated[TellingTable, Sentence("What it does, in one sentence.")]
    station: Annotated[Station, Sentence("Where one stands to look at it.")]
    applies_when: Conditions = "always"
    caution: Annotated[tuple[CautionTable, ...], Sentence("What can hurt.")] = ()
    check: Annotated[tuple[CheckTable, ...], Sentence("What is looked at.")] = ()
    service: Annotated[tuple[ServiceItemTable, ...], Sentence("What wears or is looked after.")] = ()
    fault: Annotated[tuple[FaultTable, ...], Sentence("What it can cause.")] = ()
    lesson: Annotated[tuple[LessonTable, ...], Sentence("What is taught.")] = ()
