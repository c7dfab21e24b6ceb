"""The voltage of a cell as it empties, and how far the pack sags under load."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.errors import BadInput

Floats = float | NDArray[np.float64]

# Shape of the curve fitted to five steady discharges of a published physics model of a lead-acid block
# (Sulzer et al. 2019, full model); see tests/outside/test_pack_against_a_physics_model.py.
USUAL_SLOPE_V = -0.251
USUAL_BEND_V = -0.0324
USUAL_RESISTANCE_OHM_AH = 0.083
# Measured on a 17 Ah block between 0.5 and 3 A: 0.05 to 0.07 for one cell; the model has 0.083.
LEAST_RESISTANCE_OHM_AH = 0.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VoltageCurve:
    """Voltage of one cell: E + A x + C x / (1 - x) - R I, where x is the emptied share of the first well.

    Parameters
    ----------
    full_v
        E: of a full cell, no load [V].
    slope_v
        A: how far it falls until the first well is empty, evenly [V, <= 0].
    bend_v
        C: how early it drops at the end [V, < 0].
    resistance_ohm
        R: of one cell with its share of the cables [ohm, >= 0].
    """

    full_v: Floats
    slope_v: Floats
    bend_v: Floats
    resistance_ohm: Floats

    def __post_init__(self) -> None:
        if not (np.all(np.greater(self.full_v, 0)) and np.all(np.greater_equal(self.resistance_ohm, 0))):
            raise BadInput(
                "The voltage of a full cell must be above zero and its resistance not below; enter both again."
            )
        if not (np.all(np.less_equal(self.slope_v, 0)) and np.all(np.less(self.bend_v, 0))):
            raise BadInput("The voltage of a cell falls as it empties; enter slope and bend below zero.")


def usual_curve(full_v: float, capacity_ah: float, cells: int, resistance_ohm: float | None = None) -> VoltageCurve:
    """The curve of a pack of which only the voltage when full, and perhaps the resistance, is known.

    Parameters
    ----------
    full_v
        Rested voltage of one full cell [V].
    capacity_ah
        Of the pack; a larger cell has a smaller resistance [Ah].
    cells
        In series.
    resistance_ohm
        Of the whole pack with its cables, as measured on the machine [ohm]; None: estimated from the capacity.

    Notes
    -----
    **Source** Shape of a published physics model (Sulzer V et al., Faster lead-acid battery simulations from
    porous-electrode theory, J. Electrochem. Soc. 166 (2019) A2363); an estimate until measured on the machine.
    """
    own_ohm = USUAL_RESISTANCE_OHM_AH / capacity_ah if resistance_ohm is None else resistance_ohm / cells
    return VoltageCurve(full_v=full_v, slope_v=USUAL_SLOPE_V, bend_v=USUAL_BEND_V, resistance_ohm=own_ohm)


def cell_v(curve: VoltageCurve, emptied_fraction: Floats, current_a: Floats) -> NDArray[np.float64]:
    """Voltage of one cell [V].

    Parameters
    ----------
    emptied_fraction
        x: emptied share of the first well [0 to below 1].
    current_a
        Drawn; below zero while charged [A].

    Notes
    -----
    **Source** Form of the voltage equation of the kinetic battery model: Manwell J F, McGowan J G, Extension of the
    kinetic battery model for wind/hybrid power systems, EWEC 1994, with D = 1, which a free whole makes redundant;
    checked in tests/outside against a physics model.
    """
    x = np.asarray(emptied_fraction, dtype=np.float64)
    load_v = np.multiply(curve.resistance_ohm, current_a)
    return np.asarray(curve.full_v + curve.slope_v * x + curve.bend_v * x / (1 - x) - load_v)


def depth_at_fraction(curve: VoltageCurve, threshold_v: Floats, current_a: Floats) -> NDArray[np.float64]:
    """The emptied share of the first well at which a cell under this current falls to a voltage.

    Parameters
    ----------
    threshold_v
        Of one cell [V].
    current_a
        Drawn [A].

    Returns
    -------
    ndarray
        Below 1; zero or below where even a full cell stands lower.

    Notes
    -----
    **Source** `cell_v` solved for x, a quadratic with one root below 1.
    """
    a, c = -np.asarray(curve.slope_v), -np.asarray(curve.bend_v)
    v = curve.full_v - threshold_v - np.multiply(curve.resistance_ohm, current_a)
    b = a + c + v
    return np.asarray(2 * v / (b + np.sqrt(np.maximum(b * b - 4 * a * v, 0.0))))


def cell_by_schiffer_v(emptied_fraction: Floats, current_per_h: Floats) -> NDArray[np.float64]:
    """Voltage of one cell by another published equation, for comparison [V].

    Its resistance stands for all losses together and is about ten times what two readings a few
    seconds apart give, so it belongs to slow averages and not to sag.

    Parameters
    ----------
    emptied_fraction
        Charge drawn over the rated capacity [0 to 1].
    current_per_h
        Current over the rated capacity [1/h].

    Notes
    -----
    **Source** Schiffer J et al., Model prediction for ranking lead-acid batteries according to expected lifetime in
    renewable energy systems and autonomous power-supply systems, J. Power Sources 168 (2007) 66-78, equation 2 with the
    default values of its table; checked in tests/worked/test_battery_voltage.py.
    """
    x = np.asarray(emptied_fraction, dtype=np.float64)
    return np.asarray(2.12 - 0.076 * x - 0.699 * current_per_h * (1 + 0.0464 * x / (1.75 - x)))


def sag_resistance_ohm(idle_v: float, idle_a: float, load_v: float, load_a: float) -> float:
    """Resistance of the pack and its cables from two readings on the machine [ohm].

    Parameters
    ----------
    idle_v, idle_a
        Key on, nothing running [V, A].
    load_v, load_a
        5 to 10 s later with brushes and suction on [V, A].

    Raises
    ------
    BadInput
        Under load there are not more amperes, or there are more volts.

    Examples
    --------
    >>> round(1000 * sag_resistance_ohm(37.6, 1.2, 37.2, 66.0), 2)
    6.17

    **Source** Ohm's law between two states.
    """
    if not (load_a > idle_a >= 0 and idle_v >= load_v > 0):
        raise BadInput(
            "Under load the pack shows {load_v} at {load_a}, idling {idle_v} at {idle_a}; under load there must be "
            "more amperes and not more volts. Read again: idling first, then brushes and suction on.",
            load_v=load_v,
            load_a=load_a,
            idle_v=idle_v,
            idle_a=idle_a,
        )
    return (idle_v - load_v) / (load_a - idle_a)
