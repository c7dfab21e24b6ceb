"""Cells sit where the pack's rows say, and a wall stands exactly where a block ends."""

from dataclasses import replace

import pytest

from scrubwright.paperwork.pack_grid import MOST_IN_A_ROW, grid_text, is_as_seated
from scrubwright.paperwork.pack_seats import Seat, block_of, is_seated, seats
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.pack_answer_example import FLOODED, flooded_answer, unread_answer

UNSEATED = replace(FLOODED, rows=())


def by_cell(placed: tuple[Seat, ...]) -> dict[int, Seat]:
    return {seat.cell: seat for seat in placed}


def test_every_cell_has_one_seat_of_its_own() -> None:
    for pack in (FLOODED, UNSEATED, replace(UNSEATED, cells_per_block=1), replace(UNSEATED, cells_per_block=9)):
        placed = seats(pack)
        assert sorted(seat.cell for seat in placed) == list(range(1, 19))
        assert len({(seat.row, seat.column) for seat in placed}) == 18


def test_cells_sit_where_the_rows_say() -> None:
    placed = by_cell(seats(FLOODED))
    assert [(placed[cell].row, placed[cell].column) for cell in (1, 16, 7, 11)] == [(0, 0), (0, 5), (2, 0), (2, 4)]


def test_a_wall_stands_where_a_block_ends_and_nowhere_else() -> None:
    placed = by_cell(seats(FLOODED))
    assert (placed[2].ends_left, placed[2].ends_right) == (False, False)
    assert (placed[3].ends_right, placed[18].ends_left) == (True, True)
    assert all(seat.ends_above and seat.ends_below for seat in placed.values())
    upright = by_cell(
        seats(replace(FLOODED, rows=((1, 6, 7, 12, 13, 18), (2, 5, 8, 11, 14, 17), (3, 4, 9, 10, 15, 16))))
    )
    assert (upright[2].ends_above, upright[2].ends_below) == (False, False)
    assert upright[2].ends_left
    assert upright[2].ends_right


def test_unknown_seats_are_laid_out_by_number_in_rows_of_whole_blocks() -> None:
    assert [max(s.column for s in seats(replace(UNSEATED, cells_per_block=each))) + 1 for each in (1, 2, 3, 6, 9)] == [
        6,
        6,
        6,
        6,
        9,
    ]
    assert not is_seated(UNSEATED)


def test_blocks_are_numbered_from_the_positive_end() -> None:
    assert [block_of(FLOODED, cell) for cell in (1, 3, 4, 18)] == [1, 1, 2, 6]


def test_the_grid_shows_number_gravity_and_points_as_the_cells_sit() -> None:
    assert grid_text(flooded_answer(), Teller()) == "\n".join(
        [
            "  +-----------------------+-----------------------+",
            "  |   1       2       3   |   18      17      16  |",
            "  | 1.271   1.270   1.268 | 1.270   1.268     -   |",
            "  |   +1      0       -2  |   0       -2          |",
            "  +-----------------------+-----------------------+",
            "  |   4       5       6   |   15      14      13  |",
            "  | 1.272   1.270   1.269 | 1.271   1.270   1.273 |",
            "  |   +2      0       -1  |   +1      0       +3  |",
            "  +-----------------------+-----------------------+",
            "  |   7       8       9   |   12     [11]     10  |",
            "  | 1.271   1.270   1.266 | 1.269   1.238   1.270 |",
            "  |   +1      0       -4  |   -1     -32      0   |",
            "  +-----------------------+-----------------------+",
        ]
    )


def test_the_grid_of_a_spanish_reader_has_decimal_commas_and_is_plain_ascii() -> None:
    told = grid_text(flooded_answer(), Teller(language=Language.SPANISH))
    assert "1,238" in told
    assert told.isascii()


def test_a_pack_that_was_never_read_has_dots_to_write_on() -> None:
    assert grid_text(unread_answer(), Teller()).count(".....") == 18


@pytest.mark.parametrize("wide", [9, 12, 13, 18])
def test_a_grid_of_any_width_fits_eighty_letters(wide: int) -> None:
    rows = (tuple(range(1, wide + 1)), tuple(range(18, wide, -1))) if wide < 18 else (tuple(range(1, 19)),)
    answer = replace(flooded_answer(), pack=replace(FLOODED, cells_per_block=1, rows=rows))
    told = grid_text(answer, Teller())
    assert max(map(len, told.splitlines())) <= 80
    assert all(f" {number} " in told.replace("[", " ").replace("]", " ").replace("|", " ") for number in range(1, 19))
    assert is_as_seated(answer) is (wide <= MOST_IN_A_ROW)
