"""Cells beside each other, worked by hand."""

import pytest

from scrubwright.battery.cell_drift import cell_drifts
from scrubwright.battery.cells import cell_grid
from scrubwright.battery.charge_left import FULL_1265, own_family
from scrubwright.battery.noise import expected_range_ratio, low_limit_ratio
from scrubwright.battery.weak_cell import may_reverse, reversal_charge_fraction, weakest_charge_fraction

STRAIGHT = own_family(1.265, 1.120)


def test_eighteen_perfect_cells_show_a_range_of_eighteen_thousandths() -> None:
    # d2 of 18 is 3.640; 3.640 x 0.005 = 0.0182.
    assert expected_range_ratio(18) == pytest.approx(0.0182, abs=0.00005)


@pytest.mark.parametrize(
    ("cells", "limit_ratio"),
    [
        # 1 - 0.95^(1/18) = 0.002846; the normal curve leaves that beyond 2.765 sd, less than the usual 3 sd.
        (18, 0.0150),
        # 1 - 0.95^(1/60) = 0.000855; beyond 3.137 sd; 3.137 x 0.005 = 0.01568.
        (60, 0.01568),
        # 1 - 0.95^(1/120) = 0.000427; beyond 3.334 sd; 3.334 x 0.005 = 0.01667.
        (120, 0.01667),
    ],
)
def test_one_cell_stands_apart_further_off_in_larger_packs(cells: int, limit_ratio: float) -> None:
    assert low_limit_ratio(cells) == pytest.approx(limit_ratio, abs=0.00001)


def test_a_cell_forty_points_low_is_twenty_eight_percent_behind() -> None:
    # Full 1.265, flat 1.120, straight between: 0.040 / 0.145 = 0.2759.
    assert 0.80 - weakest_charge_fraction(STRAIGHT, 0.80, 0.040) == pytest.approx(0.2759, abs=0.0005)
    assert reversal_charge_fraction(STRAIGHT, 0.040) == pytest.approx(0.2759, abs=0.0005)


def test_at_thirty_percent_of_the_mean_that_cell_is_at_two_percent() -> None:
    # 0.300 - 0.276 = 0.024.
    assert weakest_charge_fraction(STRAIGHT, 0.30, 0.040) == pytest.approx(0.024, abs=0.001)
    assert not may_reverse(STRAIGHT, 0.30, 0.040)
    assert may_reverse(STRAIGHT, 0.27, 0.040)


def test_the_published_table_puts_it_at_one_percent() -> None:
    # 30 % lies a fifth of the way from 1.155 (25 %) to 1.190 (50 %): 1.162. 1.162 - 0.040 = 1.122, which is
    # 0.002 / 0.035 of the way from 1.120 (0 %) to 1.155 (25 %): 0.0143.
    assert weakest_charge_fraction(FULL_1265, 0.30, 0.040) == pytest.approx(0.0143, abs=0.0001)
    # Flat + 0.040 = 1.160: 25 % and 0.005 / 0.035 of the next 25 %: 0.2857.
    assert reversal_charge_fraction(FULL_1265, 0.040) == pytest.approx(0.2857, abs=0.0001)


def test_a_row_of_six_cells_agrees_with_the_sums_by_hand() -> None:
    # 1.240 1.275 1.275 1.280 1.280 1.285: median (1.275 + 1.280) / 2 = 1.2775, mean 7.635 / 6 = 1.2725,
    # range 0.045, the first 1.2725 - 1.240 = 0.0325 under the mean and 0.0375 under the median.
    grid = cell_grid([1.240, 1.275, 1.275, 1.280, 1.280, 1.285])
    assert grid.median_ratio == pytest.approx(1.2775, abs=1e-9)
    assert grid.mean_ratio == pytest.approx(1.2725, abs=1e-9)
    assert grid.range_ratio == pytest.approx(0.045, abs=1e-9)
    assert grid.weakest_below_ratio == pytest.approx(0.0325, abs=1e-9)
    assert grid.above_median_ratio[0] == pytest.approx(-0.0375, abs=1e-9)


def test_a_slope_and_its_band_agree_with_the_sums_by_hand() -> None:
    # Readings 0, -1, -3, -2 thousandths at visits 0 to 3. Slopes -1, -1.5, -0.667, -2, -0.5, 1; in order
    # -2, -1.5, -1, -0.667, -0.5, 1: median (-1 - 0.667) / 2 = -0.8333 thousandths a visit.
    # Visits reach sum (t - 1.5)^2 = 5; sd of a reading 0.005, so that of the slope is
    # 0.005 sqrt(pi / 3) / sqrt(5) = 0.002288; the 80 % band is 1.2816 of these: 0.002933 each way.
    rows = [(0.0, 0.0, reading) for reading in (0.0, -0.001, -0.003, -0.002)]
    drift = cell_drifts(rows)[2]
    assert drift.slope_per_visit == pytest.approx(-0.0008333, abs=1e-7)
    assert drift.low_per_visit == pytest.approx(-0.0008333 - 0.002933, abs=2e-6)
    assert drift.high_per_visit == pytest.approx(-0.0008333 + 0.002933, abs=2e-6)
