"""Leave out what other lanes cover already: whole lanes, their ends, and long stretches in between."""

from dataclasses import replace

import numpy as np
import shapely
import shapely.ops
from numpy.typing import NDArray
from shapely import MultiPolygon

from scrubwright.floor.edges import deck_print
from scrubwright.floor.lanes import SHORTEST_LANE_M, LaneLine

LEAST_OWN_FRACTION = 0.04
LEAST_OWN_M2 = 0.2
SLIVER_M2 = 0.04
LEAST_TRIM_M = 0.15


def _stretches_m(lane: LaneLine, own: NDArray[np.object_], gap_m: float) -> list[tuple[float, float]]:
    """Stretches of a lane that alone cover some floor, near ones taken as one [m along the lane]."""
    ends_m = []
    for part in own:
        at_m = shapely.line_locate_point(lane.line, shapely.points(shapely.get_coordinates(part)))
        ends_m.append((float(at_m.min()), float(at_m.max())))
    ends_m.sort()
    joined = [ends_m[0]]
    for low_m, high_m in ends_m[1:]:
        if low_m - joined[-1][1] <= gap_m:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high_m))
        else:
            joined.append((low_m, high_m))
    return joined


def _needed(lane: LaneLine, own: NDArray[np.object_], gap_m: float) -> list[LaneLine]:
    length_m = lane.line.length
    pieces = []
    for low_m, high_m in _stretches_m(lane, own, gap_m):
        low_m = 0.0 if low_m < LEAST_TRIM_M else low_m
        high_m = length_m if length_m - high_m < LEAST_TRIM_M else high_m
        if high_m - low_m < SHORTEST_LANE_M:
            middle_m = (low_m + high_m) / 2
            low_m = max(0.0, min(middle_m - SHORTEST_LANE_M / 2, length_m - SHORTEST_LANE_M))
            high_m = min(length_m, low_m + SHORTEST_LANE_M)
        if (low_m, high_m) == (0.0, length_m):
            return [lane]
        pieces.append(replace(lane, line=shapely.ops.substring(lane.line, low_m, high_m)))
    return pieces


def pruned(lanes: list[LaneLine], wanted: MultiPolygon, deck_width_m: float, gap_m: float) -> list[LaneLine]:
    """The lanes without what other lanes cover already.

    Shortest first, each lane is measured against all that are still there: the floor that it alone
    covers says which stretch of it is needed. A lane whose own floor is under 4 % of its print is
    dropped; a stretch in its middle that others cover is left out where it is longer than `gap_m`.

    Parameters
    ----------
    lanes
        Lanes [m].
    wanted
        Floor to be covered [m].
    deck_width_m
        Deck width [m, > 0].
    gap_m
        Shortest stretch worth raising the deck for [m, > 0].

    **Source** ours, see docs/explanation/lanes.md; redundancy elimination is the usual second phase of
    greedy set cover.
    """
    shapely.prepare(wanted)
    current: list[list[LaneLine]] = [[lane] for lane in lanes]
    prints = np.array([deck_print(lane.line, deck_width_m) for lane in lanes], dtype=object)
    tree = shapely.STRtree(prints)
    for index in np.argsort([lane.line.length for lane in lanes], kind="stable"):
        lane = lanes[index]
        near = tree.query(prints[index], predicate="intersects")
        others = shapely.union_all(prints[near[near != index]])
        own_shape = shapely.intersection(shapely.difference(prints[index], others), wanted)
        parts = shapely.get_parts(shapely.get_parts(own_shape))
        own = parts[shapely.area(parts) > SLIVER_M2]
        own_m2 = float(shapely.area(own).sum())
        if own_m2 < max(LEAST_OWN_FRACTION * prints[index].area, min(LEAST_OWN_M2, prints[index].area / 2)):
            current[index] = []
            prints[index] = shapely.Polygon()
            continue
        current[index] = _needed(lane, own, gap_m)
        if current[index] != [lane]:
            prints[index] = shapely.union_all([deck_print(piece.line, deck_width_m) for piece in current[index]])
    return [piece for pieces in current for piece in pieces]
