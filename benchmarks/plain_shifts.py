"""Planned shifts drawn plainly and run leg by leg, written apart from the tool to check its chance of finishing.

Every cause of chance is drawn for itself: what is badly known of a rate and what changes from shift to shift, the
count of hindrances and their time. The pack is followed in the two-well form of the textbook, the voltage is read
at both ends of each leg and taken for straight in between.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchmarks.shift_scenarios import Scenario
from scrubwright.battery.pack import Chemistry
from scrubwright.jobs.pack_runtime import pack_model
from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_question import Rate

CHUNK = 20_000
HINDRANCES_PER_H, HINDRANCE_S, BUSY_SD = 1.0, 60.0, 0.5
NORMAL_AT_90 = 1.2815515655446004

Floats = NDArray[np.float64]
Marks = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainChance:
    """Shares of the drawn shifts: that fit, and that a limit failed first."""

    samples: int
    fits_fraction: float
    charge_fraction: float
    clock_fraction: float
    tank_fraction: float
    ramp_fraction: float

    @property
    def error_fraction(self) -> float:
        """Standard error of the share that fits."""
        return float(np.sqrt(self.fits_fraction * (1 - self.fits_fraction) / self.samples))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Night:
    """What all machines of a drawn night share: water, hindrances an hour, drying [s]."""

    water: tuple[Floats, Floats]
    per_h: Floats
    drying_s: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Run:
    """One machine through the drawn nights; `out_s` is infinite where the pack lasts."""

    wet_s: Floats
    tank_s: Floats
    finish_s: Floats
    out_s: Floats
    out_on_ramp: Marks
    end: Floats


def plain_chance(scenario: Scenario, samples: int, seed: int) -> PlainChance:
    """Draw and run so many shifts, a chunk at a time."""
    rng = np.random.default_rng(seed)
    counts = np.zeros(5)
    for first in range(0, samples, CHUNK):
        counts += _counts(scenario, min(CHUNK, samples - first), rng)
    fits, charge, clock, tank, ramp = (counts / samples).tolist()
    return PlainChance(
        samples=samples,
        fits_fraction=fits,
        charge_fraction=charge,
        clock_fraction=clock,
        tank_fraction=tank,
        ramp_fraction=ramp,
    )


def _counts(scenario: Scenario, n: int, rng: np.random.Generator) -> Floats:
    low_s, middle_s, high_s = scenario.dry_s
    z = rng.standard_normal(n)
    side = np.where(z < 0, math.log(middle_s / low_s), math.log(high_s / middle_s))
    night = _Night(
        water=(rng.standard_normal(n), rng.standard_normal(n)),
        per_h=HINDRANCES_PER_H * np.exp(BUSY_SD * rng.standard_normal(n)),
        drying_s=middle_s * np.exp(side * z / NORMAL_AT_90),
    )
    first_s, first = np.full(n, np.inf), np.zeros(n, dtype=int)
    is_late, is_late_anyway = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    for loads in scenario.loads:
        run = _run(loads, night, rng)
        for moment_s, limit in (
            (np.where(run.out_on_ramp, np.inf, run.out_s), 1),
            (np.where(run.out_on_ramp, run.out_s, np.inf), 4),
            (np.where(run.end < scenario.reserve_fraction, run.finish_s, np.inf), 1),
        ):
            first = np.where(moment_s < first_s, limit, first)
            first_s = np.minimum(moment_s, first_s)
        is_late |= run.wet_s + run.tank_s + night.drying_s > scenario.window_s
        is_late_anyway |= run.wet_s + night.drying_s > scenario.window_s
    by_clock = is_late & (first_s > scenario.window_s)
    first[by_clock] = np.where(is_late_anyway, 2, 3)[by_clock]
    return np.bincount(first, minlength=5).astype(float)


def _rate(rate: Rate, known: Floats, tonight: Floats) -> Floats:
    return np.asarray(rate.factor_ratio * np.exp(rate.sd_ratio * known) * np.exp(rate.shift_sd_ratio * tonight))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pace:
    """What happens over the plate's, for one machine; `slower` is what hindrances add to the work."""

    scrubbing: Floats
    driving: Floats
    current: Floats
    stops: Floats
    water: Floats
    slower: Floats


def _pace(loads: LegLoads, night: _Night, rng: np.random.Generator) -> _Pace:
    n = len(night.drying_s)
    rates = loads.machine.rates
    scrubbing, driving, current, stops = (
        _rate(rate, rng.standard_normal(n), rng.standard_normal(n))
        for rate in (rates.scrubbing, rates.driving, rates.current, rates.stops)
    )
    scrub_s, drive_s = (float(loads.duration_s[loads.kind == kind].sum()) for kind in (LoadKind.SCRUB, LoadKind.DRIVE))
    work_s = scrub_s * scrubbing + drive_s * driving
    held_s = HINDRANCE_S * rng.standard_gamma(rng.poisson(night.per_h * work_s / 3600))
    return _Pace(
        scrubbing=scrubbing,
        driving=driving,
        current=current,
        stops=stops,
        water=_rate(rates.water, *night.water),
        slower=1 + held_s / work_s,
    )


def _run(loads: LegLoads, night: _Night, rng: np.random.Generator) -> _Run:
    n = len(night.drying_s)
    pace, pack, tank = _pace(loads, night, rng), _pack(loads, n, rng), _Tank(n, loads.trip_capacity_l)
    wet_s, tank_s, at_s = np.zeros(n), np.zeros(n), np.zeros(n)
    alike = (loads.kind == LoadKind.DRIVE) | (loads.kind == LoadKind.SERVICE)
    stop_a = (loads.current_a * loads.duration_s)[alike].sum() / loads.duration_s[alike].sum()
    for leg, kind in enumerate(loads.kind.tolist()):
        same_trip = loads.trip == loads.trip[leg]
        is_last_wet = loads.water_l[leg] > 0 and not (loads.water_l[leg + 1 :] * same_trip[leg + 1 :]).any()
        if is_last_wet:
            lasts_s = tank.stops_for(loads.water_l[same_trip].sum() * pace.water) * loads.extra_stop_s * pace.stops
            pack.leg(lasts_s, stop_a * pace.current, at_s, on_ramp=False)
            tank_s, at_s = tank_s + lasts_s, at_s + lasts_s
        lasts_s, current_a = _leg(loads, leg, pace)
        if kind == LoadKind.SERVICE and loads.water_l[leg:].any():
            tank_s = tank_s - np.where(tank.passes_by, lasts_s, 0.0)
            lasts_s = np.where(tank.passes_by, 0.0, lasts_s)
        if kind == LoadKind.CHARGE:
            pack.charge(lasts_s, -loads.current_a[leg])
        else:
            pack.leg(lasts_s, current_a, at_s, on_ramp=bool(loads.on_ramp[leg]))
        at_s = at_s + lasts_s
        if is_last_wet:
            tank.come_to_planned_stop()
        if leg == loads.last_wet_leg:
            wet_s = at_s - tank_s
    return _Run(
        wet_s=wet_s, tank_s=tank_s, finish_s=at_s, out_s=pack.out_s, out_on_ramp=pack.out_on_ramp, end=pack.left()
    )


def _leg(loads: LegLoads, leg: int, pace: _Pace) -> tuple[Floats, Floats]:
    """How long a leg lasts [s] and what it draws on average [A]."""
    kind, planned_s, planned_a = loads.kind[leg], loads.duration_s[leg], loads.current_a[leg]
    idle_a = loads.machine.plate.currents.idle_a if loads.machine.plate.currents else 0.0
    if kind in (LoadKind.SCRUB, LoadKind.DRIVE):
        moving_s = planned_s * (pace.scrubbing if kind == LoadKind.SCRUB else pace.driving)
        lasts_s = moving_s * pace.slower
        return lasts_s, (planned_a * moving_s + idle_a * (lasts_s - moving_s)) / lasts_s * pace.current
    lasts_s = planned_s * (pace.stops if kind == LoadKind.SERVICE else np.ones_like(pace.stops))
    return lasts_s, planned_a * pace.current


class _Tank:
    """Litres used since the last filling, and early stops that a planned one has not yet been left out for."""

    def __init__(self, n: int, capacity_l: float) -> None:
        self.capacity_l = capacity_l
        self.used_l = np.zeros(n)
        self.spare_stops = np.zeros(n)
        self.passes_by = np.zeros(n, dtype=bool)

    def stops_for(self, litres_l: Floats) -> Floats:
        """How often it runs dry on the way while so much is laid down."""
        self.used_l = self.used_l + litres_l
        more = np.maximum(np.ceil(self.used_l / self.capacity_l) - 1, 0)
        self.used_l = self.used_l - more * self.capacity_l
        self.spare_stops = self.spare_stops + more
        return np.asarray(more)

    def come_to_planned_stop(self) -> None:
        """Passed by where an early stop stands for it, and the water is carried on."""
        self.passes_by = self.spare_stops > 0
        self.spare_stops = self.spare_stops - self.passes_by
        self.used_l = np.where(self.passes_by, self.used_l, 0.0)


def _pack(loads: LegLoads, n: int, rng: np.random.Generator) -> "_Pack":
    machine = loads.machine
    health = machine.health_ratio * np.exp(machine.health_sd_ratio / machine.health_ratio * rng.standard_normal(n))
    share = np.clip(machine.charge_fraction + machine.charge_sd_fraction * rng.standard_normal(n), 0, 1)
    if machine.pack.chemistry is Chemistry.LITHIUM:
        return _Pack(most_ah=machine.pack.capacity_ah * health, share=share)
    wells, curve = pack_model(machine.pack, machine.resistance_ohm)
    lock_out = machine.pack.lock_out
    if lock_out is None:
        raise ValueError("the plain simulation wants a pack with its lock-out")
    return _LeadPack(
        most_ah=float(wells.most_ah) * health,
        # People read a hydrometer, whose scale ends before the wells do.
        read_ah=float(wells.read_ah) * health,
        share=share,
        c=float(wells.available_fraction),
        k=float(wells.exchange_per_h),
        volts=(float(curve.full_v), float(curve.slope_v), float(curve.bend_v), float(curve.resistance_ohm)),
        lock=(lock_out.voltage_v / machine.pack.cells, lock_out.delay_s),
    )


class _Pack:
    """Ampere-hours counted; gives out when they are gone."""

    def __init__(self, *, most_ah: Floats, share: Floats, read_ah: Floats | None = None) -> None:
        self.most_ah = most_ah
        self.read_ah = most_ah if read_ah is None else read_ah
        self.held_ah = most_ah - (1 - share) * self.read_ah
        self.out_s = np.full(len(share), np.inf)
        self.out_on_ramp = np.zeros(len(share), dtype=bool)

    def left(self) -> Floats:
        return np.asarray(self.held_ah / self.most_ah)

    def charge(self, lasts_s: Floats, charging_a: float) -> None:
        held_ah = np.minimum(self.held_ah + charging_a * lasts_s / 3600, self.most_ah)
        self.held_ah = np.where(np.isinf(self.out_s), held_ah, self.held_ah)

    def leg(self, lasts_s: Floats, current_a: Floats, at_s: Floats, *, on_ramp: bool) -> None:
        going = np.isinf(self.out_s)
        held_ah = self.held_ah - current_a * lasts_s / 3600
        new = going & (held_ah < 0)
        self.out_s[new] = (at_s + self.held_ah / current_a * 3600)[new]
        self.out_on_ramp[new] = on_ramp
        self.held_ah = np.where(going, np.maximum(held_ah, 0), self.held_ah)


class _LeadPack(_Pack):
    """Two wells q1 and q2 and the lock-out."""

    def __init__(
        self,
        *,
        most_ah: Floats,
        read_ah: Floats,
        share: Floats,
        c: float,
        k: float,
        volts: tuple[float, float, float, float],
        lock: tuple[float, float],
    ) -> None:
        super().__init__(most_ah=most_ah, share=share, read_ah=read_ah)
        self.c, self.k = c, k
        self.volts = volts
        self.lock_v, self.delay_s = lock
        self.q1, self.q2 = c * self.held_ah, (1 - c) * self.held_ah
        self.below_s = np.zeros(len(share))

    def left(self) -> Floats:
        return np.asarray(1 - (self.most_ah - self.q1 - self.q2) / self.read_ah)

    def after(self, current_a: Floats, t: Floats) -> tuple[Floats, Floats]:
        """Manwell and McGowan 1993, both wells after t hours."""
        c, k, q0 = self.c, self.k, self.q1 + self.q2
        e = np.exp(-k * t)
        q1 = self.q1 * e + (q0 * k * c - current_a) * (1 - e) / k - current_a * c * (k * t - 1 + e) / k
        q2 = self.q2 * e + q0 * (1 - c) * (1 - e) - current_a * (1 - c) * (k * t - 1 + e) / k
        return q1, q2

    def charge(self, lasts_s: Floats, charging_a: float) -> None:
        """At the most steady current, up to the charger's, that leaves the first well just full."""
        t = lasts_s / 3600
        rest, _ = self.after(np.zeros_like(t), t)
        for_one_a = self.after(-np.ones_like(t), t)[0] - rest
        taken_a = np.clip((self.c * self.most_ah - rest) / for_one_a, 0, charging_a)
        q1, q2 = self.after(-taken_a, t)
        going = np.isinf(self.out_s)
        self.q1, self.q2 = np.where(going, q1, self.q1), np.where(going, q2, self.q2)
        self.below_s[:] = 0

    def volt(self, q1: Floats, current_a: Floats) -> Floats:
        full, slope, bend, ohm = self.volts
        x = np.minimum(1 - q1 / (self.c * self.most_ah), 0.999999)
        return np.asarray(full + slope * x + bend * x / (1 - x) - ohm * current_a)

    def leg(self, lasts_s: Floats, current_a: Floats, at_s: Floats, *, on_ramp: bool) -> None:
        going = np.isinf(self.out_s)
        q1, q2 = self.after(current_a, lasts_s / 3600)
        begin_v, end_v = self.volt(self.q1, current_a), self.volt(q1, current_a)
        low_first, low_last = begin_v <= self.lock_v, end_v <= self.lock_v
        falling_v = np.where(begin_v > end_v, begin_v - end_v, 1.0)
        spell_s = np.where(low_first, self.below_s + lasts_s, lasts_s * (self.lock_v - end_v) / falling_v)
        spell_s = np.where(low_last, spell_s, 0.0)
        new = going & ((low_last & (spell_s >= self.delay_s) & (lasts_s > 0)) | (q1 <= 0))
        self.out_s[new] = (at_s + lasts_s - np.maximum(spell_s - self.delay_s, 0))[new]
        self.out_on_ramp[new] = on_ramp
        self.below_s = np.where(lasts_s > 0, spell_s, self.below_s)
        self.q1, self.q2 = np.where(going, q1, self.q1), np.where(going, q2, self.q2)
