"""What overcharge splits: water, hydrogen and oxygen by Faraday's law, and the current that does it."""

import math

from scrubwright.battery.pack import ChargeProfile, Chemistry
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.constants import MOL_PER_AH, WATER_KG_PER_MOL
from scrubwright.measures.errors import BadInput, OutOfRange
from scrubwright.measures.units import KELVIN_AT_0_C

# The molar gas constant, CODATA 2018, exact.
GAS_J_PER_MOL_K = 8.314462618
ATMOSPHERE_PA = 101_325.0
# Two electrons split one molecule of water into one of hydrogen and half a one of oxygen.
_WATER_MOL_PER_AH = MOL_PER_AH / 2

WATER_KG_PER_AH = WATER_KG_PER_MOL * _WATER_MOL_PER_AH

# Gassing current at the end of the charge as the standard for traction batteries takes it, vented cells.
VENTED_GASSING_A_PER_AH = {
    ChargeProfile.IUOU: 0.02,
    ChargeProfile.IUIA: 0.06,
    ChargeProfile.WA: 0.07,
    ChargeProfile.WOWA: 0.07,
}
# The same for valve-regulated cells, from memory.
SEALED_GASSING_A_PER_AH = {ChargeProfile.IUOU: 0.01, ChargeProfile.IUIA: 0.015}
WORST_GASSING_A_PER_AH = 0.07

# Schiffer et al.: 20 mA for 100 Ah at 2.23 V and 25 °C, and how it grows with volts and with warmth.
_NORMAL_A_PER_AH, _NORMAL_CELL_V, _NORMAL_K = 0.020 / 100, 2.23, KELVIN_AT_0_C + 25
_GROWTH_PER_V, _GROWTH_PER_K = 11.0, 0.06
# Where the law is taken to hold (ours).
LOW_CELL_V, HIGH_CELL_V = 2.0, 2.8
COLDEST_K, HOTTEST_K = KELVIN_AT_0_C, KELVIN_AT_0_C + 60


def hydrogen_l_per_ah(gas_k: float) -> float:
    """Hydrogen that each ampere-hour of overcharge sets free in one cell, at one atmosphere [L/Ah].

    Parameters
    ----------
    gas_k
        Temperature of the gas [K, > 0].

    Raises
    ------
    BadInput
        Not above zero.

    Notes
    -----
    **Source** Faraday's law and the ideal gas; checked in tests/published/test_battery_gassing.py.

    Examples
    --------
    >>> round(hydrogen_l_per_ah(298.15), 4)
    0.4564
    """
    check_above_zero("gas_k", gas_k)
    return _WATER_MOL_PER_AH * GAS_J_PER_MOL_K * gas_k / ATMOSPHERE_PA * 1000


def oxygen_l_per_ah(gas_k: float) -> float:
    """Oxygen that each ampere-hour of overcharge sets free in one cell [L/Ah]: half the hydrogen.

    **Source** As `hydrogen_l_per_ah`.
    """
    return hydrogen_l_per_ah(gas_k) / 2


def split_water_kg(overcharge_ah: float, cells: int) -> float:
    """Water that overcharge splits in cells in series [kg].

    Parameters
    ----------
    overcharge_ah
        Ampere-hours that charged nothing [Ah, >= 0].
    cells
        In series, each splits the same [>= 1].

    Raises
    ------
    BadInput
        Below these.

    Notes
    -----
    Sealed cells turn nearly all of it back into water; this is what vented ones lose, without evaporation.

    **Source** Faraday's law; checked in tests/published/test_battery_gassing.py.

    Examples
    --------
    >>> round(1000 * split_water_kg(1.0, 1), 4)
    0.3361
    """
    check_zero_or_more("overcharge_ah", overcharge_ah)
    if cells < 1:
        raise BadInput("{cells} cells cannot gas; enter how many the pack has in series, from 1 on.", cells=cells)
    return WATER_KG_PER_AH * overcharge_ah * cells


def gassing_a_per_ah(chemistry: Chemistry | None, profile: ChargeProfile | None) -> float:
    """Gassing current at the end of a charge that the air of the room is worked out from [A/Ah].

    Parameters
    ----------
    chemistry, profile
        None where not known: then the worst is taken.

    Returns
    -------
    float
        0 for lithium, which does not gas unless it is failing.

    Notes
    -----
    Vented cells: 2 A for 100 Ah with the voltage held at 2.4 V a cell, at most 6 with an unlimited last part, 5 to 7
    with a falling current, taken as 7. Valve-regulated cells 1 and 1.5: from memory.

    **Source** EN 50272-3, Safety requirements for secondary batteries, part 3: traction batteries, 2002, table of gas
    currents, as quoted by a maker; checked in tests/published/test_battery_gassing.py.

    Examples
    --------
    >>> gassing_a_per_ah(Chemistry.FLOODED, ChargeProfile.IUOU)
    0.02
    """
    if chemistry is Chemistry.LITHIUM:
        return 0.0
    if chemistry is None or profile is None:
        return WORST_GASSING_A_PER_AH
    if chemistry is Chemistry.FLOODED:
        return VENTED_GASSING_A_PER_AH[profile]
    return SEALED_GASSING_A_PER_AH.get(profile, WORST_GASSING_A_PER_AH)


def held_gassing_a_per_ah(cell_v: float, electrolyte_k: float, aged_ratio: float = 1.0) -> float:
    """Current that only makes gas while a flooded cell is held at a voltage [A/Ah].

    It grows e-fold with each 91 mV and doubles with each 12 °C.

    Parameters
    ----------
    cell_v
        Voltage of the cell [V, 2.0 to 2.8].
    electrolyte_k
        [K, 273 to 333].
    aged_ratio
        1 for a new cell; 5 or more for an old one with antimony on its negative plates [>= 1].

    Raises
    ------
    OutOfRange
        Volts or temperature outside these.
    BadInput
        `aged_ratio` below 1.

    Notes
    -----
    **Source** Schiffer J, Sauer D U, Bindner H et al., Model prediction for ranking lead-acid batteries according to
    expected lifetime, Journal of Power Sources 168 (2007) 66; checked in tests/worked/test_battery_gassing_current.py.

    Examples
    --------
    >>> round(100 * held_gassing_a_per_ah(2.40, 298.15), 3)
    0.13
    """
    if not (LOW_CELL_V <= cell_v <= HIGH_CELL_V and COLDEST_K <= electrolyte_k <= HOTTEST_K):
        raise OutOfRange(
            "Gassing is asked for at {given} V a cell and {kelvin} kelvin; it is known from {low_v} to {high_v}, and "
            "from {coldest_k} to {hottest_k}. Enter the volts of one cell, and the electrolyte's temperature.",
            given=str(cell_v),
            kelvin=str(electrolyte_k),
            low_v=LOW_CELL_V,
            high_v=HIGH_CELL_V,
            coldest_k=COLDEST_K,
            hottest_k=HOTTEST_K,
        )
    if not aged_ratio >= 1:
        raise BadInput(
            "The cell is said to gas {given} times as a new one; enter 1 for new, 5 for an old one.",
            given=str(aged_ratio),
        )
    growth = _GROWTH_PER_V * (cell_v - _NORMAL_CELL_V) + _GROWTH_PER_K * (electrolyte_k - _NORMAL_K)
    return _NORMAL_A_PER_AH * math.exp(growth) * aged_ratio
