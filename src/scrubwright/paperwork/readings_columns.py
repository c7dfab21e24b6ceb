"""The columns of a table of readings: their names in English and Spanish, and what is wrong with a header."""

import difflib
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from scrubwright.battery.pack import Chemistry, Pack
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.readings_sheet import EMPTY, Sheet
from scrubwright.paperwork.toml_tables import quoted
from scrubwright.paperwork.wording import Language, Teller

_MOST_CELLS = 120


class Field(StrEnum):
    """What a column holds; those of cells and blocks have a number in their name."""

    DATE = "date"
    TIME = "time"
    MOMENT = "moment"
    METER = "meter_h"
    RESTED_FOR = "rested_h"
    CELSIUS = "temperature_c"
    FAHRENHEIT = "temperature_f"
    CELL_CELSIUS = "temperature_{number}_c"
    CELL_FAHRENHEIT = "temperature_{number}_f"
    GRAVITY = "cell_{number}"
    RESTED = "rested_v"
    BLOCK = "block_{number}_v"
    IDLE_VOLTS = "idle_v"
    IDLE_AMPERES = "idle_a"
    LOAD_VOLTS = "load_v"
    LOAD_AMPERES = "load_a"
    WATER_ML = "water_ml"
    WATER_OUNCES = "water_fl_oz"
    PLUGGED_IN = "plugged_in"
    FINISHED = "finished"
    CHARGE = "charge_percent"
    EVENT = "event"
    NOTE = "note"


# How a column with a number is called.
_NUMBERED: Mapping[Field, Callable[[int], Sentence]] = {
    Field.CELL_CELSIUS: lambda number: Sentence("temperature_{number}_c", number=number),
    Field.CELL_FAHRENHEIT: lambda number: Sentence("temperature_{number}_f", number=number),
    Field.GRAVITY: lambda number: Sentence("cell_{number}", number=number),
    Field.BLOCK: lambda number: Sentence("block_{number}_v", number=number),
}
PER_CELL = frozenset({Field.CELL_CELSIUS, Field.CELL_FAHRENHEIT, Field.GRAVITY})
TEMPERATURES = frozenset({Field.CELSIUS, Field.FAHRENHEIT, Field.CELL_CELSIUS, Field.CELL_FAHRENHEIT})
# One quantity in two units: a table holds one of them.
_EITHER = (
    (Field.CELSIUS, Field.FAHRENHEIT),
    (Field.CELL_CELSIUS, Field.CELL_FAHRENHEIT),
    (Field.WATER_ML, Field.WATER_OUNCES),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table.

    Parameters
    ----------
    field
        What it holds.
    number
        Of the cell or block; 0 for the others.
    index
        Its place in a row, from 0.
    said
        Its name as the file has it.
    """

    field: Field
    number: int
    index: int
    said: str


def columns_of(sheet: Sheet, pack: Pack) -> tuple[tuple[Column, ...], list[Sentence]]:
    """The columns that a header names, and what is wrong with it.

    Parameters
    ----------
    sheet
        The table.
    pack
        Whose readings they are.
    """
    columns: list[Column] = []
    wrong: list[Sentence] = []
    # A CSV row that is longer than the header is refused by itself, with its likely reason.
    width = len(sheet.header) if sheet.separator else max(len(row) for row in (sheet.header, *sheet.rows))
    for index in range(width):
        cell = sheet.header[index] if index < len(sheet.header) else EMPTY
        if cell.is_empty:
            if any(index < len(row) and not row[index].is_empty for row in sheet.rows):
                wrong.append(
                    Sentence(
                        "{file}: column {number} has no name but holds entries; name it, or empty it.",
                        file=sheet.file,
                        number=index + 1,
                    )
                )
            continue
        found = _known_names().get(plain_name(cell.text))
        if found is None:
            wrong.append(unknown_column(sheet.file, cell.text, _known_names()))
        else:
            columns.append(Column(field=found[0], number=found[1], index=index, said=quoted(cell.text)))
    wrong += _twice(sheet.file, columns)
    wrong += _absent(sheet.file, columns)
    wrong += _miscounted(sheet.file, columns, pack)
    wrong += _misplaced(sheet, columns, pack)
    if _has_entries(sheet, columns, frozenset({Field.GRAVITY})) and not {each.field for each in columns} & TEMPERATURES:
        wrong.append(
            Sentence(
                "{file} holds gravities and no temperature of the electrolyte. Ten degrees are five points of charge: "
                "measure the electrolyte, not the air, and add a column temperature_c or temperature_f.",
                file=sheet.file,
            )
        )
    return tuple(columns), wrong


def header_for(pack: Pack, teller: Teller, *, is_us: bool) -> tuple[str, ...]:
    """The names of the columns that a pack needs, in the reader's language.

    Parameters
    ----------
    pack
        Whose readings the table will hold.
    teller
        Who names them.
    is_us
        Whether temperature and water are in degrees Fahrenheit and fluid ounces.
    """
    is_flooded, is_lithium = pack.chemistry is Chemistry.FLOODED, pack.chemistry is Chemistry.LITHIUM
    fields = [Field.DATE, Field.TIME, Field.MOMENT, Field.METER, Field.RESTED_FOR]
    if not is_lithium:
        fields.append(Field.FAHRENHEIT if is_us else Field.CELSIUS)
    if is_flooded:
        fields.append(Field.GRAVITY)
    fields.append(Field.RESTED)
    if pack.cells_per_block > 1 and pack.blocks > 1:
        fields.append(Field.BLOCK)
    fields += [Field.IDLE_VOLTS, Field.IDLE_AMPERES, Field.LOAD_VOLTS, Field.LOAD_AMPERES]
    if is_flooded:
        fields.append(Field.WATER_OUNCES if is_us else Field.WATER_ML)
    fields += [Field.PLUGGED_IN, Field.FINISHED]
    if is_lithium:
        fields.append(Field.CHARGE)
    fields += [Field.EVENT, Field.NOTE]
    counts = {Field.GRAVITY: pack.cells, Field.BLOCK: pack.blocks}
    names: list[str] = []
    for field in fields:
        if field in _NUMBERED:
            names += [teller.tell(_NUMBERED[field](number)) for number in range(1, counts[field] + 1)]
        else:
            names.append(teller.words(field))
    return tuple(names)


def plain_name(name: str) -> str:
    """A name as it is compared: no capitals, no accents, underscores for spaces and hyphens."""
    letters = unicodedata.normalize("NFKD", name.strip().casefold())
    kept = "".join(letter for letter in letters if not unicodedata.combining(letter))
    return "_".join(kept.replace("-", " ").replace("_", " ").split())


@cache
def _known_names() -> Mapping[str, tuple[Field, int]]:
    """Every name that a column may have, in every language."""
    names: dict[str, tuple[Field, int]] = {}
    for language in Language:
        teller = Teller(language=language)
        for field in Field:
            if field in _NUMBERED:
                for number in range(1, _MOST_CELLS + 1):
                    names[plain_name(teller.tell(_NUMBERED[field](number)))] = (field, number)
            else:
                names[plain_name(teller.words(field))] = (field, 0)
    return names


def unknown_column(file: str, name: str, known: Iterable[str]) -> Sentence:
    """What is said of a column that nobody reads.

    Parameters
    ----------
    file, name
        Of the table, and of the column in it.
    known
        Names that a column may have, as `plain_name` gives them.
    """
    plain = plain_name(name)
    close = difflib.get_close_matches(plain, known, n=4, cutoff=0.7)
    # Of temperature_c and temperature_f one is as near as the other; which it is, only the person knows.
    likeness = [difflib.SequenceMatcher(None, each, plain).ratio() for each in close]
    nearest = [each for each, like in zip(close, likeness, strict=True) if like == likeness[0]]
    if not nearest:
        return Sentence(
            '{file}: nobody reads the column "{given}". Take it out, or put what it says under note.',
            file=file,
            given=quoted(name),
        )
    return Sentence(
        '{file}: nobody reads the column "{given}"; did you mean "{nearest}"?',
        file=file,
        given=quoted(name),
        nearest='" / "'.join(nearest),
    )


def _twice(file: str, columns: list[Column]) -> Iterator[Sentence]:
    seen: dict[tuple[Field, int], Column] = {}
    for column in columns:
        key = (column.field, column.number)
        if key in seen:
            yield Sentence(
                "{file}: the columns {first} and {second} hold the same thing; keep one.",
                file=file,
                first=seen[key].said,
                second=column.said,
            )
        seen.setdefault(key, column)
    for one, other in _EITHER:
        both = [next((each.said for each in columns if each.field is field), "") for field in (one, other)]
        if all(both):
            yield Sentence(
                "{file}: the columns {first} and {second} are one thing in two units; keep one.",
                file=file,
                first=both[0],
                second=both[1],
            )


def _absent(file: str, columns: list[Column]) -> Iterator[Sentence]:
    fields = {column.field for column in columns}
    if Field.DATE not in fields:
        yield Sentence("{file} has no column date: the day of each visit, such as 2026-04-03.", file=file)
    if Field.MOMENT not in fields:
        yield Sentence(
            "{file} has no column moment: after charge, after work, or in between. A reading means nothing without it.",
            file=file,
        )


def _miscounted(file: str, columns: list[Column], pack: Pack) -> Iterator[Sentence]:
    """Columns of cells and blocks: all of the pack's, and none beyond."""
    for field, named in _NUMBERED.items():
        given = {column.number: column.said for column in columns if column.field is field}
        count = pack.cells if field in PER_CELL else pack.blocks
        is_flooded_field = field is Field.GRAVITY and pack.chemistry is not Chemistry.FLOODED
        if not given or is_flooded_field or set(given) == set(range(1, count + 1)):
            continue
        beyond = [said for number, said in sorted(given.items()) if number > count]
        missing = [named(number) for number in range(1, count + 1) if number not in given]
        if beyond:
            yield Sentence(
                "{file} has columns up to {last}, but {pack} has {cells} cells in {blocks} blocks. Is it the file of "
                "another pack?",
                file=file,
                last=beyond[-1],
                pack=pack.name,
                cells=pack.cells,
                blocks=pack.blocks,
            )
        if missing:
            yield Sentence(
                "{file} lacks columns that {pack} needs beside the ones it has: {missing}. Add them, and leave empty "
                "what was not read.",
                file=file,
                pack=pack.name,
                missing=tuple([*missing[:4], Sentence("...")] if len(missing) > 4 else missing),
            )


def _misplaced(sheet: Sheet, columns: list[Column], pack: Pack) -> Iterator[Sentence]:
    """Entries that belong to another kind of pack."""
    if pack.chemistry is not Chemistry.FLOODED and _has_entries(sheet, columns, frozenset({Field.GRAVITY})):
        yield Sentence(
            "{file} holds gravities, but {pack} is {chemistry}: it has no electrolyte that a hydrometer can draw, and "
            "opening it ruins it. Take the gravities out and read volts at rest instead.",
            file=sheet.file,
            pack=pack.name,
            chemistry=pack.chemistry,
        )
    water = frozenset({Field.WATER_ML, Field.WATER_OUNCES})
    if pack.chemistry is not Chemistry.FLOODED and _has_entries(sheet, columns, water):
        yield Sentence(
            "{file} holds water, but {pack} is {chemistry} and takes none. Is it the file of another pack?",
            file=sheet.file,
            pack=pack.name,
            chemistry=pack.chemistry,
        )
    if pack.chemistry is not Chemistry.LITHIUM and _has_entries(sheet, columns, frozenset({Field.CHARGE})):
        yield Sentence(
            "{file} holds charge_percent, but {pack} is {chemistry}: its display only guesses from volts. Empty the "
            "column, and measure gravity or volts at rest.",
            file=sheet.file,
            pack=pack.name,
            chemistry=pack.chemistry,
        )


def _has_entries(sheet: Sheet, columns: list[Column], fields: frozenset[Field]) -> bool:
    places = [column.index for column in columns if column.field in fields]
    return any(index < len(row) and not row[index].is_empty for row in sheet.rows for index in places)
