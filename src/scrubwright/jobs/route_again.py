"""A route over part of a floor that was planned before: what is left, or what is kept, in a new order."""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scrubwright.floor.links import Network, Service, by_drains
from scrubwright.floor.night import Night, deck_down_s, kept_dry
from scrubwright.floor.sequence import Links, Tour, best_tour, tour_of
from scrubwright.floor.sharing import part_of, shared_tours
from scrubwright.floor.site import Use
from scrubwright.floor.stages import Stages, firsts, staged, with_second_passes
from scrubwright.floor.vehicle import Vehicle
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.route_cautions import cautions_for
from scrubwright.jobs.route_legs import Told, told_route
from scrubwright.jobs.route_service import names_of, service_of, stations, tanks_of, vehicle_of
from scrubwright.jobs.shift_legs import SOCKET_REACH_M
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.sentence import Sentence

# Fewer kicks than for a whole night: what is kept lies together already.
ROUNDS_A_LANE = 6
FEWEST_ROUNDS, MOST_ROUNDS = 150, 2_500
# Orders tried out for less wet floor: the answer is wanted at once.
MOST_TRIALS = 120


def route_again(
    route: RouteAnswer,
    plate: Plate,
    kept: NDArray[np.intp],
    *,
    rng: np.random.Generator,
    machines: int = 1,
    stages: Stages | None = None,
    start: int = 1,
    used_l: float = 0.0,
) -> RouteAnswer:
    """The route over some lanes of a night that was planned before, without laying lanes anew.

    Parameters
    ----------
    route
        The route of that night, with its `night`.
    plate
        The machine as it is now; its flow may differ.
    kept
        Numbers of the lanes in the night's network, from 1, shape (k,).
    rng
        Where chance comes from.
    machines, stages
        As in `floor.night.night`.
    start, used_l
        The end that the machine comes from, 1 being the parking place, and what is gone from its tank [L].

    Raises
    ------
    NoAnswer
        The route does not know its night, or nothing is left to drive.
    """
    night = route.night
    if night is None:
        raise NoAnswer("This route was read from a file and cannot be planned on; plan the floor again.")
    if not len(kept):
        raise NoAnswer("Nothing is left to scrub; the machine can go home.")
    vehicle = vehicle_of(plate, route.overlap_m)
    service = service_of(stations(route.plan, plate), plate, vehicle, tanks_of(plate))
    dose_ratio = service.dose_l_per_m2 / max(_dose_l_per_m2(night.net, vehicle), 1e-12)
    net = replace(night.net, links=_with_water(night.net.links, dose_ratio, service.capacity_l))
    tours = _tours(night, net, vehicle, kept, machines, stages or Stages(), rng, start, used_l)
    return _told_again(route, plate, service, replace(night, net=net, tours=tours), net, start, used_l)


def route_by_sockets(route: RouteAnswer, plate: Plate, stages: Stages) -> RouteAnswer | None:
    """The route in nearly the same order of lanes with all its stops at drains that have a socket.

    None where there is no such drain, or no other.

    Parameters
    ----------
    route, plate, stages
        As in `route_again`.
    """
    night = route.night
    named = stations(route.plan, plate)
    sockets = route.plan.with_use(Use.SOCKET)
    reached = [
        number
        for number, drain in enumerate(named.drains)
        if any(math.hypot(drain.x_m - each.x_m, drain.y_m - each.y_m) <= SOCKET_REACH_M for each in sockets)
    ]
    if night is None or not reached or len(reached) == len(named.drains):
        return None
    vehicle = vehicle_of(plate, route.overlap_m)
    service = service_of(named, plate, vehicle, tanks_of(plate))
    net = by_drains(night.net, reached, service)
    stops_moved = [tour_of(tour.entries, net.links) for tour in night.tours]
    tours = kept_dry(stops_moved, net, night.lanes.areas, night.beside, vehicle, stages, trials=MOST_TRIALS)
    found = _told_again(route, plate, service, replace(night, tours=tours), net)
    # The lanes are all there, so that what is proved of them holds for this way too.
    least_s = route.lower_bound_s
    return replace(found, lower_bound_s=least_s, bound_gap_fraction=found.total_time_s / least_s - 1)


def _told_again(
    route: RouteAnswer,
    plate: Plate,
    service: Service,
    night: Night,
    net: Network,
    start: int = 1,
    used_l: float = 0.0,
) -> RouteAnswer:
    """The route over the night's tours, which are driven on this network."""
    told: list[Told] = []
    for machine, tour in enumerate(night.tours, start=1):
        told.append(
            told_route(
                tour,
                net,
                night.beside,
                vehicle_of(plate, route.overlap_m),
                service,
                tanks_of(plate),
                flow_l_per_min=plate.flow.flow_l_per_min,
                places=names_of(stations(route.plan, plate)),
                areas=night.lanes.areas,
                machine=machine,
                first_lane=1 + sum(len(each.lanes) for each in told),
                first_block=1 + sum(len(each.route.blocks) for each in told),
                start=start,
                used_l=used_l,
            )
        )
    return _answer(route, plate, night, told)


def lane_ends(route: RouteAnswer) -> dict[int, int]:
    """For the number of each lane of a route the end of the night's network at which it is entered."""
    if route.night is None:
        return {}
    entries = [int(entry) for tour in route.night.tours for entry in tour.entries]
    return {lane.number: entry for lane, entry in zip(route.lanes, entries, strict=True)}


def _dose_l_per_m2(net: Network, vehicle: Vehicle) -> float:
    """The dose that the night was planned with [L/m2]."""
    laid_l = float(net.links.loads.water_l.sum())
    first_m = math.fsum(lane.line.length for lane in net.lanes if not lane.second)
    return laid_l / (first_m * vehicle.pitch_m)


def _with_water(links: Links, ratio: float, capacity_l: float) -> Links:
    """The links with more or less water on every lane; no lane takes more than a tankful."""
    water_l = np.minimum(links.loads.water_l * ratio, capacity_l)
    return replace(links, loads=replace(links.loads, water_l=water_l, capacity_l=capacity_l))


def _tours(
    night: Night,
    net: Network,
    vehicle: Vehicle,
    kept: NDArray[np.intp],
    machines: int,
    stages: Stages,
    rng: np.random.Generator,
    start: int,
    used_l: float,
) -> tuple[Tour, ...]:
    lanes = net.lanes
    first = np.intersect1d(kept, firsts(lanes))
    links, ends = part_of(net.links, first)
    if start != 1:
        links = _starting_from(links, net.links, ends, start)
    penalty_s = night.beside.penalty_s()
    own_penalty_s = penalty_s[np.ix_(ends, ends)]
    work_s = deck_down_s(lanes, vehicle)
    rounds = min(MOST_ROUNDS, FEWEST_ROUNDS + ROUNDS_A_LANE * len(first))
    one = best_tour(links, own_penalty_s, rounds, rng)
    shared: tuple[Tour, ...] = (one,)
    if machines > 1:
        shared = shared_tours(one, links, own_penalty_s, work_s[ends[::2] >> 1], machines, rounds, rng)
    found = []
    for tour in shared:
        whole = tour_of(ends[tour.entries], net.links, start=start, used_l=used_l)
        whole = staged(whole, lanes, net.links, stages.numbers(night.lanes.areas))
        if any(lane.second for lane in lanes):
            whole = with_second_passes(whole, lanes, net.links, work_s, stages.contact_s)
        found.append(tour_of(whole.entries, net.links, start=start, used_l=used_l))
    return kept_dry(
        found,
        net,
        night.lanes.areas,
        night.beside,
        vehicle,
        stages,
        start=start,
        used_l=used_l,
        trials=MOST_TRIALS,
    )


def _starting_from(links: Links, whole: Links, ends: NDArray[np.intp], start: int) -> Links:
    """The links with the machine at another end than the parking place's."""
    link_s = links.link_s.copy()
    link_s[1, 2:] = link_s[2:, 1] = whole.link_s[start, ends[2:]]
    to_drain_s, to_tap_s = links.loads.to_drain_s.copy(), links.loads.to_tap_s.copy()
    to_drain_s[1], to_tap_s[1] = whole.loads.to_drain_s[start], whole.loads.to_tap_s[start]
    return Links(link_s=link_s, loads=replace(links.loads, to_drain_s=to_drain_s, to_tap_s=to_tap_s))


def _answer(route: RouteAnswer, plate: Plate, night: Night, told: list[Told]) -> RouteAnswer:
    routes = tuple(each.route for each in told)
    total_s = max(each.total_time_s for each in routes)
    trips = sum(len(each.stops) for each in routes)
    length_m = math.fsum(each.deck_down_length_m for each in routes)
    least_s = math.fsum(each.scrub_time_s for each in routes) / len(routes)
    return replace(
        route,
        verdict=Sentence(
            "{lanes} lanes are driven in {total_s}. Stops to empty the tank: {trips}.",
            lanes=sum(len(each.lanes) for each in told),
            total_s=total_s,
            trips=trips,
        ),
        # Blocks have new numbers, and what bites at them must move along.
        cautions=cautions_for(route.plan, plate, routes),
        lanes=tuple(lane for each in told for lane in each.lanes),
        routes=routes,
        deck_down_length_m=length_m,
        total_time_s=total_s,
        # Nothing sharper is proved for part of a night than that its lanes must be driven.
        lower_bound_s=least_s,
        bound_gap_fraction=total_s / least_s - 1,
        dump_trips=trips,
        dump_trips_bound=trips,
        night=night,
    )
