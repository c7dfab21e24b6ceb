"""Longitude and latitude laid flat: metres east and north on the plane that touches the earth at a building."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

# WGS84: semi-major axis [m] and flattening (NIMA TR8350.2, 3rd ed. 2000, table 3.1).
_SEMI_MAJOR_M = 6_378_137.0
_FLATTENING = 1 / 298.257223563
# In degrees: some 11 km north; a plan in metres would be smaller than a hand.
_WIDEST_BUILDING = 0.1
_SQUARER = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Tangent:
    """The plane that touches the earth at a point, with one scale east and one north.

    Parameters
    ----------
    longitude_rad, latitude_rad
        The point that becomes (0, 0) [rad].
    parallel_radius_m, meridian_radius_m
        Metres per radian of longitude and of latitude there [m].
    """

    longitude_rad: float
    latitude_rad: float
    parallel_radius_m: float
    meridian_radius_m: float

    def laid_flat(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape in degrees, longitude first, as the same shape in metres east and north.

        Source: ours, see docs/explanation/cleaning-a-drawing.md.
        """
        return shapely.transform(shape, self._metres)

    def _metres(self, degrees: NDArray[np.float64]) -> NDArray[np.float64]:
        origin = np.array([self.longitude_rad, self.latitude_rad])
        scale = np.array([self.parallel_radius_m, self.meridian_radius_m])
        return np.asarray((np.radians(degrees) - origin) * scale)


def meridian_radius_m(latitude_rad: float) -> float:
    """Metres per radian of latitude on the WGS84 ellipsoid [m], at a latitude within a quarter turn [rad].

    Source: J. P. Snyder, Map Projections: A Working Manual, USGS Professional Paper 1395, 1987, eq. 4-18
    (page 24, from memory); checked in tests/published/test_published_degree_lengths.py.
    """
    squared = _FLATTENING * (2 - _FLATTENING)
    return float(_SEMI_MAJOR_M * (1 - squared) / (1 - squared * math.sin(latitude_rad) ** 2) ** 1.5)


def parallel_radius_m(latitude_rad: float) -> float:
    """Metres per radian of longitude on the WGS84 ellipsoid [m], at a latitude within a quarter turn [rad].

    Source: J. P. Snyder, Map Projections: A Working Manual, USGS Professional Paper 1395, 1987, eq. 4-20
    (page 25, from memory); checked in tests/published/test_published_degree_lengths.py.
    """
    squared = _FLATTENING * (2 - _FLATTENING)
    return _SEMI_MAJOR_M * math.cos(latitude_rad) / math.sqrt(1 - squared * math.sin(latitude_rad) ** 2)


def tangent_at(shapes: Sequence[BaseGeometry]) -> Tangent:
    """The plane for a drawing: scales of its middle latitude, origin at its south-west corner.

    Parameters
    ----------
    shapes
        In degrees, longitude first.

    Notes
    -----
    Over a building of 2 km the scale east changes by less than 1 in 1,000 up to 70 degrees of latitude.

    Source: ours, see docs/explanation/cleaning-a-drawing.md.
    """
    corners = np.radians(_corners(shapes))
    west, south = corners.min(axis=0)
    middle_rad = float(south + corners[:, 1].max()) / 2
    return Tangent(
        longitude_rad=float(west),
        latitude_rad=float(south),
        parallel_radius_m=parallel_radius_m(middle_rad),
        meridian_radius_m=meridian_radius_m(middle_rad),
    )


def looks_like_degrees(shapes: Sequence[BaseGeometry]) -> bool:
    """Whether shapes are in degrees: on the globe, and so close together that metres make no building."""
    corners = _corners(shapes)
    on_globe = np.abs(corners).max() <= 180 and np.abs(corners).min(axis=1).max() <= 90
    return bool(on_globe and 0 < np.ptp(corners, axis=0).max() <= _WIDEST_BUILDING)


def looks_swapped(shapes: Sequence[BaseGeometry]) -> bool:
    """Whether shapes in degrees have latitude first.

    They do where the second number is beyond 90, or where walls meet at right angles only when swapped.
    """
    corners = _corners(shapes)
    if np.abs(corners[:, 1]).max() > 90:
        return True
    if np.abs(corners[:, 0]).max() > 90:
        return False
    return _squareness([swapped(shape) for shape in shapes]) - _squareness(shapes) > _SQUARER


def swapped(shape: BaseGeometry) -> BaseGeometry:
    """The shape with its two coordinates changed over."""
    return shapely.transform(shape, lambda points: points[:, ::-1])


def _squareness(shapes: Sequence[BaseGeometry]) -> float:
    """1 where all edges run along two directions at right angles, near 0 where they run anywhere."""
    tangent = tangent_at(shapes)
    edges = np.vstack([np.diff(_corners([tangent.laid_flat(shape)]), axis=0) for shape in shapes])
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    fourfold = np.exp(4j * np.arctan2(edges[:, 1], edges[:, 0]))
    return float(abs((lengths * fourfold).sum()) / max(lengths.sum(), 1e-12))


def _corners(shapes: Sequence[BaseGeometry]) -> NDArray[np.float64]:
    return np.asarray(shapely.get_coordinates(list(shapes)), dtype=np.float64)
