"""Lines of wear by hand, and their bands by drawing."""

import math

import numpy as np
import pytest

from scrubwright.wear.wear_line import Measured, wear_line


def measured(*points: tuple[float, float]) -> list[Measured]:
    """Hours and millimetres."""
    return [Measured(at_h=at_h, left_m=left_mm / 1000) for at_h, left_mm in points]


def test_a_brush_from_60_to_46_mm_in_220_hours() -> None:
    # 14 mm in 220 h; 46 - 25 = 21 mm are left: 21/14 x 220 = 330 h.
    line = wear_line(measured((0, 60), (220, 46)), limit_m=0.025)
    assert line.left_h == pytest.approx(330, abs=1e-6)
    assert line.measurements == 2


def test_the_band_of_two_points_by_hand() -> None:
    # Tape 1 mm, even wear. After x spans of 220 h what is over the limit is 21 - 14 x mm; its variance is
    # (1 + x)² + x² mm², from the last point with 1 + x and the first with -x. The chance of one in ten lies where
    # 21 - 14 x = 1.2816 sqrt(1 + 2 x + 2 x²), that of nine in ten where it is -1.2816 times that; both by halving.
    line = wear_line(measured((0, 60), (220, 46)), limit_m=0.025, noise_m=0.001, uneven_fraction=0.0)
    for chance, deviations in ((0.1, 1.2815516), (0.9, -1.2815516)):
        low, high = 0.0, 5.0
        for _ in range(60):
            middle = (low + high) / 2
            over = 21 - 14 * middle - deviations * math.sqrt(1 + 2 * middle + 2 * middle**2)
            low, high = (middle, high) if over > 0 else (low, middle)
        assert line.left_at_h(chance) == pytest.approx(220 * low, abs=1e-3)


def test_the_middle_of_all_slopes_ignores_one_wrong_entry() -> None:
    # Slopes of (0, 60), (100, 54), (200, 48), (300, 39), (400, 36): the pairs of right entries give -0.06 six times;
    # with 39 they give -0.07, -0.075, -0.09 and -0.03. The fifth and sixth of the ten are -0.06. Levels 60 four times
    # and 57 once, so 60. At 400 h the line has 36 mm; to 24 mm 12/0.06 = 200 h.
    line = wear_line(measured((0, 60), (100, 54), (200, 48), (300, 39), (400, 36)), limit_m=0.024)
    assert line.left_h == pytest.approx(200, abs=1e-6)


def test_the_chance_is_that_of_drawn_lines() -> None:
    # The two points drawn again and again with their errors, and the wear ahead with its own.
    line = wear_line(measured((0, 60), (220, 46)), limit_m=0.025, noise_m=0.001, uneven_fraction=0.1)
    rng = np.random.default_rng(2)
    first, last = 60 + rng.normal(0, 1, 400_000), 46 + rng.normal(0, 1, 400_000)
    lost = first - last + 14 * rng.normal(0, 0.1, 400_000)
    for further_h in (200.0, 300.0, 400.0, 600.0):
        passed = np.mean(last - 25 - lost * further_h / 220 < 0)
        assert float(line.passed_fraction(further_h)) == pytest.approx(float(passed), abs=0.003)
