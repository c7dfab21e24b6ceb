"""Area rates, lanes, dose and tank, each worked by hand in the comment above it."""

import math

import pytest

from scrubwright.machine.rates import effective_rate_m2_per_h, lane_count, lanes_time_s, theoretical_rate_m2_per_h
from scrubwright.measures.units import METRES_PER_FOOT, METRES_PER_MILE
from scrubwright.water.flow import area_per_tank_m2, dose_l_per_m2, tank_min

INCH_M = METRES_PER_FOOT / 12
MPH_M_PER_S = METRES_PER_MILE / 3600
SQUARE_FOOT_M2 = METRES_PER_FOOT**2
KM_PER_H_M_PER_S = 1 / 3.6


def test_a_wide_deck_at_five_km_per_h_passes_four_thousand_square_metres_an_hour() -> None:
    # 0.80 m x 5,000 m an hour = 4,000 m².
    assert theoretical_rate_m2_per_h(0.80, 5 * KM_PER_H_M_PER_S) == pytest.approx(4000, rel=1e-12)


def test_thirty_two_inches_at_three_mph_pass_42_240_square_feet_an_hour() -> None:
    # 32 in = 32/12 ft; 3 mph = 15,840 ft an hour; 32/12 x 15,840 = 42,240 ft².
    rate_m2_per_h = theoretical_rate_m2_per_h(32 * INCH_M, 3 * MPH_M_PER_S)
    assert rate_m2_per_h / SQUARE_FOOT_M2 == pytest.approx(42_240, rel=1e-12)


def test_overlap_and_lost_time_leave_27_720_square_feet_an_hour() -> None:
    # (32 - 2)/12 ft x 15,840 ft an hour x 0.70 = 27,720 ft².
    rate_m2_per_h = effective_rate_m2_per_h(
        32 * INCH_M, 3 * MPH_M_PER_S, overlap_m=2 * INCH_M, efficiency_fraction=0.70
    )
    assert rate_m2_per_h / SQUARE_FOOT_M2 == pytest.approx(27_720, abs=1)
    # 60 min x 1,000 ft² / 27,720 ft² = 2.1645 min for each 1,000 ft².
    assert 60 * 1000 * SQUARE_FOOT_M2 / rate_m2_per_h == pytest.approx(2.1645, abs=0.001)


def test_a_hall_takes_58_lanes_lengthwise_and_more_time_crosswise() -> None:
    # 60 x 40 m, 0.70 m of new floor a lane, 5 km/h, 6 s a turn. Lengthwise: 40/0.70 = 57.1, so 58 lanes;
    # 58 x 60 x 3.6/5 = 2,505.6 s of running + 57 x 6 = 342 s of turns = 2,847.6 s; 2,400 m² in it: 3,034.13 m²/h.
    count = lane_count(40.0, 0.70)
    time_s = lanes_time_s(count, 60.0, 5 * KM_PER_H_M_PER_S, turn_s=6.0)
    assert count == 58
    assert time_s == pytest.approx(2847.6, abs=0.1)
    assert 2400 * 3600 / time_s == pytest.approx(3034.13, abs=0.1)
    # Crosswise: 60/0.70 = 85.7, so 86 lanes; 86 x 40 x 3.6/5 + 85 x 6 = 2,986.8 s: 2,892.73 m²/h.
    time_s = lanes_time_s(lane_count(60.0, 0.70), 40.0, 5 * KM_PER_H_M_PER_S, turn_s=6.0)
    assert 2400 * 3600 / time_s == pytest.approx(2892.73, abs=0.1)


def test_a_width_that_is_a_whole_number_of_lanes_takes_no_lane_more() -> None:
    # 2.1 m / 0.7 m = 3, although 2.1 / 0.7 is a hair over 3 in binary.
    assert lane_count(2.1, 0.7) == 3
    assert math.ceil(2.1 / 0.7) == 4


def test_two_and_a_half_litres_a_minute_lay_43_millilitres_a_square_metre() -> None:
    # 2.5 L/min x 60 / 3,500 m² = 0.0428571 L/m².
    assert dose_l_per_m2(2.5, 3500.0) * 1000 == pytest.approx(42.8571, abs=0.01)


def test_a_tank_of_120_litres_lasts_48_minutes_and_2800_square_metres() -> None:
    # 120 L / 2.5 L/min = 48 min; 48/60 h x 3,500 m²/h = 2,800 m².
    assert tank_min(120.0, 2.5) == pytest.approx(48, abs=0.01)
    assert area_per_tank_m2(120.0, dose_l_per_m2(2.5, 3500.0)) == pytest.approx(2800, abs=0.01)
