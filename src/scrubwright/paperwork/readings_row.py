"""One row of a table of readings while it is read: its cells by what they hold, and what is wrong with them."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.readings_columns import Column, Field
from scrubwright.paperwork.readings_sheet import EMPTY, Cell, Sheet

_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a table.

    Parameters
    ----------
    sheet
        The table.
    number
        Of the row, as a spreadsheet program counts.
    cells
        The row itself; may end before the last column.
    columns
        What the columns hold.
    paper
        Whose readings they are.
    wrong
        Where the refusals are collected.
    """

    sheet: Sheet
    number: int
    cells: tuple[Cell, ...]
    columns: tuple[Column, ...]
    paper: PackPaper
    wrong: list[Sentence]

    @property
    def is_empty(self) -> bool:
        """Whether it holds at most a note."""
        return all(self.cell(column).is_empty for column in self.columns if column.field is not Field.NOTE)

    @property
    def place(self) -> Sentence:
        """The row, as a sentence names it."""
        return Sentence("{file}, row {row}", file=self.sheet.file, row=self.number)

    def where(self, column: Column) -> Sentence:
        """A cell, as a sentence names it."""
        return Sentence("{file}, row {row}, column {column}", file=self.sheet.file, row=self.number, column=column.said)

    def cell(self, column: Column) -> Cell:
        """What stands under a column."""
        return self.cells[column.index] if column.index < len(self.cells) else EMPTY

    def filled(self, field: Field) -> list[Column]:
        """The columns of a field that hold something in this row, by their numbers."""
        given = [column for column in self.columns if column.field is field and not self.cell(column).is_empty]
        return sorted(given, key=lambda column: column.number)

    def tried(self, make: Callable[[Column], _Found], column: Column) -> _Found | None:
        """What is made of a cell, or None with the refusal kept."""
        try:
            return make(column)
        except BadInput as problem:
            self.wrong.append(problem.sentence)
            return None

    def read(self, field: Field, make: Callable[[Column], _Found]) -> _Found | None:
        """What is made of the one cell of a field; None where it is empty or refused."""
        filled = self.filled(field)
        return self.tried(make, filled[0]) if filled else None

    def refuse(self, sentence: Sentence) -> None:
        """Keep what is wrong."""
        self.wrong.append(sentence)
