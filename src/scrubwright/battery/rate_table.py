"""The rate table on a pack's label: how much it gives at which current, and whether that can be."""

import math
from collections.abc import Sequence

import numpy as np

from scrubwright.battery.pack import RatedCapacity
from scrubwright.measures.errors import BadInput

# A table that falls by less than this towards slow discharges is within what ratings are rounded to.
ROUNDING_RATIO = 0.98


def check_rates(capacities: Sequence[RatedCapacity]) -> None:
    """Refuse a table from which nothing can be told about other currents.

    A slower discharge gives more, never less. Measured rows may say otherwise when the pack was not
    full each time or aged in between; then rate is not what made the difference.

    Raises
    ------
    BadInput
        No row; or the table as a whole falls towards slower discharges.

    Notes
    -----
    A single row out of line is let through: makers rate some rows at another temperature.
    """
    if not capacities:
        raise BadInput("The pack has no rated capacity; enter at least one row: ampere-hours and over how many hours.")
    fastest = min(capacities, key=lambda row: row.over_h)
    slowest = max(capacities, key=lambda row: row.over_h)
    if len(capacities) > 1 and (
        slowest.capacity_ah < fastest.capacity_ah * ROUNDING_RATIO or exponent_ratio(capacities) < 1
    ):
        raise BadInput(
            "The table gives {slow_ah} over {slow_h} but {fast_ah} over {fast_h}: capacity falls with lower current, "
            "which no pack does by itself. The pack was not full each time, or aged in between. Charge it fully before "
            "each test and measure again, or enter the rows of its label.",
            slow_ah=slowest.capacity_ah,
            slow_h=slowest.over_h,
            fast_ah=fastest.capacity_ah,
            fast_h=fastest.over_h,
        )


def exponent_ratio(capacities: Sequence[RatedCapacity]) -> float:
    """The exponent p of Peukert's law, I^p t constant, that comes closest to a rate table.

    Parameters
    ----------
    capacities
        At least two rows; least squares of log current on log hours.

    Raises
    ------
    BadInput
        Fewer than two rows.

    Notes
    -----
    One battery has several: steeper at high currents, near 1 at low ones.

    Examples
    --------
    >>> rows = [RatedCapacity(capacity_ah=q, over_h=h) for h, q in ((5, 271), (20, 330))]
    >>> round(exponent_ratio(rows), 3)
    1.166

    **Source** Peukert W, Über die Abhängigkeit der Kapazität von der Entladestromstärke bei Bleiakkumulatoren,
    Elektrotechnische Zeitschrift 18 (1897) 287; checked in tests/worked/test_battery_peukert.py.
    """
    if len(capacities) < 2:
        raise BadInput("One rated capacity tells nothing about other currents; enter a second row of the rate table.")
    log_h = np.log([row.over_h for row in capacities])
    log_a = np.log([row.current_a for row in capacities])
    slope = float(np.sum((log_h - log_h.mean()) * (log_a - log_a.mean())) / np.sum((log_h - log_h.mean()) ** 2))
    return math.inf if slope == 0 else -1 / slope
