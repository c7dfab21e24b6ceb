"""Which cell drifts away from the pack, over the visits after charge."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from scrubwright.battery.gravity import HYDROMETER_SD_RATIO
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput

LEAST_VISITS_FOR_A_SLOPE = 3
LEAST_VISITS_FOR_A_VERDICT = 8
# For one look at one pack. So small because people look after each visit: over a first dozen visits it makes
# one false alarm in twenty packs, as measured in tests/rooms/test_cell_drift.py.
FALSE_ALARM_A_LOOK_FRACTION = 0.008
# Sen 1968: the median of slopes is as precise as least squares with 3/pi of the readings.
_SD_OVER_LEAST_SQUARES = math.sqrt(math.pi / 3)
# Half of the 80 % band of a normal error, in standard deviations.
_BAND_SD = float(ndtri(0.9))


@dataclass(frozen=True, slots=True, kw_only=True)
class CellDrift:
    """How one cell moves against the pack's median.

    Parameters
    ----------
    number
        The cell, from 1.
    visits
        At how many visits it was read.
    slope_per_visit
        Gravity it gains for each visit, below zero where it falls; None before the third visit.
    low_per_visit, high_per_visit
        Ends of the 80 % band of the slope; None before the third visit.
    falls
        Whether it falls too steadily for chance.
    """

    number: int
    visits: int
    slope_per_visit: float | None
    low_per_visit: float | None
    high_per_visit: float | None
    falls: bool


def cell_drifts(
    above_median_ratio: Sequence[Sequence[float | None]],
    *,
    sd_ratio: float = HYDROMETER_SD_RATIO,
    chance_fraction: float = FALSE_ALARM_A_LOOK_FRACTION,
) -> tuple[CellDrift, ...]:
    """How each cell moves against the pack's median, and which of them fall.

    A cell that loses 0.0015 of gravity a visit is named after about a dozen visits, long before one look
    could tell it from the hydrometer's noise.

    Parameters
    ----------
    above_median_ratio
        `CellGrid.above_median_ratio` of each visit after charge, oldest first, since the pack or a cell was
        last replaced; one row a visit, None for a cell not read.
    sd_ratio
        Standard deviation of one reading [gravity, > 0]. Where the pack's own readings scatter more, that counts.
    chance_fraction
        Chance that one look at a pack without drift names a cell [above 0, below 1], shared out over its cells.

    Returns
    -------
    tuple of CellDrift
        One for each cell, from 1 on; empty where there is no visit.

    Raises
    ------
    BadInput
        Visits with different counts of cells, or a value outside these ranges.

    Notes
    -----
    Theil-Sen: the median of the slopes between any two visits, so that one wrong entry moves nothing. Judged
    against the spread of the readings about their own lines, with Bonferroni's share for each cell, from the
    eighth visit on. Needs errors that do not depend on each other from visit to visit.

    **Source** P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal of the American
    Statistical Association 63, 1968, p. 1379 (slopes checked in tests/published/test_battery_cells.py); the
    verdict is ours, see docs/explanation/weak-cells.md.

    Examples
    --------
    >>> rows = [(0.0, 0.002, -0.0015 * visit) for visit in range(5)]
    >>> [round(cell.slope_per_visit, 4) for cell in cell_drifts(rows)]
    [0.0, 0.0, -0.0015]
    """
    check_above_zero("sd_ratio", sd_ratio)
    if not 0 < chance_fraction < 1:
        raise BadInput(
            "The chance of a false alarm is {given}; enter a share between 0 and 1, such as 0.05.",
            given=str(chance_fraction),
        )
    if len({len(row) for row in above_median_ratio}) > 1:
        raise BadInput("The visits have different counts of cells; compare visits of the same pack.")
    table = np.array(
        [[math.nan if each is None else each for each in row] for row in above_median_ratio], dtype=np.float64
    )
    if not table.size:
        return ()
    lines = [_line(column) for column in table.T]
    sd = max(sd_ratio, _scatter_ratio(lines))
    limit = float(ndtri(chance_fraction / len(lines)))
    return tuple(_drift(number, line, sd, limit) for number, line in enumerate(lines, 1))


def theil_sen_per_visit(visits: NDArray[np.int64], readings_ratio: NDArray[np.float64]) -> float:
    """Median of the slopes between any two visits.

    Parameters
    ----------
    visits
        Their numbers, all different, shape (n,) with n >= 2.
    readings_ratio
        What was read at each, shape (n,).

    Returns
    -------
    float
        Change of the reading for each visit.

    Notes
    -----
    **Source** P. K. Sen, as for `cell_drifts` (checked in tests/published/test_battery_cells.py).
    """
    first, second = np.triu_indices(len(visits), 1)
    return float(np.median((readings_ratio[second] - readings_ratio[first]) / (visits[second] - visits[first])))


@dataclass(frozen=True, slots=True)
class _Line:
    """One cell's line: how many visits, its slope, how far they reach, and the variance about it."""

    visits: int
    slope: float = math.nan
    reach: float = math.nan
    variance: float = math.nan


def _line(column: NDArray[np.float64]) -> _Line:
    visits = np.flatnonzero(np.isfinite(column))
    if len(visits) < LEAST_VISITS_FOR_A_SLOPE:
        return _Line(len(visits))
    readings = column[np.isfinite(column)]
    slope = theil_sen_per_visit(visits, readings)
    off = readings - slope * visits
    return _Line(
        visits=len(visits),
        slope=slope,
        reach=float(np.sum((visits - visits.mean()) ** 2)),
        variance=float(np.sum((off - off.mean()) ** 2)) / (len(visits) - 2),
    )


def _scatter_ratio(lines: Sequence[_Line]) -> float:
    """Spread of the readings about their lines, by the middle cell, so that one wild cell does not count."""
    told = [line for line in lines if line.visits >= LEAST_VISITS_FOR_A_SLOPE]
    if not told:
        return 0.0
    # The median of a chi-squared over its degrees of freedom (Wilson and Hilferty 1931).
    free = float(np.median([line.visits for line in told])) - 2
    return math.sqrt(float(np.median([line.variance for line in told])) / (1 - 2 / (9 * free)) ** 3)


def _drift(number: int, line: _Line, sd: float, limit: float) -> CellDrift:
    if line.visits < LEAST_VISITS_FOR_A_SLOPE:
        return CellDrift(
            number=number,
            visits=line.visits,
            slope_per_visit=None,
            low_per_visit=None,
            high_per_visit=None,
            falls=False,
        )
    slope_sd = sd * _SD_OVER_LEAST_SQUARES / math.sqrt(line.reach)
    return CellDrift(
        number=number,
        visits=line.visits,
        slope_per_visit=line.slope,
        low_per_visit=line.slope - _BAND_SD * slope_sd,
        high_per_visit=line.slope + _BAND_SD * slope_sd,
        falls=line.visits >= LEAST_VISITS_FOR_A_VERDICT and line.slope < limit * slope_sd,
    )
