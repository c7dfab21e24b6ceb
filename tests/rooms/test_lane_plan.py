"""From a floor with areas and ramps to the lanes of a night."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import LineString, box

from scrubwright.floor.lane_plan import clear_of_walls, cut_for_tankfuls
from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.site import Area, Edges, Ramp
from scrubwright.measures.errors import BadInput
from scrubwright.measures.tankfuls import fewest_tankfuls
from tests.rooms.plain_floors import (
    floor_plan,
    hall_with_racks,
    joined,
    lane,
    plain_machine,
    planned_lanes,
    reached,
)

VEHICLE = plain_machine()
HALL = box(0, 0, 16, 10)
WEST, EAST = Area(name="West", outline=box(0, 0, 8, 10)), Area(name="East", outline=box(8, 0, 16, 10))


def length_m(lanes: tuple[LaneLine, ...] | list[LaneLine]) -> float:
    return float(sum(each.line.length for each in lanes))


def test_a_floor_without_areas_is_covered_whole_under_its_own_name() -> None:
    plan = hall_with_racks()
    found = planned_lanes(plan, VEHICLE)
    assert found.areas == ("ground floor",)
    assert found.wanted.area == pytest.approx(reached(plan, VEHICLE).reachable.area, rel=1e-3)
    assert found.coverage.coverage_fraction > 0.98
    assert found.coverage.raster_coverage_fraction == pytest.approx(found.coverage.coverage_fraction, abs=0.002)


def test_every_lane_stays_where_the_machine_fits() -> None:
    plan = hall_with_racks()
    room = reached(plan, VEHICLE).centre.buffer(0.01)
    assert all(room.covers(each.line) for each in planned_lanes(plan, VEHICLE).lanes)


def test_floor_outside_all_areas_is_left_alone() -> None:
    found = planned_lanes(floor_plan(HALL, areas=(WEST,)), VEHICLE)
    assert found.areas == ("West",)
    assert found.wanted.bounds[2] == pytest.approx(8.0)
    assert found.coverage.coverage_fraction > 0.97
    # Lanes along the border may lie on it, so that the deck reaches past it by no more than half its width.
    wet = shapely.union_all([each.line.buffer(VEHICLE.deck_width_m / 2) for each in found.lanes])
    assert wet.difference(box(-1, -1, 8.4, 11)).area < 0.5


def test_a_double_scrub_drives_its_lanes_twice_and_no_others() -> None:
    twice = replace(EAST, passes=2)
    found = planned_lanes(floor_plan(HALL, areas=(WEST, twice)), VEHICLE)
    lines = [each.line.wkb for each in found.lanes]
    east = [each for each in found.lanes if found.areas[each.area] == "East"]
    assert len(east) > 4
    assert all(lines.count(each.line.wkb) == 2 for each in east)
    assert all(lines.count(each.line.wkb) == 1 for each in found.lanes if found.areas[each.area] == "West")
    # Coverage and overlap are those of one pass.
    assert found.coverage.overlap_fraction < 0.5


def test_an_area_whose_edges_wait_has_no_pass_along_its_walls() -> None:
    askew = shapely.Polygon([(0, 0), (16, 0), (13, 10), (0, 8)])
    plans = [
        floor_plan(askew, areas=(Area(name="all", outline=askew, edges=edges),))
        for edges in (Edges.EVERY_TIME, Edges.SKIP)
    ]
    every, skip = (planned_lanes(plan, VEHICLE) for plan in plans)
    assert "edge" in {each.kind for each in every.lanes}
    assert "edge" not in {each.kind for each in skip.lanes}
    assert skip.coverage.coverage_fraction < every.coverage.coverage_fraction


def test_where_areas_overlap_the_one_that_is_done_first_has_the_floor() -> None:
    first = Area(name="First", outline=box(0, 0, 10, 10), priority=1)
    later = Area(name="Later", outline=HALL, priority=2)
    found = planned_lanes(floor_plan(HALL, areas=(later, first)), VEHICLE)
    assert found.areas == ("First", "Later")
    middle = {each.area for each in found.lanes if each.line.centroid.x < 8 and each.line.length > 2}
    assert middle == {0}


def test_a_ramp_is_scrubbed_along_its_slope_where_it_may_be_and_else_not_at_all() -> None:
    ramp = Ramp(name="Ramp", outline=box(6, 0, 10, 10), slope_fraction=0.04, uphill_rad=math.pi)
    plan = floor_plan(HALL, ramps=(ramp,))
    found = planned_lanes(plan, VEHICLE, scrubbed_ramps=(ramp,))
    assert found.areas == ("ground floor", "Ramp")
    sloping = [each for each in found.lanes if each.area == 1]
    spans_m = [np.ptp(np.array(each.line.coords), axis=0) for each in sloping if each.kind == "lane"]
    assert len(spans_m) > 8
    assert all(across_m < 0.01 < along_m for along_m, across_m in spans_m)
    crossed = planned_lanes(plan, VEHICLE)
    assert crossed.areas == ("ground floor",)
    # A centimetre along the ramp's border belongs to the floor, so that no hairline is left between them.
    assert crossed.wanted.intersection(ramp.outline).area == pytest.approx(2 * 0.01 * 9.75, abs=0.01)


def test_no_lane_of_the_level_floor_goes_over_a_ramp() -> None:
    ramp = Ramp(name="Ramp", outline=box(6, 0, 10, 10), slope_fraction=0.09, uphill_rad=math.pi)
    crossed = planned_lanes(floor_plan(HALL, ramps=(ramp,)), VEHICLE)
    assert sum(each.line.intersection(box(6.5, 0, 9.5, 10)).length for each in crossed.lanes) < 0.01


def test_areas_where_the_deck_comes_nowhere_are_refused() -> None:
    nowhere = Area(name="Yard", outline=box(40, 0, 50, 10))
    with pytest.raises(BadInput, match="No area of floor ground floor has floor that this machine's deck reaches"):
        planned_lanes(floor_plan(HALL, areas=(nowhere,)), VEHICLE)


@pytest.mark.parametrize(
    ("front_m", "ends_m"),
    [
        (0.0, (0.5, 9.5)),  # the deck is the foremost point
        (0.5, (0.5, 9.5)),  # as long in front as to the side: nothing to cut
        (0.8, (0.8, 9.2)),  # the nose meets the wall 0.3 m before the deck's side would
    ],
)
def test_a_lane_ends_where_the_machines_nose_meets_the_wall(front_m: float, ends_m: tuple[float, float]) -> None:
    (found,) = clear_of_walls([lane((0.5, 2), (9.5, 2))], joined(box(0, 0, 10, 4)), front_m)
    assert (found.line.coords[0][0], found.line.coords[-1][0]) == pytest.approx(ends_m, abs=0.02)


def test_lanes_with_floor_ahead_stay_and_lanes_too_short_for_the_nose_go() -> None:
    free = joined(box(0, 0, 10, 4))
    inside = lane((3, 2), (6, 2))
    assert clear_of_walls([inside, lane((0.5, 0.6), (0.5, 1.9))], free, 1.5) == [inside]


def test_on_a_bend_the_nose_goes_by_the_last_stretch() -> None:
    (found,) = clear_of_walls([lane((2, 2), (8, 2), (8, 3.5))], joined(box(0, 0, 10, 4)), 0.9)
    assert found.line.coords[-1] == pytest.approx((8, 3.1), abs=0.02)
    assert found.line.coords[0] == pytest.approx((2, 2))


@pytest.mark.parametrize("capacity_l", [9.0, 14.0, 23.0, 60.0])
def test_lanes_cut_for_tankfuls_are_the_same_floor_and_fill_the_fewest_trips_in_any_order(capacity_l: float) -> None:
    lanes = [lane((0, n), (20 + 5 * n, n)) for n in range(8)]
    litres_per_m = 0.045 * VEHICLE.pitch_m
    pieces = cut_for_tankfuls(lanes, 0.045, VEHICLE.pitch_m, capacity_l)
    assert length_m(pieces) == pytest.approx(length_m(lanes))
    water_l = np.array([each.line.length * litres_per_m for each in pieces])
    assert water_l.max() <= capacity_l / 2
    trips = fewest_tankfuls(float(water_l.sum()), capacity_l)
    spare_l = (trips * capacity_l - water_l.sum()) / max(1, trips - 1)
    if water_l.max() > spare_l:
        trips += 1
    rng = np.random.default_rng(0)
    for _ in range(200):
        filled_l, used = 0.0, 1
        for each_l in rng.permutation(water_l):
            if filled_l + each_l > capacity_l + 1e-9:
                filled_l, used = 0.0, used + 1
            filled_l += each_l
        assert used <= trips


def test_a_dry_scrub_is_not_cut() -> None:
    lanes = (lane((0, 0), (500, 0)),)
    assert cut_for_tankfuls(lanes, 0.0, 0.7, 50.0) == lanes


def test_pieces_of_a_cut_lane_join_end_to_end() -> None:
    pieces = cut_for_tankfuls([lane((0, 0), (300, 0), (300, 40))], 0.045, 0.7, 10.0)
    assert len(pieces) > 4
    assert all(a.line.coords[-1] == b.line.coords[0] for a, b in itertools.pairwise(pieces))
    assert shapely.line_merge(shapely.union_all([each.line for each in pieces])).equals(
        LineString([(0, 0), (300, 0), (300, 40)])
    )
