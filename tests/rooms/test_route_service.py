"""What a plate and a floor say about one night: stations, vehicle, tanks, stops, ramps."""

import math
from dataclasses import replace

import pytest
from shapely import box

from benchmarks.reference_machine import reference_plate
from scrubwright.floor.site import FloorPlan, Place, Ramp, ServicePoint, Use
from scrubwright.jobs.route_service import (
    in_reach,
    names_of,
    ramps_for,
    service_of,
    stations,
    tanks_of,
    vehicle_of,
)
from scrubwright.measures.errors import BadInput
from tests.rooms.plain_floors import CLOSET, floor_plan, reached

PLATE = reference_plate()
HALL = box(0, 0, 12, 8)
DRAIN = ServicePoint(name="Pit", x_m=2.0, y_m=1.0, uses=frozenset({Use.DRAIN}))
TAP = ServicePoint(name="Tap", x_m=10.0, y_m=1.0, uses=frozenset({Use.TAP}))
SOCKET = ServicePoint(name="Socket", x_m=5.0, y_m=1.0, uses=frozenset({Use.SOCKET}))


def ramp(slope_fraction: float, name: str = "Ramp") -> Ramp:
    return Ramp(name=name, outline=box(0, 0, 4, 4), slope_fraction=slope_fraction, uphill_rad=0.0)


def hall(*points: ServicePoint, parking: Place | None = None, ramps: tuple[Ramp, ...] = ()) -> FloorPlan:
    return floor_plan(HALL, service_points=points, parking=parking, ramps=ramps)


def test_drains_and_taps_are_told_apart_and_the_night_starts_at_the_parking_place() -> None:
    park = Place(name="bay", x_m=6.0, y_m=6.0)
    found = stations(hall(DRAIN, TAP, SOCKET, CLOSET, parking=park), PLATE)
    assert found.drains == (DRAIN, CLOSET)
    assert found.taps == (TAP, CLOSET)
    assert found.places_m == ((6, 6), (2, 1), (1, 1), (10, 1), (1, 1))
    assert names_of(found).drains == ("Pit", "closet")
    assert names_of(found).taps == ("Tap", "closet")


def test_without_a_parking_place_the_night_starts_at_the_first_drain() -> None:
    assert stations(hall(TAP, DRAIN), PLATE).parking is DRAIN


@pytest.mark.parametrize(("points", "what"), [((TAP, SOCKET), "drain"), ((DRAIN, SOCKET), "tap"), ((), "drain")])
def test_a_floor_without_drain_or_tap_says_how_to_add_one(points: tuple[ServicePoint, ...], what: str) -> None:
    with pytest.raises(BadInput, match=f"Floor ground floor has no {what}: .* such as --{what} 2.5,1.0"):
        stations(hall(*points), PLATE)


@pytest.mark.parametrize(("slope_fraction", "refused"), [(0.12, False), (0.121, True)])
def test_nobody_parks_on_a_ramp_past_the_plates_limit(slope_fraction: float, refused: bool) -> None:
    plan = hall(CLOSET, parking=Place(name="bay", x_m=1.5, y_m=2.0), ramps=(ramp(slope_fraction),))
    if refused:
        with pytest.raises(BadInput, match=r"parking place bay lies on Ramp, which climbs 12\.1 %.* up to 12\.0 %"):
            stations(plan, PLATE)
    else:
        assert stations(plan, PLATE).parking.name == "bay"


def test_stations_beyond_the_machines_way_are_left_aside() -> None:
    away = replace(DRAIN, name="Yard", x_m=40.0)
    vehicle = vehicle_of(PLATE, None)
    plan = hall(away, DRAIN, TAP, parking=Place(name="bay", x_m=6, y_m=6))
    found = in_reach(stations(plan, PLATE), reached(plan, vehicle), vehicle)
    assert found.drains == (DRAIN,)
    assert found.beyond == (away,)


def test_a_station_with_both_uses_beyond_the_way_is_told_once() -> None:
    away = replace(CLOSET, name="Yard", x_m=40.0)
    vehicle = vehicle_of(PLATE, None)
    plan = hall(CLOSET, away)
    assert in_reach(stations(plan, PLATE), reached(plan, vehicle), vehicle).beyond == (away,)


@pytest.mark.parametrize("what", ["drain", "tap", "parking"])
def test_no_drain_no_tap_or_no_parking_place_in_reach_is_refused_by_name_and_width(what: str) -> None:
    vehicle = vehicle_of(PLATE, None)
    plan = hall(
        replace(DRAIN, x_m=40.0) if what == "drain" else DRAIN,
        replace(TAP, x_m=40.0) if what == "tap" else TAP,
        parking=Place(name="bay", x_m=40.0 if what == "parking" else 6.0, y_m=6.0),
    )
    floor = reached(replace(plan, parking=Place(name="bay", x_m=6.0, y_m=6.0)), vehicle)
    name = {"drain": "Pit", "tap": "Tap", "parking": "bay"}[what]
    with pytest.raises(BadInput, match=rf"does not come to {name}: it needs 1\.00 m all the way"):
        in_reach(stations(plan, PLATE), floor, vehicle)


def test_the_vehicle_has_the_plates_figures_and_the_overlap_asked_for() -> None:
    vehicle = vehicle_of(PLATE, None)
    assert (vehicle.deck_width_m, vehicle.overlap_m, vehicle.half_gauge_m) == pytest.approx((0.75, 0.05, 0.50))
    # Foremost point 1.05 m ahead of the rear axle, deck 0.55 m ahead.
    assert vehicle.front_m == pytest.approx(0.50)
    assert vehicle_of(PLATE, 0.02).overlap_m == 0.02
    assert replace(vehicle_of(PLATE, 0.02), overlap_m=0.05) == vehicle
    with pytest.raises(BadInput, match="less than the deck width"):
        vehicle_of(PLATE, 0.75)


def test_a_stop_costs_what_the_plate_says_and_a_tankful_what_the_tanks_hold() -> None:
    vehicle, tanks = vehicle_of(PLATE, None), tanks_of(PLATE)
    service = service_of(stations(hall(DRAIN, TAP), PLATE), PLATE, vehicle, tanks)
    assert service.drains_m == ((2, 1),)
    assert service.taps_m == ((10, 1),)
    assert service.parking_m == (2, 1)
    assert service.empty_s == pytest.approx(30)
    assert service.fill_s == pytest.approx(450)
    assert service.capacity_l == pytest.approx(100)
    assert service.dose_l_per_m2 == pytest.approx(0.045)


def test_the_smaller_tank_sets_the_trip_and_its_filling() -> None:
    tanks = replace(PLATE.tanks, recovery_l=72.0, recovered_fraction=0.9)
    plate = replace(PLATE, tanks=tanks)
    pair = tanks_of(plate)
    # 72 L of which all can be used, 90 % of the solution comes back: 80 L of solution a trip.
    assert pair.trip_l == pytest.approx(80)
    assert pair.recovery_ends_it
    service = service_of(stations(hall(CLOSET), plate), plate, vehicle_of(plate, None), pair)
    assert service.capacity_l == pytest.approx(80)
    assert service.fill_s == pytest.approx(80 / (100 / 450))


def test_ramps_are_scrubbed_crossed_or_closed_by_the_plates_limits() -> None:
    ramps = tuple(ramp(slope, name=f"{slope}") for slope in (0.02, 0.06, 0.061, 0.12, 0.121))
    found = ramps_for(hall(CLOSET, ramps=ramps), PLATE)
    assert [each.name for each in found.scrubbed] == ["0.02", "0.06"]
    assert [each.name for each in found.crossed] == ["0.061", "0.12"]
    assert [each.name for each in found.closed] == ["0.121"]
    assert math.isclose(PLATE.slopes.work_fraction, 0.06)
