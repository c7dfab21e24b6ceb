"""An empty hall of 60 m by 40 m: lanes, metres and seconds by hand, and as planned.

By hand, as the trade reckons: deck 0.75 m, overlap 0.05 m, so that n lanes cover 0.05 + 0.70 n; 5 km/h; 6 s a turn;
every lane from wall to wall. The planned machine is as wide as its deck and keeps no clearance, its front is at the
deck's middle, so that the deck's middle comes within 0.375 m of every wall and each lane is 0.75 m shorter than the
hall: the deck itself makes up for that.
"""

import math

import pytest
from shapely import box

from scrubwright.floor.frame import Frame
from scrubwright.floor.lanes import passes_needed, swept_lanes
from tests.rooms.plain_floors import floor_plan, plain_machine, planned_lanes, reached

LENGTH_M, WIDTH_M, SPEED_M_PER_S, TURN_S = 60.0, 40.0, 5 / 3.6, 6.0
HALL = floor_plan(box(0, 0, LENGTH_M, WIDTH_M))
VEHICLE = plain_machine(body_width_m=0.75, clearance_m=0.0, front_m=0.0, working_speed_m_per_s=SPEED_M_PER_S)

# Lengthwise: (40 - 0.05) / 0.70 = 57.07, so 58 lanes of 60 m; 3,480 m at 1.3889 m/s = 2,505.6 s; 57 turns = 342 s.
# Crosswise: (60 - 0.05) / 0.70 = 85.64, so 86 lanes of 40 m; 3,440 m = 2,476.8 s; 85 turns = 510 s.
LANES, SECONDS, RATE_M2_PER_H = 58, 2847.6, 3034.13
LANES_ACROSS, RATE_ACROSS_M2_PER_H = 86, 2892.73


def seconds(lanes: int, length_m: float) -> float:
    return length_m / SPEED_M_PER_S + (lanes - 1) * TURN_S


def test_the_hand_calculation_is_what_it_says() -> None:
    assert passes_needed(WIDTH_M, 0.75, 0.05) == LANES
    assert passes_needed(LENGTH_M, 0.75, 0.05) == LANES_ACROSS
    assert seconds(LANES, LANES * LENGTH_M) == pytest.approx(SECONDS, abs=0.05)
    assert LENGTH_M * WIDTH_M / SECONDS * 3600 == pytest.approx(RATE_M2_PER_H, abs=0.1)


@pytest.mark.parametrize(
    ("angle_rad", "lanes", "long_m", "rate_m2_per_h"),
    [(0.0, LANES, LENGTH_M, RATE_M2_PER_H), (math.pi / 2, LANES_ACROSS, WIDTH_M, RATE_ACROSS_M2_PER_H)],
)
def test_lanes_swept_one_way_are_those_of_the_hand_calculation(
    angle_rad: float, lanes: int, long_m: float, rate_m2_per_h: float
) -> None:
    centre = reached(HALL, VEHICLE).centre
    found, _ = swept_lanes(centre, centre, Frame(angle_rad=angle_rad), VEHICLE, number=0, one_way=True)
    assert len(found) == lanes
    assert [each.line.length for each in found] == pytest.approx([long_m - 0.75] * lanes)
    length_m = sum(each.line.length + 0.75 for each in found)
    rate = LENGTH_M * WIDTH_M / seconds(lanes, length_m) * 3600
    assert rate == pytest.approx(rate_m2_per_h, abs=0.1)


def test_the_planned_hall_has_these_lanes_and_as_many_metres_within_one_per_cent() -> None:
    # The plan adds passes along the short walls, where lanes end, and ends the lanes before them: the metres of the
    # one make up for those of the other.
    plan = planned_lanes(HALL, VEHICLE)
    lengthwise = [each for each in plan.lanes if abs(each.line.coords[0][1] - each.line.coords[-1][1]) < 0.01]
    assert len(lengthwise) == LANES
    assert [strip.passes for strip in plan.strips] == [LANES]
    length_m = sum(each.line.length for each in plan.lanes)
    assert length_m == pytest.approx(LANES * LENGTH_M, rel=0.01)
    planned_s = seconds(LANES, length_m)
    assert planned_s == pytest.approx(SECONDS, rel=0.01)
    assert plan.coverage.coverage_fraction > 0.999
