"""The columns of a log of shifts: their names in English and Spanish, and what is wrong with a header."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import LITRES_PER_GALLON, METRES_PER_FOOT, UnitSystem
from scrubwright.paperwork.readings_columns import plain_name, unknown_column
from scrubwright.paperwork.readings_sheet import EMPTY, Sheet
from scrubwright.paperwork.toml_tables import quoted
from scrubwright.paperwork.wording import Language, Teller


class LogField(StrEnum):
    """What a column holds."""

    DATE = "date"
    MACHINE = "machine"
    SITE = "site"
    PLAN_SCRUB = "plan_scrub_min"
    PLAN_DRIVE = "plan_drive_min"
    PLAN_STOPS = "plan_stops"
    PLAN_STOP = "plan_stop_min"
    PLAN_LITRES = "plan_water_l"
    PLAN_GALLONS = "plan_water_gal"
    PLAN_CHARGE = "plan_charge_percent"
    PLAN_METRES = "plan_area_m2"
    PLAN_FEET = "plan_area_ft2"
    START = "start_time"
    FINISH = "finish_time"
    TOTAL = "total_min"
    BRUSH_BEFORE = "brush_before_h"
    BRUSH_AFTER = "brush_after_h"
    TRACTION_BEFORE = "traction_before_h"
    TRACTION_AFTER = "traction_after_h"
    KEY_BEFORE = "key_before_h"
    KEY_AFTER = "key_after_h"
    STOPS = "stops"
    STOP = "stop_min"
    FILLED_LITRES = "filled_l"
    FILLED_GALLONS = "filled_gal"
    DUMPED_LITRES = "dumped_l"
    DUMPED_GALLONS = "dumped_gal"
    CHARGE_BEFORE = "charge_before_percent"
    CHARGE_AFTER = "charge_after_percent"
    AREA_METRES = "area_m2"
    AREA_FEET = "area_ft2"
    HINDRANCES = "hindrances"
    HINDERED = "hindered_min"
    RESET = "reset"
    NOTE = "note"


NEEDED = (LogField.DATE, LogField.MACHINE, LogField.SITE, LogField.PLAN_SCRUB)
# One quantity in two units: a table holds one of them.
IN_US = {
    LogField.PLAN_LITRES: LogField.PLAN_GALLONS,
    LogField.PLAN_METRES: LogField.PLAN_FEET,
    LogField.FILLED_LITRES: LogField.FILLED_GALLONS,
    LogField.DUMPED_LITRES: LogField.DUMPED_GALLONS,
    LogField.AREA_METRES: LogField.AREA_FEET,
}
_MINUTES = (
    LogField.PLAN_SCRUB,
    LogField.PLAN_DRIVE,
    LogField.PLAN_STOP,
    LogField.TOTAL,
    LogField.STOP,
    LogField.HINDERED,
)
_PERCENT = (LogField.PLAN_CHARGE, LogField.CHARGE_BEFORE, LogField.CHARGE_AFTER)
_GALLONS = (LogField.PLAN_GALLONS, LogField.FILLED_GALLONS, LogField.DUMPED_GALLONS)
_FEET = (LogField.PLAN_FEET, LogField.AREA_FEET)
# By what an entry is multiplied to be in the unit of the records.
UNIT_RATIOS: Mapping[LogField, float] = {
    **dict.fromkeys(_MINUTES, 60.0),
    **dict.fromkeys(_PERCENT, 0.01),
    **dict.fromkeys(_GALLONS, LITRES_PER_GALLON),
    **dict.fromkeys(_FEET, METRES_PER_FOOT**2),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LogColumn:
    """One column: what it holds, its place in a row from 0, and its name as the file has it."""

    field: LogField
    index: int
    said: str


def log_header(teller: Teller) -> tuple[str, ...]:
    """The names of all columns in the reader's language, litres and square metres or gallons and square feet."""
    is_us = teller.system is UnitSystem.US
    other = set(IN_US) if is_us else set(IN_US.values())
    return tuple(teller.words(field) for field in LogField if field not in other)


def log_columns(sheet: Sheet) -> tuple[tuple[LogColumn, ...], list[Sentence]]:
    """The columns that a header names, and what is wrong with it.

    Parameters
    ----------
    sheet
        The table.
    """
    columns: list[LogColumn] = []
    wrong: list[Sentence] = []
    width = max(len(row) for row in (sheet.header, *sheet.rows))
    for index in range(width):
        cell = sheet.header[index] if index < len(sheet.header) else EMPTY
        if cell.is_empty:
            # A row of a CSV file that is longer than the header is refused by itself, with its likely reason.
            if index < len(sheet.header) and any(index < len(row) and not row[index].is_empty for row in sheet.rows):
                wrong.append(
                    Sentence(
                        "{file}: column {number} has no name but holds entries; name it, or empty it.",
                        file=sheet.file,
                        number=index + 1,
                    )
                )
            continue
        field = _known_names().get(plain_name(cell.text))
        if field is None:
            wrong.append(unknown_column(sheet.file, cell.text, _known_names()))
        else:
            columns.append(LogColumn(field=field, index=index, said=quoted(cell.text)))
    return tuple(columns), [*wrong, *_twice(sheet.file, columns), *_absent(sheet.file, columns)]


@cache
def _known_names() -> Mapping[str, LogField]:
    """Every name that a column may have, in every language."""
    tellers = [Teller(language=language) for language in Language]
    return {plain_name(teller.words(field)): field for teller in tellers for field in LogField}


def _twice(file: str, columns: list[LogColumn]) -> Iterator[Sentence]:
    seen: dict[LogField, LogColumn] = {}
    for column in columns:
        first = seen.setdefault(column.field, column)
        if first is not column:
            yield Sentence(
                "{file}: the columns {first} and {second} hold the same thing; keep one.",
                file=file,
                first=first.said,
                second=column.said,
            )
    for one, other in IN_US.items():
        if one in seen and other in seen:
            yield Sentence(
                "{file}: the columns {first} and {second} are one thing in two units; keep one.",
                file=file,
                first=seen[one].said,
                second=seen[other].said,
            )


def _absent(file: str, columns: list[LogColumn]) -> Iterator[Sentence]:
    fields = {column.field for column in columns}
    for field in NEEDED:
        if field not in fields:
            yield Sentence("{file} has no column {name}. Take a blank log: it has every column.", file=file, name=field)
