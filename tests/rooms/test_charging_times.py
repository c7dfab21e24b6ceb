"""Times of a charging file over midnight: which night is meant, and at which price."""

import re
from datetime import date, datetime

import pytest

from scrubwright.jobs.charging_answer import ChargingNight
from tests.rooms.charging_files import HALL, NOW, TWO, asked, changed, night_in, problem_in, read, told


def windows(night: ChargingNight) -> list[tuple[str, str]]:
    """From when until when each machine may charge, as day of the month and time."""
    return [(f"{each.home_at:%d %H:%M}", f"{each.ready_by:%d %H:%M}") for each in night.machines]


def test_a_night_runs_over_midnight() -> None:
    assert windows(night_in(read(TWO))) == [("10 22:00", "11 06:00")] * 2


def test_a_machine_that_comes_home_after_midnight_charges_the_same_night() -> None:
    reading = changed(TWO, ('name = "Narrow"', 'name = "Narrow"\nhome = "00:30"'))
    assert windows(night_in(reading)) == [("10 22:00", "11 06:00"), ("11 00:30", "11 06:00")]


def test_machines_may_charge_by_day() -> None:
    by_day = TWO.replace('"22:00"', '"09:00"').replace('"06:00"', '"15:00"')
    assert windows(night_in(read(by_day, now=datetime(2026, 3, 10, 8, 0)))) == [("10 09:00", "10 15:00")] * 2
    assert windows(night_in(read(by_day, now=datetime(2026, 3, 10, 15, 0)))) == [("11 09:00", "11 15:00")] * 2


@pytest.mark.parametrize(
    ("now", "begins"),
    [
        (datetime(2026, 3, 10, 17, 0), "10 22:00"),
        (datetime(2026, 3, 10, 23, 30), "10 22:00"),
        (datetime(2026, 3, 11, 5, 59), "10 22:00"),
        (datetime(2026, 3, 11, 6, 0), "11 22:00"),
    ],
)
def test_it_is_the_night_that_ends_next(now: datetime, begins: str) -> None:
    assert windows(night_in(read(TWO, now=now)))[0][0] == begins


def test_another_night_can_be_asked_for() -> None:
    assert windows(night_in(read(TWO, day=date(2026, 3, 20)))) == [("20 22:00", "21 06:00")] * 2


def test_a_time_with_its_day_stands_as_it_is() -> None:
    reading = changed(TWO, ('ready_by = "06:00"', 'ready_by = "2026-03-13 06:00"'))
    assert windows(night_in(reading)) == [("10 22:00", "13 06:00")] * 2


def test_times_may_be_written_as_toml_has_them() -> None:
    reading = changed(TWO, ('home = "22:00"', "home = 22:00:00"), ('"06:00"', "2026-03-11T07:00:00"))
    assert windows(night_in(reading)) == [("10 22:00", "11 07:00")] * 2


def test_prices_hold_from_their_hour_until_the_next_one_every_day() -> None:
    tariff = [(f"{each.from_at:%d %H:%M}", each.price_money_per_kwh) for each in night_in(read(HALL)).tariff]
    assert tariff == [("10 07:00", 0.31), ("10 22:00", 0.17)]


def test_a_price_that_holds_all_day_is_enough() -> None:
    text = HALL.replace('[[tariff]]\nbegins = "07:00"\nprice_per_kwh = 0.31\n', "")
    tariff = night_in(read(text)).tariff
    assert [each.price_money_per_kwh for each in tariff] == [0.17, 0.17]
    assert tariff[0].from_at < NOW


@pytest.mark.parametrize("key", ["home", "ready_by"])
def test_times_are_asked_of_each_machine_that_has_none_of_its_own(key: str) -> None:
    text = re.sub(f"^{key} = .*\n", "", TWO, flags=re.MULTILINE)
    assert asked(read(text)) == [f"machine 1.{key}", f"machine 2.{key}"]
    own = text.replace('name = "Wide"', f'name = "Wide"\n{key} = "23:00"')
    assert asked(read(own)) == [f"machine 2.{key}"]


def test_a_home_that_is_ready_at_once_is_refused() -> None:
    reading = changed(TWO, ('ready_by = "06:00"', 'ready_by = "22:00"'))
    assert told(reading.wrong)[0].startswith("machine 1.ready_by is 2026-03-")


def test_a_price_with_a_day_is_refused() -> None:
    reading = changed(HALL, ('begins = "22:00"', 'begins = "2026-03-10 22:00"'))
    assert problem_in(reading).startswith("tariff 2.begins has a day")


def test_two_prices_from_one_hour_are_refused() -> None:
    reading = changed(HALL, ('begins = "22:00"', 'begins = "07:00"'))
    assert problem_in(reading).startswith("The prices must follow each other in time")
