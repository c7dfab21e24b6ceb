"""Gravity, its straying and what it means for charge, worked by hand."""

import math

import pytest

from scrubwright.battery.charge_left import (
    FULL_1265,
    FULL_1280,
    charge_left_fraction,
    charge_left_sd_fraction,
    own_family,
)
from scrubwright.battery.gravity import corrected_gravity_ratio, gravity_of_density_ratio
from scrubwright.battery.rested_voltage import rested_charge_left_sd_fraction, rule_cell_v


def test_kilograms_for_each_litre_are_no_gravity() -> None:
    # Water at 25 °C has 0.99705 kg/L: 1.280 / 0.99705 = 1.28379.
    assert gravity_of_density_ratio(1.280) == pytest.approx(1.28379, abs=0.00001)


def test_a_traction_cell_read_hot_is_brought_to_its_reference() -> None:
    # 1.280 kg/L = 1.28379; 45 - 30 = 15 K; 15 x 0.0007 = 0.0105; 1.28379 + 0.0105 = 1.29429; x 0.99705 = 1.29047.
    corrected = corrected_gravity_ratio(gravity_of_density_ratio(1.280), 318.15, 303.15)
    assert corrected * 0.99705 == pytest.approx(1.2905, abs=0.0001)


def test_one_reading_differs_between_the_references_of_two_trades() -> None:
    # Car batteries are referred to 20 °C, traction cells to 30 °C: 10 x 0.0007 = 0.007.
    at_20, at_30 = (corrected_gravity_ratio(1.260, 298.15, reference_k) for reference_k in (293.15, 303.15))
    assert at_20 - at_30 == pytest.approx(0.007, abs=1e-9)


@pytest.mark.parametrize(
    ("table_percent", "straight_percent"),
    # (1.225 - 1.120) / 0.145 = 72.4 %; (1.190 - 1.120) / 0.145 = 48.3 %; (1.155 - 1.120) / 0.145 = 24.1 %.
    [(75, 72.4), (50, 48.3), (25, 24.1)],
)
def test_a_straight_line_is_within_three_points_of_one_table(table_percent: float, straight_percent: float) -> None:
    gravity = next(point.gravity_ratio for point in FULL_1265.points if 100 * point.charge_fraction == table_percent)
    straight = 100 * charge_left_fraction(own_family(1.265, 1.120), gravity)
    assert straight == pytest.approx(straight_percent, abs=0.05)
    assert abs(straight - table_percent) < 3


@pytest.mark.parametrize(
    ("table_percent", "straight_percent"),
    # (1.250 - 1.130) / 0.150 = 80 %; (1.220 - 1.130) / 0.150 = 60 %; (1.190 - 1.130) / 0.150 = 40 %.
    [(75, 80), (50, 60), (25, 40)],
)
def test_a_straight_line_is_up_to_fifteen_points_off_the_other(table_percent: float, straight_percent: float) -> None:
    gravity = next(point.gravity_ratio for point in FULL_1280.points if 100 * point.charge_fraction == table_percent)
    straight = 100 * charge_left_fraction(own_family(1.280, 1.130), gravity)
    assert straight == pytest.approx(straight_percent, abs=0.05)


def test_the_wrong_table_promises_twice_the_charge() -> None:
    assert charge_left_fraction(FULL_1265, 1.190) == pytest.approx(0.50)
    assert charge_left_fraction(FULL_1280, 1.190) == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("gravity", "left_percent"),
    # From 1.290 full to 1.130 at 20 % left: 0.160 for 80 %, so 0.002 for each percent and empty at 1.090.
    [(1.290, 100), (1.210, 60), (1.130, 20), (1.110, 10), (1.090, 0)],
)
def test_a_pack_whose_papers_end_at_80_percent_goes_on_straight(gravity: float, left_percent: float) -> None:
    assert 100 * charge_left_fraction(own_family(1.290, 1.130, 0.2), gravity) == pytest.approx(left_percent, abs=1e-6)


def test_a_cell_0_040_below_the_mean_has_28_points_less() -> None:
    # 0.040 / (1.265 - 1.120) = 0.040 / 0.145 = 27.6 %; at 30 % for the mean it is left with 2.4 %.
    family = own_family(1.265, 1.120)
    mean = 1.120 + 0.30 * 0.145
    assert charge_left_fraction(family, mean) == pytest.approx(0.30)
    assert charge_left_fraction(family, mean - 0.040) == pytest.approx(0.30 - 0.2759, abs=0.0005)


@pytest.mark.parametrize(
    ("cells_read", "sd_percent"),
    # One cell: 0.005 / 0.145 = 3.45 %. Eighteen: 0.005 / sqrt(18) = 0.001179; / 0.145 = 0.81 %.
    [(1, 3.45), (18, 0.81)],
)
def test_more_cells_make_the_charge_surer(cells_read: int, sd_percent: float) -> None:
    assert 100 * charge_left_sd_fraction(FULL_1265, cells_read, 0.0) == pytest.approx(sd_percent, abs=0.005)


def test_layers_of_acid_put_all_cells_wrong_together() -> None:
    # sqrt(0.005² / 18 + 0.0015²) = sqrt(1.389e-6 + 2.25e-6) = 0.0019076; / 0.145 = 1.316 %.
    assert charge_left_sd_fraction(FULL_1265, 18) == pytest.approx(math.sqrt(3.6389e-6) / 0.145, rel=1e-4)
    assert 100 * charge_left_sd_fraction(FULL_1265, 18) == pytest.approx(1.316, abs=0.001)


@pytest.mark.parametrize(
    ("percent", "pack_v"),
    # 18 x (1.265 + 0.84) = 37.89; 18 x (1.225 + 0.84) = 37.17; 18 x (1.190 + 0.84) = 36.54;
    # 18 x (1.155 + 0.84) = 35.91; 18 x (1.120 + 0.84) = 35.28.
    [(100, 37.89), (75, 37.17), (50, 36.54), (25, 35.91), (0, 35.28)],
)
def test_a_36_v_pack_by_the_rule_of_thumb(percent: float, pack_v: float) -> None:
    gravity = next(point.gravity_ratio for point in FULL_1265.points if 100 * point.charge_fraction == percent)
    assert 18 * rule_cell_v(gravity) == pytest.approx(pack_v, abs=0.005)


def test_ten_millivolts_of_a_cell_are_eight_points_of_charge() -> None:
    # From 1.9805 V at 1.120 to 2.1106 V at 1.265 (test_acid_numbers.py): 0.010 / 0.1301 = 7.7 %.
    # A meter that shows 0.1 V of 18 cells: 0.1 / 18 = 5.6 mV, 4.3 %.
    assert 100 * rested_charge_left_sd_fraction(FULL_1265, 0.010) == pytest.approx(7.7, abs=0.1)
    assert 100 * rested_charge_left_sd_fraction(FULL_1265, 0.1 / 18) == pytest.approx(4.3, abs=0.1)
