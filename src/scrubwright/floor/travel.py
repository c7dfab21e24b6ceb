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
# Corners that close are one to a driver.
SIMPLIFIED_M = 0.005


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Travel:
    """Ways between n points.

    Parameters
    ----------
    points_m
        The points [m], shape (n, 2).
    distance_m
        Length of the way from each to each [m], shape (n, n), symmetric to a tenth of a millimetre.
    leaving_rad
        Bearing in which the way from i to j leaves i [rad], shape (n, n).
    """

    points_m: NDArray[np.float64]
    distance_m: NDArray[np.float32]
    leaving_rad: NDArray[np.float32]
    _web: "_Web" = field(repr=False)

    def way_m(self, start: int, goal: int) -> NDArray[np.float64]:
        """The way between two of the points [m], shape (k, 2), k >= 2.

        **Source** Dijkstra's algorithm on the visibility graph, see `travel_between`.
        """
        start_m, goal_m = self.points_m[start], self.points_m[goal]
        ends_m = np.stack([start_m, goal_m])
        if self.distance_m[start, goal] == 0 or self._straight(start, goal):
            return ends_m
        web = self._web
        out, into = web.sights_of(start), web.sights_of(goal)
        whole_m = web.out_m[out][:, None] + web.between_m[np.ix_(web.corner[out], web.corner[into])] + web.out_m[into]
        first, last = np.unravel_index(int(np.argmin(whole_m)), whole_m.shape)
        at, begin = int(web.corner[into][last]), int(web.corner[out][first])
        found = [at]
        while at != begin:
            at = int(web.before[begin, at])
            found.append(at)
        return np.concatenate([ends_m[:1], web.at_m[found[::-1]], ends_m[1:]])

    def _straight(self, start: int, goal: int) -> bool:
        """Whether the way is the straight line: its length and bearing are then the very numbers kept."""
        length_m, bearing_rad = _straight(self.points_m[start], self.points_m[goal])
        return bool(length_m == self.distance_m[start, goal] and bearing_rad == self.leaving_rad[start, goal])


def _straight(
    start_m: NDArray[np.float64], goal_m: NDArray[np.float64]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Length [m] and bearing [rad] from points to points, in the precision in which they are kept."""
    span_m = goal_m - start_m
    length_m = np.hypot(span_m[..., 0], span_m[..., 1]).astype(np.float32)
    return length_m, np.arctan2(span_m[..., 1], span_m[..., 0]).astype(np.float32)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Web:
    """Corners, the ways between them, and which corners each point sees.

    Sights of point i are entries `first[i]` to `first[i + 1]` of `corner` and `out_m`.
    """

    at_m: NDArray[np.float64]
    between_m: NDArray[np.float32]
    before: NDArray[np.int32]
    first: NDArray[np.intp]
    corner: NDArray[np.intp]
    out_m: NDArray[np.float32]

    def sights_of(self, point: int) -> slice:
        return slice(int(self.first[point]), int(self.first[point + 1]))


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
        Points on the floor or a little off it [m], shape (n, 2); those off it are moved to its edge.
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
    points_m = _on(floor, points_m)
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


def _on(floor: Polygon, points_m: NDArray[np.float64]) -> NDArray[np.float64]:
    """The points, those a little off the floor moved to its edge [m]."""
    on_m = points_m.copy()
    shapely.prepare(floor)
    off = np.flatnonzero(~shapely.intersects_xy(floor, points_m[:, 0], points_m[:, 1]))
    lines = shapely.shortest_line(floor, shapely.points(points_m[off]))
    on_m[off] = shapely.get_coordinates(lines)[::2]
    return on_m


def _within(points_m: NDArray[np.float64], floor: Polygon, radius_m: float) -> Travel:
    corners = _Corners(
        **dict(
            zip(("at_m", "before_m", "after_m"), inner_corners_m(shapely.simplify(floor, SIMPLIFIED_M)), strict=True)
        )
    )
    # Round corners: a mitre at a sharp tip of the floor would reach across a gap.
    sight = shapely.buffer(floor, SIGHT_SLACK_M, quad_segs=4)
    shapely.prepare(sight)
    web = _web(points_m, corners, sight, radius_m)
    count = len(points_m)
    distance_m = np.full((count, count), np.inf, dtype=np.float32)
    leaving_rad = np.zeros((count, count), dtype=np.float32)
    if len(web.corner):
        _along_corners(points_m, web, distance_m, leaving_rad)
    pairs = cKDTree(points_m).query_pairs(radius_m, output_type="ndarray")
    pairs = pairs[_seen(sight, points_m[pairs[:, 0]], points_m[pairs[:, 1]])]
    for first, second in ((pairs[:, 0], pairs[:, 1]), (pairs[:, 1], pairs[:, 0])):
        distance_m[first, second], leaving_rad[first, second] = _straight(points_m[first], points_m[second])
    np.fill_diagonal(distance_m, 0.0)
    return Travel(points_m=points_m, distance_m=distance_m, leaving_rad=leaving_rad, _web=web)


def _along_corners(
    points_m: NDArray[np.float64],
    web: _Web,
    distance_m: NDArray[np.float32],
    leaving_rad: NDArray[np.float32],
) -> None:
    """Fill in the ways that go by way of corners: out to a seen one, along, and in from a seen one."""
    count = len(points_m)
    reach_m = np.full((count, len(web.at_m)), np.inf, dtype=np.float32)
    for point in range(count):
        sights = web.sights_of(point)
        if sights.start < sights.stop:
            np.min(web.out_m[sights, None] + web.between_m[web.corner[sights]], axis=0, out=reach_m[point])
    by_corner = np.ascontiguousarray(reach_m.T)
    for point in range(count):
        sights = web.sights_of(point)
        if sights.start < sights.stop:
            whole_m = by_corner[web.corner[sights]] + web.out_m[sights, None]
            best = np.argmin(whole_m, axis=0)
            distance_m[point] = np.take_along_axis(whole_m, best[None, :], axis=0)[0]
            away_m = web.at_m[web.corner[sights]] - points_m[point]
            leaving_rad[point] = np.arctan2(away_m[:, 1], away_m[:, 0])[best]


def _web(points_m: NDArray[np.float64], corners: _Corners, sight: Polygon, radius_m: float) -> _Web:
    size = len(corners.at_m)
    if size == 0:
        nothing = np.zeros((0, 0))
        return _Web(
            at_m=corners.at_m,
            between_m=nothing.astype(np.float32),
            before=nothing.astype(np.int32),
            first=np.zeros(len(points_m) + 1, dtype=np.intp),
            corner=np.zeros(0, dtype=np.intp),
            out_m=np.zeros(0, dtype=np.float32),
        )
    tree = cKDTree(corners.at_m)
    tail, head = _corner_pairs(corners, tree, sight, radius_m)
    span_m = corners.at_m[tail] - corners.at_m[head]
    length_m = np.maximum(np.hypot(span_m[:, 0], span_m[:, 1]), 1e-9)
    graph = csr_array((length_m, (tail, head)), shape=(size, size))
    between_m, before = dijkstra(graph, directed=False, return_predecessors=True)
    point, corner = _corner_sights(points_m, corners, tree, sight, radius_m)
    order = np.argsort(point, kind="stable")
    point, corner = point[order], corner[order]
    away_m = points_m[point] - corners.at_m[corner]
    return _Web(
        at_m=corners.at_m,
        between_m=between_m.astype(np.float32),
        before=before.astype(np.int32),
        first=np.searchsorted(point, np.arange(len(points_m) + 1)),
        corner=corner,
        out_m=np.hypot(away_m[:, 0], away_m[:, 1]).astype(np.float32),
    )


def _corner_pairs(
    corners: _Corners, tree: cKDTree, sight: Polygon, radius_m: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    pairs = tree.query_pairs(radius_m, output_type="ndarray")
    first, second = pairs[:, 0], pairs[:, 1]
    useful = corners.touched(second, corners.at_m[first])
    first, second = first[useful], second[useful]
    useful = corners.touched(first, corners.at_m[second])
    first, second = first[useful], second[useful]
    seen = _seen(sight, corners.at_m[first], corners.at_m[second])
    return first[seen], second[seen]


def _corner_sights(
    points_m: NDArray[np.float64], corners: _Corners, tree: cKDTree, sight: Polygon, radius_m: float
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    near = cKDTree(points_m).sparse_distance_matrix(tree, radius_m, output_type="coo_matrix")
    point, corner = near.row.astype(np.intp), near.col.astype(np.intp)
    useful = corners.touched(corner, points_m[point])
    point, corner = point[useful], corner[useful]
    seen = _seen(sight, points_m[point], corners.at_m[corner])
    return point[seen], corner[seen]
