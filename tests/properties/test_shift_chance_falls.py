"""The chance of finishing falls with less charge, less time and worse rates, and never rises by a second machine.

All figures of a comparison are drawn from the same points, so that each drawn shift can only become worse.
"""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.shift_scenarios import lead_pack, lithium_pack, machine_tonight, shift_loads
from scrubwright.battery.pack import Pack
from scrubwright.jobs.shift_chance import chance_of, outcomes
from scrubwright.jobs.shift_draws import Hindrances, even_points_fraction, shift_draws
from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_question import Rate, Rates
from scrubwright.jobs.shift_run_many import machine_runs

DRY_S = (300.0, 600.0, 1200.0)
SAMPLES = 256

packs = st.sampled_from([lead_pack(), lithium_pack()])
charges = st.floats(0.3, 1.0)
seeds = st.integers(0, 10_000)
windows_s = st.floats(4000.0, 9000.0)
few = settings(max_examples=25, deadline=None)


def planned(
    pack: Pack, charge_fraction: float, *, rates: Rates | None = None, charge_s: float = 0.0, ramp_s: float = 30.0
) -> LegLoads:
    machine = replace(machine_tonight(pack=pack, charge_fraction=charge_fraction), rates=rates or Rates())
    return shift_loads(machine, lanes=12, lane_s=400.0, tankfuls=3, ramp_s=ramp_s, charge_s=charge_s)


def fitting(
    loads: LegLoads,
    seed: int,
    *,
    window_s: float = 1e6,
    reserve_fraction: float = 0.2,
    hindrances: Hindrances | None = None,
) -> float:
    return chance_of(
        [loads],
        window_s=window_s,
        dry_s=DRY_S,
        reserve_fraction=reserve_fraction,
        rng=np.random.default_rng(seed),
        samples=SAMPLES,
        hindrances=hindrances or Hindrances(),
    ).chance_fraction


@few
@given(pack=packs, less=charges, more=charges, seed=seeds, charge_s=st.sampled_from([0.0, 1800.0]))
def test_less_charge_never_raises_it(pack: Pack, less: float, more: float, seed: int, charge_s: float) -> None:
    less, more = sorted((less, more))
    low, high = (fitting(planned(pack, each, charge_s=charge_s), seed) for each in (less, more))
    assert low <= high


@few
@given(pack=packs, worn=st.floats(0.5, 1.1), newer=st.floats(0.5, 1.1), seed=seeds)
def test_a_more_worn_pack_never_raises_it(pack: Pack, worn: float, newer: float, seed: int) -> None:
    def chance(health_ratio: float) -> float:
        loads = planned(pack, 0.7)
        # The same share of uncertainty for both, so that only the middle moves.
        machine = replace(loads.machine, health_ratio=health_ratio, health_sd_ratio=0.08 * health_ratio)
        return fitting(replace(loads, machine=machine), seed)

    worn, newer = sorted((worn, newer))
    assert chance(worn) <= chance(newer)


@few
@given(pack=packs, charge=charges, earlier_s=windows_s, later_s=windows_s, seed=seeds)
def test_an_earlier_hour_to_be_dry_never_raises_it(
    pack: Pack, charge: float, earlier_s: float, later_s: float, seed: int
) -> None:
    earlier_s, later_s = sorted((earlier_s, later_s))
    loads = planned(pack, charge)
    assert fitting(loads, seed, window_s=earlier_s) <= fitting(loads, seed, window_s=later_s)


@few
@given(pack=packs, charge=charges, seed=seeds, small=st.floats(0.0, 0.6), large=st.floats(0.0, 0.6))
def test_a_larger_reserve_never_raises_it(pack: Pack, charge: float, seed: int, small: float, large: float) -> None:
    small, large = sorted((small, large))
    loads = planned(pack, charge)
    assert fitting(loads, seed, reserve_fraction=large) <= fitting(loads, seed, reserve_fraction=small)


@few
@given(
    name=st.sampled_from(["scrubbing", "driving", "water", "current", "stops"]),
    good=st.floats(0.7, 1.5),
    bad=st.floats(0.7, 1.5),
    charge=charges,
    window_s=windows_s,
    seed=seeds,
)
def test_a_worse_rate_never_raises_it(
    name: str, good: float, bad: float, charge: float, window_s: float, seed: int
) -> None:
    # With lithium, whose charge does not come back in a rest as a lead pack's does.
    good, bad = sorted((good, bad))

    def chance(factor: float) -> float:
        rates = replace(Rates(), **{name: Rate(factor_ratio=factor)})
        return fitting(planned(lithium_pack(), charge, rates=rates), seed, window_s=window_s)

    assert chance(bad) <= chance(good)


@few
@given(good=st.floats(0.7, 1.5), bad=st.floats(0.7, 1.5), charge=charges, seed=seeds)
def test_more_current_never_raises_it_on_lead(good: float, bad: float, charge: float, seed: int) -> None:
    good, bad = sorted((good, bad))
    low, high = (
        fitting(planned(lead_pack(), charge, rates=Rates(current=Rate(factor_ratio=each))), seed)
        for each in (bad, good)
    )
    assert low <= high


@few
@given(seldom=st.floats(0, 5), often=st.floats(0, 5), window_s=windows_s, seed=seeds)
def test_more_in_the_way_never_raises_it(seldom: float, often: float, window_s: float, seed: int) -> None:
    seldom, often = sorted((seldom, often))
    loads = planned(lithium_pack(), 1.0)
    low, high = (
        fitting(loads, seed, window_s=window_s, hindrances=Hindrances(usual_per_h=each)) for each in (often, seldom)
    )
    assert low <= high


@few
@given(pack=packs, other_pack=packs, charge=charges, other_charge=charges, window_s=windows_s, seed=seeds)
def test_a_second_machine_never_raises_it(
    pack: Pack, other_pack: Pack, charge: float, other_charge: float, window_s: float, seed: int
) -> None:
    one, other = planned(pack, charge), planned(other_pack, other_charge)
    points = even_points_fraction(2, SAMPLES, np.random.default_rng(seed))
    both = shift_draws(points, [one, other], dry_s=DRY_S)
    alone = replace(both, machines=both.machines[:1])
    bounds = {"window_s": window_s, "reserve_fraction": 0.2}
    fits_both, fits_alone = outcomes([one, other], both, **bounds).fits, outcomes([one], alone, **bounds).fits
    assert not np.any(fits_both & ~fits_alone)


@few
@given(pack=packs, seed=seeds, charge_s=st.sampled_from([0.0, 1200.0]))
def test_charge_at_the_end_is_charge_at_the_start_less_what_was_drawn(pack: Pack, seed: int, charge_s: float) -> None:
    loads = planned(pack, 0.9, charge_s=charge_s)
    points = even_points_fraction(1, SAMPLES, np.random.default_rng(seed))
    (draws,) = shift_draws(points, [loads], dry_s=DRY_S, hindrances=Hindrances(usual_per_h=0.0)).machines
    draws = replace(draws, water_ratio=np.ones(SAMPLES))
    run = machine_runs(loads, draws)
    pace = {
        LoadKind.SCRUB: draws.scrubbing_ratio,
        LoadKind.DRIVE: draws.driving_ratio,
        LoadKind.SERVICE: draws.stops_ratio,
    }
    drawn_ah = np.full(SAMPLES, -30.0 * charge_s / 3600)
    for kind, ratio in pace.items():
        planned_ah = float((loads.current_a * loads.duration_s)[loads.kind == kind].sum()) / 3600
        drawn_ah += planned_ah * ratio * draws.current_ratio
    tonight = machine_runs(replace(loads, duration_s=np.zeros_like(loads.duration_s)), draws)
    lasts = np.isinf(run.gives_out_s)
    taken = tonight.end_charge_fraction - run.end_charge_fraction
    full_ah = drawn_ah[lasts] / taken[lasts] / draws.health_ratio[lasts]
    assert lasts.any()
    # Every pack tells of one size, whatever was drawn from it.
    assert np.ptp(full_ah) <= 1e-6 * full_ah.mean()
