"""What the night leaves: dry floor, floor out of reach, and floor that stays wet."""

import math

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon

from scrubwright.floor.edges import LEAST_PATCH_M2
from scrubwright.floor.free_floor import FreeFloor
from scrubwright.floor.lane_plan import LanePlan
from scrubwright.floor.place_names import name_at
from scrubwright.floor.site import FloorPlan, Ramp
from scrubwright.jobs.route_answer import LeftOut
from scrubwright.machine.plate import Plate
from scrubwright.machine.squeegee import Turning, inner_cover_m, outer_cover_m
from scrubwright.measures.sentence import Sentence

SMALLEST_MISSED_M2 = 0.05
LEAST_WET_M2 = 0.05
SLIM_M = 0.25
BESIDE_M = 1.5


def missed_floor(plan: FloorPlan, lanes: LanePlan, front_m: float) -> tuple[LeftOut, ...]:
    """Floor within reach that no lane covers, largest first, with why and beside what it lies.

    Parameters
    ----------
    plan, lanes
        The floor and what was planned on it.
    front_m
        From the deck's centre to the machine's foremost point [m].
    """
    pieces = sorted(lanes.coverage.dry.geoms, key=lambda piece: -piece.area)
    return tuple(_missed(plan, piece, front_m) for piece in pieces if piece.area >= SMALLEST_MISSED_M2)


def _missed(plan: FloorPlan, piece: Polygon, front_m: float) -> LeftOut:
    wide_m = 2 * shapely.maximum_inscribed_circle(piece, tolerance=0.02).length
    near = min(plan.obstacles, key=lambda each: each.outline.distance(piece), default=None)
    beside = near is not None and near.outline.distance(piece) < BESIDE_M
    if near is not None and beside:
        where = Sentence("beside {obstacle}", obstacle=near.name)
    elif plan.outline.boundary.distance(piece) < max(BESIDE_M, front_m):
        where = Sentence("along a wall")
    else:
        where = Sentence("between lanes")
    if wide_m < SLIM_M:
        reason = Sentence(
            "A strip {wide_m} wide {where}: not worth a pass, mop it by hand.", wide_m=wide_m, where=where
        )
    elif piece.area < LEAST_PATCH_M2:
        reason = Sentence("A spot {where}: too small for a pass of its own, mop it by hand.", where=where)
    else:
        reason = Sentence("The deck does not get there {where}: do it by hand.", where=where)
    return _left_out(plan, MultiPolygon([piece]), reason)


def _left_out(plan: FloorPlan, shape: MultiPolygon, reason: Sentence, name: str | None = None) -> LeftOut:
    at = max(shape.geoms, key=lambda part: part.area).representative_point()
    return LeftOut(name=name or name_at(plan, at), area_m2=shape.area, x_m=at.x, y_m=at.y, reason=reason, outline=shape)


def unreachable_floor(
    plan: FloorPlan, floor: FreeFloor, plate: Plate, crossed: tuple[Ramp, ...], closed: tuple[Ramp, ...]
) -> tuple[LeftOut, ...]:
    """Floor that this machine cannot come to or may not scrub, with why.

    Parameters
    ----------
    plan, floor, plate
        The floor, what of it is free, and the machine.
    crossed, closed
        Ramps too steep to be scrubbed, and too steep to be driven.
    """
    found = [_left_out(plan, each.outline, each.reason, each.name) for each in floor.unreached]
    for ramp in crossed:
        reason = Sentence(
            "The ramp climbs {slope_fraction}; this machine may scrub up to {limit_fraction}.",
            slope_fraction=ramp.slope_fraction,
            limit_fraction=plate.slopes.work_fraction,
        )
        found.append(_left_out(plan, MultiPolygon([ramp.outline]), reason, ramp.name))
    for ramp in closed:
        reason = Sentence(
            "The ramp climbs {slope_fraction}; this machine may drive up to {limit_fraction}.",
            slope_fraction=ramp.slope_fraction,
            limit_fraction=plate.slopes.transport_fraction,
        )
        found.append(_left_out(plan, MultiPolygon([ramp.outline]), reason, ramp.name))
    return tuple(sorted(found, key=lambda each: -each.area_m2))


def wet_floor(plan: FloorPlan, lanes: LanePlan, plate: Plate) -> tuple[LeftOut, ...]:
    """Trails that the squeegee misses in bends driven with the deck down.

    A bend of a lane is taken on the widest arc that its straight sides allow. Below the plate's
    scrubbing radius the squeegee leaves a strip on one side; strip times arc is what stays wet.

    Notes
    -----
    **Source** ours, on the cover of the squeegee in a turn (docs/explanation/squeegee-cover.md).
    """
    found = []
    for lane in lanes.lanes:
        points_m = shapely.get_coordinates(lane.line)
        if len(points_m) < 3:
            continue
        wet_m2, radius_m, at_m = _wettest(points_m, plate)
        if wet_m2 >= LEAST_WET_M2:
            reason = Sentence(
                "The bend is {radius_m} round; the squeegee follows from {least_m}. Turn wider or wipe it by hand.",
                radius_m=radius_m,
                least_m=plate.scrubbing_radius_m,
            )
            shape = Point(at_m).buffer(math.sqrt(wet_m2 / math.pi), quad_segs=4)
            found.append(_left_out(plan, MultiPolygon([shape]), reason))
    return tuple(found)


def _wettest(points_m: np.ndarray, plate: Plate) -> tuple[float, float, np.ndarray]:
    """Wet floor of all bends of a lane [m2], and radius [m] and place of the tightest."""
    ahead_m = np.diff(points_m, axis=0)
    length_m = np.hypot(ahead_m[:, 0], ahead_m[:, 1])
    bearing_rad = np.arctan2(ahead_m[:, 1], ahead_m[:, 0])
    bend_rad = (np.diff(bearing_rad) + math.pi) % (2 * math.pi) - math.pi
    tangent_m = np.minimum(length_m[1:], length_m[:-1]) / 2
    radius_m = tangent_m / np.maximum(np.tan(np.abs(bend_rad) / 2), 1e-9)
    wet_m2 = 0.0
    for index in np.flatnonzero(radius_m < plate.scrubbing_radius_m):
        driven_m = max(float(radius_m[index]), plate.turning_radius_m)
        turning = Turning.LEFT if bend_rad[index] > 0 else Turning.RIGHT
        inner_m = inner_cover_m(plate.deck, plate.squeegee, driven_m, turning)
        outer_m = outer_cover_m(plate.deck, plate.squeegee, driven_m, turning)
        wet_m2 += (max(0.0, -inner_m) + max(0.0, -outer_m)) * driven_m * abs(float(bend_rad[index]))
    tightest = int(np.argmin(radius_m))
    return wet_m2, float(radius_m[tightest]), points_m[tightest + 1]
