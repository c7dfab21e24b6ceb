"""From pixels to outlines: exact tracing, then specks, scraps, slits and jagged walls cleared."""

import math
import time

import numpy as np
import pytest
import shapely
from shapely import Point

from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.outlines import Mask, Pixels, floor_outlines, traced, without_slits, zone_outlines


def plain(rows: int, columns: int) -> Mask:
    """Wall all round, floor within."""
    floor = np.zeros((rows, columns), dtype=bool)
    floor[5:-5, 5:-5] = True
    return floor


def turned_hall(angle_rad: float) -> Mask:
    """A hall of 20 m x 12 m in 5 cm pixels, turned against them, a rack of 8 m x 1.2 m in it."""
    rows, columns = np.mgrid[0:640, 0:640]
    x_m, y_m = (columns + 0.5 - 320) * 0.05, (320 - rows - 0.5) * 0.05
    along = x_m * math.cos(angle_rad) + y_m * math.sin(angle_rad)
    across = y_m * math.cos(angle_rad) - x_m * math.sin(angle_rad)
    hall = (abs(along) <= 10) & (abs(across) <= 6)
    rack = (abs(along) <= 4) & (abs(across) <= 0.6)
    return np.asarray(hall & ~rack)


def test_one_pixel_is_a_square_in_its_place() -> None:
    floor = np.zeros((3, 4), dtype=bool)
    floor[0, 1] = True
    (square,) = traced(floor, size_m=0.5).geoms
    assert square.bounds == (0.5, 1.0, 1.0, 1.5)
    assert square.area == 0.25


def test_pixels_that_meet_at_a_corner_are_two_pieces() -> None:
    floor = np.array([[True, False], [False, True]])
    outline = traced(floor, size_m=1.0)
    assert len(outline.geoms) == 2
    assert outline.is_valid


def test_a_pocket_closed_by_a_corner_is_a_hole() -> None:
    floor = np.array([[1, 1, 1, 0], [1, 0, 1, 1], [1, 1, 0, 1], [0, 1, 1, 1]], dtype=bool)
    outline = traced(floor, size_m=1.0)
    assert outline.is_valid
    assert outline.area == floor.sum()


def test_the_upper_row_of_the_picture_lies_to_the_north() -> None:
    floor = plain(100, 60)
    floor[5:30, 40:] = False
    outline = floor_outlines(floor, Pixels(size_m=0.1, origin_x_m=-3.0, origin_y_m=2.0)).outline
    assert outline.bounds == pytest.approx((-2.5, 2.5, 2.5, 11.5))
    assert not outline.contains(Point(2.0, 11.0))
    assert outline.contains(Point(2.0, 3.0))


def test_a_turned_picture_is_turned_about_its_lower_left_corner() -> None:
    outline = floor_outlines(plain(100, 60), Pixels(size_m=0.1, origin_x_m=1.0, yaw_rad=math.pi / 2)).outline
    assert outline.bounds == pytest.approx((1.0 - 9.5, 0.5, 1.0 - 0.5, 5.5))


def test_specks_are_dropped_and_counted_but_posts_stay() -> None:
    floor = plain(200, 200)
    floor[50, 50] = floor[80, 120] = False
    floor[100:104, 100:104] = False
    found = floor_outlines(floor, Pixels(size_m=0.05))
    assert found.specks == 2
    assert found.speck_area_m2 == pytest.approx(0.005)
    assert sum(len(part.interiors) for part in found.outline.geoms) == 1


def test_scraps_of_floor_are_left_out_and_counted() -> None:
    floor = plain(200, 200)
    floor[0:3, 0:3] = True
    found = floor_outlines(floor, Pixels(size_m=0.05))
    assert found.scraps == 1
    assert found.scrap_area_m2 == pytest.approx(0.0225)
    assert len(found.outline.geoms) == 1


def test_a_slit_is_left_out_and_the_corners_of_the_room_are_not() -> None:
    floor = plain(200, 200)
    floor[100:104, 5:120] = False
    floor[105:110, 5:120] = floor[110:114, 5:120] = False
    floor[104:105, 5:120] = True
    outline = traced(floor, size_m=0.05)
    assert without_slits(outline, narrowest_m=0.3).area == pytest.approx(outline.area - 115 * 0.05 * 0.05, abs=1e-6)


@pytest.mark.parametrize("degrees", [0.0, 2.3, 17.0, 45.0, 61.5])
def test_a_turned_hall_keeps_its_eight_corners_and_its_area(degrees: float) -> None:
    found = floor_outlines(turned_hall(math.radians(degrees)), Pixels(size_m=0.05))
    assert found.corners == 8
    assert found.outline.area == pytest.approx(240.0 - 9.6, rel=0.003)


def test_walls_of_a_turned_hall_lie_where_they_were_drawn() -> None:
    angle_rad = math.radians(17)
    outline = floor_outlines(turned_hall(angle_rad), Pixels(size_m=0.05, origin_x_m=-16.0, origin_y_m=-16.0)).outline
    corners = np.array([(10, 6), (-10, 6), (-10, -6), (10, -6)])
    cosine, sine = math.cos(angle_rad), math.sin(angle_rad)
    drawn = corners @ np.array([[cosine, sine], [-sine, cosine]])
    assert shapely.hausdorff_distance(outline.geoms[0].exterior, shapely.LinearRing(drawn)) < 0.06


def test_a_wall_of_one_pixel_still_parts_two_rooms() -> None:
    floor = plain(200, 200)
    floor[100, :] = False
    found = floor_outlines(floor, Pixels(size_m=0.02))
    assert len(found.outline.geoms) == 2
    assert found.outline.is_valid


def test_a_thin_slanted_screen_is_not_lost() -> None:
    floor = plain(400, 400)
    for step in range(250):
        floor[100 + step // 3, 60 + step : 62 + step] = False
    found = floor_outlines(floor, Pixels(size_m=0.05))
    assert sum(len(part.interiors) for part in found.outline.geoms) == 1


def test_a_picture_without_floor_is_refused() -> None:
    with pytest.raises(BadInput, match="No piece of floor"):
        floor_outlines(np.zeros((50, 50), dtype=bool), Pixels(size_m=0.05))


def test_a_picture_full_of_grain_is_refused_before_it_costs_much() -> None:
    grain = np.random.default_rng(1).random((1500, 1500)) < 0.5
    with pytest.raises(BadInput, match="more than any building"):
        traced(grain, size_m=0.05)


@pytest.mark.parametrize("size_m", [0.0, -0.05, math.nan, math.inf])
def test_a_pixel_without_size_is_refused(size_m: float) -> None:
    with pytest.raises(BadInput, match="A pixel cannot be"):
        Pixels(size_m=size_m)


def test_a_drawn_line_is_kept_as_a_zone() -> None:
    zone = np.zeros((200, 200), dtype=bool)
    zone[100, 20:180] = True
    outline = zone_outlines(zone, Pixels(size_m=0.05))
    assert outline.area == pytest.approx(160 * 0.05 * 0.05, rel=0.05)


def test_sixteen_million_pixels_take_seconds() -> None:
    floor = plain(4000, 4000)
    floor[400:3600:200, 300:3700] = False
    start = time.process_time()
    found = floor_outlines(floor, Pixels(size_m=0.02))
    assert time.process_time() - start < 20
    assert found.corners == 4 + 4 * 16
