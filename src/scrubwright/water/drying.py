"""How long a floor stays wet: the film behind the squeegee, and how fast the air takes it up."""

import math

import numpy as np

from scrubwright.measures.checks import check_zero_or_more
from scrubwright.measures.errors import BadInput, NoAnswer, OutOfRange
from scrubwright.measures.units import KELVIN_AT_0_C
from scrubwright.water.flow import left_on_floor_l_per_m2

COLDEST_AIR_K = KELVIN_AT_0_C
WARMEST_AIR_K = KELVIN_AT_0_C + 50.0
FASTEST_AIR_M_PER_S = 3.0
# A film dries like a pool between one where nobody swims and one in full use; the middle is their geometric mean.
STILL_ACTIVITY_FRACTION = 0.5
FULL_ACTIVITY_FRACTION = 1.0
MIDDLE_ACTIVITY_FRACTION = math.sqrt(STILL_ACTIVITY_FRACTION * FULL_ACTIVITY_FRACTION)
# Nobody waits longer than this for a floor.
LONGEST_S = 86_400.0
# Two scales of common practice side by side: what comes back, and what a cloth picks up behind the blade.
_WORN_RECOVERED_FRACTION, _GOOD_RECOVERED_FRACTION = 0.80, 0.85
_WORN_FILM_L_PER_M2, _GOOD_FILM_L_PER_M2 = 0.025, 0.010
# One litre of water weighs 0.988 to 1.000 kg between 0 and 50 °C.
_WATER_KG_PER_L = 1.0


def film_l_per_m2(dose_l_per_m2: float, recovered_fraction: float) -> float:
    """Film of water that stays behind the squeegee and has to dry [L/m²].

    What was laid less what came back, but never less than a blade of that state leaves on a flat floor, and never
    more than was laid.

    Parameters
    ----------
    dose_l_per_m2
        Solution laid on each square metre [L/m², >= 0].
    recovered_fraction
        Share that the squeegee brings back [0 to 1]; 0 on the first pass of a double scrub, squeegee up.

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    A blade that brings 0.85 or more back leaves at least 10 g/m², one at 0.80 or less is worn and leaves at least
    25 g/m², in between by the straight line. No measured films behind scrubbers were found in print, so weigh a
    cloth (docs/explanation/drying.md) before you trust the figure.

    **Source** balance of litres; the least films are common practice, put together by us, see
    docs/explanation/drying.md.

    Examples
    --------
    >>> film_l_per_m2(0.040, 0.92)
    0.01
    >>> round(film_l_per_m2(0.100, 0.70), 3)
    0.03
    """
    balance_l_per_m2 = left_on_floor_l_per_m2(dose_l_per_m2, recovered_fraction)
    least_l_per_m2 = float(
        np.interp(
            recovered_fraction,
            (_WORN_RECOVERED_FRACTION, _GOOD_RECOVERED_FRACTION),
            (_WORN_FILM_L_PER_M2, _GOOD_FILM_L_PER_M2),
        )
    )
    return min(dose_l_per_m2, max(balance_l_per_m2, least_l_per_m2))


def vapour_pressure_pa(water_k: float) -> float:
    """Pressure of water vapour right above water [Pa], all that air of that temperature can hold.

    Parameters
    ----------
    water_k
        Temperature [K, 273.15 to 323.15].

    Raises
    ------
    OutOfRange
        A temperature outside this range.

    Notes
    -----
    610.8 exp(17.27 t / (t + 237.3)) with t in °C; within 0.15 % of the steam tables in this range.

    **Source** Tetens, Zeitschrift für Geophysik 6, 1930, as equation 11 of Allen et al., Crop Evapotranspiration,
    FAO Irrigation and Drainage Paper 56, 1998 (checked in tests/published/test_drying.py).

    Examples
    --------
    >>> round(vapour_pressure_pa(293.15))
    2338
    """
    if not COLDEST_AIR_K <= water_k <= WARMEST_AIR_K:
        raise OutOfRange(
            "The air is at {air_k}; enter what a thermometer shows indoors, 0 to 50 °C.", air_k=float(water_k)
        )
    degrees = water_k - KELVIN_AT_0_C
    return 610.8 * math.exp(17.27 * degrees / (degrees + 237.3))


def evaporated_l_per_m2(
    duration_s: float,
    air_k: float,
    humidity_fraction: float,
    speed_m_per_s: float,
    activity_fraction: float = FULL_ACTIVITY_FRACTION,
) -> float:
    """Water that the air takes up from a wet floor in a time [L/m²].

    The drive is how much less vapour the air holds than it could, the path is the air that moves over the floor.

    Parameters
    ----------
    duration_s
        How long [s, >= 0].
    air_k
        Temperature of air and floor [K, 273.15 to 323.15].
    humidity_fraction
        Relative humidity [0 to 1].
    speed_m_per_s
        Of the air over the floor [m/s, 0 to 3]; 0.1 is a room with doors shut.
    activity_fraction
        How stirred the water is [above 0 to 1]: 0.5 a still pool, 1 one in full use.

    Raises
    ------
    BadInput, OutOfRange
        A value outside these ranges.

    Notes
    -----
    activity (0.089 + 0.0782 V) (p_water - p_air) / Y in kg/(m² s), with kPa, and Y the heat that a kilogram takes to
    evaporate [kJ/kg]. Measured up to about 0.15 m/s over pools; carried further along the straight line up to 3 m/s.
    The film is taken as warm as the air.

    **Source** Carrier's form, 1918, as in ASHRAE Handbook, HVAC Applications, Natatoriums (SI figures from memory);
    with the American figures of Smith, Löf and Jones, Rates of Evaporation from Swimming Pools in Active Use, ASHRAE
    Transactions 104(1A), 1998, equation 1, checked in tests/published/test_drying.py.

    Examples
    --------
    >>> round(1000 * evaporated_l_per_m2(60, 293.15, 0.5, 0.1), 2)
    2.77
    """
    check_zero_or_more("duration_s", duration_s)
    if not 0 <= humidity_fraction <= 1:
        raise BadInput("The humidity is {given}; enter a share from 0 to 1.", given=str(humidity_fraction))
    if not 0 <= speed_m_per_s <= FASTEST_AIR_M_PER_S:
        raise OutOfRange(
            "The air moves at {given} m/s; enter from 0 to 3, 0.1 being still air.", given=str(speed_m_per_s)
        )
    if not 0 < activity_fraction <= 1:
        raise BadInput("The activity is {given}; enter above 0 and at most 1.", given=str(activity_fraction))
    missing_kpa = vapour_pressure_pa(air_k) * (1 - humidity_fraction) / 1000
    rate_kg_per_m2_s = (
        activity_fraction * (0.089 + 0.0782 * speed_m_per_s) * missing_kpa / _heat_of_evaporation_kj_per_kg(air_k)
    )
    return rate_kg_per_m2_s / _WATER_KG_PER_L * duration_s


def drying_s(
    film_l_per_m2: float, air_k: float, humidity_fraction: float, speed_m_per_s: float
) -> tuple[float, float, float]:
    """How long a film takes to dry: low end, middle and high end of its band [s].

    Parameters
    ----------
    film_l_per_m2
        Water on the floor [L/m², >= 0]; see `film_l_per_m2`.
    air_k
        Temperature of air and floor [K, 273.15 to 323.15].
    humidity_fraction
        Relative humidity [0 to 1].
    speed_m_per_s
        Of the air over the floor [m/s, 0 to 3]; 0.1 is a room with doors shut.

    Raises
    ------
    BadInput, OutOfRange
        A value outside these ranges.
    NoAnswer
        The air is so damp that the film may still be there after a day.

    Notes
    -----
    The high end is twice the low one. For planning: a floor is open when it is dry to the touch, not when the clock
    says so.

    **Source** film over `evaporated_l_per_m2` in a second, at the activities 1, 0.71 and 0.5; the band is ours, see
    docs/explanation/drying.md (checked in tests/worked/test_drying_numbers.py).

    Examples
    --------
    >>> [round(each_s / 60, 1) for each_s in drying_s(0.010, 293.15, 0.5, 0.1)]
    [3.6, 5.1, 7.2]
    """
    check_zero_or_more("film_l_per_m2", film_l_per_m2)
    in_longest_l_per_m2 = evaporated_l_per_m2(LONGEST_S, air_k, humidity_fraction, speed_m_per_s)
    if in_longest_l_per_m2 == 0 or film_l_per_m2 > STILL_ACTIVITY_FRACTION * in_longest_l_per_m2:
        raise NoAnswer(
            "At {air_k} and {humidity_fraction} humidity the air takes up next to no water, so {film_l_per_m2} may "
            "still be wet after a day. Warm the room or let drier air in, measure again, and enter the new humidity.",
            air_k=air_k,
            humidity_fraction=humidity_fraction,
            film_l_per_m2=film_l_per_m2,
        )
    fastest_s = LONGEST_S * film_l_per_m2 / in_longest_l_per_m2
    return (
        fastest_s / FULL_ACTIVITY_FRACTION,
        fastest_s / MIDDLE_ACTIVITY_FRACTION,
        fastest_s / STILL_ACTIVITY_FRACTION,
    )


def _heat_of_evaporation_kj_per_kg(water_k: float) -> float:
    """2,501 at 0 °C and 2,383 at 50 °C; FAO Irrigation and Drainage Paper 56, annex 3, after Harrison 1963."""
    return 2501.0 - 2.361 * (water_k - KELVIN_AT_0_C)
