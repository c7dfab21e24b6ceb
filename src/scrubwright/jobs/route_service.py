"""What a plate and a floor say about one night's work: the vehicle, its tanks, its stops, its ramps."""

from dataclasses import dataclass, fields, replace
from typing import TypeVar

from shapely import Point

from scrubwright.floor.free_floor import FreeFloor, comes_to
from scrubwright.floor.links import Service
from scrubwright.floor.site import FloorPlan, Place, Ramp, ServicePoint, Use
from scrubwright.floor.vehicle import Vehicle
from scrubwright.jobs.route_legs import Places
from scrubwright.machine.driving import driving
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.water.flow import dose_l_per_m2
from scrubwright.water.tanks import TankPair, stop_s

SECONDS_PER_HOUR = 3600.0
Somewhere = TypeVar("Somewhere", bound=Place)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stations:
    """Where the machine is parked, emptied and filled; `beyond` are drains and taps it cannot come to."""

    parking: Place
    drains: tuple[ServicePoint, ...]
    taps: tuple[ServicePoint, ...]
    beyond: tuple[ServicePoint, ...] = ()

    @property
    def places_m(self) -> tuple[tuple[float, float], ...]:
        """All of them, the parking place first [m]."""
        return tuple((each.x_m, each.y_m) for each in (self.parking, *self.drains, *self.taps))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ramps:
    """The ramps of a floor as one machine may use them."""

    closed: tuple[Ramp, ...]
    crossed: tuple[Ramp, ...]
    scrubbed: tuple[Ramp, ...]


def stations(plan: FloorPlan, plate: Plate) -> Stations:
    """The service points and the parking place of a floor.

    Raises
    ------
    BadInput
        No drain, no tap, or a parking place on too steep a ramp.
    """
    drains, taps = plan.with_use(Use.DRAIN), plan.with_use(Use.TAP)
    for found, what in ((drains, "drain"), (taps, "tap")):
        if not found:
            raise BadInput(
                "Floor {floor} has no {what}: the machine has nowhere to go when a tank ends. "
                "Add one, such as --{what} 2.5,1.0.",
                floor=plan.name,
                what=what,
            )
    parking = plan.parking or drains[0]
    for ramp in plan.ramps:
        if ramp.outline.covers(Point(parking.x_m, parking.y_m)) and ramp.slope_fraction > plate.slopes.park_fraction:
            raise BadInput(
                "The parking place {place} lies on {ramp}, which climbs {slope_fraction}; this machine may stand on "
                "up to {limit_fraction}. Park it on level floor.",
                place=parking.name,
                ramp=ramp.name,
                slope_fraction=ramp.slope_fraction,
                limit_fraction=plate.slopes.park_fraction,
            )
    return Stations(parking=parking, drains=drains, taps=taps)


def in_reach(found: Stations, floor: FreeFloor, vehicle: Vehicle) -> Stations:
    """The stations that the machine comes to from its parking place.

    Raises
    ------
    BadInput
        It comes to no drain, to no tap, or not to its parking place.
    """
    drains = _reached(found.drains, floor, vehicle)
    taps = _reached(found.taps, floor, vehicle)
    _reached((found.parking,), floor, vehicle)
    beyond = tuple(dict.fromkeys(each for each in (*found.drains, *found.taps) if each not in (*drains, *taps)))
    return replace(found, drains=drains, taps=taps, beyond=beyond)


def _reached(places: tuple[Somewhere, ...], floor: FreeFloor, vehicle: Vehicle) -> tuple[Somewhere, ...]:
    reached = tuple(each for each in places if comes_to(floor, vehicle, (each.x_m, each.y_m)))
    if not reached:
        raise BadInput(
            "This machine does not come to {name}: it needs {gauge_m} all the way from where it starts. "
            "Move the point, widen the way on the drawing, or take a narrower machine.",
            name=places[0].name,
            gauge_m=2 * vehicle.half_gauge_m,
        )
    return reached


def vehicle_of(plate: Plate, overlap_m: float | None) -> Vehicle:
    """The machine as the floor's planner knows it; an overlap [m] given here goes before the plate's."""
    figures = driving(plate)
    vehicle = Vehicle(**{each.name: getattr(figures, each.name) for each in fields(figures)})
    return vehicle if overlap_m is None else replace(vehicle, overlap_m=overlap_m)


def tanks_of(plate: Plate) -> TankPair:
    """The plate's two tanks."""
    tanks = plate.tanks
    return TankPair(
        solution_l=tanks.solution_l,
        recovery_l=tanks.recovery_l,
        usable_solution_l=tanks.usable_solution_l,
        usable_recovery_l=tanks.usable_recovery_l,
        recovered_fraction=tanks.recovered_fraction,
    )


def service_of(found: Stations, plate: Plate, vehicle: Vehicle, tanks: TankPair) -> Service:
    """What a stop costs and how far a tankful goes, for the floor's planner."""
    rate_m2_per_h = vehicle.pitch_m * vehicle.working_speed_m_per_s * SECONDS_PER_HOUR
    fill_l_per_min = plate.service.fill_l_per_min
    return Service(
        drains_m=tuple((each.x_m, each.y_m) for each in found.drains),
        taps_m=tuple((each.x_m, each.y_m) for each in found.taps),
        parking_m=(found.parking.x_m, found.parking.y_m),
        empty_s=stop_s(empty_min=plate.service.empty_min, fill_l=0.0, fill_l_per_min=fill_l_per_min),
        fill_s=stop_s(empty_min=0.0, fill_l=tanks.trip_l, fill_l_per_min=fill_l_per_min),
        capacity_l=tanks.trip_l,
        dose_l_per_m2=dose_l_per_m2(plate.flow.flow_l_per_min, rate_m2_per_h),
    )


def names_of(found: Stations) -> Places:
    """The names of drains and taps in the order of `service_of`."""
    return Places(drains=tuple(each.name for each in found.drains), taps=tuple(each.name for each in found.taps))


def ramps_for(plan: FloorPlan, plate: Plate) -> Ramps:
    """Which ramps are closed to this machine, only crossed, and scrubbed, by the plate's slope limits."""
    work, transport = plate.slopes.work_fraction, plate.slopes.transport_fraction
    return Ramps(
        closed=tuple(ramp for ramp in plan.ramps if ramp.slope_fraction > transport),
        crossed=tuple(ramp for ramp in plan.ramps if work < ramp.slope_fraction <= transport),
        scrubbed=tuple(ramp for ramp in plan.ramps if ramp.slope_fraction <= work),
    )
