"""Steer angle, outer corner and turning aisle of one machine, worked by hand."""

import math

import pytest

from scrubwright.machine.steering import (
    Corner,
    aisle_m,
    outer_radius_m,
    radius_from_aisle_m,
    radius_from_steer_m,
    tail_swing_m,
)

# Wheelbase 1.05 m, body 0.85 m wide, 0.30 m ahead of the front wheel: the outer corner lies 1.35 m ahead of the
# rear axle and 0.425 m out. At 60° the radius is 1.05/tan 60° = 0.606 m, the corner runs on
# hypot(0.606 + 0.425, 1.35) = 1.699 m, and the aisle is 1.699 + 0.606 + 0.425 = 2.730 m; so for the other angles.
FRONT = (Corner(ahead_m=1.35, aside_m=0.425),)
STEERED = [(60, 0.61, 1.70, 2.73), (70, 0.38, 1.57, 2.38), (80, 0.19, 1.48, 2.09), (89, 0.02, 1.42, 1.86)]


@pytest.mark.parametrize(("steer_degrees", "radius", "outer", "aisle"), STEERED)
def test_radius_corner_and_aisle_follow_from_the_steer_angle(
    steer_degrees: int, radius: float, outer: float, aisle: float
) -> None:
    radius_m = radius_from_steer_m(1.05, math.radians(steer_degrees))
    assert radius_m == pytest.approx(radius, abs=0.005)
    assert outer_radius_m(radius_m, FRONT) == pytest.approx(outer, abs=0.005)
    assert aisle_m(radius_m, FRONT, 0.85) == pytest.approx(aisle, abs=0.005)


@pytest.mark.parametrize("steer_degrees", [60, 70, 80, 89])
def test_the_radius_comes_back_from_the_aisle(steer_degrees: int) -> None:
    radius_m = radius_from_steer_m(1.05, math.radians(steer_degrees))
    assert radius_from_aisle_m(aisle_m(radius_m, FRONT, 0.85), FRONT, 0.85) == pytest.approx(radius_m, abs=1e-12)


def test_a_wheel_turned_square_turns_the_machine_on_the_spot() -> None:
    assert radius_from_steer_m(1.05, math.pi / 2) == pytest.approx(0, abs=1e-12)


def test_the_squeegee_swings_out_past_the_side() -> None:
    # Radius 0.30 m, squeegee 1.00 m wide and 0.60 m behind: its end runs on hypot(0.80, 0.60) = 1.00 m, the side of a
    # machine as wide as the squeegee on 0.80 m: 0.20 m past it.
    assert tail_swing_m(0.30, 1.00, 0.60, 1.00) == pytest.approx(0.20, abs=1e-12)
