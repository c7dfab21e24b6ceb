"""Where there is room to turn, and where a lane must be left backwards."""

import math

import numpy as np
import pytest
from shapely import LineString, MultiPolygon, Point, box

from scrubwright.floor.free_floor import free_floor
from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.links import Network, backed_out, network
from scrubwright.floor.turns import turning_floor
from tests.rooms.plain_floors import floor_plan, joined, lane, plain_machine, plain_service

# The machine needs 1.00 m to drive and 2.2 m to turn.
VEHICLE = plain_machine()
HALL = box(0, 0, 8, 8)
DEAD_END = joined(HALL, box(8, 3, 20, 4.6))
THROUGH = joined(HALL, box(8, 3, 20, 4.6), box(20, 0, 28, 8))


def joined_up(floor: MultiPolygon, *lanes: LaneLine) -> Network:
    plan = floor_plan(*floor.geoms)
    free = free_floor(plan, VEHICLE, ((2.0, 2.0),))
    return network(lanes, free.free, free.centre, VEHICLE, plain_service(plan))


def backing_m(floor: MultiPolygon, *lanes: LaneLine) -> list[float]:
    """How far the machine reverses at both ends of each lane; the parking place's ends left out."""
    found: list[float] = joined_up(floor, *lanes).back_m[2:].tolist()
    return found


def test_an_aisle_as_wide_as_the_turning_aisle_is_room_to_turn_and_a_narrower_one_is_none() -> None:
    assert turning_floor(joined(box(0, 0, 20, 2.2)), VEHICLE).contains(Point(10, 1.1))
    assert turning_floor(joined(box(0, 0, 20, 2.1)), VEHICLE).is_empty


def test_corners_of_a_hall_and_narrow_aisles_are_no_room_to_turn() -> None:
    room = turning_floor(DEAD_END, VEHICLE)
    assert room.contains(Point(4, 4))
    assert room.contains(Point(7.9, 6.0))
    assert not room.contains(Point(0.1, 0.1))
    assert not room.contains(Point(12, 3.8))


def test_in_the_hall_nobody_backs_out() -> None:
    assert backing_m(DEAD_END, lane((1, 4), (7, 4)), lane((0.5, 0.5), (0.5, 7.5))) == [0, 0, 0, 0]


def test_a_dead_end_is_left_backwards_as_far_as_the_hall() -> None:
    back_m = backing_m(DEAD_END, lane((4, 3.8), (19.5, 3.8)))
    assert back_m[0] == 0
    # The hall ends at 8 m; the disc of 2.2 m that turns there bulges into the aisle's mouth by less than half a metre.
    assert back_m[1] == pytest.approx(19.5 - 8.0, abs=0.6)


def test_a_lane_that_begins_inside_the_dead_end_is_backed_out_of_whole() -> None:
    # Its inner end has no room on the whole lane; its outer end is 2 m from the hall and drives on to it.
    assert backing_m(DEAD_END, lane((10, 3.8), (19.5, 3.8))) == pytest.approx([0.0, 9.5])


def test_a_through_aisle_is_left_forwards() -> None:
    assert backing_m(THROUGH, lane((8.2, 3.8), (19.8, 3.8))) == [0, 0]


def test_along_a_bent_lane_the_way_back_follows_the_bend() -> None:
    # A corridor runs 6 m east and then 5 m north to a dead end; along the lane that is 6 + 5 less the hall's share.
    bent = joined(HALL, box(8, 3, 14, 4.6), box(12.4, 3, 14, 10))
    corridor = lane((4, 3.8), (13.2, 3.8), (13.2, 9.5))
    back_m = backing_m(bent, corridor)
    assert back_m[0] == 0
    assert back_m[1] == pytest.approx((13.2 - 8.0) + (9.5 - 3.8), abs=0.6)
    way = backed_out((corridor,), 3, back_m[1])
    assert way.coords[0] == (13.2, 9.5)
    assert (13.2, 3.8) in list(way.coords)
    assert way.coords[-1] == pytest.approx((13.2 - (back_m[1] - 5.7), 3.8))


def test_backing_out_takes_its_time_and_the_way_on_starts_where_it_ends() -> None:
    along, beside = lane((4, 3.8), (19.5, 3.8)), lane((1, 6), (7, 6))
    net = joined_up(DEAD_END, along, beside)
    back_m = float(net.back_m[3])
    assert back_m > 10
    assert net.backing_s(3, VEHICLE) == pytest.approx(back_m / 0.6 + 2 * 2.5)
    assert net.backing_s(2, VEHICLE) == 0
    assert net.travel.points_m[3] == pytest.approx([19.5 - back_m, 3.8])
    # Straight on from there to the lane beside it, with a turn at either end.
    least_s = math.hypot(19.5 - back_m - 7, 6 - 3.8) / 1.5 + net.backing_s(3, VEHICLE)
    assert float(net.links.link_s[3, 5]) > least_s
    assert float(net.links.link_s[3, 5]) < least_s + 2 * math.pi * 0.45 / 0.6 + 0.1


def test_links_are_symmetric_and_a_lanes_own_ends_cost_nothing() -> None:
    net = joined_up(DEAD_END, lane((4, 3.8), (19.5, 3.8)), lane((1, 6), (7, 6)), lane((1, 6.7), (7, 6.7)))
    link_s = net.links.link_s
    assert np.array_equal(link_s, link_s.T)
    own = np.arange(2, len(link_s))
    assert (link_s[own, own ^ 1] == 0).all()
    assert (link_s >= 0).all()


def test_the_lane_beside_takes_a_u_turn_and_the_rest_of_a_cut_lane_nothing() -> None:
    upper, lower = lane((1, 6), (7, 6)), lane((1, 5.3), (7, 5.3))
    first, rest = lane((1, 2), (4, 2)), lane((4, 2), (7, 2))
    net = joined_up(joined(HALL), upper, lower, first, rest)
    link_s = net.links.link_s
    # 0.70 m aside at a radius of 0.45 m: worked in tests/worked/test_turn_times.py.
    assert float(link_s[3, 5]) == pytest.approx(3.8, abs=0.05)
    assert float(link_s[7, 8]) == 0.0


def test_deck_and_squeegee_cost_their_time_on_every_link() -> None:
    lanes = (lane((1, 6), (7, 6)), lane((1, 4), (7, 4)))
    plan = floor_plan(HALL)
    found_s = []
    for deck_cycle_s in (0.0, 5.0):
        vehicle = plain_machine(deck_cycle_s=deck_cycle_s)
        free = free_floor(plan, vehicle, ((2.0, 2.0),))
        net = network(lanes, free.free, free.centre, vehicle, plain_service(plan))
        found_s.append(float(net.links.link_s[3, 5]))
    assert found_s[1] - found_s[0] == pytest.approx(5.0, abs=1e-4)


def test_the_way_to_drain_and_tap_is_its_length_over_speed_with_the_turn_at_the_start() -> None:
    net = joined_up(joined(HALL), lane((3, 1), (7, 1)))
    # From (3, 1), leaving westwards, straight on for 2 m to the closet at (1, 1).
    assert float(net.links.loads.to_drain_s[2, 0]) == pytest.approx(2 / 1.5, abs=0.01)
    # From (7, 1), leaving eastwards: half a turn first.
    assert float(net.links.loads.to_drain_s[3, 0]) == pytest.approx(6 / 1.5 + math.pi * 0.45 / 0.6, abs=0.01)
    assert LineString(net.travel.way_m(2, net.drain_point(0))).length == pytest.approx(2, abs=0.01)
