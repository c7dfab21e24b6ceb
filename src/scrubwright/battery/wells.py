"""The two wells of a pack: charge at hand and charge that must first flow to it.

Kinetic battery model of Manwell and McGowan: the plates' surface holds a share c of all charge at
hand, the rest is bound and follows at a rate k. Hard work empties the first well early; a rest
lets the second refill it. Every step under a steady current is exact.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from scrubwright.battery.pack import RatedCapacity
from scrubwright.battery.rate_table import check_rates
from scrubwright.battery.voltage import VoltageCurve, depth_at_fraction
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput, NoAnswer

Floats = float | NDArray[np.float64]

# Between the exchange rates fitted to three published rate tables, 0.286, 0.677 and 0.784 per hour.
USUAL_EXCHANGE_PER_H = 0.53
# Fitted to the rate table of a flooded 6 V block, six rows from 3 to 100 hours.
USUAL_AVAILABLE_FRACTION = 0.558
_SLOWEST_PER_H, _FASTEST_PER_H = 1e-3, 30.0
_LEAST_FRACTION, _MOST_FRACTION = 0.02, 0.98


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wells:
    """The two wells of one pack, or of many at once where the fields are arrays of one shape.

    Parameters
    ----------
    most_ah
        Charge in both wells together when full [Ah, > 0].
    available_fraction
        Share of it that is at hand at once [above 0, below 1].
    exchange_per_h
        Rate at which the wells level out, for both together [1/h, > 0]. Texts that give the rate of the valve
        between them, k, mean k / (c (1 - c)) here.
    scale_ah
        What is drawn while the charge that people read falls from full to none [Ah, > 0]: about the capacity of a
        slow discharge, for a hydrometer. A cut-off leaves some in the wells beyond that. None: all that they hold.
    """

    most_ah: Floats
    available_fraction: Floats
    exchange_per_h: Floats
    scale_ah: Floats | None = None

    @property
    def read_ah(self) -> Floats:
        """The charge between full and none as people read it [Ah]."""
        return self.most_ah if self.scale_ah is None else self.scale_ah

    def __post_init__(self) -> None:
        if not (np.all(np.greater(self.most_ah, 0)) and np.all(np.isfinite(self.most_ah))):
            raise BadInput("The wells hold {given} ampere-hours; enter a number above zero.", given=str(self.most_ah))
        if not np.all(np.greater(self.exchange_per_h, 0)):
            raise BadInput(
                "The wells exchange {given} an hour; enter a number above zero.", given=str(self.exchange_per_h)
            )
        if not np.all(np.greater(self.available_fraction, 0) & np.less(self.available_fraction, 1)):
            raise BadInput(
                "The share of charge at hand is {given}; enter a share between 0 and 1.",
                given=str(self.available_fraction),
            )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Charge:
    """What the wells hold at one moment.

    Parameters
    ----------
    total_ah
        In both [Ah].
    available_ah
        In the first [Ah].
    """

    total_ah: Floats
    available_ah: Floats


def rested(wells: Wells, charge_fraction: Floats) -> Charge:
    """The wells of a rested pack, level with each other.

    Parameters
    ----------
    charge_fraction
        Charge left, as a rested gravity tells it [0 to 1], on the scale of `read_ah`.

    Raises
    ------
    BadInput
        The share is outside 0 to 1.
    """
    if not np.all(np.greater_equal(charge_fraction, 0) & np.less_equal(charge_fraction, 1)):
        raise BadInput(
            "The charge left is {given}; enter a share from 0 to 1, such as 0.85 for 85 %.", given=str(charge_fraction)
        )
    total_ah = wells.most_ah - np.multiply(wells.read_ah, np.subtract(1.0, charge_fraction))
    return Charge(total_ah=total_ah, available_ah=total_ah * wells.available_fraction)


def charge_left_of_fraction(wells: Wells, charge: Charge) -> NDArray[np.float64]:
    """The charge left as people read it [1 full, 0 none on their scale, below 0 past it].

    **Source** inverse of `rested`.
    """
    return np.asarray(1 - np.subtract(wells.most_ah, charge.total_ah) / wells.read_ah)


def stepped(wells: Wells, charge: Charge, current_a: Floats, duration_h: Floats) -> Charge:
    """The wells after a time under a steady current; exact.

    The surface gives the current and is refilled in proportion to the difference of the levels.

    Parameters
    ----------
    current_a
        Drawn from the pack; below zero while it is charged [A].
    duration_h
        For how long [h, >= 0].

    Returns
    -------
    Charge
        Not limited: below zero or above full means that the pack stopped or was full on the way.

    Examples
    --------
    >>> wells = Wells(most_ah=108.16, available_fraction=0.4751, exchange_per_h=0.677)
    >>> float(round(stepped(wells, rested(wells, 0.5), 30.0, 1.0).total_ah, 2))
    24.08

    **Source** Manwell J F, McGowan J G, Lead acid battery storage model for hybrid energy systems, Solar Energy
    50 (1993) 399-405, equations 3 to 5; checked in tests/published/test_battery_wells.py.
    """
    c, k = wells.available_fraction, wells.exchange_per_h
    total_ah, available_ah, a, t = (
        np.asarray(each, dtype=np.float64) for each in (charge.total_ah, charge.available_ah, current_a, duration_h)
    )
    emptied = -np.expm1(-k * t)
    level_ah = total_ah * c - a * (1 - c) / k
    return Charge(
        total_ah=total_ah - a * t,
        available_ah=available_ah + (level_ah - available_ah) * emptied - a * c * t,
    )


def capacity_ah(wells: Wells, over_h: Floats) -> NDArray[np.float64]:
    """What a full pack gives when it is emptied evenly over so many hours [Ah].

    Parameters
    ----------
    over_h
        Hours from full to an empty first well [h, > 0].

    Examples
    --------
    >>> wells = Wells(most_ah=108.16, available_fraction=0.4751, exchange_per_h=0.677)
    >>> round(float(capacity_ah(wells, 20.0)), 1)
    100.0

    **Source** as `stepped`, equation 9; checked in tests/published/test_battery_wells.py.
    """
    t = np.asarray(over_h, dtype=np.float64)
    if not np.all(t > 0):
        raise BadInput("A discharge over {given} hours cannot be; enter hours above zero.", given=str(over_h))
    return np.asarray(wells.most_ah * t / _hours_drawn(wells.available_fraction, wells.exchange_per_h, t))


def _hours_drawn(c: Floats, k: Floats, t: NDArray[np.float64]) -> NDArray[np.float64]:
    """What a current of 1 A takes out of the first well's reach in t hours, over its share of the whole [h]."""
    emptied = -np.expm1(-k * t)
    return np.asarray(emptied / (k * c) + (k * t - emptied) / k)


def most_current_a(wells: Wells, charge: Charge, duration_h: Floats) -> NDArray[np.float64]:
    """The steady current that empties the first well in just this time [A].

    **Source** as `stepped`, equation 6; checked in tests/published/test_battery_wells.py.
    """
    return _bound_current_a(wells, charge, duration_h, 0.0)


def most_charging_current_a(wells: Wells, charge: Charge, duration_h: Floats) -> NDArray[np.float64]:
    """The steady current that fills the first well in just this time [A, above zero].

    **Source** as `stepped`, equation 7; checked in tests/published/test_battery_wells.py.
    """
    return -_bound_current_a(wells, charge, duration_h, np.multiply(wells.most_ah, wells.available_fraction))


def _bound_current_a(wells: Wells, charge: Charge, duration_h: Floats, end_ah: Floats) -> NDArray[np.float64]:
    idle = stepped(wells, charge, 0.0, duration_h)
    drawn_h = _hours_drawn(wells.available_fraction, wells.exchange_per_h, np.asarray(duration_h, dtype=np.float64))
    return np.asarray((idle.available_ah - end_ah) / (drawn_h * wells.available_fraction))


def fitted_wells(
    capacities: Sequence[RatedCapacity],
    *,
    curve: VoltageCurve | None = None,
    cut_off_v: float | None = None,
    exchange_per_h: float = USUAL_EXCHANGE_PER_H,
) -> Wells:
    """The wells whose capacities come closest to a rate table.

    Share and rate lie on a ridge (a bit more of one and less of the other fits nearly as well), so
    show people the capacities that follow, not these two.

    Parameters
    ----------
    capacities
        Rows of the rate table: three or more are fitted in all three figures, least squares of the relative
        errors; two give share and whole for the exchange rate handed in; one gives the whole alone, with the
        share of a published table.
    curve, cut_off_v
        Where given, a row ends when the cell's voltage reaches the cut-off, not when the first well is empty [V].
    exchange_per_h
        Used with fewer than three rows [1/h].

    Raises
    ------
    BadInput
        No row, or a table in which a slower discharge gives less.
    NoAnswer
        No pair of wells behaves like this table.

    Examples
    --------
    >>> rows = [RatedCapacity(capacity_ah=q, over_h=h) for h, q in ((20, 100), (10, 93), (1, 60))]
    >>> round(float(fitted_wells(rows).most_ah), 2)
    108.16

    **Source** Method ours (docs/explanation/runtime-of-a-pack.md), on the equations of `stepped`; checked in
    tests/published/test_battery_wells.py.
    """
    check_rates(capacities)
    check_above_zero("exchange_per_h", exchange_per_h)
    t = np.array([row.over_h for row in capacities])
    q = np.array([row.capacity_ah for row in capacities])
    reached = np.ones_like(t)
    if curve is not None and cut_off_v is not None:
        reached = depth_at_fraction(curve, cut_off_v, q / t)
        if not np.all(reached > 0):
            raise NoAnswer(
                "At the currents of its own rate table this pack would stand below its cut-off from the start; check "
                "the cut-off voltage and the resistance."
            )

    def implied(c: float, k: float) -> NDArray[np.float64]:
        return np.asarray(np.log(q * _hours_drawn(c, k, t) / (t * reached)))

    c, k = _share_and_rate(implied, len(t), exchange_per_h)
    return Wells(most_ah=math.exp(float(implied(c, k).mean())), available_fraction=c, exchange_per_h=k)


def _share_and_rate(
    implied: Callable[[float, float], NDArray[np.float64]], rows: int, exchange_per_h: float
) -> tuple[float, float]:
    """The pair for which all rows tell of the same whole, as nearly as can be."""
    if rows == 1:
        return USUAL_AVAILABLE_FRACTION, exchange_per_h
    shares = (_LEAST_FRACTION, _MOST_FRACTION)
    if rows == 2:
        (c,) = _closest(lambda p: implied(float(p[0]), exchange_per_h), [(0.5,)], [shares])
        return c, exchange_per_h
    rates = (math.log(_SLOWEST_PER_H), math.log(_FASTEST_PER_H))
    starts = [(c, math.log(k)) for c in (0.3, 0.7) for k in (0.1, 0.7, 3.0)]
    c, log_k = _closest(lambda p: implied(float(p[0]), math.exp(p[1])), starts, [shares, rates])
    return c, math.exp(log_k)


def _closest(
    implied: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    starts: Sequence[tuple[float, ...]],
    bounds: Sequence[tuple[float, float]],
) -> list[float]:
    def residuals(p: NDArray[np.float64]) -> NDArray[np.float64]:
        told = implied(p)
        return np.asarray(told - told.mean())

    low, high = zip(*bounds, strict=True)
    fits = [least_squares(residuals, start, bounds=(low, high), xtol=1e-14, ftol=1e-14, gtol=1e-14) for start in starts]
    return [float(x) for x in min(fits, key=lambda fit: float(fit.cost)).x]
