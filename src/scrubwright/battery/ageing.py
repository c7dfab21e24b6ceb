"""Wear by the life curve: how much of a pack's life its discharges used, and how fast it should fade.

A prior only. Life tables for the same discharge differ five-fold, so a measurement always overrules this.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from scrubwright.battery.pack import LifeAtDepth
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import KELVIN_AT_0_C

# A default of an open library: discharges of each depth until 80 % is left, read off its table of fading capacity.
TABLE_LIFE = (
    LifeAtDepth(depth_fraction=0.3, life_cycles=1353.3),
    LifeAtDepth(depth_fraction=0.5, life_cycles=853.6),
    LifeAtDepth(depth_fraction=0.6, life_cycles=714.3),
    LifeAtDepth(depth_fraction=1.0, life_cycles=267.5),
)
# What is left of the rating at the end of a life curve.
END_FRACTION = 0.8
LIFE_REFERENCE_K = KELVIN_AT_0_C + 25
# Wear doubles with each ten degrees more: common practice.
DOUBLING_K_CHANGE = 10.0
# Tables for flooded packs at 80 % depth go from 225 to 1500 discharges; half their log range, as a standard deviation.
LIFE_SPREAD_RATIO = math.sqrt(1500 / 225)


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """Discharges of one depth among changing ones.

    Parameters
    ----------
    depth_fraction
        From the highest to the lowest charge of the swing.
    count_cycles
        How many; a half where the swing does not close.
    """

    depth_fraction: float
    count_cycles: float


def life_cycles(depth_fraction: float, life: Sequence[LifeAtDepth] = ()) -> float:
    """How many discharges of a depth a pack does until it holds 80 % of its rating.

    Straight lines between the curve's points on log-log paper. Shallower than the shallowest point, the ampere-hours
    to the end of life stay as there; deeper than the deepest, they fall as between the two deepest, or stay.

    Parameters
    ----------
    depth_fraction
        Of each discharge [above 0, up to 1].
    life
        The maker's curve; empty: the table of an open library.

    Raises
    ------
    BadInput
        No depth, or two points of the curve for one depth.

    Notes
    -----
    **Source** Default: NREL System Advisor Model, PySAM 7.1.1 BatteryStateful "LeadAcid", cycling_matrix; checked in
    tests/published/test_battery_life.py. Interpolation ours.

    Examples
    --------
    >>> round(life_cycles(0.6)), round(life_cycles(0.15))
    (714, 2707)
    """
    _check_depth(depth_fraction)
    points = sorted(life or TABLE_LIFE, key=lambda point: point.depth_fraction)
    depths = [point.depth_fraction for point in points]
    if len(set(depths)) != len(depths):
        raise BadInput("The life curve has two points for one depth; give each depth once.")
    shallowest, deepest = points[0], points[-1]
    if depth_fraction <= shallowest.depth_fraction:
        return shallowest.life_cycles * shallowest.depth_fraction / depth_fraction
    for shallow, deep in pairwise(points):
        if depth_fraction <= deep.depth_fraction:
            return deep.life_cycles * math.pow(depth_fraction / deep.depth_fraction, _slope(shallow, deep))
    slope = min(_slope(points[-2], deepest), -1.0) if len(points) > 1 else -1.0
    return deepest.life_cycles * math.pow(depth_fraction / deepest.depth_fraction, slope)


def _slope(shallow: LifeAtDepth, deep: LifeAtDepth) -> float:
    return math.log(deep.life_cycles / shallow.life_cycles) / math.log(deep.depth_fraction / shallow.depth_fraction)


def heat_ratio(mean_k: float) -> float:
    """How much faster a pack wears at a mean temperature than at 25 °C; 1 below that.

    Parameters
    ----------
    mean_k
        Of its electrolyte over the time [K, > 0].

    Raises
    ------
    BadInput
        Not above zero.

    **Source** Common practice: twice for each 10 K (rate law of Arrhenius); Schiffer et al. 2007 take corrosion twice
    for each 15 K. Checked in tests/worked/test_battery_ageing.py.

    Examples
    --------
    >>> heat_ratio(308.15)
    2.0
    """
    check_above_zero("mean_k", mean_k)
    return math.pow(2.0, max((mean_k - LIFE_REFERENCE_K) / DOUBLING_K_CHANGE, 0.0))


def life_used_fraction(
    depths_fraction: Sequence[float | Swing], life: Sequence[LifeAtDepth] = (), mean_k: float = LIFE_REFERENCE_K
) -> float:
    """Share of a pack's life that its discharges used; 1 where the curve says that 80 % of the rating is left.

    Each discharge uses up one part in as many as the curve gives for its depth (Miner's sum).

    Parameters
    ----------
    depths_fraction
        Depth of each discharge, or swings from `swings` where it was charged in between [above 0, up to 1].
    life
        The maker's curve; empty: the table of an open library.
    mean_k
        Mean temperature of the electrolyte [K].

    Raises
    ------
    BadInput
        A depth outside 0 to 1.

    **Source** Miner M A, Cumulative damage in fatigue, Journal of Applied Mechanics 12 (1945) A159; checked in
    tests/worked/test_battery_ageing.py.

    Examples
    --------
    >>> round(life_used_fraction([0.6] * 357), 2)
    0.5
    """
    used = 0.0
    for each in depths_fraction:
        swing = each if isinstance(each, Swing) else Swing(depth_fraction=each, count_cycles=1.0)
        used += swing.count_cycles / life_cycles(swing.depth_fraction, life)
    return used * heat_ratio(mean_k)


def prior_drift_per_shift(
    depth_fraction: float,
    life: Sequence[LifeAtDepth] = (),
    mean_k: float = LIFE_REFERENCE_K,
    discharges_per_shift: float = 1.0,
) -> float:
    """How much the logarithm of a full pack's hours falls in a shift, before anything was measured [below 0].

    From all of the rating to 80 % over the life that the curve gives, evenly.

    Parameters
    ----------
    depth_fraction
        Usual depth of a discharge [above 0, up to 1].
    life
        The maker's curve; empty: the table of an open library.
    mean_k
        Mean temperature of the electrolyte [K].
    discharges_per_shift
        Usual count [> 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    Real packs hold steady first and fall faster at the end. Take `prior_drift_sd_per_shift` as its uncertainty.

    **Source** As `life_used_fraction`; checked in tests/worked/test_battery_ageing.py.

    Examples
    --------
    >>> round(prior_drift_per_shift(0.6), 6)
    -0.000312
    """
    check_above_zero("discharges_per_shift", discharges_per_shift)
    used_per_shift = discharges_per_shift * heat_ratio(mean_k) / life_cycles(depth_fraction, life)
    return math.log(END_FRACTION) * used_per_shift


def prior_drift_sd_per_shift(drift_per_shift: float) -> float:
    """How far a pack's own drift may lie from `prior_drift_per_shift`, as a standard deviation.

    **Source** Spread of printed lives at 80 % depth, 225 to 1500 discharges: a factor of 2.6 to each side; checked in
    tests/worked/test_battery_ageing.py.
    """
    return abs(drift_per_shift) * (LIFE_SPREAD_RATIO - 1)


def swings(charge_fraction: Sequence[float]) -> tuple[Swing, ...]:
    """The discharges that a course of charge is made of, where the pack was charged a little in between.

    Rainflow counting: a small swing inside a larger one is counted for itself, and the larger one as a whole. With one
    full charge each shift it gives one discharge a shift, and is not needed.

    Parameters
    ----------
    charge_fraction
        Charge left at each plug-in and unplugging, in order.

    Returns
    -------
    tuple
        In the order in which they close, then what is left open, as halves.

    Notes
    -----
    Standard: ASTM E1049-85 (2017), Standard practices for cycle counting in fatigue analysis, section 5.4.4; its
    worked example is checked in tests/published/test_battery_life.py.

    Examples
    --------
    >>> swings([1.0, 0.4, 0.7, 0.2, 1.0])[0]
    Swing(depth_fraction=0.29999999999999993, count_cycles=1.0)
    """
    found: list[Swing] = []
    stack: list[float] = []
    for point in _turns(charge_fraction):
        stack.append(point)
        while len(stack) >= 3:
            last, before = abs(stack[-1] - stack[-2]), abs(stack[-2] - stack[-3])
            if last < before:
                break
            if len(stack) == 3:
                found.append(Swing(depth_fraction=before, count_cycles=0.5))
                del stack[0]
            else:
                found.append(Swing(depth_fraction=before, count_cycles=1.0))
                del stack[-3:-1]
    found += [Swing(depth_fraction=abs(b - a), count_cycles=0.5) for a, b in pairwise(stack)]
    return tuple(found)


def _turns(course: Sequence[float]) -> list[float]:
    """The points where the course turns, with its first and last."""
    turns: list[float] = []
    for point in course:
        if turns and point == turns[-1]:
            continue
        if len(turns) >= 2 and (turns[-1] - turns[-2]) * (point - turns[-1]) > 0:
            turns[-1] = point
        else:
            turns.append(point)
    return turns


def _check_depth(depth_fraction: float) -> None:
    if not 0 < depth_fraction <= 1:
        raise BadInput(
            "The depth of a discharge is {given}; enter a share above 0 and up to 1, such as 0.6.",
            given=str(depth_fraction),
        )
