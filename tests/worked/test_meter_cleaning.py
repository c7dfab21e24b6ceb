"""Readings of hour meters judged by hand: what each way of reading them costs, and which is the least."""

from datetime import datetime, timedelta

import pytest

from scrubwright.wear.cleaning import Standing
from scrubwright.wear.meter_log import MeterLog, meter_log
from scrubwright.wear.meters import Counts, MeterDefinition, MeterReading, Ruling

BEGIN = datetime(2026, 3, 2, 16)
OK, OUT, ROLLED, NEW = Standing.ACCEPTED, Standing.DOES_NOT_FIT, Standing.ROLLED_OVER, Standing.NEW_METER


def log_of(hours: list[float], *, digits: int = 5, rulings: dict[int, Ruling] | None = None) -> MeterLog:
    """A meter read once a week, at these hours."""
    readings = [
        MeterReading(at=BEGIN + timedelta(weeks=week), value_h=value, ruling=(rulings or {}).get(week))
        for week, value in enumerate(hours)
    ]
    meter = MeterDefinition(counts=Counts.KEY, digits=digits, step_h=1.0)
    return meter_log(meter, readings, now=BEGIN + timedelta(weeks=len(hours)))


def standings(log: MeterLog) -> list[Standing]:
    return [each.standing for each in log.readings]


def run_h(log: MeterLog) -> list[float]:
    return [each.run_h for each in log.readings]


# Pace 20 h a week. A step of 20 costs nothing, setting aside 6, a new meter 9 (12 above 400 h), a roll-over 4.
def test_a_meter_of_four_digits_that_passes_9999_counts_on() -> None:
    # 9,990 to 12: (12 - 9,990) mod 10,000 = 22.
    log = log_of([9950.0, 9970.0, 9990.0, 12.0, 32.0], digits=4)
    assert standings(log) == [OK, OK, OK, ROLLED, OK]
    assert run_h(log) == [0.0, 20.0, 40.0, 62.0, 82.0]


def test_a_slip_in_the_middle_is_set_aside_and_the_hours_go_on() -> None:
    # 1,400 instead of 1,040: up 380 in a week would be 54 h a day, and down again is impossible. Aside: 6.
    log = log_of([1000.0, 1020.0, 1400.0, 1060.0, 1080.0])
    assert standings(log) == [OK, OK, OUT, OK, OK]
    assert run_h(log) == [0.0, 20.0, 20.0, 60.0, 80.0]
    assert log.question is None


def test_a_new_meter_is_seen_once_a_second_reading_follows_it() -> None:
    # Two set aside cost 12, a new meter at 5 h costs 9. Its step: a week at the usual pace, 20 h.
    log = log_of([1000.0, 1020.0, 1040.0, 5.0, 25.0])
    assert standings(log) == [OK, OK, OK, NEW, OK]
    assert run_h(log) == pytest.approx([0.0, 20.0, 40.0, 60.0, 80.0])
    assert log.question is None


def test_a_last_reading_that_falls_is_held_and_asked_about() -> None:
    # One set aside costs 6, a new meter 9.
    log = log_of([1000.0, 1020.0, 1040.0, 5.0])
    assert standings(log) == [OK, OK, OK, OUT]
    assert log.last is not None
    assert log.last.reading.value_h == 1040.0
    assert str(log.question).startswith("The reading 5.00 h of 2026-03-23 does not fit those before it. Was it")


def test_what_a_person_says_settles_it() -> None:
    hours = [1000.0, 1020.0, 1040.0, 5.0]
    new = log_of(hours, rulings={3: Ruling.NEW_METER})
    assert standings(new) == [OK, OK, OK, NEW]
    assert run_h(new)[-1] == pytest.approx(60.0)
    typo = log_of(hours, rulings={3: Ruling.MISTYPED})
    assert standings(typo) == [OK, OK, OK, Standing.MISTYPED]
    assert (new.question, typo.question) == (None, None)


def test_a_corrected_reading_counts_by_what_was_meant() -> None:
    readings = [MeterReading(at=BEGIN + timedelta(weeks=week), value_h=1000.0 + 20 * week) for week in range(4)]
    slip = MeterReading(at=BEGIN + timedelta(weeks=4), value_h=108.0, meant_h=1080.0)
    meter = MeterDefinition(counts=Counts.BRUSH)
    log = meter_log(meter, [slip, *readings], now=BEGIN + timedelta(weeks=5))
    assert log.readings[-1].reading.value_h == 108.0
    assert log.readings[-1].run_h == pytest.approx(80.0)


def test_a_reading_said_to_be_right_is_believed_however_odd_it_is() -> None:
    # 1,000 h more in a week cannot have been run, so a right reading there means another meter.
    log = log_of([1000.0, 1020.0, 1040.0, 2040.0], rulings={3: Ruling.RIGHT})
    assert standings(log) == [OK, OK, OK, NEW]
    # 100 h in a week are five times the usual pace, but can be.
    busy = log_of([1000.0, 1020.0, 1040.0, 1140.0], rulings={3: Ruling.RIGHT})
    assert standings(busy)[-1] is OK
    assert run_h(busy)[-1] == 140.0
