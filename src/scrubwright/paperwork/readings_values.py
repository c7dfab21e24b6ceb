"""The quantities in one row of readings, in the units of the records, each held against what it can be."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from scrubwright.battery.pack import Chemistry
from scrubwright.battery.visit import VoltsUnderLoad
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import LITRES_PER_GALLON
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.instruments import gravity_ratio, kelvin_of_celsius_k, kelvin_of_fahrenheit_k
from scrubwright.paperwork.readings_cells import written_number
from scrubwright.paperwork.readings_columns import Column, Field
from scrubwright.paperwork.readings_row import Row


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limits:
    """What a number may be, in the unit of its column, and how many of that unit make one of the records'."""

    most: float
    per_record: float
    said: Callable[[float], Sentence]


# More than any machine of this trade shows; catches a slipped comma and a meter in minutes.
_LIMITS = {
    Field.METER: _Limits(most=200_000, per_record=1, said=lambda value: Sentence("{time_h}", time_h=value)),
    Field.RESTED_FOR: _Limits(most=9_000, per_record=1, said=lambda value: Sentence("{time_h}", time_h=value)),
    Field.IDLE_AMPERES: _Limits(most=1_000, per_record=1, said=lambda value: Sentence("{current_a}", current_a=value)),
    Field.LOAD_AMPERES: _Limits(most=1_000, per_record=1, said=lambda value: Sentence("{current_a}", current_a=value)),
    Field.WATER_ML: _Limits(most=40_000, per_record=1000, said=lambda value: Sentence("{volume_l}", volume_l=value)),
    Field.WATER_OUNCES: _Limits(
        most=1_350, per_record=128 / LITRES_PER_GALLON, said=lambda value: Sentence("{volume_l}", volume_l=value)
    ),
    Field.CHARGE: _Limits(
        most=100, per_record=100, said=lambda value: Sentence("{share_fraction}", share_fraction=value)
    ),
}
# Volts of one cell, lead-acid and lithium: at rest, and on the machine from heavy load to idling.
_RESTED_V = ((1.5, 2.7), (2.0, 4.3))
_LOADED_V = ((0.8, 2.7), (1.5, 4.3))
_LOAD_FIELDS = (Field.IDLE_VOLTS, Field.IDLE_AMPERES, Field.LOAD_VOLTS, Field.LOAD_AMPERES)


def readings_in(row: Row) -> dict[str, Any]:
    """What was read, under the names of `Visit`; None or empty where nothing was.

    Parameters
    ----------
    row
        The row; what cannot be is refused there.
    """
    return {
        "meter_h": row.read(Field.METER, lambda column: _plain(row, column).value),
        "rested_h": row.read(Field.RESTED_FOR, lambda column: _plain(row, column).value),
        "gravities_ratio": _gravities(row),
        "electrolyte_k": _temperatures(row),
        "rested_v": row.read(Field.RESTED, lambda column: _volts(row, column).value),
        "blocks_v": _blocks(row),
        "under_load": _under_load(row),
        "water_l": _water(row),
        "charge_fraction": row.read(Field.CHARGE, lambda column: _charge(row, column).value),
    }


def _number(row: Row, column: Column) -> Figure:
    return written_number(
        column.field,
        row.where(column),
        row.cell(column),
        row.sheet.separator,
        is_gravity=column.field is Field.GRAVITY,
    )


def _plain(row: Row, column: Column) -> Figure:
    """A number of zero or more below its limit, in the records' unit."""
    number = _number(row, column)
    limits = _LIMITS[column.field]
    value = number.value / limits.per_record
    if number.value < 0:
        raise BadInput(
            "{where}: {given} is below zero. Write the number without its sign, or leave the cell empty.",
            where=row.where(column),
            given=f"{number.value:g}",
        )
    if not number.value <= limits.most:
        raise BadInput(
            "{where}: {given} is more than {most}, the most that can be. Look at the number and at the column again.",
            where=row.where(column),
            given=limits.said(value),
            most=limits.said(limits.most / limits.per_record),
        )
    return Figure(name=number.name, value=value)


def _charge(row: Row, column: Column) -> Figure:
    written = _number(row, column)
    if 0 < written.value <= 1:
        raise BadInput(
            "{where}: {given} is a share of one, or nearly nothing. Write percent: {instead} for the one, 0 for the "
            "other.",
            where=row.where(column),
            given=f"{written.value:g}",
            instead=f"{100 * written.value:g}",
        )
    return _plain(row, column)


def _gravities(row: Row) -> tuple[float | None, ...]:
    pack, scale = row.paper.pack, row.paper.scale
    filled = row.filled(Field.GRAVITY)
    # Those of a sealed pack are refused once, with the header.
    if not filled or pack.chemistry is not Chemistry.FLOODED:
        return ()
    found = {
        column.number: row.tried(lambda each: gravity_ratio(row.where(each), _number(row, each).value, scale), column)
        for column in filled
    }
    return tuple(found.get(number) for number in range(1, pack.cells + 1))


def _temperatures(row: Row) -> tuple[float, ...]:
    """One for the pack, or one a cell."""
    one = row.filled(Field.CELSIUS) + row.filled(Field.FAHRENHEIT)
    each = row.filled(Field.CELL_CELSIUS) + row.filled(Field.CELL_FAHRENHEIT)
    if one and each:
        row.refuse(
            Sentence(
                "{where} and {other} both hold a temperature; keep the one for the pack, or those of the cells.",
                where=row.where(one[0]),
                other=each[0].said,
            )
        )
        return ()
    cells = row.paper.pack.cells
    if each and len(each) != cells:
        row.refuse(
            Sentence(
                "{place} holds temperatures of {given} cells; the pack has {cells}. Give one a cell, or one for the "
                "pack.",
                place=row.place,
                given=len(each),
                cells=cells,
            )
        )
        return ()
    found = [row.tried(lambda column: _temperature(row, column).value, column) for column in one or each]
    return tuple(value for value in found if value is not None)


def _temperature(row: Row, column: Column) -> Figure:
    where, written = row.where(column), _number(row, column).value
    if column.field in (Field.FAHRENHEIT, Field.CELL_FAHRENHEIT):
        return Figure(name="electrolyte_k", value=kelvin_of_fahrenheit_k(where, written))
    otherwise = Sentence("call the column temperature_f")
    return Figure(name="electrolyte_k", value=kelvin_of_celsius_k(where, written, otherwise))


def _volts(row: Row, column: Column) -> Figure:
    """Volts of the pack or of one block, held against its count of cells."""
    pack = row.paper.pack
    bands = _LOADED_V if column.field in _LOAD_FIELDS else _RESTED_V
    least_v, most_v = bands[pack.chemistry is Chemistry.LITHIUM]
    cells = pack.cells_per_block if column.field is Field.BLOCK else pack.cells
    number = _number(row, column)
    if not least_v * cells <= number.value <= most_v * cells:
        raise BadInput(
            "{where}: {given_v} does not go with {cells} cells in series, which show from {least_v} to {most_v}. Look "
            "at the number and at the column again.",
            where=row.where(column),
            given_v=number.value,
            cells=cells,
            least_v=least_v * cells,
            most_v=most_v * cells,
        )
    return number


def _blocks(row: Row) -> tuple[float, ...]:
    filled = row.filled(Field.BLOCK)
    blocks = row.paper.pack.blocks
    if filled and len(filled) != blocks:
        row.refuse(
            Sentence(
                "{place} holds volts of {given} blocks; the pack has {blocks}. Measure all of them in one round.",
                place=row.place,
                given=len(filled),
                blocks=blocks,
            )
        )
        return ()
    found = [row.tried(lambda column: _volts(row, column).value, column) for column in filled]
    return tuple(value for value in found if value is not None)


def _under_load(row: Row) -> VoltsUnderLoad | None:
    filled = [column for field in _LOAD_FIELDS for column in row.filled(field)]
    if not filled:
        return None
    if len(filled) != len(_LOAD_FIELDS):
        row.refuse(
            Sentence(
                "{place} holds {given} of the four readings under load: volts and amperes idling, then with brushes "
                "and suction on. Fill in all four, or none.",
                place=row.place,
                given=len(filled),
            )
        )
        return None
    values = [
        row.tried(lambda column: (_plain if column.field in _LIMITS else _volts)(row, column).value, column)
        for column in filled
    ]
    if any(value is None for value in values):
        return None
    idle_v, idle_a, load_v, load_a = (float(value) for value in values if value is not None)
    try:
        return VoltsUnderLoad(idle_v=idle_v, idle_a=idle_a, load_v=load_v, load_a=load_a)
    except BadInput as problem:
        row.refuse(Sentence("{what}: {why}", what=row.place, why=problem.sentence))
        return None


def _water(row: Row) -> float | None:
    filled = row.filled(Field.WATER_ML) + row.filled(Field.WATER_OUNCES)
    return row.tried(lambda column: _plain(row, column).value, filled[0]) if filled else None
