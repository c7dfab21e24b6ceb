"""A frame turned to the walls, so that lanes run along its axes."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

WINDOW_RAD = math.radians(3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Axes turned by `angle_rad` anticlockwise from the floor's; `mirrored` exchanges up and down in it."""

    angle_rad: float
    mirrored: bool = False

    def inside(self, shape: BaseGeometry) -> BaseGeometry:
        """A floor shape in this frame's coordinates."""
        return shapely.transform(shape, lambda points_m: _turned_m(points_m, -self.angle_rad) * self._sides)

    def outside_m(self, points_m: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points of this frame on the floor [m], shape (n, 2).

        **Source** geometry.
        """
        return _turned_m(points_m * self._sides, self.angle_rad)

    @property
    def _sides(self) -> NDArray[np.float64]:
        return np.array([1.0, -1.0 if self.mirrored else 1.0])

    def looks(self) -> tuple["Frame", ...]:
        """The eight frames along the same walls: four quarter turns, each also mirrored."""
        return tuple(
            Frame(angle_rad=self.angle_rad + quarter * math.pi / 2, mirrored=mirrored)
            for mirrored in (False, True)
            for quarter in range(4)
        )


def _turned_m(points_m: NDArray[np.float64], angle_rad: float) -> NDArray[np.float64]:
    cos, sin = math.cos(angle_rad), math.sin(angle_rad)
    turned_m: NDArray[np.float64] = points_m @ np.array([[cos, sin], [-sin, cos]])
    return turned_m


def segments_m(shape: BaseGeometry) -> NDArray[np.float64]:
    """All edges of a shape's rings [m], shape (n, 2, 2): start and end.

    **Source** geometry.
    """
    pieces = []
    for polygon in shapely.get_parts(shape):
        for ring in (polygon.exterior, *polygon.interiors):
            points_m = shapely.get_coordinates(ring)
            pieces.append(np.stack([points_m[:-1], points_m[1:]], axis=1))
    return np.concatenate(pieces) if pieces else np.empty((0, 2, 2))


def wall_frame(shape: BaseGeometry) -> Frame:
    """The frame along the direction that most of the walls share.

    Directions are weighed by wall length and taken modulo a right angle; the heaviest window of three
    degrees decides and its weighted mean is the answer.

    Notes
    -----
    **Source** ours, see docs/explanation/lanes.md; lanes parallel to an edge are optimal in a convex
    cell (T. Bochtis and S. Vougioukas, Biosystems Engineering 101, 2008, name the same practice).
    """
    edges_m = segments_m(shape)
    span_m = edges_m[:, 1] - edges_m[:, 0]
    length_m = np.hypot(span_m[:, 0], span_m[:, 1])
    quarter = math.pi / 2
    angle_rad = np.arctan2(span_m[:, 1], span_m[:, 0]) % quarter
    if not length_m.sum() > 0:
        return Frame(angle_rad=0.0)
    order = np.argsort(angle_rad, kind="stable")
    angle_rad, length_m = angle_rad[order], length_m[order]
    # Three times round the quarter, so that every window lies in one piece.
    round_rad = np.concatenate([angle_rad - quarter, angle_rad, angle_rad + quarter])
    weight_m = np.tile(length_m, 3)
    total_m = np.concatenate([[0.0], np.cumsum(weight_m)])
    low = np.searchsorted(round_rad, angle_rad - WINDOW_RAD / 2 - 1e-9)
    high = np.searchsorted(round_rad, angle_rad + WINDOW_RAD / 2 + 1e-9, side="right")
    best = int(np.argmax(np.round(total_m[high] - total_m[low], 6)))
    inside = slice(int(low[best]), int(high[best]))
    mean_rad = float(np.average(round_rad[inside], weights=weight_m[inside]))
    turned_rad = (mean_rad + quarter / 2) % quarter - quarter / 2
    return Frame(angle_rad=0.0 if abs(turned_rad) < 1e-9 else turned_rad)
