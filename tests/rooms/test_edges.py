"""Passes along walls and through missed patches."""

import math

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiPolygon, Point, box

from scrubwright.floor.edges import LONGEST_EDGE_M, deck_print, dry_floor, wall_lines, with_edges
from scrubwright.floor.lanes import LaneLine
from tests.rooms.plain_floors import joined, lane, one_polygon

DECK_M = 0.75


def straight_lanes(low_y_m: float, high_y_m: float) -> list[LaneLine]:
    levels_m = np.arange(low_y_m, high_y_m + 0.01, 0.7)
    return [lane((1.0, float(y)), (9.0, float(y))) for y in levels_m]


def dry_m2(lanes: list[LaneLine], wanted: MultiPolygon) -> float:
    return float(wanted.difference(shapely.union_all([deck_print(each.line, DECK_M) for each in lanes])).area)


def test_a_deck_wets_a_rectangle_along_a_straight_lane() -> None:
    assert deck_print(LineString([(0, 0), (10, 0)]), DECK_M).bounds == pytest.approx((0, -0.375, 10, 0.375))
    assert deck_print(LineString([(0, 0), (10, 0)]), DECK_M).area == pytest.approx(7.5)


def test_at_a_bend_the_decks_outer_end_sweeps_a_wedge() -> None:
    # A right angle: two strips less the square they share, more a quarter of a circle (as a polygon, 2.5 % less).
    bent = deck_print(LineString([(0, 0), (10, 0), (10, 10)]), DECK_M).area
    assert bent == pytest.approx(2 * 7.5 - 0.375**2 + math.pi / 4 * 0.375**2, abs=0.005)


def test_dry_floor_leaves_out_strips_thinner_than_four_centimetres() -> None:
    wanted = joined(box(0, 0, 10, 0.75 + 0.03))
    assert dry_floor(wanted, [box(0, 0, 10, 0.75)]).is_empty
    wanted = joined(box(0, 0, 10, 0.75 + 0.06))
    assert dry_floor(wanted, [box(0, 0, 10, 0.75)]).area == pytest.approx(0.6, rel=0.01)


def test_wall_lines_are_the_four_walls_of_a_room_cut_to_forty_metres() -> None:
    lines = wall_lines(box(0, 0, 100, 30), DECK_M)
    assert sorted(line.length for line in lines) == pytest.approx([30, 30] + [100 / 3] * 6)
    assert max(line.length for line in lines) <= LONGEST_EDGE_M
    assert shapely.union_all(lines).length == pytest.approx(260)


def test_a_round_column_is_one_wall_line_and_a_stub_is_none() -> None:
    room = one_polygon(box(0, 0, 20, 20).difference(Point(10, 10).buffer(2, quad_segs=8)))
    round_it = [line for line in wall_lines(room, DECK_M) if line.distance(Point(10, 10)) < 3]
    assert len(round_it) == 1
    assert round_it[0].length == pytest.approx(4 * math.pi, rel=0.01)
    stub = one_polygon(box(0, 0, 20, 20).difference(box(5, 0, 5.5, 3)))
    assert all(line.length >= DECK_M for line in wall_lines(stub, DECK_M))


def test_dry_walls_get_passes_of_their_own_and_a_quiet_area_none() -> None:
    centre = box(0.5, 0.5, 9.5, 5.5)
    wanted = joined(box(0.125, 0.125, 9.875, 5.875))
    lanes = straight_lanes(0.5, 5.5)
    found = with_edges(lanes, centre, wanted, DECK_M, walls=True, number=3)
    edges = [each for each in found if each.kind == "edge"]
    assert found[: len(lanes)] == lanes
    assert {each.area for each in edges} == {3}
    # The lanes end 1 m short of the short walls, and the last one runs 0.10 m off the upper wall: a pass each.
    middles = {(round(each.line.centroid.x, 1), round(each.line.centroid.y, 1)) for each in edges}
    assert middles == {(0.5, 3.0), (9.5, 3.0), (5.0, 5.5)}
    assert dry_m2(found, wanted) < 0.3 * dry_m2(lanes, wanted)
    quiet = with_edges(lanes, centre, wanted, DECK_M, walls=False, number=3)
    assert "edge" not in {each.kind for each in quiet}


def test_a_missed_patch_in_the_middle_is_driven_through() -> None:
    centre = box(0.5, 0.5, 9.5, 5.5)
    wanted = joined(box(0.625, 0.125, 9.375, 5.875))
    lanes = [lane((0.5, float(y)), (9.5, float(y))) for y in np.arange(0.5, 5.51, 0.7)]
    gap = 3
    broken = [*lanes[:gap], lane((0.5, 2.6), (4.0, 2.6)), lane((6.5, 2.6), (9.5, 2.6)), *lanes[gap + 1 :]]
    found = with_edges(broken, centre, wanted, DECK_M, walls=True, number=0)
    patches = [each for each in found if each.kind == "patch"]
    assert all(each.line.distance(Point(5.25, 2.6)) < 0.01 for each in patches)
    assert max(each.line.length for each in patches) == pytest.approx(2.5)
    assert dry_m2(found, wanted) < dry_m2(broken, wanted) - 1.5


def test_nothing_is_added_where_nothing_is_dry() -> None:
    lanes = straight_lanes(0.5, 5.5)
    wanted = joined(box(1.5, 1, 8.5, 5))
    assert with_edges(lanes, box(0.5, 0.5, 9.5, 5.5), wanted, DECK_M, walls=True, number=0) == lanes
