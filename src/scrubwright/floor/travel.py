"""Shortest ways between points on the machine's floor, round everything that stands on it."""

from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import cKDTree
from shapely import Polygon

from scrubwright.measures.errors import NoAnswer

FIRST_RADIUS_M = 45.0
# Corners of the floor lie on its edge: sight is tested against the floor grown by this much.
SIGHT_SLACK_M = 0.03
TANGENT_SLACK_M = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Travel:
    """Ways between n points.

    Parameters
    ----------
    points_m
        The points [m], shape (n, 2).
    distance_m
        Length of the way from each to each [m], shape (n, n), symmetric.
    leaving
        Unit vector in which the way from i to j leaves i, shape (n, n, 2); zero where i and j coincide.
    """

    points_m: NDArray[np.float64]
    distance_m: NDArray[np.float64]
    leaving: NDArray[np.float32]
    _nodes_m: NDArray[np.float64] = field(repr=False)
    _before: NDArray[np.int32] = field(repr=False)

    def way_m(self, start: int, goal: int) -> NDArray[np.float64]:
        """The way between two of the points [m], shape (k, 2), k >= 2.

        **Source** Dijkstra's algorithm on the visibility graph, see `travel_between`.
        """
        at = goal
        found = [goal]
        while at != start:
            at = int(self._before[start, at])
            found.append(at)
        return self._nodes_m[found[::-1]]


def inner_corners_m(floor: Polygon) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Corners that a shortest way may bend round, each with its neighbours before and after [m], shapes (k, 2).

    **Source** shortest paths bend only at reflex vertices; M. de Berg et al., Computational Geometry, 3rd
    ed., 2008, lemma 15.1.
    """
    floor = shapely.orient_polygons(floor, exterior_cw=False)
    found = []
    for ring in (floor.exterior, *floor.interiors):
        points_m = shapely.get_coordinates(ring)[:-1]
        before_m, after_m = np.roll(points_m, 1, axis=0), np.roll(points_m, -1, axis=0)
        turn = _cross(points_m - before_m, after_m - points_m)
        bends = turn < -1e-9
        found.append(np.stack([points_m[bends], before_m[bends], after_m[bends]]))
    corners, before, after = np.concatenate(found, axis=1)
    return corners, before, after


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    product: NDArray[np.float64] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return product


@dataclass(slots=True, kw_only=True, eq=False)
class _Corners:
    """The bends of one floor, and which lines touch them without cutting the wall behind."""

    at_m: NDArray[np.float64]
    before_m: NDArray[np.float64]
    after_m: NDArray[np.float64]

    def touched(self, corner: NDArray[np.intp], from_m: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Whether the line from each point to its corner leaves both walls of the corner on one side."""
        way_m = self.at_m[corner] - from_m
        length_m = np.maximum(np.hypot(way_m[:, 0], way_m[:, 1]), 1e-9)
        left_m = _cross(way_m, self.before_m[corner] - self.at_m[corner]) / length_m
        right_m = _cross(way_m, self.after_m[corner] - self.at_m[corner]) / length_m
        same: NDArray[np.bool_] = (np.minimum(left_m, right_m) > -TANGENT_SLACK_M) | (
            np.maximum(left_m, right_m) < TANGENT_SLACK_M
        )
        return same


def _seen(floor: Polygon, from_m: NDArray[np.float64], to_m: NDArray[np.float64]) -> NDArray[np.bool_]:
    if not len(from_m):
        return np.zeros(0, dtype=bool)
    lines = shapely.linestrings(np.stack([from_m, to_m], axis=1))
    return np.asarray(shapely.covers(floor, lines))


def travel_between(points_m: NDArray[np.float64], floor: Polygon) -> Travel:
    """Shortest ways between points on a floor with holes.

    Points see each other and the corners of the floor within a radius; the rest goes by Dijkstra's
    algorithm along the corners. Where that leaves points apart, the radius is doubled.

    Parameters
    ----------
    points_m
        Points on the floor or within 1 cm of it [m], shape (n, 2).
    floor
        Where the machine's reference point may be [m].

    Raises
    ------
    NoAnswer
        Two points are not joined by the floor.

    Notes
    -----
    Lengths exceed the exact ones by less than 0.1 % on average, through the radius.
    **Source** visibility graph, T. Lozano-Perez and M. A. Wesley, Comm. ACM 22(10), 1979,
    doi:10.1145/359156.359164. Checked in tests/outside against a library of its own.
    """
    radius_m = FIRST_RADIUS_M
    low_x, low_y, high_x, high_y = floor.bounds
    while True:
        travel = _within(points_m, floor, radius_m)
        if np.isfinite(travel.distance_m).all():
            return travel
        if radius_m > np.hypot(high_x - low_x, high_y - low_y):
            raise NoAnswer(
                "Two lanes are not joined by any way on this floor. Draw the way between them wider, or plan "
                "the parts apart."
            )
        radius_m *= 2


def _within(points_m: NDArray[np.float64], floor: Polygon, radius_m: float) -> Travel:
    count = len(points_m)
    corners = _Corners(
        **dict(zip(("at_m", "before_m", "after_m"), inner_corners_m(shapely.simplify(floor, 0.005)), strict=True))
    )
    sight = shapely.buffer(floor, SIGHT_SLACK_M, join_style="mitre")
    shapely.prepare(sight)
    nodes_m = np.concatenate([points_m, corners.at_m])
    point_tree = cKDTree(points_m)
    edges: list[tuple[NDArray[np.intp], NDArray[np.intp]]] = []
    if len(corners.at_m):
        corner_tree = cKDTree(corners.at_m)
        edges.append(_corner_pairs(corners, corner_tree, sight, radius_m, count))
        edges.append(_corner_sights(points_m, point_tree, corners, corner_tree, sight, radius_m))
    tail = np.concatenate([edge[0] for edge in edges]) if edges else np.empty(0, dtype=np.intp)
    head = np.concatenate([edge[1] for edge in edges]) if edges else np.empty(0, dtype=np.intp)
    span_m = nodes_m[tail] - nodes_m[head]
    length_m = np.maximum(np.hypot(span_m[:, 0], span_m[:, 1]), 1e-9)
    graph = csr_array((length_m, (tail, head)), shape=(len(nodes_m), len(nodes_m)))
    distance_m, before = dijkstra(graph, directed=False, indices=np.arange(count), return_predecessors=True)
    direct = point_tree.query_pairs(radius_m, output_type="ndarray")
    direct = direct[_seen(sight, points_m[direct[:, 0]], points_m[direct[:, 1]])]
    distance_m, before = distance_m[:, :count].copy(), before.astype(np.int32)
    for first, second in ((direct[:, 0], direct[:, 1]), (direct[:, 1], direct[:, 0])):
        distance_m[first, second] = np.hypot(*(points_m[first] - points_m[second]).T)
        before[first, second] = first
    towards_m = nodes_m[before[:, :count].T.clip(min=0)] - points_m[:, None, :]
    norm_m = np.hypot(towards_m[..., 0], towards_m[..., 1])
    leaving = (towards_m / np.maximum(norm_m, 1e-9)[..., None]).astype(np.float32)
    leaving[np.arange(count), np.arange(count)] = 0
    return Travel(points_m=points_m, distance_m=distance_m, leaving=leaving, _nodes_m=nodes_m, _before=before)


def _corner_pairs(
    corners: _Corners, tree: cKDTree, sight: Polygon, radius_m: float, shift: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    pairs = tree.query_pairs(radius_m, output_type="ndarray")
    first, second = pairs[:, 0], pairs[:, 1]
    useful = corners.touched(second, corners.at_m[first])
    first, second = first[useful], second[useful]
    useful = corners.touched(first, corners.at_m[second])
    first, second = first[useful], second[useful]
    seen = _seen(sight, corners.at_m[first], corners.at_m[second])
    return first[seen] + shift, second[seen] + shift


def _corner_sights(
    points_m: NDArray[np.float64],
    point_tree: cKDTree,
    corners: _Corners,
    corner_tree: cKDTree,
    sight: Polygon,
    radius_m: float,
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    near = point_tree.sparse_distance_matrix(corner_tree, radius_m, output_type="coo_matrix")
    point, corner = near.row.astype(np.intp), near.col.astype(np.intp)
    useful = corners.touched(corner, points_m[point])
    point, corner = point[useful], corner[useful]
    seen = _seen(sight, points_m[point], corners.at_m[corner])
    return point[seen], corner[seen] + len(points_m)
