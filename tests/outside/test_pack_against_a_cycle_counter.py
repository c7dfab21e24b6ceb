"""Swings of a pack's charge against what the package rainflow counts in the same course."""

from collections import defaultdict

import numpy as np
import pytest
import rainflow

from scrubwright.battery.ageing import swings

# Charge in 64ths, which floats add and subtract exactly, so that equal swings are counted together.
STEPS = 64


def counted(course: list[float]) -> dict[float, float]:
    """Depth to how many, by our count."""
    found: defaultdict[float, float] = defaultdict(float)
    for swing in swings(course):
        found[swing.depth_fraction] += swing.count_cycles
    return dict(found)


@pytest.mark.parametrize("seed", range(40))
def test_the_same_swings_are_counted(seed: int) -> None:
    rng = np.random.default_rng(seed)
    course = (rng.integers(0, STEPS + 1, int(rng.integers(3, 400))) / STEPS).tolist()
    assert counted(course) == dict(rainflow.count_cycles(course))


def test_a_month_of_shifts_with_a_charge_at_each_break_is_counted_the_same() -> None:
    # Down to a third, up a little at the break, down further, and full over night.
    shift = [1.0, 22 / 64, 31 / 64, 12 / 64]
    course = [*(shift * 30), 1.0]
    assert counted(course) == dict(rainflow.count_cycles(course)) == {9 / 64: 30.0, 52 / 64: 30.0}
