"""Rows of texts, numbers and days as a CSV file or an Excel workbook, in the reader's way of writing."""

import io
from collections.abc import Sequence
from datetime import date, datetime

import openpyxl
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from scrubwright.paperwork.readings_blank import csv_text, separator_of
from scrubwright.paperwork.wording import Teller

Entry = float | str | date | None
_WIDEST = 48


def table_text(rows: Sequence[Sequence[Entry]], teller: Teller) -> str:
    """Rows as the text of a CSV file: semicolons and decimal commas for who reads Spanish, days as 2026-04-03.

    Parameters
    ----------
    rows
        The names of the columns first.
    teller
        For whom.
    """
    separator = separator_of(teller)
    return csv_text([[_plain(entry, separator) for entry in row] for row in rows], separator)


def table_workbook(rows: Sequence[Sequence[Entry]], title: str, in_sight: str = "A2") -> bytes:
    """Rows as an Excel workbook of one sheet; texts are never formulas.

    Parameters
    ----------
    rows
        The names of the columns first.
    title
        Of the sheet.
    in_sight
        The cell above and left of which everything stays in sight while one scrolls.
    """
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    assert isinstance(sheet, Worksheet)
    sheet.title = title[:31]
    for number, row in enumerate(rows, 1):
        write_row(sheet, number, row)
    for place in range(1, len(rows[0]) + 1 if rows else 1):
        longest = max(len(str(row[place - 1])) for row in rows if row[place - 1] is not None)
        sheet.column_dimensions[get_column_letter(place)].width = min(longest + 2, _WIDEST)
    sheet.freeze_panes = in_sight
    return saved(workbook)


def write_row(sheet: Worksheet, number: int, row: Sequence[Entry]) -> None:
    """Write one row of a sheet, from its first column on."""
    for column, entry in enumerate(row, 1):
        if entry is not None:
            cell = sheet.cell(number, column, entry)
            if isinstance(entry, str):
                # A text stays a text, whatever it begins with.
                cell.data_type = "s"


def saved(workbook: openpyxl.Workbook) -> bytes:
    """A workbook as its file holds it."""
    content = io.BytesIO()
    workbook.save(content)
    return content.getvalue()


def _plain(entry: Entry, separator: str) -> float | str | None:
    if isinstance(entry, datetime):
        return entry.isoformat(" ", "minutes")
    if isinstance(entry, date):
        return entry.isoformat()
    if isinstance(entry, float):
        return f"{entry:.10g}".replace(".", "," if separator == ";" else ".")
    return entry
