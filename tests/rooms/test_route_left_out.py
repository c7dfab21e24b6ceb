"""What the night leaves: dry floor, floor out of reach, and floor that stays wet."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, box

from benchmarks.reference_machine import reference_plate, reference_vehicle
from scrubwright.floor.coverage import Coverage
from scrubwright.floor.lane_plan import LanePlan
from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.site import Area, FloorPlan, Ramp
from scrubwright.jobs.route_left_out import missed_floor, unreachable_floor, wet_floor
from scrubwright.machine.squeegee import Squeegee, Turning, inner_cover_m
from tests.rooms.plain_floors import floor_plan, joined, lane, planned_lanes, reached

PLATE = reference_plate()
HALL = box(0, 0, 20, 12)
AREA = Area(name="Hall", outline=HALL)


def left_dry(*pieces: shapely.Polygon, lanes: tuple[LaneLine, ...] = ()) -> LanePlan:
    """A lane plan that leaves these pieces dry."""
    wanted = joined(HALL)
    coverage = Coverage(
        covered=wanted,
        dry=MultiPolygon(pieces),
        coverage_fraction=1.0,
        raster_coverage_fraction=1.0,
        overlap_fraction=0.0,
    )
    return LanePlan(lanes=lanes, strips=(), wanted=wanted, areas=("Hall",), coverage=coverage)


def told(plan: FloorPlan, piece: shapely.Polygon) -> str:
    (found,) = missed_floor(plan, left_dry(piece), 0.5)
    return str(found.reason)


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        (box(0.2, 4, 0.4, 10), "A strip 0.20 m wide along a wall: not worth a pass, mop it by hand."),
        (box(9, 5.6, 9.2, 8), "A strip 0.20 m wide between lanes: not worth a pass, mop it by hand."),
        (box(9, 6, 9.5, 6.5), "A spot between lanes: too small for a pass of its own, mop it by hand."),
        (box(9, 6, 10, 7), "The deck does not get there between lanes: do it by hand."),
        (box(5.2, 4, 5.9, 5), "The deck does not get there beside rack 1: do it by hand."),
    ],
)
def test_each_missed_piece_says_why_and_beside_what(piece: shapely.Polygon, words: str) -> None:
    assert told(floor_plan(HALL, racks=(box(3, 3, 5, 6),), areas=(AREA,)), piece) == words


def test_missed_pieces_come_largest_first_without_crumbs_and_with_their_place() -> None:
    pieces = (box(9, 6, 9.1, 6.1), box(15, 8, 16, 9), box(9, 2, 11, 4))
    found = missed_floor(floor_plan(HALL, areas=(AREA,)), left_dry(*pieces), 0.5)
    assert [each.area_m2 for each in found] == pytest.approx([4, 1])
    assert {each.name for each in found} == {"Hall"}
    for each in found:
        assert each.outline.contains(shapely.Point(each.x_m, each.y_m))


def test_floor_out_of_reach_is_told_largest_first_with_ramps_that_are_too_steep() -> None:
    store = Area(name="Store", outline=box(20.2, 0, 30, 12))
    steep = Ramp(name="Dock", outline=box(0, 8, 4, 12), slope_fraction=0.15, uphill_rad=0.0)
    stiff = Ramp(name="Stage", outline=box(8, 8, 10, 12), slope_fraction=0.08, uphill_rad=0.0)
    plan = floor_plan(HALL, store.outline, box(19.9, 5, 20.3, 5.7), areas=(AREA, store), ramps=(steep, stiff))
    floor = reached(plan, reference_vehicle())
    found = unreachable_floor(plan, floor, PLATE, (stiff,), (steep,))
    assert [each.name for each in found] == ["Store", "Dock", "Stage"]
    assert [each.area_m2 for each in found] == pytest.approx([9.8 * 12, 16, 8], rel=0.02)
    reasons = [str(each.reason) for each in found]
    assert reasons[0].startswith("The way in is about 0.69 m wide")
    assert reasons[1] == "The ramp climbs 15.0 %; this machine may drive up to 12.0 %."
    assert reasons[2] == "The ramp climbs 8.0 %; this machine may scrub up to 6.0 %."


def test_straight_lanes_leave_no_trail() -> None:
    plan = floor_plan(HALL)
    assert wet_floor(plan, left_dry(lanes=(lane((1, 1), (15, 1)),)), PLATE) == ()


def test_a_sharp_bend_leaves_a_trail_where_it_is_and_a_wide_one_none() -> None:
    plan = floor_plan(HALL, areas=(AREA,))
    # A squeegee that is narrow and far behind follows from 1.54 m on.
    plate = replace(PLATE, squeegee=Squeegee(width_m=0.80, behind_rear_axle_m=0.60))
    assert plate.scrubbing_radius_m == pytest.approx(1.54, abs=0.01)
    # Bends of 30 degrees between sides of 1 m: the widest arc has a radius of 0.5 / tan 15 degrees = 1.87 m.
    turn = math.radians(30)
    wide = lane((5, 5), (6, 5), (6 + math.cos(turn), 5 + math.sin(turn)))
    assert wet_floor(plan, left_dry(lanes=(wide,)), plate) == ()
    # A ring of twelve such bends between sides of 0.2 m: 0.37 m, less than the 0.45 m that the machine turns in.
    angles = np.arange(13) * turn
    ring = lane(*[(8 + 0.386 * math.cos(a), 6 + 0.386 * math.sin(a)) for a in angles])
    (found,) = wet_floor(plan, left_dry(lanes=(ring,)), plate)
    assert found.name == "Hall"
    assert math.hypot(found.x_m - 8, found.y_m - 6) < 0.5
    # The strip that stays on the inside, 0.047 m, times the arc of eleven bends at 0.45 m.
    strip_m = -inner_cover_m(plate.deck, plate.squeegee, 0.45, Turning.LEFT)
    assert strip_m == pytest.approx(0.047, abs=0.0005)
    assert found.area_m2 == pytest.approx(0.047 * 0.45 * 11 * turn, rel=0.05)
    assert "follows from 1.54 m. Turn wider or wipe it by hand" in str(found.reason)


def test_a_planned_hall_leaves_no_more_than_it_says() -> None:
    plan = floor_plan(HALL, racks=(box(3, 3, 5, 6),))
    lanes = planned_lanes(plan, reference_vehicle())
    found = missed_floor(plan, lanes, 0.5)
    dry_m2 = lanes.wanted.area * (1 - lanes.coverage.coverage_fraction)
    assert sum(each.area_m2 for each in found) <= dry_m2 + 1e-6
