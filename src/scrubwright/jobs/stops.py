"""Stops that stay open over days until a person of the needed skill closes them with a reason."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from scrubwright.catalogue.checks import Result, Skill
from scrubwright.jobs.round_answers import Answer, Person
from scrubwright.measures.errors import BadInput

# One letter or a dot is no reason: whoever reads it later must learn what was done.
LEAST_LETTERS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """A stop closed.

    Parameters
    ----------
    check
        The check whose stop it closes.
    at, by
        When, and who.
    reason
        What was mended, or why it was none.
    """

    check: str
    at: datetime
    by: Person
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenStop:
    """A stop that nobody closed yet.

    Parameters
    ----------
    check
        The check that it was seen at.
    since
        The answer that opened it, the first of several.
    release
        Who may close it: the highest skill that any of them asks for.
    """

    check: str
    since: Answer
    release: Skill


def open_stops(entries: Iterable[Answer | Release]) -> tuple[OpenStop, ...]:
    """The stops that stand open, the oldest first.

    Parameters
    ----------
    entries
        Answers and releases of the whole log, as they stand in it; its order counts, not its clock.

    Notes
    -----
    Only a release closes a stop. A later good answer does not, and neither does a correction: else the one who
    wants to drive could take it away. A mistyped stop is closed like any other, with that as its reason.
    """
    opened: dict[str, list[Answer]] = {}
    for entry in entries:
        if isinstance(entry, Release):
            opened.pop(entry.check, None)
        elif entry.result is Result.STOP:
            opened.setdefault(entry.check, []).append(entry)
    return tuple(
        OpenStop(
            check=check,
            since=given[0],
            release=max((each.release or Skill.TECHNICIAN for each in given), key=lambda skill: skill.rank),
        )
        for check, given in opened.items()
    )


def release_of(check: str, reason: str, open_now: Sequence[OpenStop], *, at: datetime, by: Person) -> Release:
    """The record that closes a stop.

    Parameters
    ----------
    check, reason
        Which stop, and why it may be closed.
    open_now
        The stops that stand open.
    at, by
        When, and who closes it.

    Raises
    ------
    BadInput
        No such stop is open, the person may not close it, or there is no reason.
    """
    stop = next((each for each in open_now if each.check == check), None)
    if stop is None:
        known = ", ".join(each.check for each in open_now)
        if not known:
            raise BadInput('No stop is open, so "{given}" cannot be closed.', given=check)
        raise BadInput('No stop "{given}" is open; the open ones are: {known}.', given=check, known=known)
    if by.skill.rank < stop.release.rank:
        raise BadInput(
            'The stop "{check}" asks for a {needed} or higher; you gave: {given}. Hand it to one of them.',
            check=check,
            needed=stop.release,
            given=by.skill,
        )
    if sum(letter.isalpha() for letter in reason) < LEAST_LETTERS:
        raise BadInput(
            'The stop "{check}" is closed with a reason; write what was mended, or why it was no stop.', check=check
        )
    return Release(check=check, at=at, by=by, reason=" ".join(reason.split()))
