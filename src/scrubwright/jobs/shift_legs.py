"""The legs of a route as a row of loads: time, current, water, and the pauses that hold a machine back."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from scrubwright.floor.site import FloorPlan, Use
from scrubwright.jobs.route_answer import Lane, Leg, LegKind, MachineRoute, RouteAnswer
from scrubwright.jobs.shift_currents import LegDoing, leg_current_a
from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_question import MachineTonight, Rates
from scrubwright.machine.plate import Plate

KIND_OF = {
    LegKind.SCRUB: LoadKind.SCRUB,
    LegKind.DRIVE: LoadKind.DRIVE,
    LegKind.REVERSE: LoadKind.DRIVE,
    LegKind.STOP: LoadKind.SERVICE,
}
# A socket this near to a stop can be reached with the charger's lead.
SOCKET_REACH_M = 4.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegRow:
    """The legs of one machine as the shift sees them; arrays have one entry a leg, shape (n,).

    Parameters
    ----------
    legs
        Of the route.
    loads
        Their kind, time, current and water.
    first_of
        For the second pass of a double scrub the leg of its first, elsewhere None.
    area
        Name of the area that a scrub leg belongs to, else "".
    squeegee_down
        False on the first pass of a double scrub.
    socket
        Whether a stop has a socket in reach.
    """

    legs: tuple[Leg, ...]
    loads: LegLoads
    first_of: tuple[int | None, ...]
    area: tuple[str, ...]
    squeegee_down: NDArray[np.bool_]
    socket: NDArray[np.bool_]


def as_measured(plate: Plate, rates: Rates) -> Plate:
    """The plate with what this machine really does at this site in place of what its papers say."""
    slow_ratio = rates.driving.factor_ratio
    return replace(
        plate,
        speeds=replace(
            plate.speeds,
            working_m_per_s=plate.speeds.working_m_per_s / rates.scrubbing.factor_ratio,
            transport_m_per_s=plate.speeds.transport_m_per_s / slow_ratio,
            reverse_m_per_s=plate.speeds.reverse_m_per_s / slow_ratio,
            turning_m_per_s=plate.speeds.turning_m_per_s / slow_ratio,
        ),
        flows=tuple(
            # Litres go by the minute, and a lane takes its own time.
            replace(
                flow,
                flow_l_per_min=flow.flow_l_per_min * rates.water.factor_ratio / rates.scrubbing.factor_ratio,
            )
            for flow in plate.flows
        ),
        service=replace(
            plate.service,
            empty_min=plate.service.empty_min * rates.stops.factor_ratio,
            fill_l_per_min=plate.service.fill_l_per_min / rates.stops.factor_ratio,
            # The deck is lifted and lowered on the way from lane to lane.
            deck_cycle_s=plate.service.deck_cycle_s * slow_ratio,
        ),
    )


def told_once(rates: Rates) -> Rates:
    """The rates once their factors are in the plan: their scatter is left."""
    return replace(rates, **{each.name: replace(getattr(rates, each.name), factor_ratio=1.0) for each in fields(rates)})


def leg_row(
    route: MachineRoute, answer: RouteAnswer, machine: MachineTonight, pressure: str | None, pack_v: float
) -> LegRow:
    """The legs of one machine with what each takes.

    Parameters
    ----------
    route, answer
        The machine's way and the whole route.
    machine
        With its plate as measured.
    pressure
        Name of the pressure step; None takes the usual one.
    pack_v
        Usual pack voltage, for what slopes take [V].
    """
    legs = route.legs
    lane_of = {lane.number: lane for lane in answer.lanes}
    first_of, squeegee_down = _passes(legs, lane_of)
    climbs = _climbs_fraction(legs, answer.plan)
    doing = [_doing(leg, lane_of, bool(down)) for leg, down in zip(legs, squeegee_down, strict=True)]
    factor_ratio = machine.rates.current.factor_ratio
    current_a = np.array(
        [
            leg_current_a(machine.plate, each, pressure, float(climb), pack_v, _speed_m_per_s(leg)) * factor_ratio
            for each, climb, leg in zip(doing, climbs, legs, strict=True)
        ]
    )
    water_l = _water_l(legs, machine.plate)
    kind = np.array([KIND_OF[leg.kind] for leg in legs], dtype=np.int8)
    wet = [at for at, leg in enumerate(legs) if leg.kind is LegKind.SCRUB]
    loads = LegLoads(
        machine=replace(machine, rates=told_once(machine.rates)),
        kind=kind,
        duration_s=np.array([leg.duration_s for leg in legs]),
        current_a=current_a,
        water_l=water_l,
        trip=_trips(legs),
        on_ramp=climbs != 0,
        trip_capacity_l=_trip_capacity_l(machine.plate),
        extra_stop_s=_extra_stop_s(route, machine.plate),
        last_wet_leg=wet[-1] if wet else 0,
    )
    return LegRow(
        legs=legs,
        loads=loads,
        first_of=first_of,
        area=tuple("" if leg.lane is None else lane_of[leg.lane].area for leg in legs),
        squeegee_down=squeegee_down,
        socket=np.array([leg.kind is LegKind.STOP and _has_socket(leg, answer.plan) for leg in legs]),
    )


def _water_l(legs: Sequence[Leg], plate: Plate) -> NDArray[np.float64]:
    """What each leg lays [L]: by how far the tank falls; the first of all by the flow, as its start is not told."""
    first = legs[0]
    laid_l = plate.flow.flow_l_per_min * first.duration_s / 60.0 if first.kind is LegKind.SCRUB else 0.0
    fallen_l = np.maximum(-np.diff([leg.solution_l for leg in legs]), 0.0)
    return np.concatenate([[laid_l], fallen_l])


def _speed_m_per_s(leg: Leg) -> float | None:
    if len(leg.points_m) < 2 or not leg.duration_s > 0:
        return None
    length_m = float(np.linalg.norm(np.diff(leg.points_m, axis=0), axis=1).sum())
    return length_m / leg.duration_s if length_m > 0 else None


def _passes(legs: Sequence[Leg], lane_of: dict[int, Lane]) -> tuple[tuple[int | None, ...], NDArray[np.bool_]]:
    """For second passes the leg of their first; and where the squeegee is down."""
    firsts: dict[bytes, int] = {}
    first_of: list[int | None] = [None] * len(legs)
    down = np.ones(len(legs), dtype=bool)
    for at, leg in enumerate(legs):
        if leg.lane is None:
            continue
        lane = lane_of[leg.lane]
        shape = np.round(lane.points_m[np.lexsort(lane.points_m.T)], 6).tobytes()
        if lane.second:
            first = firsts[shape]
            first_of[at] = first
            down[first] = False
        else:
            firsts[shape] = at
    return tuple(first_of), down


def _doing(leg: Leg, lane_of: dict[int, Lane], squeegee_down: bool) -> LegDoing:
    if leg.kind is LegKind.STOP:
        return LegDoing.STAND
    if leg.lane is None or leg.kind is not LegKind.SCRUB:
        return LegDoing.DRIVE
    if lane_of[leg.lane].second:
        return LegDoing.SECOND_PASS
    return LegDoing.SCRUB if squeegee_down else LegDoing.FIRST_PASS


def _climbs_fraction(legs: Sequence[Leg], plan: FloorPlan) -> NDArray[np.float64]:
    """Mean slope along each leg, rise over run, below zero for downhill."""
    moves = np.array([at for at, leg in enumerate(legs) if len(leg.points_m) > 1], dtype=np.intp)
    found = np.zeros(len(legs))
    if not plan.ramps or not len(moves):
        return found
    lines = np.array([shapely.LineString(legs[at].points_m) for at in moves])
    rises_m = np.zeros(len(lines))
    for ramp in plan.ramps:
        uphill = np.array([math.cos(ramp.uphill_rad), math.sin(ramp.uphill_rad)])
        for at in np.flatnonzero(shapely.intersects(lines, ramp.outline)):
            for part in shapely.get_parts(shapely.intersection(lines[at], ramp.outline)):
                if part.length > 0:
                    points_m = shapely.get_coordinates(part)
                    rises_m[at] += ramp.slope_fraction * float((points_m[-1] - points_m[0]) @ uphill)
    lengths_m = shapely.length(lines)
    found[moves] = np.divide(rises_m, lengths_m, out=np.zeros_like(rises_m), where=lengths_m > 0)
    return found


def _trips(legs: Sequence[Leg]) -> NDArray[np.intp]:
    """Number of the tankful of each leg: a new one begins after each filling."""
    filled = np.array([False, *(b.solution_l > a.solution_l + 1e-6 for a, b in pairwise(legs))])
    return np.cumsum(filled).astype(np.intp)


def _trip_capacity_l(plate: Plate) -> float:
    tanks = plate.tanks
    return min(tanks.usable_solution_l, tanks.usable_recovery_l / max(tanks.recovered_fraction, 1e-9))


def _extra_stop_s(route: MachineRoute, plate: Plate) -> float:
    """What an unplanned dump-and-fill takes: the stop, and about the way of the planned ones."""
    capacity_l = _trip_capacity_l(plate)
    stop_s = 60.0 * (plate.service.empty_min + capacity_l / plate.service.fill_l_per_min)
    scrubbed = [leg.points_m.mean(axis=0) for leg in route.legs if leg.kind is LegKind.SCRUB]
    places = [np.array([stop.x_m, stop.y_m]) for stop in route.stops]
    if not scrubbed or not places:
        return stop_s
    away_m = np.mean([min(float(np.linalg.norm(here - place)) for place in places) for here in scrubbed])
    return stop_s + 2 * float(away_m) / plate.speeds.transport_m_per_s


def _has_socket(leg: Leg, plan: FloorPlan) -> bool:
    here = leg.points_m[0]
    return any(
        math.hypot(here[0] - point.x_m, here[1] - point.y_m) <= SOCKET_REACH_M for point in plan.with_use(Use.SOCKET)
    )
