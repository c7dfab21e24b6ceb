"""Planned shifts made by hand, as rows of loads, to measure the chance of finishing on."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from benchmarks.reference_machine import reference_plate
from scrubwright.battery.pack import Chemistry, LockOut, Pack, RatedCapacity
from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_question import MachineTonight
from scrubwright.machine.deck import PressureStep
from scrubwright.machine.parts import Currents

SCRUB_A, DRIVE_A, CLIMB_A, IDLE_A = 62.0, 26.0, 78.0, 1.5
FLOW_L_PER_S = 2.4 / 60
TANK_L, STOP_S = 97.0, 600.0

Leg = tuple[LoadKind, float, float, bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """A planned shift, and what it must keep to."""

    name: str
    loads: tuple[LegLoads, ...]
    window_s: float
    dry_s: tuple[float, float, float]
    reserve_fraction: float


def lead_pack(*, size_ratio: float = 1.0) -> Pack:
    """36 V of sealed lead-acid, so large, with a rate table of four rows and the machine's lock-out."""
    rows = ((203.0, 3.0), (221.0, 5.0), (245.0, 10.0), (270.0, 20.0))
    return Pack(
        name="36 V lead",
        chemistry=Chemistry.AGM,
        cells=18,
        cells_per_block=3,
        capacities=tuple(RatedCapacity(capacity_ah=size_ratio * ah, over_h=h) for ah, h in rows),
        rated_k=298.15,
        cut_off_v=1.75,
        lock_out=LockOut(voltage_v=31.5, delay_s=10.0),
    )


def lithium_pack() -> Pack:
    """36 V of lithium."""
    return Pack(
        name="36 V lithium",
        chemistry=Chemistry.LITHIUM,
        cells=12,
        cells_per_block=12,
        capacities=(RatedCapacity(capacity_ah=210.0, over_h=2.0),),
        rated_k=298.15,
    )


def machine_tonight(*, pack: Pack | None = None, charge_fraction: float = 0.95) -> MachineTonight:
    """The reference machine with its currents, on a lead-acid pack where no other is given."""
    plate = reference_plate()
    steps = (PressureStep(name="normal", down_force_kg=45.0, brush_current_a=32.0),)
    return MachineTonight(
        plate=replace(
            plate,
            deck=replace(plate.deck, pressure=steps),
            currents=Currents(vacuum_a=12.0, traction_level_a=16.0, pump_a=2.0, idle_a=IDLE_A),
        ),
        pack=pack or lead_pack(),
        charge_fraction=charge_fraction,
        resistance_ohm=0.014,
    )


def shift_loads(
    machine: MachineTonight,
    *,
    lanes: int,
    lane_s: float,
    tankfuls: int,
    ramp_s: float = 0.0,
    charge_s: float = 0.0,
    seed: int = 1,
) -> LegLoads:
    """Lanes of about one length in so many tankfuls, a turn after each, a stop after each tankful but the last.

    A ramp is climbed on the way back from each stop, the charger is plugged in at the middle one.
    """
    rng = np.random.default_rng(seed)
    legs: list[Leg] = [(LoadKind.DRIVE, 40.0, DRIVE_A, False)]
    trip = [0]
    for number, each in enumerate(np.array_split(lane_s * rng.uniform(0.6, 1.4, lanes), tankfuls)):
        for scrub_s in each:
            legs += [(LoadKind.SCRUB, float(scrub_s), SCRUB_A, False), (LoadKind.DRIVE, 6.0, DRIVE_A, False)]
        if number < tankfuls - 1:
            legs += _stop(ramp_s, charge_s if number == (tankfuls - 1) // 2 else 0.0)
        trip += [number] * (len(legs) - len(trip))
    legs.append((LoadKind.DRIVE, 60.0, DRIVE_A, False))
    kind = np.array([leg[0] for leg in legs], dtype=np.int8)
    duration_s = np.array([leg[1] for leg in legs])
    return LegLoads(
        machine=machine,
        kind=kind,
        duration_s=duration_s,
        current_a=np.array([leg[2] for leg in legs]),
        water_l=np.where(kind == LoadKind.SCRUB, duration_s * FLOW_L_PER_S, 0.0),
        trip=np.array([*trip, tankfuls - 1], dtype=np.intp),
        on_ramp=np.array([leg[3] for leg in legs]),
        trip_capacity_l=TANK_L,
        extra_stop_s=STOP_S + 60.0,
        last_wet_leg=int(np.flatnonzero(kind == LoadKind.SCRUB)[-1]),
    )


def _stop(ramp_s: float, charge_s: float) -> Iterator[Leg]:
    yield (LoadKind.DRIVE, 30.0, DRIVE_A, False)
    yield (LoadKind.SERVICE, STOP_S, IDLE_A, False)
    if charge_s:
        yield (LoadKind.CHARGE, charge_s, -30.0, False)
    if ramp_s:
        yield (LoadKind.DRIVE, ramp_s, CLIMB_A, True)
    yield (LoadKind.DRIVE, 30.0, DRIVE_A, False)


def hall_with_a_ramp() -> Scenario:
    """One machine on half a charge in a hall with a ramp: the lock-out and the reserve decide."""
    loads = shift_loads(machine_tonight(charge_fraction=0.6), lanes=60, lane_s=85.0, tankfuls=3, ramp_s=45.0)
    return Scenario(
        name="hall with a ramp",
        loads=(loads,),
        window_s=9500.0,
        dry_s=(300.0, 600.0, 1500.0),
        reserve_fraction=0.15,
    )


def store_of_10_000_m2() -> Scenario:
    """One machine and some 700 legs in a large store with full tanks: clock, tank and charge."""
    tonight = machine_tonight(pack=lead_pack(size_ratio=1.35), charge_fraction=0.97)
    loads = shift_loads(tonight, lanes=345, lane_s=34.0, tankfuls=5)
    return Scenario(
        name="store of 10,000 m2",
        loads=(loads,),
        window_s=19500.0,
        dry_s=(300.0, 600.0, 1200.0),
        reserve_fraction=0.10,
    )


def two_machines_one_plugged_in() -> Scenario:
    """One machine on lead that is charged on the way, one on lithium."""
    plugged_in = shift_loads(
        machine_tonight(charge_fraction=0.92), lanes=90, lane_s=85.0, tankfuls=4, ramp_s=30.0, charge_s=1800.0
    )
    counted = shift_loads(
        machine_tonight(pack=lithium_pack(), charge_fraction=0.9), lanes=110, lane_s=80.0, tankfuls=4, seed=2
    )
    return Scenario(
        name="two machines, one plugged in",
        loads=(plugged_in, counted),
        window_s=14600.0,
        dry_s=(240.0, 480.0, 900.0),
        reserve_fraction=0.2,
    )


SCENARIOS = (hall_with_a_ramp, store_of_10_000_m2, two_machines_one_plugged_in)
