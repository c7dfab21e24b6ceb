"""Coverage counted on a raster, with none of the planner's geometry: the independent check."""

import itertools

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

PIXEL_M = 0.025
# The raster lies askew, so that walls drawn in round centimetres do not all fall between its rows.
ASKEW_RAD = 0.37


def covered_fraction(wanted: MultiPolygon, lanes_m: list[NDArray[np.float64]], *, deck_width_m: float) -> float:
    """Share of the pixels of `wanted` whose middle lies under the deck on some lane.

    Parameters
    ----------
    wanted
        Floor that counts [m].
    lanes_m
        Way of the deck's centre on each lane [m], shapes (n, 2).
    deck_width_m
        Deck width [m]; the deck's ends are square, and at a bend it turns about its middle.
    """
    turn = np.array([[np.cos(ASKEW_RAD), np.sin(ASKEW_RAD)], [-np.sin(ASKEW_RAD), np.cos(ASKEW_RAD)]])
    wanted = shapely.transform(wanted, lambda points_m: points_m @ turn)
    x0, y0, x1, y1 = wanted.bounds
    columns, rows = int((x1 - x0) / PIXEL_M) + 2, int((y1 - y0) / PIXEL_M) + 2
    origin_m = np.array([x0, y0]) - PIXEL_M / 2
    floor = _filled(wanted, origin_m, columns, rows)
    wet = np.zeros((rows, columns), dtype=bool)
    for floor_points_m in lanes_m:
        points_m = floor_points_m @ turn
        for start_m, end_m in itertools.pairwise(points_m):
            _wet_along(wet, start_m, end_m, origin_m, deck_width_m / 2)
        for before_m, bend_m, after_m in zip(points_m, points_m[1:], points_m[2:], strict=False):
            _wet_around(wet, before_m, bend_m, after_m, origin_m, deck_width_m / 2)
    return float((floor & wet).sum() / floor.sum())


def _filled(shape: MultiPolygon, origin_m: NDArray[np.float64], columns: int, rows: int) -> NDArray[np.bool_]:
    """The pixels whose middle lies in a shape: those with an odd number of edges to their left."""
    crossings = np.zeros((rows, columns + 1), dtype=np.int32)
    for part in shape.geoms:
        for ring in (part.exterior, *part.interiors):
            corners = (np.asarray(ring.coords)[:, :2] - origin_m) / PIXEL_M - 0.5
            for start, end in itertools.pairwise(corners):
                low, high = (start, end) if start[1] <= end[1] else (end, start)
                crossed = np.arange(max(0, int(np.ceil(low[1]))), min(rows, int(np.ceil(high[1]))))
                if crossed.size:
                    x = low[0] + (high[0] - low[0]) * (crossed - low[1]) / (high[1] - low[1])
                    np.add.at(crossings, (crossed, np.ceil(x).astype(int).clip(0, columns)), 1)
    inside: NDArray[np.bool_] = np.cumsum(crossings, axis=1)[:, :columns] % 2 == 1
    return inside


def _window(
    wet: NDArray[np.bool_], low_m: NDArray[np.float64], high_m: NDArray[np.float64], origin_m: NDArray[np.float64]
) -> tuple[NDArray[np.bool_], NDArray[np.float64], NDArray[np.float64]]:
    """The part of the raster between two corners, with x of its columns and y of its rows [m]."""
    low = np.floor((low_m - origin_m) / PIXEL_M).astype(int).clip(0)
    high = np.ceil((high_m - origin_m) / PIXEL_M).astype(int) + 1
    window = wet[low[1] : high[1], low[0] : high[0]]
    x_m = origin_m[0] + (low[0] + np.arange(window.shape[1]) + 0.5) * PIXEL_M
    y_m = origin_m[1] + (low[1] + np.arange(window.shape[0]) + 0.5) * PIXEL_M
    return window, x_m[None, :], y_m[:, None]


def _wet_along(
    wet: NDArray[np.bool_],
    start_m: NDArray[np.float64],
    end_m: NDArray[np.float64],
    origin_m: NDArray[np.float64],
    half_m: float,
) -> None:
    """Mark the pixels beside one straight stretch."""
    ahead_m = end_m - start_m
    length_m = float(np.hypot(*ahead_m))
    if length_m == 0:
        return
    window, x_m, y_m = _window(wet, np.minimum(start_m, end_m) - half_m, np.maximum(start_m, end_m) + half_m, origin_m)
    along_m = ((x_m - start_m[0]) * ahead_m[0] + (y_m - start_m[1]) * ahead_m[1]) / length_m
    beside_m = ((y_m - start_m[1]) * ahead_m[0] - (x_m - start_m[0]) * ahead_m[1]) / length_m
    window |= (along_m >= 0) & (along_m <= length_m) & (np.abs(beside_m) <= half_m)


def _wet_around(
    wet: NDArray[np.bool_],
    before_m: NDArray[np.float64],
    bend_m: NDArray[np.float64],
    after_m: NDArray[np.float64],
    origin_m: NDArray[np.float64],
    half_m: float,
) -> None:
    """Mark the wedge on the outer side of a bend: past the end of one stretch and not yet beside the next."""
    window, x_m, y_m = _window(wet, bend_m - half_m, bend_m + half_m, origin_m)
    away_x_m, away_y_m = x_m - bend_m[0], y_m - bend_m[1]
    come_m, go_m = bend_m - before_m, after_m - bend_m
    past = away_x_m * come_m[0] + away_y_m * come_m[1] >= 0
    not_yet = away_x_m * go_m[0] + away_y_m * go_m[1] <= 0
    window |= past & not_yet & (away_x_m**2 + away_y_m**2 <= half_m**2)
