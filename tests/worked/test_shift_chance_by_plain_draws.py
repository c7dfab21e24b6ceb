"""The chance of finishing against simulations and formulas written apart from it."""

import csv
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

import benchmarks.quality
from benchmarks.plain_shifts import plain_chance
from benchmarks.quality.shift_chance import MOST_FRACTION, PLAIN_SAMPLES, chance_in
from benchmarks.shift_scenarios import SCENARIOS, Scenario, hall_with_a_ramp, lithium_pack, machine_tonight
from scrubwright.jobs.shift_answer import Chance, Limit
from scrubwright.jobs.shift_chance import chance_of
from scrubwright.jobs.shift_draws import Hindrances
from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_question import Rate, Rates

RECORDED = Path(benchmarks.quality.__path__[0]) / "shift_chance.csv"
KNOWN = Rate(sd_ratio=1e-9, shift_sd_ratio=0.0)
ALL_KNOWN = Rates(scrubbing=KNOWN, driving=KNOWN, water=KNOWN, current=KNOWN, stops=KNOWN)


def recorded(scenario: Scenario) -> dict[str, str]:
    with RECORDED.open(newline="", encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["scenario"] == scenario.name]
    return [row for row in rows if int(row["plain_samples"]) == PLAIN_SAMPLES][-1]


@pytest.mark.parametrize("make", SCENARIOS)
def test_it_is_within_a_hundredth_of_six_million_plain_shifts(make: Callable[[], Scenario]) -> None:
    row = recorded(make())
    for seed in (1, 2):
        assert abs(chance_in(make(), seed).chance_fraction - float(row["plain_fraction"])) < MOST_FRACTION


@pytest.mark.parametrize("make", SCENARIOS)
def test_each_limit_fails_first_as_often_as_in_six_million_plain_shifts(make: Callable[[], Scenario]) -> None:
    row, shares = recorded(make()), dict(chance_in(make(), 1).limits)
    for limit in (Limit.CHARGE, Limit.CLOCK, Limit.TANK, Limit.RAMP):
        assert abs(shares.get(limit, 0.0) - float(row[f"plain_{limit}_fraction"])) < MOST_FRACTION, limit


@pytest.mark.parametrize("make", SCENARIOS)
def test_over_many_generators_it_strays_as_far_as_it_says(make: Callable[[], Scenario]) -> None:
    row = recorded(make())
    # Of forty generators the worst lies within what a normal error of that size allows.
    assert float(row["most_off_fraction"]) < 4 * float(row["rms_off_fraction"])
    assert float(row["rms_off_fraction"]) < MOST_FRACTION / 2
    assert 0.7 < float(row["rms_told_fraction"]) / float(row["rms_off_fraction"]) < 1.4


def test_a_live_plain_run_agrees_within_four_errors_of_both() -> None:
    scenario = hall_with_a_ramp()
    plain, told = plain_chance(scenario, 60_000, 7), chance_in(scenario, 3)
    most = 4 * math.hypot(plain.error_fraction, told.error_fraction)
    assert most < 0.025
    assert abs(plain.fits_fraction - told.chance_fraction) < most


def one_leg(*, rates: Rates = ALL_KNOWN, charge_fraction: float = 0.9, health_sd_ratio: float = 1e-9) -> LegLoads:
    """Two hours of scrubbing at 50 A on 210 Ah of lithium."""
    machine = replace(
        machine_tonight(pack=lithium_pack(), charge_fraction=charge_fraction),
        rates=rates,
        charge_sd_fraction=0.0,
        health_sd_ratio=health_sd_ratio,
    )
    return LegLoads(
        machine=machine,
        kind=np.array([LoadKind.SCRUB], dtype=np.int8),
        duration_s=np.array([7200.0]),
        current_a=np.array([50.0]),
        water_l=np.array([90.0]),
        trip=np.array([0]),
        on_ramp=np.array([False]),
        trip_capacity_l=100.0,
        extra_stop_s=900.0,
        last_wet_leg=0,
    )


def undisturbed(loads: LegLoads, *, window_s: float = 1e6, reserve_fraction: float = 0.2) -> Chance:
    return chance_of(
        [loads],
        window_s=window_s,
        dry_s=(300.0, 600.0, 1200.0),
        reserve_fraction=reserve_fraction,
        rng=np.random.default_rng(1),
        samples=2**13,
        hindrances=Hindrances(usual_per_h=0.0),
    )


@pytest.mark.parametrize(
    ("spare_s", "places"), [(300.0, -1.0), (450.0, None), (600.0, 0.0), (900.0, None), (1200.0, 1.0)]
)
def test_with_only_drying_unknown_it_is_the_share_of_floors_that_dry_in_time(
    spare_s: float, places: float | None
) -> None:
    # Both sides of the middle double or halve the time at the 10 % and 90 % points, 1.2816 standard deviations off.
    z = 1.2816 * (math.log2(spare_s / 600.0) if places is None else places)
    told = undisturbed(one_leg(), window_s=7200.0 + spare_s)
    assert told.chance_fraction == pytest.approx(norm.cdf(z), abs=2e-3)


@pytest.mark.parametrize("reserve_fraction", [0.3, 0.4, 0.45])
def test_with_only_current_and_health_unknown_it_is_one_normal_probability(reserve_fraction: float) -> None:
    # 100 Ah f <= 210 Ah h (0.9 - reserve), both log-normal: ln f - ln h has the scatter of both in squares.
    rates = replace(ALL_KNOWN, current=Rate(sd_ratio=0.12, shift_sd_ratio=0.05))
    scatter = math.sqrt(0.12**2 + 0.05**2 + 0.08**2)
    wanted = norm.cdf(math.log(2.1 * (0.9 - reserve_fraction)) / scatter)
    told = undisturbed(one_leg(rates=rates, health_sd_ratio=0.08), reserve_fraction=reserve_fraction)
    assert told.chance_fraction == pytest.approx(wanted, abs=3e-3)
    assert told.first_limit is Limit.CHARGE


def test_with_only_water_unknown_a_short_tank_fails_as_often_as_the_water_overruns_it() -> None:
    # 90 L of 100 L: one stop more where the water is 11.1 % over. Work of 7,200 s and 600 s of drying leave 200 s of
    # the window, and that stop takes 900 s.
    rates = replace(ALL_KNOWN, water=Rate(sd_ratio=0.10, shift_sd_ratio=0.05))
    overruns = 1 - norm.cdf(math.log(100 / 90) / math.hypot(0.10, 0.05))
    told = chance_of(
        [one_leg(rates=rates)],
        window_s=7200.0 + 800.0,
        dry_s=(600.0, 600.0, 600.0),
        reserve_fraction=0.2,
        rng=np.random.default_rng(1),
        samples=2**13,
        hindrances=Hindrances(usual_per_h=0.0),
    )
    assert dict(told.limits)[Limit.TANK] == pytest.approx(overruns, abs=2e-3)
    assert told.chance_fraction == pytest.approx(1 - overruns, abs=2e-3)


def test_two_machines_that_share_nothing_multiply_and_two_that_share_the_water_do_not() -> None:
    # By charge alone each makes it with the probability above; packs and currents are each machine's own.
    rates = replace(ALL_KNOWN, current=Rate(sd_ratio=0.12, shift_sd_ratio=0.05))
    alone = norm.cdf(math.log(2.1 * 0.5) / 0.13)
    loads = [one_leg(rates=rates)] * 2
    told = chance_of(
        loads,
        window_s=1e6,
        dry_s=(600.0, 600.0, 600.0),
        reserve_fraction=0.4,
        rng=np.random.default_rng(1),
        samples=2**13,
        hindrances=Hindrances(usual_per_h=0.0),
    )
    assert told.chance_fraction == pytest.approx(alone**2, abs=5e-3)
    rates = replace(ALL_KNOWN, water=Rate(sd_ratio=0.10, shift_sd_ratio=0.05))
    shared = chance_of(
        [one_leg(rates=rates)] * 2,
        window_s=8000.0,
        dry_s=(600.0, 600.0, 600.0),
        reserve_fraction=0.2,
        rng=np.random.default_rng(1),
        samples=2**13,
        hindrances=Hindrances(usual_per_h=0.0),
    )
    assert shared.chance_fraction == pytest.approx(norm.cdf(math.log(100 / 90) / math.hypot(0.10, 0.05)), abs=2e-3)
