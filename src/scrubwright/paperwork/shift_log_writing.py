"""Shifts written as rows of a log: a new one as CSV or workbook, or at the end of one that is there."""

import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path

import openpyxl

from scrubwright.jobs.shift_logged import LoggedShift
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.readings_blank import csv_text, separator_of
from scrubwright.paperwork.readings_columns import plain_name
from scrubwright.paperwork.readings_sheet import read_sheet
from scrubwright.paperwork.shift_log_columns import UNIT_RATIOS, LogField, log_columns, log_header
from scrubwright.paperwork.table_writing import saved, table_workbook, write_row
from scrubwright.paperwork.wording import Language, Teller

WORKBOOK = ".xlsx"
_Cell = float | str | None
# Date, machine and site stay in sight.
_IN_SIGHT = "D2"
# Parts of a workbook that would be lost if it were saved again here.
_WOULD_BE_LOST = ("xl/charts/", "xl/drawings/", "xl/media/", "xl/pivotTables/", "xl/vbaProject")
_BYTE_MARK = b"\xef\xbb\xbf"
_UTF_16_MARKS = (b"\xff\xfe", b"\xfe\xff")


def log_text(shifts: Sequence[LoggedShift], teller: Teller) -> str:
    """A log as the text of a CSV file; without any shift, a blank one.

    Parameters
    ----------
    shifts
        In the order in which they are to stand.
    teller
        Whose language names the columns, and whose units they are in.
    """
    separator = separator_of(teller)
    rows = [_csv_row(shift, _fields(teller), separator, teller) for shift in shifts]
    return csv_text([log_header(teller), *rows], separator)


def log_workbook(shifts: Sequence[LoggedShift], teller: Teller) -> bytes:
    """A log as an Excel workbook; without any shift, a blank one.

    Parameters
    ----------
    shifts, teller
        As for `log_text`.
    """
    fields = _fields(teller)
    rows: list[list[_Cell]] = [list(log_header(teller)), *(_row(shift, fields, teller) for shift in shifts)]
    return table_workbook(rows, teller.words("shifts"), _IN_SIGHT)


def log_with(path: Path, shifts: Sequence[LoggedShift], teller: Teller) -> bytes:
    """The content of a log with more shifts at its end; of a new one where none is there yet.

    What stands in it is kept letter by letter, and its own columns, separator and language are used.

    Parameters
    ----------
    path
        Of the log; its ending says whether a new one is a workbook (.xlsx) or CSV.
    shifts
        To be added.
    teller
        Who names the columns of a new log.

    Raises
    ------
    UnreadablePaper
        The log cannot be read, lacks a column that the shifts need, or would lose pictures or charts.
    """
    if not path.exists():
        is_workbook = path.suffix.casefold() == WORKBOOK
        return log_workbook(shifts, teller) if is_workbook else log_text(shifts, teller).encode()
    sheet = read_sheet(path, least_rows=0)
    columns, wrong = log_columns(sheet)
    if wrong:
        raise UnreadablePaper("{what}", what=wrong[0])
    fields = {column.index: column.field for column in columns}
    by_index = [fields.get(index) for index in range(max(fields) + 1)]
    own = _own_teller([column.said for column in columns], teller)
    if sheet.separator:
        rows = [_csv_row(shift, by_index, sheet.separator, own) for shift in shifts]
        return _appended(path.read_bytes(), csv_text(rows, sheet.separator))
    return _added(path, [_row(shift, by_index, own) for shift in shifts])


def _fields(teller: Teller) -> list[LogField | None]:
    names = {teller.words(field): field for field in LogField}
    return [names[name] for name in log_header(teller)]


def _own_teller(names: Sequence[str], teller: Teller) -> Teller:
    """Whoever named the columns: in Spanish where any name is Spanish alone."""
    spanish = Teller(language=Language.SPANISH, system=teller.system)
    english = {str(field) for field in LogField}
    is_spanish = any(plain_name(name) not in english for name in names)
    return spanish if is_spanish else Teller(system=teller.system)


def _entries(shift: LoggedShift) -> Mapping[LogField, float | str | None]:
    """What stands under each column, in the units of the records."""
    plan, done = shift.planned, shift.done
    meters = {
        LogField.BRUSH_BEFORE: done.brush,
        LogField.TRACTION_BEFORE: done.traction,
        LogField.KEY_BEFORE: done.key,
    }
    after = {
        LogField.BRUSH_AFTER: done.brush,
        LogField.TRACTION_AFTER: done.traction,
        LogField.KEY_AFTER: done.key,
    }
    litres = {
        (LogField.PLAN_LITRES, LogField.PLAN_GALLONS): plan.water_l,
        (LogField.PLAN_METRES, LogField.PLAN_FEET): plan.area_m2,
        (LogField.FILLED_LITRES, LogField.FILLED_GALLONS): done.filled_l,
        (LogField.DUMPED_LITRES, LogField.DUMPED_GALLONS): done.dumped_l,
        (LogField.AREA_METRES, LogField.AREA_FEET): done.area_m2,
    }
    return {
        LogField.DATE: shift.day.isoformat(),
        LogField.MACHINE: shift.machine,
        LogField.SITE: shift.site,
        LogField.PLAN_SCRUB: plan.scrub_s,
        LogField.PLAN_DRIVE: plan.drive_s,
        LogField.PLAN_STOPS: plan.stops,
        LogField.PLAN_STOP: plan.stop_s,
        LogField.PLAN_CHARGE: plan.charge_used_fraction,
        LogField.TOTAL: done.total_s,
        **{field: None if run is None else run.before_h for field, run in meters.items()},
        **{field: None if run is None else run.after_h for field, run in after.items()},
        LogField.STOPS: done.stops,
        LogField.STOP: done.stop_s,
        LogField.CHARGE_BEFORE: done.charge_before_fraction,
        LogField.CHARGE_AFTER: done.charge_after_fraction,
        LogField.HINDRANCES: done.hindrances,
        LogField.HINDERED: done.hindered_s,
        LogField.RESET: shift.reset,
        **{field: value for fields, value in litres.items() for field in fields},
    }


def _row(shift: LoggedShift, fields: Sequence[LogField | None], teller: Teller) -> list[_Cell]:
    entries = _entries(shift)
    return [None if field is None else _entry(field, entries.get(field), teller) for field in fields]


def _entry(field: LogField, value: float | str | None, teller: Teller) -> _Cell:
    if field is LogField.RESET:
        return None if value is None else teller.words(str(value))
    if isinstance(value, str) or value is None:
        return value
    # A hundredth of a minute, of a litre and of a percent is finer than anybody reads.
    return round(value / UNIT_RATIOS.get(field, 1.0), 2)


def _csv_row(
    shift: LoggedShift, fields: Sequence[LogField | None], separator: str, teller: Teller
) -> list[float | str | None]:
    mark = "," if separator == ";" else "."
    return [
        each if isinstance(each, str) or each is None else f"{each:.12g}".replace(".", mark)
        for each in _row(shift, fields, teller)
    ]


def _appended(content: bytes, more: str) -> bytes:
    """Rows at the end of a CSV file, in its own letters and line ends."""
    encoding = _encoding(content)
    text = content.decode(encoding)
    ending = "\r\n" if "\r\n" in text else "\n"
    begin = "" if not text or text.endswith(("\n", "\r")) else ending
    added = begin + more.replace("\n", ending)
    if encoding == "cp1252":
        try:
            return content + added.encode(encoding)
        except UnicodeEncodeError:
            return (text + added).encode("utf-8-sig")
    # The mark of the file stands at its beginning and nowhere else.
    bare = {"utf-8-sig": "utf-8", "utf-16": "utf-16-le" if content.startswith(b"\xff\xfe") else "utf-16-be"}
    return content + added.encode(bare.get(encoding, encoding))


def _encoding(content: bytes) -> str:
    if content.startswith(_UTF_16_MARKS):
        return "utf-16"
    if content.startswith(_BYTE_MARK):
        return "utf-8-sig"
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def _added(path: Path, rows: Sequence[Sequence[_Cell]]) -> bytes:
    """Rows at the end of the first sheet of a workbook."""
    with zipfile.ZipFile(path) as packed:
        if any(name.startswith(_WOULD_BE_LOST) for name in packed.namelist()):
            raise UnreadablePaper(
                "{file} holds pictures, charts or macros that would be lost here. Add the row in your spreadsheet "
                "program, or keep the log in a workbook of its own.",
                file=path.name,
            )
    workbook = openpyxl.load_workbook(path)
    sheet = workbook.worksheets[0]
    last = max((cell.row for row in sheet.iter_rows() for cell in row if cell.value is not None), default=1)
    for number, row in enumerate(rows, last + 1):
        write_row(sheet, number, row)
    return saved(workbook)
