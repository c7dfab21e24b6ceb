"""The acid in a cell: how strong a gravity is, and what ampere-hours and water do to it."""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.gravity import Numbers, check_gravity
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.constants import MOL_PER_AH, WATER_KG_PER_L, WATER_KG_PER_MOL
from scrubwright.measures.errors import BadInput, NoAnswer

ACID_KG_PER_MOL = 0.098079
# On discharge a cell turns one acid molecule into one of water for each electron.
ACID_KG_PER_AH = ACID_KG_PER_MOL * MOL_PER_AH
WATER_MADE_KG_PER_AH = WATER_KG_PER_MOL * MOL_PER_AH

# Share of acid by mass, and density at 20 °C [kg/L].
_AT_20_C = (
    (0.00, 0.9982), (0.02, 1.0116), (0.04, 1.0250), (0.06, 1.0385), (0.08, 1.0522), (0.10, 1.0661), (0.12, 1.0802),
    (0.14, 1.0947), (0.16, 1.1094), (0.18, 1.1245), (0.20, 1.1398), (0.22, 1.1554), (0.24, 1.1714), (0.26, 1.1872),
    (0.28, 1.2031), (0.30, 1.2191), (0.32, 1.2353), (0.34, 1.2518), (0.36, 1.2685), (0.38, 1.2855), (0.40, 1.3028),
    (0.42, 1.3205), (0.44, 1.3386), (0.46, 1.3570), (0.48, 1.3759), (0.50, 1.3952),
)  # fmt: skip
_MOST_SHARE = _AT_20_C[-1][0]
# How much a litre of it loses for each kelvin between 20 and 25 °C: of water, and more for each share of acid.
_WATER_LOSES_KG_PER_L, _ACID_LOSES_KG_PER_L = 0.000235, 0.00139


def acid_fraction(gravity_ratio: Numbers) -> Numbers:
    """Share of sulfuric acid in the electrolyte, by mass.

    Parameters
    ----------
    gravity_ratio
        At 25 °C, over water at 25 °C [1.00 to 1.39].

    Raises
    ------
    BadInput
        No gravity of battery acid.

    Notes
    -----
    Texts differ by 0.002 in the share. A density in kilograms for each litre is not a gravity: 1.280 kg/L is 1.284.

    Examples
    --------
    >>> round(float(acid_fraction(1.280)), 3)
    0.374

    **Source** Densities at 20 °C: CRC Handbook of Chemistry and Physics, 102nd edition (2021), Concentrative
    properties of aqueous solutions; brought to 25 °C by a straight line through the model of Laliberté M, A model for
    calculating the heat capacity of aqueous solutions, with updated density and viscosity data, J. Chem. Eng. Data 54
    (2009) 1725-1760. Checked in tests/published/test_battery_acid.py.
    """
    check_gravity(gravity_ratio)
    shares, gravities = _shares_and_gravities()
    return np.interp(gravity_ratio, gravities, shares)


def acid_mol_per_kg(gravity_ratio: Numbers) -> Numbers:
    """Acid in each kilogram of water [mol/kg].

    Parameters
    ----------
    gravity_ratio
        As for `acid_fraction`.

    Examples
    --------
    >>> round(float(acid_mol_per_kg(1.280)), 2)
    6.08

    **Source** As `acid_fraction`; molar mass 98.079 g/mol. Checked in tests/published/test_battery_acid.py.
    """
    share = acid_fraction(gravity_ratio)
    return share / (1 - share) / ACID_KG_PER_MOL


def gravity_of_acid_ratio(share_fraction: Numbers) -> Numbers:
    """Gravity at 25 °C of this share of acid by mass.

    Parameters
    ----------
    share_fraction
        By mass [0 to 0.5].

    Raises
    ------
    BadInput
        Outside that range.

    **Source** As `acid_fraction`.
    """
    if not np.all(np.greater_equal(share_fraction, 0) & np.less_equal(share_fraction, _MOST_SHARE)):
        raise BadInput(
            "The share of acid is {given}; enter a share by mass from 0 to 0.5, such as 0.37.",
            given=str(share_fraction),
        )
    shares, gravities = _shares_and_gravities()
    return np.interp(share_fraction, shares, gravities)


def gravity_after_topping_up_ratio(gravity_ratio: float, electrolyte_l: float, water_l: float) -> float:
    """Gravity of a cell once water has been added and has mixed.

    Parameters
    ----------
    gravity_ratio
        Before, at 25 °C [1.00 to 1.39].
    electrolyte_l
        In the cell before [L, > 0].
    water_l
        Added [L, >= 0].

    Notes
    -----
    Water floats on acid until gas stirs it in: until after the next charge to gassing the hydrometer, which draws from
    the top, shows far less than this.

    Examples
    --------
    >>> round(gravity_after_topping_up_ratio(1.277, 2.4, 0.10), 3)
    1.267

    **Source** Balance of acid, ours; checked in tests/published/test_battery_acid.py and
    tests/worked/test_acid_numbers.py.
    """
    check_above_zero("electrolyte_l", electrolyte_l)
    check_zero_or_more("water_l", water_l)
    whole_kg = electrolyte_l * gravity_ratio * WATER_KG_PER_L
    acid_kg = whole_kg * float(acid_fraction(gravity_ratio))
    return float(gravity_of_acid_ratio(acid_kg / (whole_kg + water_l * WATER_KG_PER_L)))


def gravity_after_ah_ratio(start_ratio: float, electrolyte_l: float, drawn_ah: float) -> float:
    """Gravity of a cell after ampere-hours were drawn from it.

    Parameters
    ----------
    start_ratio
        Before, at 25 °C [1.00 to 1.39].
    electrolyte_l
        In the cell before, between and inside the plates too [L, > 0].
    drawn_ah
        Taken out; below zero put back in [Ah].

    Raises
    ------
    NoAnswer
        The acid does not last for so much.

    Examples
    --------
    >>> round(gravity_after_ah_ratio(1.277, 2.8, 225), 2)
    1.12

    **Source** Gladstone J H, Tribe A, double sulfate theory (1882): Pb + PbO2 + 2 H2SO4 -> 2 PbSO4 + 2 H2O for two
    electrons; balance ours. Checked in tests/worked/test_acid_numbers.py.
    """
    check_above_zero("electrolyte_l", electrolyte_l)
    whole_kg = electrolyte_l * start_ratio * WATER_KG_PER_L
    acid_kg = whole_kg * float(acid_fraction(start_ratio)) - ACID_KG_PER_AH * drawn_ah
    share = acid_kg / (whole_kg - (ACID_KG_PER_AH - WATER_MADE_KG_PER_AH) * drawn_ah)
    if not 0 <= share <= _MOST_SHARE:
        raise NoAnswer(
            "{drawn_ah} cannot go through {electrolyte_l} of electrolyte at {start_ratio}; check how much one cell "
            "holds, and whether the ampere-hours are those of one cell.",
            drawn_ah=float(drawn_ah),
            electrolyte_l=float(electrolyte_l),
            start_ratio=float(start_ratio),
        )
    return float(gravity_of_acid_ratio(share))


def drawn_ah(start_ratio: float, end_ratio: float, electrolyte_l: float) -> float:
    """Ampere-hours that took a cell from one gravity to another, without an ammeter [Ah]; below zero for a charge.

    Parameters
    ----------
    start_ratio, end_ratio
        Both at 25 °C, both mixed and rested [1.00 to 1.39].
    electrolyte_l
        In the cell at the start [L, > 0].

    Notes
    -----
    One reading that strays by 0.005 moves the answer by 7 Ah in a cell of 2.8 L; water added in between spoils it.

    Examples
    --------
    >>> round(drawn_ah(1.277, 1.120, 2.8))
    224

    **Source** As `gravity_after_ah_ratio`, solved for the ampere-hours.
    """
    check_above_zero("electrolyte_l", electrolyte_l)
    return electrolyte_l * _ah_for_each_litre(start_ratio, end_ratio)


def electrolyte_by_ah_l(start_ratio: float, end_ratio: float, drawn_ah: float) -> float:
    """Electrolyte in a cell at the start, from a discharge of known ampere-hours [L].

    Parameters
    ----------
    start_ratio, end_ratio
        As for `drawn_ah`; must differ.
    drawn_ah
        Taken out in between; below zero put back in [Ah].

    Raises
    ------
    BadInput
        The gravity did not move, or moved the other way.

    Examples
    --------
    >>> round(electrolyte_by_ah_l(1.277, 1.120, 225), 1)
    2.8

    **Source** As `gravity_after_ah_ratio`, solved for the litres.
    """
    ah = _ah_for_each_litre(start_ratio, end_ratio)
    if not ah * drawn_ah > 0:
        raise BadInput(
            "From {start_ratio} to {end_ratio} no {drawn_ah} were drawn; give the gravities before and after, the "
            "lower one last for a discharge.",
            start_ratio=float(start_ratio),
            end_ratio=float(end_ratio),
            drawn_ah=float(drawn_ah),
        )
    return drawn_ah / ah


def _ah_for_each_litre(start_ratio: float, end_ratio: float) -> float:
    start, end = float(acid_fraction(start_ratio)), float(acid_fraction(end_ratio))
    per_ah_kg = ACID_KG_PER_AH - end * (ACID_KG_PER_AH - WATER_MADE_KG_PER_AH)
    return start_ratio * WATER_KG_PER_L * (start - end) / per_ah_kg


@cache
def _shares_and_gravities() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    shares, at_20_c = np.array(_AT_20_C).T
    at_25_c = at_20_c - 5 * (_WATER_LOSES_KG_PER_L + _ACID_LOSES_KG_PER_L * shares)
    return shares, at_25_c / WATER_KG_PER_L
