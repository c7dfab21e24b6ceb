"""The walk-round in a reader's words, line by line, as text and paper both show it."""

from dataclasses import dataclass

from scrubwright.catalogue.checks import Against, Check
from scrubwright.jobs.round_card import CardRow, Chunk, RoundCard
from scrubwright.jobs.round_history import Because
from scrubwright.paperwork.wording import Teller


@dataclass(frozen=True, slots=True, kw_only=True)
class RowLines:
    """One row, told.

    Parameters
    ----------
    number, is_stop
        Its place, and whether it is a stop check.
    look, good
        What to do, and how it looks when good.
    boxes
        What may be seen, to tick; empty where a number is written.
    unit
        Unit of the number to write; empty where boxes are ticked, and for a pure number.
    why_now
        Why it is on the card today; empty where it is there every time.
    cautions
        What bites while doing it.
    """

    number: int
    is_stop: bool
    look: str
    good: str
    boxes: tuple[str, ...]
    unit: str
    why_now: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChunkLines:
    """One chunk, told: where and how in one line, what to wear, and its rows."""

    heading: str
    wear: str
    rows: tuple[RowLines, ...]


def round_title(card: RoundCard, teller: Teller) -> str:
    """The heading of the whole card."""
    return teller.words("Walk-round: {machine}", machine=card.machine)


def round_summary(card: RoundCard, teller: Teller) -> str:
    """What it is for, how many checks, how long."""
    return teller.words(
        "For: {occasions}. Checks: {count}, stop checks among them: {stops}. For a practised person: {takes_min}.",
        occasions=", ".join(teller.called(each) for each in card.occasions),
        count=len(card.rows),
        stops=sum(row.is_stop for row in card.rows),
        takes_min=card.takes_min,
    )


def facts_line(card: RoundCard, teller: Teller) -> str:
    """What the machine and its site are."""
    return teller.words("Made for: {facts}.", facts=", ".join(teller.called(each) for each in sorted(card.facts)))


def chunk_lines(chunk: Chunk, card: RoundCard, teller: Teller) -> ChunkLines:
    """One chunk, told.

    Parameters
    ----------
    chunk, card
        The chunk and its card.
    teller
        To whom.
    """
    heading = teller.words(
        "{number} of {count}: {state}. Stand: {stations}. {takes_min}",
        number=chunk.number,
        count=len(card.chunks),
        state=teller.called(chunk.state),
        stations=", ".join(teller.called(each) for each in chunk.stations),
        takes_min=chunk.takes_min,
    )
    worn = ", ".join(teller.called(each) for each in chunk.protection)
    told: set[str] = set()
    rows = []
    for row in chunk.rows:
        # Each caution once in a chunk, at the first check where it bites.
        cautions = tuple(each for each in row.cautions if each.identity not in told)
        told |= {each.identity for each in cautions}
        rows.append(row_lines(row, tuple(teller.tell(each.text) for each in cautions), teller))
    return ChunkLines(heading=heading, wear=teller.words("Wear: {worn}.", worn=worn) if worn else "", rows=tuple(rows))


def row_lines(row: CardRow, cautions: tuple[str, ...], teller: Teller) -> RowLines:
    """One row, told.

    Parameters
    ----------
    row, cautions
        The row, and what bites there, told already.
    teller
        To whom.
    """
    return RowLines(
        number=row.number,
        is_stop=row.is_stop,
        look=teller.tell(row.check.look),
        good=teller.tell(row.check.good),
        boxes=tuple(teller.tell(each.saw) for each in row.check.seen),
        unit=reading_unit(row.check, teller),
        why_now="" if row.because is Because.ASKED else teller.called(row.because),
        cautions=cautions,
    )


def reading_unit(check: Check, teller: Teller) -> str:
    """What a number is written in, and what it is held against; empty where that has no label."""
    if check.measured is None:
        return ""
    name, ends = check.measured.name, (check.measured.high, check.measured.low)
    limit = next((end for end in ends if end is not None), None)
    label = teller.label(name)
    if limit is not None and check.measured.against is Against.LIMIT:
        # Small lengths are read in millimetres or inches, as the limit itself is told.
        number, _, told = teller.number(name, limit).rpartition(" ")
        label = told if number else label
    match check.measured.against:
        case Against.PLATE:
            return teller.words("{unit}; the plate allows", unit=label)
        case Against.BASELINE:
            return teller.words("{unit}; this machine's first value", unit=label)
        case Against.LIMIT:
            return label
