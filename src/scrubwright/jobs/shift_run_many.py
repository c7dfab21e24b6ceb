"""A planned shift of one machine, run as often as chance draws it."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.shift_draws import MachineDraws
from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_packs import packs_of
from scrubwright.jobs.shift_waits import waits_of, without_waits
from scrubwright.measures.constants import SECONDS_PER_H

# A hair over a whole number of tanks is rounding, not another tank.
_ROUNDING_TANKS = 1e-9
_ROUNDING_S = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MachineRuns:
    """How the drawn shifts of one machine went; every array has one entry a shift, shape (n,).

    Parameters
    ----------
    wet_s, finish_s
        When its last floor was wetted and when it was back, had the pack lasted [s].
    late_by_tank_s
        How much of `wet_s` unplanned dump stops took, less the planned ones that they saved [s].
    areas_wet_s, areas_late_by_tank_s
        The same for the last floor of each of the closings, shape (k, n).
    gives_out_s
        When the pack gave out; infinite where it lasted [s].
    gives_out_on_ramp
        Whether it did so on a ramp.
    end_charge_fraction
        Charge left at the end, or when it gave out, of what the pack can hold.
    """

    wet_s: NDArray[np.float64]
    finish_s: NDArray[np.float64]
    late_by_tank_s: NDArray[np.float64]
    areas_wet_s: NDArray[np.float64]
    areas_late_by_tank_s: NDArray[np.float64]
    gives_out_s: NDArray[np.float64]
    gives_out_on_ramp: NDArray[np.bool_]
    end_charge_fraction: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Steps:
    """Legs, unplanned stops and waits in order, shape (m, n).

    In the rows of `wet_s` and `late_by_tank_s` stands the last floor of all, then that of each of the closings.
    """

    duration_s: NDArray[np.float64]
    current_a: NDArray[np.float64]
    is_charging: NDArray[np.bool_]
    on_ramp: NDArray[np.bool_]
    wet_s: NDArray[np.float64]
    late_by_tank_s: NDArray[np.float64]


def machine_runs(loads: LegLoads, draws: MachineDraws, *, drying_s: NDArray[np.float64] | float = 0.0) -> MachineRuns:
    """Run the legs of one machine through all drawn shifts at once.

    Parameters
    ----------
    loads
        The legs as planned.
    draws
        What the machine meets in each shift.
    drying_s
        How long the floor takes to dry in each [s], shape (n,).

    Notes
    -----
    Every leg is a step of its own; none are lumped together. Legs that something holds wait in each shift for as
    long as that shift asks for, and not for as long as was planned. **Source** ours,
    docs/explanation/chance-of-finishing.md; checked against independent plain simulations in
    tests/worked/test_shift_chance_by_plain_draws.py and tests/worked/test_shift_hours_by_plain_draws.py.
    """
    steps = _steps(without_waits(loads), draws, drying_s)
    packs = packs_of(loads.machine, draws.health_ratio)
    charge = packs.begun(draws.charge_fraction)
    hours = steps.duration_s / SECONDS_PER_H
    gives_out_h, at_h = np.full(len(draws), np.inf), np.zeros(len(draws))
    for part in _parts(steps.is_charging):
        # A pack that gave out stands still from then on.
        part_h = np.where(np.isinf(gives_out_h), hours[part], 0.0)
        if steps.is_charging[part.start]:
            charge = packs.plugged_in(charge, -float(steps.current_a[part.start, 0]), part_h[0])
            at_h += part_h[0]
            continue
        work = packs.worked(charge, steps.current_a[part], part_h)
        gives_out_h = np.where(work.gave_out & np.isinf(gives_out_h), at_h + work.went_h, gives_out_h)
        charge, at_h = work.charge, at_h + work.went_h
    gives_out_s = gives_out_h * SECONDS_PER_H
    return MachineRuns(
        wet_s=steps.wet_s[0],
        finish_s=steps.duration_s.sum(axis=0),
        late_by_tank_s=steps.late_by_tank_s[0],
        areas_wet_s=steps.wet_s[1:],
        areas_late_by_tank_s=steps.late_by_tank_s[1:],
        gives_out_s=gives_out_s,
        gives_out_on_ramp=_on_ramp(steps, gives_out_s),
        end_charge_fraction=packs.left_fraction(charge),
    )


def _steps(loads: LegLoads, draws: MachineDraws, drying_s: NDArray[np.float64] | float) -> _Steps:
    tanks = _tanks(loads, draws)
    before = tanks.before
    kind = np.insert(loads.kind, before, LoadKind.SERVICE)
    planned_s = np.insert(loads.duration_s, before, loads.extra_stop_s)
    planned_a = np.insert(loads.current_a, before, _stop_current_a(loads))
    is_unplanned = np.insert(np.zeros(len(loads.kind), dtype=bool), before, True)
    step_of = np.flatnonzero(~is_unplanned)
    stretch = 1 + draws.hindered_ratio
    still = np.ones_like(stretch)
    pace = np.stack([draws.scrubbing_ratio * stretch, draws.driving_ratio * stretch, draws.stops_ratio, still, still])
    duration_s = pace[kind] * planned_s[:, None]
    duration_s[is_unplanned] *= tanks.unplanned
    # Hindrances are spread evenly over the work; while one lasts the machine idles.
    working = np.stack([1 / stretch, 1 / stretch, still, still, still])[kind]
    idle_a = _idle_a(loads)
    current_a = (planned_a[:, None] * working + idle_a * (1 - working)) * draws.current_ratio
    is_charging = kind == LoadKind.CHARGE
    current_a[is_charging] = planned_a[is_charging, None]
    passed_by = step_of[tanks.planned_at]
    planned_s = duration_s[passed_by]
    duration_s[passed_by] = np.where(tanks.is_passed_by, 0.0, planned_s)
    holds = [hold.moved(step_of) for hold in loads.holds]
    wet = (loads.last_wet_leg, *(each.leg for each in loads.closings))
    wet_at = [int(step_of[leg]) if leg >= 0 else -1 for leg in wet]
    waits = waits_of(duration_s, holds, drying_s)
    wet_s = np.stack([waits.end_s(at, duration_s) for at in wet_at])
    as_planned_s = duration_s.copy()
    as_planned_s[is_unplanned] = 0.0
    as_planned_s[passed_by] = planned_s
    unhindered = waits_of(as_planned_s, holds, drying_s)
    late_by_tank_s = wet_s - np.stack([unhindered.end_s(at, as_planned_s) for at in wet_at])
    stands = waits.wait_s.any(axis=1)
    at, wait_s = waits.steps[stands], waits.wait_s[stands]
    # Where nobody waits the step takes no time, and may not lift the voltage for a moment.
    wait_a = np.where(wait_s > 0, idle_a * draws.current_ratio, current_a[at])
    return _Steps(
        duration_s=np.insert(duration_s, at, wait_s, axis=0),
        current_a=np.insert(current_a, at, wait_a, axis=0),
        is_charging=np.insert(is_charging, at, False),
        on_ramp=np.insert(np.insert(loads.on_ramp, before, False), at, False),
        wet_s=wet_s,
        late_by_tank_s=late_by_tank_s,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Tanks:
    """Stops that the water asks for.

    Parameters
    ----------
    unplanned, before
        How many more than planned, shape (k, n), and before which leg, shape (k,).
    is_passed_by, planned_at
        Whether a planned one is not needed any more, shape (l, n), and which leg that is, shape (l,).
    """

    unplanned: NDArray[np.float64]
    before: NDArray[np.intp]
    is_passed_by: NDArray[np.bool_]
    planned_at: NDArray[np.intp]


def _tanks(loads: LegLoads, draws: MachineDraws) -> _Tanks:
    """Stops where a tank ends early; the tank being fresh, the planned stop that follows is passed by."""
    wet = np.flatnonzero(loads.water_l > 0)
    planned_l = np.bincount(loads.trip[wet], weights=loads.water_l[wet])
    unplanned = np.zeros((len(planned_l), len(draws)))
    is_passed_by = np.zeros(unplanned.shape, dtype=bool)
    used, ahead = np.zeros(len(draws)), np.zeros(len(draws))
    for trip, litres in enumerate(planned_l):
        tankfuls = used + litres / loads.trip_capacity_l * draws.water_ratio
        unplanned[trip] = np.maximum(np.ceil(tankfuls - _ROUNDING_TANKS) - 1, 0.0)
        ahead += unplanned[trip]
        is_passed_by[trip] = ahead > 0
        ahead -= is_passed_by[trip]
        used = np.where(is_passed_by[trip], tankfuls - unplanned[trip], 0.0)
    last_wet = np.full(len(planned_l), -1, dtype=np.intp)
    # Of several places given for one tankful the last one stays.
    last_wet[loads.trip[wet]] = wet
    short = np.flatnonzero(unplanned.any(axis=1))
    stops = np.flatnonzero(loads.kind == LoadKind.SERVICE)
    # Before the first wet leg nothing can be short, and after the last one none is passed by.
    between = stops[(stops > wet.min(initial=len(loads.kind))) & (stops < wet.max(initial=-1))]
    tankful_before = loads.trip[wet[np.searchsorted(wet, between) - 1]]
    return _Tanks(
        unplanned=unplanned[short],
        before=last_wet[short],
        is_passed_by=is_passed_by[tankful_before],
        planned_at=between,
    )


def _stop_current_a(loads: LegLoads) -> float:
    """What an unplanned stop draws, the way there included: as the planned drives and stops do on average [A]."""
    alike = (loads.kind == LoadKind.DRIVE) | (loads.kind == LoadKind.SERVICE)
    taken_s = loads.duration_s[alike]
    return float(np.average(loads.current_a[alike], weights=taken_s)) if taken_s.sum() > 0 else _idle_a(loads)


def _idle_a(loads: LegLoads) -> float:
    currents = loads.machine.plate.currents
    return 0.0 if currents is None else currents.idle_a


def _parts(is_charging: NDArray[np.bool_]) -> list[slice]:
    """Stretches of work, and each leg at the charger by itself."""
    starts = np.flatnonzero(is_charging | np.roll(is_charging, 1))
    cuts = [0, *(int(each) for each in starts if each > 0), len(is_charging)]
    return [slice(first, last) for first, last in pairwise(cuts) if last > first]


def _on_ramp(steps: _Steps, gives_out_s: NDArray[np.float64]) -> NDArray[np.bool_]:
    found = np.zeros(len(gives_out_s), dtype=bool)
    at = np.flatnonzero(np.isfinite(gives_out_s))
    if len(at) and steps.on_ramp.any():
        ends_s = np.cumsum(steps.duration_s[:, at], axis=0)
        # Where a heavier leg brings the voltage down at its very start, that leg is to blame.
        step = (ends_s <= gives_out_s[at] + _ROUNDING_S).sum(axis=0)
        found[at] = steps.on_ramp[np.minimum(step, len(steps.on_ramp) - 1)]
    return found
