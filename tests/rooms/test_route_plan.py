"""The night from end to end on floors of two rooms."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from benchmarks.reference_machine import reference_plate
from scrubwright.floor.site import Area, FloorPlan, Place, Ramp, ServicePoint, Site, Use
from scrubwright.jobs.route_answer import LegKind, Pattern, RouteAnswer
from scrubwright.jobs.route_plan import RouteSettings, route_plan
from scrubwright.machine.parts import FlowSetting
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from tests.rooms.plain_floors import CLOSET, floor_plan

PLATE = reference_plate(tank_l=20.0)
SALES, STORE = box(0, 0, 14, 9), box(14.2, 0, 20, 9)
AREAS = (Area(name="Sales", outline=SALES), Area(name="Store", outline=STORE))
RACKS = (box(3, 3, 11, 4), box(3, 6, 11, 7))


def two_rooms(door_m: float, *, areas: tuple[Area, ...] = AREAS, drain: ServicePoint = CLOSET) -> FloorPlan:
    door = box(13.9, 4, 14.3, 4 + door_m)
    return floor_plan(SALES, STORE, door, racks=RACKS, areas=areas, service_points=(drain,))


def sloping(slope_fraction: float) -> FloorPlan:
    """Two halls with a ramp of that slope between."""
    ramp = Ramp(name="Ramp", outline=box(10, 2, 14, 6), slope_fraction=slope_fraction, uphill_rad=0.0)
    return floor_plan(box(0, 0, 10, 8), box(14, 0, 22, 8), ramp.outline, ramps=(ramp,))


def answered(
    plan: FloorPlan, plate: Plate = PLATE, *, machines: int = 1, settings: RouteSettings | None = None, seed: int = 0
) -> RouteAnswer:
    site = Site(name="Market", floors=(plan,))
    return route_plan(site, plate, rng=np.random.default_rng(seed), machines=machines, settings=settings)


@pytest.fixture(scope="module")
def answer() -> RouteAnswer:
    return answered(two_rooms(1.2))


def test_both_rooms_are_scrubbed_and_what_is_told_agrees_with_itself(answer: RouteAnswer) -> None:
    assert (answer.site, answer.floor, answer.machine) == ("Market", "ground floor", PLATE.name)
    assert {lane.area for lane in answer.lanes} == {"Sales", "Store"}
    assert answer.coverage_fraction > 0.98
    assert answer.raster_coverage_fraction == pytest.approx(answer.coverage_fraction, abs=0.002)
    assert answer.unreachable == ()
    (route,) = answer.routes
    assert answer.total_time_s == pytest.approx(route.total_time_s)
    assert answer.deck_down_length_m == pytest.approx(sum(lane.length_m for lane in answer.lanes))
    ideal_m = answer.reachable_area_m2 / (0.75 - 0.05)
    assert answer.length_bound_ratio == pytest.approx(answer.deck_down_length_m / ideal_m)
    assert answer.bound_gap_fraction == pytest.approx(answer.total_time_s / answer.lower_bound_s - 1)
    assert 0 <= answer.bound_gap_fraction < 0.15
    assert answer.dump_trips == len(route.stops) >= answer.dump_trips_bound
    assert dict(answer.verdict.values)["total_s"] == answer.total_time_s


def test_floor_is_accounted_for_to_the_last_square_metre(answer: RouteAnswer) -> None:
    free_m2 = 14 * 9 + 5.8 * 9 + 0.2 * 1.2 - 2 * 8
    assert answer.floor_area_m2 == pytest.approx(free_m2, abs=0.1)
    assert answer.out_of_reach_m2 == 0
    # In the doorway lies floor of no area.
    rest_m2 = answer.floor_area_m2 - answer.reachable_area_m2 - answer.hand_strip_m2
    assert rest_m2 == pytest.approx(0.2 * 1.2, abs=0.15)
    missed_m2 = sum(each.area_m2 for each in answer.missed)
    assert missed_m2 <= answer.reachable_area_m2 * (1 - answer.coverage_fraction) + 1e-6


def test_the_way_is_one_piece_from_the_parking_place_and_back(answer: RouteAnswer) -> None:
    legs = answer.routes[0].legs
    for before, after in itertools.pairwise(legs):
        assert np.hypot(*(after.points_m[0] - before.points_m[-1])) < 0.02
    assert legs[0].points_m[0] == pytest.approx([1.5, 2.0])
    assert legs[-1].points_m[-1] == pytest.approx([1.5, 2.0])
    room = answer.free.buffer(0.05 - 0.5)
    assert all(room.covers(shapely.LineString(leg.points_m)) for leg in legs if len(leg.points_m) > 1)


def test_the_same_generator_gives_the_same_night(answer: RouteAnswer) -> None:
    again = answered(two_rooms(1.2))
    assert [lane.points_m.tolist() for lane in again.lanes] == [lane.points_m.tolist() for lane in answer.lanes]
    assert again.total_time_s == answer.total_time_s


def test_blocks_are_fewer_than_lanes_and_hold_them_all(answer: RouteAnswer) -> None:
    blocks = answer.routes[0].blocks
    assert len(blocks) < 0.7 * len(answer.lanes)
    assert sorted(number for block in blocks for number in block.lanes) == list(range(1, len(answer.lanes) + 1))
    assert all((block.pattern is Pattern.SINGLE) == (len(block.lanes) == 1) for block in blocks)


def test_a_room_behind_too_narrow_a_door_is_left_and_told() -> None:
    found = answered(two_rooms(0.7))
    assert {lane.area for lane in found.lanes} == {"Sales"}
    (left,) = found.unreachable
    assert left.name == "Store"
    assert left.area_m2 == pytest.approx(5.8 * 9, rel=0.02)
    assert found.out_of_reach_m2 == left.area_m2
    assert any("out of reach, most of it at Store" in str(line) for line in found.why)


def test_a_drain_behind_too_narrow_a_door_is_refused_by_name_and_width() -> None:
    closet = replace(CLOSET, name="Closet", x_m=17.0, y_m=4.5)
    with pytest.raises(BadInput, match=r"does not come to Closet: it needs 1\.00 m all the way"):
        answered(two_rooms(0.7, drain=closet))


def test_a_second_drain_that_is_out_of_reach_is_said_and_not_used() -> None:
    spare = replace(CLOSET, name="Spare", x_m=17.0, y_m=4.5)
    found = answered(replace(two_rooms(0.7), service_points=(CLOSET, spare)))
    assert any(str(line) == "This machine does not come to Spare, so it is not used." for line in found.why)
    assert {stop.drain for stop in found.routes[0].stops} == {"closet"}


def test_nobody_parks_on_a_steep_ramp() -> None:
    plan = replace(sloping(0.13), parking=Place(name="Slope", x_m=12.0, y_m=4.0))
    with pytest.raises(BadInput, match="The parking place Slope lies on Ramp"):
        answered(plan)


def test_a_gentle_ramp_is_scrubbed_and_a_steeper_one_crossed() -> None:
    gentle, steep = answered(sloping(0.05)), answered(sloping(0.08))
    assert "Ramp" in {lane.area for lane in gentle.lanes}
    assert "Ramp" not in {lane.area for lane in steep.lanes}
    assert {each.name for each in steep.unreachable} == {"Ramp"}
    for found in (gentle, steep):
        assert max(lane.points_m[:, 0].max() for lane in found.lanes) > 21


def test_past_the_transport_limit_a_ramp_closes_what_lies_beyond() -> None:
    found = answered(sloping(0.13))
    assert max(lane.points_m[:, 0].max() for lane in found.lanes) < 10
    assert max(leg.points_m[:, 0].max() for leg in found.routes[0].legs) < 10
    ramp_m2, beyond_m2 = 4 * 4, 8 * 8
    assert found.out_of_reach_m2 == pytest.approx(ramp_m2 + beyond_m2, rel=0.02)
    assert any(
        "The ramp climbs 13.0 %; this machine may drive up to 12.0 %." in str(e.reason) for e in found.unreachable
    )


@pytest.mark.parametrize("machines", [2, 3])
def test_several_machines_share_the_lanes_and_finish_sooner(answer: RouteAnswer, machines: int) -> None:
    found = answered(two_rooms(1.2), machines=machines)
    assert [route.machine for route in found.routes] == list(range(1, machines + 1))
    assert [lane.number for lane in found.lanes] == list(range(1, len(found.lanes) + 1))
    assert len(found.lanes) == len(answer.lanes)
    for route in found.routes:
        own = {lane.number for lane in found.lanes if lane.machine == route.machine}
        assert own == {leg.lane for leg in route.legs if leg.kind is LegKind.SCRUB}
    assert found.total_time_s == max(route.total_time_s for route in found.routes)
    assert found.lower_bound_s <= found.total_time_s < answer.total_time_s
    blocks = [block.number for route in found.routes for block in route.blocks]
    assert blocks == list(range(1, len(blocks) + 1))
    assert dict(found.verdict.values)["machines"] == machines


def test_no_machine_at_all_is_refused() -> None:
    with pytest.raises(BadInput, match="0 machines cannot drive; enter 1 or more"):
        answered(two_rooms(1.2), machines=0)


def test_less_overlap_takes_fewer_metres_and_is_said_to_be_chosen(answer: RouteAnswer) -> None:
    found = answered(two_rooms(1.2), settings=RouteSettings(overlap_m=0.0))
    assert found.overlap_m == 0
    assert found.deck_down_length_m < answer.deck_down_length_m
    origins = {each.name: each.origin for each in found.provenance}
    assert origins["overlap_m"] is Origin.ESTIMATE
    assert {each.name: each.origin for each in answer.provenance}["overlap_m"] is Origin.PLATE


def test_another_flow_lays_down_as_much_more(answer: RouteAnswer) -> None:
    (normal,) = PLATE.flows
    plate = replace(PLATE, flows=(normal, FlowSetting(name="high", flow_l_per_min=2 * normal.flow_l_per_min)))
    found = answered(two_rooms(1.2), plate, settings=RouteSettings(flow="high"))
    litres_per_m = 2 * normal.flow_l_per_min / 60 / PLATE.speeds.working_m_per_s
    assert found.routes[0].water_used_l == pytest.approx(found.deck_down_length_m * litres_per_m)
    assert found.routes[0].water_used_l > 1.9 * answer.routes[0].water_used_l
    with pytest.raises(BadInput, match="The flow to use is called low; the plate has: normal"):
        answered(two_rooms(1.2), settings=RouteSettings(flow="low"))


def test_every_number_of_the_answer_names_where_it_comes_from(answer: RouteAnswer) -> None:
    names = [each.name for each in answer.provenance]
    assert len(names) == len(set(names))
    known = {each.name: each for each in answer.provenance}
    told = {
        "overlap_m": answer.overlap_m,
        "total_time_s": answer.total_time_s,
        "lower_bound_s": answer.lower_bound_s,
        "reachable_area_m2": answer.reachable_area_m2,
        "coverage_fraction": answer.coverage_fraction,
        "scrub_width_m": answer.deck_width_m,
        "solution_l": answer.solution_tank_l,
    }
    assert {name: known[name].value for name in told} == told
    plate = replace(PLATE, origins=(("deck.overlap_m", Origin.ESTIMATE), ("speeds.working_m_per_s", Origin.MEASURED)))
    origins = {each.name: each.origin for each in answered(two_rooms(1.2), plate).provenance}
    assert origins["overlap_m"] is Origin.ESTIMATE
    assert origins["working_m_per_s"] is Origin.MEASURED


def test_a_clock_that_is_handed_in_measures_the_planning() -> None:
    ticks = iter([100.0, 107.5])
    told: list[float] = []
    site = Site(name="Market", floors=(floor_plan(box(0, 0, 8, 6)),))
    found = route_plan(
        site, PLATE, rng=np.random.default_rng(0), clock=lambda: next(ticks), progress=told.append, floor_name=None
    )
    assert found.planning_time_s == 7.5
    assert told[0] == 0
    assert told[-1] == 1
    assert told == sorted(told)


def test_one_of_several_floors_is_planned_by_name() -> None:
    upper = replace(floor_plan(box(0, 0, 8, 6)), name="upper floor")
    site = Site(name="Market", floors=(two_rooms(1.2), upper))
    found = route_plan(site, PLATE, rng=np.random.default_rng(0), floor_name="upper floor")
    assert found.floor == "upper floor"
    assert found.floor_area_m2 == pytest.approx(48)
    with pytest.raises(BadInput, match="has 2 floors"):
        route_plan(site, PLATE, rng=np.random.default_rng(0))


def test_a_double_scrub_drives_and_lays_down_twice(answer: RouteAnswer) -> None:
    twice = tuple(replace(area, passes=2) for area in AREAS)
    found = answered(two_rooms(1.2, areas=twice))
    assert found.deck_down_length_m == pytest.approx(2 * answer.deck_down_length_m, rel=0.01)
    assert found.coverage_fraction == pytest.approx(answer.coverage_fraction, abs=0.005)


def test_a_floor_without_areas_is_one_piece_of_work() -> None:
    found = answered(two_rooms(1.2, areas=()))
    assert {lane.area for lane in found.lanes} == {"ground floor"}
    assert found.floor_area_m2 - found.reachable_area_m2 - found.hand_strip_m2 == pytest.approx(0, abs=0.05)
    assert isinstance(found.reachable, MultiPolygon)
    assert all(isinstance(part, Polygon) for part in found.reachable.geoms)


def test_separate_drain_and_tap_are_both_visited() -> None:
    pit = ServicePoint(name="Pit", x_m=1.0, y_m=1.0, uses=frozenset({Use.DRAIN}))
    tap = ServicePoint(name="Tap", x_m=19.0, y_m=8.0, uses=frozenset({Use.TAP}))
    (normal,) = PLATE.flows
    plate = replace(PLATE, flows=(replace(normal, flow_l_per_min=5 * normal.flow_l_per_min),))
    found = answered(replace(two_rooms(1.2), service_points=(pit, tap)), plate)
    stops = found.routes[0].stops
    assert len(stops) >= 2
    assert {(stop.drain, stop.tap) for stop in stops[:-1]} == {("Pit", "Tap")}
    assert all(leg.solution_l >= -1e-6 for leg in found.routes[0].legs)
