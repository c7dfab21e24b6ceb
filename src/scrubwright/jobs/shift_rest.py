"""The rest of a shift planned anew in the middle of it: done lanes stay done."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.ops import substring

from scrubwright.floor.blocks import neighbours
from scrubwright.floor.edges import deck_print
from scrubwright.floor.free_floor import as_multipolygon
from scrubwright.floor.links import network
from scrubwright.floor.night import Night
from scrubwright.jobs.route_again import lane_ends, route_again
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.route_service import service_of, stations, tanks_of, vehicle_of
from scrubwright.jobs.shift_answer import ShiftAnswer
from scrubwright.jobs.shift_legs import as_measured
from scrubwright.jobs.shift_planned import Planned, shift_planned, stages_of
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput, NoAnswer


def rest_of_shift(
    answer: ShiftAnswer,
    done: Sequence[int],
    *,
    now: datetime,
    charge_fraction: float,
    rng: np.random.Generator,
    dry_by: datetime | None = None,
    machines: int | None = None,
    tank_fraction: float | None = None,
    blocked: Polygon | MultiPolygon | None = None,
    samples: int = 1024,
) -> Planned:
    """Plan what is left of a shift: after an aisle was blocked, a machine lost, or time ran away.

    One machine goes on from the end of the last lane it did, with what is left in its tank; where several
    work on, each starts from the parking place with full tanks.

    Parameters
    ----------
    answer
        The shift as it was planned.
    done
        Numbers of the lanes that are done, as printed, in the order in which they were done.
    now
        When it goes on.
    charge_fraction
        Charge left in each pack [0 to 1].
    rng
        Where chance comes from.
    dry_by
        When the floor must be dry; None: as before.
    machines
        How many work on; None: as many as before.
    tank_fraction
        How full the solution tank is [0 to 1]; None: as planned after the last lane done. Of several machines each
        starts with full tanks.
    blocked
        Floor that cannot be driven on tonight [m]; see `blocked_floor`.
    samples
        How many shifts are drawn.

    Raises
    ------
    BadInput
        A lane that the shift does not have, more machines than before, or a tank that is no share.
    NoAnswer
        Nothing is left, or the route does not know its night.

    Notes
    -----
    **Source** ours, see docs/explanation/the-shift.md.
    """
    route, question = answer.route, answer.question
    count = len(question.machines) if machines is None else machines
    if not 1 <= count <= len(question.machines):
        raise BadInput(
            "{given} machines are to go on; the shift began with {began}. Enter from 1 to that.",
            given=count,
            began=len(question.machines),
        )
    if tank_fraction is not None and not 0 <= tank_fraction <= 1:
        raise BadInput(
            "The solution tank is said to be {given} full; enter a share from 0 to 1, such as 0.4 for 40 %.",
            given=str(tank_fraction),
        )
    ends = lane_ends(route)
    _check_known(done, ends)
    night = route.night
    if night is None:
        raise NoAnswer("This route was read from a file and cannot be planned on; plan the floor again.")
    kept = _not_done(night, {ends[number] >> 1 for number in done}, {end >> 1 for end in ends.values()})
    machine = question.machines[0]
    plate = as_measured(machine.plate, machine.rates)
    start, used_l = _standing(answer, done, ends) if count == 1 else (1, 0.0)
    if tank_fraction is not None and count == 1:
        used_l = (1 - tank_fraction) * route.solution_tank_l
    if blocked is not None:
        kept = _clear_of(night, kept, blocked, route.deck_width_m)
        route, kept, start = _round_it(route, night, kept, start, blocked, plate)
    again = route_again(
        route,
        plate,
        kept,
        rng=rng,
        machines=count,
        stages=stages_of(question.site.floor(question.floor_name), question, answer.dry_s[1]),
        start=start,
        used_l=used_l,
    )
    rest = replace(
        question,
        start_at=now,
        dry_by=question.dry_by if dry_by is None else dry_by,
        machines=tuple(replace(each, charge_fraction=charge_fraction) for each in question.machines[:count]),
    )
    planned = shift_planned(rest, rng=rng, route=again, samples=samples)
    return replace(planned, answer=replace(planned.answer, is_rest=True))


def blocked_floor(answer: ShiftAnswer, lanes: Sequence[int], areas: Sequence[str]) -> Polygon | MultiPolygon:
    """Floor that cannot be driven on: the middle of some lanes, and all lanes and the inside of some areas.

    What blocks a lane stands in its middle for all that is known, so lanes beside it and across its ends stay open.

    Parameters
    ----------
    answer
        The shift as it was planned.
    lanes, areas
        Numbers of lanes as printed, and names of areas.

    Raises
    ------
    BadInput
        A lane or an area that the shift does not have.
    """
    route = answer.route
    _check_known(lanes, [lane.number for lane in route.lanes])
    known = {area.name: area.outline for area in route.plan.areas}
    for name in areas:
        if name not in known:
            raise BadInput(
                "{floor} has no area {name} that could be blocked; it has: {known}.",
                floor=route.floor,
                name=name,
                known=", ".join(known) or "-",
            )
    width_m = route.deck_width_m
    pieces = [known[name].buffer(-width_m) for name in areas]
    for lane in route.lanes:
        if lane.number in lanes or lane.area in areas:
            line = LineString(lane.points_m)
            margin_m = min(width_m, line.length / 4)
            pieces.append(substring(line, margin_m, line.length - margin_m).buffer(width_m / 4))
    return as_multipolygon(shapely.union_all(pieces))


def _check_known(numbers: Sequence[int], known: Collection[int]) -> None:
    unknown = [number for number in numbers if number not in known]
    if unknown:
        raise BadInput(
            "There is no lane {lane} in this shift; enter the numbers that stand on the map, up to {last}.",
            lane=unknown[0],
            last=max(known, default=0),
        )


def _not_done(night: Night, done: set[int], planned: set[int]) -> NDArray[np.intp]:
    """The lanes that are left; of a double scrub that is half done both passes, since its solution may have dried."""
    lanes = night.net.lanes
    second_of = {lane.line.wkb: number for number, lane in enumerate(lanes, 1) if lane.second}
    left = []
    for number in sorted(planned):
        lane = lanes[number - 1]
        last = number if lane.second else second_of.get(lane.line.wkb, number)
        if last not in done:
            left.append(number)
    return np.array(left, dtype=np.intp)


def _standing(answer: ShiftAnswer, done: Sequence[int], ends: dict[int, int]) -> tuple[int, float]:
    """The end at which the machine stands, and what is gone from its tank [L]: as planned after the last lane done."""
    if not done:
        return 1, 0.0
    last = done[-1]
    for route in answer.route.routes:
        for leg in route.legs:
            if leg.lane == last:
                return ends[last] ^ 1, answer.route.solution_tank_l - leg.solution_l
    return 1, 0.0


def _clear_of(
    night: Night, kept: NDArray[np.intp], blocked: Polygon | MultiPolygon, deck_width_m: float
) -> NDArray[np.intp]:
    """The lanes that keep off the blocked floor."""
    lanes = night.net.lanes
    return np.array(
        [each for each in kept if not deck_print(lanes[each - 1].line, deck_width_m).intersects(blocked)], dtype=np.intp
    )


def _reached(night: Night, kept: NDArray[np.intp], at_home: Polygon) -> NDArray[np.intp]:
    """The lanes that are not cut off from the parking place."""
    lines = [night.net.lanes[each - 1].line for each in kept]
    return kept[[line.intersection(at_home).length > line.length / 2 for line in lines]]


def _round_it(
    route: RouteAnswer, night: Night, kept: NDArray[np.intp], start: int, blocked: Polygon | MultiPolygon, plate: Plate
) -> tuple[RouteAnswer, NDArray[np.intp], int]:
    """The route with ways round the blocked floor, for what is kept alone; with the new numbers of lanes and start."""
    vehicle = vehicle_of(plate, route.overlap_m)
    named = stations(route.plan, plate)
    service = service_of(named, plate, vehicle, tanks_of(plate))
    centre = night.floor.centre.difference(blocked.buffer(vehicle.half_gauge_m))
    parts = [part for part in shapely.get_parts(centre) if part.area > 0]
    if not parts:
        raise NoAnswer("What is blocked leaves no floor to drive on; name less of it.")
    at_home = min(parts, key=lambda part: part.distance(Point(named.parking.x_m, named.parking.y_m)))
    if len(parts) > 1:
        kept = _reached(night, kept, at_home.buffer(vehicle.half_gauge_m))
    # The lane that the machine stands at stays in, for its end, and is not driven again.
    standing = [] if start == 1 else [start >> 1]
    numbers = [*standing, *(int(each) for each in kept)]
    lanes = tuple(night.net.lanes[number - 1] for number in numbers)
    net = network(lanes, night.floor.free.difference(blocked), at_home, vehicle, service)
    beside = neighbours(lanes, vehicle.pitch_m)
    first = 1 + len(standing)
    return (
        replace(route, night=replace(night, net=net, beside=beside, lanes=replace(night.lanes, lanes=lanes))),
        np.arange(first, len(lanes) + 1, dtype=np.intp),
        1 if start == 1 else 2 + (start & 1),
    )
