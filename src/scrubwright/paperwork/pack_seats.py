"""Where the cells of a pack sit on paper, and between which of them a block ends."""

from dataclasses import dataclass

from scrubwright.battery.pack import Pack

# Packs whose seating is not known are laid out by number, about so many cells in a row.
_CELLS_IN_A_ROW = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """One cell's place, from the top left, with the sides at which its block ends."""

    cell: int
    row: int
    column: int
    ends_above: bool
    ends_below: bool
    ends_left: bool
    ends_right: bool


def seats(pack: Pack, *, most_in_a_row: int | None = None) -> tuple[Seat, ...]:
    """Every cell's place, row by row: as the pack's `rows` say, else by number, in rows of whole blocks.

    Parameters
    ----------
    most_in_a_row
        Wider rows than this are laid out by number instead; None: any width.
    """
    rows = pack.rows if is_seated(pack, most_in_a_row=most_in_a_row) else _by_number(pack, most_in_a_row)
    at = {(row, column): cell for row, cells in enumerate(rows) for column, cell in enumerate(cells)}

    def ends(cell: int, row: int, column: int) -> bool:
        neighbour = at.get((row, column))
        return neighbour is None or block_of(pack, neighbour) != block_of(pack, cell)

    return tuple(
        Seat(
            cell=cell,
            row=row,
            column=column,
            ends_above=ends(cell, row - 1, column),
            ends_below=ends(cell, row + 1, column),
            ends_left=ends(cell, row, column - 1),
            ends_right=ends(cell, row, column + 1),
        )
        for (row, column), cell in at.items()
    )


def is_seated(pack: Pack, *, most_in_a_row: int | None = None) -> bool:
    """Whether it is known where the cells sit, and their rows are not too wide."""
    return bool(pack.rows) and (most_in_a_row is None or max(map(len, pack.rows)) <= most_in_a_row)


def block_of(pack: Pack, cell: int) -> int:
    """The block that a cell is in, from 1 at the positive end."""
    return (cell - 1) // pack.cells_per_block + 1


def _by_number(pack: Pack, most_in_a_row: int | None) -> tuple[tuple[int, ...], ...]:
    wide = pack.cells_per_block * max(1, _CELLS_IN_A_ROW // pack.cells_per_block)
    if most_in_a_row is not None:
        wide = min(wide, most_in_a_row)
    numbers = range(1, pack.cells + 1)
    return tuple(tuple(numbers[first : first + wide]) for first in range(0, pack.cells, wide))
