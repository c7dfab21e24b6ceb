"""Life curves and cycle counting against printed tables."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.ageing import TABLE_LIFE, life_cycles, swings
from scrubwright.battery.pack import LifeAtDepth

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_life.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"depth {row['depth']}")
def test_the_default_curve_is_where_the_printed_table_crosses_eighty_percent(row: dict[str, str]) -> None:
    before, after = float(row["before_percent"]), float(row["after_percent"])
    first, last = float(row["before_cycles"]), float(row["after_cycles"])
    crossing = first + (last - first) * (before - 80) / (before - after)
    assert life_cycles(float(row["depth"])) == pytest.approx(crossing, abs=0.1)
    assert life_cycles(float(row["depth"])) == pytest.approx(float(row["printed"]), abs=1)


# Page of a dealer of golf-cart blocks: 225 discharges at 80 %, 750 at 50 %; pages of fork-lift dealers: tubular
# traction cells 1500 at 80 %. The default lies between; nobody should read more into it.
def test_the_default_curve_lies_between_printed_lives_that_differ_sevenfold() -> None:
    assert 225 < life_cycles(0.8) < 1500
    golf_cart = (
        LifeAtDepth(depth_fraction=0.5, life_cycles=750.0),
        LifeAtDepth(depth_fraction=0.8, life_cycles=225.0),
    )
    assert life_cycles(0.8, golf_cart) == pytest.approx(225)
    assert life_cycles(0.5, golf_cart) == pytest.approx(750)
    assert 225 < life_cycles(0.65, golf_cart) < 750


# A support page of an energy modelling tool: about 500 full cycles typical, 1000 for the best; the default is less.
def test_the_default_full_cycles_are_no_more_than_printed_ones() -> None:
    full = [point.life_cycles * point.depth_fraction for point in TABLE_LIFE]
    assert max(full) < 500


# ASTM E1049-85 (2017), section 5.4.4, figure 6: peaks and valleys -2, 1, -3, 5, -1, 3, -4, 4, -2 give ranges
# 3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5. Here moved by 4 and divided by 9.
def test_swings_are_counted_as_in_the_standard() -> None:
    course = [(value + 4) / 9 for value in (-2, 1, -3, 5, -1, 3, -4, 4, -2)]
    counted: dict[int, float] = {}
    for swing in swings(course):
        width = round(9 * swing.depth_fraction)
        counted[width] = counted.get(width, 0) + swing.count_cycles
    assert counted == {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}
