"""A machine as it stands tonight, from its papers and its readings."""

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import pytest

from scrubwright.battery.visit import Visit
from scrubwright.jobs.shift_question import Rate, Rates
from scrubwright.jobs.shift_tonight import Tonight, tonight
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.plates import plate_from
from scrubwright.paperwork.readings import read_readings

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def plate() -> Plate:
    return plate_from(EXAMPLES / "plates" / "mid_cylindrical_080.toml")


@cache
def papers(name: str) -> tuple[PackPaper, tuple[Visit, ...]]:
    paper = pack_from(EXAMPLES / "packs" / f"{name}.toml")
    readings = read_readings(EXAMPLES / "readings" / f"{name}.csv", paper, today=datetime(2026, 12, 1).date())
    return paper, readings.visits


def stands(name: str, *, after: timedelta = timedelta(0), charge: float | None = None, read: bool = True) -> Tonight:
    paper, visits = papers(name)
    at = max(visit.at for visit in visits) + after
    return tonight(plate(), paper.pack, paper.charger, visits if read else (), at=at, charge_fraction=charge)


def test_the_charge_comes_from_the_newest_reading_and_says_when() -> None:
    found = stands("market_hall_36v")
    assert found.machine.charge_fraction == pytest.approx(0.30, abs=0.01)
    assert found.machine.charge_sd_fraction < 0.03
    assert str(found.told[0]) == "Charge as read on 2026-04-08, after work: 29.9 %."


def test_a_typed_charge_counts_before_the_reading() -> None:
    found = stands("market_hall_36v", charge=0.9)
    assert found.machine.charge_fraction == 0.9
    assert not any("Charge as read" in str(each) for each in found.told)


def test_health_resistance_and_warmth_are_read_beside_a_typed_charge() -> None:
    machine = stands("market_hall_36v", charge=0.9).machine
    # The log's hours of a full pack fell from 3.0 to 2.4.
    assert machine.health_ratio == pytest.approx(2.4 / 3.0, abs=0.03)
    assert 0.03 < machine.health_sd_ratio < 0.2
    assert machine.resistance_ohm == pytest.approx(0.0158, abs=0.0002)
    assert machine.electrolyte_k == pytest.approx(294.75)


def test_without_readings_a_pack_is_taken_as_new_with_a_wide_band() -> None:
    machine = stands("market_hall_36v", charge=0.9, read=False).machine
    assert (machine.health_ratio, machine.health_sd_ratio) == (1.0, 0.08)
    assert machine.resistance_ohm == pytest.approx(0.014)
    assert machine.electrolyte_k is None


def test_a_lagging_cell_is_told_with_the_charge_at_which_it_is_flat() -> None:
    told = " ".join(str(each) for each in stands("market_hall_36v", charge=0.9).told)
    assert "The weakest cell is flat while the whole pack still holds 14.7 %" in told


@pytest.mark.parametrize("days", [4, 40])
def test_a_reading_of_days_ago_tells_no_charge(days: int) -> None:
    with pytest.raises(BadInput, match=f"The last reading is {days} days older than the start"):
        stands("market_hall_36v", after=timedelta(days=days))
    old = stands("market_hall_36v", after=timedelta(days=days), charge=0.9).machine
    assert old.electrolyte_k is None
    assert old.health_ratio < 0.9


def test_no_reading_at_all_asks_for_the_charge() -> None:
    with pytest.raises(BadInput, match="The readings do not tell how much charge is left"):
        stands("market_hall_36v", read=False)


def test_a_lithium_pack_is_read_by_its_display() -> None:
    machine = stands("mid_lithium_36v").machine
    assert (machine.charge_fraction, machine.electrolyte_k) == (0.26, None)


def test_readings_of_the_future_are_refused() -> None:
    with pytest.raises(BadInput, match="lie in the future"):
        stands("market_hall_36v", after=timedelta(days=-2))


def test_the_rates_of_a_log_are_taken_over() -> None:
    paper, visits = papers("market_hall_36v")
    rates = Rates(scrubbing=Rate(factor_ratio=1.2, shifts=5))
    at = max(visit.at for visit in visits)
    found = tonight(plate(), paper.pack, None, visits, at=at, charge_fraction=0.8, rates=rates)
    assert found.machine.rates == rates
    assert found.machine == replace(stands("market_hall_36v", charge=0.8).machine, charger=None, rates=rates)
