"""Ages of planned changes by plain quadrature, and against figures recorded elsewhere."""

import csv
import math
from pathlib import Path

import pytest
from scipy.integrate import quad

from scrubwright.measures.provenance import Origin
from scrubwright.wear.life import Ending, PartLife, WeibullLife
from scrubwright.wear.life_belief import LifePrior, belief
from scrubwright.wear.replacement import (
    ChangeCosts,
    best_age_h,
    cost_per_h,
    curve_of_belief,
    curve_of_life,
    replacement_age,
    served_h,
)

ROWS = list(csv.DictReader((Path(__file__).parent / "wear_replacement.csv").read_text(encoding="utf-8").splitlines()))


def plain_cost_per_h(shape: float, scale_h: float, costs: ChangeCosts, age_h: float) -> float:
    """The cost of an hour with the hours served by quadrature of the curve."""
    served = quad(lambda at: math.exp(-((at / scale_h) ** shape)), 0, age_h)[0]
    lasts = math.exp(-((age_h / scale_h) ** shape))
    return (costs.planned_money * lasts + costs.failed_money * (1 - lasts)) / served


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"shape {row['shape']} failure {row['failed_over_planned']}")
def test_the_best_age_over_the_scale(row: dict[str, str]) -> None:
    shape, ratio = float(row["shape"]), float(row["failed_over_planned"])
    life, costs = WeibullLife(shape_ratio=shape, scale_h=1.0), ChangeCosts(planned_money=1.0, failed_money=ratio)
    best = best_age_h(life, costs)
    assert best == pytest.approx(float(row["age_over_scale"]), abs=5e-5)
    waiting = ratio / math.gamma(1 + 1 / shape)
    assert cost_per_h(life, costs, best) / waiting == pytest.approx(float(row["cost_over_waiting"]), abs=5e-5)
    # By quadrature no age to either side is cheaper.
    least = plain_cost_per_h(shape, 1.0, costs, best)
    assert least == pytest.approx(cost_per_h(life, costs, best), rel=1e-7)
    assert all(plain_cost_per_h(shape, 1.0, costs, best * step) > least for step in (0.5, 0.9, 0.99, 1.01, 1.1, 2.0))


def test_a_planned_change_of_100_and_a_failure_of_600() -> None:
    # Shape 2.5, scale 1000 h. At 450 h: (0.45)^2.5 = 0.135841, of all parts exp(-0.135841) = 0.872981 last;
    # 100 x 0.872981 + 600 x 0.127019 = 163.5095. Hours served, by Simpson's rule with steps of 112.5 h:
    # lasts at 0, 112.5, 225, 337.5, 450 h: 1, 0.995764, 0.976271, 0.935955, 0.872981;
    # 37.5 x (1 + 4 x 0.995764 + 2 x 0.976271 + 4 x 0.935955 + 0.872981) = 433.2. 163.5095/433.2 = 0.3774.
    life, costs = WeibullLife(shape_ratio=2.5, scale_h=1000.0), ChangeCosts(planned_money=100.0, failed_money=600.0)
    assert best_age_h(life, costs) == pytest.approx(450, abs=5)
    assert cost_per_h(life, costs, 450.0) == pytest.approx(0.377441, abs=5e-5)
    assert served_h(life, 450.0) == pytest.approx(433.2, abs=0.1)
    # Waiting: 600 over the mean life of 887.264 h = 0.676236.
    assert replacement_age(curve_of_life(life), costs).run_to_end_per_h == pytest.approx(0.676236, abs=5e-7)


# reliability 0.9.0 (open, LGPL), optimal_replacement_time with q=0 (as good as new), recorded; it searches in steps.
@pytest.mark.parametrize(
    ("shape", "scale_h", "planned", "failed", "age_h", "per_h"),
    [
        (2.5, 1000.0, 1.0, 6.0, 449.99519952, 0.00377440912),
        (3.0, 800.0, 40.0, 160.0, 443.41984198, 0.13818861020),
        (1.8, 500.0, 1.0, 10.0, 169.35453545, 0.01362506275),
    ],
)
def test_the_best_age_is_that_of_an_open_library(
    shape: float, scale_h: float, planned: float, failed: float, age_h: float, per_h: float
) -> None:
    life = WeibullLife(shape_ratio=shape, scale_h=scale_h)
    costs = ChangeCosts(planned_money=planned, failed_money=failed)
    assert best_age_h(life, costs) == pytest.approx(age_h, rel=3e-4)
    assert cost_per_h(life, costs, best_age_h(life, costs)) == pytest.approx(per_h, rel=1e-6)
    on_a_curve = replacement_age(curve_of_life(life), costs)
    assert on_a_curve.best_h == pytest.approx(age_h, rel=2e-3)
    assert on_a_curve.best_per_h == pytest.approx(per_h, rel=1e-4)


def test_doubt_about_the_curve_asks_for_an_earlier_change() -> None:
    # The reliability study behind this room, for failures at 210, 260, 330 h and one part running at 150 h: with
    # all curves that may be true 177 h (150 to 209 h within 2 %) at a failure four times as dear, 115 h at ten
    # times; the likeliest curve alone says 185 and 155 h.
    ended = [PartLife(run_h=hours, ending=Ending.FAILED) for hours in (210.0, 260.0, 330.0)]
    lives = [*ended, PartLife(run_h=150.0, ending=Ending.STILL_RUNNING)]
    curve = curve_of_belief(belief(lives, LifePrior(life_h=400.0, origin=Origin.COMMON_PRACTICE)))
    found = replacement_age(curve, ChangeCosts(planned_money=1.0, failed_money=4.0))
    assert (found.same_from_h, found.best_h, found.same_to_h) == pytest.approx((150, 177, 209), rel=0.015)
    dearer = replacement_age(curve, ChangeCosts(planned_money=1.0, failed_money=10.0))
    assert dearer.best_h == pytest.approx(115, rel=0.015)
    likeliest = WeibullLife(shape_ratio=6.17, scale_h=288.0)
    for failed, age_h in ((4.0, 185.0), (10.0, 155.0)):
        costs = ChangeCosts(planned_money=1.0, failed_money=failed)
        assert best_age_h(likeliest, costs) == pytest.approx(age_h, abs=1.5)
