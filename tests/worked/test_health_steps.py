"""Two steps of the health filter by hand, a whole course against one least-squares problem, and an age by hand."""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from scrubwright.battery.health_prior import prior_by_age, usual_scale_h
from scrubwright.battery.trend import Wander, begun, doubted_sd_ratio, misfit_ratio, moved_on, updated


def test_two_readings_by_hand() -> None:
    # Before: 4 h, that is ln 4 = 1.386294, with sd 0.5; drift 0 with sd 0.01.
    trend = begun(math.log(4), 0.5, 0.0, 0.01)
    # Reading 3.6 h, sd 0.1. Gain 0.25 / (0.25 + 0.01) = 0.961538; ln 3.6 = 1.280934, off by -0.105361;
    # 1.386294 - 0.961538 x 0.105361 = 1.284986. Variance 0.25 x (1 - 0.961538) = 0.00961538. The drift stays.
    trend = updated(trend, math.log(3.6), 0.1)
    assert trend.log_ratio == pytest.approx(1.284986, abs=1e-6)
    assert trend.log_variance_ratio == pytest.approx(0.00961538, abs=1e-8)
    assert trend.drift_per_shift == 0
    # 10 shifts in which the drift doubles: growth ln 2 / 10, so level gains (2 - 1)/growth = 14.426950 x drift.
    # Variance 0.00961538 + 14.426950² x 0.0001 = 0.0304291; covariance 14.426950 x 0.0001 x 2 = 0.00288539;
    # of the drift 0.0001 x 2² = 0.0004.
    wander = Wander(growth_per_shift=math.log(2) / 10, drift_unrest_per_shift=0.0, level_unrest_ratio=0.0)
    trend = moved_on(trend, 10.0, wander)
    assert trend.log_variance_ratio == pytest.approx(0.0304291, abs=1e-7)
    assert trend.covariance_per_shift == pytest.approx(0.00288539, abs=1e-8)
    assert trend.drift_variance_per_shift == pytest.approx(0.0004)
    # Reading 3.4 h, sd 0.1: ln 3.4 = 1.223775, off by -0.061211. Gains 0.0304291 / 0.0404291 = 0.752653 and
    # 0.00288539 / 0.0404291 = 0.0713692: level 1.238916, drift -0.00436856; variance of the drift
    # 0.0004 - 0.00288539 x 0.0713692 = 0.000194072.
    trend = updated(trend, math.log(3.4), 0.1)
    assert trend.log_ratio == pytest.approx(1.238916, abs=1e-6)
    assert trend.drift_per_shift == pytest.approx(-0.00436856, abs=1e-7)
    assert trend.drift_variance_per_shift == pytest.approx(0.000194072, abs=1e-9)


def test_a_reading_five_deviations_off_gets_two_and_a_half_times_its_error() -> None:
    # Known to 0.3, reading good to 0.4: the difference has sqrt(0.09 + 0.16) = 0.5; 2.5 off is 5 deviations.
    # sqrt((4 + 25) / (4 + 1)) = 2.408319; x 0.4 = 0.963328. One deviation off: sqrt(5 / 5) = 1, so 0.4 as before.
    trend = begun(1.0, 0.3, 0.0, 0.0)
    assert misfit_ratio(trend, 3.5, 0.4) == pytest.approx(5)
    assert doubted_sd_ratio(trend, 3.5, 0.4) == pytest.approx(0.963328, abs=1e-6)
    assert doubted_sd_ratio(trend, 1.5, 0.4) == pytest.approx(0.4)


def test_a_whole_course_is_the_least_squares_answer() -> None:
    # The same model as one linear problem: unknown level and drift at each reading, rows whitened by their errors,
    # noise between readings integrated numerically; solved at once without a filter.
    growth, unrest, level_unrest = 0.01, 1e-3, 0.01
    wander = Wander(growth_per_shift=growth, drift_unrest_per_shift=unrest, level_unrest_ratio=level_unrest)
    times = [0.0, 3.0, 4.0, 11.0, 40.0]
    readings = [(1.30, 0.10), (1.22, 0.05), (1.35, 0.20), (1.20, 0.08), (0.95, 0.06)]
    prior_mean, prior_sd = np.array([1.4, -0.002]), np.array([0.4, 0.004])

    trend = begun(prior_mean[0], prior_sd[0], prior_mean[1], prior_sd[1])
    now = 0.0
    for at, reading in zip(times, readings, strict=True):
        trend = updated(moved_on(trend, at - now, wander), *reading)
        now = at

    columns = 2 * len(times)
    blocks = [np.eye(2, columns) / prior_sd[:, None]]
    wanted = [prior_mean / prior_sd]
    for number, (before, after) in enumerate(pairwise(times)):
        step = after - before
        grown = math.exp(growth * step)
        carried = np.array([[1.0, (grown - 1) / growth], [0.0, grown]])

        def noise(row: int, column: int, step: float = step) -> float:
            def shape(left: float) -> float:
                parts = ((math.exp(growth * left) - 1) / growth, math.exp(growth * left))
                return unrest**2 * parts[row] * parts[column]

            return float(quad(shape, 0, step)[0])

        covariance = np.array([[noise(0, 0) + level_unrest**2 * step, noise(0, 1)], [noise(1, 0), noise(1, 1)]])
        whitening = np.linalg.inv(np.linalg.cholesky(covariance))
        block = np.zeros((2, columns))
        block[:, 2 * number : 2 * number + 2] = -whitening @ carried
        block[:, 2 * number + 2 : 2 * number + 4] = whitening
        blocks.append(block)
        wanted.append(np.zeros(2))
    for number, (read, sd) in enumerate(readings):
        block = np.zeros((1, columns))
        block[0, 2 * number] = 1 / sd
        blocks.append(block)
        wanted.append(np.array([read / sd]))
    matrix, right = np.vstack(blocks), np.concatenate(wanted)
    level, drift = np.linalg.lstsq(matrix, right, rcond=None)[0][-2:]
    covariance = np.linalg.inv(matrix.T @ matrix)[-2:, -2:]

    assert trend.log_ratio == pytest.approx(level, rel=1e-9)
    assert trend.drift_per_shift == pytest.approx(drift, rel=1e-8)
    assert trend.log_variance_ratio == pytest.approx(covariance[0, 0], rel=1e-8)
    assert trend.covariance_per_shift == pytest.approx(covariance[0, 1], rel=1e-8)
    assert trend.drift_variance_per_shift == pytest.approx(covariance[1, 1], rel=1e-8)


def test_a_pack_at_half_and_at_the_end_of_its_life() -> None:
    # A life of 600 shifts: ln 0.8 / 600 = -0.000371906 a shift. Growth 0.003 x 600 = 1.8; e^1.8 - 1 = 5.049647.
    drift = math.log(0.8) / 600
    # At its end 0.8 by definition; drift -0.223144 x 0.003 x e^1.8 / 5.049647 = -0.000802000.
    old = prior_by_age(1.0, drift, 0.0, scale_h=None)
    assert old.given_fraction == pytest.approx(0.8)
    assert old.drift_per_shift == pytest.approx(-0.000802000, abs=1e-9)
    # Half way e^0.9 - 1 = 1.459603; -0.223144 x 1.459603 / 5.049647 = -0.0644995; e^-0.0644995 = 0.937536.
    half = prior_by_age(0.5, drift, drift / -2, scale_h=usual_scale_h(225.0, 50.0))
    assert half.given_fraction == pytest.approx(0.937536, abs=1e-6)
    # The drift is sure to a half, so the wear is: sqrt(0.06² + (0.0644995 / 2)²) = 0.0681179.
    assert half.given_sd_fraction == pytest.approx(0.0681179, abs=1e-7)
    # 225 Ah at 50 A.
    assert half.scale_h == 4.5
