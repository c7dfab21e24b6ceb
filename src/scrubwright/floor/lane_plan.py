"""From the free floor to the lanes of the night: area by area, then what is too much taken off again."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from scrubwright.floor.coverage import Coverage, measured_coverage
from scrubwright.floor.edges import with_edges
from scrubwright.floor.frame import Frame, wall_frame
from scrubwright.floor.free_floor import FreeFloor, as_multipolygon
from scrubwright.floor.lanes import SHORTEST_LANE_M, LaneLine, Strip, swept_lanes
from scrubwright.floor.pruning import pruned
from scrubwright.floor.site import Edges, FloorPlan, Ramp
from scrubwright.floor.vehicle import Vehicle
from scrubwright.measures.errors import BadInput

# A lane is cut where it would take more than this share of a tankful, so that trips can be filled well.
LARGEST_LOAD_FRACTION = 0.05
SMALLEST_AREA_M2 = 0.25


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LanePlan:
    """The lanes of one floor.

    Parameters
    ----------
    lanes
        All lanes; a double scrub has each of them twice.
    strips
        Aisles between walls and how many passes they take.
    wanted
        Floor to be covered and within reach [m].
    areas
        Names, by the number that lanes and strips carry.
    coverage
        What the lanes cover of `wanted`.
    """

    lanes: tuple[LaneLine, ...]
    strips: tuple[Strip, ...]
    wanted: MultiPolygon
    areas: tuple[str, ...]
    coverage: Coverage


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Part:
    """One area or ramp as the lanes see it."""

    name: str
    outline: BaseGeometry
    passes: int
    walls: bool
    frame: Frame | None


def _parts(plan: FloorPlan, floor: FreeFloor, scrubbed_ramps: Sequence[Ramp]) -> list[_Part]:
    sloping = shapely.union_all([ramp.outline for ramp in plan.ramps]) if plan.ramps else None
    parts = []
    taken: BaseGeometry | None = sloping
    for area in sorted(plan.areas, key=lambda each: each.priority):
        shape = area.outline if taken is None else shapely.difference(area.outline, taken)
        taken = area.outline if taken is None else shapely.union(taken, area.outline)
        parts.append(
            _Part(name=area.name, outline=shape, passes=area.passes, walls=area.edges is Edges.EVERY_TIME, frame=None)
        )
    if not plan.areas:
        whole = floor.free if sloping is None else shapely.difference(floor.free, sloping)
        parts.append(
            _Part(
                name=plan.name,
                outline=shapely.buffer(whole, 0.01, join_style="mitre"),
                passes=1,
                walls=True,
                frame=None,
            )
        )
    parts.extend(
        _Part(name=ramp.name, outline=ramp.outline, passes=1, walls=False, frame=Frame(angle_rad=ramp.uphill_rad))
        for ramp in scrubbed_ramps
    )
    return parts


def lane_plan(
    plan: FloorPlan, floor: FreeFloor, vehicle: Vehicle, *, scrubbed_ramps: Sequence[Ramp], longest_lane_m: float
) -> LanePlan:
    """The lanes for one floor and machine.

    Parameters
    ----------
    plan, floor, vehicle
        The floor, what of it is free, and the machine.
    scrubbed_ramps
        Ramps that this machine may scrub: swept straight up and down.
    longest_lane_m
        Lanes are cut to this length [m, > 0], so that a tankful can end between any two.

    Raises
    ------
    BadInput
        No area has floor that the deck reaches.

    **Source** ours, see docs/explanation/lanes.md.
    """
    parts = _parts(plan, floor, scrubbed_ramps)
    lanes: list[LaneLine] = []
    strips: list[Strip] = []
    wanted_parts = []
    for number, part in enumerate(parts):
        wanted = as_multipolygon(shapely.intersection(floor.reachable, part.outline), SMALLEST_AREA_M2)
        wanted_parts.append(wanted)
        swept = as_multipolygon(shapely.intersection(floor.centre, part.outline))
        if wanted.is_empty or swept.is_empty:
            continue
        frame = part.frame or wall_frame(swept)
        found, aisles = swept_lanes(swept, floor.centre, frame, vehicle, number=number, one_way=part.frame is not None)
        found = pruned(clear_of_walls(found, floor.free, vehicle.front_m), wanted, vehicle.deck_width_m, GAP_M)
        found = with_edges(found, floor.centre, wanted, vehicle.deck_width_m, walls=part.walls, number=number)
        lanes.extend(clear_of_walls(found, floor.free, vehicle.front_m))
        strips.extend(aisles)
    wanted_all = as_multipolygon(shapely.union_all([each for each in wanted_parts if not each.is_empty]))
    if not lanes or wanted_all.is_empty:
        raise BadInput(
            "No area of floor {floor} has floor that this machine's deck reaches. Check the drawing's scale "
            "and the areas.",
            floor=plan.name,
        )
    kept = pruned(lanes, wanted_all, vehicle.deck_width_m, GAP_M)
    cut = [piece for lane in kept for piece in _cut(lane, longest_lane_m)]
    twice = [lane for lane in cut if parts[lane.area].passes == 2]
    return LanePlan(
        lanes=(*cut, *twice),
        strips=tuple(strips),
        wanted=wanted_all,
        areas=tuple(part.name for part in parts),
        coverage=measured_coverage(cut, wanted_all, vehicle.deck_width_m),
    )


# Raising the deck for less than this in the middle of a lane is not worth the driver's while (common practice).
GAP_M = 6.0


def _cut(lane: LaneLine, longest_m: float) -> list[LaneLine]:
    pieces = int(np.ceil(lane.line.length / longest_m - 1e-9))
    if pieces <= 1:
        return [lane]
    step_m = lane.line.length / pieces
    return [replace(lane, line=substring(lane.line, index * step_m, (index + 1) * step_m)) for index in range(pieces)]


def clear_of_walls(lanes: Sequence[LaneLine], free: MultiPolygon, front_m: float) -> list[LaneLine]:
    """The lanes, cut back where the machine's front would meet a wall before the deck does.

    Parameters
    ----------
    lanes
        Lanes [m].
    free
        Floor without anything solid [m].
    front_m
        From the deck's centre to the foremost point [m, >= 0]; taken for both ends, since a lane may
        be driven either way.

    **Source** ours, see docs/explanation/lanes.md.
    """
    shapely.prepare(free)
    found = []
    for lane in lanes:
        points_m = shapely.get_coordinates(lane.line)
        back_m = [
            _short_of_wall_m(points_m[0], points_m[1], free, front_m),
            _short_of_wall_m(points_m[-1], points_m[-2], free, front_m),
        ]
        length_m = lane.line.length
        if back_m == [0.0, 0.0]:
            found.append(lane)
        elif length_m - sum(back_m) >= SHORTEST_LANE_M:
            found.append(replace(lane, line=substring(lane.line, back_m[0], length_m - back_m[1])))
    return found


def _short_of_wall_m(end_m: np.ndarray, inner_m: np.ndarray, free: MultiPolygon, front_m: float) -> float:
    ahead_m = (end_m - inner_m) / max(float(np.hypot(*(end_m - inner_m))), 1e-9) * front_m
    # A hair inside: an end on the very edge of the machine's floor still counts as clear.
    reach = shapely.LineString([end_m, end_m + ahead_m * 0.98])
    if front_m == 0 or free.covers(reach):
        return 0.0
    clear = [
        part
        for part in shapely.get_parts(shapely.intersection(reach, free))
        if part.distance(shapely.Point(end_m)) < 1e-6
    ]
    return front_m - float(sum(part.length for part in clear if part.geom_type == "LineString"))
