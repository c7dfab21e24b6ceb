"""Ages of planned changes against printed examples."""

import numpy as np
import pytest

from scrubwright.wear.life import WeibullLife
from scrubwright.wear.replacement import (
    ChangeCosts,
    ChangeRule,
    LastingCurve,
    best_age_h,
    cost_per_h,
    costs_per_h,
    replacement_age,
)

# Jardine & Tsang, Maintenance, Replacement and Reliability, chapter 2, problem 2: life even between 0 and 40,000 km,
# 100 for a planned change and 200 for a failure. Kilometres stand for hours.
AGES_H = np.linspace(0.0, 40_000.0, 401)
EVEN = LastingCurve(ages_h=AGES_H, lasting_fraction=1 - AGES_H / 40_000, mean_h=20_000.0)
COSTS = ChangeCosts(planned_money=100.0, failed_money=200.0)


@pytest.mark.parametrize(("age_h", "printed"), [(10_000, 0.0143), (20_000, 0.0100), (30_000, 0.0093), (40_000, 0.0100)])
def test_the_cost_of_a_kilometre_is_the_printed_one(age_h: float, printed: float) -> None:
    told = dict(zip(AGES_H[1:].tolist(), costs_per_h(EVEN, COSTS).tolist(), strict=True))
    assert told[age_h] == pytest.approx(printed, abs=5e-5)


def test_the_best_age_of_an_even_life() -> None:
    # The printed answer is the best of the four ages, 30,000 km. Between them: C = 100 (1 + x)/(40,000 (x - x²/2)) with
    # x the age over 40,000; its slope is zero at x² + 2x - 2 = 0, so x = √3 - 1 and the age 29,282 km.
    found = replacement_age(EVEN, COSTS)
    assert found.rule is ChangeRule.BY_AGE
    assert found.best_h == pytest.approx(29_282, abs=20)
    assert found.same_from_h is not None
    assert found.same_to_h is not None
    assert found.same_from_h < 30_000 < found.same_to_h


# Blischke & Murthy (eds.), Case Studies in Reliability and Maintenance, 2003, p. 372: a hydraulic seal is best changed
# at 45 % of its scale, at 56 % of the cost of waiting. The shape 2.5 and the failure six times as dear are inferred
# here from these two figures, not read.
def test_a_hydraulic_seal_is_changed_at_45_per_cent_of_its_scale() -> None:
    seal, costs = WeibullLife(shape_ratio=2.5, scale_h=1.0), ChangeCosts(planned_money=1.0, failed_money=6.0)
    best = best_age_h(seal, costs)
    assert best == pytest.approx(0.45, abs=0.005)
    assert cost_per_h(seal, costs, best) / (costs.failed_money / seal.mean_h) == pytest.approx(0.56, abs=0.005)
