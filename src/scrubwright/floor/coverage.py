"""What the lanes cover, measured twice: by polygons and by counting points."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from scrubwright.floor.edges import deck_print, dry_floor
from scrubwright.floor.free_floor import as_multipolygon
from scrubwright.floor.lanes import LaneLine

POINTS = 400_000
FINEST_STEP_M = 0.025


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Coverage:
    """Covered floor [m2] and shares of the floor wanted.

    `overlap_fraction` is floor driven again over floor driven.
    """

    covered: MultiPolygon
    dry: MultiPolygon
    coverage_fraction: float
    raster_coverage_fraction: float
    overlap_fraction: float


def measured_coverage(lanes: Sequence[LaneLine], wanted: MultiPolygon, deck_width_m: float) -> Coverage:
    """Measure the lanes against the floor wanted.

    Parameters
    ----------
    lanes
        What is driven with the deck down.
    wanted
        Floor to be covered [m].
    deck_width_m
        Deck width [m, > 0].

    **Source** union of the swept deck; geometry.
    """
    prints = [deck_print(lane.line, deck_width_m) for lane in lanes]
    wet = shapely.union_all(prints)
    covered = as_multipolygon(shapely.intersection(wet, wanted))
    driven_m2 = sum(each.area for each in prints)
    return Coverage(
        covered=covered,
        dry=dry_floor(wanted, prints),
        coverage_fraction=covered.area / wanted.area,
        raster_coverage_fraction=counted_fraction(lanes, wanted, deck_width_m),
        overlap_fraction=(driven_m2 - wet.area) / wet.area if wet.area > 0 else 0.0,
    )


def counted_fraction(lanes: Sequence[LaneLine], wanted: MultiPolygon, deck_width_m: float) -> float:
    """Share of evenly spread points of the wanted floor that some lane's deck passes over.

    Each straight piece of a lane takes the points within half a deck beside it; at a bend the outer end
    of the deck sweeps a wedge. No polygon of the lanes is made, so that this checks the union of prints.

    **Source** geometry.
    """
    low_x, low_y, high_x, high_y = wanted.bounds
    step_m = max(FINEST_STEP_M, math.sqrt((high_x - low_x) * (high_y - low_y) / POINTS))
    x_m = np.arange(low_x + step_m / 2, high_x, step_m)
    y_m = np.arange(low_y + step_m / 2, high_y, step_m)
    passed = np.zeros((len(y_m), len(x_m)), dtype=bool)
    half_m = deck_width_m / 2
    for lane in lanes:
        points_m = shapely.get_coordinates(lane.line)
        ahead = [_unit(end_m - start_m) for start_m, end_m in itertools.pairwise(points_m)]
        for start_m, end_m in itertools.pairwise(points_m):
            _pass_over(passed, x_m, y_m, start_m, end_m, half_m)
        for bend_m, (before, after) in zip(points_m[1:-1], itertools.pairwise(ahead), strict=True):
            _turn_over(passed, x_m, y_m, bend_m, half_m, before, after)
    shapely.prepare(wanted)
    inside = shapely.contains_xy(wanted, *np.meshgrid(x_m, y_m))
    return float(passed[inside].mean())


def _unit(span_m: NDArray[np.float64]) -> NDArray[np.float64]:
    return span_m / max(float(np.hypot(*span_m)), 1e-9)


def _window(
    x_m: NDArray[np.float64], y_m: NDArray[np.float64], low_m: NDArray[np.float64], high_m: NDArray[np.float64]
) -> tuple[slice, slice]:
    return slice(*np.searchsorted(y_m, (low_m[1], high_m[1]))), slice(*np.searchsorted(x_m, (low_m[0], high_m[0])))


def _pass_over(
    passed: NDArray[np.bool_],
    x_m: NDArray[np.float64],
    y_m: NDArray[np.float64],
    start_m: NDArray[np.float64],
    end_m: NDArray[np.float64],
    half_m: float,
) -> None:
    """Mark the points within half a deck beside a straight piece."""
    window = _window(x_m, y_m, np.minimum(start_m, end_m) - half_m, np.maximum(start_m, end_m) + half_m)
    away_x, away_y = x_m[window[1]] - start_m[0], (y_m[window[0]] - start_m[1])[:, None]
    ahead = _unit(end_m - start_m)
    along_m = away_x * ahead[0] + away_y * ahead[1]
    aside_m = away_x * ahead[1] - away_y * ahead[0]
    length_m = math.hypot(*(end_m - start_m))
    passed[window] |= (along_m >= 0) & (along_m <= length_m) & (np.abs(aside_m) <= half_m)


def _turn_over(
    passed: NDArray[np.bool_],
    x_m: NDArray[np.float64],
    y_m: NDArray[np.float64],
    bend_m: NDArray[np.float64],
    half_m: float,
    before: NDArray[np.float64],
    after: NDArray[np.float64],
) -> None:
    """Mark the wedge that the deck's outer end sweeps where the lane bends."""
    window = _window(x_m, y_m, bend_m - half_m, bend_m + half_m)
    away_x, away_y = x_m[window[1]] - bend_m[0], (y_m[window[0]] - bend_m[1])[:, None]
    ahead = away_x * before[0] + away_y * before[1] >= 0
    behind = away_x * after[0] + away_y * after[1] <= 0
    passed[window] |= ahead & behind & (away_x**2 + away_y**2 <= half_m**2)
