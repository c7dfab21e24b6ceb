"""Coverage counted on a raster, with none of the planner's geometry: the independent check."""

import itertools

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon

PIXEL_M = 0.025


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
    x0, y0, x1, y1 = wanted.bounds
    columns, rows = int((x1 - x0) / PIXEL_M) + 2, int((y1 - y0) / PIXEL_M) + 2
    origin_m = np.array([x0, y0]) - PIXEL_M / 2
    floor = _filled(wanted, origin_m, columns, rows)
    wet = np.zeros((rows, columns), dtype=bool)
    for points_m in lanes_m:
        for number, (start_m, end_m) in enumerate(itertools.pairwise(points_m)):
            _wet_along(wet, start_m, end_m, origin_m, deck_width_m / 2, turns_at_start=number > 0)
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
    return np.cumsum(crossings, axis=1)[:, :columns] % 2 == 1


def _wet_along(
    wet: NDArray[np.bool_],
    start_m: NDArray[np.float64],
    end_m: NDArray[np.float64],
    origin_m: NDArray[np.float64],
    half_m: float,
    *,
    turns_at_start: bool,
) -> None:
    """Mark the pixels beside one straight stretch, and around its start where the deck turned into it."""
    low = np.floor((np.minimum(start_m, end_m) - half_m - origin_m) / PIXEL_M).astype(int).clip(0)
    high = np.ceil((np.maximum(start_m, end_m) + half_m - origin_m) / PIXEL_M).astype(int) + 1
    window = wet[low[1] : high[1], low[0] : high[0]]
    x_m = origin_m[0] + (low[0] + np.arange(window.shape[1]) + 0.5) * PIXEL_M - start_m[0]
    y_m = origin_m[1] + (low[1] + np.arange(window.shape[0]) + 0.5) * PIXEL_M - start_m[1]
    ahead_m = end_m - start_m
    length_m = float(np.hypot(*ahead_m))
    if length_m == 0:
        return
    along_m = (x_m[None, :] * ahead_m[0] + y_m[:, None] * ahead_m[1]) / length_m
    beside_m = (y_m[:, None] * ahead_m[0] - x_m[None, :] * ahead_m[1]) / length_m
    window |= (along_m >= 0) & (along_m <= length_m) & (np.abs(beside_m) <= half_m)
    if turns_at_start:
        window |= x_m[None, :] ** 2 + y_m[:, None] ** 2 <= half_m**2
