"""The state of health against what is printed of capacity tests."""

from datetime import datetime, timedelta

import pytest

from scrubwright.battery.health import health
from scrubwright.battery.health_log import Discharge, DischargeLog
from scrubwright.battery.health_prior import END_OF_LIFE_FRACTION
from scrubwright.battery.trend import BAND_SD

BEGIN = datetime(2026, 1, 5, 16)


def test_seven_hours_of_ten_are_seventy_percent() -> None:
    # US Navy training course 14113 (aviation electricity), "State of charge", public copy: a 100 Ah battery loses
    # 1.5 points of gravity for each ampere-hour, whatever its age: 70 Ah are 105 points, 60 points are 40 Ah. New, it
    # gives 10 A for 10 hours until its low-voltage limit; "on a later test" 10 A for only 7 hours: 7/10 = 70 %.
    points_per_ah, full_points = 1.5, 150.0
    half_shifts = [(4.0, False)] * 30
    tests = [(7.0, True)] * 30
    discharges = tuple(
        Discharge(
            at=BEGIN + timedelta(days=number),
            done_shifts=float(number),
            worked_h=hours,
            used_fraction=10 * hours * points_per_ah / full_points,
            used_sd_fraction=0.02,
            ran_down=ended,
        )
        for number, (hours, ended) in enumerate([*half_shifts, *tests])
    )
    log = DischargeLog(discharges=discharges, left_out=(), shift_h=4.0, shifts_per_h=1 / 24)
    told = health(log)
    band = told.of_new_band_fraction()
    assert band is not None
    assert band[1] == pytest.approx(0.70, abs=0.01)
    assert told.now.full_pack_h == pytest.approx(7.0, abs=0.1)
    # Without the tests the same gravities and hours show no wear at all, so that no share is told.
    blind = health(DischargeLog(discharges=discharges[:30], left_out=(), shift_h=4.0, shifts_per_h=1 / 24))
    assert blind.of_new_band_fraction() is None


def test_a_pack_is_to_be_replaced_below_eighty_percent() -> None:
    # US Bureau of Reclamation, FIST 3-6, Storage battery maintenance and principles, 1997, capacity tests: "the entire
    # battery should be replaced as soon as possible after capacity drops below 80 percent of original".
    assert END_OF_LIFE_FRACTION == 0.80


def test_an_eighty_percent_band_ends_at_the_ninetieth_percentile() -> None:
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1, table of the normal distribution: z = 1.28 holds
    # 0.39973 above the middle and z = 1.29 holds 0.40147; a straight line between them has 0.4 at 1.28155.
    assert pytest.approx(1.28 + 0.01 * (0.4 - 0.39973) / (0.40147 - 0.39973), abs=5e-5) == BAND_SD
