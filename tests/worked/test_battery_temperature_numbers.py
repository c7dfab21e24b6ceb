"""Capacity in the cold and in the warm: the cubic fitted to IEEE 485, table 1, worked by hand."""

import pytest

from scrubwright.battery.temperature import capacity_fraction


@pytest.mark.parametrize(
    ("celsius", "percent"),
    # y = -2.8117 x³ + 4.1916 x² - 2.4941 x + 1.405 with x = °C / 100; capacity 100 / y. The coefficients are those that
    # an engineers' forum prints for table 1.
    [
        # 0.00017 + 0.00638 + 0.09727 + 1.405 = 1.50881.
        (-3.9, 66.3),
        # 1.405.
        (0, 71.2),
        # -0.00281 + 0.04192 - 0.24941 + 1.405 = 1.19469.
        (10, 83.7),
        # -0.02249 + 0.16766 - 0.49882 + 1.405 = 1.05135.
        (20, 95.1),
        # -0.04393 + 0.26198 - 0.62353 + 1.405 = 0.99952.
        (25, 100.0),
        # -0.07592 + 0.37724 - 0.74823 + 1.405 = 0.95810.
        (30, 104.4),
        # -0.17995 + 0.67066 - 0.99764 + 1.405 = 0.89807.
        (40, 111.3),
    ],
)
def test_the_cubic_gives_the_capacity_worked_by_hand(celsius: float, percent: float) -> None:
    assert 100 * float(capacity_fraction(273.15 + celsius)) == pytest.approx(percent, abs=0.06)
