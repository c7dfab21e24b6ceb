"""The log of walk-rounds: one JSON object a line, only ever added to, each answer at once.

A power cut loses at most the line that was being written. Such a line is kept, told, and passed over.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from scrubwright.catalogue.checks import Occasion
from scrubwright.jobs.round_answers import Answer, standing
from scrubwright.jobs.round_cues import DoneRound
from scrubwright.jobs.round_history import MeterRead, RoundHistory
from scrubwright.jobs.stops import OpenStop, Release, open_stops
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.round_records import (
    AnswerLine,
    AnyLine,
    BegunLine,
    EndedLine,
    MeterLine,
    ReleaseLine,
    answer_of,
    read_on,
    release_on,
)
from scrubwright.paperwork.writing import append_line

MOST_BYTES = 50_000_000
# A round that was left longer ago belongs to another shift; the machine has stood or run since.
RESUMED_WITHIN = timedelta(hours=12)
# On the night when clocks go back, what was written up to an hour ago seems still to come.
CLOCK_SLACK = timedelta(minutes=65)
_LINE: TypeAdapter[AnyLine] = TypeAdapter(AnyLine)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundLog:
    """What a log holds, by the number of each line; empty lines do not count.

    Parameters
    ----------
    lines
        The lines that can be read.
    broken
        Numbers of those that cannot.
    """

    lines: Mapping[int, AnyLine]
    broken: tuple[int, ...] = ()

    @property
    def next_number(self) -> int:
        """The number that the next line gets."""
        return max((*self.lines, *self.broken), default=0) + 1

    @property
    def answers(self) -> tuple[Answer, ...]:
        """All answers ever given, corrected ones too."""
        return tuple(answer_of(line, number) for number, line in self.lines.items() if isinstance(line, AnswerLine))

    @property
    def reads(self) -> tuple[MeterRead, ...]:
        """What the meters showed, in order of time."""
        found = (read_on(line) for line in self.lines.values() if isinstance(line, MeterLine))
        return tuple(sorted(found, key=lambda read: read.at))

    @property
    def stops(self) -> tuple[OpenStop, ...]:
        """The stops that stand open."""
        return open_stops(self._entries())

    def _entries(self) -> Iterator[Answer | Release]:
        for number, line in self.lines.items():
            if isinstance(line, AnswerLine):
                yield answer_of(line, number)
            elif isinstance(line, ReleaseLine):
                yield release_on(line)

    @property
    def warnings(self) -> tuple[Sentence, ...]:
        """What somebody should know of the file."""
        return tuple(
            Sentence("Line {line} of the log is broken off, as by a power cut. It is kept and passed over.", line=each)
            for each in self.broken
        )

    def answers_of(self, begun: int) -> dict[str, Answer]:
        """The answers that stand in the round begun on a line, by check."""
        given = (
            answer_of(line, number)
            for number, line in self.lines.items()
            if isinstance(line, AnswerLine) and line.round == begun
        )
        return {answer.check: answer for answer in standing(given)}

    def current(self, occasions: Sequence[Occasion], now: datetime) -> int | None:
        """The line on which the newest round of these occasions was begun, within the last hours; None without one."""
        found = [
            number
            for number, line in self.lines.items()
            if isinstance(line, BegunLine) and line.occasions == tuple(occasions) and now - line.at <= RESUMED_WITHIN
        ]
        return found[-1] if found else None

    def unfinished(self, occasions: Sequence[Occasion], now: datetime) -> int | None:
        """The same, where that round can go on; None where it has all its answers."""
        begun = self.current(occasions, now)
        ended = {line.round for line in self.lines.values() if isinstance(line, EndedLine)}
        return None if begun in ended else begun

    def history(self, before: int | None, now: datetime) -> RoundHistory:
        """What the lines before a given one say of the machine; all lines for None.

        Parameters
        ----------
        before
            The line on which the present round was begun, so that it does not change its own card.
        now
            The first day of a log that is empty.
        """
        end = self.next_number if before is None else before
        earlier = {number: line for number, line in self.lines.items() if number < end}
        answers = standing(answer_of(line, number) for number, line in earlier.items() if isinstance(line, AnswerLine))
        begun = [line for line in earlier.values() if isinstance(line, BegunLine)]
        done: dict[str, datetime] = {}
        for answer in answers:
            done[answer.check] = max(answer.at, done.get(answer.check, answer.at))
        return RoundHistory(
            begun=min((line.at for line in earlier.values()), default=now),
            used=max((line.at for line in begun if Occasion.BEFORE_SHIFT in line.occasions), default=None),
            done=done,
            # The meters are read before the round begins, so its own reading counts too.
            reads=self.reads,
        )

    def done_rounds(self, takes_min: Mapping[str, float]) -> tuple[DoneRound, ...]:
        """The rounds that were finished, the oldest first.

        Parameters
        ----------
        takes_min
            How long a practised person needs for each check [min].
        """
        return tuple(self._done_rounds(takes_min))

    def _done_rounds(self, takes_min: Mapping[str, float]) -> Iterator[DoneRound]:
        given: dict[int, list[Answer]] = {}
        for number, line in self.lines.items():
            if isinstance(line, AnswerLine):
                given.setdefault(line.round, []).append(answer_of(line, number))
        for line in self.lines.values():
            if isinstance(line, EndedLine) and line.round in self.lines and line.round in given:
                answers = standing(given[line.round])
                last = max(answer.at for answer in answers)
                yield DoneRound(
                    took_min=(last - self.lines[line.round].at) / timedelta(minutes=1),
                    practised_min=sum(takes_min.get(answer.check, 0.0) for answer in answers),
                    answers=answers,
                )


def read_round_log(path: Path, machine: str, now: datetime) -> RoundLog:
    """The log in a file; an empty one where there is no such file yet.

    Parameters
    ----------
    path
        The log, at most 50 MB.
    machine
        Whose log it must be.
    now
        Nothing in it may be dated later, but for the hour by which clocks go back in autumn.

    Raises
    ------
    UnreadablePaper
        It cannot be read, is of another machine, holds what is no line of a log, or is dated in the future.
    """
    if not path.exists():
        return RoundLog(lines={})
    lines: dict[int, AnyLine] = {}
    broken = []
    written = (text for text in _content(path).split(b"\n") if text.strip())
    for number, text in enumerate(written, 1):
        given = _object(text)
        if given is None:
            broken.append(number)
        else:
            lines[number] = _line(path.name, number, given)
            _check(path.name, number, lines, machine, now)
    if broken and not lines:
        raise UnreadablePaper(
            "{file} is no log of walk-rounds; name the log of this machine, or a file that is not there yet.",
            file=path.name,
        )
    return RoundLog(lines=lines, broken=tuple(broken))


def append(path: Path, line: AnyLine, now: datetime) -> None:
    """Add a line to a log, and come back only when the disk has it.

    Parameters
    ----------
    path
        The log; it is made where there is none yet.
    line
        What is added.
    now
        It may not be dated later.

    Raises
    ------
    BadInput
        It is dated in the future, or the file cannot be written.
    """
    if line.at > now:
        raise BadInput(
            "This is dated {given}, and it is {now} now. Enter the time when it was done.",
            given=line.at.isoformat(sep=" ", timespec="minutes"),
            now=now.isoformat(sep=" ", timespec="minutes"),
        )
    append_line(path, json.dumps(line.model_dump(mode="json", exclude_none=True), ensure_ascii=False))


def _content(path: Path) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise UnreadablePaper(
                "{file} is larger than a log of walk-rounds can be. Keep one log for each machine.", file=path.name
            )
        return path.read_bytes()
    except OSError as error:
        raise UnreadablePaper(
            "{file} cannot be read ({problem}); check its name and who may read it.",
            file=path.name,
            problem=error.strerror or type(error).__name__,
        ) from error


def _object(text: bytes) -> dict[str, object] | None:
    """The object on a line; None where the line is broken off."""
    try:
        given = json.loads(text.decode())
    except ValueError:  # a bad letter is one too
        return None
    return given if isinstance(given, dict) else None


def _line(file: str, number: int, given: dict[str, object]) -> AnyLine:
    try:
        line = _LINE.validate_python(given)
        if isinstance(line, AnswerLine):
            answer_of(line, number)
        if isinstance(line, MeterLine):
            read_on(line)
    except ValidationError as error:
        first = error.errors()[0]
        raise UnreadablePaper(
            '{file}, line {line} is no entry of a log at "{key}". A log is only added to; put the line back as it was.',
            file=file,
            line=number,
            key=".".join(str(each) for each in first["loc"]) or "kind",
        ) from error
    except BadInput as error:
        raise UnreadablePaper(
            "{file}, line {line}: {problem}", file=file, line=number, problem=error.sentence
        ) from error
    return line


def _check(file: str, number: int, lines: Mapping[int, AnyLine], machine: str, now: datetime) -> None:
    line = lines[number]
    if line.at > now + CLOCK_SLACK:
        raise UnreadablePaper(
            "{file}, line {line} is dated {given}, which is still to come. Set the clock right, or mend the date.",
            file=file,
            line=number,
            given=line.at.isoformat(sep=" ", timespec="minutes"),
        )
    if isinstance(line, BegunLine) and line.machine != machine:
        raise UnreadablePaper(
            '{file} is the log of "{other}", not of "{machine}". Name the log of this machine.',
            file=file,
            other=line.machine,
            machine=machine,
        )
