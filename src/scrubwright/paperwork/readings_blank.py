"""A table of readings to fill in, and how a cell is written so that no spreadsheet program runs it."""

import csv
import io
import re
from collections.abc import Iterable, Sequence

from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.readings_columns import header_for
from scrubwright.paperwork.wording import Language, Teller

# What a spreadsheet program takes for the beginning of a formula.
_BEGINS_FORMULA = ("=", "+", "-", "@")
_PLAIN_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")


def blank_readings(paper: PackPaper, teller: Teller) -> str:
    """The first row of a CSV file for the readings of a pack; each visit becomes a row below it.

    Parameters
    ----------
    paper
        The pack.
    teller
        Whose language names the columns, and whose units they are in: degrees Fahrenheit and fluid ounces for US.
    """
    return csv_text([header_for(paper.pack, teller, is_us=teller.system is UnitSystem.US)], separator_of(teller))


def separator_of(teller: Teller) -> str:
    """What stands between two columns: a semicolon where numbers have a decimal comma."""
    return "," if teller.language is Language.ENGLISH else ";"


def csv_text(rows: Iterable[Sequence[float | str | None]], separator: str) -> str:
    r"""Rows as the text of a CSV file; a text that a spreadsheet program would run gets an apostrophe before it.

    Parameters
    ----------
    rows
        Texts, numbers, and None for an empty cell.
    separator
        What stands between two columns.

    Examples
    --------
    >>> csv_text([("event", -1), ("=1+1", None)], ",")
    "event,-1\n'=1+1,\n"
    """
    text = io.StringIO()
    writer = csv.writer(text, delimiter=separator, lineterminator="\n")
    writer.writerows([_written(cell) for cell in row] for row in rows)
    return text.getvalue()


def _written(cell: float | str | None) -> float | str | None:
    if not isinstance(cell, str):
        return cell
    # On one line, since a row that goes on below is what spreadsheet programs and people get wrong.
    text = " ".join(cell.split())
    is_harmless = not text.startswith(_BEGINS_FORMULA) or _PLAIN_NUMBER.fullmatch(text)
    return text if is_harmless else f"'{text}"
