"""Lengths of a degree on the WGS84 ellipsoid against a printed series and printed lengths."""

import math

import pytest

from scrubwright.paperwork.lonlat import meridian_radius_m, parallel_radius_m

# Wikipedia, "Geographic coordinate system", section "Length of a degree": on the WGS84 spheroid a degree
# of latitude is about 111132.92 - 559.82 cos 2p + 1.175 cos 4p - 0.0023 cos 6p metres (read there), and one
# of longitude about 111412.84 cos p - 93.5 cos 3p + 0.118 cos 5p metres (from memory of the same section).
# A published comparison finds the series within 0.6 parts per million of the ellipsoid: 7 cm.
SERIES_M = 0.07


@pytest.mark.parametrize("latitude", [0, 10, 28.5, 45, 56.46, 70, 89])
def test_a_degree_is_as_long_as_the_printed_series_says(latitude: float) -> None:
    p = math.radians(latitude)
    north_m = 111132.92 - 559.82 * math.cos(2 * p) + 1.175 * math.cos(4 * p) - 0.0023 * math.cos(6 * p)
    east_m = 111412.84 * math.cos(p) - 93.5 * math.cos(3 * p) + 0.118 * math.cos(5 * p)
    assert math.radians(meridian_radius_m(p)) == pytest.approx(north_m, abs=SERIES_M)
    assert math.radians(parallel_radius_m(p)) == pytest.approx(east_m, abs=SERIES_M)


def test_a_degree_is_as_long_as_printed_at_equator_and_pole() -> None:
    # 110574 m of latitude at the equator and 111694 m at the pole; 111320 m of longitude at the equator,
    # where the ellipsoid itself has 111319.49 m, so that the last digit is not to be trusted.
    assert math.radians(meridian_radius_m(0.0)) == pytest.approx(110_574, abs=0.5)
    assert math.radians(meridian_radius_m(math.pi / 2)) == pytest.approx(111_694, abs=0.5)
    assert math.radians(parallel_radius_m(0.0)) == pytest.approx(111_320, abs=1)
