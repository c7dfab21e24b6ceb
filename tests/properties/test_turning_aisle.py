"""Radius and turning aisle are one figure seen from two sides."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.machine.steering import Corner, aisle_m, outer_radius_m, radius_from_aisle_m

corners = st.lists(st.builds(Corner, ahead_m=st.floats(-1.0, 2.5), aside_m=st.floats(0.2, 0.9)), min_size=1, max_size=4)
radii = st.floats(0, 4)
widths = st.floats(0.5, 1.8)


@given(radii, corners, widths)
def test_the_radius_comes_back_from_the_aisle_that_it_takes(
    radius_m: float, points: list[Corner], widest_m: float
) -> None:
    turning_aisle_m = aisle_m(radius_m, points, widest_m)
    assert radius_from_aisle_m(turning_aisle_m, points, widest_m) == pytest.approx(radius_m, abs=1e-6)


@given(radii, st.floats(0.001, 1), corners, widths)
def test_a_wider_turn_takes_a_wider_aisle(
    radius_m: float, more_m: float, points: list[Corner], widest_m: float
) -> None:
    assert aisle_m(radius_m + more_m, points, widest_m) > aisle_m(radius_m, points, widest_m)


@given(radii, corners)
def test_one_more_corner_never_turns_in_less(radius_m: float, points: list[Corner]) -> None:
    assert outer_radius_m(radius_m, points) >= outer_radius_m(radius_m, points[:1])
