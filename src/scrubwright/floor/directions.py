"""Which way each patch of floor is swept: a two-label minimum cut over a grid aligned with the walls."""

import itertools
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, maximum_flow
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.frame import segments_m

MERGE_M = 0.12
LARGEST_CELL_M = 0.5
# scipy's maximum flow works on 32-bit integers; 200 units a second keeps the largest hall far below their limit.
UNITS_PER_S = 200
OUTSIDE, HERE, BEYOND = 0, 1, 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grid:
    """Cells between grid lines through the corners of the walls.

    Parameters
    ----------
    x_m, y_m
        Grid lines [m], ascending, shapes (columns + 1,) and (rows + 1,).
    status
        OUTSIDE the floor, HERE in this area, or BEYOND in another one; shape (rows, columns).
    along_x
        Whether the cell is swept along x; shape (rows, columns).
    """

    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    status: NDArray[np.int8]
    along_x: NDArray[np.bool_]

    def transposed(self) -> "Grid":
        """The same grid with x and y exchanged, so that sweeping along y reads as along x."""
        return Grid(x_m=self.y_m, y_m=self.x_m, status=self.status.T, along_x=~self.along_x.T)


def grid_lines_m(edges_m: NDArray[np.float64], axis: int, low_m: float, high_m: float) -> NDArray[np.float64]:
    """Grid lines through wall ends, the near ones merged on the longest wall, the gaps filled [m].

    Parameters
    ----------
    edges_m
        Wall edges [m], shape (n, 2, 2).
    axis
        0 for lines of constant x, 1 for constant y.
    low_m, high_m
        Extent of the area [m].

    **Source** ours, see docs/explanation/lanes.md.
    """
    ends_m = edges_m[:, :, axis].reshape(-1)
    weight_m = np.repeat(np.abs(edges_m[:, 1, 1 - axis] - edges_m[:, 0, 1 - axis]), 2)
    ends_m = np.concatenate([ends_m, [low_m, high_m]])
    weight_m = np.concatenate([weight_m, [1e6, 1e6]])
    inside = (ends_m >= low_m) & (ends_m <= high_m)
    ends_m, weight_m = ends_m[inside], weight_m[inside]
    kept: list[float] = []
    for index in np.lexsort((ends_m, -np.round(weight_m, 2))):
        place_m = float(ends_m[index])
        at = int(np.searchsorted(kept, place_m))
        if (at > 0 and place_m - kept[at - 1] < MERGE_M) or (at < len(kept) and kept[at] - place_m < MERGE_M):
            continue
        kept.insert(at, place_m)
    lines_m = [np.array(kept[:1])]
    for before_m, after_m in itertools.pairwise(kept):
        parts = max(1, int(np.ceil((after_m - before_m) / LARGEST_CELL_M - 1e-9)))
        lines_m.append(before_m + (after_m - before_m) * np.arange(1, parts + 1) / parts)
    return np.concatenate(lines_m)


def _neighbour_costs(
    here: NDArray[np.bool_], size_m: NDArray[np.float64], axis: int, start_s: float, pitch_m: float
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64]]:
    """Pairs of neighbouring cells across `axis` and the seconds it costs to give them different labels."""
    number = np.arange(here.size).reshape(here.shape)
    first, second = (number[:, :-1], number[:, 1:]) if axis == 1 else (number[:-1], number[1:])
    both = here.ravel()[first] & here.ravel()[second]
    width_m = np.broadcast_to(size_m[:, None] if axis == 1 else size_m[None, :], first.shape)
    return first[both], second[both], (start_s / 2 * width_m / pitch_m)[both]


def _wall_costs(
    status: NDArray[np.int8], size_m: NDArray[np.float64], axis: int, wall_s_per_m: float, open_s_per_m: float
) -> NDArray[np.float64]:
    """Seconds that each cell pays when lanes along `axis` end at its outer sides; shape of `status`."""
    padded = np.pad(status, 1, constant_values=OUTSIDE)
    sides = (padded[1:-1, :-2], padded[1:-1, 2:]) if axis == 1 else (padded[:-2, 1:-1], padded[2:, 1:-1])
    width_m = size_m[:, None] if axis == 1 else size_m[None, :]
    cost_s = np.zeros(status.shape)
    for side in sides:
        cost_s += np.where(side == OUTSIDE, wall_s_per_m, np.where(side == BEYOND, open_s_per_m, 0.0)) * width_m
    return np.where(status == HERE, cost_s, 0.0)


def swept_grid(area: BaseGeometry, centre: Polygon, pitch_m: float, start_s: float, strip_s_per_m: float) -> Grid:
    """Label every cell of an area with the direction in which it is swept.

    The labels minimise: seconds per lane start and end, in either direction, plus the worth of the
    strip that stays dry where lanes end against a wall. Two labels and costs only for differing
    neighbours make this a minimum cut, which is exact.

    Parameters
    ----------
    area
        The part of `centre` to be swept, in the frame of its walls [m].
    centre
        Where the deck's centre may be, in the same frame [m].
    pitch_m
        Spacing of lanes [m, > 0].
    start_s
        What one lane more costs [s, > 0].
    strip_s_per_m
        What a metre of wall costs where lanes end against it [s/m, >= 0].

    Notes
    -----
    **Source** two-label minimum cut, V. Kolmogorov and R. Zabih, What energy functions can be minimized
    via graph cuts?, IEEE TPAMI 26(2), 2004, doi:10.1109/TPAMI.2004.1262177; lanes as ranks of minimum
    number, M. Ramesh et al., arXiv:2109.08185. The costs are ours, see docs/explanation/lanes.md.
    """
    edges_m = segments_m(area)
    low_x, low_y, high_x, high_y = area.bounds
    x_m = grid_lines_m(edges_m, 0, low_x, high_x)
    y_m = grid_lines_m(edges_m, 1, low_y, high_y)
    # A cell more on every side tells a border on open floor from a wall.
    x_m = np.concatenate([[low_x - MERGE_M], x_m, [high_x + MERGE_M]])
    y_m = np.concatenate([[low_y - MERGE_M], y_m, [high_y + MERGE_M]])
    middle_x, middle_y = np.meshgrid((x_m[1:] + x_m[:-1]) / 2, (y_m[1:] + y_m[:-1]) / 2)
    shapely.prepare(area)
    status = np.where(shapely.contains_xy(area, middle_x, middle_y), HERE, OUTSIDE).astype(np.int8)
    if not area.equals(centre):
        shapely.prepare(centre)
        status[(status == OUTSIDE) & shapely.contains_xy(centre, middle_x, middle_y)] = BEYOND
    along_x = _least_cut(status, np.diff(x_m), np.diff(y_m), pitch_m, start_s, strip_s_per_m)
    return Grid(x_m=x_m, y_m=y_m, status=status, along_x=along_x)


def _least_cut(
    status: NDArray[np.int8],
    width_m: NDArray[np.float64],
    height_m: NDArray[np.float64],
    pitch_m: float,
    start_s: float,
    strip_s_per_m: float,
) -> NDArray[np.bool_]:
    here = status == HERE
    end_s_per_m = start_s / 2 / pitch_m
    pay_along_x_s = _wall_costs(status, height_m, 1, end_s_per_m + strip_s_per_m, end_s_per_m)
    pay_along_y_s = _wall_costs(status, width_m, 0, end_s_per_m + strip_s_per_m, end_s_per_m)
    beside = _neighbour_costs(here, height_m, 1, start_s, pitch_m)
    above = _neighbour_costs(here, width_m, 0, start_s, pitch_m)
    first = np.concatenate([beside[0], above[0]])
    second = np.concatenate([beside[1], above[1]])
    pair_s = np.concatenate([beside[2], above[2]])
    order = np.full(status.size, -1)
    cells = np.flatnonzero(here.ravel())
    order[cells] = np.arange(cells.size)
    source, sink = cells.size, cells.size + 1
    tail = np.concatenate([order[first], order[second], np.full(cells.size, source), np.arange(cells.size)])
    head = np.concatenate([order[second], order[first], np.arange(cells.size), np.full(cells.size, sink)])
    # Cut from the source = swept along y: the cell then pays what along y costs, and the reverse.
    cost_s = np.concatenate([pair_s, pair_s, pay_along_y_s.ravel()[cells], pay_along_x_s.ravel()[cells]])
    capacity = np.minimum(np.rint(cost_s * UNITS_PER_S), 2**30).astype(np.int32)
    graph = csr_array((capacity, (tail, head)), shape=(sink + 1, sink + 1))
    graph.sum_duplicates()
    flow = maximum_flow(graph, source, sink).flow
    residual = graph - flow
    residual.data = np.maximum(residual.data, 0)
    residual.eliminate_zeros()
    reached = breadth_first_order(residual, source, return_predecessors=False)
    along_x = np.zeros(status.size, dtype=bool)
    along_x[cells[reached[reached < cells.size]]] = True
    return along_x.reshape(status.shape)
