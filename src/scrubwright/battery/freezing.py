"""When the electrolyte freezes, which splits the case; a frozen pack must not be charged."""

import numpy as np

from scrubwright.battery.gravity import Numbers, check_gravity
from scrubwright.measures.errors import BadInput

MARGIN_K_CHANGE = 5.0
_FAHRENHEIT_AT_0_K = -459.67
# Gravity at 25 °C and freezing point [°F], as the handbooks print them; where two differ, the warmer one.
_PRINTED_F = (
    (1.000, 32), (1.050, 27), (1.100, 19), (1.150, 5), (1.160, 1), (1.200, -16), (1.220, -31), (1.225, -35),
    (1.250, -62), (1.265, -75), (1.280, -90),
)  # fmt: skip
_COLDEST_PLACE_K, _HOTTEST_PLACE_K = 183.0, 333.0


def freezing_k(gravity_ratio: Numbers) -> Numbers:
    """Temperature at which the electrolyte begins to freeze [K].

    Parameters
    ----------
    gravity_ratio
        Of the cell, at 25 °C and mixed; of the weakest cell for the whole pack [1.00 to below 1.5].

    Raises
    ------
    BadInput
        No gravity of battery acid.

    Notes
    -----
    Straight between the rows; 205 K from 1.280 up, where no room gets so cold. Laboratory values lie within 3 K.
    One widely copied trade table lets a flat cell of 1.120 down to -23 °C; it freezes at about -10 °C. Water that was
    just added and has not mixed freezes at 0 °C.

    Examples
    --------
    >>> round(float(freezing_k(1.120)) - 273.15)
    -10

    **Source** United States Army: Ordnance School OD1002, page 54, TM 5-1185, table III, and TM 10-6140-200-14, table
    1-1; a vehicle maker's storage table for 1.050, 1.225 and 1.265. Checked in
    tests/published/test_battery_freezing.py.
    """
    check_gravity(gravity_ratio)
    gravities = [gravity for gravity, _ in _PRINTED_F]
    points_k = [(fahrenheit - _FAHRENHEIT_AT_0_K) / 1.8 for _, fahrenheit in _PRINTED_F]
    return np.interp(gravity_ratio, gravities, points_k)


def may_freeze(gravity_of_weakest_ratio: float, forecast_k: float) -> bool:
    """Whether the weakest cell may freeze, with 5 kelvin to spare for a colder night and a hydrometer that strays.

    Parameters
    ----------
    gravity_of_weakest_ratio
        Of the cell with the lowest gravity, at 25 °C.
    forecast_k
        The coldest that the place gets [K, 183 to 333].

    Raises
    ------
    BadInput
        No gravity of battery acid, or no temperature of a place on earth.
    """
    if not _COLDEST_PLACE_K <= forecast_k <= _HOTTEST_PLACE_K:
        raise BadInput(
            "The coldest temperature of the place is {given} kelvin; enter what the forecast says, in degrees.",
            given=f"{forecast_k:g}",
        )
    return forecast_k - MARGIN_K_CHANGE < float(freezing_k(gravity_of_weakest_ratio))
