"""Seconds of a U-turn, worked from the circles that the machine drives on, and against a printed table."""

import math

import numpy as np
import pytest

from scrubwright.floor.turns import TIGHTEST_RADIUS_M, turning_s_per_rad, u_turn_s
from tests.rooms.plain_floors import plain_machine

# The lanes of the table: deck 0.75 m, overlap 0.05 m.
PITCH_M = 0.70


def one_turn_s(offset_m: float, radius_m: float, *, turning: float = 0.6, straight: float = 1.0) -> float:
    vehicle = plain_machine(turning_radius_m=radius_m, turning_speed_m_per_s=turning, transport_speed_m_per_s=straight)
    return float(u_turn_s(np.array([offset_m]), vehicle)[0])


# Turning at 0.6 m/s, straight on at 1.0 m/s; radius, offset in lanes, seconds as printed to a tenth. By hand, e.g.
# 0.35 m to the lane beside: a half circle, pi 0.35 / 0.6 = 1.833 s. 0.45 m, one lane skipped: pi 0.45 / 0.6 +
# (1.4 - 0.9) / 1.0 = 2.356 + 0.5 = 2.856 s. 0.90 m to the lane beside: swing acos((0.9 + 0.35) / 1.8) = 0.8032 rad,
# arcs 0.9 (pi + 4 x 0.8032) = 5.719 m, / 0.6 = 9.53 s.
TABLE = [
    (0.35, 1, 1.8),
    (0.35, 2, 2.5),
    (0.45, 1, 3.8),
    (0.45, 2, 2.9),
    (0.60, 1, 5.8),
    (0.60, 2, 3.3),
    (0.90, 1, 9.5),
    (0.90, 2, 7.6),
    (0.90, 3, 5.0),
]


@pytest.mark.parametrize(("radius_m", "lanes_aside", "seconds"), TABLE)
def test_u_turns_take_what_the_table_says(radius_m: float, lanes_aside: int, seconds: float) -> None:
    assert one_turn_s(lanes_aside * PITCH_M, radius_m) == pytest.approx(seconds, abs=0.05)


def onward(angle_rad: float) -> float:
    """The angle as a turn of its sense, from none to a whole one; a hair less than a whole one is none."""
    turned_rad = angle_rad % (2 * math.pi)
    return 0.0 if turned_rad > 2 * math.pi - 1e-9 else turned_rad


def shortest_m(offset_m: float, radius_m: float) -> tuple[float, float]:
    """Arcs and straight [m] of the shortest forward way to heading west, `offset_m` north of a start heading east.

    Every way of two arcs and a straight between, or of three arcs, is built from its circles:

    1. A left circle lies one radius to the left of the machine, a right circle to its right: at the start
       (0, r) and (0, -r), at the goal, where left is south, (0, d - r) and (0, d + r).
    2. Two circles of one sense are joined by a straight as long as their centres are apart; its heading is the
       bearing from centre to centre.
    3. Two of opposite sense are joined by a straight of sqrt(c2 - 4 r2), turned by asin(2 r / c) to either side.
    4. Two of one sense closer than 4 r are also joined by a third circle that touches both: the three centres
       are a triangle with sides 2 r, 2 r and c.
    """
    r, d = radius_m, offset_m
    ways = []
    for sense in (1, -1):
        c = d - sense * 2 * r  # from the start's circle to the goal's of the same sense, northwards
        bearing = math.pi / 2 if c >= 0 else -math.pi / 2
        ways.append(((onward(sense * bearing) + onward(sense * (math.pi - bearing))) * r, abs(c)))
        if abs(c) < 4 * r:
            # From the start's circle and from the goal's, the third one lies off the line of centres by the base
            # angle of the triangle.
            base = math.acos(abs(c) / (4 * r))
            for off in (base, -base):
                first = bearing + off
                second = bearing + math.pi - off
                # Driving on a circle, the heading is square to the bearing from its centre.
                leave = first + sense * math.pi / 2
                join = second + sense * math.pi / 2
                arcs = onward(sense * leave) + onward(sense * (leave - join)) + onward(sense * (math.pi - join))
                ways.append((arcs * r, 0.0))
        # Opposite senses: both circles lie level, d apart and no more, since the machine comes back on its own side.
        if d >= 2 * r:
            straight = math.sqrt(d * d - 4 * r * r)
            heading = math.pi / 2 + sense * math.asin(2 * r / d)
            ways.append(((onward(sense * heading) + onward(-sense * (math.pi - heading))) * r, straight))
    return min(ways, key=sum)


@pytest.mark.parametrize("radius_m", [0.3, 0.45, 0.6, 0.9, 1.4])
@pytest.mark.parametrize("offset_m", [0.05, 0.35, 0.7, 1.0, 1.4, 1.79, 2.1, 3.5])
def test_no_way_of_arcs_and_straights_is_shorter(radius_m: float, offset_m: float) -> None:
    arcs_m, straight_m = shortest_m(offset_m, radius_m)
    assert one_turn_s(offset_m, radius_m) == pytest.approx(arcs_m / 0.6 + straight_m / 1.0, abs=1e-9)


@pytest.mark.parametrize(("offset_m", "radius_m"), [(0.7, 0.6), (0.2, 0.45), (1.4, 0.9)])
def test_a_machine_that_drives_these_arcs_step_by_step_stands_in_the_lane_beside(
    offset_m: float, radius_m: float
) -> None:
    # Swing out to the right, the long arc to the left, swing back to the right; the length of all three from the
    # seconds, the middle one by what they must turn in all: half a circle.
    whole_rad = one_turn_s(offset_m, radius_m) * 0.6 / radius_m
    swing_rad = (whole_rad - math.pi) / 4
    x_m, y_m, heading_rad, steps = 0.0, 0.0, 0.0, 20_000
    for angle_rad in (-swing_rad, math.pi + 2 * swing_rad, -swing_rad):
        step_rad = angle_rad / steps
        for _ in range(steps):
            x_m += radius_m * abs(step_rad) * math.cos(heading_rad + step_rad / 2)
            y_m += radius_m * abs(step_rad) * math.sin(heading_rad + step_rad / 2)
            heading_rad += step_rad
    assert (x_m, y_m, heading_rad) == pytest.approx((0.0, offset_m, math.pi), abs=1e-6)


def test_a_turn_on_the_spot_takes_as_long_as_one_a_driver_makes() -> None:
    assert one_turn_s(0.7, 0.0) == one_turn_s(0.7, TIGHTEST_RADIUS_M)
    # A quarter turn of a machine with a radius of 0.45 m at 0.6 m/s: 0.45 pi / 2 / 0.6 = 1.178 s.
    assert turning_s_per_rad(plain_machine()) * math.pi / 2 == pytest.approx(1.178, abs=0.0005)
