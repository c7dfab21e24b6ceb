"""The state of health of one pack: what is told, what is left open, and what is refused."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest

from scrubwright.battery.health import FURTHEST_SHIFTS, day_after, health
from scrubwright.battery.health_log import Discharge, DischargeLog
from scrubwright.battery.health_prior import HealthPrior, prior_by_age, usual_scale_h
from scrubwright.battery.temperature import capacity_fraction
from scrubwright.battery.trend import Wander, begun, moved_on
from scrubwright.measures.errors import BadInput

BEGIN = datetime(2026, 1, 5, 16)


def discharge(number: int, **changes: object) -> Discharge:
    """A shift a day of 2 h for half of the charge: 4 h for the whole scale."""
    plain = Discharge(
        at=BEGIN + timedelta(days=number),
        done_shifts=float(number),
        worked_h=2.0,
        used_fraction=0.5,
        used_sd_fraction=0.02,
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def log_of(discharges: Sequence[Discharge]) -> DischargeLog:
    return DischargeLog(discharges=tuple(discharges), left_out=(), shift_h=2.0, shifts_per_h=1 / 24)


def run_downs(shares: Sequence[float], every: int = 10) -> list[Discharge]:
    """Down to the end on every tenth day, with these shares of the scale."""
    return [
        discharge(every * number, worked_h=4 * share, used_fraction=share, ran_down=True)
        for number, share in enumerate(shares)
    ]


PLAIN = [discharge(number) for number in range(40)]


def test_hours_of_a_full_pack_are_hours_over_charge_used_times_what_the_pack_gives() -> None:
    told = health(
        log_of([*PLAIN, *(replace(each, done_shifts=40.0 + each.done_shifts) for each in run_downs([0.9] * 8))])
    )
    assert told.now.full_pack_h == pytest.approx(3.6, rel=0.02)
    assert told.now.low_h < told.now.full_pack_h < told.now.high_h
    assert told.run_downs == 8
    band = told.of_new_band_fraction()
    assert band is not None
    assert band[0] < band[1] < band[2]
    assert band[1] == pytest.approx(0.9, rel=0.02)
    assert len(told.trend) == 48
    assert told.trend[5].logged_h == pytest.approx(4.0, rel=0.1)
    assert told.now.logged_h is None
    assert told.doubtful == ()


def test_without_a_run_down_no_share_of_new_is_told_and_the_band_is_wide() -> None:
    told = health(log_of([discharge(number) for number in range(300)]))
    assert told.of_new_band_fraction() is None
    assert told.shifts_until_worn() is None
    assert told.now.high_h / told.now.low_h > 1.2
    # It did half of the scale without coming to its end, again and again.
    assert told.chance_of_shift_fraction(1.9) > 0.9


def test_a_measurement_overrules_the_age() -> None:
    # By its age worn out, but it gives nine tenths of its scale ten times over.
    old = prior_by_age(1.4, math.log(0.8) / 500, 2e-4, scale_h=3.0)
    assert old.given_fraction < 0.75
    told = health(log_of(run_downs([0.9] * 10)), old)
    assert told.now.full_pack_h == pytest.approx(3.6, rel=0.04)


def test_wear_is_told_as_a_drift_with_its_error() -> None:
    # From 1.00 down to 0.905 in 190 shifts: half a hundredth each ten.
    told = health(log_of(run_downs([1.0 - 0.005 * number for number in range(20)])))
    assert told.drift_per_shift < 0
    assert told.drift_per_shift == pytest.approx(-0.0006, abs=4 * told.drift_sd_per_shift)
    left = told.shifts_until_worn()
    assert left is not None
    assert left.low_shifts < left.likely_shifts < left.high_shifts
    # At that pace 0.8 is 200 shifts off, and it speeds up.
    assert 80 < left.likely_shifts < 220
    assert left.is_told


def test_the_longer_nothing_is_read_the_wider_the_band() -> None:
    log = log_of(run_downs([0.95] * 6))
    last = log.discharges[-1].at
    widths = [
        now.high_h / now.low_h for now in (health(log, at=last + timedelta(days=days)).now for days in (0, 30, 90))
    ]
    assert widths == sorted(widths)
    assert widths[2] - 1 > 1.5 * (widths[0] - 1)


def test_more_work_is_less_likely_done_and_sooner_not_done() -> None:
    told = health(log_of(run_downs([1.0 - 0.005 * number for number in range(20)])))
    chances = [told.chance_of_shift_fraction(work_h) for work_h in (2.5, 3.2, 3.6, 4.0)]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > 0.99
    assert chances[-1] < 0.05
    lefts = [told.shifts_until(work_h).likely_shifts for work_h in (1.0, 2.8, 3.2, 4.0)]
    assert lefts == sorted(lefts, reverse=True)
    assert lefts[-1] == 0
    # In the cold a pack gives less, so that the same shift is harder.
    cold = float(capacity_fraction(278.15))
    assert told.chance_of_shift_fraction(3.2, cold) < told.chance_of_shift_fraction(3.2)
    assert told.shifts_until(2.8, cold).likely_shifts < told.shifts_until(2.8).likely_shifts


def test_what_is_further_than_is_told_is_said_to_be() -> None:
    told = health(log_of([discharge(number) for number in range(3)]), HealthPrior(drift_per_shift=0.0))
    left = told.shifts_until(0.01)
    assert left.likely_shifts == FURTHEST_SHIFTS
    assert not left.is_told


def test_a_cold_run_down_counts_as_it_would_at_25_degrees() -> None:
    cold_k = 283.15
    warm = health(log_of(run_downs([0.9] * 10)))
    gave = 0.9 * float(capacity_fraction(cold_k))
    cold = [
        replace(each, electrolyte_k=cold_k, worked_h=4 * gave, used_fraction=gave) for each in run_downs([0.9] * 10)
    ]
    assert health(log_of(cold)).now.full_pack_h == pytest.approx(warm.now.full_pack_h, rel=0.01)


def test_the_charge_that_an_hour_takes_is_the_same_in_the_cold() -> None:
    # Ampere-hours through the acid do not ask how warm it is.
    cold = [replace(each, electrolyte_k=283.15) for each in PLAIN]
    both = [health(log_of(discharges)).standing.scale.log_ratio for discharges in (PLAIN, cold)]
    assert both[0] == both[1]


def test_a_slip_of_the_pen_moves_little_and_is_shown() -> None:
    slip = [discharge(number, worked_h=20.0) if number == 20 else discharge(number) for number in range(40)]
    told, right = health(log_of(slip)), health(log_of(PLAIN))
    assert told.now.full_pack_h == pytest.approx(right.now.full_pack_h, rel=0.01)
    (doubtful,) = told.doubtful
    assert str(doubtful).startswith("The shift of 2026-01-25 does not fit the others: 20.00 h for 50.0 % of the charge")


def test_another_pack_begins_anew() -> None:
    worn = run_downs([0.85] * 10)
    fresh = [
        replace(each, at=each.at + timedelta(days=200), done_shifts=200 + each.done_shifts, is_new_pack=number == 0)
        for number, each in enumerate(run_downs([1.0] * 4))
    ]
    told = health(log_of([*worn, *fresh]))
    assert told.run_downs == 4
    assert len(told.trend) == 4
    band = told.of_new_band_fraction()
    assert band is not None
    assert band[1] == pytest.approx(1.0, abs=0.02)


def test_a_display_that_follows_the_pack_tells_wear_without_a_run_down() -> None:
    # The first shift of a new pack, then 4 h down to 3.6 h in 200 shifts.
    discharges = [
        discharge(number, used_fraction=2.0 / (4.0 - 0.002 * number), is_new_pack=number == 0) for number in range(200)
    ]
    told = health(log_of(discharges), scale_follows=True)
    assert told.now.full_pack_h == pytest.approx(3.6, rel=0.02)
    assert told.new_h == pytest.approx(4.0, rel=0.02)
    band = told.of_new_band_fraction()
    assert band is not None
    assert band[1] == pytest.approx(0.9, abs=0.02)
    left = told.shifts_until_worn()
    assert left is not None
    assert 100 < left.likely_shifts < 220
    # Where nobody saw it new, no share of new is told.
    unseen = [replace(each, is_new_pack=False) for each in discharges]
    assert health(log_of(unseen), scale_follows=True).of_new_band_fraction() is None


def test_a_date_is_so_many_shifts_off_at_the_usual_pace() -> None:
    # Five shifts in seven days: 100 shifts are 140 days.
    assert day_after(datetime(2026, 3, 2, 12), 100.0, 5 / (7 * 24)) == date(2026, 7, 20)


def test_what_no_pack_can_be_is_refused() -> None:
    told = health(log_of(PLAIN))
    for wrong in (0.0, -1.0, math.nan):
        with pytest.raises(BadInput, match="above zero"):
            told.chance_of_shift_fraction(wrong)
        with pytest.raises(BadInput, match="above zero"):
            told.shifts_until(wrong)
        with pytest.raises(BadInput, match="above zero"):
            told.shifts_until_worn(wrong)
        with pytest.raises(BadInput, match="above zero"):
            usual_scale_h(225.0, wrong)
        with pytest.raises(BadInput, match="above zero"):
            discharge(1, worked_h=wrong)
        with pytest.raises(BadInput, match="above zero"):
            Wander(growth_per_shift=wrong, drift_unrest_per_shift=0.0, level_unrest_ratio=0.0)
    with pytest.raises(BadInput, match="zero or below"):
        HealthPrior(drift_per_shift=1e-4)
    with pytest.raises(BadInput, match="enter at most"):
        HealthPrior(given_fraction=80.0)
    with pytest.raises(BadInput, match="below zero"):
        prior_by_age(0.5, 0.0, 1e-4, scale_h=None)
    with pytest.raises(BadInput, match="zero or more"):
        moved_on(
            begun(0.0, 1.0, 0.0, 1.0),
            np.array([1.0, -1.0]),
            Wander(growth_per_shift=0.003, drift_unrest_per_shift=0.0, level_unrest_ratio=0.0),
        )
    with pytest.raises(BadInput, match="zero or more"):
        day_after(BEGIN, -1.0, 0.04)
