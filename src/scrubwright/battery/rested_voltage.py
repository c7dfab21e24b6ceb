"""Charge left by the voltage of a rested cell, for packs where no hydrometer was used or none goes in."""

from collections.abc import Mapping
from functools import cache

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.acid import acid_mol_per_kg
from scrubwright.battery.charge_left import PUBLISHED_AT_K, GravityFamily, charge_left_fraction
from scrubwright.battery.gravity import SLOPE_PER_K, Floats, Numbers, check_electrolyte
from scrubwright.battery.pack import SEALED, Chemistry
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput, OutOfRange

# Hours without charge and without work before the voltage tells anything; sealed packs need a day.
REST_H, SEALED_REST_H = 6.0, 24.0
# What is left of a rest that was not long enough, the meter and the pack's own acid, in one cell (estimate).
CELL_SD_V = 0.010
RULE_V = 0.84
LEAST_RATIO, MOST_RATIO = 1.05, 1.31

AT_K = 298.15
_SLOPE_V_PER_K = 0.0002
# From this on volts of a block or of the pack were given for those of a cell.
_BLOCK_V = 3.0
_SEALED_BLOCK_V: Mapping[Chemistry, tuple[float, ...]] = {
    Chemistry.AGM: (11.80, 12.00, 12.30, 12.60, 12.80),
    Chemistry.GEL: (11.80, 12.00, 12.35, 12.65, 12.85),
}
_SEALED_CHARGES = (0.0, 0.25, 0.5, 0.75, 1.0)


def is_rested(rested_h: float, least_h: float = REST_H) -> bool:
    """Whether a pack has stood long enough, without charge and without work, for its voltage to mean anything.

    Parameters
    ----------
    rested_h
        How long it stood [h].
    least_h
        How long it must [h]: `SEALED_REST_H` for AGM and gel.
    """
    return rested_h >= least_h


def rested_cell_v(gravity_ratio: Numbers, electrolyte_k: Numbers | float = AT_K) -> Numbers:
    """Voltage of a rested cell at this gravity [V].

    Parameters
    ----------
    gravity_ratio
        At 25 °C [1.05 to 1.31].
    electrolyte_k
        Of the electrolyte [K, 253 to 333].

    Raises
    ------
    BadInput, OutOfRange
        Outside these ranges.

    Notes
    -----
    Bode's form holds for 0.1 to 7 mol of acid in a kilogram of water. Warmth raises it by 0.2 mV for each kelvin in a
    charged cell (from memory); some pages print ten times as much.

    Examples
    --------
    >>> round(float(rested_cell_v(1.265)), 3)
    2.111

    **Source** Bode H, Lead-acid batteries, Wiley, New York 1977, both electrodes as given in the open library PyBaMM,
    parameter set Sulzer2019; checked in tests/published/test_battery_rested_voltage.py.
    """
    if not np.all(np.greater_equal(gravity_ratio, LEAST_RATIO) & np.less_equal(gravity_ratio, MOST_RATIO)):
        raise OutOfRange(
            "The gravity is {given}; the voltage of a rested cell is known from {least_ratio} to {most_ratio}. Enter "
            "the gravity at 25 °C.",
            given=str(gravity_ratio),
            least_ratio=LEAST_RATIO,
            most_ratio=MOST_RATIO,
        )
    check_electrolyte(electrolyte_k)
    log = np.log10(acid_mol_per_kg(gravity_ratio))
    at_25_c = 1.922 + 0.148 * log + 0.063 * log**2 + 0.074 * log**3 + 0.034 * log**4
    warmth: Numbers = at_25_c + _SLOPE_V_PER_K * (electrolyte_k - AT_K)
    return warmth


def gravity_by_rested_ratio(cell_v: Numbers, electrolyte_k: Numbers | float = AT_K) -> Numbers:
    """Gravity at 25 °C of a rested cell with this voltage.

    Parameters
    ----------
    cell_v
        Of one cell: volts of the pack over the count of its cells [V, about 1.93 to 2.16].
    electrolyte_k
        Of the electrolyte [K, 253 to 333].

    Raises
    ------
    BadInput
        Volts of a block or of the pack, or none.
    OutOfRange
        No rested cell stands there: it was just charged, or is run down or shorted.

    Examples
    --------
    >>> round(float(gravity_by_rested_ratio(2.111)), 3)
    1.265

    **Source** As `rested_cell_v`, turned round.
    """
    check_electrolyte(electrolyte_k)
    gravities, volts = _gravities_and_volts()
    at_25_c = cell_v - _SLOPE_V_PER_K * (electrolyte_k - AT_K)
    _check_cell(at_25_c, float(volts[0]), float(volts[-1]))
    return np.interp(at_25_c, volts, gravities)


def rule_cell_v(gravity_ratio: Numbers) -> Numbers:
    """The rule of thumb for the voltage of a rested cell: gravity + 0.84 [V].

    **Source** Common practice; texts add 0.84 to 0.86. Checked in tests/published/test_battery_rested_voltage.py.
    """
    return gravity_ratio + RULE_V


def rule_gravity_ratio(cell_v: Numbers) -> Numbers:
    """The rule of thumb turned round: volts of a rested cell - 0.84. It flatters a flat cell, see `rule_bias_v`.

    **Source** Common practice, as `rule_cell_v`.
    """
    return cell_v - RULE_V


def rule_bias_v(gravity_ratio: Numbers) -> Numbers:
    """How much higher a rested cell stands than the rule of thumb says [V]: more, the flatter it is.

    Parameters
    ----------
    gravity_ratio
        At 25 °C [1.05 to 1.31].

    Examples
    --------
    >>> round(1000 * float(rule_bias_v(1.280))), round(1000 * float(rule_bias_v(1.120)))
    (5, 20)

    **Source** As `rested_cell_v`; checked in tests/worked/test_acid_numbers.py.
    """
    return rested_cell_v(gravity_ratio) - rule_cell_v(gravity_ratio)


def rested_charge_left_fraction(
    family: GravityFamily, cell_v: Numbers, electrolyte_k: float = AT_K, reference_k: float = PUBLISHED_AT_K
) -> Numbers:
    """Charge left in a flooded cell by its rested voltage.

    Parameters
    ----------
    family
        The pack's own.
    cell_v
        Of one cell after a rest of `REST_H` [V].
    electrolyte_k
        Of the electrolyte [K, 253 to 333].
    reference_k
        That the family's gravities hold at [K, 253 to 333].

    Raises
    ------
    BadInput, OutOfRange
        As `gravity_by_rested_ratio`.

    Notes
    -----
    A second choice: a hydrometer is twice as close and sees each cell. Never equalise or replace by it.

    Examples
    --------
    >>> from scrubwright.battery.charge_left import FULL_1265
    >>> round(float(rested_charge_left_fraction(FULL_1265, 2.075)), 2)
    0.76

    **Source** As `rested_cell_v` and the family's; checked in tests/published/test_battery_rested_voltage.py.
    """
    check_electrolyte(reference_k)
    at_25_c = gravity_by_rested_ratio(cell_v, electrolyte_k)
    return charge_left_fraction(family, at_25_c - SLOPE_PER_K * (reference_k - AT_K))


def rested_charge_left_sd_fraction(family: GravityFamily, cell_sd_v: float = CELL_SD_V) -> float:
    """How far the charge by rested voltage strays, one standard deviation.

    Parameters
    ----------
    family
        The pack's own.
    cell_sd_v
        Of the volts of one cell [V, > 0]; of the meter's last digit over the count of cells where that is more.

    Examples
    --------
    >>> from scrubwright.battery.charge_left import FULL_1265
    >>> round(rested_charge_left_sd_fraction(FULL_1265), 2)
    0.08

    **Source** Slope of `rested_cell_v` between the ends of the family; ours, checked in tests/worked.
    """
    check_above_zero("cell_sd_v", cell_sd_v)
    ends = np.clip([family.flat_ratio, family.full_ratio], LEAST_RATIO, MOST_RATIO)
    flat_v, full_v = rested_cell_v(np.asarray(ends, dtype=np.float64))
    return cell_sd_v / float(full_v - flat_v)


def sealed_charge_left_fraction(chemistry: Chemistry, cell_v: Numbers) -> Numbers:
    """Charge left in an AGM or gel cell by its rested voltage; 0 from empty down, 1 from full up.

    Parameters
    ----------
    chemistry
        AGM or gel.
    cell_v
        Of one cell after a rest of `SEALED_REST_H` [V].

    Raises
    ------
    BadInput
        Not a sealed pack, volts of a block or of the pack, or none.

    Notes
    -----
    The voltage that a full one rests at depends on how strong its maker made the acid: half a point of charge for each
    millivolt. The maker's own table wins.

    Examples
    --------
    >>> round(float(sealed_charge_left_fraction(Chemistry.AGM, 12.30 / 6)), 2)
    0.5

    **Source** A battery maker's question page, state of charge against open-circuit voltage for gel and AGM, 24 hours
    off charge and load; checked in tests/published/test_battery_rested_voltage.py.
    """
    volts = [block_v / 6 for block_v in _sealed_block_v(chemistry)]
    _check_cell(cell_v, 0.0, _BLOCK_V)
    return np.interp(cell_v, volts, _SEALED_CHARGES)


def sealed_charge_left_sd_fraction(chemistry: Chemistry, cell_sd_v: float = CELL_SD_V) -> float:
    """How far the charge of a sealed pack by rested voltage strays, one standard deviation.

    Parameters
    ----------
    chemistry
        AGM or gel.
    cell_sd_v
        As for `rested_charge_left_sd_fraction` [V, > 0].

    Raises
    ------
    BadInput
        Not a sealed pack, or no deviation.

    **Source** Span of the table of `sealed_charge_left_fraction`; ours.
    """
    check_above_zero("cell_sd_v", cell_sd_v)
    volts = _sealed_block_v(chemistry)
    return 6 * cell_sd_v / (volts[-1] - volts[0])


def _sealed_block_v(chemistry: Chemistry) -> tuple[float, ...]:
    if chemistry not in SEALED:
        raise BadInput(
            "The pack is {chemistry}; the voltage table of sealed packs is for AGM and gel. Use the hydrometer on a "
            "flooded pack, the display of a lithium pack.",
            chemistry=chemistry,
        )
    return _SEALED_BLOCK_V[chemistry]


def _check_cell(cell_v: Floats, least_v: float, most_v: float) -> None:
    """Refuse volts that no cell has, and those that no rested cell has."""
    volts = np.ravel(np.asarray(cell_v, dtype=np.float64))
    for given in volts[~((volts > 0) & (volts < _BLOCK_V))][:1]:
        raise BadInput(
            "The cell stands at {given} V; one cell of a lead-acid pack has about 2. Divide the volts of the block or "
            "of the pack by its count of cells.",
            given=f"{given:g}",
        )
    for given in volts[~((volts >= least_v) & (volts <= most_v))][:1]:
        raise OutOfRange(
            "The cell stands at {given_v}; a rested one stands between {least_v} and {most_v}. Let it stand without "
            "charge and without work for {rest_h}, then measure again. If it is still lower, charge it and look for a "
            "weak cell.",
            given_v=float(given),
            least_v=least_v,
            most_v=most_v,
            rest_h=REST_H,
        )


@cache
def _gravities_and_volts() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    gravities = np.linspace(LEAST_RATIO, MOST_RATIO, 521)
    return gravities, rested_cell_v(gravities)
