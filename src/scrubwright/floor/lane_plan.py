"""From the free floor to the lanes of the night: area by area, then what is too much taken off again."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from scrubwright.floor.coverage import Coverage, measured_coverage
from scrubwright.floor.edges import deck_print, dry_floor, with_edges
from scrubwright.floor.frame import Frame, wall_frame
from scrubwright.floor.free_floor import FreeFloor, as_multipolygon
from scrubwright.floor.lanes import SHORTEST_LANE_M, LaneLine, Strip, dry_floor_worth_s, swept_lanes
from scrubwright.floor.pruning import pruned
from scrubwright.floor.site import Edges, FloorPlan, Ramp
from scrubwright.floor.turns import backing_out_m, backing_s, lane_start_s
from scrubwright.floor.vehicle import Vehicle
from scrubwright.measures.errors import BadInput
from scrubwright.measures.tankfuls import fewest_tankfuls

# Shares of a tankful between which long lanes are cut.
LARGEST_LOAD_FRACTION = 0.05
SMALLEST_LOAD_FRACTION = 0.01
# Past this many pieces the search would lose more than the stop saved.
MOST_CUT = 1.4
MOST_PIECES = 800
SMALLEST_AREA_M2 = 0.25
# A small area gains or loses a whole lane by where the first one is laid; there all eight looks are tried, and on
# the smallest floors the best of them are driven to the end.
LOOKS_BELOW_M2 = 3000.0
FEW_PARTS = 4
TRIED_BELOW_M2 = 1000.0
RUNNERS_UP = 3
# Raising the deck for less than this in the middle of a lane is not worth the driver's while (common practice).
GAP_M = 6.0


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
    """One area or ramp as the lanes see it; `ramps` are those that its lanes keep off."""

    name: str
    outline: BaseGeometry
    passes: int
    walls: bool
    frame: Frame | None
    ramps: BaseGeometry | None = None


def _parts(plan: FloorPlan, floor: FreeFloor, scrubbed_ramps: Sequence[Ramp]) -> list[_Part]:
    sloping = shapely.union_all([ramp.outline for ramp in plan.ramps]) if plan.ramps else None
    parts = []
    taken: BaseGeometry | None = sloping
    for area in sorted(plan.areas, key=lambda each: each.priority):
        shape = area.outline if taken is None else shapely.difference(area.outline, taken)
        taken = area.outline if taken is None else shapely.union(taken, area.outline)
        parts.append(
            _Part(
                name=area.name,
                outline=shape,
                passes=area.passes,
                walls=area.edges is Edges.EVERY_TIME,
                frame=None,
                ramps=sloping,
            )
        )
    if not plan.areas:
        whole = floor.free if sloping is None else shapely.difference(floor.free, sloping)
        parts.append(
            _Part(
                name=plan.name,
                outline=as_multipolygon(shapely.buffer(whole, 0.01, join_style="mitre")),
                passes=1,
                walls=True,
                frame=None,
                ramps=sloping,
            )
        )
    for ramp in scrubbed_ramps:
        others = [other.outline for other in plan.ramps if other is not ramp]
        parts.append(
            _Part(
                name=ramp.name,
                outline=ramp.outline,
                passes=1,
                walls=False,
                frame=Frame(angle_rad=ramp.uphill_rad),
                ramps=shapely.union_all(others) if others else None,
            )
        )
    return parts


def lane_plan(plan: FloorPlan, floor: FreeFloor, vehicle: Vehicle, *, scrubbed_ramps: Sequence[Ramp] = ()) -> LanePlan:
    """The lanes for one floor and machine: the first of `lane_plans`.

    **Source** ours, see docs/explanation/lanes.md.
    """
    return lane_plans(plan, floor, vehicle, scrubbed_ramps=scrubbed_ramps)[0]


def lane_plans(
    plan: FloorPlan, floor: FreeFloor, vehicle: Vehicle, *, scrubbed_ramps: Sequence[Ramp] = ()
) -> tuple[LanePlan, ...]:
    """The lanes for one floor and machine, the quickest by estimate first.

    On a small floor of one piece the runners-up come along, since there an estimate is not sharp
    enough to tell them apart.

    Parameters
    ----------
    plan, floor, vehicle
        The floor, what of it is free, and the machine.
    scrubbed_ramps
        Ramps that this machine may scrub: swept straight up and down.

    Raises
    ------
    BadInput
        No area has floor that the deck reaches.

    **Source** ours, see docs/explanation/lanes.md.
    """
    parts = _parts(plan, floor, scrubbed_ramps)
    wanted_of = [
        as_multipolygon(shapely.intersection(floor.reachable, part.outline), SMALLEST_AREA_M2) for part in parts
    ]
    wanted = as_multipolygon(shapely.union_all(wanted_of))
    # Where a floor is in many pieces, what one lane more or less costs evens out.
    looked_at = len(parts) <= FEW_PARTS and wanted.area < LOOKS_BELOW_M2
    ranked = [
        _ranked_lanes(part, part_wanted, floor, vehicle, number, every_look=looked_at)
        for number, (part, part_wanted) in enumerate(zip(parts, wanted_of, strict=True))
    ]
    if wanted.is_empty or not any(tried[0][0] for tried in ranked):
        raise BadInput(
            "No area of floor {floor} has floor that this machine's deck reaches. Check the drawing's scale "
            "and the areas.",
            floor=plan.name,
        )
    count = min(RUNNERS_UP, len(ranked[0])) if len(parts) == 1 and wanted.area < TRIED_BELOW_M2 else 1
    return tuple(_put_together(parts, [tried[choice] for tried in ranked], wanted, vehicle) for choice in range(count))


def _put_together(
    parts: Sequence[_Part],
    chosen: Sequence[tuple[list[LaneLine], list[Strip]]],
    wanted: MultiPolygon,
    vehicle: Vehicle,
) -> LanePlan:
    kept = pruned([lane for lanes, _ in chosen for lane in lanes], wanted, vehicle.deck_width_m, GAP_M)
    twice = [replace(lane, second=True) for lane in kept if parts[lane.area].passes == 2]
    return LanePlan(
        lanes=(*kept, *twice),
        strips=tuple(strip for _, strips in chosen for strip in strips),
        wanted=wanted,
        areas=tuple(part.name for part in parts),
        coverage=measured_coverage(kept, wanted, vehicle.deck_width_m),
    )


def _ranked_lanes(
    part: _Part, wanted: MultiPolygon, floor: FreeFloor, vehicle: Vehicle, number: int, *, every_look: bool
) -> list[tuple[list[LaneLine], list[Strip]]]:
    """The lanes of one part, laid from each side and end in turn where it is small; the quickest first."""
    swept = as_multipolygon(shapely.intersection(floor.centre, part.outline))
    if wanted.is_empty or swept.is_empty:
        return [([], [])]
    frame = part.frame or wall_frame(swept)
    looks = frame.looks() if part.frame is None and every_look else (frame,)
    tried = [_lanes_seen(look, part, swept, wanted, floor, vehicle, number) for look in looks]
    if len(tried) == 1:
        return tried
    return sorted(tried, key=lambda each: _estimate_s(each[0], wanted, floor, vehicle))


def _estimate_s(lanes: Sequence[LaneLine], wanted: MultiPolygon, floor: FreeFloor, vehicle: Vehicle) -> float:
    """Time for lanes, turns and backing out, and what the floor that they leave dry is worth [s]."""
    if not lanes:
        return math.inf
    length_m = sum(lane.line.length for lane in lanes)
    dry_m2 = dry_floor(wanted, [deck_print(lane.line, vehicle.deck_width_m) for lane in lanes]).area
    missed_s = dry_floor_worth_s(dry_m2, vehicle)
    starts_s = lane_start_s(vehicle) * len(lanes)
    backing = backing_s(backing_out_m([lane.line for lane in lanes], floor.free, floor.centre, vehicle), vehicle)
    return float(length_m / vehicle.working_speed_m_per_s + starts_s + backing.sum() + missed_s)


def _lanes_seen(
    frame: Frame,
    part: _Part,
    swept: MultiPolygon,
    wanted: MultiPolygon,
    floor: FreeFloor,
    vehicle: Vehicle,
    number: int,
) -> tuple[list[LaneLine], list[Strip]]:
    one_way = part.frame is not None
    found, aisles = swept_lanes(swept, floor.centre, frame, vehicle, number=number, one_way=one_way)
    found = clear_of_walls(off_ramps(found, part.ramps), floor.free, vehicle.front_m)
    found = pruned(found, wanted, vehicle.deck_width_m, GAP_M)
    if one_way:
        # On a slope every lane goes straight up and down; nothing is driven along its foot or across it.
        return found, aisles
    found = with_edges(found, floor.centre, wanted, vehicle.deck_width_m, walls=part.walls, number=number)
    return clear_of_walls(off_ramps(found, part.ramps), floor.free, vehicle.front_m), aisles


def cut_for_tankfuls(
    lanes: Sequence[LaneLine], dose_l_per_m2: float, pitch_m: float, capacity_l: float
) -> tuple[LaneLine, ...]:
    """The lanes, long ones cut so that any order of them fits the least number of tankfuls.

    A tankful ends between two lanes, so each but the last may stay short by one lane's water. Where
    lanes are no longer than the spare water of all tankfuls shared among them, that never adds up to
    one tankful more. Where that would take very many pieces, a tankful more is risked.

    Parameters
    ----------
    lanes
        The lanes [m].
    dose_l_per_m2, pitch_m
        Solution on the floor [L/m2], over the width that each lane adds [m].
    capacity_l
        A tankful [L, > 0].

    **Source** ours, see docs/explanation/sequence.md.
    """
    litres_per_m = dose_l_per_m2 * pitch_m
    if not litres_per_m > 0:
        return tuple(lanes)
    water_l = litres_per_m * sum(lane.line.length for lane in lanes)
    trips = fewest_tankfuls(water_l, capacity_l)
    spare_l = (trips * capacity_l - water_l) / max(1, trips - 1)
    largest_l = LARGEST_LOAD_FRACTION * capacity_l
    load_l = min(largest_l, max(SMALLEST_LOAD_FRACTION * capacity_l, spare_l))
    cut = tuple(piece for lane in lanes for piece in _cut(lane, load_l / litres_per_m))
    if len(cut) <= max(MOST_PIECES, MOST_CUT * len(lanes)):
        return cut
    return tuple(piece for lane in lanes for piece in _cut(lane, largest_l / litres_per_m))


def _cut(lane: LaneLine, longest_m: float) -> list[LaneLine]:
    pieces = int(np.ceil(lane.line.length / longest_m - 1e-9))
    if pieces <= 1:
        return [lane]
    step_m = lane.line.length / pieces
    return [replace(lane, line=substring(lane.line, index * step_m, (index + 1) * step_m)) for index in range(pieces)]


def off_ramps(lanes: Sequence[LaneLine], ramps: BaseGeometry | None) -> list[LaneLine]:
    """The lanes without the stretches that lie on these ramps [m]; None where there are none.

    **Source** ours: a deck goes over a ramp along its slope and within its limit, or not at all.
    """
    if ramps is None:
        return list(lanes)
    found: list[LaneLine] = []
    for lane in lanes:
        parts = shapely.get_parts(shapely.difference(lane.line, ramps))
        found.extend(replace(lane, line=part) for part in parts if part.length >= SHORTEST_LANE_M)
    return found


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
