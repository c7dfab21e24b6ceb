"""Passes in an aisle, and what one pass less would need, worked by hand and on a planned floor."""

import pytest
import shapely
from shapely import box

from scrubwright.floor.lanes import Strip, passes_needed
from scrubwright.jobs.route_why import aisle_advice, aisle_lines
from tests.rooms.plain_floors import floor_plan, plain_machine, planned_lanes

# An aisle of 3.20 m and a machine of 0.90 m with 0.05 m to spare on each side: its middle keeps 0.50 m off both
# walls and so ranges over 2.20 m; the deck of 0.75 m covers 2.20 + 0.75 = 2.95 m.
NEED_M = 3.20 - 2 * 0.50 + 0.75
# n lanes of 0.75 m that overlap by 0.05 m cover 0.05 + 0.70 n: 4 cover 2.85 m (too little), 5 cover 3.55 m.
PASSES = 5
# 4 lanes cover 2.95 m where 4 x 0.75 - 3 o = 2.95: o = 0.01667 m, 33.3 mm less than 50 mm.
LESS_M = 0.05 - (4 * 0.75 - 2.95) / 3
# A wider deck w covers 2.20 + w = 4 w - 3 x 0.05 with 4 lanes: w = 2.35 / 3 = 0.7833 m; the next full 5 cm is 0.80 m.
DECK_M = 0.80


def test_the_aisle_takes_five_passes() -> None:
    assert pytest.approx(2.95) == NEED_M
    assert passes_needed(NEED_M, 0.75, 0.05) == PASSES
    assert passes_needed(NEED_M, 0.75, 0.05 - LESS_M) == PASSES - 1
    assert passes_needed(NEED_M, 0.75, 0.05 - LESS_M + 0.001) == PASSES
    assert passes_needed(2.20 + DECK_M, DECK_M, 0.05) == PASSES - 1
    assert passes_needed(2.20 + DECK_M - 0.05, DECK_M - 0.05, 0.05) == PASSES


def test_four_passes_need_33_millimetres_less_overlap_or_a_deck_of_80_centimetres() -> None:
    strips = (
        Strip(need_m=NEED_M, passes=PASSES, length_m=30.0, area=0),
        Strip(need_m=NEED_M, passes=PASSES, length_m=20.0, area=0),
    )
    (advice,) = aisle_advice(strips, plain_machine(), 6.0)
    assert advice.aisle_m == pytest.approx(3.20)
    assert advice.passes == PASSES
    assert advice.less_overlap_m == pytest.approx(0.0333, abs=0.00005)
    assert advice.deck_m == pytest.approx(DECK_M)
    assert advice.length_m == pytest.approx(50.0)
    # One lane less in both: 50 m at 1.25 m/s, and two lane starts of 6 s.
    assert advice.saving_s == pytest.approx(50 / 1.25 + 12)


def test_the_line_says_so_where_it_saves_a_minute() -> None:
    strips = (Strip(need_m=NEED_M, passes=PASSES, length_m=90.0, area=0),)
    (line,) = aisle_lines(aisle_advice(strips, plain_machine(), 6.0), 0.75)
    told = str(line)
    assert told.startswith("Aisle 3.20 m takes 5 passes with this deck; 4 with ")
    assert dict(line.values)["less_m"] == pytest.approx(LESS_M)
    assert dict(line.values)["deck_m"] == pytest.approx(DECK_M)
    short = (Strip(need_m=NEED_M, passes=PASSES, length_m=20.0, area=0),)
    assert aisle_lines(aisle_advice(short, plain_machine(), 6.0), 0.75) == ()


def test_no_overlap_is_named_where_even_none_would_not_do() -> None:
    # 5 passes over 3.10 m: 4 lanes of 0.75 m cover 3.00 m at the most, however little they overlap.
    strip = Strip(need_m=3.10, passes=5, length_m=90.0, area=0)
    (advice,) = aisle_advice((strip,), plain_machine(), 6.0)
    assert advice.less_overlap_m is None
    # (3.10 - 0.75) / 3 + 0.05 = 0.833 m.
    assert advice.deck_m == pytest.approx(0.85)
    (line,) = aisle_lines((advice,), 0.75)
    assert "overlap" not in str(line)


def test_two_passes_or_one_call_for_no_advice() -> None:
    strips = tuple(Strip(need_m=0.7 * n + 0.05, passes=n, length_m=900.0, area=0) for n in (1, 2))
    assert aisle_advice(strips, plain_machine(), 6.0) == ()


@pytest.mark.parametrize(
    ("changes", "passes"), [({}, PASSES), ({"overlap_m": 0.05 - LESS_M}, PASSES - 1), ({"deck_width_m": 0.80}, 4)]
)
def test_a_planned_aisle_of_that_width_has_these_passes(changes: dict[str, float], passes: int) -> None:
    # Two racks of 18 m stand 3.20 m apart, with wide floor around.
    plan = floor_plan(box(0, 0, 26, 20), racks=(box(4, 6, 22, 8), box(4, 11.2, 22, 13.2)))
    vehicle = plain_machine(**changes)
    lanes = planned_lanes(plan, vehicle)
    across = shapely.LineString([(13, 8), (13, 11.2)])
    assert len([each for each in lanes.lanes if each.line.intersects(across)]) == passes
    advice = [each for each in aisle_advice(lanes.strips, vehicle, 6.0) if each.aisle_m == pytest.approx(3.20)]
    assert [each.passes for each in advice] == [passes]
