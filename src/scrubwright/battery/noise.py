"""How far apart the readings of equal cells lie, by the hydrometer alone."""

import math

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ndtr, ndtri

from scrubwright.battery.gravity import HYDROMETER_SD_RATIO
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput

# One false alarm in twenty looks at a pack whose cells are equal.
FALSE_ALARM_FRACTION = 0.05
# Common practice of control charts: three standard deviations, while that is the rarer event.
LEAST_SD_FOR_ONE_CELL = 3.0


def expected_range_ratio(count: int, sd_ratio: float = HYDROMETER_SD_RATIO) -> float:
    """Difference between the highest and the lowest reading to expect of equal cells.

    Each reading errs by chance, and the more cells are read, the further the luckiest and the
    unluckiest reading lie apart: 2.3 standard deviations in 5 cells, 3.6 in 18.

    Parameters
    ----------
    count
        Cells read [2 to 120].
    sd_ratio
        Standard deviation of one reading [gravity, > 0].

    Returns
    -------
    float
        The factor d2 of statistical quality control times the standard deviation [gravity].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    Normal errors that do not depend on each other. Worked out by quadrature, to nine digits.

    Examples
    --------
    >>> round(expected_range_ratio(18), 4)
    0.0182

    **Source** L. H. C. Tippett, On the extreme individuals and the range of samples taken from a normal
    population, Biometrika 17, 1925, p. 364 (checked in tests/published/battery_cell_range.csv).
    """
    _check(count, sd_ratio)
    x, step = _deviations()
    below = ndtr(x)
    return sd_ratio * float(np.sum(1 - below**count - (1 - below) ** count)) * step


def range_chance_fraction(range_ratio: float, count: int, sd_ratio: float = HYDROMETER_SD_RATIO) -> float:
    """Chance that equal cells show a range as large as this one, or larger.

    Parameters
    ----------
    range_ratio
        Highest less lowest reading [gravity, >= 0].
    count
        Cells read [2 to 120].
    sd_ratio
        Standard deviation of one reading [gravity, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Examples
    --------
    >>> round(range_chance_fraction(0.020, 18), 2)
    0.29

    **Source** L. H. C. Tippett, as for `expected_range_ratio`; checked through `range_limit_ratio`.
    """
    _check(count, sd_ratio)
    check_zero_or_more("range_ratio", range_ratio)
    return _range_chance(range_ratio / sd_ratio, count)


def range_limit_ratio(
    count: int, sd_ratio: float = HYDROMETER_SD_RATIO, chance_fraction: float = FALSE_ALARM_FRACTION
) -> float:
    """Range that equal cells exceed only by this chance.

    Parameters
    ----------
    count
        Cells read [2 to 120].
    sd_ratio
        Standard deviation of one reading [gravity, > 0].
    chance_fraction
        Chance of a false alarm [above 0, below 1].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Examples
    --------
    >>> round(range_limit_ratio(18), 4)
    0.0247

    **Source** H. L. Harter, Tables of range and studentized range, Annals of Mathematical Statistics 31, 1960,
    doi 10.1214/aoms/1177705684 (checked in tests/published/battery_cell_range.csv).
    """
    _check(count, sd_ratio)
    _check_chance(chance_fraction)
    # Both ends lie beyond any range that 120 readings show with a chance that a float can tell from 0 or 1.
    return sd_ratio * float(brentq(lambda w: _range_chance(w, count) - chance_fraction, 0.0, 40.0, xtol=1e-9))


def low_limit_ratio(
    count: int, sd_ratio: float = HYDROMETER_SD_RATIO, chance_fraction: float = FALSE_ALARM_FRACTION
) -> float:
    """How far one cell stands off the pack's median before chance no longer explains it.

    Three standard deviations, as on control charts; more in packs of over 37 cells, whose lowest cell
    would pass that by chance too often.

    Parameters
    ----------
    count
        Cells read [2 to 120].
    sd_ratio
        Standard deviation of one reading [gravity, > 0].
    chance_fraction
        Chance that the lowest of all of them is called low although they are equal [above 0, below 1].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    Takes the median as known; its own error makes the difference a little smaller than a reading's, so the
    limit errs towards silence.

    Examples
    --------
    >>> round(low_limit_ratio(18), 4)
    0.015

    **Source** Z. Šidák, Rectangular confidence regions for the means of multivariate normal distributions,
    Journal of the American Statistical Association 62, 1967, for the count of cells (steps in
    tests/worked/test_cell_numbers.py); three standard deviations are common practice.
    """
    _check(count, sd_ratio)
    _check_chance(chance_fraction)
    one_cell = -math.expm1(math.log1p(-chance_fraction) / count)
    return sd_ratio * max(LEAST_SD_FOR_ONE_CELL, -float(ndtri(one_cell)))


def _deviations() -> tuple[NDArray[np.float64], float]:
    """Points of the normal curve and their distance; the trapezoid rule is exact here to rounding."""
    x = np.linspace(-12.0, 12.0, 481)
    return x, 0.05


def _range_chance(w: float, count: int) -> float:
    x, step = _deviations()
    density = np.exp(-(x**2) / 2) / math.sqrt(2 * math.pi)
    within = count * float(np.sum(density * (ndtr(x + w) - ndtr(x)) ** (count - 1))) * step
    return min(1.0, max(0.0, 1.0 - within))


def _check(count: int, sd_ratio: float) -> None:
    if not 2 <= count <= 120:
        raise BadInput("{count} cells cannot be compared; read from 2 to 120.", count=count)
    check_above_zero("sd_ratio", sd_ratio)


def _check_chance(chance_fraction: float) -> None:
    if not 0 < chance_fraction < 1:
        raise BadInput(
            "The chance of a false alarm is {given}; enter a share between 0 and 1, such as 0.05.",
            given=str(chance_fraction),
        )
