"""A tour as a machine's way through the night: legs with tank levels, blocks, stops."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrubwright.floor import blocks as runs
from scrubwright.floor import way
from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.links import Network, Service
from scrubwright.floor.sequence import Tour
from scrubwright.floor.vehicle import Vehicle
from scrubwright.jobs.route_answer import Block, Lane, LaneKind, Leg, LegKind, MachineRoute, Pattern, Stop
from scrubwright.water.tanks import TankPair, TankRun, tank_run, used_l

KINDS = {way.SCRUB: LegKind.SCRUB, way.DRIVE: LegKind.DRIVE, way.REVERSE: LegKind.REVERSE}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Told:
    """One machine's route, and its lanes under the numbers printed on the plan."""

    route: MachineRoute
    lanes: tuple[Lane, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Places:
    """Names of the drains and taps, in the order in which `Service` has their places."""

    drains: tuple[str, ...]
    taps: tuple[str, ...]


def told_route(
    tour: Tour,
    net: Network,
    beside: runs.Neighbours,
    vehicle: Vehicle,
    service: Service,
    tanks: TankPair,
    *,
    flow_l_per_min: float,
    places: Places,
    areas: tuple[str, ...],
    machine: int,
    first_lane: int,
    first_block: int,
    start: int = 1,
    used_l: float = 0.0,
) -> Told:
    """The way of one machine with its clock, tanks, blocks and stops.

    Parameters
    ----------
    tour, net, beside, vehicle, service
        From the floor's planner.
    tanks, flow_l_per_min
        What the machine carries and lays down [L/min].
    places, areas
        Names of service points, and of areas by number.
    machine, first_lane, first_block
        Number of the machine, and of its first lane and block.
    start, used_l
        The end that it comes from, 1 being the parking place, and what is gone from its tank already [L].
    """
    legs = way.way_of(tour, net, vehicle, service, start)
    start_s = np.concatenate([[0.0], np.cumsum([leg.duration_s for leg in legs])])
    lanes = [net.lanes[(int(entry) >> 1) - 1] for entry in tour.entries]
    run = _tanks_along(legs, lanes, tanks, flow_l_per_min, used_l)
    found_runs = runs.runs(tour.entries, tour.stops, beside)
    block_of = [
        number for number, each in enumerate(found_runs, start=first_block) for _ in range(each.first, each.last + 1)
    ]
    told_legs = _legs(legs, start_s, run, block_of, first_lane)
    scrubs = [leg for leg in told_legs if leg.kind is LegKind.SCRUB]
    told_lanes = tuple(
        Lane(
            number=first_lane + position,
            area=areas[lane.area],
            kind=LaneKind(lane.kind),
            points_m=scrubs[position].points_m,
            length_m=lane.line.length,
            machine=machine,
            block=block_of[position],
            second=lane.second,
        )
        for position, lane in enumerate(lanes)
    )
    blocks = tuple(
        _block(first_block + index, each, scrubs[each.first : each.last + 1], told_lanes[each.first : each.last + 1])
        for index, each in enumerate(found_runs)
    )
    route = MachineRoute(
        machine=machine,
        legs=tuple(told_legs),
        blocks=blocks,
        stops=_stops(legs, start_s, run, places),
        scrub_time_s=_time_s(told_legs, LegKind.SCRUB),
        drive_time_s=_time_s(told_legs, LegKind.DRIVE) + _time_s(told_legs, LegKind.REVERSE),
        stop_time_s=_time_s(told_legs, LegKind.STOP),
        deck_down_length_m=math.fsum(lane.length_m for lane in told_lanes),
        drive_length_m=math.fsum(
            _length_m(leg.points_m) for leg in told_legs if leg.kind in (LegKind.DRIVE, LegKind.REVERSE)
        ),
        water_used_l=float(run.used_l.sum()),
    )
    return Told(route=route, lanes=told_lanes)


def _time_s(legs: list[Leg], kind: LegKind) -> float:
    return math.fsum(leg.duration_s for leg in legs if leg.kind is kind)


def _length_m(points_m: NDArray[np.float64]) -> float:
    return float(shapely.LineString(points_m).length) if len(points_m) > 1 else 0.0


def _tanks_along(
    legs: tuple[way.WayLeg, ...], lanes: list[LaneLine], tanks: TankPair, flow_l_per_min: float, gone_l: float
) -> TankRun:
    deck_down_s = np.array([leg.duration_s if leg.kind == way.SCRUB else 0.0 for leg in legs])
    second = np.array([leg.position is not None and lanes[leg.position].second for leg in legs])
    # The first pass of a double scrub leaves its solution to act; the second takes it up.
    doubles = {lane.line.wkb for lane in lanes if lane.second}
    first = np.array(
        [
            leg.position is not None and not lanes[leg.position].second and lanes[leg.position].line.wkb in doubles
            for leg in legs
        ]
    )
    laid_l = used_l(flow_l_per_min, deck_down_s)
    return tank_run(
        tanks,
        np.where(second, 0.0, laid_l),
        fills=np.array([leg.kind == way.FILL for leg in legs]),
        dumps=np.array([leg.kind == way.EMPTY for leg in legs]),
        comes_back_l=np.where(first, 0.0, tanks.recovered_fraction * laid_l),
        start_solution_l=tanks.solution_l - gone_l,
    )


def _legs(
    legs: tuple[way.WayLeg, ...], start_s: NDArray[np.float64], run: TankRun, block_of: list[int], first_lane: int
) -> list[Leg]:
    found = []
    stop = 0
    for index, leg in enumerate(legs):
        # A stop is an emptying, with the filling that follows it.
        stop += leg.kind == way.EMPTY
        serving = leg.kind in (way.EMPTY, way.FILL)
        found.append(
            Leg(
                kind=KINDS.get(leg.kind, LegKind.STOP),
                points_m=leg.points_m,
                start_s=float(start_s[index]),
                duration_s=leg.duration_s,
                solution_l=float(run.solution_l[index]),
                recovered_l=float(run.recovered_l[index]),
                lane=None if leg.position is None else first_lane + leg.position,
                block=None if leg.position is None else block_of[leg.position],
                stop=stop if serving else None,
            )
        )
    return found


def _block(number: int, run: runs.Run, legs: list[Leg], lanes: tuple[Lane, ...]) -> Block:
    entry_m, exit_m = legs[0].points_m[0], legs[-1].points_m[-1]
    return Block(
        number=number,
        area=lanes[0].area,
        kind=lanes[0].kind,
        pattern=Pattern(run.pattern),
        lanes=tuple(lane.number for lane in lanes),
        entry_m=(float(entry_m[0]), float(entry_m[1])),
        exit_m=(float(exit_m[0]), float(exit_m[1])),
        start_s=legs[0].start_s,
        end_s=legs[-1].start_s + legs[-1].duration_s,
        deck_down_length_m=math.fsum(lane.length_m for lane in lanes),
    )


def _stops(
    legs: tuple[way.WayLeg, ...], start_s: NDArray[np.float64], run: TankRun, places: Places
) -> tuple[Stop, ...]:
    found = []
    empties = [index for index, leg in enumerate(legs) if leg.kind == way.EMPTY]
    for number, index in enumerate(empties, start=1):
        leg = legs[index]
        until = empties[number] if number < len(empties) else len(legs)
        fill = next((later for later in range(index, until) if legs[later].kind == way.FILL), None)
        end = index if fill is None else fill
        found.append(
            Stop(
                number=number,
                drain=places.drains[leg.service or 0],
                tap=None if fill is None else places.taps[legs[fill].service or 0],
                x_m=float(leg.points_m[0, 0]),
                y_m=float(leg.points_m[0, 1]),
                arrive_s=float(start_s[index]),
                duration_s=float(start_s[end + 1] - start_s[index]),
                dumped_l=float(run.dumped_l[index]),
                filled_l=0.0 if fill is None else float(run.filled_l[fill]),
            )
        )
    return tuple(found)
