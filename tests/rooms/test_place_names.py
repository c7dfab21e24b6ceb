"""What a piece of floor is called: its room, its area, or its ninth of the plan."""

import pytest
from shapely import MultiPolygon, Point, box

from scrubwright.floor.place_names import FloorPart, name_at, name_of_piece
from scrubwright.floor.site import Area, FloorPlan, NamedOutline

HALL = FloorPlan(
    name="main",
    outline=MultiPolygon([box(0, 0, 30, 30)]),
    areas=(Area(name="Goods-in", outline=box(15, 0, 30, 30)),),
    rooms=(NamedOutline(name="Store room", outline=box(25, 20, 30, 30)),),
)
BARE = FloorPlan(name="main", outline=MultiPolygon([box(0, 0, 30, 30)]))


def test_a_room_names_its_floor_before_the_area_around_it() -> None:
    assert name_at(HALL, Point(27, 25)) == "Store room"
    assert name_at(HALL, Point(20, 5)) == "Goods-in"


def test_a_piece_is_called_by_the_smallest_outline_that_holds_most_of_it() -> None:
    assert name_of_piece(HALL, box(24, 19, 30, 30)) == "Store room"
    assert name_of_piece(HALL, box(16, 0, 30, 30)) == "Goods-in"


def test_a_piece_that_no_outline_holds_most_of_is_called_by_its_largest_share() -> None:
    assert name_of_piece(HALL, box(0, 0, 16, 30)) == "Goods-in"


@pytest.mark.parametrize(
    ("x", "y", "part"),
    [
        (1, 29, FloorPart.TOP_LEFT),
        (15, 29, FloorPart.TOP),
        (29, 29, FloorPart.TOP_RIGHT),
        (1, 15, FloorPart.LEFT),
        (15, 15, FloorPart.MIDDLE),
        (30, 15, FloorPart.RIGHT),
        (0, 0, FloorPart.BOTTOM_LEFT),
        (15, 1, FloorPart.BOTTOM),
        (30, 0, FloorPart.BOTTOM_RIGHT),
    ],
)
def test_floor_without_any_name_is_called_by_where_it_lies_on_the_plan(x: float, y: float, part: FloorPart) -> None:
    assert name_at(BARE, Point(x, y)) == part
    assert name_of_piece(BARE, Point(x, y).buffer(0.1).intersection(BARE.outline)) == part
