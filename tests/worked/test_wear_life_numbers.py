"""Lives of parts by hand: the curve, the likelihood of four records, and the belief by plain integration."""

import math

import numpy as np
import pytest
from numpy.typing import ArrayLike
from scipy.integrate import simpson
from scipy.stats import weibull_min

from scrubwright.measures.provenance import Origin
from scrubwright.wear.life import Ending, PartLife, WeibullLife, gone_by_h, survival_fraction
from scrubwright.wear.life_belief import LifePrior, belief, end_within_fraction, lasting_fraction
from scrubwright.wear.likelihood import log_likelihood_ratio

LIVES = (
    PartLife(run_h=210.0, ending=Ending.FAILED),
    PartLife(run_h=260.0, ending=Ending.WORN_OUT),
    PartLife(run_h=330.0, ending=Ending.FAILED),
    PartLife(run_h=150.0, ending=Ending.STILL_RUNNING),
)
USUAL = LifePrior(life_h=400.0, origin=Origin.COMMON_PRACTICE)


def test_a_curve_of_shape_two_and_a_half_and_scale_a_thousand() -> None:
    curve = WeibullLife(shape_ratio=2.5, scale_h=1000.0)
    # (500/1000)^2.5 = 0.5^2.5 = 0.1767767; exp(-0.1767767) = 0.837967.
    assert survival_fraction(curve, 500.0) == pytest.approx(0.837967, abs=5e-7)
    # -ln 0.9 = 0.1053605; its power 1/2.5: exp(ln(0.1053605)/2.5) = exp(-2.2503674/2.5) = exp(-0.9001469) = 0.40651.
    assert gone_by_h(curve, 0.1) == pytest.approx(406.51, abs=0.005)
    # Γ(1.4) = 0.887264 by tables of the gamma function.
    assert curve.mean_h == pytest.approx(887.264, abs=5e-4)


def test_the_likelihood_of_four_records_by_hand() -> None:
    # Shape 2, scale 100, so with x = t/100: density of the age t is (2 x/100) e^{-x²}, lasting e^{-x²}.
    records = [
        # Seen failing at 50: ln(2 x 0.5/100) - 0.25 = -4.605170 - 0.25 = -4.855170.
        PartLife(run_h=50.0, ending=Ending.FAILED),
        # Good at 80 when it was changed: -0.64.
        PartLife(run_h=80.0, ending=Ending.CHANGED_WHILE_GOOD),
        # Good at 60, found worn at 90: ln(e^-0.36 - e^-0.81) = ln(0.697676 - 0.444858) = ln 0.252818 = -1.375085.
        PartLife(run_h=90.0, ending=Ending.WORN_OUT, last_good_h=60.0),
        # Came at 30 on a second-hand machine and runs at 70: -0.49 + 0.09 = -0.40.
        PartLife(run_h=70.0, ending=Ending.STILL_RUNNING, entered_h=30.0),
    ]
    told = log_likelihood_ratio(records, np.array([2.0]), np.array([100.0]))
    # -4.855170 - 0.64 - 1.375085 - 0.40 = -7.270255.
    assert told[0, 0] == pytest.approx(-7.270255, abs=2e-6)


def test_the_belief_is_the_integral_over_all_curves() -> None:
    # The same prior and records on a plain grid of 801 x 801, far finer, with an open library's densities and
    # Simpson's rule; shapes from 0.5 to 8 as the method has them.
    log_shape = np.linspace(math.log(0.5), math.log(8.0), 801)
    log_scale = np.linspace(math.log(400) - 2.8, math.log(400) + 2.8, 801)
    shape, scale = np.exp(log_shape)[:, None], np.exp(log_scale)[None, :]
    log_weight = -0.5 * ((log_shape[:, None] - math.log(2)) / 0.4) ** 2
    log_weight = log_weight - 0.5 * ((log_scale[None, :] - math.log(400)) / 0.7) ** 2
    for age in (210.0, 260.0, 330.0):
        log_weight = log_weight + weibull_min.logpdf(age, shape, scale=scale)
    weight = np.exp(log_weight + weibull_min.logsf(150.0, shape, scale=scale) + 30)
    total = simpson(simpson(weight, log_scale, axis=1), log_shape)

    def mean_of(values: ArrayLike) -> float:
        return float(simpson(simpson(weight * np.asarray(values), log_scale, axis=1), log_shape) / total)

    found = belief(LIVES, USUAL)
    # A tenth gone: the age that so many of the curves put below it.
    tenth = scale * (-math.log(0.9)) ** (1 / shape)
    for chance in (0.1, 0.5, 0.9):
        assert mean_of(tenth < found.gone_by_at_h(0.1, chance)) == pytest.approx(chance, abs=0.01)
        assert mean_of(np.broadcast_to(shape, weight.shape) < found.shape_at_ratio(chance)) == pytest.approx(
            chance, abs=0.01
        )
        assert mean_of(np.broadcast_to(scale, weight.shape) < found.scale_at_h(chance)) == pytest.approx(
            chance, abs=0.01
        )
    for age in (100.0, 200.0, 400.0):
        assert lasting_fraction(found, age) == pytest.approx(mean_of(weibull_min.sf(age, shape, scale=scale)), abs=2e-4)
    now = mean_of(weibull_min.sf(150.0, shape, scale=scale))
    then = mean_of(weibull_min.sf(250.0, shape, scale=scale))
    assert end_within_fraction(found, 150.0, 100.0) == pytest.approx(1 - then / now, abs=5e-4)
    assert found.mean_h == pytest.approx(mean_of(scale * np.vectorize(math.gamma)(1 + 1 / shape)), rel=1e-3)


def test_the_example_of_the_reliability_study() -> None:
    # An independent grid posterior of the study behind this room, with the same prior and records: a tenth gone at
    # 129 h (74 to 189), shape 2.52 (1.59 to 4.0), scale 300 (237 to 439), 200 h reached with 0.703. Its quantiles
    # are whole cells: 6 % of a shape, 5 % of a scale.
    found = belief(LIVES, USUAL)
    assert [found.gone_by_at_h(0.1, chance) for chance in (0.1, 0.5, 0.9)] == pytest.approx([74, 129, 189], rel=0.01)
    assert [found.shape_at_ratio(chance) for chance in (0.1, 0.5, 0.9)] == pytest.approx([1.59, 2.52, 4.0], rel=0.06)
    assert [found.scale_at_h(chance) for chance in (0.1, 0.5, 0.9)] == pytest.approx([237, 300, 439], rel=0.05)
    assert lasting_fraction(found, 200.0) == pytest.approx(0.703, abs=5e-4)
