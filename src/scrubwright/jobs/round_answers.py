"""What a person saw at a check, and what that means for this machine."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scrubwright.catalogue.checks import Against, Check, Result, Skill
from scrubwright.catalogue.terms import Term
from scrubwright.jobs.round_card import worst_of
from scrubwright.measures.checks import check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import unit_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Who did it, and with which skill."""

    name: str
    skill: Skill

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadInput("The answer has no name; say who looked.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A number that was read off.

    Parameters
    ----------
    name, value
        Its name with its unit, and the number in that unit.
    limit
        What the plate allows, in the same unit; None where the check asks for none.
    """

    name: str
    value: float
    limit: "PlateLimit | None" = None

    def __post_init__(self) -> None:
        if unit_of(self.name) is None:
            raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=self.name)
        # What is measured on a machine has no sign; a kelvin neither.
        check_zero_or_more(self.name, self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateLimit:
    """What the plate allows, in the unit of its name."""

    name: str
    value: float

    def __post_init__(self) -> None:
        check_zero_or_more(self.name, self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was seen at one check.

    Parameters
    ----------
    check
        Its name in the catalogue.
    at, by
        When, and who.
    result
        What it meant on that day, for that machine; a later catalogue does not change it.
    saw
        What was seen, in English as the catalogue had it; None for a number.
    reading
        The number; None for what was seen.
    release
        Who may close the stop that it is; None where it is none.
    corrects
        Number of the record that it puts right; None for a first answer.
    number
        Its own number in the log; None before it is written.
    """

    check: str
    at: datetime
    by: Person
    result: Result
    saw: str | None = None
    reading: Reading | None = None
    release: Skill | None = None
    corrects: int | None = None
    number: int | None = None

    def __post_init__(self) -> None:
        if (self.saw is None) == (self.reading is None):
            raise BadInput(
                'The answer at "{check}" needs either what was seen or the number read off.', check=self.check
            )
        if (self.result is Result.STOP) != (self.release is not None):
            raise BadInput('The answer at "{check}" is a stop only with who may release it.', check=self.check)


def answer_seen(
    check: Check, choice: int, facts: frozenset[Term], *, at: datetime, by: Person, corrects: int | None = None
) -> Answer:
    """The answer of a person who chose what was seen.

    Parameters
    ----------
    check, choice
        The check, and the number of what was seen, from 1 on.
    facts
        What the machine and its site are.
    at, by, corrects
        When, who, and which record it puts right.

    Raises
    ------
    BadInput
        There is no such choice.
    """
    if not 1 <= choice <= len(check.seen):
        raise BadInput(
            'There is no choice {given} at "{check}"; enter a number from 1 to {most}.',
            given=choice,
            check=check.identity,
            most=len(check.seen),
        )
    seen = check.seen[choice - 1]
    # A fact such as a ramp makes the gravest finding a stop, not the milder ones.
    result = worst_of(check, facts) if seen.result is check.if_not else seen.result
    return Answer(
        check=check.identity,
        at=at,
        by=by,
        result=result,
        saw=seen.saw.template,
        release=check.release if result is Result.STOP else None,
        corrects=corrects,
    )


def answer_read(
    check: Check,
    reading: Reading,
    facts: frozenset[Term],
    *,
    at: datetime,
    by: Person,
    first: Reading | None = None,
    corrects: int | None = None,
) -> Answer:
    """The answer of a person who read a number off.

    Parameters
    ----------
    check, reading
        The check and the number; with what the plate allows where it is held against that.
    facts
        What the machine and its site are.
    at, by, corrects
        When, who, and which record it puts right.
    first
        This machine's own first value, where the check is held against that; None: this is the first.

    Raises
    ------
    BadInput
        The check asks for no number, or for the plate's own number too.
    """
    if check.measured is None:
        raise BadInput('"{check}" asks what you see, not for a number.', check=check.identity)
    if check.measured.against is Against.PLATE and reading.limit is None:
        raise BadInput(
            '"{check}" is held against the plate; read what the plate allows, and enter that too.', check=check.identity
        )
    held = reading.limit if check.measured.against is Against.PLATE else first
    is_good = check.measured.is_good(reading.name, reading.value, None if held is None else held.value)
    result = Result.GOOD if is_good else worst_of(check, facts)
    return Answer(
        check=check.identity,
        at=at,
        by=by,
        result=result,
        reading=reading,
        release=check.release if result is Result.STOP else None,
        corrects=corrects,
    )


def standing(answers: Iterable[Answer]) -> tuple[Answer, ...]:
    """The answers that count: those that no later record puts right."""
    given = tuple(answers)
    corrected = {each.corrects for each in given}
    return tuple(each for each in given if each.number is None or each.number not in corrected)


def first_reading(check: str, answers: Iterable[Answer]) -> Reading | None:
    """The first value that was read at a check of this machine; None before it was ever read."""
    mine = (each for each in standing(answers) if each.check == check and each.reading is not None)
    first = min(mine, key=lambda each: each.at, default=None)
    return None if first is None else first.reading
