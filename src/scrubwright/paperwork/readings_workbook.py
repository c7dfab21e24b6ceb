"""The table of readings in an Excel workbook; runs in a process of its own, see `readings_sheet`."""

import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from itertools import chain, zip_longest
from pathlib import Path
from xml.etree.ElementTree import ParseError

import openpyxl
from openpyxl.utils.exceptions import InvalidFileException
from openpyxl.workbook.workbook import Workbook

from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.readings_sheet import (
    EMPTY,
    MOST_ROWS,
    Cell,
    CellKind,
    Sheet,
    sheet_of_rows,
)

LARGEST_UNPACKED_BYTES = 60_000_000
SHEET_NAMES = ("readings", "lecturas")
_WORKBOOK_PART = "xl/workbook.xml"
_HALF_SECOND = timedelta(milliseconds=500)
# A formula whose result is not in the file.
_UNSOLVED = Cell(text="", kind=CellKind.UNSOLVED)


def sheet_of_workbook(path: str, file: str, least_rows: int = 1) -> Sheet:
    """The table in a workbook: its sheet called "readings", else its first.

    Parameters
    ----------
    path
        Where the workbook is (.xlsx).
    file
        Its name, for the messages.
    least_rows
        How many must stand below the names of the columns.

    Raises
    ------
    UnreadablePaper
        No workbook, damaged, unpacks to too much, has no sheet, or no row of readings.
    """
    try:
        _check_parts(path, file)
        rows = list(_rows(path))
    except (zipfile.BadZipFile, InvalidFileException, ParseError, KeyError, ValueError, OSError, EOFError) as error:
        raise UnreadablePaper(
            "{file} is no Excel workbook, or is damaged. Open it in a spreadsheet program and save it again as .xlsx "
            "or as CSV.",
            file=file,
        ) from error
    # Where one formula has its result, a spreadsheet program has worked them out, and the others give nothing.
    is_worked_out = any(is_solved for _, is_solved in chain.from_iterable(rows))
    return sheet_of_rows(
        (tuple(EMPTY if is_worked_out and cell is _UNSOLVED else cell for cell, _ in row) for row in rows),
        file=file,
        separator="",
        least_rows=least_rows,
    )


def _check_parts(path: str, file: str) -> None:
    """Refuse what is packed like a workbook and is none, or unpacks to far more than it seems."""
    with zipfile.ZipFile(path) as packed:
        size_bytes = sum(part.file_size for part in packed.infolist())
        if _WORKBOOK_PART not in packed.namelist():
            raise KeyError(_WORKBOOK_PART)
    if size_bytes > LARGEST_UNPACKED_BYTES:
        raise UnreadablePaper(
            "{file} unpacks to {size_bytes}; a table of readings may be {limit_bytes}. Copy its rows into a new "
            "workbook.",
            file=file,
            size_bytes=float(size_bytes),
            limit_bytes=float(LARGEST_UNPACKED_BYTES),
        )


def _rows(path: str) -> Iterator[list[tuple[Cell, bool]]]:
    """Each row of the sheet: its cells, and whether each is a formula with its result."""
    # Handed over open, since openpyxl judges a file by its name.
    with Path(path).open("rb") as file:
        solved = openpyxl.load_workbook(file, read_only=True, data_only=True, keep_links=False)
        written = openpyxl.load_workbook(file, read_only=True, data_only=False, keep_links=False)
        for values, formulas in zip_longest(_cells(solved), _cells(written), fillvalue=()):
            yield [_told(value, formula) for value, formula in zip_longest(values, formulas)]


def _cells(workbook: Workbook) -> Iterator[tuple[object, ...]]:
    sheets = workbook.worksheets
    if not sheets:
        raise KeyError("no sheet of cells")
    named = (sheet for sheet in sheets if sheet.title.strip().casefold() in SHEET_NAMES)
    sheet = next(named, sheets[0])
    # Some programs write a wrong size into the sheet.
    sheet.reset_dimensions()
    yield from sheet.iter_rows(max_row=4 * MOST_ROWS)


def _told(value: object, formula: object) -> tuple[Cell, bool]:
    is_formula = getattr(formula, "data_type", None) == "f"
    cell = _cell(getattr(value, "value", None), getattr(value, "data_type", None))
    if is_formula and cell.is_empty:
        return _UNSOLVED, False
    return cell, is_formula


def _cell(value: object, data_type: object) -> Cell:
    if value is None:
        return EMPTY
    if data_type == "e":
        return Cell(text=str(value), kind=CellKind.ERROR)
    if isinstance(value, bool):
        return Cell(text=str(value).upper())
    if isinstance(value, int | float):
        return Cell(text=repr(value), kind=CellKind.NUMBER)
    if isinstance(value, datetime):
        # A day's fraction seldom ends at a whole second.
        moment = (value + _HALF_SECOND).replace(microsecond=0)
        text = moment.date().isoformat() if moment.time() == time() else moment.isoformat()
        return Cell(text=text, kind=CellKind.DATE)
    if isinstance(value, date):
        return Cell(text=value.isoformat(), kind=CellKind.DATE)
    if isinstance(value, time):
        return Cell(text=value.replace(microsecond=0).isoformat(), kind=CellKind.TIME)
    return Cell(text=str(value).strip())
