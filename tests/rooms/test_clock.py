"""Times of day and shares as people type them."""

from datetime import date, datetime

import pytest

from scrubwright.cli.clock import day_of, end_at, start_at
from scrubwright.cli.shares import share_fraction
from scrubwright.measures.errors import BadInput

NOW = datetime(2026, 3, 10, 17, 20, 45)


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("21:30", datetime(2026, 3, 10, 21, 30)),
        ("9.05", datetime(2026, 3, 11, 9, 5)),
        ("17h20", datetime(2026, 3, 10, 17, 20)),
        ("17:19", datetime(2026, 3, 11, 17, 19)),
        ("00:00", datetime(2026, 3, 11)),
        ("2026-02-01 06:15", datetime(2026, 2, 1, 6, 15)),
        ("2026-02-01T06:15", datetime(2026, 2, 1, 6, 15)),
    ],
)
def test_a_start_is_the_next_such_time_unless_its_day_is_given(text: str, at: datetime) -> None:
    assert start_at("--start", text, NOW) == at


def test_a_start_on_a_given_day_may_lie_behind() -> None:
    assert start_at("--start", "21:30", NOW, date(2026, 3, 1)) == datetime(2026, 3, 1, 21, 30)


@pytest.mark.parametrize("text", ["", "24:00", "7", "21:60", "half nine", "2026-03-10", "2026-13-01 10:00", "930"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="enter a time of day such as 21:30"):
        start_at("--start", text, NOW)


def test_a_time_with_its_zone_is_refused_since_the_clock_on_the_wall_counts() -> None:
    with pytest.raises(BadInput, match="enter a time of day"):
        start_at("--start", "2026-03-10T21:30+02:00", NOW)


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("05:30", datetime(2026, 3, 11, 5, 30)),
        ("21:31", datetime(2026, 3, 10, 21, 31)),
        ("13:30", datetime(2026, 3, 11, 13, 30)),
        ("2026-03-11 21:00", datetime(2026, 3, 11, 21, 0)),
        ("2026-03-10 05:30", datetime(2026, 3, 10, 5, 30)),
    ],
)
def test_an_end_is_the_first_such_time_after_the_start_unless_its_day_is_given(text: str, at: datetime) -> None:
    assert end_at("--dry-by", text, datetime(2026, 3, 10, 21, 30)) == at


@pytest.mark.parametrize("text", ["21:30", "21:29", "13:31"])
def test_an_end_that_was_likely_meant_before_the_start_asks_for_its_day(text: str) -> None:
    with pytest.raises(BadInput, match=f'such as "2026-03-11 {text}"'):
        end_at("--dry-by", text, datetime(2026, 3, 10, 21, 30))


def test_a_day_is_typed_year_first() -> None:
    assert day_of("--day", "2026-03-10") == date(2026, 3, 10)
    with pytest.raises(BadInput, match="enter a day such as 2026-01-31"):
        day_of("--day", "10.3.2026")


@pytest.mark.parametrize(("text", "share"), [("0.85", 0.85), ("0,85", 0.85), ("85%", 0.85), ("85 %", 0.85), ("1", 1.0)])
def test_a_share_is_typed_as_a_part_or_in_percent(text: str, share: float) -> None:
    assert share_fraction("--charge", text) == pytest.approx(share)


@pytest.mark.parametrize("text", ["1.4", "140%", "85", "-0.1", "-5 %", "", "%", "nan", "inf", "0.8.5", "85 percent"])
def test_what_is_no_share_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="enter a share from 0 to 1 such as"):
        share_fraction("--charge", text)
