"""Passes along walls and through missed patches, where the straight lanes leave floor dry."""

import itertools
import math
from collections.abc import Sequence

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon

from scrubwright.floor.free_floor import as_multipolygon
from scrubwright.floor.lanes import SHORTEST_LANE_M, LaneLine

LONGEST_EDGE_M = 40.0
# A bend sharper than this is taken as two passes: no squeegee follows it.
SHARPEST_BEND_RAD = math.radians(35)
LEAST_GAIN_M2 = 0.25
LEAST_GAIN_M2_PER_M = 0.1
LEAST_PATCH_M2 = 0.3
SLIVER_M2 = 0.02
THINNEST_STRIP_M = 0.04


def deck_print(line: LineString, deck_width_m: float) -> Polygon:
    """The floor that a deck wets along a line; its ends are square [deck width in m, > 0].

    **Source** geometry.
    """
    return shapely.buffer(line, deck_width_m / 2, cap_style="flat", join_style="round", quad_segs=4)


def dry_floor(wanted: MultiPolygon, prints: Sequence[Polygon]) -> MultiPolygon:
    """What the prints leave dry of the wanted floor, less strips thinner than 4 cm.

    **Source** opening by a disc, a standard operation of mathematical morphology.
    """
    left = shapely.difference(wanted, shapely.union_all(prints))
    opened = shapely.buffer(
        shapely.buffer(left, -THINNEST_STRIP_M / 2, join_style="mitre"), THINNEST_STRIP_M / 2, join_style="mitre"
    )
    return as_multipolygon(opened, SLIVER_M2)


def wall_lines(centre: Polygon, deck_width_m: float) -> list[LineString]:
    """Lines along every wall, cut at sharp bends and into lengths that a driver can follow.

    Parameters
    ----------
    centre
        Where the deck's centre may be [m]; its rings are the lines.
    deck_width_m
        Deck width [m]; stretches shorter than it are left out.

    **Source** ours, see docs/explanation/lanes.md.
    """
    found: list[LineString] = []
    for ring in (centre.exterior, *centre.interiors):
        points_m = shapely.get_coordinates(shapely.simplify(ring, 0.02))[:-1]
        for part_m in _between_bends(points_m):
            found.extend(_cut(part_m, LONGEST_EDGE_M))
    return [line for line in found if line.length >= deck_width_m]


def _between_bends(points_m: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    ahead_m = np.roll(points_m, -1, axis=0) - points_m
    bearing_rad = np.arctan2(ahead_m[:, 1], ahead_m[:, 0])
    bend_rad = (bearing_rad - np.roll(bearing_rad, 1) + math.pi) % (2 * math.pi) - math.pi
    corners = np.flatnonzero(np.abs(bend_rad) > SHARPEST_BEND_RAD)
    if corners.size == 0:
        return [np.concatenate([points_m, points_m[:1]])]
    whole_m = np.roll(points_m, -int(corners[0]), axis=0)
    whole_m = np.concatenate([whole_m, whole_m[:1]])
    cuts = [*(corners - corners[0]), len(points_m)]
    return [whole_m[a : b + 1] for a, b in itertools.pairwise(cuts)]


def _cut(points_m: NDArray[np.float64], longest_m: float) -> list[LineString]:
    line = LineString(points_m)
    parts = max(1, math.ceil(line.length / longest_m - 1e-9))
    step_m = line.length / parts
    return [shapely.ops.substring(line, index * step_m, (index + 1) * step_m) for index in range(parts)]


def _worth(line: LineString, dry: MultiPolygon, deck_width_m: float) -> tuple[LineString, float] | None:
    """The stretch of a line that wets dry floor, and how much of it [m2]; None where it is not worth the drive."""
    gained = shapely.intersection(deck_print(line, deck_width_m), dry)
    parts = [part for part in shapely.get_parts(gained) if part.geom_type == "Polygon" and part.area > SLIVER_M2]
    if not parts:
        return None
    at_m = shapely.line_locate_point(line, shapely.points(shapely.get_coordinates(parts)))
    low_m, high_m = float(at_m.min()), float(at_m.max())
    if high_m - low_m < SHORTEST_LANE_M:
        middle_m = (low_m + high_m) / 2
        low_m, high_m = max(0.0, middle_m - SHORTEST_LANE_M / 2), min(line.length, middle_m + SHORTEST_LANE_M / 2)
    kept = shapely.ops.substring(line, low_m, high_m)
    gain_m2 = sum(part.area for part in parts)
    if kept.geom_type != "LineString" or gain_m2 < max(LEAST_GAIN_M2, LEAST_GAIN_M2_PER_M * kept.length):
        return None
    return kept, gain_m2


def _chosen(
    candidates: list[LineString], dry: MultiPolygon, deck_width_m: float
) -> tuple[list[LineString], MultiPolygon]:
    """Take candidates by floor gained per metre, each judged again against what the earlier ones left dry."""
    shapely.prepare(dry)
    near_dry = np.flatnonzero(shapely.dwithin(np.array(candidates, dtype=object), dry, deck_width_m / 2))
    judged = [
        (worth, candidates[index]) for index in near_dry if (worth := _worth(candidates[index], dry, deck_width_m))
    ]
    judged.sort(key=lambda each: -each[0][1] / each[0][0].length)
    chosen: list[LineString] = []
    for _, line in judged:
        near = dry if not chosen else _near(dry, line, deck_width_m)
        again = _worth(line, near, deck_width_m)
        if again:
            chosen.append(again[0])
            dry = as_multipolygon(shapely.difference(dry, deck_print(again[0], deck_width_m)), SLIVER_M2)
    return chosen, dry


def _near(dry: MultiPolygon, line: LineString, deck_width_m: float) -> MultiPolygon:
    parts = shapely.get_parts(dry)
    return MultiPolygon(list(parts[shapely.dwithin(parts, line, deck_width_m)]))


def _through(patch: Polygon, centre: Polygon, deck_width_m: float) -> list[LineString]:
    """Straight lines through a patch, along and across it, as far as the machine's floor allows [m]."""
    corners_m = shapely.get_coordinates(shapely.minimum_rotated_rectangle(patch))
    if len(corners_m) < 4:
        return []
    sides_m = (corners_m[1] - corners_m[0], corners_m[2] - corners_m[1])
    middle = shapely.ops.nearest_points(patch.centroid, centre)[1]
    lines = []
    for side_m in sides_m:
        length_m = float(np.hypot(*side_m))
        if length_m < 1e-6:
            continue
        reach_m = side_m / length_m * (length_m / 2 + deck_width_m / 2)
        at_m = np.array([middle.x, middle.y])
        whole = shapely.intersection(LineString([at_m - reach_m, at_m + reach_m]), centre)
        parts = [
            part
            for part in shapely.get_parts(whole)
            if part.geom_type == "LineString" and part.length > SHORTEST_LANE_M / 2
        ]
        lines.extend(parts)
    return lines


def with_edges(
    lanes: list[LaneLine],
    centre: Polygon,
    wanted: MultiPolygon,
    deck_width_m: float,
    *,
    walls: bool,
    number: int,
) -> list[LaneLine]:
    """The lanes, with wall passes where walls stay dry and short passes through missed patches.

    Parameters
    ----------
    lanes
        Straight lanes of the area.
    centre
        Where the deck's centre may be [m].
    wanted
        Floor to be covered [m].
    deck_width_m
        Deck width [m].
    walls
        False leaves wall passes out (patches stay).
    number
        Number of the area.

    **Source** greedy set cover by gain per metre, V. Chvatal, A greedy heuristic for the set-covering
    problem, Math. of OR 4(3), 1979, doi:10.1287/moor.4.3.233.
    """
    prints = [deck_print(lane.line, deck_width_m) for lane in lanes]
    dry = dry_floor(wanted, prints)
    found = list(lanes)
    if walls:
        edges, dry = _chosen(wall_lines(centre, deck_width_m), dry, deck_width_m)
        found.extend(LaneLine(line=line, kind="edge", area=number) for line in edges)
    lines = [
        line for patch in dry.geoms if patch.area >= LEAST_PATCH_M2 for line in _through(patch, centre, deck_width_m)
    ]
    patches, _ = _chosen(lines, dry, deck_width_m)
    found.extend(LaneLine(line=line, kind="patch", area=number) for line in patches)
    return found
