"""A log of shifts becomes records, one for each row: all of it, or a refusal that tells every problem.

What cannot be read is refused. What can be read and is wrong, such as a meter that runs backwards, is kept as it
was written: whoever learns from it leaves it out and says why.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from pathlib import Path

from scrubwright.jobs.shift_logged import DoneShift, LoggedShift, MeterRun, PlannedShift, Reset
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.readings import problems_listed
from scrubwright.paperwork.readings_cells import When, when, word
from scrubwright.paperwork.readings_sheet import Cell, Sheet, read_sheet
from scrubwright.paperwork.shift_log_columns import UNIT_RATIOS, LogField, log_columns
from scrubwright.paperwork.table_rows import TableRow, table_row

_ONE_DAY = timedelta(days=1)
_METERS = {
    "brush": (LogField.BRUSH_BEFORE, LogField.BRUSH_AFTER),
    "traction": (LogField.TRACTION_BEFORE, LogField.TRACTION_AFTER),
    "key": (LogField.KEY_BEFORE, LogField.KEY_AFTER),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftLog:
    """The shifts of a file in its order, and what somebody should look at."""

    shifts: tuple[LoggedShift, ...]
    warnings: tuple[Sentence, ...] = ()


def read_shift_log(path: Path) -> ShiftLog:
    """The shifts in a log.

    Parameters
    ----------
    path
        A CSV file or an Excel workbook (.xlsx), at most 5 MB and 5,000 rows.

    Raises
    ------
    UnreadablePaper
        The file cannot be read, or something in it is no entry; tells up to twelve problems at once.
    """
    return shift_log_of_sheet(read_sheet(path, least_rows=0))


def shift_log_of_sheet(sheet: Sheet) -> ShiftLog:
    """The shifts in a table.

    Parameters
    ----------
    sheet
        The table.

    Raises
    ------
    UnreadablePaper
        Something in it is no entry; tells up to twelve problems at once.
    """
    columns, wrong = log_columns(sheet)
    shifts: dict[int, LoggedShift] = {}
    warnings: list[Sentence] = []
    if not wrong:
        places: dict[StrEnum, tuple[int, str]] = {each.field: (each.index, each.said) for each in columns}
        for number, cells in enumerate(sheet.rows, sheet.header_row + 1):
            row = table_row(sheet, number, cells, places)
            if not row.wrong and row.cells.keys() - {LogField.NOTE}:
                shift = _shift(row, warnings)
                if shift is not None:
                    shifts[number] = shift
            wrong += row.wrong
        wrong += _same_rows(sheet.file, shifts)
    if wrong:
        raise UnreadablePaper(
            "{file} cannot be used yet. Things to mend: {count}.\n{problems}",
            file=sheet.file,
            count=len(wrong),
            problems=problems_listed(wrong),
        )
    if not shifts:
        raise UnreadablePaper(
            "{file} names its columns but holds no shift yet. Plan one, add it as a row, and fill the row in after the "
            "shift.",
            file=sheet.file,
        )
    return ShiftLog(shifts=tuple(shifts.values()), warnings=tuple(warnings))


def _shift(row: TableRow, warnings: list[Sentence]) -> LoggedShift | None:
    day = _day(row)
    machine, site = (_name(row, field) for field in (LogField.MACHINE, LogField.SITE))
    reset = row.read(LogField.RESET, lambda where, cell: word(where, cell, Reset))
    scrub_s = _value(row, LogField.PLAN_SCRUB)
    if scrub_s is None and not row.wrong:
        row.wrong.append(
            Sentence(
                "{place} has no plan; write the minutes with the deck down, as the plate plans them, under {column}.",
                place=row.place,
                column=LogField.PLAN_SCRUB,
            )
        )
    done = _done(row, day, warnings)
    plan = _planned(row, scrub_s)
    if row.wrong or day is None or plan is None:
        return None
    return LoggedShift(day=day, machine=machine, site=site, planned=plan, done=done, reset=reset)


def _planned(row: TableRow, scrub_s: float | None) -> PlannedShift | None:
    if scrub_s is None:
        return None
    stops = row.count_under(LogField.PLAN_STOPS)
    return row.made(
        lambda: PlannedShift(
            scrub_s=scrub_s,
            drive_s=_value(row, LogField.PLAN_DRIVE) or 0.0,
            stops=stops or 0,
            stop_s=_value(row, LogField.PLAN_STOP) or 0.0,
            water_l=_value(row, LogField.PLAN_LITRES, LogField.PLAN_GALLONS),
            charge_used_fraction=_value(row, LogField.PLAN_CHARGE),
            area_m2=_value(row, LogField.PLAN_METRES, LogField.PLAN_FEET),
        )
    )


def _done(row: TableRow, day: date | None, warnings: list[Sentence]) -> DoneShift:
    by_clock_s, by_minutes_s = _clock_s(row, day), _value(row, LogField.TOTAL)
    if by_clock_s is not None and by_minutes_s is not None and abs(by_clock_s - by_minutes_s) > 600:
        warnings.append(
            Sentence(
                "{place}: from start to finish it is {clock_s}, and {minutes_s} are written. The clock is taken.",
                place=row.place,
                clock_s=by_clock_s,
                minutes_s=by_minutes_s,
            )
        )
    return DoneShift(
        total_s=by_minutes_s if by_clock_s is None else by_clock_s,
        stops=row.count_under(LogField.STOPS),
        stop_s=_value(row, LogField.STOP),
        filled_l=_value(row, LogField.FILLED_LITRES, LogField.FILLED_GALLONS),
        dumped_l=_value(row, LogField.DUMPED_LITRES, LogField.DUMPED_GALLONS),
        charge_before_fraction=_charge(row, LogField.CHARGE_BEFORE),
        charge_after_fraction=_charge(row, LogField.CHARGE_AFTER),
        area_m2=_value(row, LogField.AREA_METRES, LogField.AREA_FEET),
        hindrances=row.count_under(LogField.HINDRANCES),
        hindered_s=_value(row, LogField.HINDERED),
        **{name: _meter(row, *fields) for name, fields in _METERS.items()},
    )


def _day(row: TableRow) -> date | None:
    def calendar_day(where: Sentence, cell: Cell) -> date:
        told = when(where, cell)
        if told.day is None:
            raise BadInput("{where}: a time stands where the day belongs. Write the day as 2026-04-03.", where=where)
        return told.day

    day = row.read(LogField.DATE, calendar_day)
    if day is None and not row.wrong:
        row.wrong.append(Sentence("{place} has no date; write its day as 2026-04-03.", place=row.place))
    return day


def _name(row: TableRow, field: LogField) -> str:
    name = row.read(field, lambda _, cell: cell.text.strip())
    if not name:
        row.wrong.append(
            Sentence("{place} has no {column}; write its name as in its file.", place=row.place, column=field)
        )
    return name or ""


def _clock_s(row: TableRow, day: date | None) -> float | None:
    """From start to finish; a finish that the clock shows before the start is on the next day."""
    start, finish = (row.read(field, _clock) for field in (LogField.START, LogField.FINISH))
    if start is None or finish is None or day is None:
        return None
    began, ended = (datetime.combine(told.day or day, told.clock or time()) for told in (start, finish))
    if finish.day is None and ended <= began:
        ended += _ONE_DAY
    return (ended - began).total_seconds()


def _clock(where: Sentence, cell: Cell) -> When:
    told = when(where, cell)
    if told.clock is None:
        raise BadInput("{where}: a day stands where the time belongs. Write the time as 21:30.", where=where)
    return told


def _value(row: TableRow, *fields: LogField) -> float | None:
    """The number under one of some columns, in the unit of the records."""
    for field in fields:
        found = row.number_under(field)
        if found is not None:
            return found.value * UNIT_RATIOS.get(field, 1.0)
    return None


def _meter(row: TableRow, before: LogField, after: LogField) -> MeterRun | None:
    before_h, after_h = _value(row, before), _value(row, after)
    if before_h is None or after_h is None:
        return None
    return MeterRun(before_h=before_h, after_h=after_h)


def _charge(row: TableRow, field: LogField) -> float | None:
    def percent(where: Sentence, cell: Cell) -> float:
        value = row.amount(field, where, cell).value
        if 0 < value <= 1:
            raise BadInput(
                "{where}: {given} is a share of one, or nearly nothing. Write percent: {instead} for the one, 0 for "
                "the other.",
                where=where,
                given=f"{value:g}",
                instead=f"{100 * value:g}",
            )
        if value > 100:
            raise BadInput(
                "{where}: {given} is no charge; write percent of a full one, 0 to 100.", where=where, given=f"{value:g}"
            )
        return value / 100

    return row.read(field, percent)


def _same_rows(file: str, shifts: dict[int, LoggedShift]) -> Iterator[Sentence]:
    seen: dict[LoggedShift, int] = {}
    for number, shift in shifts.items():
        # Two machines may have like plans, but not the same night.
        first = number if shift.done.is_empty else seen.setdefault(shift, number)
        if first != number:
            yield Sentence(
                "{file}: rows {first} and {second} are one shift written twice; delete one.",
                file=file,
                first=first,
                second=number,
            )
