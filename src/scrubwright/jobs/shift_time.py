"""A shift on the clock: legs with their pauses and charging breaks, what they do to the pack, and when floor is dry."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.discharge import StopCause
from scrubwright.battery.pack import Chemistry
from scrubwright.jobs.shift_answer import Course, Doing, MachineShift, Stretch
from scrubwright.jobs.shift_course import PackTonight, Spent, spent
from scrubwright.jobs.shift_legs import LegRow
from scrubwright.jobs.shift_loads import Closing, Hold, LegLoads, LoadKind
from scrubwright.jobs.shift_question import MachineTonight

DOING = {
    LoadKind.SCRUB: Doing.SCRUB,
    LoadKind.DRIVE: Doing.MOVE,
    LoadKind.SERVICE: Doing.SERVICE,
    LoadKind.CHARGE: Doing.CHARGE,
    LoadKind.WAIT: Doing.WAIT,
}
# Up to here a charger gives its full current; above, an hour at the socket brings less and less.
FULL_CURRENT_BELOW_FRACTION = 0.8
SHORTEST_BREAK_S = 300.0
# The least that a break brings of the charge, and the steps in which it is lengthened.
_LEAST_BROUGHT_FRACTION, _STEP_FRACTION = 0.05, 0.02
# Turns and short hops belong to the block on the night line.
SHORTEST_MOVE_S = 60.0
SECONDS_PER_H = 3600.0
_ROUNDING_S = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Timed:
    """One machine's legs with pauses and breaks put in.

    Parameters
    ----------
    row
        The legs.
    loads
        The same with a load for each pause and break.
    leg_of
        For each load its leg, or -1 for a pause or break, shape (m,).
    spent
        What the loads do to the pack.
    """

    row: LegRow
    loads: LegLoads
    leg_of: NDArray[np.intp]
    spent: Spent

    @property
    def end_s(self) -> NDArray[np.float64]:
        """End of each load since the start [s], shape (m,)."""
        return np.cumsum(self.loads.duration_s)


def timed(
    row: LegRow,
    pack: PackTonight,
    *,
    holds: Sequence[Hold] = (),
    closings: Sequence[Closing] = (),
    dry_s: float = 0.0,
    break_after: int | None = None,
    break_s: float = 0.0,
) -> Timed:
    """The legs on the clock: each begins once the one before is done and nothing holds it any more.

    Parameters
    ----------
    row, pack
        Legs and pack.
    holds, closings
        What legs wait for, and when areas must be dry, by their legs in the row.
    dry_s
        How long a leg that must dry holds others [s].
    break_after, break_s
        After which leg the machine charges, and for how long [s].
    """
    machine = row.loads.machine
    held: dict[int, list[Hold]] = {}
    for hold in holds:
        held.setdefault(hold.leg, []).append(hold)
    begin_s, end_s = np.zeros(len(row.legs)), np.zeros(len(row.legs))
    kind: list[int] = []
    duration_s: list[float] = []
    leg_of: list[int] = []

    def add(what: int, length_s: float, leg: int) -> float:
        kind.append(what)
        duration_s.append(length_s)
        leg_of.append(leg)
        return length_s

    now_s = 0.0
    for leg, length_s in enumerate(row.loads.duration_s):
        wait_s = max((_free_at_s(hold, begin_s, end_s, dry_s) for hold in held.get(leg, ())), default=0.0) - now_s
        if wait_s > _ROUNDING_S:
            now_s += add(LoadKind.WAIT, wait_s, -1)
        begin_s[leg] = now_s
        now_s += add(int(row.loads.kind[leg]), float(length_s), leg)
        end_s[leg] = now_s
        if leg == break_after and break_s > 0 and machine.charger is not None:
            now_s += add(LoadKind.CHARGE, break_s, -1)
    legs = np.array(leg_of, dtype=np.intp)
    loads = _with_pauses(row.loads, np.array(kind, dtype=np.int8), np.array(duration_s), legs)
    place = np.flatnonzero(legs >= 0)
    loads = replace(
        loads,
        last_wet_leg=int(place[row.loads.last_wet_leg]),
        holds=tuple(hold.moved(place) for hold in sorted(holds, key=lambda each: each.leg)),
        closings=tuple(replace(each, leg=int(place[each.leg])) for each in closings),
    )
    return Timed(
        row=row,
        loads=loads,
        leg_of=legs,
        spent=spent(pack, machine.charge_fraction, loads.current_a, loads.duration_s),
    )


def _free_at_s(hold: Hold, begin_s: NDArray[np.float64], end_s: NDArray[np.float64], dry_s: float) -> float:
    """When a leg is no longer held [s]."""
    free_s = [hold.not_before_s]
    if hold.acts_from is not None:
        free_s.append(float(begin_s[hold.acts_from]) + hold.contact_s)
    if hold.dries_from is not None:
        free_s.append(float(end_s[hold.dries_from]) + dry_s)
    return max(free_s)


def _with_pauses(
    loads: LegLoads, kind: NDArray[np.int8], duration_s: NDArray[np.float64], leg_of: NDArray[np.intp]
) -> LegLoads:
    """The loads of legs with pauses, in which the machine idles, and breaks between them."""
    machine = loads.machine
    idle_a = machine.plate.currents.idle_a if machine.plate.currents is not None else 0.0
    charging_a = machine.charger.main_a if machine.charger is not None else 0.0
    is_leg, leg = leg_of >= 0, np.maximum(leg_of, 0)
    return replace(
        loads,
        kind=kind,
        duration_s=duration_s,
        current_a=np.where(is_leg, loads.current_a[leg], np.where(kind == LoadKind.CHARGE, -charging_a, idle_a)),
        water_l=np.where(is_leg, loads.water_l[leg], 0.0),
        trip=loads.trip[np.maximum.accumulate(leg)],
        on_ramp=is_leg & loads.on_ramp[leg],
    )


def contact_holds(row: LegRow, contact_s: float) -> tuple[Hold, ...]:
    """For each second pass of a double scrub that the solution of the first must have acted for so long [s]."""
    return tuple(
        Hold(leg=leg, acts_from=first, contact_s=contact_s)
        for leg, first in enumerate(row.first_of)
        if first is not None
    )


def with_charging(
    first: Timed,
    pack: PackTonight,
    *,
    reserve_fraction: float,
    spare_s: float,
    holds: Sequence[Hold] = (),
    closings: Sequence[Closing] = (),
    dry_s: float = 0.0,
) -> Timed:
    """The same with one charging break where the pack would not last and a stop has a socket.

    The break goes to the last such stop that the pack still reaches with the reserve in it, or else with less, since
    an emptier pack takes the full current. It is as long as the missing charge asks for, longer where the lock-out
    would still act, and no longer than there is time.

    Parameters
    ----------
    first
        Without a break.
    reserve_fraction
        Charge to be left at the end [0 to 1].
    spare_s
        Time that may be spent at a socket [s].
    holds, closings, dry_s
        As in `timed`.
    """
    machine = first.loads.machine
    end_fraction = float(first.spent.charge_fraction[-1])
    short = reserve_fraction - end_fraction
    if machine.charger is None or (short <= 0 and first.spent.cause is StopCause.WORK_DONE):
        return first
    reached = first.end_s <= first.spent.stop_s
    at_socket = np.array([leg >= 0 and bool(first.row.socket[leg]) for leg in first.leg_of])
    places = np.flatnonzero(at_socket & reached & (first.spent.charge_fraction < FULL_CURRENT_BELOW_FRACTION))
    if not len(places):
        return first
    # What must be left at the end is better never touched on the way.
    spared = places[first.spent.charge_fraction[places] >= reserve_fraction]
    at = int(spared[-1] if len(spared) else places[-1])
    hours_a_fraction = float(np.asarray(pack.wells.read_ah)) / machine.charger.main_a
    room = FULL_CURRENT_BELOW_FRACTION - float(first.spent.charge_fraction[at])
    missing = max(short, _LEAST_BROUGHT_FRACTION)
    while True:
        break_s = max(min(missing, room) * hours_a_fraction * SECONDS_PER_H, SHORTEST_BREAK_S)
        if break_s > spare_s and spare_s < SHORTEST_BREAK_S:
            return first
        found = timed(
            first.row,
            pack,
            holds=holds,
            closings=closings,
            dry_s=dry_s,
            break_after=int(first.leg_of[at]),
            break_s=min(break_s, spare_s),
        )
        # Under load the lock-out may act while there is still charge: then it takes more of it.
        if found.spent.cause is StopCause.WORK_DONE or missing >= room or break_s >= spare_s:
            return found
        missing += _STEP_FRACTION


def machine_shift(number: int, found: Timed, dry_s: float) -> MachineShift:
    """One machine's shift as it is told: course by leg, the night line, the end."""
    ends_s, legs = found.end_s, found.leg_of
    is_leg = legs >= 0
    course = Course(
        end_s=ends_s[is_leg],
        current_a=found.loads.current_a[is_leg],
        charge_fraction=found.spent.charge_fraction[is_leg],
        pack_v=found.spent.pack_v[is_leg],
        solution_l=np.array([leg.solution_l for leg in found.row.legs]),
        recovered_l=np.array([leg.recovered_l for leg in found.row.legs]),
        squeegee_down=found.row.squeegee_down,
    )
    charged = found.loads.kind == LoadKind.CHARGE
    return MachineShift(
        machine=number,
        course=course,
        line=_line(found, dry_s),
        finish_s=float(ends_s[-1]),
        end_charge_fraction=float(found.spent.charge_fraction[-1]),
        energy_wh=found.spent.energy_wh,
        charged_ah=float(-(found.loads.current_a * found.loads.duration_s)[charged].sum() / SECONDS_PER_H),
    )


def _line(found: Timed, dry_s: float) -> tuple[Stretch, ...]:
    """The night line: loads of one kind and block as one stretch, and the drying at its end."""
    stretches: list[Stretch] = []
    start_s = 0.0
    for load, end_s in enumerate(found.end_s):
        leg = int(found.leg_of[load])
        told = found.row.legs[leg] if leg >= 0 else None
        new = Stretch(
            doing=DOING[LoadKind(int(found.loads.kind[load]))],
            start_s=start_s,
            end_s=float(end_s),
            block=None if told is None else told.block,
            stop=None if told is None else told.stop,
        )
        last = stretches[-1] if stretches else None
        is_short_move = new.doing is Doing.MOVE and new.end_s - new.start_s < SHORTEST_MOVE_S
        if is_short_move and last is not None and last.doing is Doing.SCRUB:
            new = replace(new, doing=Doing.SCRUB, block=last.block, stop=last.stop)
        if new.doing is Doing.CHARGE and last is not None:
            new = replace(new, stop=last.stop)
        if last is not None and (last.doing, last.block, last.stop) == (new.doing, new.block, new.stop):
            stretches[-1] = replace(last, end_s=new.end_s)
        elif new.end_s > new.start_s:
            stretches.append(new)
        start_s = float(end_s)
    wet_s = float(found.end_s[found.loads.last_wet_leg])
    stretches.append(Stretch(doing=Doing.DRYING, start_s=wet_s, end_s=wet_s + dry_s))
    return tuple(stretches)


def stops_early(machine: MachineTonight, found: Timed) -> bool:
    """Whether the pack gives out before the work is done; a lithium pack only where it is empty."""
    if machine.pack.chemistry is Chemistry.LITHIUM:
        return bool(np.any(found.spent.charge_fraction <= 0))
    return found.spent.cause is not StopCause.WORK_DONE
