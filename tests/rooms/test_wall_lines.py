"""Wall directions, and which walls may be laid straight."""

import math

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, affinity, box

from scrubwright.paperwork.wall_lines import straightened, wall_directions_rad


def jagged(corners: list[tuple[float, float]], step_m: float = 0.05) -> Polygon:
    """A polygon whose walls wave by one pixel, every fifth pixel."""
    ring = shapely.segmentize(shapely.LinearRing(corners), 5 * step_m)
    points = shapely.get_coordinates(ring)[:-1]
    waves = np.where(np.arange(len(points)) % 2, step_m / 2, -step_m / 2)
    ahead = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    across = np.column_stack([-ahead[:, 1], ahead[:, 0]]) / np.hypot(*ahead.T)[:, None]
    return Polygon(points + across * waves[:, None])


def corner_count(outline: MultiPolygon) -> int:
    return int(shapely.get_num_coordinates(outline)) - len(shapely.get_rings(shapely.get_parts(outline)))


def test_the_main_direction_of_a_turned_hall_is_its_turn() -> None:
    hall = affinity.rotate(box(0, 0, 40, 20), 23, origin=(0, 0))
    assert wall_directions_rad(hall, shortest_m=0.5) == pytest.approx((math.radians(23),))


def test_two_wings_give_two_directions_the_longer_first() -> None:
    wings = MultiPolygon([box(0, 0, 60, 20), affinity.rotate(box(100, 0, 130, 10), 30)])
    assert wall_directions_rad(wings, shortest_m=0.5) == pytest.approx((0.0, math.radians(30)), abs=1e-9)


def test_jagged_walls_become_one_each() -> None:
    outline = straightened(
        MultiPolygon([jagged([(0, 0), (20, 0), (20, 8), (12, 8), (12, 14), (0, 14)])]), tolerance_m=0.06
    )
    assert corner_count(outline) == 6
    assert outline.area == pytest.approx(20 * 8 + 12 * 6, rel=0.005)


def test_a_rack_at_an_angle_keeps_its_own_direction() -> None:
    rack = affinity.rotate(box(8, 4, 14, 5.2), 37)
    room = Polygon(box(0, 0, 30, 15).exterior, [jagged(list(rack.exterior.coords)[:-1]).exterior])
    (straight,) = straightened(MultiPolygon([room]), tolerance_m=0.06).geoms
    (hole,) = straight.interiors
    assert len(hole.coords) - 1 == 4
    assert Polygon(hole).area == pytest.approx(rack.area, rel=0.03)
    assert wall_directions_rad(hole, shortest_m=0.5)[0] == pytest.approx(math.radians(37), abs=0.02)


def test_a_round_wall_stays_round() -> None:
    outline = straightened(MultiPolygon([shapely.Point(0, 0).buffer(6, quad_segs=64)]), tolerance_m=0.04)
    assert outline.area == pytest.approx(math.pi * 36, rel=0.005)
    assert shapely.hausdorff_distance(outline.boundary, shapely.Point(0, 0).buffer(6, 64).boundary) < 0.1


def test_a_thin_wall_between_two_halls_is_kept() -> None:
    halls = MultiPolygon([box(0, 0, 10, 8), box(10.02, 0, 20, 8)])
    straight = straightened(halls, tolerance_m=0.05)
    assert len(straight.geoms) == 2
    assert straight.is_valid


def test_nothing_is_left_as_nothing() -> None:
    assert straightened(MultiPolygon(), tolerance_m=0.05).is_empty
