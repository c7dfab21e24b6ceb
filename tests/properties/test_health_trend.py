"""Level and drift: two steps are one, order does not matter, nothing is surer for waiting."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.battery.health_filter import Standing, standing_after, standing_at_first, standing_later
from scrubwright.battery.health_prior import HealthPrior, prior_by_age
from scrubwright.battery.trend import Trend, Wander, begun, doubted_sd_ratio, held_between, moved_on, updated

FIELDS = ("log_ratio", "drift_per_shift", "log_variance_ratio", "covariance_per_shift", "drift_variance_per_shift")

levels = st.floats(-1, 3)
errors = st.floats(0.01, 1)
shifts = st.floats(0, 300)
wanders = st.builds(
    Wander,
    growth_per_shift=st.floats(1e-3, 1e-2),
    drift_unrest_per_shift=st.floats(0, 1e-4),
    level_unrest_ratio=st.floats(0, 0.01),
)
trends = st.builds(begun, levels, errors, st.floats(-1e-3, 1e-3), st.floats(1e-5, 1e-3))
used = st.tuples(st.floats(1.0, 4.0), st.floats(0.2, 1.0), st.floats(0.01, 0.1), st.booleans())


def same(one: Trend, other: Trend) -> bool:
    return all(getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-6, abs=1e-12) for name in FIELDS)


@given(trends, shifts, shifts, wanders)
def test_two_waits_are_one_of_their_sum(trend: Trend, first: float, second: float, wander: Wander) -> None:
    in_two = moved_on(moved_on(trend, first, wander), second, wander)
    assert same(in_two, moved_on(trend, first + second, wander))


@given(trends, shifts, wanders)
def test_waiting_makes_nothing_surer(trend: Trend, passed: float, wander: Wander) -> None:
    later = moved_on(updated(trend, trend.log_ratio, 0.1), passed, wander)
    assert later.drift_variance_per_shift >= trend.drift_variance_per_shift * (1 - 1e-9)
    assert np.all(later.log_variance_ratio >= updated(trend, trend.log_ratio, 0.1).log_variance_ratio * (1 - 1e-9))


@given(trends, wanders, shifts, levels, errors, levels, errors)
def test_the_order_of_readings_of_one_time_does_not_matter(
    trend: Trend, wander: Wander, passed: float, one: float, one_sd: float, other: float, other_sd: float
) -> None:
    trend = moved_on(trend, passed, wander)
    forth = updated(updated(trend, one, one_sd), other, other_sd)
    back = updated(updated(trend, other, other_sd), one, one_sd)
    assert same(forth, back)


@given(trends, wanders, shifts, levels, errors)
def test_a_reading_makes_surer_and_pulls_its_way(
    trend: Trend, wander: Wander, passed: float, reading: float, sd: float
) -> None:
    before = moved_on(trend, passed, wander)
    after = updated(before, reading, sd)
    assert after.log_variance_ratio <= before.log_variance_ratio
    assert after.drift_variance_per_shift <= before.drift_variance_per_shift
    assert after.log_variance_ratio <= sd**2
    low, high = sorted((float(before.log_ratio), reading))
    assert low - 1e-9 <= after.log_ratio <= high + 1e-9


@given(trends, errors, st.floats(0, 10), st.floats(0, 10))
def test_the_further_off_the_more_it_is_doubted(trend: Trend, sd: float, near: float, far: float) -> None:
    near, far = sorted((near, far))
    middle = trend.log_ratio
    assert doubted_sd_ratio(trend, middle + near, sd) <= doubted_sd_ratio(trend, middle - far, sd) * (1 + 1e-9)


@given(trends, levels, errors, levels, errors)
def test_a_level_is_held_up_from_below_and_down_from_above(
    trend: Trend, least: float, least_sd: float, most: float, most_sd: float
) -> None:
    up = held_between(trend, least, least_sd, 100.0, most_sd)
    down = held_between(trend, -100.0, least_sd, most, most_sd)
    assert up.log_ratio >= trend.log_ratio - 1e-9
    assert down.log_ratio <= trend.log_ratio + 1e-9
    between = held_between(trend, least, least_sd, most, most_sd)
    for held in (up, down, between):
        assert math.isfinite(held.log_ratio)
        assert float(held.log_variance_ratio) > 0
        assert abs(float(held.log_ratio) - float(trend.log_ratio)) < 6 * float(trend.sd_ratio)


@given(st.floats(-0.5, 0.5), st.floats(0.02, 0.5))
def test_far_from_both_ends_nothing_is_held(level: float, sd: float) -> None:
    trend = begun(level, sd, -1e-4, 1e-4)
    assert same(held_between(trend, level - 12 * sd, sd / 10, level + 12 * sd, sd / 10), trend)


@given(st.lists(used, min_size=2, max_size=6))
def test_many_packs_at_once_are_as_one_by_one(discharges: list[tuple[float, float, float, bool]]) -> None:
    first = standing_at_first(HealthPrior(), scale_follows=False)

    def after(worked_h: object, share: object, sd: object, ended: object) -> Standing:
        return standing_after(
            standing_later(first, 3.0),
            worked_h=worked_h,  # type: ignore[arg-type]
            used_fraction=share,  # type: ignore[arg-type]
            used_sd_fraction=sd,  # type: ignore[arg-type]
            ran_down=ended,  # type: ignore[arg-type]
        )

    together = after(*(np.array(column) for column in zip(*discharges, strict=True)))
    alone = [after(*discharge) for discharge in discharges]
    assert together.given is not None
    for number, standing in enumerate(alone):
        assert standing.given is not None
        assert np.asarray(together.log_ratio)[number] == pytest.approx(float(standing.log_ratio))
        assert np.asarray(together.log_variance_ratio)[number] == pytest.approx(float(standing.log_variance_ratio))
        assert np.asarray(together.given.drift_per_shift)[number] == pytest.approx(
            float(standing.given.drift_per_shift)
        )


@given(st.floats(1.0, 4.0), st.floats(0.2, 1.0))
def test_a_pack_without_a_discharge_tonight_stays_as_it_is(worked_h: float, share: float) -> None:
    first = standing_at_first(HealthPrior(), scale_follows=False)
    after = standing_after(first, worked_h=worked_h, used_fraction=share, used_sd_fraction=np.inf, ran_down=True)
    assert same(after.scale, first.scale)
    assert after.given is not None
    assert first.given is not None
    assert same(after.given, first.given)


@given(st.floats(0.1, 10), used)
def test_hours_may_be_counted_in_any_unit(unit: float, discharge: tuple[float, float, float, bool]) -> None:
    worked_h, share, sd, ended = discharge
    plain, scaled = (
        standing_after(
            standing_at_first(HealthPrior(scale_h=4.0 * factor), scale_follows=False),
            worked_h=worked_h * factor,
            used_fraction=share,
            used_sd_fraction=sd,
            ran_down=ended,
        )
        for factor in (1.0, unit)
    )
    assert scaled.band_h()[1] == pytest.approx(unit * float(plain.band_h()[1]))


@given(st.floats(0, 1.4), st.floats(0, 1.4), st.floats(-2e-3, -1e-4))
def test_an_older_pack_is_taken_to_give_less_and_to_fall_faster(one: float, other: float, drift: float) -> None:
    younger, older = (prior_by_age(age, drift, -drift, scale_h=None) for age in sorted((one, other)))
    assert older.given_fraction <= younger.given_fraction
    assert older.drift_per_shift <= younger.drift_per_shift
    assert older.given_sd_fraction >= younger.given_sd_fraction
