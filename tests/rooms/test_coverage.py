"""Covered floor, by polygons and by counted points."""

import math

import numpy as np
import pytest
from shapely import LineString, MultiPolygon, Point, box

from scrubwright.floor.coverage import counted_fraction, measured_coverage
from scrubwright.floor.lanes import LaneLine
from tests.rooms.plain_floors import joined, lane

DECK_M = 0.75
# A fifth of a percentage point.
NEAR = 0.002


def test_known_lanes_cover_a_known_share() -> None:
    # 10 m by 3 m; two lanes of 8 m that overlap by 0.25 m: 8 x 1.25 = 10 m2 of 30 m2, 2 m2 twice.
    found = measured_coverage([lane((1, 1), (9, 1)), lane((1, 1.5), (9, 1.5))], joined(box(0, 0, 10, 3)), DECK_M)
    assert found.coverage_fraction == pytest.approx(1 / 3)
    assert found.overlap_fraction == pytest.approx(0.2)
    assert found.covered.area == pytest.approx(10)
    assert found.dry.area == pytest.approx(20, abs=0.01)
    assert found.raster_coverage_fraction == pytest.approx(1 / 3, abs=NEAR)


def test_floor_that_nobody_wants_does_not_count() -> None:
    half_outside = lane((-5, 1), (5, 1))
    found = measured_coverage([half_outside], joined(box(0, 0, 10, 2)), DECK_M)
    assert found.coverage_fraction == pytest.approx(5 * 0.75 / 20)
    assert counted_fraction([half_outside], joined(box(0, 0, 10, 2)), DECK_M) == pytest.approx(5 * 0.75 / 20, abs=NEAR)


def bent_lanes() -> dict[str, list[LaneLine]]:
    zigzag = [(1.0, 1.0), (4.0, 3.0), (7.0, 1.5), (9.0, 6.0), (3.0, 5.0), (1.0, 7.5)]
    arc = [(5 + 3 * math.cos(turn), 4 + 3 * math.sin(turn)) for turn in np.linspace(0, 5, 40)]
    rng = np.random.default_rng(2)
    walk = np.array([5.0, 4.0]) + np.cumsum(rng.normal(0, 0.8, (40, 2)), axis=0)
    return {
        "right angles": [lane((1, 1), (9, 1), (9, 7), (1, 7), (1, 3), (6, 3))],
        "zigzag": [lane(*zigzag)],
        "arc": [lane(*arc)],
        "round a column": [LaneLine(line=LineString(Point(5, 4).buffer(1.2).exterior.coords), kind="edge", area=0)],
        "wild": [lane(*[(float(x), float(y)) for x, y in walk.clip((0.5, 0.5), (9.5, 7.5))])],
    }


@pytest.mark.parametrize("name", bent_lanes())
def test_on_bent_lanes_both_ways_of_measuring_agree_within_a_fifth_of_a_point(name: str) -> None:
    wanted: MultiPolygon = joined(box(0, 0, 10, 8).difference(box(4.2, 3.4, 5.6, 4.6)))
    found = measured_coverage(bent_lanes()[name], wanted, DECK_M)
    assert found.coverage_fraction > 0.05
    assert found.raster_coverage_fraction == pytest.approx(found.coverage_fraction, abs=NEAR)


def test_lanes_of_nothing_cover_nothing() -> None:
    wanted = joined(box(0, 0, 10, 8))
    assert counted_fraction([], wanted, DECK_M) == 0
    assert measured_coverage([], wanted, DECK_M).overlap_fraction == 0
    assert measured_coverage([], wanted, DECK_M).dry.area == pytest.approx(80, abs=0.01)
