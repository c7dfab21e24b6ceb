"""Gas of a cell by Faraday's law, and the current that makes it in one held at a voltage, worked by hand."""

import pytest

from scrubwright.battery.gassing import held_gassing_a_per_ah, hydrogen_l_per_ah, oxygen_l_per_ah

# 20 mA for 100 Ah at 2.23 V and 25 °C, times exp(11 (V - 2.23) + 0.06 (T - 25 °C)):
# 2.40 V: exp(1.87) = 6.488; 2.45 V: exp(2.42) = 11.246; 2.58 V: exp(3.85) = 46.99; 5 times that for an old cell.
# 2.40 V at 35 °C: exp(1.87 + 0.60) = 11.822.
ROWS = [
    (2.23, 25, 1, 0.020),
    (2.40, 25, 1, 0.1298),
    (2.45, 25, 1, 0.2249),
    (2.58, 25, 1, 0.9399),
    (2.40, 25, 5, 0.6488),
    (2.45, 25, 5, 1.1246),
    (2.58, 25, 5, 4.699),
    (2.40, 35, 1, 0.2364),
]


@pytest.mark.parametrize(("cell_v", "temperature_c", "aged", "a_per_100_ah"), ROWS)
def test_the_gassing_current_follows_volts_warmth_and_age(
    cell_v: float, temperature_c: float, aged: float, a_per_100_ah: float
) -> None:
    found = 100 * held_gassing_a_per_ah(cell_v, 273.15 + temperature_c, aged)
    assert found == pytest.approx(a_per_100_ah, rel=1e-3)


@pytest.mark.parametrize(
    ("celsius", "hydrogen_l", "oxygen_l"),
    # 3600 / (2 x 96,485.33) = 0.0186557 mol of hydrogen for each Ah, half of that oxygen. A mole fills
    # 8.314463 x T / 101.325: 273.15 K 22.4140 L, 293.15 K 24.0551 L, 298.15 K 24.4654 L.
    # 0.0186557 x 22.4140 = 0.41815; x 24.0551 = 0.44877; x 24.4654 = 0.45642.
    [(0, 0.41815, 0.20907), (20, 0.44877, 0.22438), (25, 0.45642, 0.22821)],
)
def test_gas_of_an_ampere_hour(celsius: float, hydrogen_l: float, oxygen_l: float) -> None:
    assert hydrogen_l_per_ah(273.15 + celsius) == pytest.approx(hydrogen_l, abs=0.00001)
    assert oxygen_l_per_ah(273.15 + celsius) == pytest.approx(oxygen_l, abs=0.00001)
