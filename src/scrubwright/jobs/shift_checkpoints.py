"""What the display must show at the start and at each stop, so that the charge lasts for what follows."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.wells import Charge
from scrubwright.floor.site import Use
from scrubwright.jobs.route_answer import LegKind, MachineRoute, Stop
from scrubwright.jobs.shift_answer import Doing, MachineShift, ShiftAnswer
from scrubwright.jobs.shift_legs import SOCKET_REACH_M
from scrubwright.jobs.shift_packs import Packs, packs_of

_SECONDS_PER_H = 3600.0
# Charges are tried in whole percent, as displays show them.
_TRIED = np.arange(101) / 100
_ROUNDING_S = 0.05
_ROUNDING_FRACTION = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Checkpoint:
    """One moment at which the driver looks at the display.

    Parameters
    ----------
    stop
        Number of the stop; None at the start.
    at_s
        On arrival, since the start of the shift [s].
    all_fraction
        Least charge that lasts for all that follows, in whole percent; above 1 where not even a full pack does.
    next_fraction
        The same up to the next stop; that of all that follows where no stop comes before more work.
    next_stop
        Number of that stop; None where none comes before more work.
    can_charge
        Whether the machine can be plugged in here, where the plan does not do so already.
    """

    stop: int | None
    at_s: float
    all_fraction: float
    next_fraction: float
    next_stop: int | None
    can_charge: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Loads:
    """What a machine draws, pauses and breaks included, below zero while charged; one entry a load, shape (m,)."""

    end_s: NDArray[np.float64]
    current_a: NDArray[np.float64]

    def between(self, from_s: float, until_s: float) -> "_Loads":
        inside = (self.end_s > from_s + _ROUNDING_S) & (self.end_s <= until_s + _ROUNDING_S)
        return _Loads(end_s=self.end_s[inside] - from_s, current_a=self.current_a[inside])


def checkpoints(answer: ShiftAnswer, shift: MachineShift) -> tuple[Checkpoint, ...]:
    """The start and every stop with work after it, each with the charge that is needed from there.

    Charges are enough where the pack, worked as planned from there, is not stopped by its lock-out and
    ends with the reserve that the question asks for. They hold for a pack as tired as the plan has it there.

    Parameters
    ----------
    answer, shift
        The whole answer, and which of its machines.

    Notes
    -----
    No margin is added: a heavy night takes more than is planned. **Source** ours, the pack as in
    `battery.discharge`; checked in tests/properties/test_shift_checkpoints.py against running the pack from there.
    """
    route, tonight = answer.route.routes[shift.machine - 1], answer.question.machines[shift.machine - 1]
    reserve_fraction = answer.question.settings.reserve_fraction
    loads = _loads(answer, shift, route)
    tried = packs_of(tonight, np.full(len(_TRIED), tonight.health_ratio))
    own = packs_of(tonight, np.array([tonight.health_ratio]))
    last_scrub_s = max((each.end_s for each in shift.line if each.doing is Doing.SCRUB), default=0.0)
    moments: list[tuple[Stop | None, float]] = [(None, 0.0)]
    moments += [(stop, _arrive_s(shift, stop.number)) for stop in route.stops]
    moments = [each for each in moments if each[1] < last_scrub_s]
    found = []
    for index, (stop, at_s) in enumerate(moments):
        begun = _begun(tried, own, loads.between(0.0, at_s), tonight.charge_fraction)
        after = moments[index + 1] if index + 1 < len(moments) else None
        ends_s = (float(loads.end_s[-1]), *([after[1]] if after else []))
        least = [_least_fraction(tried, begun, loads.between(at_s, end_s), reserve_fraction) for end_s in ends_s]
        found.append(
            Checkpoint(
                stop=stop.number if stop else None,
                at_s=at_s,
                all_fraction=least[0],
                next_fraction=least[-1],
                next_stop=after[0].number if after and after[0] else None,
                can_charge=stop is not None and _can_charge(answer, shift, stop),
            )
        )
    return tuple(found)


def _can_charge(answer: ShiftAnswer, shift: MachineShift, stop: Stop) -> bool:
    question = answer.question
    if question.machines[shift.machine - 1].charger is None or not question.settings.charge_on_the_way:
        return False
    left_s = max((each.end_s for each in shift.line if each.stop == stop.number), default=-np.inf)
    breaks = (each for each in shift.line if each.doing is Doing.CHARGE)
    # A break begins when the machine is filled, or ends what is told of the stop.
    is_planned = any(abs(left_s - moment_s) < _ROUNDING_S for each in breaks for moment_s in (each.start_s, each.end_s))
    sockets = answer.route.plan.with_use(Use.SOCKET)
    is_near = any(math.hypot(stop.x_m - each.x_m, stop.y_m - each.y_m) <= SOCKET_REACH_M for each in sockets)
    return is_near and not is_planned


def _arrive_s(shift: MachineShift, stop: int) -> float:
    return min((each.start_s for each in shift.line if each.stop == stop), default=np.inf)


def _loads(answer: ShiftAnswer, shift: MachineShift, route: MachineRoute) -> _Loads:
    """Each leg with what stands before it: a charge where the line says so, else a wait."""
    tonight = answer.question.machines[shift.machine - 1]
    idle_a = tonight.plate.currents.idle_a if tonight.plate.currents is not None else 0.0
    breaks = [(each.start_s, each.end_s) for each in shift.line if each.doing is Doing.CHARGE]
    charging_a = tonight.charger.main_a if tonight.charger is not None else 0.0
    ends_s: list[float] = []
    drawn_a: list[float] = []
    begin_s = 0.0
    for leg, end_s, current_a in zip(route.legs, shift.course.end_s, shift.course.current_a, strict=True):
        stand_s = float(end_s) - begin_s - leg.duration_s
        if stand_s > _ROUNDING_S:
            is_charging = any(start_s < end_s - _ROUNDING_S and until_s > begin_s for start_s, until_s in breaks)
            ends_s.append(begin_s + stand_s)
            drawn_a.append(-charging_a if is_charging else idle_a)
        ends_s.append(float(end_s))
        drawn_a.append(idle_a if leg.kind is LegKind.STOP else float(current_a))
        begin_s = float(end_s)
    return _Loads(end_s=np.array(ends_s), current_a=np.array(drawn_a))


def _begun(tried: Packs, own: Packs, before: _Loads, charge_fraction: float) -> Charge:
    """The charges to try, as unevenly spread over the wells as the plan leaves the pack there."""
    rested = tried.begun(_TRIED)
    whole = own.begun(np.array([charge_fraction]))
    worked, gave_out = _worked(own, whole, before)
    if gave_out.any() or not np.all(np.asarray(worked.total_ah) > 0):
        return rested
    share = np.asarray(worked.available_ah) / np.asarray(worked.total_ah)
    rested_share = np.asarray(whole.available_ah) / np.asarray(whole.total_ah)
    return replace(rested, available_ah=np.asarray(rested.available_ah) * np.minimum(share / rested_share, 1.0))


def _least_fraction(tried: Packs, begun: Charge, loads: _Loads, reserve_fraction: float) -> float:
    """Least of the tried charges that lasts for the loads; a percent above 1 where none does."""
    charge, gave_out = _worked(tried, begun, loads)
    kept = tried.left_fraction(charge) >= reserve_fraction - _ROUNDING_FRACTION
    enough = np.flatnonzero(~gave_out & kept)
    return float(_TRIED[enough[0]]) if len(enough) else 1.01


def _worked(packs: Packs, charge: Charge, loads: _Loads) -> tuple[Charge, NDArray[np.bool_]]:
    """What is left after the loads, and which packs gave out; loads of one current in a row are one."""
    gave_out = np.zeros(len(packs.most_ah), dtype=np.bool_)
    if not len(loads.end_s):
        return charge, gave_out
    cuts = np.flatnonzero(np.append(np.diff(loads.current_a) != 0, True))
    hours = np.diff(loads.end_s[cuts], prepend=0.0) / _SECONDS_PER_H
    current_a = loads.current_a[cuts]
    for part in np.split(np.arange(len(cuts)), np.flatnonzero(np.diff(current_a < 0)) + 1):
        if current_a[part[0]] < 0:
            charge = packs.plugged_in(charge, -float(current_a[part[0]]), np.full(len(gave_out), hours[part].sum()))
        else:
            like = np.ones(len(gave_out))
            work = packs.worked(charge, np.outer(current_a[part], like), np.outer(hours[part], like))
            gave_out, charge = gave_out | work.gave_out, work.charge
    return charge, gave_out
