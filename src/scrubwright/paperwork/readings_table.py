"""From a table of readings to the visits it holds, row by row, so that every problem is told with its place."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from scrubwright.battery.visit import Event, Moment, Visit, check_visit_fits
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.readings_cells import when, word
from scrubwright.paperwork.readings_columns import Column, Field
from scrubwright.paperwork.readings_row import Row
from scrubwright.paperwork.readings_sheet import Sheet
from scrubwright.paperwork.readings_values import readings_in

# For a visit whose time nobody wrote down.
NOON = time(12)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitRow:
    """One row of a table that holds a visit.

    Parameters
    ----------
    number
        Of the row, as a spreadsheet program counts.
    visit
        What it holds.
    has_time
        Whether its time stands in the file; else noon is taken.
    """

    number: int
    visit: Visit
    has_time: bool


def visits_in(
    sheet: Sheet, columns: tuple[Column, ...], paper: PackPaper, today: date
) -> tuple[list[VisitRow], list[Sentence]]:
    """Every row that holds a visit, and what is wrong with the others.

    Parameters
    ----------
    sheet
        The table.
    columns
        What its columns hold.
    paper
        Whose readings they are.
    today
        The last day that a visit can have.
    """
    found: list[VisitRow] = []
    wrong: list[Sentence] = []
    for number, cells in enumerate(sheet.rows, sheet.header_row + 1):
        row = Row(sheet=sheet, number=number, cells=cells, columns=columns, paper=paper, wrong=wrong)
        if sheet.separator and len(cells) > len(sheet.header):
            row.refuse(
                Sentence(
                    "{place} has more entries than there are columns. Where numbers have a decimal comma, write them "
                    "with a point, or save the file with semicolons between its columns.",
                    place=row.place,
                )
            )
        elif not row.is_empty and (visit := _visit(row, today)) is not None:
            found.append(visit)
    return found, wrong


def _visit(row: Row, today: date) -> VisitRow | None:
    before = len(row.wrong)
    at = _at(row, today)
    moment = row.read(Field.MOMENT, lambda column: word(row.where(column), row.cell(column), Moment))
    if not row.filled(Field.MOMENT):
        row.refuse(
            Sentence(
                "{place} has no moment; write after charge, after work, or in between under moment. A reading means "
                "nothing without it.",
                place=row.place,
            )
        )
    event = row.read(Field.EVENT, lambda column: word(row.where(column), row.cell(column), Event))
    parts = readings_in(row) | {"event": event}
    if at is not None:
        parts |= _charge_times(row, at[0], has_time=at[1])
    if len(row.wrong) == before and not any(value not in (None, ()) for value in parts.values()):
        row.refuse(Sentence("{place} has a day and no reading; fill it in, or delete the row.", place=row.place))
    if len(row.wrong) > before or at is None or moment is None:
        return None
    return _checked(row, at, moment, parts)


def _checked(row: Row, at: tuple[datetime, bool], moment: Moment, parts: Mapping[str, Any]) -> VisitRow | None:
    try:
        visit = Visit(at=at[0], moment=moment, **parts)
        check_visit_fits(row.paper.pack, visit)
    except BadInput as problem:
        row.refuse(Sentence("{what}: {why}", what=row.place, why=problem.sentence))
        return None
    return VisitRow(number=row.number, visit=visit, has_time=at[1])


def _at(row: Row, today: date) -> tuple[datetime, bool] | None:
    """When the visit was, and whether its time stands in the file."""
    if not row.filled(Field.DATE):
        row.refuse(Sentence("{place} has no date; write its day as 2026-04-03.", place=row.place))
    told = row.read(Field.DATE, lambda column: when(row.where(column), row.cell(column)))
    clock = row.read(Field.TIME, lambda column: _time_of_day(row, column))
    if told is None:
        return None
    where = row.where(row.filled(Field.DATE)[0])
    if told.day is None:
        row.refuse(Sentence("{where}: a time stands where the day belongs. Write the day as 2026-04-03.", where=where))
        return None
    if told.day > today:
        row.refuse(
            Sentence(
                "{where}: {day} has not come yet; today is {today}. Look at the year and at the month.",
                where=where,
                day=told.day.isoformat(),
                today=today.isoformat(),
            )
        )
        return None
    clock = clock or told.clock
    return datetime.combine(told.day, clock or NOON), clock is not None


def _time_of_day(row: Row, column: Column) -> time:
    told = when(row.where(column), row.cell(column))
    if told.clock is None:
        raise BadInput(
            "{where}: a day stands where the time belongs. Write the time as 21:30.", where=row.where(column)
        )
    return told.clock


def _charge_times(row: Row, at: datetime, *, has_time: bool) -> dict[str, datetime | None]:
    """Plug-in and finish of the charge before the visit; a time alone is the last such time before what follows it."""
    finished_at = row.read(Field.FINISHED, lambda column: _before(row, column, at, has_time=has_time))
    end_at, is_known = (at, has_time) if finished_at is None else (finished_at, True)
    plugged_in_at = row.read(Field.PLUGGED_IN, lambda column: _before(row, column, end_at, has_time=is_known))
    return {"finished_at": finished_at, "plugged_in_at": plugged_in_at}


def _before(row: Row, column: Column, end_at: datetime, *, has_time: bool) -> datetime:
    where = row.where(column)
    told = when(where, row.cell(column))
    if told.clock is None:
        raise BadInput("{where} is a day without its time. Write it as 2026-04-03 21:30.", where=where)
    if told.day is None and not has_time:
        raise BadInput(
            "{where} is a time without its day, and the visit has no time from which the day could be told. Write the "
            "time of the visit too, or write this as 2026-04-03 21:30.",
            where=where,
        )
    if told.day is None:
        same_day = datetime.combine(end_at.date(), told.clock)
        return same_day if same_day <= end_at else same_day - timedelta(days=1)
    at = datetime.combine(told.day, told.clock)
    # Noon, taken for a visit without a time, proves nothing within its own day.
    if at > end_at and (has_time or at.date() > end_at.date()):
        raise BadInput(
            "{where}: {given} is later than {end}, which must come after it. This is the charge before the visit; look "
            "at the days.",
            where=where,
            given=at.isoformat(" ", "minutes"),
            end=end_at.isoformat(" ", "minutes"),
        )
    return at
