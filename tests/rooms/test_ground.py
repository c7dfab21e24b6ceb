"""Where floor is, from rooms, walls and doors drawn in the ways that people draw them."""

import pytest
from shapely import LineString, MultiPolygon, Polygon, box

from scrubwright.paperwork.drawing import Piece, Role
from scrubwright.paperwork.ground import ground


def room(x0: float, y0: float, x1: float, y1: float) -> Piece:
    return Piece(role=Role.FLOOR, shape=box(x0, y0, x1, y1))


def wall(x0: float, y0: float, x1: float, y1: float) -> Piece:
    return Piece(role=Role.WALL, shape=box(x0, y0, x1, y1))


def line(role: Role, *corners: tuple[float, float]) -> Piece:
    return Piece(role=role, shape=LineString(corners))


def outline(*pieces: Piece) -> MultiPolygon:
    return ground(pieces, 0.01).outline


OUTER = line(Role.WALL, (0, 0), (20, 0), (20, 10), (0, 10), (0, 0))


def test_rooms_less_walls_plus_doorways_are_the_floor() -> None:
    split = wall(9.9, 0, 10.1, 10)
    door = Piece(role=Role.DOOR, shape=box(9.9, 4, 10.1, 5))
    assert len(outline(room(0, 0, 20, 10), split).geoms) == 2
    joined = outline(room(0, 0, 20, 10), split, door)
    assert len(joined.geoms) == 1
    assert joined.area == pytest.approx(200 - 2 + 0.2)


def test_a_closed_wall_line_encloses_floor() -> None:
    assert outline(OUTER).area == pytest.approx(200)


def test_a_lone_wall_across_the_floor_divides_it() -> None:
    divided = outline(OUTER, line(Role.WALL, (8, 0), (8, 10)))
    assert [round(part.area, 1) for part in sorted(divided.geoms, key=lambda part: part.area)] == [79.8, 119.8]


def test_a_lone_wall_that_ends_in_the_room_is_gone_round() -> None:
    (whole,) = outline(OUTER, line(Role.WALL, (8, 0), (8, 6))).geoms
    assert whole.area == pytest.approx(200 - 6 * 0.04, abs=0.01)


def test_a_door_line_on_a_lone_wall_opens_it() -> None:
    (whole,) = outline(OUTER, line(Role.WALL, (8, 0), (8, 10)), line(Role.DOOR, (8, 4), (8, 5))).geoms
    assert whole.area == pytest.approx(200 - 9 * 0.04, abs=0.02)


def test_the_faces_of_a_thick_wall_are_no_floor() -> None:
    inner = line(Role.WALL, (0.3, 0.3), (19.7, 0.3), (19.7, 9.7), (0.3, 9.7), (0.3, 0.3))
    assert outline(OUTER, inner).area == pytest.approx(19.4 * 9.4)


def test_a_small_ring_within_the_floor_is_a_column_and_a_large_one_a_room() -> None:
    column = line(Role.WALL, (5, 5), (6, 5), (6, 6), (5, 6), (5, 5))
    kiosk = line(Role.WALL, (10, 3), (14, 3), (14, 7), (10, 7), (10, 3))
    assert outline(OUTER, column).area == pytest.approx(199)
    assert sorted(part.area > 100 for part in outline(OUTER, kiosk).geoms) == [False, True]


def test_solid_walls_alone_enclose_the_floor() -> None:
    ring = Piece(role=Role.WALL, shape=Polygon(box(0, 0, 20, 10).exterior, [box(1, 1, 19, 9).exterior]))
    assert outline(ring).area == pytest.approx(18 * 8)


def test_solid_walls_that_leave_doorways_open_enclose_the_floor_too() -> None:
    walls = (
        wall(0, 0, 20, 0.2),
        wall(0, 9.8, 20, 10),
        wall(0, 0, 0.2, 10),
        wall(19.8, 0, 20, 4),
        wall(19.8, 6, 20, 10),
    )
    found = ground(walls, 0.01)
    assert found.outline.area == pytest.approx(19.6 * 9.6, abs=0.5)
    assert "openings of up to 2.50 m" in str(found.warnings[-1])


def test_a_straight_door_line_joins_rooms_drawn_apart() -> None:
    rooms = (room(0, 0, 10, 10), room(10.2, 0, 20, 10))
    assert len(outline(*rooms).geoms) == 2
    assert len(outline(*rooms, line(Role.DOOR, (10.1, 4), (10.1, 5))).geoms) == 1


def test_nothing_drawn_is_no_floor() -> None:
    assert outline().is_empty
    assert outline(line(Role.WALL, (0, 0), (5, 0))).is_empty
