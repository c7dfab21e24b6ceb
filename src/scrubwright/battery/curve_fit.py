"""Wells and voltage curve from logged discharges: volts against time at several steady currents."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares, lsq_linear

from scrubwright.battery.pack import RatedCapacity
from scrubwright.battery.rate_table import check_rates
from scrubwright.battery.voltage import VoltageCurve
from scrubwright.battery.wells import Wells, fitted_wells, rested, stepped
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput, NoAnswer

# Nearer to an empty first well the curve falls so steeply that a volt tells nothing of the charge.
_FULLEST_DEPTH = 0.999
_STEEPEST_V = -1e-4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SteadyDischarge:
    """One discharge of a full pack under a steady current, down to its cut-off.

    Parameters
    ----------
    current_a
        Drawn [A, > 0].
    at_h
        Time since its beginning [h], rising, shape (m,); the last is when the cut-off was reached.
    cell_v
        Voltage of one cell then [V], shape (m,).
    """

    current_a: float
    at_h: NDArray[np.float64]
    cell_v: NDArray[np.float64]

    def __post_init__(self) -> None:
        check_above_zero("current_a", self.current_a)
        if self.at_h.shape != self.cell_v.shape or len(self.at_h) < 3:
            raise BadInput("A logged discharge needs at least three readings, each with its time and its volts.")
        if not (np.all(np.diff(self.at_h) > 0) and np.all(self.cell_v > 0)):
            raise BadInput("The readings of a discharge must follow each other in time, with volts above zero.")

    @property
    def rated(self) -> RatedCapacity:
        """What it gave, as a row of a rate table."""
        return RatedCapacity(capacity_ah=float(self.current_a * self.at_h[-1]), over_h=float(self.at_h[-1]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PackModel:
    """Wells and curve together, with how far the curve lies from the log.

    Parameters
    ----------
    wells, curve
        As fitted.
    misfit_v
        Root mean square over all readings, of one cell [V].
    """

    wells: Wells
    curve: VoltageCurve
    misfit_v: float


def fitted_model(discharges: Sequence[SteadyDischarge]) -> PackModel:
    """The wells and the voltage curve that come closest to a set of logged discharges.

    For any wells the voltage is linear in the four figures of the curve, so only the three of the
    wells are searched for.

    Parameters
    ----------
    discharges
        At least three, at different currents.

    Raises
    ------
    BadInput
        Fewer than three, or capacity falls with lower current.
    NoAnswer
        No wells explain the log.

    Notes
    -----
    **Source** Method ours (docs/explanation/runtime-of-a-pack.md): variable projection on the equations of `wells` and
    `voltage`; checked in tests/published/test_battery_recorded.py and tests/outside against a physics model.
    """
    rows = [each.rated for each in discharges]
    if len(rows) < 3:
        raise BadInput(
            "A voltage curve needs logged discharges at three currents or more; {given} are there.", given=len(rows)
        )
    check_rates(rows)
    first = fitted_wells(rows)
    volts = np.concatenate([each.cell_v for each in discharges])

    def wells_of(p: NDArray[np.float64]) -> Wells:
        return Wells(
            most_ah=math.exp(p[0]), available_fraction=1 / (1 + math.exp(-p[1])), exchange_per_h=math.exp(p[2])
        )

    def residuals(p: NDArray[np.float64]) -> NDArray[np.float64]:
        shapes = _shapes(wells_of(p), discharges)
        return np.asarray(shapes @ _figures(shapes, volts) - volts)

    c = float(first.available_fraction)
    start = [math.log(float(first.most_ah) * 1.1), math.log(c / (1 - c)), math.log(float(first.exchange_per_h))]
    fit = least_squares(residuals, start, x_scale=(0.05, 0.5, 0.5))
    if not fit.success:
        raise NoAnswer("No pack behaves like these discharges; check that it was full before each.")
    wells = wells_of(fit.x)
    full_v, slope_v, bend_v, resistance_ohm = (float(x) for x in _figures(_shapes(wells, discharges), volts))
    return PackModel(
        wells=wells,
        curve=VoltageCurve(full_v=full_v, slope_v=slope_v, bend_v=bend_v, resistance_ohm=resistance_ohm),
        misfit_v=float(np.sqrt(np.mean(fit.fun**2))),
    )


def _shapes(wells: Wells, discharges: Sequence[SteadyDischarge]) -> NDArray[np.float64]:
    """One column for each figure of the curve, one row for each reading."""
    blocks = []
    for each in discharges:
        left_ah = stepped(wells, rested(wells, 1.0), each.current_a, each.at_h).available_ah
        x = 1 - np.asarray(left_ah) / (wells.available_fraction * wells.most_ah)
        x = np.minimum(x, _FULLEST_DEPTH)
        blocks.append(np.column_stack([np.ones_like(x), x, x / (1 - x), np.full_like(x, -each.current_a)]))
    return np.concatenate(blocks)


def _figures(shapes: NDArray[np.float64], volts: NDArray[np.float64]) -> NDArray[np.float64]:
    free = np.inf
    found = lsq_linear(shapes, volts, bounds=([-free, -free, -free, 0.0], [free, 0.0, _STEEPEST_V, free]))
    return np.asarray(found.x)
