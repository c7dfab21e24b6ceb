"""Flat shapes out of triangle meshes: what a level plane cuts, and what stands between two heights."""

import numpy as np
import numpy.typing as npt
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from shapely import LineString, MultiPolygon, Polygon

Points = npt.NDArray[np.float64]
Triangles = npt.NDArray[np.int64]

MOST_TRIANGLES = 20_000
_GRID_M = 1e-4


def section(corners_m: Points, triangles: Triangles, *, height_m: float) -> tuple[MultiPolygon, tuple[LineString, ...]]:
    """What a level plane cuts out of a mesh: solid parts, and lines where a surface is open.

    Parameters
    ----------
    corners_m
        Corners of the mesh [m], shape (n, 3).
    triangles
        Indices into the corners, shape (t, 3).
    height_m
        Height of the plane [m].

    Notes
    -----
    A corner in the plane counts as above it, so that every triangle is cut once or not at all.

    **Source**: common practice.
    """
    above = corners_m[:, 2] >= height_m
    count = above[triangles].sum(axis=1)
    cut = triangles[(count == 1) | (count == 2)]
    if not len(cut):
        return MultiPolygon(), ()
    body = _bodies(len(corners_m), triangles)[cut[:, 0]]
    ends = _cut_edges(corners_m, above, cut, height_m)
    solid: list[Polygon] = []
    loose: list[LineString] = []
    for number in np.unique(body):
        segments = np.round(ends[body == number] / _GRID_M) * _GRID_M
        segments = segments[(segments[:, 0] != segments[:, 1]).any(axis=1)]
        lines = shapely.linestrings(segments)
        filled = _polygons(shapely.build_area(shapely.multilinestrings(lines))) if len(lines) else []
        solid += filled
        if len(lines) and not filled:
            loose += [
                LineString(part) for part in shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))
            ]
    return MultiPolygon(_polygons(shapely.union_all(solid))), tuple(loose)


def footprint(corners_m: Points, triangles: Triangles, *, low_m: float, high_m: float) -> MultiPolygon:
    """What a mesh covers, seen from above, between two heights [m].

    Triangles that reach into the band count whole. A mesh of more than 20,000 of them is taken as
    its convex outline.

    Parameters
    ----------
    corners_m, triangles
        The mesh, as in `section`.
    low_m, high_m
        The band [m].

    Notes
    -----
    **Source**: common practice.
    """
    heights_m = corners_m[:, 2][triangles]
    within = triangles[(heights_m.max(axis=1) > low_m) & (heights_m.min(axis=1) < high_m)]
    if not len(within):
        return MultiPolygon()
    if len(within) > MOST_TRIANGLES:
        return MultiPolygon(_polygons(shapely.convex_hull(shapely.multipoints(corners_m[np.unique(within), :2]))))
    return seen_from_above(corners_m, within)


def upward(corners_m: Points, triangles: Triangles, *, least_level_ratio: float = 0.3) -> Triangles:
    """The triangles that face up, by the upward part of their unit normal; shape (t, 3)."""
    one, two, three = (corners_m[triangles[:, place]] for place in range(3))
    normals = np.cross(two - one, three - one)
    lengths = np.linalg.norm(normals, axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(triangles[(lengths > 0) & (normals[:, 2] / lengths >= least_level_ratio)])


def seen_from_above(corners_m: Points, triangles: Triangles) -> MultiPolygon:
    """The ground that the triangles cover [m]."""
    flat = corners_m[:, :2][triangles]
    one, two, three = flat[:, 0], flat[:, 1], flat[:, 2]
    doubled_m2 = (two - one)[:, 0] * (three - one)[:, 1] - (two - one)[:, 1] * (three - one)[:, 0]
    shapes = shapely.polygons(flat[np.abs(doubled_m2) > 2 * _GRID_M**2])
    if not len(shapes):
        return MultiPolygon()
    whole = shapely.union_all(shapes, grid_size=_GRID_M)
    return MultiPolygon(_polygons(shapely.set_precision(shapely.simplify(whole, _GRID_M), 0.0)))


def _bodies(count: int, triangles: Triangles) -> npt.NDArray[np.int32]:
    """The body that each corner belongs to: corners joined by triangles are one body."""
    pairs = np.concatenate([triangles[:, :2], triangles[:, 1:]])
    joined = coo_array((np.ones(len(pairs), dtype=bool), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    return np.asarray(connected_components(joined, directed=False)[1], dtype=np.int32)


def _cut_edges(corners_m: Points, above: npt.NDArray[np.bool_], cut: Triangles, height_m: float) -> Points:
    """Where the plane crosses two edges of each triangle, shape (t, 2, 2)."""
    sides = np.stack([cut, np.roll(cut, -1, axis=1)], axis=2)
    crossing = above[sides[:, :, 0]] != above[sides[:, :, 1]]
    edges = np.sort(sides[crossing].reshape(-1, 2, 2), axis=2)
    # Sorted ends: the two triangles of an edge then compute the same point to the last bit.
    start, end = corners_m[edges[:, :, 0]], corners_m[edges[:, :, 1]]
    share = (height_m - start[..., 2:]) / (end[..., 2:] - start[..., 2:])
    return np.asarray(start[..., :2] + share * (end[..., :2] - start[..., :2]))


def _polygons(shape: shapely.Geometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(shape) if isinstance(part, Polygon) and not part.is_empty]
