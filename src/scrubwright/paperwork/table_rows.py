"""Tables that people fill in row by row: what their columns hold, and rows that tell what is wrong with them."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, time
from enum import StrEnum
from functools import cache, partial
from typing import TypeVar

from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.readings_cells import when, word, written_number
from scrubwright.paperwork.readings_columns import plain_name, unknown_column
from scrubwright.paperwork.readings_sheet import EMPTY, Cell, Sheet
from scrubwright.paperwork.toml_tables import quoted
from scrubwright.paperwork.wording import Language, Teller

# For a row whose time nobody wrote down.
NOON = time(12)
_Found = TypeVar("_Found")
_Word = TypeVar("_Word", bound=StrEnum)
# Where each column stands in a row, from 0, and its name as the file has it.
Places = Mapping[StrEnum, tuple[int, str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class TableRow:
    """One row of a table.

    Parameters
    ----------
    file, number
        Its file, and its number as a spreadsheet program counts.
    separator
        What stands between two columns; empty for a workbook.
    cells
        What stands under each column that the header names, and that column's name as the file has it.
    wrong
        What is wrong with the row; grows while it is read.
    """

    file: str
    number: int
    separator: str
    cells: Mapping[StrEnum, tuple[Cell, str]]
    wrong: list[Sentence]

    @property
    def place(self) -> Sentence:
        """Where it stands."""
        return Sentence("{file}, row {row}", file=self.file, row=self.number)

    def text(self, field: StrEnum) -> str:
        """What is written under a column; empty where nothing is."""
        return self.cells[field][0].text.strip() if field in self.cells else ""

    def read(self, field: StrEnum, make: Callable[[Sentence, Cell], _Found]) -> _Found | None:
        """What is made of an entry; None where there is none, or where it is refused."""
        cell, said = self.cells.get(field, (EMPTY, ""))
        if cell.is_empty:
            return None
        where = Sentence("{file}, row {row}, column {column}", file=self.file, row=self.number, column=said)
        try:
            return make(where, cell)
        except BadInput as problem:
            self.wrong.append(problem.sentence)
            return None

    def made(self, make: Callable[[], _Found]) -> _Found | None:
        """The record that a row becomes; None where the record refuses it."""
        try:
            return make()
        except BadInput as problem:
            self.wrong.append(Sentence("{what}: {why}", what=self.place, why=problem.sentence))
            return None

    def amount(self, field: StrEnum, where: Sentence, cell: Cell) -> Figure:
        """The number in a cell of a column.

        Raises
        ------
        BadInput
            It is no number, or below zero.
        """
        written = written_number(str(field), where, cell, self.separator)
        if written.value < 0:
            raise BadInput(
                "{where}: {given} is below zero. Write the number without its sign, or leave the cell empty.",
                where=where,
                given=f"{written.value:g}",
            )
        return written

    def number_under(self, field: StrEnum) -> Figure | None:
        """The number under a column, never below zero; None where there is none."""
        return self.read(field, partial(self.amount, field))

    def count_under(self, field: StrEnum) -> int | None:
        """The whole number under a column, never below zero; None where there is none."""

        def whole(where: Sentence, cell: Cell) -> int:
            value = self.amount(field, where, cell).value
            if value != round(value):
                raise BadInput(
                    "{where}: {given} is no count. Write 0, 1, 2 and so on.", where=where, given=f"{value:g}"
                )
            return int(value)

        return self.read(field, whole)

    def word_under(self, field: StrEnum, known: type[_Word]) -> _Word | None:
        """The one of a few words under a column; None where there is none."""
        return self.read(field, lambda where, cell: word(where, cell, known))

    def at(self, date_field: StrEnum, time_field: StrEnum) -> datetime | None:
        """The day, with its time or noon; None where there is none or it cannot be read."""
        before = len(self.wrong)
        told = self.read(date_field, when)
        clock = self.read(time_field, when)
        if len(self.wrong) > before:
            return None
        if told is None or told.day is None:
            self.wrong.append(Sentence("{place} has no date; write its day as 2026-04-03.", place=self.place))
            return None
        return datetime.combine(told.day, (clock.clock if clock else None) or told.clock or NOON)


def table_rows(sheet: Sheet, fields: type[StrEnum], needed: tuple[StrEnum, ...]) -> Iterator[TableRow]:
    """The rows of a table that hold anything.

    Parameters
    ----------
    sheet
        The table.
    fields
        What its columns may hold; their names are known in every language.
    needed
        The columns that must be there.

    Raises
    ------
    UnreadablePaper
        A column that is not known, or a needed one that is missing.
    """
    places = _places(sheet, fields, needed)
    for number, cells in enumerate(sheet.rows, sheet.header_row + 1):
        row = table_row(sheet, number, cells, places)
        if row.cells:
            yield row


def table_row(
    sheet: Sheet, number: int, cells: tuple[Cell, ...], places: Mapping[StrEnum, tuple[int, str]]
) -> TableRow:
    """One row of a table, with its refusal where it has more entries than there are columns.

    Parameters
    ----------
    sheet, number, cells
        The table, the row's number in it, and what stands in the row.
    places
        Where each column stands, and its name as the file has it.
    """
    found = {
        field: (cells[index], said)
        for field, (index, said) in places.items()
        if index < len(cells) and not cells[index].is_empty
    }
    row = TableRow(file=sheet.file, number=number, separator=sheet.separator, cells=found, wrong=[])
    if sheet.separator and len(cells) > len(sheet.header):
        row.wrong.append(
            Sentence(
                "{place} has more entries than there are columns. Where numbers have a decimal comma, write them "
                "with a point, or save the file with semicolons between its columns.",
                place=row.place,
            )
        )
    return row


def header_of(fields: type[StrEnum], teller: Teller) -> tuple[str, ...]:
    """The names of all columns in the reader's language."""
    return tuple(teller.words(field) for field in fields)


def _places(sheet: Sheet, fields: type[StrEnum], needed: tuple[StrEnum, ...]) -> dict[StrEnum, tuple[int, str]]:
    known = _known_names(fields)
    places: dict[StrEnum, tuple[int, str]] = {}
    for index, cell in enumerate(sheet.header):
        if cell.is_empty:
            continue
        field = known.get(plain_name(cell.text))
        if field is None:
            raise UnreadablePaper("{what}", what=unknown_column(sheet.file, cell.text, known))
        if field in places:
            raise UnreadablePaper(
                "{file}: the columns {first} and {second} hold the same thing; keep one.",
                file=sheet.file,
                first=places[field][1],
                second=quoted(cell.text),
            )
        places[field] = (index, quoted(cell.text))
    for field in needed:
        if field not in places:
            raise UnreadablePaper(
                "{file} has no column {name}. The columns of such a table are: {known}.",
                file=sheet.file,
                name=field,
                known=", ".join(fields),
            )
    return places


@cache
def _known_names(fields: type[StrEnum]) -> Mapping[str, StrEnum]:
    tellers = [Teller(language=language) for language in Language]
    return {plain_name(teller.words(field)): field for teller in tellers for field in fields}
