"""The night on one floor: by which way, in what time, with how many dump stops, and what is left."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from scrubwright.floor.free_floor import free_floor
from scrubwright.floor.links import Service
from scrubwright.floor.night import Night, night
from scrubwright.floor.site import Area, Edges, FloorPlan, ServicePoint, Site
from scrubwright.floor.stages import Stages
from scrubwright.floor.vehicle import Vehicle
from scrubwright.jobs.route_answer import LeftOut, MachineRoute, RouteAnswer
from scrubwright.jobs.route_cautions import cautions_for
from scrubwright.jobs.route_left_out import missed_floor, unreachable_floor, wet_floor
from scrubwright.jobs.route_legs import Places, Told, told_route
from scrubwright.jobs.route_service import (
    in_reach,
    names_of,
    ramps_for,
    service_of,
    stations,
    tanks_of,
    vehicle_of,
)
from scrubwright.jobs.route_why import why_lines
from scrubwright.machine.main_figures import main_figures
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.tankfuls import fewest_tankfuls
from scrubwright.water.tanks import TankPair


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteSettings:
    """What a person may choose for one night.

    Parameters
    ----------
    overlap_m
        Overlap of lanes [m]; None takes the plate's.
    flow
        Name of the flow setting; None takes the plate's default.
    leave_out
        Areas that are not cleaned tonight.
    edges
        False leaves passes along walls and racks out tonight.
    stages
        Which areas come before which, and how long solution acts in a double scrub.
    """

    overlap_m: float | None = None
    flow: str | None = None
    leave_out: tuple[str, ...] = ()
    edges: bool = True
    stages: Stages = field(default_factory=Stages)


def route_plan(
    site: Site,
    plate: Plate,
    *,
    rng: np.random.Generator,
    floor_name: str | None = None,
    machines: int = 1,
    settings: RouteSettings | None = None,
    progress: Callable[[float], None] | None = None,
    clock: Callable[[], float] | None = None,
) -> RouteAnswer:
    """Plan the night on one floor for one kind of machine.

    Parameters
    ----------
    site, plate
        The building and the machine.
    rng
        Where chance comes from; the same generator gives the same plan.
    floor_name
        Which floor; None where the site has one.
    machines
        How many of these machines work at once [>= 1].
    settings
        What the person chose.
    progress
        Called now and then with the share done, 0 to 1.
    clock
        Gives seconds, to measure the planning time; None leaves that at zero.

    Raises
    ------
    BadInput
        No drain or tap, no way for a machine of this width, a parking place on too steep a ramp, an
        unknown floor or flow.
    NoAnswer
        A stage of the planner failed.

    Notes
    -----
    **Source** ours, see docs/explanation/free-floor.md and its neighbours.
    """
    begun_s = clock() if clock else 0.0
    settings = settings or RouteSettings()
    if machines < 1:
        raise BadInput("{given} machines cannot drive; enter 1 or more.", given=machines)
    plan = tonights_floor(site.floor(floor_name), settings)
    plate = plate if settings.flow is None else replace(plate, default_flow=settings.flow)
    vehicle = vehicle_of(plate, settings.overlap_m)
    tanks = tanks_of(plate)
    ramps = ramps_for(plan, plate)
    named = stations(plan, plate)
    floor = free_floor(plan, vehicle, named.places_m, ramps.closed)
    named = in_reach(named, floor, vehicle)
    service = service_of(named, plate, vehicle, tanks)
    planned = night(
        plan,
        floor,
        vehicle,
        service,
        scrubbed_ramps=ramps.scrubbed,
        machines=machines,
        stages=settings.stages,
        rng=rng,
        progress=progress,
    )
    told = _told(planned, vehicle, service, tanks, plate, names_of(named))
    left = (
        missed_floor(plan, planned.lanes, vehicle.front_m),
        unreachable_floor(plan, planned.floor, plate, ramps.crossed, ramps.closed),
    )
    answer = _answer(site, plan, plate, vehicle, tanks, planned, told, left, named.beyond)
    return replace(answer, planning_time_s=clock() - begun_s) if clock else answer


def tonights_floor(plan: FloorPlan, settings: RouteSettings) -> FloorPlan:
    """The floor less the areas that are left out, and without wall passes where those are.

    Raises
    ------
    BadInput
        An area that the floor does not have, or nothing left to clean.
    """
    names = [area.name for area in plan.areas]
    unknown = [name for name in settings.leave_out if name not in names]
    if unknown:
        raise BadInput(
            "{floor} has no area {name} to leave out; it has: {known}.",
            floor=plan.name,
            name=unknown[0],
            known=", ".join(names) or "-",
        )
    kept = tuple(area for area in plan.areas if area.name not in settings.leave_out)
    if settings.leave_out and not kept:
        raise BadInput("Every area of {floor} is left out; leave at least one in.", floor=plan.name)
    if not settings.edges:
        kept = tuple(replace(area, edges=Edges.SKIP) for area in kept) or (_whole(plan),)
    return replace(plan, areas=kept)


def _whole(plan: FloorPlan) -> Area:
    """The floor as one area whose walls get no passes of their own."""
    outline = shapely.convex_hull(plan.outline)
    return Area(name=plan.name, outline=outline, edges=Edges.SKIP)


def _told(
    planned: Night, vehicle: Vehicle, service: Service, tanks: TankPair, plate: Plate, places: Places
) -> tuple[Told, ...]:
    told: list[Told] = []
    for machine, tour in enumerate(planned.tours, start=1):
        told.append(
            told_route(
                tour,
                planned.net,
                planned.beside,
                vehicle,
                service,
                tanks,
                flow_l_per_min=plate.flow.flow_l_per_min,
                places=places,
                areas=planned.lanes.areas,
                machine=machine,
                first_lane=1 + sum(len(each.lanes) for each in told),
                first_block=1 + sum(len(each.route.blocks) for each in told),
            )
        )
    return tuple(told)


def _answer(
    site: Site,
    plan: FloorPlan,
    plate: Plate,
    vehicle: Vehicle,
    tanks: TankPair,
    planned: Night,
    told: Sequence[Told],
    left: tuple[tuple[LeftOut, ...], tuple[LeftOut, ...]],
    beyond: Sequence[ServicePoint],
) -> RouteAnswer:
    routes = tuple(each.route for each in told)
    coverage, wanted = planned.lanes.coverage, planned.lanes.wanted
    length_m = math.fsum(route.deck_down_length_m for route in routes)
    total_s = max(route.total_time_s for route in routes)
    trips = sum(len(route.stops) for route in routes)
    least_trips = max(len(routes), fewest_tankfuls(math.fsum(route.water_used_l for route in routes), tanks.trip_l))
    missed, unreachable = left
    strip_m2 = _hand_strip_m2(planned)
    return RouteAnswer(
        site=site.name,
        floor=plan.name,
        plan=plan,
        machine=plate.name,
        verdict=_verdict(routes, coverage.coverage_fraction, total_s, trips),
        why=why_lines(planned, vehicle, tanks, routes, unreachable, beyond, hand_strip_m2=strip_m2),
        cautions=cautions_for(plan, plate, routes),
        free=planned.floor.free,
        reachable=wanted,
        covered=coverage.covered,
        lanes=tuple(lane for each in told for lane in each.lanes),
        routes=routes,
        missed=missed,
        unreachable=unreachable,
        stays_wet=wet_floor(plan, planned.lanes, plate),
        deck_width_m=vehicle.deck_width_m,
        overlap_m=vehicle.overlap_m,
        solution_tank_l=tanks.solution_l,
        recovery_tank_l=tanks.recovery_l,
        floor_area_m2=planned.floor.free.area,
        reachable_area_m2=wanted.area,
        out_of_reach_m2=math.fsum(each.area_m2 for each in unreachable),
        hand_strip_m2=strip_m2,
        coverage_fraction=coverage.coverage_fraction,
        raster_coverage_fraction=coverage.raster_coverage_fraction,
        overlap_fraction=coverage.overlap_fraction,
        deck_down_length_m=length_m,
        length_bound_ratio=length_m / (wanted.area / vehicle.pitch_m),
        total_time_s=total_s,
        lower_bound_s=planned.least_s,
        bound_gap_fraction=total_s / planned.least_s - 1,
        dump_trips=trips,
        dump_trips_bound=least_trips,
        planning_time_s=0.0,
        provenance=_provenance(plate, vehicle, planned, total_s),
        night=planned,
    )


def _verdict(routes: Sequence[MachineRoute], coverage_fraction: float, total_s: float, trips: int) -> Sentence:
    if len(routes) == 1:
        return Sentence(
            "This machine scrubs {coverage_fraction} of the floor within its reach in {total_s}. "
            "Stops to empty the tank: {trips}.",
            coverage_fraction=coverage_fraction,
            total_s=total_s,
            trips=trips,
        )
    return Sentence(
        "{machines} machines scrub {coverage_fraction} of the floor within their reach in {total_s}. "
        "Stops to empty a tank: {trips}.",
        machines=len(routes),
        coverage_fraction=coverage_fraction,
        total_s=total_s,
        trips=trips,
    )


def _hand_strip_m2(planned: Night) -> float:
    """Open floor where the machine comes and the deck does not: the strip along walls and racks [m2]."""
    floor = planned.floor
    unreached_m2 = math.fsum(each.outline.area for each in floor.unreached)
    return float(max(0.0, floor.free.area - floor.reachable.area - unreached_m2))


def _provenance(plate: Plate, vehicle: Vehicle, planned: Night, total_s: float) -> tuple[Sourced, ...]:
    figures = [each for each in main_figures(plate) if each.name != "overlap_m"]
    chosen = vehicle.overlap_m != plate.deck.overlap_m
    overlap_origin = Origin.ESTIMATE if chosen else plate.origin("deck.overlap_m")
    overlap = Sentence("Overlap of lanes, chosen for this plan") if chosen else Sentence("Overlap of lanes")
    worked_out = (
        ("overlap_m", vehicle.overlap_m, overlap_origin, overlap),
        ("total_time_s", total_s, Origin.ESTIMATE, Sentence("Planned from the figures of the plate and the drawing")),
        (
            "lower_bound_s",
            planned.least_s,
            Origin.ESTIMATE,
            Sentence("Proved for these lanes: no order of them takes less"),
        ),
        ("reachable_area_m2", planned.lanes.wanted.area, Origin.ESTIMATE, Sentence("Measured on the drawing")),
        (
            "coverage_fraction",
            planned.lanes.coverage.coverage_fraction,
            Origin.ESTIMATE,
            Sentence("Measured on the drawing"),
        ),
    )
    return (
        *figures,
        *(Sourced(name=name, value=value, origin=origin, detail=detail) for name, value, origin, detail in worked_out),
    )
