"""The night of charging on a grid of quarter hours, as the search for the order sees it."""

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from scrubwright.battery.room_air import AFTER_GAS_H
from scrubwright.jobs.charging_answer import Charge, ChargingNight, MachineToCharge, Tariff
from scrubwright.measures.errors import BadInput

SLOT_H = 0.25
AFTER_GAS_SLOTS = round(AFTER_GAS_H / SLOT_H)
LONGEST_H = 72.0
_SLOT = timedelta(hours=SLOT_H)
# Currents that add up to a limit must not fail by what floating point adds.
ROUNDING_A = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class GridCharge:
    """One machine's charge, in slots counted from the beginning of the night.

    Parameters
    ----------
    mains_a
        Drawn while it charges [A].
    first, last
        It may charge from slot `first` on and must be done when slot `last` begins.
    early, late
        Slots before it gasses and from then on; `late` is at least 1. The late ones follow each other without a
        break; where pauses are allowed, the early ones lie anywhere before them.
    early_wh, late_wh
        Energy of one early and of one late slot [Wh].
    air_m3_per_h
        Air that the room must change while it charges and for an hour after [m³/h].
    circuits
        Those it can be plugged in at.
    """

    mains_a: float
    first: int
    last: int
    early: int
    late: int
    early_wh: float
    late_wh: float
    air_m3_per_h: float
    circuits: tuple[int, ...]

    @property
    def slots(self) -> int:
        """Slots of the whole charge."""
        return self.early + self.late

    @property
    def has_time(self) -> bool:
        """Whether it fits between home and ready-by when nothing else charges."""
        return self.first + self.slots <= self.last


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The whole night.

    Parameters
    ----------
    begins_at
        When slot 0 begins.
    charges
        In the order of the night's machines.
    limits_a
        What chargers may draw together on each circuit [A].
    prices_money_per_kwh
        Of each slot; empty without a tariff.
    air_m3_per_h
        What the room changes [m³/h]; None: not limited.
    may_pause
        Whether a charge may be interrupted before it gasses.
    """

    begins_at: datetime
    charges: tuple[GridCharge, ...]
    limits_a: tuple[float, ...]
    prices_money_per_kwh: tuple[float, ...] = ()
    air_m3_per_h: float | None = None
    may_pause: bool = True

    @property
    def slots(self) -> int:
        """When the last machine must be done."""
        return max(charge.last for charge in self.charges)

    @property
    def is_short_of_air(self) -> bool:
        """Whether the room could not have all of them charge at once."""
        needed = sum(charge.air_m3_per_h for charge in self.charges)
        return self.air_m3_per_h is not None and needed > self.air_m3_per_h + ROUNDING_A

    def loose(self, charge: int) -> int:
        """Slots of a charge that may lie apart from the rest."""
        return self.charges[charge].early if self.may_pause else 0

    def until(self, slot: int) -> "Grid":
        """The same night with everything done when that slot begins."""
        return replace(self, charges=tuple(replace(charge, last=min(charge.last, slot)) for charge in self.charges))

    def at(self, slot: int) -> datetime:
        """When a slot begins."""
        return self.begins_at + slot * _SLOT

    def cost_money(self, charge: int, position: int, slot: int) -> float:
        """Price of the energy that slot number `position` of a charge takes in a slot of the night; 0 without tariff.

        **Source** identity; checked in tests/worked/test_charging_nights.py.
        """
        if not self.prices_money_per_kwh:
            return 0.0
        each = self.charges[charge]
        energy_wh = each.early_wh if position < each.early else each.late_wh
        return energy_wh / 1000 * self.prices_money_per_kwh[slot]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """When one charge runs: its circuit and its slots, rising."""

    charge: int
    circuit: int
    slots: tuple[int, ...]

    @property
    def ends(self) -> int:
        """The slot at whose beginning it is done."""
        return self.slots[-1] + 1

    @property
    def spans(self) -> tuple[tuple[int, int], ...]:
        """(from, until) of each stretch, in slots."""
        starts = [slot for before, slot in zip((-2, *self.slots), self.slots, strict=False) if slot != before + 1]
        ends = [slot + 1 for slot, after in zip(self.slots, (*self.slots[1:], -1), strict=True) if after != slot + 1]
        return tuple(zip(starts, ends, strict=True))


def grid_of(night: ChargingNight) -> Grid:
    """The night on its grid; charges last a little longer there, and windows are a little shorter.

    Raises
    ------
    BadInput
        The night is longer than three days.
    """
    first = min(machine.home_at for machine in night.machines)
    last = max(machine.ready_by for machine in night.machines)
    begins_at = first.replace(minute=first.minute // 15 * 15, second=0, microsecond=0)
    if (last - begins_at) > timedelta(hours=LONGEST_H):
        raise BadInput(
            "The first machine is home {hours_h} before the last one must be ready; one night may be {most_h} long. "
            "Check the dates, or plan each night by itself.",
            hours_h=(last - begins_at) / timedelta(hours=1),
            most_h=LONGEST_H,
        )
    slots = math.ceil((last - begins_at) / _SLOT)
    prices = tuple(_price_money_per_kwh(night.tariff, begins_at + slot * _SLOT) for slot in range(slots))
    room = night.room
    return Grid(
        begins_at=begins_at,
        charges=tuple(_grid_charge(night, machine, begins_at) for machine in night.machines),
        limits_a=tuple(circuit.limit_a for circuit in night.circuits),
        prices_money_per_kwh=prices if night.tariff else (),
        air_m3_per_h=None if room is None else room.air_m3_per_h,
        may_pause=night.may_pause,
    )


def charge_of(night: ChargingNight, grid: Grid, run: Run) -> Charge:
    """A run of the grid as clock times and names."""
    return Charge(
        machine=night.machines[run.charge].name,
        circuit=night.circuits[run.circuit].name,
        spans=tuple((grid.at(begins), grid.at(ends)) for begins, ends in run.spans),
    )


def _grid_charge(night: ChargingNight, machine: MachineToCharge, begins_at: datetime) -> GridCharge:
    slots = math.ceil(machine.charge_h / SLOT_H - 1e-9)
    early = min(math.floor(machine.gassing_from_h / SLOT_H + 1e-9), slots - 1)
    share = early / slots if machine.before_gas_fraction is None else machine.before_gas_fraction
    energy_wh = machine.energy_wh or 0.0
    # Without a slot before the gas, all its energy is counted in the late ones.
    early_wh = energy_wh * share / early if early else 0.0
    return GridCharge(
        mains_a=machine.mains_a,
        first=math.ceil((machine.home_at - begins_at) / _SLOT),
        last=math.floor((machine.ready_by - begins_at) / _SLOT),
        early=early,
        late=slots - early,
        early_wh=early_wh,
        late_wh=(energy_wh - early_wh * early) / (slots - early),
        air_m3_per_h=machine.air_m3_per_h,
        circuits=tuple(
            number
            for number, circuit in enumerate(night.circuits)
            if circuit.takes(machine.name) and machine.mains_a <= circuit.limit_a + ROUNDING_A
        ),
    )


def _price_money_per_kwh(tariff: tuple[Tariff, ...], at: datetime) -> float:
    """The price in force at a moment; the first one also holds before it begins."""
    if not tariff:
        return 0.0
    begun = [each for each in tariff if each.from_at <= at]
    return (max(begun, key=lambda each: each.from_at) if begun else tariff[0]).price_money_per_kwh
