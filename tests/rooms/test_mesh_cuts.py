"""Sections and footprints of small meshes whose shape is known."""

import numpy as np
import pytest
from shapely import Point

from scrubwright.paperwork.mesh_cuts import Points, Triangles, footprint, section, seen_from_above, upward

_SIDES = [(0, 2, 1), (0, 3, 2), (4, 5, 6), (4, 6, 7), (0, 1, 5), (0, 5, 4), (1, 2, 6), (1, 6, 5)]
_SIDES += [(2, 3, 7), (2, 7, 6), (3, 0, 4), (3, 4, 7)]


def block(x_m: float, y_m: float, z_m: float, long_m: float, wide_m: float, high_m: float) -> tuple[Points, Triangles]:
    low = [(0, 0, 0), (long_m, 0, 0), (long_m, wide_m, 0), (0, wide_m, 0)]
    corners = np.array([*low, *((x, y, high_m) for x, y, _ in low)], dtype=np.float64)
    return corners + np.array([x_m, y_m, z_m]), np.array(_SIDES, dtype=np.int64)


def both(*meshes: tuple[Points, Triangles]) -> tuple[Points, Triangles]:
    starts = np.cumsum([0, *(len(corners) for corners, _ in meshes)])
    triangles = [each + start for (_, each), start in zip(meshes, starts, strict=False)]
    return np.concatenate([corners for corners, _ in meshes]), np.concatenate(triangles)


def test_a_block_is_cut_to_its_own_outline() -> None:
    solid, loose = section(*block(1, 2, 0, 3, 0.2, 2.5), height_m=1.0)
    assert solid.bounds == pytest.approx((1, 2, 4, 2.2))
    assert solid.area == pytest.approx(0.6)
    assert loose == ()


def test_a_plane_through_the_top_or_past_it_cuts_nothing() -> None:
    assert section(*block(0, 0, 0, 1, 1, 1), height_m=1.5)[0].is_empty
    assert section(*block(0, 0, 0, 1, 1, 1), height_m=-0.5)[0].is_empty


def test_a_plane_through_corners_of_the_mesh_still_cuts_once() -> None:
    solid, loose = section(*both(block(0, 0, 0, 2, 1, 1.0), block(0, 0, 1.0, 2, 1, 1.0)), height_m=1.0)
    assert solid.area == pytest.approx(2.0)
    assert loose == ()


def test_blocks_that_overlap_are_one_solid_not_a_hole() -> None:
    solid, _ = section(*both(block(0, 0, 0, 2, 1, 2), block(1, 0, 0, 2, 1, 2)), height_m=1.0)
    assert solid.area == pytest.approx(3.0)


def test_a_pipe_is_cut_to_a_ring() -> None:
    outer, inner = block(0, 0, 0, 3, 3, 2), block(1, 1, 0, 1, 1, 2)
    corners, triangles = both(outer, inner)
    walls = np.array([face for face in triangles.tolist() if len({corners[corner][2] for corner in face}) == 2])
    # One body: a triangle joins the two, below the cut.
    joined = np.vstack([walls, [[0, 1, 8]]])
    solid, _ = section(corners, joined, height_m=1.0)
    assert solid.area == pytest.approx(8.0)
    assert not solid.contains(Point(1.5, 1.5))


def test_an_open_sheet_is_cut_to_a_line() -> None:
    corners = np.array([(0, 0, 0), (4, 0, 0), (4, 0, 2), (0, 0, 2)], dtype=np.float64)
    solid, (line,) = section(corners, np.array([(0, 1, 2), (0, 2, 3)]), height_m=1.0)
    assert solid.is_empty
    assert line.length == pytest.approx(4.0)


def test_a_footprint_counts_what_reaches_into_the_band() -> None:
    table = both(block(0, 0, 0.70, 2, 1, 0.05), block(0.9, 0.4, 0, 0.1, 0.1, 0.70), block(5, 5, 2.5, 1, 1, 0.2))
    assert footprint(*table, low_m=0.05, high_m=2.0).area == pytest.approx(2.0, abs=1e-6)
    assert footprint(*table, low_m=3.0, high_m=4.0).is_empty


def test_only_the_upper_side_faces_up() -> None:
    corners, triangles = block(0, 0, 0, 2, 3, 0.2)
    top = upward(corners, triangles)
    assert len(top) == 2
    assert corners[top][:, :, 2].min() == pytest.approx(0.2)
    assert seen_from_above(corners, top).area == pytest.approx(6.0)
