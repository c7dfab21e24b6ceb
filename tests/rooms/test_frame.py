"""The direction that most walls share."""

import math

import numpy as np
import pytest
from shapely import MultiPolygon, affinity, box

from scrubwright.floor.frame import Frame, segments_m, wall_frame


@pytest.mark.parametrize("angle_deg", [-44, -30, -1, 0, 7, 12.5, 30, 44])
def test_the_frame_of_a_turned_rectangle_is_turned_as_much(angle_deg: float) -> None:
    turned = affinity.rotate(box(0, 0, 30, 12), angle_deg, origin=(3, 4))
    assert math.degrees(wall_frame(turned).angle_rad) == pytest.approx(angle_deg, abs=1e-6)


@pytest.mark.parametrize("angle_deg", [60, 90, 135, 200])
def test_walls_a_quarter_turn_apart_are_one_direction(angle_deg: float) -> None:
    turned = affinity.rotate(box(0, 0, 30, 12), angle_deg)
    off_deg = (math.degrees(wall_frame(turned).angle_rad) - angle_deg) % 90
    assert min(off_deg, 90 - off_deg) == pytest.approx(0, abs=1e-6)


def test_the_longer_walls_decide() -> None:
    hall, stage = box(0, 0, 40, 20), affinity.rotate(box(60, 0, 70, 6), 30)
    assert wall_frame(MultiPolygon([hall, stage])).angle_rad == 0.0
    small = affinity.scale(hall, 0.1, 0.1, origin=(0, 0))
    assert math.degrees(wall_frame(MultiPolygon([small, stage])).angle_rad) == pytest.approx(30, abs=1e-6)


def test_walls_a_little_out_of_true_are_averaged_by_length() -> None:
    # 30 m at 0.2 degrees and 10 m at -0.2 degrees, and their like across: 0.1 degrees.
    pair = MultiPolygon(
        [affinity.rotate(box(0, 0, 30, 30), 0.2), affinity.rotate(box(50, 0, 60, 10), -0.2, origin=(50, 0))]
    )
    assert math.degrees(wall_frame(pair).angle_rad) == pytest.approx(0.1, abs=1e-3)


def test_inside_a_frame_its_walls_lie_along_the_axes_and_come_back_outside() -> None:
    frame = Frame(angle_rad=math.radians(25))
    turned = affinity.rotate(box(2, 1, 9, 5), 25, origin=(0, 0))
    assert frame.inside(turned).bounds == pytest.approx((2, 1, 9, 5))
    points_m = np.array([[2.0, 1.0], [9.0, 5.0]])
    corners = {(round(x, 6), round(y, 6)) for x, y in turned.exterior.coords}
    assert {(round(x, 6), round(y, 6)) for x, y in frame.outside_m(points_m).tolist()} <= corners


def test_the_edges_of_a_shape_are_those_of_all_its_rings() -> None:
    edges_m = segments_m(box(0, 0, 10, 8).difference(box(4, 3, 6, 5)))
    assert edges_m.shape == (8, 2, 2)
    assert np.hypot(*(edges_m[:, 1] - edges_m[:, 0]).T).sum() == pytest.approx(2 * 18 + 2 * 4)
