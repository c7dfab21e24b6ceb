"""A tour told as legs with tanks, blocks and stops."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString

from benchmarks.reference_machine import DOSE_L_PER_M2
from scrubwright.floor.night import Night, night
from scrubwright.floor.site import FloorPlan, ServicePoint, Use
from scrubwright.jobs.route_answer import LegKind
from scrubwright.jobs.route_legs import Places, Told, told_route
from scrubwright.water.tanks import TankPair
from tests.rooms.plain_floors import hall_with_racks, plain_machine, plain_service, reached

VEHICLE = plain_machine()
TANK_L = 3.0
# What 0.045 L/m2 takes at 0.70 m and 1.25 m/s.
FLOW_L_PER_MIN = DOSE_L_PER_M2 * 0.70 * 1.25 * 60
DRAIN = ServicePoint(name="Pit", x_m=1.0, y_m=1.0, uses=frozenset({Use.DRAIN}))
TAP = ServicePoint(name="Tap", x_m=15.0, y_m=1.0, uses=frozenset({Use.TAP}))


def told_for(found: Night, plan: FloorPlan, tank_l: float, *, first_lane: int = 1, first_block: int = 1) -> Told:
    tanks = TankPair(
        solution_l=tank_l, recovery_l=tank_l, usable_solution_l=tank_l, usable_recovery_l=tank_l, recovered_fraction=0.9
    )
    return told_route(
        found.tours[0],
        found.net,
        found.beside,
        VEHICLE,
        plain_service(plan, capacity_l=tank_l),
        tanks,
        flow_l_per_min=FLOW_L_PER_MIN,
        places=Places(drains=("Pit",), taps=("Tap",)),
        areas=("ground floor",),
        machine=2,
        first_lane=first_lane,
        first_block=first_block,
    )


def planned(tank_l: float) -> tuple[Night, FloorPlan]:
    plan = replace(hall_with_racks(), service_points=(DRAIN, TAP))
    service = plain_service(plan, capacity_l=tank_l)
    return night(plan, reached(plan, VEHICLE), VEHICLE, service, rng=np.random.default_rng(0)), plan


@pytest.fixture(scope="module")
def told() -> Told:
    found, plan = planned(TANK_L)
    return told_for(found, plan, TANK_L)


def test_the_clock_runs_on_from_leg_to_leg(told: Told) -> None:
    clock_s = 0.0
    for leg in told.route.legs:
        assert leg.start_s == pytest.approx(clock_s)
        clock_s += leg.duration_s
    assert told.route.total_time_s == pytest.approx(clock_s)


def test_the_three_times_are_those_of_their_legs(told: Told) -> None:
    route = told.route
    sums = {
        kind: math.fsum(leg.duration_s for leg in route.legs if leg.kind is kind)
        for kind in (LegKind.SCRUB, LegKind.DRIVE, LegKind.REVERSE, LegKind.STOP)
    }
    assert route.scrub_time_s == pytest.approx(sums[LegKind.SCRUB])
    assert route.drive_time_s == pytest.approx(sums[LegKind.DRIVE] + sums[LegKind.REVERSE])
    assert route.stop_time_s == pytest.approx(sums[LegKind.STOP])
    assert route.drive_length_m == pytest.approx(
        sum(LineString(leg.points_m).length for leg in route.legs if leg.kind in (LegKind.DRIVE, LegKind.REVERSE))
    )


def test_the_tanks_follow_the_litres_of_every_leg(told: Told) -> None:
    solution_l, recovered_l = TANK_L, 0.0
    stops = iter(told.route.stops)
    stop = next(stops)
    for leg in told.route.legs:
        if leg.kind is LegKind.SCRUB:
            solution_l -= FLOW_L_PER_MIN / 60 * leg.duration_s
            recovered_l += 0.9 * FLOW_L_PER_MIN / 60 * leg.duration_s
        if leg.stop is not None and leg.stop != stop.number:
            stop = next(stops)
        if leg.kind is LegKind.STOP and leg.recovered_l == 0 and recovered_l > 0:
            assert stop.dumped_l == pytest.approx(recovered_l)
            recovered_l = 0.0
        elif leg.kind is LegKind.STOP:
            assert stop.filled_l == pytest.approx(TANK_L - solution_l)
            solution_l = TANK_L
        assert leg.solution_l == pytest.approx(solution_l, abs=1e-6)
        assert leg.recovered_l == pytest.approx(recovered_l, abs=1e-6)
        assert leg.solution_l >= -1e-6
    assert told.route.water_used_l == pytest.approx(FLOW_L_PER_MIN / 60 * told.route.scrub_time_s)


def test_stops_are_numbered_in_order_with_drain_and_tap_and_the_last_fills_nothing(told: Told) -> None:
    stops = told.route.stops
    assert len(stops) >= 2
    assert [stop.number for stop in stops] == list(range(1, len(stops) + 1))
    assert {stop.drain for stop in stops} == {"Pit"}
    assert [stop.tap for stop in stops] == ["Tap"] * (len(stops) - 1) + [None]
    assert stops[-1].filled_l == 0
    assert all((stop.x_m, stop.y_m) == (1.0, 1.0) for stop in stops)
    for stop in stops:
        legs = [leg for leg in told.route.legs if leg.stop == stop.number]
        assert all(leg.kind is LegKind.STOP for leg in legs)
        assert stop.arrive_s == pytest.approx(legs[0].start_s)
        # From arriving at the drain to leaving the tap, the drive between them included.
        assert stop.duration_s == pytest.approx(legs[-1].start_s + legs[-1].duration_s - legs[0].start_s)
    # 30 s at the drain, 14 m at 1.5 m/s at the very least, 450 s at the tap.
    assert stops[0].duration_s >= 480 + 13.9 / 1.5
    assert stops[-1].duration_s == pytest.approx(30)


def test_lanes_and_blocks_are_numbered_as_they_are_driven(told: Told) -> None:
    scrubs = [leg for leg in told.route.legs if leg.kind is LegKind.SCRUB]
    assert [leg.lane for leg in scrubs] == [lane.number for lane in told.lanes] == list(range(1, len(scrubs) + 1))
    for leg, lane in zip(scrubs, told.lanes, strict=True):
        assert np.array_equal(leg.points_m, lane.points_m)
        assert leg.block == lane.block
        assert lane.machine == 2
        assert lane.area == "ground floor"
    assert [number for block in told.route.blocks for number in block.lanes] == [lane.number for lane in told.lanes]
    assert [block.number for block in told.route.blocks] == list(range(1, len(told.route.blocks) + 1))


def test_blocks_have_the_times_and_the_ends_of_their_lanes(told: Told) -> None:
    for block in told.route.blocks:
        legs = [leg for leg in told.route.legs if leg.block == block.number]
        assert block.start_s == pytest.approx(legs[0].start_s)
        assert block.end_s == pytest.approx(legs[-1].start_s + legs[-1].duration_s)
        assert block.entry_m == tuple(legs[0].points_m[0])
        assert block.exit_m == tuple(legs[-1].points_m[-1])
        lengths = [lane.length_m for lane in told.lanes if lane.block == block.number]
        assert block.deck_down_length_m == pytest.approx(sum(lengths))
    for before, after in itertools.pairwise(told.route.blocks):
        assert before.end_s <= after.start_s + 1e-9


def test_no_block_goes_on_past_a_stop(told: Told) -> None:
    for stop in told.route.stops:
        assert not any(block.start_s < stop.arrive_s < block.end_s - 1e-6 for block in told.route.blocks)


def test_a_second_machine_counts_on_where_the_first_one_ended() -> None:
    found, plan = planned(100.0)
    told = told_for(found, plan, 100.0, first_lane=41, first_block=7)
    assert told.lanes[0].number == 41
    assert told.route.blocks[0].number == 7
    assert told.lanes[0].block == 7
    assert told.route.blocks[0].lanes[0] == 41
    (stop,) = told.route.stops
    assert stop.number == 1
