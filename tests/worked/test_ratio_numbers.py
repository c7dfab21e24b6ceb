"""Ratios between meters, by hand."""

import numpy as np
import pytest

from scrubwright.wear.meters import Counts
from scrubwright.wear.ratio import USUAL_RATIOS, FleetRatio, MachineRatio, fleet_ratio, left_by_key, machine_ratio

FLEET = FleetRatio(mean_ratio=0.70, sd_ratio=0.10)


def test_a_machine_that_was_never_read_has_the_ratio_of_the_fleet() -> None:
    believed = machine_ratio(np.array([0.0]), np.array([0.0]), FLEET)
    assert believed.mean_ratio[0] == pytest.approx(0.70)
    # sqrt(0.10² + 0.03²)
    assert believed.sd_ratio[0] == pytest.approx(0.10440, abs=5e-6)


def test_75_key_hours_weigh_three_times_the_fleet() -> None:
    # Own weight 75 / 0.25 = 300, the fleet's 1 / 0.1² = 100: (0.50 × 300 + 0.70 × 100) / 400 = 0.55.
    believed = machine_ratio(np.array([37.5]), np.array([75.0]), FLEET)
    assert believed.mean_ratio[0] == pytest.approx(0.55)
    # sqrt(1 / 400 + 0.03²)
    assert believed.sd_ratio[0] == pytest.approx(0.058310, abs=5e-7)


def test_the_fleet_tells_its_own_ratio_from_eight_machines_on() -> None:
    # Ratios 0.5 and 0.7, four of each, 1,000 key hours: mean 0.6; variance 8 × 0.01 / 7, less 0.25 / 1,000.
    other, key = np.array([500.0, 700.0] * 4), np.full(8, 1000.0)
    assert fleet_ratio(other[:7], key[:7], FLEET) == FLEET
    told = fleet_ratio(other, key, FLEET)
    assert told.mean_ratio == pytest.approx(0.6)
    assert told.sd_ratio == pytest.approx((0.08 / 7 - 0.00025) ** 0.5)


def test_brush_hours_left_become_key_hours_left() -> None:
    # 70 brush hours at 0.70 ± almost nothing are 100 key hours, of which 20 are run since the brush meter was read.
    sharp = MachineRatio(mean_ratio=np.array([0.7]), sd_ratio=np.array([1e-9]))
    left = left_by_key(np.array([70.0]), sharp, key_since_h=np.array([20.0]))
    assert left.left_h[0].tolist() == pytest.approx([80.0] * 7)
    # The seven values keep mean and spread of the ratio: key hours over hours left are one over the ratio.
    wide = MachineRatio(mean_ratio=np.array([0.7]), sd_ratio=np.array([0.05]))
    spread = left_by_key(np.array([70.0]), wide, key_since_h=np.array([0.0]))
    ratios, share = 70.0 / spread.left_h[0], spread.share_fraction[0]
    mean = float(ratios @ share)
    assert mean == pytest.approx(0.7)
    assert float((ratios - mean) ** 2 @ share) == pytest.approx(0.05**2)


def test_the_usual_ratios_lie_where_the_trade_sees_them() -> None:
    # Traction over key 0.6 to 0.9, and the vacuum runs no shorter than the brushes (common practice).
    assert 0.6 <= USUAL_RATIOS[Counts.TRACTION].mean_ratio <= 0.9
    assert USUAL_RATIOS[Counts.VACUUM].mean_ratio >= USUAL_RATIOS[Counts.BRUSH].mean_ratio
