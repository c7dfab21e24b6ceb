"""From what stands in one cell of a table of readings to a number, a day, a time or one of a few words."""

import math
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from enum import StrEnum
from functools import cache
from typing import TypeVar

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.readings_sheet import Cell, CellKind
from scrubwright.paperwork.toml_tables import quoted
from scrubwright.paperwork.wording import Language, words_of

FIRST_YEAR = 1990
_SPACES = re.compile(r"[\s\u00a0\u2009\u202f]+")
_NUMBER = re.compile(r"[-+]?(\d+(?:[.,]\d*)?|[.,]\d+)")
_GROUPED = re.compile(r"[-+]?\d{1,3}(?:[.,' ]\d{3})+(?:[.,]\d+)?")
_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]+(.+))?")
_YEAR_LAST = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})(?:[T ]+(.+))?")
_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})(?::\d{2}(?:\.\d+)?)?\s*([ap])?\.?\s*(?:m\.?)?", re.IGNORECASE)

Word = TypeVar("Word", bound=StrEnum)


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """A day, a time of day, or both, as one cell tells them."""

    day: date | None
    clock: time | None


def written_number(name: str, where: Sentence, cell: Cell, separator: str, *, is_gravity: bool = False) -> Figure:
    """The number in a cell, as it is written there.

    Parameters
    ----------
    name
        The column, as `Figure` takes it.
    where
        Its place, for the message.
    cell
        The cell.
    separator
        What stands between the columns of the file.
    is_gravity
        Whether three digits after the sign can only be thousandths.

    Raises
    ------
    BadInput
        No number, or one that can be read in two ways.

    Examples
    --------
    >>> written_number("cell_1", Sentence("here"), Cell(text="1,265"), ";", is_gravity=True)
    Figure(name='cell_1', value=1.265)
    """
    if cell.kind is CellKind.NUMBER:
        return Figure(name=name, value=float(cell.text))
    text = cell.text.replace("\u2212", "-")
    if cell.kind is not CellKind.TEXT:
        raise _no_number(where, cell)
    compact = _SPACES.sub(" ", text).strip()
    if not _NUMBER.fullmatch(compact):
        if _GROUPED.fullmatch(compact):
            raise _two_ways(where, cell)
        raise _no_number(where, cell)
    if "," in compact and separator == ",":
        raise BadInput(
            '{where}: "{given}" may be one number with a decimal comma, or two. Write it with a point, or save the '
            "file with semicolons between its columns.",
            where=where,
            given=quoted(cell.text),
        )
    # In a file with semicolons the comma is decimal, in every other the point; the other sign may part thousands.
    decimal = "," if separator == ";" else "."
    if _GROUPED.fullmatch(compact) and decimal not in compact and not is_gravity:
        raise _two_ways(where, cell)
    value = float(compact.replace(",", "."))
    if not math.isfinite(value):
        raise _no_number(where, cell)
    return Figure(name=name, value=value)


def when(where: Sentence, cell: Cell) -> When:
    """The day, the time or both in a cell.

    Parameters
    ----------
    where
        Its place, for the message.
    cell
        The cell.

    Raises
    ------
    BadInput
        Neither, a day that can be read in two ways, or one that no calendar has.

    Examples
    --------
    >>> when(Sentence("here"), Cell(text="2026-04-03 6:30"))
    When(day=datetime.date(2026, 4, 3), clock=datetime.time(6, 30))
    """
    if cell.kind in (CellKind.DATE, CellKind.TIME):
        return _as_kept(cell)
    text = _SPACES.sub(" ", cell.text).strip()
    clock = _clock(text)
    if clock is not None and cell.kind is CellKind.TEXT:
        return When(day=None, clock=clock)
    year_first = _YEAR_FIRST.fullmatch(text)
    year_last = _YEAR_LAST.fullmatch(text)
    found = year_first or year_last
    if found is None or cell.kind is not CellKind.TEXT:
        raise BadInput(
            '{where}: "{given}" is no day or time that can be read. Write days as 2026-04-03 and times as 21:30.',
            where=where,
            given=quoted(cell.text),
        )
    if year_first:
        year, month, day = (int(part) for part in year_first.groups()[:3])
    else:
        day, month, year = (int(part) for part in found.groups()[:3])
        if day <= 12 and month <= 12 and day != month:
            raise BadInput(
                '{where}: "{given}" may be {one} or {other}. Write the year first, then month and day.',
                where=where,
                given=quoted(cell.text),
                one=f"{year}-{month:02d}-{day:02d}",
                other=f"{year}-{day:02d}-{month:02d}",
            )
        if month > 12:
            day, month = month, day
    return _on_the_calendar(where, cell, (year, month, day), found[4])


def word(where: Sentence, cell: Cell, known: type[Word]) -> Word:
    """The one of a few words that a cell holds, in English or Spanish.

    Parameters
    ----------
    where
        Its place, for the message.
    cell
        The cell.
    known
        The words it may be.

    Raises
    ------
    BadInput
        Another word.
    """
    name = _names(known).get(_folded(cell.text))
    if name is None or cell.kind is not CellKind.TEXT:
        raise BadInput(
            '{where}: "{given}" is not known here; it may be: {allowed}.',
            where=where,
            given=quoted(cell.text),
            allowed=_listed(list(known)),
        )
    return known(name)


def _listed(words: Sequence[StrEnum]) -> Sentence:
    """The words as a sentence, so that each reader gets them in their own language."""
    if len(words) == 1:
        return Sentence("{word}", word=words[0])
    return Sentence("{word}, {more}", word=words[0], more=_listed(words[1:]))


@cache
def _names(known: type[StrEnum]) -> Mapping[str, str]:
    """Every way to write some words, to the one that the records know."""
    spanish = words_of(Language.SPANISH)
    names = {_folded(each): each.value for each in known}
    names |= {_folded(spanish.get(each.value, each.value)): each.value for each in known}
    # Written with s here and with z across the ocean.
    return names | {name.replace("equalis", "equaliz"): each for name, each in names.items()}


def _folded(text: str) -> str:
    letters = unicodedata.normalize("NFKD", text.casefold())
    return _SPACES.sub(" ", "".join(each for each in letters if not unicodedata.combining(each))).strip()


def _as_kept(cell: Cell) -> When:
    """A cell that the workbook itself keeps as a day or a time."""
    if cell.kind is CellKind.TIME:
        return When(day=None, clock=time.fromisoformat(cell.text).replace(second=0))
    at = datetime.fromisoformat(cell.text)
    return When(day=at.date(), clock=at.time().replace(second=0) if "T" in cell.text else None)


def _clock(text: str) -> time | None:
    found = _CLOCK.fullmatch(text)
    if found is None:
        return None
    hour, minute, half = int(found[1]), int(found[2]), (found[3] or "").lower()
    if half and not 1 <= hour <= 12:
        return None
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return time(hour, minute) if hour < 24 and minute < 60 else None


def _on_the_calendar(where: Sentence, cell: Cell, parts: tuple[int, int, int], rest: str | None) -> When:
    clock = _clock(rest) if rest else None
    try:
        day = date(*parts)
    except ValueError:
        day = None
    if day is None or day.year < FIRST_YEAR or (rest and clock is None):
        raise BadInput(
            '{where}: "{given}" is no day of this pack. Write days as 2026-04-03 and times as 21:30.',
            where=where,
            given=quoted(cell.text),
        )
    return When(day=day, clock=clock)


def _no_number(where: Sentence, cell: Cell) -> BadInput:
    if cell.kind is CellKind.UNSOLVED:
        return BadInput(
            "{where} is a formula whose result is not in the file. Open the file in a spreadsheet program and save it "
            "again, or paste the numbers as values.",
            where=where,
        )
    if cell.kind is CellKind.ERROR:
        return BadInput(
            "{where}: the formula gives {given}. Mend it, or write the number.", where=where, given=quoted(cell.text)
        )
    if cell.kind in (CellKind.DATE, CellKind.TIME):
        return BadInput(
            "{where} is kept as the date or time {given}; a spreadsheet program may have made it of a number. Set the "
            "cell to plain numbers and write it again.",
            where=where,
            given=cell.text,
        )
    return BadInput(
        '{where}: "{given}" is no number. Write only the number; its unit stands in the name of the column. Leave the '
        "cell empty where nothing was read.",
        where=where,
        given=quoted(cell.text),
    )


def _two_ways(where: Sentence, cell: Cell) -> BadInput:
    return BadInput(
        '{where}: "{given}" may mean thousands or thousandths. Write thousands without a sign between, and other '
        "numbers with one or two digits after the point.",
        where=where,
        given=quoted(cell.text),
    )
