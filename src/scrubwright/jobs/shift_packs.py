"""The pack of a machine tonight, as many times over as chance draws it."""

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.discharge import Guard, Load, discharge
from scrubwright.battery.wells import Charge, Wells, charge_left_of_fraction, most_charging_current_a, rested, stepped
from scrubwright.jobs.shift_course import pack_tonight
from scrubwright.jobs.shift_question import MachineTonight

# Stands for a stop of no time at all where a current must be found.
_SHORTEST_H = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Worked:
    """How a stretch of work ended; every array has one entry a pack, shape (n,).

    Parameters
    ----------
    went_h
        Until the pack gave out, or until the end [h].
    gave_out
        Whether the lock-out acted or the pack was empty.
    charge
        What it holds then.
    """

    went_h: NDArray[np.float64]
    gave_out: NDArray[np.bool_]
    charge: Charge


class Packs(Protocol):
    """Many packs of one kind."""

    @property
    def most_ah(self) -> NDArray[np.float64]:
        """What each holds when full [Ah], shape (n,)."""

    def begun(self, charge_fraction: NDArray[np.float64]) -> Charge:
        """Rested, so full."""

    def left_fraction(self, charge: Charge) -> NDArray[np.float64]:
        """The charge left as people read it, shape (n,)."""

    def worked(self, charge: Charge, current_a: NDArray[np.float64], duration_h: NDArray[np.float64]) -> Worked:
        """After the steps of a stretch of work, or up to where they give out; one column a pack, shape (m, n)."""

    def plugged_in(self, charge: Charge, charging_a: float, duration_h: NDArray[np.float64]) -> Charge:
        """After a time at the charger, whose current is held back where they would be overfull."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeadPacks:
    """Two wells each, watched by the machine's lock-out, or by the cut-off where that is not known."""

    wells: Wells
    guard: Guard

    @property
    def most_ah(self) -> NDArray[np.float64]:
        """What each holds when full [Ah], shape (n,)."""
        return np.asarray(self.wells.most_ah)

    def begun(self, charge_fraction: NDArray[np.float64]) -> Charge:
        """Rested, so full."""
        return rested(self.wells, charge_fraction)

    def left_fraction(self, charge: Charge) -> NDArray[np.float64]:
        """The charge left as people read it, shape (n,)."""
        return charge_left_of_fraction(self.wells, charge)

    def worked(self, charge: Charge, current_a: NDArray[np.float64], duration_h: NDArray[np.float64]) -> Worked:
        """After the steps of a stretch of work, or up to where they give out; one column a pack, shape (m, n)."""
        run = discharge(self.wells, charge, Load(current_a=current_a.T, duration_h=duration_h.T), self.guard)
        return Worked(went_h=run.stop_h, gave_out=~run.finished, charge=run.charge)

    def plugged_in(self, charge: Charge, charging_a: float, duration_h: NDArray[np.float64]) -> Charge:
        """After a time at the charger, whose current is held back where the first well would be overfull."""
        hours = np.maximum(duration_h, _SHORTEST_H)
        taken_a = np.clip(most_charging_current_a(self.wells, charge, hours), 0.0, charging_a)
        return stepped(self.wells, charge, -taken_a, duration_h)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CountedPacks:
    """Lithium: ampere-hours in and out, no voltage; gives out when they are gone."""

    most_ah: NDArray[np.float64]

    def begun(self, charge_fraction: NDArray[np.float64]) -> Charge:
        """So full."""
        return _held(self.most_ah * charge_fraction)

    def left_fraction(self, charge: Charge) -> NDArray[np.float64]:
        """The charge left as people read it, shape (n,)."""
        return np.asarray(charge.total_ah / self.most_ah)

    def worked(self, charge: Charge, current_a: NDArray[np.float64], duration_h: NDArray[np.float64]) -> Worked:
        """After the steps of a stretch of work, or up to where they give out; one column a pack, shape (m, n)."""
        held_ah = np.asarray(charge.total_ah)
        left_ah = held_ah - np.cumsum(current_a * duration_h, axis=0)
        gave_out = left_ah[-1] < 0
        went_h = duration_h.sum(axis=0)
        out = np.flatnonzero(gave_out)
        step = np.argmax(left_ah[:, out] < 0, axis=0)
        ended_h = np.cumsum(duration_h[:, out], axis=0)[step, np.arange(len(out))]
        went_h[out] = ended_h + left_ah[step, out] / current_a[step, out]
        return Worked(went_h=went_h, gave_out=gave_out, charge=_held(np.maximum(left_ah[-1], 0.0)))

    def plugged_in(self, charge: Charge, charging_a: float, duration_h: NDArray[np.float64]) -> Charge:
        """After a time at the charger, up to full."""
        return _held(np.minimum(charge.total_ah + charging_a * duration_h, self.most_ah))


def _held(total_ah: NDArray[np.float64]) -> Charge:
    return Charge(total_ah=total_ah, available_ah=total_ah)


def packs_of(machine: MachineTonight, health_ratio: NDArray[np.float64]) -> Packs:
    """The machine's pack as it stands tonight, once for each health.

    Parameters
    ----------
    health_ratio
        What it holds now over its rating [> 0], shape (n,).

    Raises
    ------
    BadInput, NoAnswer
        A pack without a usable rate table.
    """
    tonight = pack_tonight(machine)
    as_drawn = health_ratio / machine.health_ratio
    most_ah = tonight.wells.most_ah * as_drawn
    if tonight.watch is None:
        return CountedPacks(most_ah=most_ah)
    wells = replace(tonight.wells, most_ah=most_ah, scale_ah=tonight.wells.read_ah * as_drawn)
    return LeadPacks(wells=wells, guard=tonight.watch)
