"""Gravity as the hydrometer shows it, and as it would show at the temperature that the pack's papers name."""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.constants import WATER_KG_PER_L
from scrubwright.measures.errors import BadInput, OutOfRange
from scrubwright.measures.units import KELVIN_AT_0_C

# A float in gives a float out, an array an array.
Numbers = TypeVar("Numbers", float, NDArray[np.float64])
Floats = float | NDArray[np.float64]

SLOPE_PER_K = 0.0007
# What a person reads off a float hydrometer strays by this much (common practice).
HYDROMETER_SD_RATIO = 0.005
LEAST_RATIO, MOST_RATIO = 1.05, 1.35
COLDEST_K, WARMEST_K = KELVIN_AT_0_C - 20, KELVIN_AT_0_C + 60

# Beyond these no cell has ever been, so that something else was typed.
_IMPOSSIBLE_RATIO = 1.5
_WITHOUT_POINT = (1000, 1500)
_COLDEST_PLACE_K, _BOILING_K = 173.0, KELVIN_AT_0_C + 100
# What turning 140 °F into kelvin may add to 60 °C.
_ROUNDING_K = 1e-6


def corrected_gravity_ratio(gravity_ratio: Numbers, electrolyte_k: Numbers | float, reference_k: float) -> Numbers:
    """What the hydrometer would show were the electrolyte at the reference temperature.

    Warm acid is thinner: above the reference something is added, below it something is taken off.

    Parameters
    ----------
    gravity_ratio
        As read [1.05 to 1.35].
    electrolyte_k
        Of the electrolyte, not of the air [K, 253 to 333].
    reference_k
        That the pack's full and flat gravities hold at [K, 253 to 333].

    Raises
    ------
    BadInput
        No gravity or no temperature of a battery: a decimal point left out, degrees Celsius given as kelvin or kelvin
        as degrees Celsius.
    OutOfRange
        Outside the ranges above.

    Notes
    -----
    The printed slope is that of strong acid. The acid of a flat cell changes by 0.0005 for each kelvin, so that ten
    kelvin off the reference put a flat cell 0.002 wrong.

    Examples
    --------
    >>> round(corrected_gravity_ratio(1.255, 308.15, 298.15), 4)
    1.262

    **Source** 0.0007 for each kelvin: workshop and traction battery manuals; 0.004 for each 10 °F: trade tables;
    both checked in tests/published/test_battery_gravity.py.
    """
    check_gravity(gravity_ratio)
    _check_in_range(gravity_ratio)
    check_electrolyte(electrolyte_k)
    check_electrolyte(reference_k)
    return gravity_ratio + SLOPE_PER_K * (electrolyte_k - reference_k)


def gravity_of_density_ratio(density_kg_per_l: Numbers) -> Numbers:
    """The specific gravity of a density that a hydrometer in kilograms for each litre shows.

    Parameters
    ----------
    density_kg_per_l
        As read [kg/L, 1 to below 1.5].

    Raises
    ------
    BadInput
        No density of battery acid.

    Examples
    --------
    >>> round(gravity_of_density_ratio(1.28), 4)
    1.2838

    **Source** Density of water at 25 °C, 0.99705 kg/L (CRC Handbook of Chemistry and Physics, properties of water).
    """
    check_gravity(density_kg_per_l)
    return density_kg_per_l / WATER_KG_PER_L


def density_of_gravity_kg_per_l(gravity_ratio: Numbers) -> Numbers:
    """The density of a specific gravity at 25 °C [kg/L].

    Raises
    ------
    BadInput
        No gravity of battery acid.

    **Source** As `gravity_of_density_ratio`.
    """
    check_gravity(gravity_ratio)
    return gravity_ratio * WATER_KG_PER_L


def check_gravity(gravity_ratio: Floats) -> None:
    """Refuse what cannot be the gravity of any acid in a battery, not a number included.

    Raises
    ------
    BadInput
        It is below that of water, 1.5 or more, or was typed without its decimal point.
    """
    given = _first_outside(gravity_ratio, 1.0, np.nextafter(_IMPOSSIBLE_RATIO, 0))
    if given is None:
        return
    if _WITHOUT_POINT[0] <= given < _WITHOUT_POINT[1]:
        raise BadInput(
            "The gravity is {given}; enter it with its decimal point, {likely_ratio}.",
            given=f"{given:g}",
            likely_ratio=given / 1000,
        )
    raise BadInput(
        "The gravity is {given}; acid in a battery is heavier than water, 1.000, and lighter than 1.500. Read it "
        "again and enter what the hydrometer shows, such as 1.265.",
        given=f"{given:g}",
    )


def check_electrolyte(electrolyte_k: Floats) -> None:
    """Refuse what cannot be the temperature of a battery, or lies where nobody measured.

    Raises
    ------
    BadInput
        Degrees Celsius given as kelvin, or kelvin given as degrees Celsius.
    OutOfRange
        Below -20 °C, above 60 °C, or not a number.
    """
    given = _first_outside(electrolyte_k, COLDEST_K - _ROUNDING_K, WARMEST_K + _ROUNDING_K)
    if given is None:
        return
    if 0 <= given + KELVIN_AT_0_C < _BOILING_K and given < _COLDEST_PLACE_K:
        raise BadInput(
            "The electrolyte is at {given} kelvin, which no battery reaches; if it was read in degrees Celsius, it is "
            "{likely_k}: enter it as such.",
            given=f"{given:g}",
            likely_k=given + KELVIN_AT_0_C,
        )
    if given > KELVIN_AT_0_C + _COLDEST_PLACE_K:
        raise BadInput(
            "The electrolyte is at {given_k}, which no battery reaches; if it was read in kelvin, it is {likely_k}: "
            "enter degrees instead.",
            given_k=given,
            likely_k=given - KELVIN_AT_0_C,
        )
    raise OutOfRange(
        "The electrolyte is at {given_k}; gravities were compared from {least_k} to {most_k}. Measure the electrolyte "
        "again, in the degrees that the entry asks for, or bring the pack into that range first.",
        given_k=given,
        least_k=COLDEST_K,
        most_k=WARMEST_K,
    )


def _check_in_range(gravity_ratio: Floats) -> None:
    given = _first_outside(gravity_ratio, LEAST_RATIO, MOST_RATIO)
    if given is not None:
        raise OutOfRange(
            "The gravity is {given_ratio}; cells stand between {least_ratio} and {most_ratio}. Check that the float "
            "swims free, then read it again.",
            given_ratio=given,
            least_ratio=LEAST_RATIO,
            most_ratio=MOST_RATIO,
        )


def _first_outside(values: Floats, least: float, most: float) -> float | None:
    """The first value outside these bounds or not a number; None where all are inside."""
    flat = np.ravel(np.asarray(values, dtype=np.float64))
    outside = flat[~((flat >= least) & (flat <= most))]
    return float(outside[0]) if outside.size else None
