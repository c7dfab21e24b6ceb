"""A night that does not fit: which machine or circuit is the reason, and the least changes that make it fit.

Each change loosens one thing, searches for how little of it is enough, and is only told where an order was found.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar

from scrubwright.jobs.charging_answer import CONTINUOUS_FRACTION, ChargingNight
from scrubwright.jobs.charging_grid import ROUNDING_A, SLOT_H, Grid, Run
from scrubwright.jobs.charging_search import Order, fullest, in_time
from scrubwright.measures.sentence import Sentence

# A machine may be asked to be ready at most this much later.
LATEST_H = 24.0
_MOST_SUMS = 64

_Amount = TypeVar("_Amount", int, float)


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """Why a night does not fit, and what would make it fit.

    Parameters
    ----------
    why
        Which machine or circuit is the reason.
    changes
        The least ones, best first.
    """

    why: Sentence
    changes: tuple[Sentence, ...]


def misfit(night: ChargingNight, grid: Grid, *, is_proved: bool) -> Misfit:
    """The reason and the changes, for a night in which no order was found.

    Parameters
    ----------
    night
        The question.
    grid
        The same on its grid.
    is_proved
        Whether it is proved that there is none.
    """
    grid = replace(grid, prices_money_per_kwh=())
    served = {run.charge for run in fullest(grid).runs}
    loosened = _Loosened(night=night, grid=grid, left_out=tuple(n for n in range(len(grid.charges)) if n not in served))
    pauses, plugs, air = loosened.pauses(), loosened.plugs(), loosened.air()
    found = (
        pauses,
        plugs,
        loosened.hours(),
        loosened.other_load(),
        air,
        loosened.leaving_out(),
        loosened.new_circuit(),
    )
    why = _alone(night, grid)
    if why is None and not is_proved:
        why = Sentence(
            "No order was found in which all {machines} machines are ready in time; it is not proved that there is "
            "none.",
            machines=len(night.machines),
        )
    if why is None:
        why = loosened.why(needs_air=air is not None, needs_plugs=plugs is not None)
    return Misfit(why=why, changes=tuple(each for each in found if each is not None))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Loosened:
    """The night with one thing loosened at a time; each gives the change in words, or None where it is no help."""

    night: ChargingNight
    grid: Grid
    left_out: tuple[int, ...]

    @property
    def names(self) -> str:
        """The machines that do not find a place."""
        return ", ".join(self.night.machines[n].name for n in self.left_out)

    def why(self, *, needs_air: bool, needs_plugs: bool) -> Sentence:
        """The reason where each machine alone could be charged."""
        air_m3_per_h = self.grid.air_m3_per_h
        if needs_air and air_m3_per_h is not None:
            return Sentence(
                "The room's air of {air_m3_per_h} is the reason: it is not enough for as many at once as must charge "
                "to be ready in time. Without a place: {machines}.",
                air_m3_per_h=air_m3_per_h,
                machines=self.names,
            )
        if needs_plugs:
            return Sentence(
                "The plugs are the reason: other circuits have room, but these cannot be plugged in there: {machines}.",
                machines=self.names,
            )
        return Sentence(
            "The circuits are too full to charge every machine in time. Without a place: {machines}.",
            machines=self.names,
        )

    def pauses(self) -> Sentence | None:
        """Charges may pause before they gas."""
        if self.grid.may_pause or not in_time(replace(self.grid, may_pause=True)).runs:
            return None
        return Sentence("Let charges pause before they gas: with timers, or somebody who switches the chargers.")

    def plugs(self) -> Sentence | None:
        """Every charger may be plugged in on every circuit that carries it; as few as can be are moved."""
        free = [
            replace(
                charge,
                circuits=tuple(
                    circuit
                    for circuit, limit_a in enumerate(self.grid.limits_a)
                    if charge.mains_a <= limit_a + ROUNDING_A
                ),
            )
            for charge in self.grid.charges
        ]
        order = in_time(replace(self.grid, charges=tuple(free))) if tuple(free) != self.grid.charges else None
        if order is None or not order.runs:
            return None
        # One after the other goes back to where it may be plugged in now, as long as there is an order.
        for number, charge in enumerate(self.grid.charges):
            if order.runs[number].circuit not in charge.circuits:
                trial = [*free[:number], charge, *free[number + 1 :]]
                back = in_time(replace(self.grid, charges=tuple(trial)))
                if back.runs:
                    order, free = back, trial
        moved = tuple(
            Sentence(
                "{machine} on {circuit}",
                machine=self.night.machines[run.charge].name,
                circuit=self.night.circuits[run.circuit].name,
            )
            for run in order.runs
            if run.circuit not in self.grid.charges[run.charge].circuits
        )
        return Sentence("Plug in elsewhere: {moved}.", moved=moved)

    def hours(self) -> Sentence | None:
        """The machines that do not find a place may be ready later."""
        if not self.left_out:
            return None

        def later(slots: int) -> Order:
            charges = tuple(
                replace(charge, last=charge.last + slots) if n in self.left_out else charge
                for n, charge in enumerate(self.grid.charges)
            )
            return in_time(replace(self.grid, charges=charges))

        found = _least_that_fits(list(range(1, round(LATEST_H / SLOT_H) + 1)), later)
        if found is None:
            return None
        late = [run for run in found[1].runs if run.ends > self.grid.charges[run.charge].last]
        return Sentence("Be ready later: {machines}.", machines=tuple(self._later(run) for run in late))

    def _later(self, run: Run) -> Sentence:
        machine = self.night.machines[run.charge]
        return Sentence(
            "{machine} at {later} instead of {wanted}",
            machine=machine.name,
            later=clock(self.grid.at(run.ends), machine.ready_by),
            wanted=clock(machine.ready_by, machine.ready_by),
        )

    def other_load(self) -> Sentence | None:
        """One circuit carries nothing but chargers."""
        for number, circuit in enumerate(self.night.circuits):
            if circuit.other_load_a:
                freed = replace(circuit, other_load_a=0.0)
                if in_time(self._with_limit(number, freed.limit_a)).runs:
                    return Sentence(
                        "Take the other load of {load_a} off {circuit}.",
                        load_a=circuit.other_load_a,
                        circuit=circuit.name,
                    )
        return None

    def _with_limit(self, circuit: int, limit_a: float) -> Grid:
        """The grid with another limit on one circuit, or with one circuit more."""
        limits_a = [*self.grid.limits_a[:circuit], limit_a, *self.grid.limits_a[circuit + 1 :]]
        charges = []
        for machine, charge in zip(self.night.machines, self.grid.charges, strict=True):
            takes = circuit == len(self.grid.limits_a) or self.night.circuits[circuit].takes(machine.name)
            kept = [each for each in charge.circuits if each != circuit]
            fits = takes and charge.mains_a <= limit_a + ROUNDING_A
            charges.append(replace(charge, circuits=tuple(sorted([*kept, circuit] if fits else kept))))
        return replace(self.grid, limits_a=tuple(limits_a), charges=tuple(charges))

    def air(self) -> Sentence | None:
        """The room changes more air."""
        given = self.grid.air_m3_per_h
        if given is None or not self.grid.is_short_of_air:
            return None
        needs = sums_ratio([charge.air_m3_per_h for charge in self.grid.charges], given)
        found = _least_that_fits(needs, lambda need: in_time(replace(self.grid, air_m3_per_h=need)))
        if found is None:
            return None
        return Sentence(
            "Change more air: {air_m3_per_h} instead of {given_m3_per_h}.",
            air_m3_per_h=found[0],
            given_m3_per_h=given,
        )

    def leaving_out(self) -> Sentence | None:
        """The machines that do not find a place charge another night, or elsewhere."""
        if not self.left_out or len(self.left_out) == len(self.grid.charges):
            return None
        return Sentence("Leave out tonight, or charge in another place: {machines}.", machines=self.names)

    def new_circuit(self) -> Sentence | None:
        """One more circuit, of the least breaker that is enough."""
        limits = sums_ratio([charge.mains_a for charge in self.grid.charges], 0.0)
        extra = len(self.grid.limits_a)
        found = _least_that_fits(limits, lambda limit_a: in_time(self._with_limit(extra, limit_a)))
        if found is None:
            return None
        return Sentence(
            "Have an electrician put in one more circuit, with a breaker of {breaker_a} or the next size up.",
            breaker_a=math.ceil(found[0] / CONTINUOUS_FRACTION * 10 - 1e-6) / 10,
        )


def clock(at: datetime, beside: datetime) -> str:
    """A moment as people say it: the hour alone where the day is that of another moment told beside it.

    Examples
    --------
    >>> clock(datetime(2026, 11, 26, 6, 30), datetime(2026, 11, 26, 5, 0))
    '06:30'
    """
    return f"{at:%H:%M}" if at.date() == beside.date() else f"{at:%Y-%m-%d %H:%M}"


def sums_ratio(values_ratio: Sequence[float], above_ratio: float) -> list[float]:
    """What some of the values may add up to, rising, above a given sum; thinned where there are many.

    Examples
    --------
    >>> sums_ratio([4.0, 4.0, 6.0], 4.0)
    [6.0, 8.0, 10.0, 14.0]
    """
    found = [0.0]
    for value in values_ratio:
        found = _thinned(sorted({round(each + more, 6) for each in found for more in (0.0, value)}))
    return [each for each in found if each > above_ratio]


def _thinned(values: list[float]) -> list[float]:
    """Every so many of them, the greatest included."""
    return values[:: -math.ceil(len(values) / _MOST_SUMS)][::-1]


def _least_that_fits(amounts: Sequence[_Amount], order_of: Callable[[_Amount], Order]) -> tuple[_Amount, Order] | None:
    """The least amount with which there is an order, and that order; more of it never does harm."""
    found: tuple[_Amount, Order] | None = None
    low, high = 0, len(amounts) - 1
    # Most often much less than the greatest amount is enough, so that one is tried first to see whether any is.
    tried = high
    while low <= high:
        order = order_of(amounts[tried])
        if order.runs:
            found, high = (amounts[tried], order), tried - 1
        elif tried == len(amounts) - 1:
            return None
        else:
            low = tried + 1
        tried = (low + high) // 2
    return found


def _alone(night: ChargingNight, grid: Grid) -> Sentence | None:
    """The reason where one machine could not be charged even alone."""
    for machine, charge in zip(night.machines, grid.charges, strict=True):
        takes = [circuit for circuit in night.circuits if circuit.takes(machine.name)]
        if not takes:
            return Sentence("{machine} cannot be plugged in on any circuit.", machine=machine.name)
        if not charge.circuits:
            widest = max(takes, key=lambda circuit: circuit.limit_a)
            return Sentence(
                "{machine} draws {mains_a}. The most that chargers may draw where it can be plugged in is {limit_a}, "
                "on {circuit}: {share_fraction} of its breaker, less what else runs there.",
                machine=machine.name,
                mains_a=machine.mains_a,
                limit_a=widest.limit_a,
                circuit=widest.name,
                share_fraction=CONTINUOUS_FRACTION,
            )
        if not charge.has_time:
            return Sentence(
                "{machine} charges for {charge_h}, but has only {time_h} from {home} to {ready}.",
                machine=machine.name,
                charge_h=charge.slots * SLOT_H,
                time_h=(charge.last - charge.first) * SLOT_H,
                home=clock(machine.home_at, machine.home_at),
                ready=f"{machine.ready_by:%H:%M}",
            )
        if grid.air_m3_per_h is not None and charge.air_m3_per_h > grid.air_m3_per_h:
            return Sentence(
                "{machine} alone needs {need_m3_per_h} of air; the room changes {air_m3_per_h}.",
                machine=machine.name,
                need_m3_per_h=charge.air_m3_per_h,
                air_m3_per_h=grid.air_m3_per_h,
            )
    return None
