"""How many passes fit and where they run."""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import LineString, affinity, box

from scrubwright.floor.cells import Cell, Row
from scrubwright.floor.frame import Frame
from scrubwright.floor.lanes import lane_levels_m, passes_needed, swept_lanes
from tests.rooms.plain_floors import one_polygon, plain_machine

VEHICLE = plain_machine()


def cell(low_m: float, high_m: float, *, below: bool, above: bool, long_m: float = 10.0) -> Cell:
    row = Row(low_y_m=low_m, high_y_m=high_m, low_x_m=0.0, high_x_m=long_m, wall_at_low=True, wall_at_high=True)
    return Cell(rows=(row,), wall_below=below, wall_above=above)


def levels_m(*cells: Cell) -> tuple[NDArray[np.float64], ...]:
    return lane_levels_m(cells, VEHICLE)


@pytest.mark.parametrize(
    ("need_m", "passes"), [(0.10, 1), (0.75, 1), (0.76, 2), (1.45, 2), (1.46, 3), (2.15, 3), (2.16, 4), (7.05, 10)]
)
def test_n_lanes_cover_one_deck_and_a_pitch_for_each_further(need_m: float, passes: int) -> None:
    assert passes_needed(need_m, 0.75, 0.05) == passes


@pytest.mark.parametrize("high_m", [1.0, 2.2, 2.9, 3.3, 7.0, 11.3])
def test_between_two_walls_lanes_are_spread_evenly_and_overlap_enough(high_m: float) -> None:
    (found_m,) = levels_m(cell(0.0, high_m, below=True, above=True))
    # The outer lanes run as near to the walls as the machine fits: on the border of where its middle may be.
    assert found_m[[0, -1]] == pytest.approx([0.0, high_m])
    steps_m = np.diff(found_m)
    assert steps_m == pytest.approx([steps_m[0]] * len(steps_m))
    assert 0.75 - steps_m.max() >= 0.05 - 1e-9
    # One lane less would not do.
    assert (high_m + 0.75) > 0.05 + 0.70 * (len(found_m) - 1)


def test_an_aisle_as_wide_as_the_machine_has_one_lane_in_its_middle() -> None:
    (found_m,) = levels_m(cell(4.0, 4.0 + 1e-9, below=True, above=True))
    assert found_m == pytest.approx([4.0])


@pytest.mark.parametrize(("below", "above", "wall_m"), [(True, False, 0.0), (False, True, 5.0)])
def test_from_a_wall_the_widest_spacing_reaches_past_the_open_side(below: bool, above: bool, wall_m: float) -> None:
    (found_m,) = levels_m(cell(0.0, 5.0, below=below, above=above))
    ordered_m = found_m if below else 5.0 - found_m[::-1]
    # 5.00 + 0.375 m take 8 lanes; they start on the wall, 0.70 m apart, and end at 4.90 + 0.375 or on the border.
    assert (found_m if below else found_m[::-1])[0] == wall_m
    assert ordered_m == pytest.approx(np.minimum(0.70 * np.arange(8), 5.0))


def test_between_open_sides_the_deck_begins_at_the_border() -> None:
    (found_m,) = levels_m(cell(0.0, 2.0, below=False, above=False))
    assert found_m == pytest.approx([0.375, 1.075, 1.775])


def test_a_cell_goes_on_in_step_with_the_one_below_it() -> None:
    lower, upper = cell(0.0, 2.0, below=True, above=False), cell(2.0, 6.0, below=False, above=False)
    lower_m, upper_m = levels_m(lower, upper)
    # The last lane below covers up to its level and half a deck; the next lane overlaps that by 0.05 m.
    assert upper_m[0] - lower_m[-1] == pytest.approx(0.70)


def test_a_cell_that_hardly_touches_the_one_below_starts_at_its_own_border() -> None:
    lower = cell(0.0, 2.0, below=True, above=False, long_m=2.0)
    upper = cell(2.0, 6.0, below=False, above=False)
    assert levels_m(lower, upper)[1][0] == pytest.approx(2.375)


def test_a_strip_that_the_lanes_below_have_covered_gets_no_lane() -> None:
    lower, upper = cell(0.0, 2.0, below=True, above=False), cell(2.0, 2.3, below=False, above=False)
    lower_m, upper_m = levels_m(lower, upper)
    assert lower_m[-1] + 0.375 - 0.05 > 2.3 - 0.03 or len(upper_m) == 1
    (covered_m,) = levels_m(replace(upper, wall_below=True, wall_above=True))
    assert len(covered_m) == 2


def by_level(lines: list[LineString]) -> list[tuple[float, float, float]]:
    return sorted((round(line.coords[0][1], 3), line.bounds[0], line.bounds[2]) for line in lines)


def test_a_room_is_swept_from_wall_to_wall() -> None:
    centre = box(0.5, 0.5, 9.5, 3.1)
    lanes, strips = swept_lanes(centre, centre, Frame(angle_rad=0.0), VEHICLE, number=4)
    along = [lane.line for lane in lanes if lane.line.bounds[3] - lane.line.bounds[1] < 0.01]
    assert along[0].bounds[1] == pytest.approx(0.5, abs=0.001)
    assert along[-1].bounds[1] == pytest.approx(3.1, abs=0.001)
    assert {(lane.kind, lane.area) for lane in lanes} == {("lane", 4)}
    assert all(centre.buffer(1e-6).covers(lane.line) for lane in lanes)
    # 2.6 m for the deck's middle and the deck: 3.35 m take 5 passes.
    assert [strip.need_m for strip in strips] == pytest.approx([3.35])
    assert [strip.passes for strip in strips] == [5]


def test_a_turned_room_has_the_same_lanes_turned() -> None:
    centre = box(0.5, 0.5, 9.5, 3.1)
    turned = affinity.rotate(centre, 30, origin=(0, 0))
    plain, _ = swept_lanes(centre, centre, Frame(angle_rad=0.0), VEHICLE, number=0)
    found, _ = swept_lanes(turned, turned, Frame(angle_rad=math.radians(30)), VEHICLE, number=0)
    assert len(found) == len(plain)
    for one, other in zip(plain, found, strict=True):
        assert affinity.rotate(one.line, 30, origin=(0, 0)).hausdorff_distance(other.line) < 0.01


def test_lanes_that_meet_a_short_gap_of_free_floor_are_joined_across_it() -> None:
    # Two aisles of 12 m in line with a cross aisle of 2.2 m between their racks.
    racks = [box(3, y, 3 + 12, y + 1) for y in (2.5, 6)] + [box(17.2, y, 17.2 + 12, y + 1) for y in (2.5, 6)]
    centre = box(0.5, 0.5, 31, 9)
    for rack in racks:
        centre = one_polygon(centre.difference(rack.buffer(0.5, join_style="mitre")))
    lanes, _ = swept_lanes(centre, centre, Frame(angle_rad=0.0), VEHICLE, number=0)
    middle = [each.line for each in lanes if abs(each.line.coords[0][1] - 4.75) < 0.8 and each.line.length > 5]
    assert middle
    assert all(line.length > 24 for line in middle)


def test_a_ramp_is_swept_one_way_whatever_its_shape() -> None:
    ramp = box(0, 0, 3, 14)
    lanes, _ = swept_lanes(ramp, ramp, Frame(angle_rad=0.0), VEHICLE, number=0, one_way=True)
    assert lanes
    assert all(lane.line.bounds[3] - lane.line.bounds[1] < 1e-9 for lane in lanes)
