"""A shift's load on a pack: when it stops and why, for one pack or for thousands at once."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.pack import LockOut
from scrubwright.battery.voltage import VoltageCurve, depth_at_fraction
from scrubwright.battery.wells import Charge, Floats, Wells, stepped
from scrubwright.measures.constants import SECONDS_PER_H
from scrubwright.measures.errors import BadInput

_MOST_STEPS = 40
_CLOSE_AH = 1e-10


class StopCause(StrEnum):
    """What ends a discharge."""

    WORK_DONE = "the work is done"
    LOCK_OUT = "the lock-out acts"
    EMPTY = "the charge at hand is gone"


CAUSES = tuple(StopCause)
_DONE, _LOCKED, _EMPTY = range(3)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Load:
    """What is drawn, step by step.

    Parameters
    ----------
    current_a
        Drawn in each step; below zero while charged [A], shape (m,) for all packs or (n, m).
    duration_h
        Of each step [h, >= 0], shape (m,) or (n, m).
    """

    current_a: NDArray[np.float64]
    duration_h: NDArray[np.float64]

    def __post_init__(self) -> None:
        if self.current_a.shape[-1] != self.duration_h.shape[-1] or not self.current_a.shape[-1]:
            raise BadInput(
                "The load has {currents} currents and {durations} durations; give one of each for every step.",
                currents=self.current_a.shape[-1],
                durations=self.duration_h.shape[-1],
            )
        if not (np.all(np.isfinite(self.current_a)) and np.all(np.isfinite(self.duration_h))):
            raise BadInput("The load holds something that is no number; enter amperes and hours for every step.")
        if not np.all(self.duration_h >= 0):
            raise BadInput("A step of the load lasts less than no time; enter hours of zero or more.")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Guard:
    """What stops a pack before it is empty.

    Parameters
    ----------
    curve
        Voltage of one cell.
    cell_v
        Voltage of one cell at which the lock-out acts [V].
    delay_s
        For how long the voltage must stay below [s].
    """

    curve: VoltageCurve
    cell_v: Floats
    delay_s: float


def guard(curve: VoltageCurve, lock_out: LockOut, cells: int) -> Guard:
    """The machine's lock-out as the cells meet it."""
    return Guard(curve=curve, cell_v=lock_out.voltage_v / cells, delay_s=lock_out.delay_s)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Discharge:
    """How it ended; every array has one entry a pack, shape (n,).

    Parameters
    ----------
    stop_h
        From the beginning until it stops, or until the load's end [h].
    cause
        Place in `CAUSES`.
    charge
        What the wells hold then.
    """

    stop_h: NDArray[np.float64]
    cause: NDArray[np.int8]
    charge: Charge

    @property
    def finished(self) -> NDArray[np.bool_]:
        """Which packs did the whole load."""
        return np.asarray(self.cause == _DONE)


def discharge(wells: Wells, start: Charge, load: Load, guard: Guard | None = None) -> Discharge:
    """Run a load through a pack, or through many at once.

    Each step is exact. Within a step the voltage falls to the lock-out where the first well falls
    to a level that follows from the current; the moment is found on that curve, and the lock-out
    acts once the voltage has stayed below for its delay.

    Parameters
    ----------
    wells, start
        One pack, or arrays of shape (n,).
    load
        One for all packs, or one each.
    guard
        None: only an empty first well stops the pack.

    Returns
    -------
    Discharge
        n is the widest of what was handed in.

    Notes
    -----
    Charging steps are not capped at full; hand in steps that fit. **Source** Kinetic battery model as in `wells`;
    crossing search ours (docs/explanation/runtime-of-a-pack.md), checked in tests/properties/test_discharge.py against
    a fine-step integration and in tests/outside against a physics model.
    """
    current_a, duration_h = np.atleast_2d(load.current_a), np.atleast_2d(load.duration_h)
    n = _packs(wells, start, current_a, duration_h, guard)
    c, k, most_ah = (_spread(each, n) for each in (wells.available_fraction, wells.exchange_per_h, wells.most_ah))
    wells = Wells(most_ah=most_ah, available_fraction=c, exchange_per_h=k)
    charge = Charge(total_ah=_spread(start.total_ah, n), available_ah=_spread(start.available_ah, n))
    below_h, stop_h = np.zeros(n), np.zeros(n)
    cause, going = np.full(n, _DONE, dtype=np.int8), np.ones(n, dtype=bool)
    for step in range(current_a.shape[1]):
        amperes, hours = _spread(current_a[:, step], n), _spread(duration_h[:, step], n)
        lock_ah = np.full(n, -np.inf) if guard is None else _lock_ah(guard, c * most_ah, amperes)
        end = stepped(wells, charge, amperes, hours)
        curve = _WellCurve.of(c, k, charge, amperes)
        low_ah = np.minimum(np.minimum(charge.available_ah, end.available_ah), curve.dip_ah(hours))
        risky = going & (low_ah <= np.maximum(lock_ah, 0.0))
        below_h[~risky] = 0.0
        went_h = np.where(going, hours, 0.0)
        if risky.any():
            at = np.flatnonzero(risky)
            delay_h = 0.0 if guard is None else guard.delay_s / SECONDS_PER_H
            met = _watched(curve.only(at), hours[at], lock_ah[at], below_h[at], delay_h)
            below_h[at], cause[at], went_h[at] = met.below_h, met.cause, met.went_h
            going[at] = met.cause == _DONE
        stop_h += went_h
        # Where nothing came near its end, the whole step was worked out already.
        charge = end if going.all() else stepped(wells, charge, amperes, went_h)
        if not going.any():
            break
    return Discharge(stop_h=stop_h, cause=cause, charge=charge)


def _packs(
    wells: Wells, start: Charge, current_a: NDArray[np.float64], duration_h: NDArray[np.float64], guard: Guard | None
) -> int:
    given: list[Floats] = [wells.most_ah, wells.available_fraction, wells.exchange_per_h]
    given += [start.total_ah, start.available_ah, current_a[:, 0], duration_h[:, 0]]
    if guard is not None:
        given += [guard.cell_v, guard.curve.full_v, guard.curve.slope_v, guard.curve.bend_v, guard.curve.resistance_ohm]
    return int(np.broadcast_shapes((1,), *(np.shape(each) for each in given))[0])


def _spread(value: Floats, n: int) -> NDArray[np.float64]:
    return np.broadcast_to(np.asarray(value, dtype=np.float64), n)


def _lock_ah(guard: Guard, full_ah: NDArray[np.float64], amperes: NDArray[np.float64]) -> NDArray[np.float64]:
    """What the first well holds when the voltage under this current stands at the lock-out [Ah]."""
    return np.asarray((1 - depth_at_fraction(guard.curve, guard.cell_v, amperes)) * full_ah)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _WellCurve:
    """The first well through one step: level + slope t + bent exp(-k t) [Ah]."""

    level_ah: NDArray[np.float64]
    slope_a: NDArray[np.float64]
    bent_ah: NDArray[np.float64]
    k_per_h: NDArray[np.float64]

    @classmethod
    def of(
        cls, c: NDArray[np.float64], k: NDArray[np.float64], charge: Charge, amperes: NDArray[np.float64]
    ) -> "_WellCurve":
        level_ah = charge.total_ah * c - amperes * (1 - c) / k
        return cls(level_ah=level_ah, slope_a=-amperes * c, bent_ah=charge.available_ah - level_ah, k_per_h=k)

    def only(self, at: NDArray[np.intp]) -> "_WellCurve":
        return _WellCurve(
            level_ah=self.level_ah[at], slope_a=self.slope_a[at], bent_ah=self.bent_ah[at], k_per_h=self.k_per_h[at]
        )

    def at(self, t: NDArray[np.float64]) -> NDArray[np.float64]:
        return self.level_ah + self.slope_a * t + self.bent_ah * np.exp(-self.k_per_h * t)

    def turn_h(self, hours: NDArray[np.float64]) -> NDArray[np.float64]:
        """When it turns within the step; the step's end where it does not [h]."""
        with np.errstate(divide="ignore", invalid="ignore"):
            left = self.slope_a / (self.k_per_h * self.bent_ah)
            turn = -np.log(left) / self.k_per_h
        return np.where((left > 0) & (left < 1) & (turn < hours), turn, hours)

    def dip_ah(self, hours: NDArray[np.float64]) -> NDArray[np.float64]:
        """Its lowest inside the step where it falls and rises again, else without bound; only charging does that."""
        dips = (self.slope_a > 0) & (self.bent_ah > 0)
        return np.where(dips, self.at(self.turn_h(hours)), np.inf) if dips.any() else np.full_like(hours, np.inf)

    def crossing_h(
        self, level_ah: NDArray[np.float64], from_h: NDArray[np.float64], until_h: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """When a stretch that only rises or only falls, and spans the level, meets it [h].

        Its second derivative keeps the sign of the bent part, so Newton's steps from the end that lies on
        that side close in without overshooting.
        """
        start_ah = self.at(from_h) - level_ah
        t = np.where(start_ah * self.bent_ah >= 0, from_h, until_h)
        for _ in range(_MOST_STEPS):
            off_ah = self.at(t) - level_ah
            if np.all(np.abs(off_ah) <= _CLOSE_AH):
                break
            slope = self.slope_a - self.k_per_h * self.bent_ah * np.exp(-self.k_per_h * t)
            t = np.clip(t - np.divide(off_ah, slope, out=np.zeros_like(t), where=slope != 0), from_h, until_h)
        return t


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Met:
    """What a step did: how long it went on, how long the voltage has been low at its end, and what stopped it."""

    went_h: NDArray[np.float64]
    below_h: NDArray[np.float64]
    cause: NDArray[np.int8]


def _watched(
    curve: _WellCurve,
    hours: NDArray[np.float64],
    lock_ah: NDArray[np.float64],
    below_h: NDArray[np.float64],
    delay_h: float,
) -> _Met:
    """Follow a step that comes near the lock-out or the bottom, up to its turn and from there on."""
    went_h, cause = hours.copy(), np.full(len(hours), _DONE, dtype=np.int8)
    turn_h = curve.turn_h(hours)
    from_h = np.zeros_like(hours)
    for until_h in (turn_h, hours):
        low_from_h, low_until_h = _spell_below(curve, lock_ah, from_h, until_h)
        since_h = np.where(low_from_h <= from_h, from_h - below_h, low_from_h)
        locks_h = np.where(low_until_h - since_h >= delay_h, np.maximum(since_h + delay_h, from_h), np.inf)
        locks_h[np.isinf(low_from_h)] = np.inf
        bottom_h, _ = _spell_below(curve, np.zeros_like(lock_ah), from_h, until_h)
        stops_h = np.minimum(locks_h, bottom_h)
        new = (cause == _DONE) & (stops_h <= until_h)
        went_h = np.where(new, stops_h, went_h)
        cause[new] = np.where(locks_h <= bottom_h, _LOCKED, _EMPTY)[new]
        below_h = np.where(low_until_h >= until_h, until_h - since_h, 0.0)
        from_h = until_h
    return _Met(went_h=went_h, below_h=below_h, cause=cause)


def _spell_below(
    curve: _WellCurve, level_ah: NDArray[np.float64], from_h: NDArray[np.float64], until_h: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """From when until when a stretch that only rises or only falls lies at or under a level; never: (inf, -inf)."""
    low_first, low_last = curve.at(from_h) <= level_ah, curve.at(until_h) <= level_ah
    crosses = low_first != low_last
    crossing_h = np.full_like(from_h, np.nan)
    if crosses.any():
        at = np.flatnonzero(crosses)
        crossing_h[at] = curve.only(at).crossing_h(level_ah[at], from_h[at], until_h[at])
    began_h = np.where(low_first, from_h, np.where(low_last, crossing_h, np.inf))
    ended_h = np.where(low_last, until_h, np.where(low_first, crossing_h, -np.inf))
    return began_h, ended_h
