"""The gamma process of hours, worked apart: two forecasts step by step, and the chance by plain integration."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import gamma

from scrubwright.wear.cleaning import cleaned
from scrubwright.wear.meters import MeterBatch
from scrubwright.wear.usage import HORIZON_DAYS, Usage, UsagePrior, usage_at_each, usage_now

# Shape 0.6 a day, half-life 30 days, prior of 5 days at 2 h.
PRIOR = UsagePrior(shape_per_day=0.6, half_life_days=30.0, prior_days=5.0, prior_h_per_day=2.0)


def weekly(hours: list[float]) -> MeterBatch:
    """One meter read once a week, at these hours."""
    return MeterBatch(
        at_days=np.array([[7.0 * week for week in range(len(hours))]]),
        value_h=np.array([hours]),
        rulings=np.zeros((1, len(hours)), dtype=np.int8),
        lengths=np.array([len(hours)]),
        rolls_at_h=np.array([1e5]),
        step_h=np.array([0.1]),
    )


def test_four_weeks_of_ten_hours_each() -> None:
    # Ends of the weeks lie 21, 14, 7 and 0 days back: weights 2^(-21/30) + 2^(-14/30) + 2^(-7/30) + 1 = 3.189879.
    # A = 0.6 × (5 + 7 × 3.189879) = 16.39749; B = 5 × 2 + 10 × 3.189879 = 41.89879.
    batch = weekly([100.0, 110.0, 120.0, 130.0, 140.0])
    usage = usage_now(batch, cleaned(batch, now_days=28.0), PRIOR)
    assert usage.evidence_ratio[0] == pytest.approx(16.3975, abs=5e-4)
    assert usage.seen_h[0] == pytest.approx(41.8987, abs=5e-4)
    # 50 h more: the days of 10, 50 and 90 % found on a grid of 0.01 days.
    found = [float(usage.days(np.array([50.0]), chance)[0]) for chance in (0.1, 0.5, 0.9)]
    assert found == pytest.approx([20.20, 32.51, 47.90], abs=0.01)


def test_no_readings_at_all_leave_what_is_taken_of_any_machine() -> None:
    # A = 0.6 × 5 = 3, B = 5 × 2 = 10; days on the same grid.
    batch = weekly([])
    usage = usage_now(batch, cleaned(batch, now_days=0.0), PRIOR)
    assert (usage.evidence_ratio[0], usage.seen_h[0]) == pytest.approx((3.0, 10.0))
    found = [float(usage.days(np.array([50.0]), chance)[0]) for chance in (0.1, 0.5, 0.9)]
    assert found == pytest.approx([8.52, 22.84, 47.03], abs=0.01)


def test_the_chance_is_that_of_gamma_hours_at_a_gamma_pace() -> None:
    # P(X >= 50 h in 30 days) = ∫ P(Gamma(0.6 × 30, rate b) >= 50) density of b db, b ~ Gamma(16.4, rate 41.9).
    usage = Usage(shape_per_day=0.6, evidence_ratio=np.array([16.4]), seen_h=np.array([41.9]))

    def part(rate: float) -> float:
        return float(gamma.sf(50.0, 18.0, scale=1 / rate) * gamma.pdf(rate, 16.4, scale=1 / 41.9))

    expected, _ = quad(part, 0.0, 3.0)
    assert usage.passed_fraction(np.array([50.0]), np.array([30.0]))[0] == pytest.approx(expected, abs=1e-7)


def test_the_step_to_a_new_meter_teaches_no_pace() -> None:
    # 100, 110, then a new meter that shows 3 and 13: only two steps of ten hours were read.
    batch = weekly([100.0, 110.0, 3.0, 13.0, 23.0])
    clean = cleaned(batch, now_days=28.0)
    usage = usage_at_each(batch, clean, PRIOR)
    # Weights back from day 28: 2^(-21/30), the new meter left out, 2^(-7/30) and 1.
    weights = 2 ** (-21 / 30) + 2 ** (-7 / 30) + 1
    assert usage.seen_h[0, -1] == pytest.approx(10 + 10 * weights)
    assert usage.evidence_ratio[0, -1] == pytest.approx(0.6 * (5 + 7 * weights))


def test_ends_of_the_range_are_told() -> None:
    usage = Usage(shape_per_day=0.6, evidence_ratio=np.full(3, 16.4), seen_h=np.full(3, 41.9))
    assert usage.days(np.array([0.0, -5.0, np.inf]), 0.5).tolist() == [0.0, 0.0, HORIZON_DAYS]
    assert usage.passed_fraction(np.array([0.0, 1.0, np.inf]), np.array([0.0, 0.0, 9.0])).tolist() == [1.0, 0.0, 0.0]
