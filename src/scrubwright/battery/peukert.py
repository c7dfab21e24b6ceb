"""Runtime by Peukert's law, step by step: the fall-back where one or two rated capacities are all there is."""

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.pack import RatedCapacity
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput

# Texts print 1.1 to 1.3 for flooded packs; a published rate table gives 1.13 to 1.20 for one block.
USUAL_EXPONENT_RATIO = 1.2
LOW_EXPONENT_RATIO, HIGH_EXPONENT_RATIO = 1.1, 1.3


def steady_runtime_by_peukert_h(rated: RatedCapacity, exponent_ratio: float, current_a: float) -> float:
    """Hours that a full pack lasts under a steady current [h].

    Parameters
    ----------
    rated
        A row of the rate table; the nearer to the current, the better.
    exponent_ratio
        p [>= 1].
    current_a
        Drawn [A, > 0].

    Notes
    -----
    Written with the rated hours. "I^p t = C" with the amperes alone is wrong unless the capacity is that at 1 A.

    Examples
    --------
    >>> round(steady_runtime_by_peukert_h(RatedCapacity(capacity_ah=100, over_h=20), 1.2, 10), 3)
    8.706

    **Source** Peukert W, Elektrotechnische Zeitschrift 18 (1897) 287, normalised; checked in
    tests/worked/test_battery_peukert.py.
    """
    _check_exponent(exponent_ratio)
    check_above_zero("current_a", current_a)
    return float(rated.over_h * (rated.current_a / current_a) ** exponent_ratio)


def runtime_by_peukert_h(
    rated: RatedCapacity,
    exponent_ratio: float,
    current_a: NDArray[np.float64],
    duration_h: NDArray[np.float64],
    charge_fraction: float = 1.0,
) -> float | None:
    """When a load has used the charge up by Peukert's law, counted step by step [h]; None: it does the whole load.

    Each step uses the share of a full pack that its own current would. Rests give nothing back, so the
    answer is a little low for work with pauses; the mean current in one go would be far too high.

    Parameters
    ----------
    rated, exponent_ratio
        As in `steady_runtime_by_peukert_h`.
    current_a, duration_h
        Of each step [A, >= 0], [h], shape (m,).
    charge_fraction
        Left at the beginning [0 to 1].

    Raises
    ------
    BadInput
        A current below zero: the law knows no charging.

    Notes
    -----
    **Source** as `steady_runtime_by_peukert_h`, applied to each step; common practice.
    """
    _check_exponent(exponent_ratio)
    if not np.all(current_a >= 0):
        raise BadInput("The load charges the pack on the way; Peukert's law cannot count that. Enter zero or more.")
    per_h = (current_a / rated.current_a) ** exponent_ratio / rated.over_h
    used = np.concatenate([[0.0], np.cumsum(per_h * duration_h)])
    if used[-1] < charge_fraction:
        return None
    step = int(np.searchsorted(used, charge_fraction)) - 1
    if step < 0:
        return 0.0
    return float(np.sum(duration_h[:step]) + (charge_fraction - used[step]) / per_h[step])


def _check_exponent(exponent_ratio: float) -> None:
    if not 1 <= exponent_ratio <= 2:
        raise BadInput(
            "The exponent is {given}; it cannot be below 1, since a slower discharge never gives less. Enter 1 to 2.",
            given=str(exponent_ratio),
        )
