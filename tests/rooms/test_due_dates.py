"""Due dates: open days, bands held against the past, and what is refused."""

from datetime import date

import numpy as np
import pytest

from scrubwright.measures.errors import BadInput
from scrubwright.wear.band_factors import NEUTRAL, BandFactors, PastDue, learned_factors, past_due
from scrubwright.wear.cleaning import cleaned
from scrubwright.wear.due_date import due_days
from scrubwright.wear.hours_left import HoursLeft, earliest_left, left_by_line, sure_left
from scrubwright.wear.meters import MeterBatch
from scrubwright.wear.open_days import ClosedSpell, open_days
from scrubwright.wear.ratio import MachineRatio, left_by_key
from scrubwright.wear.usage import OPEN_DAYS_PRIOR, Usage, UsagePrior, usage_at_each
from scrubwright.wear.wear_line import Measured, wear_line

# Mondays to Fridays, and two weeks closed in August 2026.
WORKING = (True, True, True, True, True, False, False)
CLOCK = open_days(
    start=date(2026, 7, 27),
    end=date(2026, 12, 31),
    weekdays=WORKING,
    closed=[ClosedSpell(first=date(2026, 8, 3), last=date(2026, 8, 16))],
)


def test_closed_days_push_a_due_date_out() -> None:
    # So even a pace that five open days give ten hours: from Monday 27 July, seven open days end on 18 August.
    even = Usage(shape_per_day=1e4, evidence_ratio=np.array([1e8]), seen_h=np.array([2e4]))
    told = due_days(even, sure_left(np.array([14.0])), read_days=np.zeros(1), today_days=0.0, clock=CLOCK)
    # 14 h at 2 h a day; day 0 is 27 July, the end of 18 August is day 23.
    assert told.likely_days[0] == pytest.approx(23.0, abs=0.05)


def test_open_days_are_counted_from_any_time_of_a_day() -> None:
    at = np.array([0.5, 5.0, 7.0, 21.0, 21.5])
    assert CLOCK.open_at_days(at).tolist() == pytest.approx([0.5, 5.0, 5.0, 5.0, 5.5])


def test_calendars_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadInput, match="end before they begin"):
        ClosedSpell(first=date(2026, 8, 3), last=date(2026, 8, 1))
    with pytest.raises(BadInput, match="at least one of them open"):
        open_days(start=date(2026, 1, 1), end=date(2027, 1, 1), weekdays=(False,) * 7)
    with pytest.raises(BadInput, match="ends before it begins"):
        open_days(start=date(2026, 1, 1), end=date(2026, 1, 1))


def test_hours_left_must_come_with_their_shares() -> None:
    with pytest.raises(BadInput, match="must be 1 together"):
        HoursLeft(left_h=np.ones((1, 2)), share_fraction=np.full((1, 2), 0.4))
    with pytest.raises(BadInput, match="different lengths"):
        HoursLeft(left_h=np.full((1, 2), np.nan), share_fraction=np.full((1, 2), 0.5))
    two = Usage(shape_per_day=0.6, evidence_ratio=np.ones(2), seen_h=np.ones(2))
    with pytest.raises(BadInput, match="one meter for each item"):
        due_days(two, sure_left(np.ones(1)), read_days=np.zeros(2), today_days=0.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_a_pace_of_nothing_is_refused(bad: float) -> None:
    with pytest.raises(BadInput):
        UsagePrior(shape_per_day=bad, half_life_days=30.0, prior_days=3.0, prior_h_per_day=2.0)
    assert OPEN_DAYS_PRIOR.shape_per_day > 0


def past(came_days: np.ndarray[tuple[int], np.dtype[np.float64]]) -> PastDue:
    """Dates told 20 days ahead, from 10 to 40, and when they came."""
    count = len(came_days)
    return PastDue(
        low_days=np.full(count, 10.0),
        likely_days=np.full(count, 20.0),
        high_days=np.full(count, 40.0),
        came_days=came_days,
    )


def test_bands_twice_too_wide_are_narrowed_in_their_bucket_alone() -> None:
    # What came spreads over half of the logarithm: 80 % inside 20 / sqrt 2 to 20 × sqrt 2.
    rng = np.random.default_rng(5)
    sd = np.log(2.0) / 2 / 1.2816
    came = past(20.0 * np.exp(rng.normal(0, sd, 2000)))
    factors = learned_factors(came)
    assert factors.early_ratio[2] == pytest.approx(0.5, abs=0.05)
    assert factors.late_ratio[2] == pytest.approx(0.5, abs=0.05)
    assert [factors.early_ratio[bucket] for bucket in (0, 1, 3, 4)] == [1.0] * 4
    # Days are whole, so the share is a little above 80 %.
    assert came.inside_fraction() > 0.97
    assert came.inside_fraction(factors) == pytest.approx(0.82, abs=0.03)


def test_the_past_of_an_even_machine_came_when_its_pace_said() -> None:
    # 14 h a week, read for three years: whatever is 2 h a day times the days asked for came after those days.
    weeks = 157
    batch = MeterBatch(
        at_days=np.array([[7.0 * week for week in range(weeks)]]),
        value_h=np.array([[14.0 * week for week in range(weeks)]]),
        rulings=np.zeros((1, weeks), dtype=np.int8),
        lengths=np.array([weeks]),
        rolls_at_h=np.array([1e5]),
        step_h=np.array([1.0]),
    )
    clean = cleaned(batch, now_days=7.0 * weeks)
    told = past_due(batch, clean, usage_at_each(batch, clean))
    assert sorted(set(np.round(told.came_days, 6).tolist())) == [4.0, 10.0, 20.0, 42.0, 80.0, 120.0]
    assert told.inside_fraction() == 1.0
    # Every third of 156 readings, as far as 2.5 × 4 days are known after it.
    assert int(np.sum(np.isclose(told.came_days, 4.0))) == 51


def test_a_seldom_read_meter_and_a_key_limit_on_one_item_share_the_key_hours() -> None:
    sharp = MachineRatio(mean_ratio=np.array([0.7]), sd_ratio=np.array([1e-9]))
    by_brush = left_by_key(np.array([70.0]), sharp, key_since_h=np.array([0.0]))
    both = earliest_left(by_brush, sure_left(np.array([60.0])))
    assert np.allclose(both.left_h, 60.0)


def test_a_line_of_wear_gives_a_date() -> None:
    # 60 mm to 46 mm in 220 h, limit 25 mm: 330 h. At 10 h a day without a break, 30 h since the measurement: 30 days.
    line = wear_line([Measured(at_h=0.0, left_m=0.060), Measured(at_h=220.0, left_m=0.046)], limit_m=0.025)
    even = Usage(shape_per_day=1e4, evidence_ratio=np.array([1e8]), seen_h=np.array([1e5]))
    left = left_by_line(line.left_at_h, run_since_h=30.0)
    told = due_days(even, left, read_days=np.array([100.0]), today_days=100.0)
    assert told.likely_days[0] == pytest.approx(130.0, abs=0.1)
    low_h, high_h = line.band_h
    assert told.low_days[0] == pytest.approx(100.0 + (low_h - 30.0) / 10.0, abs=0.1)
    assert told.high_days[0] == pytest.approx(100.0 + (high_h - 30.0) / 10.0, abs=0.1)


def test_fewer_than_thirty_dates_teach_nothing() -> None:
    assert learned_factors(past(np.full(29, 20.0))) == NEUTRAL
    assert learned_factors(past(np.full(30, 20.0))) != NEUTRAL


def test_dates_that_never_came_count_as_too_late() -> None:
    never = past(np.full(100, np.inf))
    assert never.inside_fraction() == 0.0
    assert learned_factors(never).late_ratio[2] == 4.0


def test_factors_of_another_count_are_refused() -> None:
    with pytest.raises(BadInput, match="Give 5 factors"):
        BandFactors(early_ratio=(1.0,), late_ratio=(1.0,) * 5)
