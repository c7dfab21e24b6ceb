"""The cells of a pack drawn with letters, as they sit, in plain ASCII."""

from collections.abc import Sequence
from dataclasses import dataclass

from scrubwright.jobs.pack_answer import CellLine, PackAnswer
from scrubwright.paperwork.pack_lines import points_of, signed
from scrubwright.paperwork.pack_seats import Seat, is_seated, seats
from scrubwright.paperwork.text_columns import WIDTH
from scrubwright.paperwork.wording import Teller

_INDENT = "  "
_LINES = 3
_ROOM = WIDTH - len(_INDENT) - 1
_WIDE, _NARROW = 7, 5
MOST_IN_A_ROW = _ROOM // (_NARROW + 1)
_TO_WRITE_IN = "....."


def grid_text(answer: PackAnswer, teller: Teller) -> str:
    """Each cell with its number, its gravity and by how many points it stands above or below the median.

    Lines part the blocks. The weakest cell's number stands in brackets; a cell that was not read
    shows a dash, and a pack that was never read has dots to write on.
    """
    lines = {cell.number: cell for cell in answer.cells}
    placed = seats(answer.pack, most_in_a_row=MOST_IN_A_ROW)
    columns = 1 + max(seat.column for seat in placed)
    width = _WIDE if columns * (_WIDE + 1) <= _ROOM else _NARROW
    paper = _Paper.blank(columns, 1 + max(seat.row for seat in placed), width)
    for seat in placed:
        paper.draw_sides(seat)
        paper.draw_words(seat, _words(lines.get(seat.cell), seat.cell, teller, is_blank=not lines))
    paper.draw_corners()
    return "\n".join((_INDENT + "".join(row)).rstrip() for row in paper.letters)


def is_as_seated(answer: PackAnswer) -> bool:
    """Whether the grid shows the cells where they sit, not by number."""
    return is_seated(answer.pack, most_in_a_row=MOST_IN_A_ROW)


def _words(cell: CellLine | None, number: int, teller: Teller, *, is_blank: bool) -> Sequence[str]:
    if cell is None or cell.gravity_ratio is None:
        return str(number), _TO_WRITE_IN if is_blank else "-", ""
    points = points_of(cell)
    named = f"[{number}]" if cell.is_weakest else str(number)
    return named, teller.bare("gravity_ratio", cell.gravity_ratio, 3), "" if points is None else signed(points)


@dataclass(slots=True, kw_only=True)
class _Paper:
    """Letters on squared paper; lines stand between cells that are so many letters wide."""

    width: int
    letters: list[list[str]]

    @classmethod
    def blank(cls, columns: int, rows: int, width: int) -> "_Paper":
        """Paper for so many cells, with a line around each."""
        wide, high = columns * (width + 1) + 1, rows * (_LINES + 1) + 1
        return cls(width=width, letters=[[" "] * wide for _ in range(high)])

    def draw_words(self, seat: Seat, words: Sequence[str]) -> None:
        """Words in the middle of a cell, one a line."""
        left, top = self._corner(seat)
        for line, word in enumerate(words, top + 1):
            self.letters[line][left + 1 : left + 1 + self.width] = word[: self.width].center(self.width)

    def draw_sides(self, seat: Seat) -> None:
        """A line at each side where the cell's block ends."""
        left, top = self._corner(seat)
        right, bottom = left + self.width + 1, top + _LINES + 1
        for ends, line in ((seat.ends_above, top), (seat.ends_below, bottom)):
            if ends:
                self.letters[line][left : right + 1] = "+" + "-" * self.width + "+"
        for ends, column in ((seat.ends_left, left), (seat.ends_right, right)):
            if ends:
                for line in range(top, bottom + 1):
                    self.letters[line][column] = "|" if top < line < bottom else "+"

    def draw_corners(self) -> None:
        """Leave a plus only where lines meet; elsewhere the line goes on."""
        for row in range(0, len(self.letters), _LINES + 1):
            for column in range(0, len(self.letters[0]), self.width + 1):
                if self.letters[row][column] == "+":
                    if "|" not in (self._at(row - 1, column), self._at(row + 1, column)):
                        self.letters[row][column] = "-"
                    elif "-" not in (self._at(row, column - 1), self._at(row, column + 1)):
                        self.letters[row][column] = "|"

    def _corner(self, seat: Seat) -> tuple[int, int]:
        return seat.column * (self.width + 1), seat.row * (_LINES + 1)

    def _at(self, row: int, column: int) -> str:
        is_on_it = 0 <= row < len(self.letters) and 0 <= column < len(self.letters[0])
        return self.letters[row][column] if is_on_it else " "
