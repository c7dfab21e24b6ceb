"""The lines of a round log as they are written, one JSON object each, and what they must hold."""

from typing import Annotated, Literal, Union

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat, NaiveDatetime

from scrubwright.catalogue.checks import Occasion, Result, Skill, WornBy
from scrubwright.jobs.round_answers import Answer, Person, PlateLimit, Reading
from scrubwright.jobs.round_history import MeterRead
from scrubwright.jobs.stops import Release


class _Line(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    at: NaiveDatetime


class PersonLine(BaseModel):
    """Who did it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str
    skill: Skill


class BegunLine(_Line):
    """A round was begun."""

    kind: Literal["round"] = "round"
    machine: str
    occasions: tuple[Occasion, ...]
    by: PersonLine


class AnswerLine(_Line):
    """A check was answered."""

    kind: Literal["answer"] = "answer"
    round: int
    check: str
    result: Result
    by: PersonLine
    saw: str | None = None
    name: str | None = None
    value: FiniteFloat | None = None
    limit_name: str | None = None
    limit_value: FiniteFloat | None = None
    release: Skill | None = None
    corrects: int | None = None


class EndedLine(_Line):
    """A round has all its answers."""

    kind: Literal["ended"] = "ended"
    round: int


class ReleaseLine(_Line):
    """A stop was closed."""

    kind: Literal["release"] = "release"
    check: str
    reason: str
    by: PersonLine


class MeterLine(_Line):
    """An hour meter was read."""

    kind: Literal["meter"] = "meter"
    meter: WornBy
    shown_h: FiniteFloat


AnyLine = Annotated[
    Union[BegunLine, AnswerLine, EndedLine, ReleaseLine, MeterLine],  # noqa: UP007 - pydantic reads it at run time
    Field(discriminator="kind"),
]


def answer_line(answer: Answer, round_number: int) -> AnswerLine:
    """The line of an answer.

    Parameters
    ----------
    answer, round_number
        The answer, and the line on which its round was begun.
    """
    reading = answer.reading
    limit = None if reading is None else reading.limit
    return AnswerLine(
        at=answer.at,
        round=round_number,
        check=answer.check,
        result=answer.result,
        by=person_line(answer.by),
        saw=answer.saw,
        name=None if reading is None else reading.name,
        value=None if reading is None else reading.value,
        limit_name=None if limit is None else limit.name,
        limit_value=None if limit is None else limit.value,
        release=answer.release,
        corrects=answer.corrects,
    )


def answer_of(line: AnswerLine, number: int) -> Answer:
    """The answer on a line.

    Parameters
    ----------
    line, number
        The line and its number.
    """
    reading = None
    if line.name is not None and line.value is not None:
        limit = None
        if line.limit_name is not None and line.limit_value is not None:
            limit = PlateLimit(name=line.limit_name, value=line.limit_value)
        reading = Reading(name=line.name, value=line.value, limit=limit)
    return Answer(
        check=line.check,
        at=line.at,
        by=person_of(line.by),
        result=line.result,
        saw=line.saw,
        reading=reading,
        release=line.release,
        corrects=line.corrects,
        number=number,
    )


def release_line(release: Release) -> ReleaseLine:
    """The line of a stop that was closed."""
    return ReleaseLine(at=release.at, check=release.check, reason=release.reason, by=person_line(release.by))


def release_on(line: ReleaseLine) -> Release:
    """The closing on a line."""
    return Release(check=line.check, at=line.at, by=person_of(line.by), reason=line.reason)


def read_on(line: MeterLine) -> MeterRead:
    """What a meter showed, on a line."""
    return MeterRead(at=line.at, meter=line.meter, shown_h=line.shown_h)


def person_line(person: Person) -> PersonLine:
    """Who did it, as it is written."""
    return PersonLine(name=person.name, skill=person.skill)


def person_of(line: PersonLine) -> Person:
    """Who did it."""
    return Person(name=line.name, skill=line.skill)
