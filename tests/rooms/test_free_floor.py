"""Where the machine may be, what it cannot come to, and by how much."""

from dataclasses import replace

import pytest
import shapely
from shapely import MultiPolygon, box

from scrubwright.floor.free_floor import as_multipolygon, comes_to, free_floor, free_shape
from scrubwright.floor.site import Area, NamedOutline, Ramp
from scrubwright.measures.errors import BadInput
from tests.rooms.plain_floors import floor_plan, plain_machine, reached

HALL, STORE = box(0, 0, 10, 8), box(10.2, 0, 16, 8)


def through_a_door(width_m: float) -> tuple[shapely.Polygon, ...]:
    return HALL, STORE, box(9.9, 3, 10.3, 3 + width_m)


def test_the_decks_middle_keeps_half_the_gauge_from_every_wall() -> None:
    floor = reached(floor_plan(HALL), plain_machine())
    assert floor.centre.equals(box(0.5, 0.5, 9.5, 7.5))
    # The deck reaches 0.375 m further: a strip of 0.125 m stays along the walls, and the corners are round.
    assert floor.reachable.bounds == pytest.approx((0.125, 0.125, 9.875, 7.875))
    assert floor.unreached == ()


def test_obstacles_and_no_go_zones_are_no_floor() -> None:
    zone = NamedOutline(name="wet paint", outline=box(0, 0, 2, 2))
    plan = replace(floor_plan(HALL, racks=(box(4, 3, 6, 5),)), no_go=(zone,))
    assert free_shape(plan, ()).area == pytest.approx(80 - 4 - 4)
    floor = free_floor(plan, plain_machine(), ((8.0, 4.0),))
    assert floor.centre.area == pytest.approx(9 * 7 - 2 * 2 - 3 * 3)
    assert not floor.centre.intersects(box(3.51, 2.51, 6.49, 5.49))


# Tried widths go down from the gauge in twelfths of it, so that narrow doors are told too narrow.


@pytest.mark.parametrize("door_m", [0.5, 0.6, 0.7, 0.8, 0.9])
def test_a_room_behind_too_narrow_a_door_is_named_with_the_width_of_its_door(door_m: float) -> None:
    areas = (Area(name="Hall", outline=HALL), Area(name="Cold store", outline=STORE))
    floor = reached(floor_plan(*through_a_door(door_m), areas=areas), plain_machine())
    (left,) = floor.unreached
    values = dict(left.reason.values)
    assert left.name == "Cold store"
    assert values["gauge_m"] == pytest.approx(1.0)
    assert values["way_m"] == pytest.approx(door_m, rel=0.1)
    assert left.outline.area == pytest.approx(STORE.area, rel=0.02)


def test_a_door_that_just_lets_the_machine_through_opens_the_room() -> None:
    floor = reached(floor_plan(*through_a_door(1.02)), plain_machine())
    assert floor.unreached == ()
    assert floor.centre.bounds == pytest.approx((0.5, 0.5, 15.5, 7.5))


def test_a_room_without_a_door_has_no_way_in() -> None:
    (left,) = reached(floor_plan(HALL, STORE), plain_machine()).unreached
    assert "way_m" not in dict(left.reason.values)
    assert left.outline.equals(MultiPolygon([STORE]))


def test_the_piece_that_holds_the_start_counts_and_not_the_largest() -> None:
    closet = box(20, 0, 23, 3)
    floor = free_floor(floor_plan(HALL, closet), plain_machine(), ((21.0, 1.0), (5.0, 5.0)))
    assert floor.centre.equals(box(20.5, 0.5, 22.5, 2.5))


def test_a_start_in_the_wall_takes_the_floor_beside_it_and_one_far_off_is_refused() -> None:
    floor = free_floor(floor_plan(HALL), plain_machine(), ((-0.2, 4.0),))
    assert floor.centre.area == pytest.approx(63)
    with pytest.raises(BadInput, match=r"The start at -20\.00 m, 4\.00 m is 20\.50 m from any floor"):
        free_floor(floor_plan(HALL), plain_machine(), ((-20.0, 4.0),))


def test_a_floor_too_narrow_everywhere_is_refused_with_the_width_needed() -> None:
    with pytest.raises(BadInput, match=r"is wide enough: this machine needs 1\.00 m"):
        free_floor(floor_plan(box(0, 0, 30, 0.9)), plain_machine(), ((1.0, 0.4),))


def test_a_closed_ramp_cuts_off_what_lies_beyond() -> None:
    ramp = Ramp(name="Ramp", outline=box(10, 0, 14, 8), slope_fraction=0.2, uphill_rad=0.0)
    plan = floor_plan(box(0, 0, 24, 8), ramps=(ramp,))
    start = ((1.5, 2.0),)
    assert free_floor(plan, plain_machine(), start).centre.area == pytest.approx(23 * 7)
    closed = free_floor(plan, plain_machine(), start, closed=(ramp,))
    assert closed.centre.equals(box(0.5, 0.5, 9.5, 7.5))
    (left,) = closed.unreached
    assert left.outline.area == pytest.approx(80, rel=0.01)


@pytest.mark.parametrize(
    ("place_m", "comes"),
    [
        ((5.0, 5.0), True),  # on its way
        ((0.05, 4.0), True),  # by the wall
        ((-0.2, 4.0), True),  # in the wall, as taps are drawn
        ((-1.5, 4.0), False),  # beyond the wall
        ((10.6, 4.0), False),  # on floor, a metre off, with a wall between
        ((13.0, 4.0), False),  # in a room without a door
    ],
)
def test_a_place_is_reached_with_a_hose_but_not_through_a_wall(place_m: tuple[float, float], comes: bool) -> None:
    vehicle = plain_machine()
    assert comes_to(reached(floor_plan(HALL, STORE), vehicle), vehicle, place_m) is comes


@pytest.mark.parametrize(("deep_m", "comes"), [(1.2, True), (3.0, False)])
def test_a_hose_goes_a_metre_and_a_half_into_a_niche(deep_m: float, comes: bool) -> None:
    niche = box(10, 3, 10 + deep_m + 0.3, 3.6)
    vehicle = plain_machine()
    assert comes_to(reached(floor_plan(HALL, niche), vehicle), vehicle, (10 + deep_m, 3.3)) is comes


def test_a_place_in_a_room_behind_too_narrow_a_door_is_not_reached() -> None:
    vehicle = plain_machine()
    floor = reached(floor_plan(*through_a_door(0.7)), vehicle)
    assert not comes_to(floor, vehicle, (14.0, 4.0))


def test_shapes_of_other_kinds_and_slivers_fall_out_of_a_multipolygon() -> None:
    shape = shapely.union_all([box(0, 0, 1, 1), box(5, 5, 5.1, 5.1), shapely.LineString([(8, 8), (9, 9)])])
    assert as_multipolygon(shape, 0.1).equals(MultiPolygon([box(0, 0, 1, 1)]))
