"""Curves of lives against printed data sets with their printed estimates."""

import math

import numpy as np
import pytest

from scrubwright.wear.likelihood import likeliest_life, log_likelihood_ratio
from tests.published.wear_data_sets import lives_of, rows_of


def figures(data_set: str) -> dict[str, float]:
    lives = lives_of(data_set)
    found = likeliest_life(lives)
    told = log_likelihood_ratio(lives, np.array([found.shape_ratio]), np.array([found.scale_h]))
    return {
        "shape": found.shape_ratio,
        "scale": found.scale_h,
        # The logarithm of a life has the mean ln η and the deviation 1/β of the smallest extreme value law.
        "mean of logs": math.log(found.scale_h),
        "deviation of logs": 1 / found.shape_ratio,
        "log likelihood": float(told[0, 0]),
    }


@pytest.mark.parametrize("row", rows_of("wear_estimates.csv"), ids=lambda row: f"{row['data_set']} {row['figure']}")
def test_the_likeliest_curve_is_the_printed_one(row: dict[str, str]) -> None:
    found, printed = figures(row["data_set"])[row["figure"]], float(row["printed"])
    assert found == pytest.approx(printed, abs=float(row["tolerance"]))
    assert found == pytest.approx(printed, rel=1e-3)


@pytest.mark.parametrize("row", rows_of("wear_recorded_fits.csv"), ids=lambda row: row["data_set"])
def test_the_likeliest_curve_is_that_of_an_open_library(row: dict[str, str]) -> None:
    found = figures(row["data_set"])
    assert found["shape"] == pytest.approx(float(row["shape"]), rel=1e-5)
    assert found["scale"] == pytest.approx(float(row["scale"]), rel=1e-5)
    assert found["log likelihood"] == pytest.approx(float(row["log_likelihood"]), abs=1e-6)


# Meeker & Escobar 1998, p. 630: 11 of 38 shock absorbers failed; Nelson 1982, p. 415: 94 of 167 parts cracked.
@pytest.mark.parametrize(("data_set", "parts", "ends"), [("shock absorbers", 38, 11), ("cracked parts", 167, 94)])
def test_the_data_sets_hold_as_many_parts_as_printed(data_set: str, parts: int, ends: int) -> None:
    lives = lives_of(data_set)
    assert (len(lives), sum(life.ending.is_end_of_life for life in lives)) == (parts, ends)
