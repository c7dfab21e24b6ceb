"""The gassing current of a cell held at a voltage, worked by hand from the paper's constants."""

import pytest

from scrubwright.battery.gassing import held_gassing_a_per_ah

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
