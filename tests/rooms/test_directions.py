"""The direction in which each patch is swept: the cheapest labels, tried against all others on small grids."""

import itertools

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.directions import BEYOND, HERE, OUTSIDE, Grid, grid_lines_m, swept_grid
from scrubwright.floor.frame import segments_m
from tests.rooms.plain_floors import one_polygon

PITCH_M = 0.7


def lane_cost_s(grid: Grid, along_x: NDArray[np.bool_], start_s: float, strip_s_per_m: float) -> float:
    """What lanes cost by what they do: each lane start and end half a start, each strip before a wall its worth.

    Goes round each cell: a lane begins or ends at the side of a cell that it meets head on, unless the cell beyond
    is swept the same way. Rows of lanes are as many as the width of the side holds, broken ones counted as parts.
    """
    total_s = 0.0
    rows, columns = grid.status.shape
    for row, column in itertools.product(range(rows), range(columns)):
        if grid.status[row, column] != HERE:
            continue
        wide_m, high_m = grid.x_m[column + 1] - grid.x_m[column], grid.y_m[row + 1] - grid.y_m[row]
        sides = (
            [(row, column - 1), (row, column + 1)] if along_x[row, column] else [(row - 1, column), (row + 1, column)]
        )
        side_m = high_m if along_x[row, column] else wide_m
        for beside in sides:
            inside = 0 <= beside[0] < rows and 0 <= beside[1] < columns
            status = grid.status[beside] if inside else OUTSIDE
            if status == HERE and along_x[beside] == along_x[row, column]:
                continue
            total_s += side_m / PITCH_M * start_s / 2
            if status == OUTSIDE:
                total_s += side_m * strip_s_per_m
    return total_s


# Small floors whose grid has up to a dozen cells of 0.5 m or less.
FLOORS = {
    "square": box(0, 0, 1, 1),
    "aisle along x": box(0, 0, 2, 0.9),
    "aisle along y": box(0, 0, 0.9, 2),
    "corner": Polygon([(0, 0), (2, 0), (2, 0.5), (0.5, 0.5), (0.5, 2), (0, 2)]),
    "tee": Polygon([(0, 0), (2, 0), (2, 0.4), (1.2, 0.4), (1.2, 1.6), (0.8, 1.6), (0.8, 0.4), (0, 0.4)]),
    "ring": one_polygon(box(0, 0, 1.5, 1.5).difference(box(0.5, 0.5, 1, 1))),
    "comb": one_polygon(box(0, 0, 1.5, 1.3).difference(shapely.union_all([box(0.5, 0.3, 1, 1.3)]))),
}


@pytest.mark.parametrize("strip_s_per_m", [0.0, 1.3, 8.0])
@pytest.mark.parametrize("start_s", [2.0, 6.0])
@pytest.mark.parametrize("name", FLOORS)
def test_no_other_labels_cost_less(name: str, start_s: float, strip_s_per_m: float) -> None:
    floor = FLOORS[name]
    grid = swept_grid(floor, floor, PITCH_M, start_s, strip_s_per_m)
    cells = np.argwhere(grid.status == HERE)
    assert 4 <= len(cells) <= 12
    least_s = np.inf
    for labels in itertools.product((False, True), repeat=len(cells)):
        along_x = np.zeros(grid.status.shape, dtype=bool)
        along_x[tuple(cells.T)] = labels
        least_s = min(least_s, lane_cost_s(grid, along_x, start_s, strip_s_per_m))
    # Costs are rounded to a 200th of a second, each of some forty terms.
    assert lane_cost_s(grid, grid.along_x, start_s, strip_s_per_m) == pytest.approx(least_s, abs=40 / 400)


def share_along_x(area: BaseGeometry, centre: Polygon, strip_s_per_m: float) -> float:
    """Which share of the area's cells is swept along x."""
    grid = swept_grid(area, centre, PITCH_M, 6.0, strip_s_per_m)
    return float(grid.along_x[grid.status == HERE].mean())


def test_long_halls_and_aisles_are_swept_along() -> None:
    assert share_along_x(box(0, 0, 12, 4), box(0, 0, 12, 4), 0.0) == 1
    assert share_along_x(box(0, 0, 4, 12), box(0, 0, 4, 12), 0.0) == 0


# The grid ends with the area's own extent, and what lies past it counts as wall.
def test_a_border_to_another_area_costs_a_start_but_no_strip() -> None:
    # Between four walls, strips of 50 s a metre call for head passes along the short sides, swept along y. Where the
    # floor goes on past the short sides, lanes that end there leave no strip dry, and all is swept along x.
    area = box(0, 0, 6, 4)
    assert share_along_x(area, area, 50.0) < 0.9
    assert share_along_x(area, box(-5, 0, 11, 4), 50.0) == 1


def test_cells_beyond_the_area_are_known_from_walls() -> None:
    area = MultiPolygon([box(0, 0, 2, 2), box(4, 0, 6, 2)])
    grid = swept_grid(area, box(0, 0, 6, 2), PITCH_M, 6.0, 0.0)
    middle_m = np.meshgrid((grid.x_m[1:] + grid.x_m[:-1]) / 2, (grid.y_m[1:] + grid.y_m[:-1]) / 2)
    inside = (middle_m[0] > 0) & (middle_m[0] < 6) & (middle_m[1] > 0) & (middle_m[1] < 2)
    between = inside & (middle_m[0] > 2) & (middle_m[0] < 4)
    assert between.sum() >= 16
    assert (grid.status[between] == BEYOND).all()
    assert (grid.status[inside & ~between] == HERE).all()
    assert (grid.status[~inside] == OUTSIDE).all()


def test_grid_lines_run_through_walls_and_merge_on_the_longer_of_two_near_ones() -> None:
    # A niche of 0.3 m begins at 3.05 m, a wall of 4 m stands at 3.00 m; the gap up to 4 m has two cells.
    floor = Polygon([(0, 0), (3, 0), (3, 4), (4, 4), (4, 5), (3.05, 5), (3.05, 5.3), (0, 5.3)])
    lines_m = grid_lines_m(segments_m(floor), 0, 0.0, 4.0)
    assert lines_m == pytest.approx([0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4])


def test_a_grid_seen_across_has_all_directions_exchanged() -> None:
    floor = FLOORS["corner"]
    grid = swept_grid(floor, floor, PITCH_M, 6.0, 0.0)
    across = grid.transposed()
    assert (across.along_x == ~grid.along_x.T).all()
    assert (across.status == grid.status.T).all()
    assert across.x_m is grid.y_m
