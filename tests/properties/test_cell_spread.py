"""What holds for any row of cells."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.battery.cell_drift import cell_drifts
from scrubwright.battery.cells import cell_grid
from scrubwright.battery.charge_left import FULL_1265, FULL_1280, GravityFamily, charge_left_fraction
from scrubwright.battery.noise import expected_range_ratio, low_limit_ratio, range_chance_fraction, range_limit_ratio
from scrubwright.battery.weak_cell import may_reverse, reversal_charge_fraction, weakest_charge_fraction

counts = st.integers(2, 120)
deviations = st.floats(0.0005, 0.02)
rows = st.lists(st.floats(1.10, 1.30), min_size=3, max_size=24)
families = st.sampled_from([FULL_1265, FULL_1280])
shares = st.floats(0, 1)


@given(st.integers(2, 119), deviations)
def test_more_cells_lie_further_apart(count: int, sd: float) -> None:
    assert expected_range_ratio(count, sd) < expected_range_ratio(count + 1, sd)
    assert range_limit_ratio(count, sd) < range_limit_ratio(count + 1, sd)
    assert low_limit_ratio(count, sd) <= low_limit_ratio(count + 1, sd)


@given(counts, deviations, st.floats(1.1, 5))
def test_ranges_go_with_the_instrument(count: int, sd: float, times: float) -> None:
    assert expected_range_ratio(count, times * sd) == pytest.approx(times * expected_range_ratio(count, sd))
    assert range_limit_ratio(count, times * sd) == pytest.approx(times * range_limit_ratio(count, sd), rel=1e-6)


@given(counts, deviations, st.floats(0.001, 0.9))
def test_the_chance_of_the_limit_is_the_chance_asked_for(count: int, sd: float, chance: float) -> None:
    assert range_chance_fraction(range_limit_ratio(count, sd, chance), count, sd) == pytest.approx(chance, abs=1e-6)


@given(counts, st.floats(0, 0.1), st.floats(0, 0.1))
def test_a_larger_range_is_rarer(count: int, one: float, two: float) -> None:
    near, far = sorted((one, two))
    assert range_chance_fraction(near, count) >= range_chance_fraction(far, count)


@given(rows, st.floats(-0.02, 0.02))
def test_a_shift_of_all_cells_changes_no_verdict(gravities: list[float], shift: float) -> None:
    one, two = cell_grid(gravities), cell_grid([gravity + shift for gravity in gravities])
    assert two.median_ratio == pytest.approx(one.median_ratio + shift)
    assert two.range_ratio == pytest.approx(one.range_ratio, abs=1e-12)
    assert two.above_median_ratio == pytest.approx(one.above_median_ratio, abs=1e-12)


@given(rows)
def test_the_order_of_cells_changes_no_verdict(gravities: list[float]) -> None:
    one, two = cell_grid(gravities), cell_grid(sorted(gravities))
    assert (one.state, one.range_ratio, one.median_ratio) == (two.state, two.range_ratio, two.median_ratio)
    assert len(one.low) == len(two.low)


@given(rows)
def test_the_weakest_is_the_lowest_and_low_cells_are_no_higher_than_high_ones(gravities: list[float]) -> None:
    grid = cell_grid(gravities)
    assert gravities[grid.weakest - 1] == min(gravities)
    assert grid.weakest_below_ratio >= -1e-12
    assert not set(grid.low) & set(grid.high)
    if grid.low:
        assert grid.weakest in grid.low


@given(families, shares, st.floats(0, 0.1), st.floats(0, 0.1))
def test_a_cell_further_behind_holds_less_and_stops_the_pack_earlier(
    family: GravityFamily, mean: float, one: float, two: float
) -> None:
    near, far = sorted((one, two))
    assert weakest_charge_fraction(family, mean, near) >= weakest_charge_fraction(family, mean, far)
    assert reversal_charge_fraction(family, near) <= reversal_charge_fraction(family, far)


@given(families, shares)
def test_a_cell_at_the_mean_holds_what_the_mean_holds(family: GravityFamily, mean: float) -> None:
    assert weakest_charge_fraction(family, mean, 0.0) == pytest.approx(mean, abs=1e-9)
    assert reversal_charge_fraction(family, 0.0) == 0


@given(families, shares, st.floats(0.001, 0.1))
def test_the_weakest_cell_is_flat_from_the_stop_on(family: GravityFamily, mean: float, below: float) -> None:
    stop = reversal_charge_fraction(family, below)
    if mean > stop + 1e-6:
        assert not may_reverse(family, mean, below)
    elif mean < stop - 1e-6:
        assert may_reverse(family, mean, below)
    assert stop == pytest.approx(float(charge_left_fraction(family, family.flat_ratio + below)))


@given(st.floats(-0.01, 0.01), st.integers(3, 20), st.floats(-0.02, 0.02))
def test_a_straight_line_has_its_own_slope(slope: float, visits: int, place: float) -> None:
    line = [(0.0, place + slope * visit, 0.0) for visit in range(visits)]
    drift = cell_drifts(line)[1]
    assert drift.slope_per_visit == pytest.approx(slope, abs=1e-12)
    assert drift.low_per_visit is not None
    assert drift.high_per_visit is not None
    assert drift.low_per_visit < slope < drift.high_per_visit


@given(st.integers(4, 30))
def test_more_visits_narrow_the_band(visits: int) -> None:
    few, many = (cell_drifts(np.zeros((count, 3)).tolist())[0] for count in (visits - 1, visits))
    assert few.high_per_visit is not None
    assert many.high_per_visit is not None
    assert many.high_per_visit < few.high_per_visit
