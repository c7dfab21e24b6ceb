"""The way of a tour: one piece, and seconds that add up."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, box

from scrubwright.floor.links import Service
from scrubwright.floor.night import Night, night
from scrubwright.floor.site import FloorPlan, ServicePoint, Use
from scrubwright.floor.way import DRIVE, EMPTY, FILL, REVERSE, SCRUB, WayLeg, way_of
from tests.rooms.plain_floors import BAY, CLOSET, floor_plan, hall_with_racks, plain_machine, plain_service, reached

VEHICLE = plain_machine()
# A hall with a dead end 1.6 m wide: the machine drives in, and backs out.
DEAD_END = floor_plan(box(0, 0, 8, 8), box(8, 3, 16, 4.6))
DRAIN = ServicePoint(name="drain", x_m=1.0, y_m=1.0, uses=frozenset({Use.DRAIN}))
TAP = ServicePoint(name="tap", x_m=15.0, y_m=1.0, uses=frozenset({Use.TAP}))


def planned(plan: FloorPlan, *, tank_l: float = 100.0) -> tuple[Night, Service]:
    service = plain_service(plan, capacity_l=tank_l)
    return night(plan, reached(plan, VEHICLE), VEHICLE, service, rng=np.random.default_rng(0)), service


def legs_of(found: Night, service: Service) -> tuple[WayLeg, ...]:
    return way_of(found.tours[0], found.net, VEHICLE, service)


def kinds(legs: tuple[WayLeg, ...]) -> list[str]:
    return [leg.kind for leg in legs]


@pytest.mark.parametrize("tank_l", [100.0, 3.0])
@pytest.mark.parametrize("plan", [hall_with_racks(), DEAD_END], ids=["racks", "dead end"])
def test_every_leg_begins_where_the_one_before_ends(plan: FloorPlan, tank_l: float) -> None:
    legs = legs_of(*planned(plan, tank_l=tank_l))
    for before, after in itertools.pairwise(legs):
        assert np.hypot(*(after.points_m[0] - before.points_m[-1])) < 0.01, (before.kind, after.kind)
    assert plan.parking is not None
    home_m = np.array([plan.parking.x_m, plan.parking.y_m])
    assert legs[0].points_m[0] == pytest.approx(home_m)
    assert legs[-1].points_m[-1] == pytest.approx(home_m)


@pytest.mark.parametrize("tank_l", [100.0, 3.0])
@pytest.mark.parametrize("plan", [hall_with_racks(), DEAD_END], ids=["racks", "dead end"])
def test_the_seconds_add_up_to_the_lanes_and_the_tours_cost(plan: FloorPlan, tank_l: float) -> None:
    found, service = planned(plan, tank_l=tank_l)
    legs = legs_of(found, service)
    assert math.fsum(leg.duration_s for leg in legs) == pytest.approx(found.work_s + found.tours[0].cost_s, abs=0.01)
    assert all(leg.duration_s >= 0 for leg in legs)
    scrub_s = math.fsum(leg.duration_s for leg in legs if leg.kind == SCRUB)
    assert scrub_s == pytest.approx(found.work_s)
    assert found.least_s <= found.work_s + found.tours[0].cost_s + 1e-6


def test_no_drive_is_faster_than_the_machine() -> None:
    for leg in legs_of(*planned(hall_with_racks())):
        if leg.kind == DRIVE:
            assert leg.duration_s >= LineString(leg.points_m).length / VEHICLE.transport_speed_m_per_s - 0.01


def test_every_lane_is_scrubbed_once_in_the_tours_order() -> None:
    found, service = planned(hall_with_racks())
    scrubs = [leg for leg in legs_of(found, service) if leg.kind == SCRUB]
    assert [leg.position for leg in scrubs] == list(range(len(found.lanes.lanes)))
    for leg, entry in zip(scrubs, found.tours[0].entries.tolist(), strict=True):
        line = found.net.lanes[(entry >> 1) - 1].line
        assert tuple(leg.points_m[0]) == line.coords[-1 if entry & 1 else 0]
        assert LineString(leg.points_m).length == pytest.approx(line.length)


def test_a_dead_end_is_left_in_reverse_with_the_deck_up_and_a_through_aisle_is_not() -> None:
    legs = legs_of(*planned(DEAD_END))
    backing = [leg for leg in legs if leg.kind == REVERSE]
    assert backing
    for leg in backing:
        metres = LineString(leg.points_m).length
        # Two changes of direction of 2.5 s and the reverse speed of 0.6 m/s; the way never is faster.
        assert leg.duration_s == pytest.approx(metres / 0.6 + 5.0)
        assert leg.position is None
    # The aisle's end at 15.5 m lies 7.5 m from the hall.
    assert max(LineString(leg.points_m).length for leg in backing) > 6
    through = floor_plan(box(0, 0, 8, 8), box(8, 3, 16, 4.6), box(16, 0, 24, 8))
    assert not [leg for leg in legs_of(*planned(through)) if leg.kind == REVERSE and leg.points_m[:, 0].max() > 9]


def test_a_tank_that_ends_goes_to_the_drain_and_then_to_the_tap() -> None:
    plan = replace(hall_with_racks(), service_points=(DRAIN, TAP))
    found, service = planned(plan, tank_l=3.0)
    legs = legs_of(found, service)
    stops = len(found.tours[0].stops)
    assert stops >= 1
    served = [leg for leg in legs if leg.kind in (EMPTY, FILL)]
    # Each stop is an emptying and a filling; the last emptying is on the way home.
    assert [leg.kind for leg in served] == [EMPTY, FILL] * stops + [EMPTY]
    assert [leg.duration_s for leg in served] == [30.0, 450.0] * stops + [30.0]
    for leg in served:
        place = DRAIN if leg.kind == EMPTY else TAP
        assert leg.points_m.tolist() == [pytest.approx([place.x_m, place.y_m])]
        assert leg.service == 0
    between = [legs[at + 1] for at, leg in enumerate(legs[:-1]) if leg.kind == EMPTY]
    assert all(leg.kind == DRIVE and LineString(leg.points_m).length >= 13.9 for leg in between[:-1])


def test_no_trip_takes_more_than_a_tankful() -> None:
    found, service = planned(hall_with_racks(), tank_l=2.0)
    litres_per_m = VEHICLE.pitch_m * service.dose_l_per_m2
    trips_l = [0.0]
    for leg in legs_of(found, service):
        if leg.kind == FILL:
            trips_l.append(0.0)
        if leg.kind == SCRUB:
            trips_l[-1] += LineString(leg.points_m).length * litres_per_m
    assert len(trips_l) >= 3
    assert max(trips_l) <= 2.0 + 1e-6


def test_the_nearer_of_two_drains_is_used() -> None:
    far = replace(CLOSET, name="far", x_m=15.0, y_m=10.0)
    plan = replace(hall_with_racks(), service_points=(far, CLOSET), parking=BAY)
    found, service = planned(plan)
    (last,) = [leg for leg in legs_of(found, service) if leg.kind == EMPTY]
    # Parked beside the closet, which is the second in the list.
    assert last.service == 1


def test_all_ways_with_one_tank_have_one_emptying() -> None:
    assert kinds(legs_of(*planned(floor_plan(box(0, 0, 8, 6))))).count(EMPTY) == 1
