"""Laws of lives, changes, spares, wear lines and visits, whatever the numbers."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrubwright.measures.provenance import Origin
from scrubwright.wear.grouping import VisitJob, VisitSite, visit_plan
from scrubwright.wear.life import Ending, PartLife, WeibullLife, gone_by_h, survival_fraction
from scrubwright.wear.life_belief import LifePrior, belief, end_within_fraction, lasting_fraction
from scrubwright.wear.likelihood import log_likelihood_ratio
from scrubwright.wear.replacement import (
    ChangeCosts,
    ChangeRule,
    best_age_h,
    cost_per_h,
    curve_of_life,
    replacement_age,
)
from scrubwright.wear.spares import ageing_demand, jobs_demand, steady_demand, unknown_rate_demand
from scrubwright.wear.wear_line import Measured, wear_line

HOURS = st.floats(5.0, 5000.0)
SHAPES, SCALES_H = st.floats(0.6, 6.0), st.floats(50.0, 5000.0)
ENDINGS = st.sampled_from(list(Ending))
SHARES = st.floats(0.0, 1.0)
PRIOR = LifePrior(life_h=400.0, origin=Origin.COMMON_PRACTICE)


@st.composite
def part_lives(draw: st.DrawFn) -> PartLife:
    run_h, ending = draw(HOURS), draw(ENDINGS)
    entered_h = run_h * draw(st.floats(0.0, 0.9))
    seen_h = draw(st.none() | st.floats(0.0, 0.9)) if ending.is_end_of_life else None
    last_good_h = None if seen_h is None else entered_h + (run_h - entered_h) * seen_h
    return PartLife(run_h=run_h, ending=ending, entered_h=entered_h, last_good_h=last_good_h)


@given(SHAPES, SCALES_H, st.floats(0.01, 0.99))
def test_the_age_by_which_a_share_is_gone_is_where_the_rest_lasts(shape: float, scale_h: float, share: float) -> None:
    life = WeibullLife(shape_ratio=shape, scale_h=scale_h)
    assert survival_fraction(life, gone_by_h(life, share)) == pytest.approx(1 - share, abs=1e-9)


@settings(max_examples=40)
@given(st.lists(part_lives(), max_size=8))
def test_a_belief_is_a_whole_for_any_records(lives: list[PartLife]) -> None:
    known = belief(lives, PRIOR)
    assert known.weights_fraction.sum() == pytest.approx(1)
    assert np.all(known.weights_fraction >= 0)
    tenths = [known.gone_by_at_h(0.1, chance) for chance in (0.1, 0.5, 0.9)]
    assert tenths == sorted(tenths)
    lasting = lasting_fraction(known, np.geomspace(1.0, 1e5, 50))
    assert np.all(np.diff(lasting) <= 1e-12)
    assert np.all((lasting >= 0) & (lasting <= 1 + 1e-9))


@settings(max_examples=40)
@given(st.lists(part_lives(), max_size=6), HOURS)
def test_a_part_that_still_runs_never_shortens_the_life(lives: list[PartLife], run_h: float) -> None:
    running = PartLife(run_h=run_h, ending=Ending.STILL_RUNNING)
    before, after = belief(lives, PRIOR), belief([*lives, running], PRIOR)
    assert lasting_fraction(after, run_h) >= lasting_fraction(before, run_h) - 2e-3


@settings(max_examples=40)
@given(st.lists(part_lives(), min_size=1, max_size=6), SHAPES, SCALES_H, st.permutations(range(6)))
def test_the_order_of_records_means_nothing(
    lives: list[PartLife], shape: float, scale_h: float, order: list[int]
) -> None:
    shapes, scales_h = np.array([shape]), np.array([scale_h])
    mixed = [lives[number] for number in order if number < len(lives)]
    assert log_likelihood_ratio(mixed, shapes, scales_h) == pytest.approx(
        log_likelihood_ratio(lives, shapes, scales_h), rel=1e-9, abs=1e-9
    )


@given(st.floats(10.0, 1000.0), st.floats(0.5, 5.0), SCALES_H, st.floats(1e-4, 1e-3))
def test_a_short_interval_tends_to_the_density(run_h: float, shape: float, scale_h: float, width: float) -> None:
    shapes, scales_h = np.array([shape]), np.array([scale_h])
    half_h = run_h * width / 2
    found = PartLife(run_h=run_h + half_h, ending=Ending.WORN_OUT, last_good_h=run_h - half_h)
    seen = PartLife(run_h=run_h, ending=Ending.WORN_OUT)
    told = log_likelihood_ratio([found], shapes, scales_h) - math.log(2 * half_h)
    exact = log_likelihood_ratio([seen], shapes, scales_h)
    # Off by the curvature of the density: the square of the width times its second derivative over 24.
    slope = (shape + shape * (run_h / scale_h) ** shape) ** 2
    assert told == pytest.approx(exact, abs=width**2 * (slope + 1) / 4 + 1e-6)


@settings(max_examples=30)
@given(st.floats(0.0, 2000.0), st.floats(0.0, 2000.0))
def test_looking_further_ahead_never_lowers_the_chance_of_an_end(first_h: float, second_h: float) -> None:
    known = belief([], PRIOR)
    near_h, far_h = sorted((first_h, second_h))
    assert end_within_fraction(known, 100.0, near_h) <= end_within_fraction(known, 100.0, far_h) + 1e-12


@given(st.floats(1.2, 6.0), SCALES_H, st.floats(1.5, 50.0), st.floats(0.3, 3.0))
def test_no_age_is_cheaper_than_the_best(shape: float, scale_h: float, ratio: float, other: float) -> None:
    life, costs = WeibullLife(shape_ratio=shape, scale_h=scale_h), ChangeCosts(planned_money=1.0, failed_money=ratio)
    best_h = best_age_h(life, costs)
    least = cost_per_h(life, costs, best_h)
    assert least <= cost_per_h(life, costs, other * best_h) * (1 + 1e-9)
    assert least <= costs.failed_money / life.mean_h * (1 + 1e-9)


@given(st.floats(1.3, 6.0), SCALES_H, st.floats(2.0, 30.0))
def test_the_best_age_scales_with_the_life_and_falls_with_the_failure(
    shape: float, scale_h: float, ratio: float
) -> None:
    cheap, dear = (ChangeCosts(planned_money=1.0, failed_money=failed) for failed in (ratio, 2 * ratio))
    life, twice = (WeibullLife(shape_ratio=shape, scale_h=scale) for scale in (scale_h, 2 * scale_h))
    assert best_age_h(twice, cheap) == pytest.approx(2 * best_age_h(life, cheap), rel=1e-6)
    assert best_age_h(life, dear) < best_age_h(life, cheap)


@settings(max_examples=40)
@given(st.floats(0.5, 1.0), SCALES_H, st.floats(0.5, 50.0))
def test_a_part_that_does_not_wear_out_is_never_changed_by_age(shape: float, scale_h: float, ratio: float) -> None:
    curve = curve_of_life(WeibullLife(shape_ratio=shape, scale_h=scale_h))
    found = replacement_age(curve, ChangeCosts(planned_money=1.0, failed_money=ratio))
    assert found.rule is ChangeRule.WHEN_WORN
    assert found.best_h is None


@settings(max_examples=40)
@given(st.floats(1.5, 6.0), SCALES_H, st.floats(3.0, 50.0))
def test_the_flat_stretch_holds_the_best_age(shape: float, scale_h: float, ratio: float) -> None:
    life, costs = WeibullLife(shape_ratio=shape, scale_h=scale_h), ChangeCosts(planned_money=1.0, failed_money=ratio)
    found = replacement_age(curve_of_life(life), costs)
    assert found.rule is ChangeRule.BY_AGE
    assert found.best_h is not None
    assert found.same_from_h is not None
    assert found.same_to_h is not None
    assert found.same_from_h <= found.best_h <= found.same_to_h
    assert cost_per_h(life, costs, found.same_from_h) <= 1.021 * cost_per_h(life, costs, best_age_h(life, costs))


@given(st.floats(0.0, 40.0), st.floats(0.5, 0.995), st.floats(0.5, 0.995))
def test_a_higher_level_asks_for_no_less(mean: float, first: float, second: float) -> None:
    demand = steady_demand(mean / 100, 100.0)
    low, high = sorted((first, second))
    assert demand.stock_for(low) <= demand.stock_for(high)
    assert demand.served_fraction(demand.stock_for(high)) >= high - 1e-9
    assert demand.mean_ratio == pytest.approx(mean, abs=1e-6)


@settings(max_examples=40)
@given(st.floats(0.0, 15.0), st.lists(st.floats(0.05, 1.0), min_size=1, max_size=4))
def test_jobs_of_several_pieces_have_the_means_of_both(jobs: float, weights: list[float]) -> None:
    shares = np.array(weights) / sum(weights)
    sizes = np.arange(1, len(shares) + 1)
    demand = jobs_demand(jobs / 100, 100.0, shares.tolist())
    counts = np.arange(len(demand.chances_fraction))
    assert demand.mean_ratio == pytest.approx(jobs * float(sizes @ shares), abs=1e-6)
    variance = float(counts**2 @ demand.chances_fraction) - demand.mean_ratio**2
    assert variance == pytest.approx(jobs * float(sizes**2 @ shares), abs=1e-5)


@settings(max_examples=40)
@given(st.lists(SHARES, max_size=15), st.lists(SHARES, max_size=15), st.integers(0, 5))
def test_two_groups_of_parts_together_are_one_group(first: list[float], second: list[float], planned: int) -> None:
    apart = ageing_demand(first, planned_pieces=planned).plus(ageing_demand(second))
    together = ageing_demand([*first, *second], planned_pieces=planned)
    assert apart.chances_fraction == pytest.approx(together.chances_fraction, abs=1e-9)
    assert together.mean_ratio == pytest.approx(planned + sum(first) + sum(second), abs=1e-9)


@settings(max_examples=40)
@given(st.integers(1, 40), st.floats(100.0, 2000.0))
def test_a_rate_seen_long_enough_is_a_known_rate(pieces: int, horizon_h: float) -> None:
    # A thousand times as many pieces in a thousand times as many hours.
    seen_h = 500.0 * pieces
    known = unknown_rate_demand(horizon_h, seen_pieces=1000 * pieces, seen_h=1000 * seen_h, usual_life_h=500.0)
    steady = steady_demand(1 / 500, horizon_h)
    for count in range(6):
        assert known.served_fraction(count) == pytest.approx(steady.served_fraction(count), abs=3e-3)


@given(st.floats(30.0, 80.0), st.floats(0.01, 0.2), st.floats(50.0, 300.0), st.integers(2, 8))
def test_a_straight_line_is_followed_to_its_limit(new_mm: float, mm_per_h: float, span_h: float, count: int) -> None:
    at_h = np.linspace(0.0, span_h, count)
    left_m = (new_mm - mm_per_h * at_h) / 1000
    if left_m[-1] < 0.012:
        return
    measured = [Measured(at_h=float(at), left_m=float(left)) for at, left in zip(at_h, left_m, strict=True)]
    line = wear_line(measured, limit_m=0.010)
    assert line.left_h == pytest.approx((left_m[-1] * 1000 - 10) / mm_per_h, rel=1e-6)
    low_h, high_h = line.band_h
    assert 0 <= low_h <= line.left_h <= high_h
    if 0 < low_h and high_h < math.inf:
        assert line.passed_fraction(np.array([low_h, high_h])) == pytest.approx([0.1, 0.9], abs=1e-6)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000))
def test_a_plan_of_visits_keeps_days_and_hours(seed: int) -> None:
    rng = np.random.default_rng(seed)
    days = 8
    sites = {name: VisitSite(name=name, trip_money=5.0, travel_h=0.5) for name in ("hall", "store")}
    jobs = {
        f"job {number}": VisitJob(
            name=f"job {number}",
            site=str(rng.choice(["hall", "store"])),
            work_h=float(rng.uniform(0.2, 1.5)),
            penalty_money=rng.uniform(0, 5, days),
            earliest_day=int(rng.integers(0, 4)),
            latest_day=int(rng.integers(4, days)),
            is_safety=bool(rng.random() < 0.3),
        )
        for number in range(6)
    }
    day_h = rng.uniform(0.0, 3.0, days)
    plan = visit_plan(list(jobs.values()), list(sites.values()), day_h=day_h)
    used_h = np.zeros(days)
    for visit in plan.visits:
        used_h[visit.day] += sites[visit.site].travel_h + sum(jobs[name].work_h for name in visit.jobs)
        assert all(jobs[name].site == visit.site for name in visit.jobs)
        assert all(jobs[name].earliest_day <= visit.day <= jobs[name].latest_day for name in visit.jobs)
    assert np.all(used_h <= day_h + 1e-6)
    planned = [name for visit in plan.visits for name in visit.jobs]
    assert sorted([*planned, *plan.not_planned]) == sorted(jobs)
    assert set(plan.machine_must_stand) == {name for name in plan.not_planned if jobs[name].is_safety}
