"""How much a pack holds in the cold and in the warm."""

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.errors import OutOfRange
from scrubwright.measures.units import KELVIN_AT_0_C

Floats = float | NDArray[np.float64]

COLDEST_K = KELVIN_AT_0_C - 4
WARMEST_K = KELVIN_AT_0_C + 52
# Above this more capacity is not promised, since the heat that gives it wears the plates.
NO_MORE_ABOVE_K = KELVIN_AT_0_C + 40


def capacity_fraction(electrolyte_k: Floats) -> NDArray[np.float64]:
    """Capacity at this electrolyte temperature over that at 25 °C, for runtimes up to 8 h.

    Parameters
    ----------
    electrolyte_k
        Temperature of the electrolyte [K, 269 to 325]; counted as 313 K above that.

    Raises
    ------
    OutOfRange
        Outside the table.

    Examples
    --------
    >>> round(float(capacity_fraction(283.15)), 3)
    0.837

    **Source** IEEE 485, Recommended practice for sizing lead-acid batteries for stationary applications, table 1,
    by a cubic fitted to it; checked in tests/published/test_battery_temperature.py.
    """
    t = np.asarray(electrolyte_k, dtype=np.float64)
    if not np.all((t >= COLDEST_K) & (t <= WARMEST_K)):
        raise OutOfRange(
            "The electrolyte is at {given_k}; what a pack holds was measured from {coldest_k} to {warmest_k}. "
            "Measure the electrolyte, or bring the pack into that range first.",
            given_k=float(t.flat[np.argmax(np.abs(t - KELVIN_AT_0_C))]),
            coldest_k=COLDEST_K,
            warmest_k=WARMEST_K,
        )
    x = (np.minimum(t, NO_MORE_ABOVE_K) - KELVIN_AT_0_C) / 100
    return np.asarray(1 / (-2.8117 * x**3 + 4.1916 * x**2 - 2.4941 * x + 1.405))
