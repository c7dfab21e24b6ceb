"""Curves of lives, their bands and late entries against an open library of survival analysis."""

import numpy as np
import pytest
from surpyval.univariate.parametric.distributions.weibull import Weibull

from scrubwright.wear.life import GONE_AT_SCALE_FRACTION, Ending, PartLife
from scrubwright.wear.likelihood import gone_by_bounds_h, likeliest_life, shape_bounds_ratio
from tests.published.wear_data_sets import lives_of

DATA_SETS = ("NIST handbook", "shock absorbers", "ball bearings", "locomotive controls", "cracked parts")


def fitted(lives: list[PartLife]) -> tuple[float, float]:
    """Scale and shape by the library, which takes every record as the interval in which the part ended."""
    lows = np.array([life.run_h if life.last_good_h is None else life.last_good_h for life in lives])
    # An end above all measure is the library's way to say that the part still ran.
    highs = np.array([life.run_h if life.ending.is_end_of_life else np.inf for life in lives])
    scale_h, shape = Weibull.fit(xl=lows, xr=highs).params
    return float(scale_h), float(shape)


@pytest.mark.parametrize("data_set", DATA_SETS)
def test_the_likeliest_curve_is_the_librarys(data_set: str) -> None:
    lives = lives_of(data_set)
    found = likeliest_life(lives)
    scale_h, shape = fitted(lives)
    assert (found.shape_ratio, found.scale_h) == pytest.approx((shape, scale_h), rel=1e-4)


@pytest.mark.parametrize("data_set", ["NIST handbook", "shock absorbers"])
def test_likelihood_bands_are_the_librarys(data_set: str) -> None:
    lives = lives_of(data_set)
    run_h = np.array([life.run_h for life in lives])
    censored = np.array([int(not life.ending.is_end_of_life) for life in lives])
    library = Weibull.fit(run_h, censored)
    shapes = library.param_cb("beta", alpha_ci=0.05, method="lr")
    scales_h = library.param_cb("alpha", alpha_ci=0.05, method="lr")
    assert shape_bounds_ratio(lives, level_fraction=0.95) == pytest.approx(tuple(shapes), rel=1e-5)
    found_h = gone_by_bounds_h(lives, GONE_AT_SCALE_FRACTION, level_fraction=0.95)
    assert found_h == pytest.approx(tuple(scales_h), rel=1e-5)


def test_late_entry_is_counted_as_the_library_counts_it() -> None:
    rng = np.random.default_rng(5)
    ended_h, entered_h = 300 * rng.weibull(2.5, 200), rng.uniform(0, 200, 200)
    seen = ended_h > entered_h
    lives = [
        PartLife(run_h=float(end), ending=Ending.FAILED, entered_h=float(entered))
        for end, entered in zip(ended_h[seen], entered_h[seen], strict=True)
    ]
    found = likeliest_life(lives)
    scale_h, shape = Weibull.fit(ended_h[seen], tl=entered_h[seen]).params
    assert (found.shape_ratio, found.scale_h) == pytest.approx((shape, scale_h), rel=1e-4)
