"""A table of readings as rows of cells, out of a CSV file or an Excel workbook, before anybody reads them.

A CSV file may be in UTF-8, UTF-16 with its mark, or Windows-1252, with commas, semicolons or tabs
between its columns. A workbook is read in a process of its own, like every file of a format that can
hold more than it shows.
"""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.child import Limits, result_of

LARGEST_FILE_BYTES = 5_000_000
MOST_ROWS = 5_000
MOST_COLUMNS = 500

_ZIP_MARK = b"PK\x03\x04"
_OLD_OFFICE_MARK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_UTF_16_MARKS = (b"\xff\xfe", b"\xfe\xff")
_ENCRYPTED_MARK = "EncryptedPackage".encode("utf-16-le")
_SEPARATORS = (";", "\t", ",")
_LIMITS = Limits(memory_bytes=1_500_000_000, cpu_s=30.0, wall_s=60.0, answer_bytes=50_000_000)


class CellKind(StrEnum):
    """How the file keeps a cell."""

    TEXT = "text"
    NUMBER = "number"
    DATE = "date"
    TIME = "time"
    ERROR = "error"
    UNSOLVED = "formula without its result"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell: its text, and how the file keeps it; dates and times are written as in ISO 8601."""

    text: str
    kind: CellKind = CellKind.TEXT

    @property
    def is_empty(self) -> bool:
        """Whether nothing is in it."""
        return not self.text and self.kind is CellKind.TEXT


EMPTY = Cell(text="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A table as rows of cells.

    Parameters
    ----------
    file
        Its name, for the messages.
    separator
        What stands between two columns: a comma, a semicolon or a tab; empty for a workbook.
    header_row
        Number of the row with the names of the columns, counted from 1.
    header
        That row.
    rows
        Those below it, empty ones too, so that the first is row `header_row` + 1.
    """

    file: str
    separator: str
    header_row: int
    header: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]


def read_sheet(path: Path, *, least_rows: int = 1) -> Sheet:
    """The table in a file.

    Parameters
    ----------
    path
        A CSV file or an Excel workbook (.xlsx), told apart by what is in it; at most 5 MB and 5,000 rows.
    least_rows
        How many must stand below the names of the columns: one, or none.

    Raises
    ------
    UnreadablePaper
        No such file, empty, too large, of another kind, encrypted or damaged, or without any row of readings.
    """
    content = _content(path)
    if content.startswith(_OLD_OFFICE_MARK):
        if _ENCRYPTED_MARK in content:
            raise UnreadablePaper(
                "{file} is locked with a password. Open it, take the password off, and save it again.", file=path.name
            )
        raise UnreadablePaper(
            "{file} is a workbook of the old kind (.xls). Save it as .xlsx or as CSV.", file=path.name
        )
    if content.startswith(_ZIP_MARK):
        answer = result_of(
            "scrubwright.paperwork.readings_workbook:sheet_of_workbook",
            (str(path.resolve()), path.name, least_rows),
            _LIMITS,
            file=path.name,
        )
        assert isinstance(answer, Sheet)
        return answer
    return sheet_of_csv(content, path.name, least_rows=least_rows)


def sheet_of_csv(content: bytes, file: str, *, least_rows: int = 1) -> Sheet:
    """The table in the content of a CSV file.

    Parameters
    ----------
    content
        All of it.
    file
        Its name, for the messages.
    least_rows
        As for `read_sheet`.

    Raises
    ------
    UnreadablePaper
        Not text, no columns, a quote left open, too many rows, or no row of readings.
    """
    text = _decoded(content, file)
    first = next((line for line in text.splitlines() if line.strip()), ",")
    said = first.strip().casefold().removeprefix("sep=")
    separator = said if said in _SEPARATORS else max(_SEPARATORS, key=first.count)
    if separator not in first:
        raise UnreadablePaper(
            "{file} has no columns: its first row must name them, with commas, semicolons or tabs between.", file=file
        )
    return sheet_of_rows(_csv_rows(text, separator, file), file=file, separator=separator, least_rows=least_rows)


def sheet_of_rows(rows: Iterator[tuple[Cell, ...]], file: str, separator: str, *, least_rows: int = 1) -> Sheet:
    """The table of some rows; the first that holds anything names the columns.

    Parameters
    ----------
    rows
        All rows of the file from its first on; no more of them are taken than a table may have.
    file, separator
        As in `Sheet`.
    least_rows
        As for `read_sheet`.

    Raises
    ------
    UnreadablePaper
        Too many rows or columns, or none below the names of the columns.
    """
    kept: list[tuple[Cell, ...]] = []
    for row in rows:
        has_entries = any(not cell.is_empty for cell in row)
        if len(row) > MOST_COLUMNS and any(not cell.is_empty for cell in row[MOST_COLUMNS:]):
            raise UnreadablePaper(
                "{file} has more than {most} columns; a table of readings needs far fewer. Is it another file?",
                file=file,
                most=MOST_COLUMNS,
            )
        if len(kept) >= MOST_ROWS:
            if has_entries:
                raise UnreadablePaper(
                    "{file} has more than {most} rows. Keep the readings of one pack in it; if it has no more, delete "
                    "the empty rows between them, or split the file by years.",
                    file=file,
                    most=MOST_ROWS,
                )
            # Rows that were only formatted may go on for long.
            continue
        kept.append(row if has_entries else ())
    while kept and not kept[-1]:
        kept.pop()
    begin = next((index for index, row in enumerate(kept) if row and not _is_hint(row)), len(kept))
    if begin == len(kept):
        raise UnreadablePaper("{file} is empty. Take a blank: its first row names the columns.", file=file)
    if len(kept) - 1 - begin < least_rows:
        raise UnreadablePaper(
            "{file} names its columns but holds no reading. Write one row for each visit below them.", file=file
        )
    return Sheet(
        file=file,
        separator=separator,
        header_row=begin + 1,
        header=kept[begin],
        rows=tuple(kept[begin + 1 :]),
    )


def _is_hint(row: tuple[Cell, ...]) -> bool:
    """Whether a row only tells a spreadsheet program what stands between the columns."""
    return row[0].text.casefold().startswith("sep=")


def _content(path: Path) -> bytes:
    if not path.is_file():
        raise UnreadablePaper("There is no file {file}. Check the name and the folder.", file=str(path))
    size_bytes = path.stat().st_size
    if size_bytes > LARGEST_FILE_BYTES:
        raise UnreadablePaper(
            "{file} is {size_bytes}; a table of readings may be {limit_bytes}. Is it another file?",
            file=path.name,
            size_bytes=float(size_bytes),
            limit_bytes=float(LARGEST_FILE_BYTES),
        )
    return path.read_bytes()


def _decoded(content: bytes, file: str) -> str:
    encodings = ("utf-16",) if content.startswith(_UTF_16_MARKS) else ("utf-8-sig", "cp1252")
    for encoding in encodings:
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise UnreadablePaper(
        "{file} is no text and no workbook. Save the readings as .xlsx, or as CSV in UTF-8.", file=file
    )


def _csv_rows(text: str, separator: str, file: str) -> Iterator[tuple[Cell, ...]]:
    # Strict, so that a quote left open is told and does not swallow the rows below it.
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    read = 0
    try:
        for number, row in enumerate(reader, 1):
            yield tuple(Cell(text=value.strip()) for value in row)
            read = number
    except csv.Error:
        raise UnreadablePaper(
            "{file}, row {row}: a quote is opened and not closed, or a cell is too long. Take the quote out, or save "
            "the file again from a spreadsheet program.",
            file=file,
            row=read + 1,
        ) from None
