"""Due dates worked apart: hours left that are spread, a date of the calendar, days gone since the last reading."""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import betaprime

from scrubwright.wear.due_date import due_by_fraction, due_days, until_days
from scrubwright.wear.hours_left import HoursLeft, earliest_left, left_by_line, sure_left
from scrubwright.wear.usage import Usage

SHAPE, EVIDENCE, SEEN_H = 0.6, 16.4, 41.9
ONE = Usage(shape_per_day=SHAPE, evidence_ratio=np.array([EVIDENCE]), seen_h=np.array([SEEN_H]))
# Days of 10, 50 and 90 % for 50 h, see test_usage_numbers.py.
FIFTY_H = sure_left(np.array([50.0]))


def mixed_quantile(left_h: list[float], shares: list[float], chance: float) -> float:
    """Hours over seen hours are beta prime: the chance is its upper tail, added up over the values."""

    def over(days: float) -> float:
        tails = [betaprime.sf(max(left, 1e-12) / SEEN_H, SHAPE * days, EVIDENCE) for left in left_h]
        return float(np.dot(shares, tails)) - chance

    return float(brentq(over, 1e-6, 3000.0, xtol=1e-9))


@pytest.mark.parametrize("chance", [0.1, 0.5, 0.9])
def test_spread_hours_have_the_quantile_of_their_mixture(chance: float) -> None:
    left_h, shares = [20.0, 50.0, 140.0], [0.3, 0.5, 0.2]
    left = HoursLeft(left_h=np.array([left_h]), share_fraction=np.array([shares]))
    assert until_days(ONE, left, chance)[0] == pytest.approx(mixed_quantile(left_h, shares, chance), abs=0.01)


def test_two_limits_on_one_meter_share_its_hours() -> None:
    # A line of wear that says 40 or 80 h, and a limit of 60 h: due after 40 or 60 h, as likely each.
    line = HoursLeft(left_h=np.array([[40.0, 80.0]]), share_fraction=np.array([[0.5, 0.5]]))
    both = earliest_left(line, sure_left(np.array([60.0])))
    assert until_days(ONE, both, 0.5)[0] == pytest.approx(mixed_quantile([40.0, 60.0], [0.5, 0.5], 0.5), abs=0.01)


def test_what_may_never_come_has_no_late_end() -> None:
    # With a chance of 0.3 never: 80 % of the rest is due when its own chance is 0.5/0.7.
    left = HoursLeft(left_h=np.array([[50.0, np.inf]]), share_fraction=np.array([[0.7, 0.3]]))
    assert until_days(ONE, left, 0.5)[0] == pytest.approx(mixed_quantile([50.0], [1.0], 0.5 / 0.7), abs=0.01)
    assert until_days(ONE, left, 0.9)[0] == 3650.0


def test_a_part_that_may_be_worn_already_is_due_now_with_that_chance() -> None:
    left = HoursLeft(left_h=np.array([[-3.0, 50.0]]), share_fraction=np.array([[0.2, 0.8]]))
    assert until_days(ONE, left, 0.1)[0] == 0.0
    # Half: 0.2 + 0.8 x = 0.5, x = 0.375.
    assert until_days(ONE, left, 0.5)[0] == pytest.approx(mixed_quantile([50.0], [1.0], 0.375), abs=0.01)


def test_the_earlier_of_calendar_and_meter_counts() -> None:
    # Read on day 100, told on day 110: 50 h more come on days 120.2, 132.5 and 147.9; the calendar says day 140.
    told = due_days(ONE, FIFTY_H, read_days=np.array([100.0]), today_days=110.0, calendar_due_days=np.array([140.0]))
    assert told.low_days[0] == pytest.approx(120.2, abs=0.05)
    assert told.likely_days[0] == pytest.approx(132.5, abs=0.05)
    assert told.high_days[0] == 140.0


def test_what_should_have_come_since_the_last_reading_is_due_today() -> None:
    told = due_days(ONE, FIFTY_H, read_days=np.array([100.0]), today_days=135.0)
    assert (told.low_days[0], told.likely_days[0]) == (135.0, 135.0)
    assert told.high_days[0] == pytest.approx(147.9, abs=0.05)


def test_the_chance_of_being_due_by_a_day_agrees_with_the_dates() -> None:
    day = 100.0 + float(until_days(ONE, FIFTY_H, 0.9)[0])
    assert due_by_fraction(ONE, FIFTY_H, read_days=np.array([100.0]), by_days=day)[0] == pytest.approx(0.9, abs=1e-6)
    by_calendar = due_by_fraction(
        ONE, FIFTY_H, read_days=np.array([100.0]), by_days=101.0, calendar_due_days=np.array([101.0])
    )
    assert by_calendar[0] == 1.0


def test_a_line_of_wear_gives_fifteen_values_less_the_hours_run_since() -> None:
    # Hours as likely anywhere from 280 to 380, at the chances 1/30, 3/30, ... 29/30; 30 run since.
    left = left_by_line(lambda chance: 280.0 + 100.0 * chance, run_since_h=30.0)
    assert left.left_h[0].tolist() == pytest.approx([250.0 + 100.0 * (2 * n + 1) / 30 for n in range(15)])
    assert float(np.sum(left.left_h * left.share_fraction)) == pytest.approx(300.0)
