"""Shortest ways on the machine's floor, known from geometry."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import LineString, MultiPoint, Polygon, box

from scrubwright.floor.travel import Travel, inner_corners_m, travel_between
from tests.rooms.plain_floors import one_polygon

ROUND_A_BOX = one_polygon(box(0, 0, 20, 12).difference(box(8, 2, 12, 8)))
# Corners are touched with a few centimetres of play.
NEAR_M = 0.02


def travel(floor: Polygon, *points_m: tuple[float, float]) -> Travel:
    return travel_between(np.array(points_m), floor)


def length_m(points_m: NDArray[np.float64]) -> float:
    return float(LineString(points_m).length)


def test_in_sight_the_way_is_the_straight_line() -> None:
    found = travel(ROUND_A_BOX, (1, 1), (4, 5))
    assert found.distance_m[0, 1] == pytest.approx(5.0)
    assert found.leaving_rad[0, 1] == pytest.approx(math.atan2(4, 3))
    assert found.way_m(0, 1).tolist() == [[1, 1], [4, 5]]


def test_round_a_box_the_way_bends_at_its_nearer_corners() -> None:
    # Over the top: 5 m to (8, 8), 4 m along the box, 5 m down. Below: hypot(4, 3) twice and 4 m, the same.
    over = travel(ROUND_A_BOX, (4, 5.5), (16, 5.5))
    by_top_m = 2 * math.hypot(4, 2.5) + 4
    assert over.distance_m[0, 1] == pytest.approx(by_top_m, abs=NEAR_M)
    way_m = over.way_m(0, 1)
    assert way_m[1:-1] == pytest.approx(np.array([[8, 8], [12, 8]]), abs=NEAR_M)
    assert over.leaving_rad[0, 1] == pytest.approx(math.atan2(2.5, 4), abs=0.01)
    under = travel(ROUND_A_BOX, (4, 3), (16, 3))
    assert under.distance_m[0, 1] == pytest.approx(2 * math.hypot(4, 1) + 4, abs=NEAR_M)
    assert under.way_m(0, 1)[1:-1] == pytest.approx(np.array([[8, 2], [12, 2]]), abs=NEAR_M)


def test_round_one_corner_of_an_l_the_way_is_two_straights() -> None:
    corner = Polygon([(0, 0), (10, 0), (10, 3), (3, 3), (3, 10), (0, 10)])
    found = travel(corner, (9, 1), (1, 9))
    assert found.distance_m[0, 1] == pytest.approx(2 * math.hypot(6, 2), abs=NEAR_M)


def test_through_a_zigzag_the_way_touches_every_inner_corner() -> None:
    walls = [box(4, 0, 5, 6), box(9, 4, 10, 10), box(14, 0, 15, 6)]
    floor = box(0, 0, 19, 10)
    for wall in walls:
        floor = one_polygon(floor.difference(wall))
    found = travel(floor, (1, 1), (18, 1))
    corners_m = [(4, 6), (5, 6), (9, 4), (10, 4), (14, 6), (15, 6)]
    by_hand_m = length_m(np.array([(1, 1), *corners_m, (18, 1)], dtype=float))
    assert found.distance_m[0, 1] == pytest.approx(by_hand_m, abs=0.05)
    assert len(found.way_m(0, 1)) == 2 + len(corners_m)


def test_a_hall_longer_than_the_first_radius_is_crossed_all_the_same() -> None:
    hall = one_polygon(box(0, 0, 260, 4).difference(box(10, 2.5, 250, 2.8)))
    found = travel(hall, (1, 3.5), (259, 0.5))
    assert found.distance_m[0, 1] >= math.hypot(258, 3) - NEAR_M
    assert found.distance_m[0, 1] == pytest.approx(258, rel=0.002)
    assert length_m(found.way_m(0, 1)) == pytest.approx(float(found.distance_m[0, 1]), abs=NEAR_M)


def test_a_room_without_corners_to_bend_round_needs_none() -> None:
    found = travel(box(0, 0, 10, 10), (1, 1), (9, 1), (9, 1))
    assert inner_corners_m(box(0, 0, 10, 10))[0].shape == (0, 2)
    assert found.distance_m[0, 1] == pytest.approx(8)
    assert found.distance_m[1, 2] == 0
    assert found.way_m(1, 2).tolist() == [[9, 1], [9, 1]]


def test_only_corners_that_stand_out_into_the_floor_are_bends() -> None:
    corners_m, before_m, after_m = inner_corners_m(ROUND_A_BOX)
    assert {tuple(point) for point in corners_m.tolist()} == {(8, 2), (12, 2), (12, 8), (8, 8)}
    assert np.hypot(*(before_m - corners_m).T) + np.hypot(*(after_m - corners_m).T) == pytest.approx([10] * 4)


def test_a_point_a_hair_off_the_floor_is_reached_by_its_edge() -> None:
    found = travel(box(0, 0, 10, 10), (1, 1), (10.004, 1))
    assert found.distance_m[0, 1] == pytest.approx(9, abs=0.005)


def test_ways_among_many_points_are_as_long_as_they_say_and_stay_on_the_floor() -> None:
    floor = box(0, 0, 30, 20)
    for x_m, y_m, wide_m, deep_m in [(4, 3, 8, 2), (4, 8, 8, 2), (16, 2, 2, 12), (21, 10, 7, 3), (20, 15, 1, 1)]:
        floor = one_polygon(floor.difference(box(x_m, y_m, x_m + wide_m, y_m + deep_m)))
    rng = np.random.default_rng(3)
    spots = MultiPoint(rng.uniform((0, 0), (30, 20), (60, 2))).intersection(floor.buffer(-0.05))
    points_m = np.array([(point.x, point.y) for point in spots.geoms])
    found = travel_between(points_m, floor)
    room = floor.buffer(0.05, join_style="mitre")
    for start in range(len(points_m)):
        for goal in range(len(points_m)):
            way = LineString(found.way_m(start, goal))
            assert way.length == pytest.approx(float(found.distance_m[start, goal]), abs=1e-3)
            assert room.covers(way)
            if start != goal:
                first_m = found.way_m(start, goal)[1] - points_m[start]
                off_rad = math.atan2(first_m[1], first_m[0]) - float(found.leaving_rad[start, goal])
                assert math.cos(off_rad) == pytest.approx(1, abs=1e-4)
