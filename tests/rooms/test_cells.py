"""Pieces of floor swept side by side."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.cells import Cell, cells_along_x
from scrubwright.floor.directions import Grid, swept_grid


def swept_along_x(floor: BaseGeometry, centre: Polygon | None = None) -> tuple[Cell, ...]:
    grid: Grid = swept_grid(floor, centre or floor, 0.7, 6.0, 0.0)
    return cells_along_x(replace(grid, along_x=np.ones_like(grid.along_x)))


def area_m2(cell: Cell) -> float:
    return sum((row.high_y_m - row.low_y_m) * (row.high_x_m - row.low_x_m) for row in cell.rows)


def test_an_empty_room_is_one_cell_between_walls() -> None:
    (cell,) = swept_along_x(box(1, 2, 9, 6))
    assert (cell.low_m, cell.high_m, cell.length_m) == pytest.approx((2, 6, 8))
    assert cell.wall_below
    assert cell.wall_above
    assert all(row.wall_at_low and row.wall_at_high for row in cell.rows)


def test_a_rack_in_the_middle_makes_four_cells() -> None:
    room = box(0, 0, 12, 9).difference(box(3, 3, 9, 5))
    below, left, right, above = swept_along_x(room)
    assert (below.low_m, below.high_m) == pytest.approx((0, 3))
    assert (left.first_length_m, right.first_length_m) == pytest.approx((3, 3))
    assert (above.low_m, above.high_m) == pytest.approx((5, 9))
    # Half of the lower cell's upper side lies along the rack: no wall, since a wall must take more than half.
    assert (below.wall_below, below.wall_above, above.wall_below, above.wall_above) == (True, False, False, True)
    assert below.touches_below(left)
    assert below.touches_below(right)
    assert not below.touches_below(above)
    assert left.shared_with_above_m(above) == pytest.approx(3)
    assert sum(map(area_m2, (below, left, right, above))) == pytest.approx(room.area)


def test_a_long_rack_is_a_wall_to_the_cells_beside_it() -> None:
    below, _, _, above = swept_along_x(box(0, 0, 12, 9).difference(box(1, 3, 11, 5)))
    assert below.wall_above
    assert above.wall_below


def test_a_slanted_wall_stays_one_cell() -> None:
    slanted = Polygon([(0, 0), (10, 0), (13, 5), (0, 5)])
    (cell,) = swept_along_x(slanted)
    assert area_m2(cell) == pytest.approx(slanted.area, rel=0.05)


def test_a_step_in_the_border_is_open_floor_and_no_wall() -> None:
    # The area goes round a part of the floor that belongs to another one.
    area = box(0, 0, 9, 6).difference(box(3, 2, 9, 4))
    below, beside, above = swept_along_x(area, box(0, 0, 9, 6))
    assert (below.wall_below, below.wall_above) == (True, False)
    assert (above.wall_below, above.wall_above) == (False, True)
    assert [row.wall_at_high for row in beside.rows] == [False] * len(beside.rows)
    assert [row.wall_at_low for row in beside.rows] == [True] * len(beside.rows)


def test_where_the_area_ends_on_open_floor_there_is_no_wall() -> None:
    (cell,) = swept_along_x(box(0, 0, 6, 4), box(0, 0, 10, 8))
    assert cell.wall_below
    assert not cell.wall_above
    assert all(row.wall_at_low and not row.wall_at_high for row in cell.rows)


def test_every_swept_patch_is_in_one_cell_and_no_other() -> None:
    room = shapely.difference(
        box(0, 0, 15, 12), shapely.union_all([box(2, 2, 5, 4), box(7, 1, 8, 9), box(10, 5, 14, 6)])
    )
    grid = swept_grid(room, room, 0.7, 6.0, 1.0)
    cells = [*cells_along_x(grid), *cells_along_x(grid.transposed())]
    assert sum(map(area_m2, cells)) == pytest.approx(room.area)
