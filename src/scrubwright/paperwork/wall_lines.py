"""Straight walls out of jagged ones: outlines traced from pixels are redrawn along the building's own directions."""

import math
from collections import Counter
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import LinearRing, MultiPolygon, Polygon

Points = npt.NDArray[np.float64]

_QUARTER = math.pi / 2
_SHARPEST_MEETING = math.sin(math.radians(12))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wall:
    """One straight wall fitted to the traced corners `first` to `last` of its ring (may run past the end)."""

    first: int
    last: int
    along: tuple[float, float]
    offset_m: float
    length_m: float

    def nearest(self, point: Points) -> Points:
        """The point of the wall's line that is nearest to `point` [m], shape (2,)."""
        across = np.array([-self.along[1], self.along[0]])
        return np.asarray(point - (point @ across - self.offset_m) * across)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ring:
    """A traced ring, run through twice so that a wall may pass its first corner, and how to draw it anew."""

    closed: Points
    count: int
    directions: tuple[float, ...]
    tolerance_m: float


def straightened(outline: MultiPolygon, *, tolerance_m: float) -> MultiPolygon:
    """The outline with jagged walls straight, square to the building where that moves a wall by at most `tolerance_m`.

    Each wall keeps the area on its floor side: it is laid through the mean of the traced line, not
    through its outermost corners. A ring that would cross itself or another ring by this keeps its
    simplified form.

    Parameters
    ----------
    outline
        Traced polygons, valid [m].
    tolerance_m
        How far a wall may move [m, > 0].

    Notes
    -----
    **Source**: ours, see docs/explanation/from-pixels-to-walls.md; the first thinning is D. Douglas and T. Peucker,
    Algorithms for the reduction of the number of points, 1973 (from memory), as shapely's `simplify`.
    """
    if outline.is_empty:
        return outline
    thinned = outline.simplify(tolerance_m, preserve_topology=True)
    traced_rings = shapely.get_rings(shapely.get_parts(outline))
    thin_rings = shapely.get_rings(shapely.get_parts(thinned))
    directions = wall_directions_rad(thinned, shortest_m=5 * tolerance_m)
    redrawn = [
        _redrawn(traced, thin, directions, tolerance_m) for traced, thin in zip(traced_rings, thin_rings, strict=True)
    ]
    return _assembled(shapely.get_parts(thinned), _without_conflicts(redrawn, list(thin_rings)))


def wall_directions_rad(outline: shapely.Geometry, *, shortest_m: float) -> tuple[float, ...]:
    """The main wall directions, each standing for itself and its normal [rad, 0 to pi/2], longest walls first.

    Parameters
    ----------
    outline
        Polygons or rings [m].
    shortest_m
        Walls shorter than this do not vote [m].

    Notes
    -----
    **Source**: length-weighted histogram of edge directions modulo a quarter turn, common practice.
    """
    rings = shapely.get_rings(shapely.get_parts(outline)) if not isinstance(outline, LinearRing) else [outline]
    steps = np.concatenate([np.diff(shapely.get_coordinates(ring), axis=0) for ring in rings])
    lengths_m = np.hypot(steps[:, 0], steps[:, 1])
    steps, lengths_m = steps[lengths_m >= shortest_m], lengths_m[lengths_m >= shortest_m]
    angles_rad = np.arctan2(steps[:, 1], steps[:, 0]) % _QUARTER
    total_m = lengths_m.sum()
    directions: list[float] = []
    while lengths_m.size and len(directions) < 4 and lengths_m.sum() > 0.1 * total_m:
        peak_rad = _peak_rad(angles_rad, lengths_m)
        near = np.abs(_turned_rad(angles_rad, peak_rad)) < math.radians(4)
        if lengths_m[near].sum() < 0.1 * total_m:
            break
        # A long wall tells its direction better: what one pixel turns it by falls with its length.
        weight = lengths_m[near] ** 2
        turn_rad = (_turned_rad(angles_rad[near], peak_rad) * weight).sum() / weight.sum()
        directions.append((peak_rad + float(turn_rad)) % _QUARTER)
        angles_rad, lengths_m = angles_rad[~near], lengths_m[~near]
    return tuple(directions)


def _peak_rad(angles_rad: Points, lengths_m: Points) -> float:
    """The direction of the longest wall among those whose neighbourhood of 2 degrees is heaviest."""
    close_rad = math.radians(2)
    nearby_m = [float(lengths_m[np.abs(_turned_rad(angles_rad, angle)) < close_rad].sum()) for angle in angles_rad]
    return float(angles_rad[int(np.argmax(nearby_m))])


def _turned_rad(angles_rad: Points, from_rad: float) -> Points:
    """How far each direction is from another, quarter turns not counted, -pi/4 to pi/4."""
    return np.asarray((angles_rad - from_rad + _QUARTER / 2) % _QUARTER - _QUARTER / 2)


def _redrawn(traced: LinearRing, thin: LinearRing, directions: tuple[float, ...], tolerance_m: float) -> LinearRing:
    """A ring redrawn with fitted walls; the thin ring where fewer than three walls are left or the area is off."""
    points = shapely.get_coordinates(traced)[:-1]
    place = {(x, y): index for index, (x, y) in enumerate(points.tolist())}
    stops = sorted(place[x, y] for x, y in shapely.get_coordinates(thin)[:-1].tolist())
    closed = np.concatenate([points, points])
    if _square_share(closed, stops, directions, tolerance_m) < 0.5:
        directions = wall_directions_rad(thin, shortest_m=2 * tolerance_m) or directions
    ring = _Ring(closed=closed, count=len(points), directions=directions, tolerance_m=tolerance_m)
    ends = [*stops[1:], stops[0] + len(points)]
    walls = [_fitted(ring, first, last) for first, last in zip(stops, ends, strict=True)]
    corners = _corners(ring, _merged(ring, walls))
    if len(corners) < 3:
        return thin
    redrawn = LinearRing(corners)
    area_m2, traced_m2 = Polygon(redrawn).area, Polygon(traced).area
    slack_m2 = max(0.1 * traced_m2, 4 * tolerance_m**2)
    as_traced = redrawn.is_ccw == traced.is_ccw and abs(area_m2 - traced_m2) <= slack_m2
    return redrawn if redrawn.is_simple and as_traced else thin


def _square_share(closed: Points, stops: list[int], directions: tuple[float, ...], tolerance_m: float) -> float:
    """The share of a ring's length that one of the directions fits."""
    steps = np.diff(closed[[*stops, stops[0]]], axis=0)
    lengths_m = np.hypot(steps[:, 0], steps[:, 1])
    angles_rad = np.arctan2(steps[:, 1], steps[:, 0])
    fits = np.zeros(len(steps), dtype=bool)
    for direction in directions:
        fits |= lengths_m * np.abs(np.sin(_turned_rad(angles_rad, direction))) / 2 <= tolerance_m
    long = lengths_m > 4 * tolerance_m
    return float(lengths_m[fits & long].sum() / lengths_m[long].sum()) if long.any() else 0.0


def _fitted(ring: _Ring, first: int, last: int) -> _Wall:
    """The wall through the traced corners first..last, with as much floor on its side as they have."""
    step = ring.closed[last] - ring.closed[first]
    length_m = math.hypot(*step)
    angle_rad = math.atan2(step[1], step[0])
    turns_rad = [float(_turned_rad(np.array([direction]), angle_rad)[0]) for direction in ring.directions]
    turn_rad = min(turns_rad, key=abs, default=0.0)
    if length_m * abs(math.sin(turn_rad)) / 2 <= ring.tolerance_m:
        angle_rad += turn_rad
    along = np.array([math.cos(angle_rad), math.sin(angle_rad)])
    across = np.array([-along[1], along[0]])
    chain = ring.closed[first : last + 1]
    walked, away = chain @ along, chain @ across
    run_m = walked[-1] - walked[0]
    offset_m = float((np.diff(walked) * (away[1:] + away[:-1])).sum() / 2 / run_m) if run_m > 0 else float(away.mean())
    return _Wall(first=first, last=last, along=(float(along[0]), float(along[1])), offset_m=offset_m, length_m=length_m)


def _merged(ring: _Ring, walls: list[_Wall]) -> list[_Wall]:
    """Neighbouring walls joined, two or three at a time, wherever one wall fits them all within the tolerance."""
    changed = True
    while changed:
        before = len(walls)
        for reach in (2, 3):
            index = 0
            while index < len(walls) and len(walls) > reach + 1:
                places = [(index + step) % len(walls) for step in range(reach)]
                joined = _joined(ring, [walls[place] for place in places])
                if joined is None:
                    index += 1
                else:
                    others = [wall for place, wall in enumerate(walls) if place not in places]
                    walls = sorted([joined, *others], key=lambda wall: wall.first)
        changed = len(walls) < before
    return walls


def _joined(ring: _Ring, group: list[_Wall]) -> _Wall | None:
    """One wall in place of a group, or None where it would lie further than the tolerance from what was traced."""
    first, last = group[0].first, group[-1].last
    if last <= first:
        last += ring.count
    if last - first >= ring.count or last >= len(ring.closed):
        return None
    wall = _fitted(ring, first, last)
    if wall.length_m < max(each.length_m for each in group):
        return None
    away_m = ring.closed[first : last + 1] @ np.array([-wall.along[1], wall.along[0]]) - wall.offset_m
    return wall if float(np.abs(away_m).max()) <= 1.25 * ring.tolerance_m else None


def _corners(ring: _Ring, walls: list[_Wall]) -> Points:
    """Where each wall meets the next; a short cross wall where they run side by side. Shape (n, 2)."""
    corners: list[Points] = []
    for index, wall in enumerate(walls):
        before = walls[index - 1]
        traced = ring.closed[wall.first]
        meeting = _meeting(before, wall)
        if meeting is not None and math.dist(meeting, traced) <= 3 * ring.tolerance_m:
            corners.append(meeting)
        else:
            corners += [before.nearest(traced), wall.nearest(traced)]
    kept = [point for index, point in enumerate(corners) if math.dist(point, corners[index - 1]) > 1e-6]
    return np.array(kept).reshape(-1, 2)


def _meeting(one: _Wall, other: _Wall) -> Points | None:
    """Where two walls meet, or None where they are close to parallel."""
    sine = one.along[0] * other.along[1] - one.along[1] * other.along[0]
    if abs(sine) < _SHARPEST_MEETING:
        return None
    return (one.offset_m * np.array(other.along) - other.offset_m * np.array(one.along)) / sine


def _without_conflicts(redrawn: list[LinearRing], thin: list[LinearRing]) -> list[LinearRing]:
    """The redrawn rings, with the thin form of every ring that would meet another one."""
    rings = list(redrawn)
    while True:
        tree = shapely.STRtree(rings)
        pairs = tree.query(rings, predicate="intersects").T.tolist()
        meeting = Counter(one for one, other in pairs if one != other and rings[one] is not thin[one])
        if not meeting:
            return rings
        for index in meeting:
            rings[index] = thin[index]


def _assembled(thinned: npt.NDArray[np.object_], rings: list[LinearRing]) -> MultiPolygon:
    """Polygons again, ring by ring in the order of the thinned ones."""
    polygons: list[Polygon] = []
    start = 0
    for polygon in thinned:
        end = start + 1 + len(polygon.interiors)
        polygons.append(Polygon(rings[start], rings[start + 1 : end]))
        start = end
    whole = MultiPolygon(polygons)
    return whole if whole.is_valid else MultiPolygon(list(thinned))
