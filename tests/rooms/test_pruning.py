"""Lanes that others cover are left out, and no more dry floor than that stands for."""

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, affinity, box

from scrubwright.floor.edges import deck_print
from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.pruning import LEAST_OWN_FRACTION, SLIVER_M2, pruned
from tests.rooms.plain_floors import joined, lane

DECK_M = 0.75
FLOOR = joined(box(0, 0, 20, 12))


def covered_m2(lanes: list[LaneLine], wanted: MultiPolygon) -> float:
    return float(shapely.union_all([deck_print(each.line, DECK_M) for each in lanes]).intersection(wanted).area)


def test_a_lane_that_two_others_cover_goes() -> None:
    kept = [lane((1, 2.0), (15, 2.0)), lane((1, 2.6), (15, 2.6))]
    between = lane((2, 2.3), (12, 2.3))
    assert pruned([kept[0], between, kept[1]], FLOOR, DECK_M, 6.0) == kept


def test_lanes_side_by_side_all_stay_whole() -> None:
    lanes = [lane((1, 1 + 0.7 * n), (15, 1 + 0.7 * n)) for n in range(6)]
    assert pruned(lanes, FLOOR, DECK_M, 6.0) == lanes


def test_of_two_lanes_in_one_place_the_longer_stays() -> None:
    long, short = lane((1, 2), (15, 2)), lane((4, 2), (9, 2))
    assert pruned([short, long], FLOOR, DECK_M, 6.0) == [long]


def test_a_lane_outside_the_floor_wanted_goes_and_one_that_runs_out_of_it_is_cut_back() -> None:
    inside, outside, over = lane((1, 2), (15, 2)), lane((1, -5), (15, -5)), lane((10, 6), (30, 6))
    found = pruned([inside, outside, over], FLOOR, DECK_M, 6.0)
    assert len(found) == 2
    assert found[0] == inside
    assert found[1].line.bounds == pytest.approx((10, 6, 20, 6))


def test_an_end_that_others_cover_is_cut_off() -> None:
    across = [lane((x, 0.5), (x, 11.5)) for x in (1.0, 1.7, 2.4)]
    along = lane((0.7, 6), (16, 6))
    found = pruned([*across, along], FLOOR, DECK_M, 6.0)
    assert found[:3] == across
    assert found[3].line.bounds[0] == pytest.approx(2.4 + 0.375)


@pytest.mark.parametrize(("wide", "pieces"), [(6, 1), (12, 2)])
def test_a_stretch_in_the_middle_is_left_out_where_it_is_long_enough_to_raise_the_deck(wide: int, pieces: int) -> None:
    # 6 lanes across cover 6 x 0.70 + 0.05 = 4.25 m of the lane along, 12 of them 8.45 m; the deck comes up from 6 m.
    across = [lane((5.0 + 0.7 * n, 0.5), (5.0 + 0.7 * n, 11.5)) for n in range(wide)]
    along = lane((0.5, 6), (19.5, 6))
    found = pruned([*across, along], FLOOR, DECK_M, 6.0)
    assert len(found) == wide + pieces
    if pieces == 2:
        assert found[-2].line.bounds[2] == pytest.approx(5.0 - 0.375)
        assert found[-1].line.bounds[0] == pytest.approx(5.0 + 0.7 * (wide - 1) + 0.375)


@pytest.mark.parametrize("seed", range(12))
def test_coverage_falls_by_no_more_than_the_lanes_left_out_may_own(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lanes = []
    for _ in range(30):
        x_m, y_m, long_m = rng.uniform(1, 19), rng.uniform(1, 11), rng.uniform(1, 8)
        line = affinity.rotate(lane((x_m, y_m), (x_m + long_m, y_m)).line, float(rng.choice([0, 90, 37])))
        lanes.append(LaneLine(line=line, kind="lane", area=0))
    before_m2 = covered_m2(lanes, FLOOR)
    found = pruned(lanes, FLOOR, DECK_M, 6.0)
    print_m2 = [deck_print(each.line, DECK_M).area for each in lanes]
    # A lane goes whole where it owns less than 4 % of its print, or than 0.2 m2; pieces under 0.04 m2 do not count.
    allowed_m2 = sum(max(LEAST_OWN_FRACTION * each, 0.2) for each in print_m2) + len(lanes) * 4 * SLIVER_M2
    assert before_m2 - allowed_m2 <= covered_m2(found, FLOOR) <= before_m2 + 1e-6
    assert sum(each.line.length for each in found) <= sum(each.line.length for each in lanes) + 1e-6


def test_pruning_again_changes_nothing() -> None:
    lanes = [lane((1, 1 + 0.35 * n), (15 + n % 3, 1 + 0.35 * n)) for n in range(12)]
    once = pruned(lanes, FLOOR, DECK_M, 6.0)
    assert pruned(once, FLOOR, DECK_M, 6.0) == once
    assert len(once) < len(lanes)
