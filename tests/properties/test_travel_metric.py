"""Ways on a floor are a measure of distance: from each to each, both ways, and no detour is shorter."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from scrubwright.floor.travel import travel_between

# Sight is tested with a few centimetres of play at corners, so that a way may be cut short by that much.
PLAY_M = 0.1

boxes = st.tuples(st.floats(0, 16), st.floats(0, 10), st.floats(0.3, 6), st.floats(0.3, 4))
spots = st.tuples(st.floats(0.05, 19.95), st.floats(0.05, 11.95))


def floor_with(holes: list[tuple[float, float, float, float]]) -> Polygon:
    floor = box(0, 0, 20, 12)
    for x_m, y_m, wide_m, deep_m in holes:
        left = floor.difference(box(x_m, y_m, x_m + wide_m, y_m + deep_m))
        parts = [left] if isinstance(left, Polygon) else list(left.geoms)
        floor = max(parts, key=lambda part: part.area)
    return floor


@settings(max_examples=60, deadline=None)
@given(st.lists(boxes, max_size=4), st.lists(spots, min_size=5, max_size=9))
def test_ways_are_symmetric_never_shorter_than_the_straight_and_no_detour_beats_them(
    holes: list[tuple[float, float, float, float]], places: list[tuple[float, float]]
) -> None:
    floor = floor_with(holes)
    on_floor = [place for place in places if floor.contains(Point(place))]
    if len(on_floor) < 2:
        return
    points_m = np.array(on_floor)
    distance_m = travel_between(points_m, floor).distance_m.astype(np.float64)
    assert np.isfinite(distance_m).all()
    assert (np.diag(distance_m) == 0).all()
    assert np.abs(distance_m - distance_m.T).max() < 1e-3
    straight_m = np.hypot(*(points_m[:, None] - points_m[None, :]).transpose(2, 0, 1))
    assert (distance_m >= straight_m - 1e-3).all()
    detour_m = (distance_m[:, :, None] + distance_m[None, :, :]).min(axis=1)
    assert (distance_m <= detour_m + PLAY_M).all()
