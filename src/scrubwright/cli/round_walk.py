"""Going round with the terminal: one check after the other, each answer kept at once."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from scrubwright.catalogue.checks import Against, Check, Result, State
from scrubwright.cli.amounts import temperature_k
from scrubwright.cli.typed import length_m, numbers
from scrubwright.jobs.round_answers import (
    Answer,
    Person,
    PlateLimit,
    Reading,
    answer_read,
    answer_seen,
    first_reading,
)
from scrubwright.jobs.round_card import CardRow, RoundCard
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UnitSystem, unit_of
from scrubwright.paperwork.round_lines import ChunkLines, chunk_lines
from scrubwright.paperwork.round_log import RoundLog, append
from scrubwright.paperwork.round_records import EndedLine, answer_line
from scrubwright.paperwork.round_text import STOP_SHAPE, chunk_heading, row_text, why_text
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

LEAVE, BACK, WHY = "q", "b", "?"
_STATES = list(State)


@dataclass(slots=True, kw_only=True)
class _Walk:
    """One walk; the log grows while it goes on."""

    path: Path
    log: RoundLog
    card: RoundCard
    begun: int
    by: Person
    clock: Callable[[], datetime]
    teller: Teller
    typed: Iterator[str]
    say: Callable[[str], None]
    next_number: int
    answers: dict[str, Answer]
    chunks: tuple[ChunkLines, ...]
    furthest: int = len(_STATES)

    def bar(self, last: State) -> None:
        """Ask nothing beyond this state of the machine."""
        self.furthest = min(self.furthest, _STATES.index(last))

    def bar_for_open_stops(self) -> None:
        for stop in self.log.stops:
            row = self.card.row(stop.check)
            is_of_this_round = (stop.since.number or 0) > self.begun
            # A stop from an earlier round leaves the parked machine to be looked at; only driving is out.
            self.bar(row.check.state if row is not None and is_of_this_round else State.KEY_ON)


def walk(
    path: Path,
    log: RoundLog,
    card: RoundCard,
    begun: int,
    *,
    by: Person,
    clock: Callable[[], datetime],
    teller: Teller,
    typed: Iterator[str],
    say: Callable[[str], None],
) -> None:
    """Ask every row without an answer, and keep each answer at once.

    Parameters
    ----------
    path, log, card
        The log as a file and as it was read, and the card.
    begun
        The line on which the round was begun.
    by, clock
        Who goes round, and what time it is.
    teller
        In whose words.
    typed, say
        What the person types, line by line; and how to show something.

    Notes
    -----
    With a stop open, no row is asked that needs the machine in a later state: nobody drives to see whether it
    can be driven.
    """
    on = _Walk(
        path=path,
        log=log,
        card=card,
        begun=begun,
        by=by,
        clock=clock,
        teller=teller,
        typed=typed,
        say=say,
        next_number=max(log.next_number, begun + 1),
        answers=log.answers_of(begun),
        chunks=tuple(chunk_lines(chunk, card, teller) for chunk in card.chunks),
    )
    on.bar_for_open_stops()
    say(wrapped(teller.words("Type the number of what you see. q stops and keeps, b goes back, ? tells why.")))
    place, shown = _next_place(on, -1), None
    while place is not None:
        row = card.rows[place]
        if _STATES.index(row.check.state) > on.furthest:
            say(wrapped(teller.words("A stop is open. The rest needs the key or a moving machine, so it waits.")))
            return
        chunk, told = next((chunk, told) for chunk in on.chunks for told in chunk.rows if told.number == row.number)
        if chunk is not shown:
            say("\n" + "\n".join(filter(None, (chunk_heading(chunk.heading), wrapped(chunk.wear)))))
            shown = chunk
        say("\n".join(row_text(told, teller)))
        asked = _ask(on, row)
        if asked is None:
            say(wrapped(teller.words("Kept. Start the same command again to go on.")))
            return
        place = max(0, place - 1) if asked is BACK else _next_place(on, place)
    append(path, EndedLine(at=clock(), round=begun), clock())


def _next_place(on: _Walk, after: int) -> int | None:
    return next((n for n, row in enumerate(on.card.rows) if n > after and row.check.identity not in on.answers), None)


def _ask(on: _Walk, row: CardRow) -> str | Answer | None:
    """The answer; `BACK` to go back; None to leave."""
    while True:
        try:
            given = _typed(on, "> ")
            if given is None or given == LEAVE:
                return None
            if given == BACK:
                return BACK
            if given == WHY:
                on.say(why_text(row.check, on.teller))
                continue
            return _keep(on, row, given)
        except BadInput as problem:
            on.say(wrapped(on.teller.tell(problem.sentence), indent="      ", mark="! "))


def _typed(on: _Walk, prompt: str) -> str | None:
    on.say(prompt)
    given = next(on.typed, None)
    return None if given is None else given.strip().lower()


def _keep(on: _Walk, row: CardRow, given: str) -> Answer:
    if not given:
        raise BadInput("Enter alone is no answer. Look, then type the number of what you see.")
    old = on.answers.get(row.check.identity)
    corrects = None if old is None else old.number
    at = on.clock()
    if row.check.measured is None:
        answer = answer_seen(row.check, _choice(row.check, given), on.card.facts, at=at, by=on.by, corrects=corrects)
    else:
        reading = _reading(on, row.check, given)
        first = first_reading(row.check.identity, (each for each in on.log.answers if each.number != corrects))
        answer = answer_read(row.check, reading, on.card.facts, at=at, by=on.by, first=first, corrects=corrects)
    append(on.path, answer_line(answer, on.begun), on.clock())
    on.answers[row.check.identity] = replace(answer, number=on.next_number)
    on.next_number += 1
    if answer.result is not Result.GOOD:
        is_stop = answer.result is Result.STOP
        if is_stop:
            on.bar(row.check.state)
        mark = f"{STOP_SHAPE} {on.teller.words('STOP')}: " if is_stop else "> "
        on.say(wrapped(on.teller.tell(row.check.do), indent="      ", mark=mark))
        if is_stop:
            on.say(wrapped(on.teller.words("Do that first. q keeps the round until later."), indent="      "))
    return answer


def _choice(check: Check, given: str) -> int:
    if not given.isdecimal():
        raise BadInput(
            '"{given}" is no answer; type a number from 1 to {most}, or q, b or ?.', given=given, most=len(check.seen)
        )
    return int(given)


def _reading(on: _Walk, check: Check, given: str) -> Reading:
    assert check.measured is not None
    reading = typed_reading(check.measured.name, given, on.teller.system)
    if check.measured.against is not Against.PLATE:
        return reading
    allowed = _typed(on, on.teller.words("What does the plate allow? "))
    if not allowed:
        raise BadInput("Read what the plate allows, and type the number again with it.")
    plate = typed_reading(reading.name, allowed, on.teller.system)
    return replace(reading, limit=PlateLimit(name=plate.name, value=plate.value))


def typed_reading(name: str, text: str, system: UnitSystem) -> Reading:
    """A number as typed, under its name and in the unit of that name.

    Parameters
    ----------
    name
        Its name, such as "value_m".
    text
        As typed. A length needs its unit, since 25 may be millimetres; others are in the unit shown.
    system
        Of whoever types.

    Raises
    ------
    BadInput
        It is no such number.

    Examples
    --------
    >>> typed_reading("value_m", "25 mm", UnitSystem.SI).value
    0.025
    >>> typed_reading("value_fraction", "3", UnitSystem.SI).value
    0.03
    """
    unit = unit_of(name)
    if unit is None:
        raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=name)
    if unit.suffix == "m":
        if not text.strip()[-1:].isalpha():
            raise BadInput('"{given}" has no unit; type it too, such as 25 mm, 0.8 m or 1.5 in.', given=text)
        return Reading(name=name, value=length_m("value", text, system))
    if unit.suffix == "k":
        return Reading(name=name, value=temperature_k("value", text, system))
    shown = unit.si if system is UnitSystem.SI else unit.us
    (value,) = numbers("value", text.replace(",", "."), 1, "12.5")
    return Reading(name=name, value=(value - shown.offset) / shown.factor)
