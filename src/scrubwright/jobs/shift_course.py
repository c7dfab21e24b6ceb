"""Charge and voltage along the way of one machine."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.discharge import CAUSES, Guard, Load, StopCause, discharge, guard
from scrubwright.battery.pack import Chemistry, Pack
from scrubwright.battery.temperature import capacity_fraction
from scrubwright.battery.voltage import VoltageCurve, cell_v
from scrubwright.battery.wells import Charge, Wells, charge_left_of_fraction, rested, stepped
from scrubwright.jobs.pack_runtime import pack_model
from scrubwright.jobs.shift_question import MachineTonight

SECONDS_PER_H = 3600.0
# A lithium pack gives nearly all of its charge at any current that a scrubber draws (from memory).
_LITHIUM_AT_HAND_FRACTION = 0.98
_LITHIUM_EXCHANGE_PER_H = 10.0
_LITHIUM_CELL_V = 3.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PackTonight:
    """A pack as it stands tonight, ready to be worked.

    Parameters
    ----------
    wells
        Scaled by its health and its temperature.
    curve
        Voltage of one cell; None for lithium, whose own guard decides.
    watch
        What stops it before it is empty; None for lithium.
    cells
        In series.
    """

    wells: Wells
    curve: VoltageCurve | None
    watch: Guard | None
    cells: int

    def under_load_v(self, charge: Charge, current_a: NDArray[np.float64]) -> NDArray[np.float64]:
        """Pack voltage under a current [V]."""
        if self.curve is None:
            return np.full(np.shape(current_a), _LITHIUM_CELL_V * self.cells)
        full_ah = np.multiply(self.wells.most_ah, self.wells.available_fraction)
        emptied = np.clip(1 - np.asarray(charge.available_ah) / full_ah, 0.0, 0.999)
        return cell_v(self.curve, emptied, current_a) * self.cells


def pack_tonight(machine: MachineTonight) -> PackTonight:
    """The pack of a machine as wells, curve and lock-out.

    Raises
    ------
    BadInput, NoAnswer
        A pack without a usable rate table.
    """
    pack = machine.pack
    cold_fraction = 1.0
    if machine.electrolyte_k is not None and pack.chemistry is not Chemistry.LITHIUM:
        ratio = capacity_fraction(machine.electrolyte_k) / capacity_fraction(pack.rated_k)
        cold_fraction = min(float(ratio), 1.0)
    scale = machine.health_ratio * cold_fraction
    if pack.chemistry is Chemistry.LITHIUM:
        wells = Wells(
            most_ah=pack.capacity_ah,
            available_fraction=_LITHIUM_AT_HAND_FRACTION,
            exchange_per_h=_LITHIUM_EXCHANGE_PER_H,
        )
        return PackTonight(wells=_scaled(wells, scale), curve=None, watch=None, cells=pack.cells)
    wells, curve = pack_model(pack, machine.resistance_ohm or pack.resistance_ohm)
    return PackTonight(wells=_scaled(wells, scale), curve=curve, watch=_watch(pack, curve), cells=pack.cells)


def _scaled(wells: Wells, by_ratio: float) -> Wells:
    return replace(wells, most_ah=wells.most_ah * by_ratio, scale_ah=wells.read_ah * by_ratio)


def _watch(pack: Pack, curve: VoltageCurve) -> Guard:
    if pack.lock_out is not None:
        return guard(curve, pack.lock_out, pack.cells)
    return Guard(curve=curve, cell_v=pack.cut_off_v or 0.0, delay_s=0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spent:
    """What a row of loads does to a pack; arrays have one entry a load, shape (n,).

    Parameters
    ----------
    charge_fraction
        Left at the end of each load, as people read it [below 0 past the end of their scale].
    pack_v
        At the end of each load, under its current [V].
    energy_wh
        Given by the pack, less what was charged [Wh].
    stop_s
        When the pack gives out [s]; the end of the loads where it does not.
    cause
        Why.
    """

    charge_fraction: NDArray[np.float64]
    pack_v: NDArray[np.float64]
    energy_wh: float
    stop_s: float
    cause: StopCause


def spent(
    pack: PackTonight, charge_fraction: float, current_a: NDArray[np.float64], duration_s: NDArray[np.float64]
) -> Spent:
    """Work a pack through a row of loads.

    Each load is stepped exactly; energy by Simpson's rule over each load, whose voltage bends little within it.

    Parameters
    ----------
    pack
        From `pack_tonight`.
    charge_fraction
        At the beginning [0 to 1].
    current_a, duration_s
        Of each load [A], [s], shape (n,).

    Notes
    -----
    **Source** Kinetic battery model as in `battery.wells`; checked against a fine-step integration in
    tests/properties/test_shift_balance.py.
    """
    hours = duration_s / SECONDS_PER_H
    start = rested(pack.wells, charge_fraction)
    full_ah = float(np.asarray(pack.wells.most_ah))
    totals, availables = [float(np.asarray(start.total_ah))], [float(np.asarray(start.available_ah))]
    for amperes, step_h in zip(current_a.tolist(), hours.tolist(), strict=True):
        here = Charge(total_ah=totals[-1], available_ah=availables[-1])
        end = stepped(pack.wells, here, amperes, step_h)
        # A charger stops at full.
        totals.append(min(float(end.total_ah), full_ah))
        availables.append(min(float(end.available_ah), full_ah * float(np.asarray(pack.wells.available_fraction))))
    begin = Charge(total_ah=np.array(totals[:-1]), available_ah=np.array(availables[:-1]))
    end = Charge(total_ah=np.array(totals[1:]), available_ah=np.array(availables[1:]))
    middle = stepped(pack.wells, begin, current_a, hours / 2)
    mean_v = (
        pack.under_load_v(begin, current_a)
        + 4 * pack.under_load_v(middle, current_a)
        + pack.under_load_v(end, current_a)
    ) / 6
    run = discharge(pack.wells, start, Load(current_a=current_a, duration_h=hours), pack.watch)
    return Spent(
        charge_fraction=charge_left_of_fraction(pack.wells, end),
        pack_v=pack.under_load_v(end, current_a),
        energy_wh=math.fsum(mean_v * current_a * hours),
        stop_s=float(run.stop_h[0]) * SECONDS_PER_H,
        cause=CAUSES[int(run.cause[0])],
    )
