"""Air and hydrogen of charging rooms, each worked by hand in the comment above it."""

import math

import pytest

from scrubwright.battery.room_air import (
    ALARM_FRACTION,
    BURNS_FRACTION,
    GassingPack,
    concentration_fraction,
    free_volume_m3,
    hydrogen_m3_per_h,
    one_percent_air_m3_per_h,
    opening_m2,
    steady_concentration_fraction,
    until_share_h,
    ventilation_2002_m3_per_h,
    ventilation_m3_per_h,
)
from scrubwright.measures.units import KELVIN_AT_0_C, METRES_PER_FOOT

CUBIC_FEET_A_MINUTE = METRES_PER_FOOT**3 * 60


def pack(gassing_a_per_100_ah: float) -> GassingPack:
    return GassingPack(cells=18, capacity_ah=240.0, gassing_a_per_ah=gassing_a_per_100_ah / 100)


@pytest.mark.parametrize(
    ("gassing_a_per_100_ah", "air_m3_per_h", "opening_cm2", "volume_m3"),
    [
        # 0.05 x 18 x 2 x 240/100 = 4.32 m³/h; 28 x 4.32 = 120.96 cm²; 2.5 x 4.32 = 10.8 m³.
        (2, 4.32, 120.96, 10.8),
        # 0.05 x 18 x 6 x 2.4 = 12.96; 28 x 12.96 = 362.88; 2.5 x 12.96 = 32.4.
        (6, 12.96, 362.88, 32.4),
        # 0.05 x 18 x 7 x 2.4 = 15.12; 28 x 15.12 = 423.36; 2.5 x 15.12 = 37.8.
        (7, 15.12, 423.36, 37.8),
    ],
)
def test_a_pack_of_18_cells_and_240_ah_by_the_older_edition(
    gassing_a_per_100_ah: float, air_m3_per_h: float, opening_cm2: float, volume_m3: float
) -> None:
    air = ventilation_2002_m3_per_h([pack(gassing_a_per_100_ah)])
    assert air == pytest.approx(air_m3_per_h, abs=0.005)
    assert opening_m2(air) * 1e4 == pytest.approx(opening_cm2, abs=0.005)
    assert free_volume_m3(air) == pytest.approx(volume_m3, abs=0.05)


def test_four_packs_on_falling_current_add_up() -> None:
    # 4 x 15.12 = 60.48 m³/h; 28 x 60.48 = 1,693.4 cm²; 2.5 x 60.48 = 151.2 m³. By the later edition 4 x 16.632 = 66.53.
    air = ventilation_2002_m3_per_h([pack(7)] * 4)
    assert air == pytest.approx(60.48, abs=0.005)
    assert opening_m2(air) * 1e4 == pytest.approx(1693.4, abs=0.1)
    assert free_volume_m3(air) == pytest.approx(151.2, abs=0.05)
    assert ventilation_m3_per_h([pack(7)] * 4) == pytest.approx(66.53, abs=0.005)


def test_the_dilution_that_the_standard_means_is_eight_tenths_of_a_percent() -> None:
    # 24 parts of air to one of hydrogen are 4 %; five times as much air: 1 / (5 x 24 + 1) = 0.826 %.
    assert steady_concentration_fraction(1.0, 120.0) == pytest.approx(0.00826, abs=0.00001)
    gas = hydrogen_m3_per_h([pack(6)])
    assert steady_concentration_fraction(gas, ventilation_m3_per_h([pack(6)])) == pytest.approx(0.0082, abs=0.0001)


def test_one_percent_of_hydrogen_takes_seven_cubic_feet_a_minute() -> None:
    # 18 cells x 14.4 A x 0.000269 cfm = 0.0697 cfm of hydrogen; a hundred times that is 6.97 cfm, 11.8 m³/h.
    air = one_percent_air_m3_per_h([pack(6)])
    assert air / CUBIC_FEET_A_MINUTE == pytest.approx(6.97, rel=0.01)
    assert air == pytest.approx(11.8, rel=0.01)


def test_one_pack_brings_a_shut_room_to_nearly_one_percent() -> None:
    # 18 cells x 12 A x 3 h x 0.4181 l/Ah (0 °C) = 270.9 l in 30,000 l: 0.903 %; what it presses out makes it 0.899 %.
    # The same in a room of 25 °C, 0.4564 l/Ah: 295.7 l, 0.986 %, and 0.981 %.
    gas = GassingPack(cells=18, capacity_ah=240.0, gassing_a_per_ah=0.05)
    cold = hydrogen_m3_per_h([gas], KELVIN_AT_0_C)
    assert concentration_fraction(cold, 30.0, over_h=3.0) == pytest.approx(0.00899, abs=0.00001)
    warm = hydrogen_m3_per_h([gas])
    assert concentration_fraction(warm, 30.0, over_h=3.0) == pytest.approx(0.00981, abs=0.00001)


def test_the_exact_solution_agrees_with_small_steps() -> None:
    # dC/dt = (G - (Q + G) C) / V with G = 0.1, Q = 2, V = 20, from 0.2 %, over 8 h in 800,000 steps of Euler.
    gas, air, free, share = 0.1, 2.0, 20.0, 0.002
    steps = 800_000
    for _ in range(steps):
        share += 8 / steps * (gas - (air + gas) * share) / free
    exact = concentration_fraction(gas, free, over_h=8.0, air_m3_per_h=air, start_fraction=0.002)
    assert exact == pytest.approx(share, rel=1e-6)


def test_hours_until_one_and_four_percent_in_a_shut_room() -> None:
    # C = 1 - exp(-G t / V): t = -V / G ln(1 - C). G = 0.0987 m³/h, V = 30 m³: 3.055 h and 12.41 h.
    assert until_share_h(ALARM_FRACTION, 0.0987, 30.0) == pytest.approx(-30 / 0.0987 * math.log(0.99), rel=1e-12)
    assert until_share_h(ALARM_FRACTION, 0.0987, 30.0) == pytest.approx(3.055, abs=0.001)
    assert until_share_h(BURNS_FRACTION, 0.0987, 30.0) == pytest.approx(12.41, abs=0.01)
