"""Laws of the charging file: times stay in one night, prices cover it, units agree, charges gas within themselves."""

from datetime import date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.jobs.charging_needs import charge_needs
from scrubwright.paperwork.charging_times import homes_at, prices, ready_at
from scrubwright.paperwork.figure_ranges import AIR, CUBIC_METRES, Range, figure_within
from scrubwright.paperwork.packs import pack_from

PACKS = sorted((Path(__file__).parents[2] / "examples" / "packs").glob("*.toml"))
DAY = date(2026, 3, 10)
ONE_DAY = timedelta(days=1)
clocks = st.builds(time, st.integers(0, 23), st.integers(0, 59))


@given(st.lists(clocks, min_size=1, max_size=12))
def test_machines_come_home_within_one_day_and_the_first_on_the_day_asked_for(homes: list[time]) -> None:
    laid = homes_at(homes, DAY)
    assert [at.time() for at in laid] == homes
    assert min(laid).date() == DAY
    assert max(laid) - min(laid) < ONE_DAY


@given(st.lists(clocks, min_size=2, max_size=12, unique=True))
def test_a_night_begins_after_the_longest_stretch_without_a_machine(homes: list[time]) -> None:
    laid = sorted(homes_at(homes, DAY))
    idle = laid[0] + ONE_DAY - laid[-1]
    assert idle == max(idle, *(later - earlier for earlier, later in pairwise(laid)))


@given(clocks, clocks)
def test_ready_by_is_the_first_such_time_after_home(home: time, ready_by: time) -> None:
    home_at = datetime.combine(DAY, home)
    if home == ready_by:
        return
    found = ready_at("ready_by", ready_by, home_at)
    assert found.time() == ready_by
    assert timedelta(0) < found - home_at < ONE_DAY


@given(st.lists(clocks, min_size=1, max_size=6, unique=True), clocks, st.integers(1, 60))
def test_prices_follow_each_other_and_one_is_in_force_at_every_moment(
    begins: list[time], home: time, hours: int
) -> None:
    daily = [(at, float(number)) for number, at in enumerate(begins)]
    first_at = datetime.combine(DAY, home)
    last_at = first_at + timedelta(hours=hours)
    night = prices(daily, first_at, last_at)
    assert [each.from_at for each in night] == sorted({each.from_at for each in night})
    assert night[0].from_at <= first_at
    assert all(first_at < each.from_at < last_at for each in night[1:])
    assert {each.from_at.time() for each in night} <= set(begins)


@given(st.floats(2.0, 3000.0))
def test_us_units_and_metric_ones_are_the_same_figure(value: float) -> None:
    volume = Range(name="free_m3", kind=CUBIC_METRES, low=0.01, high=100_000)
    air = Range(name="air_m3_per_h", kind=AIR, low=0.01, high=100_000)
    metres = figure_within(volume, "x", f"{value:.4f} m³").value
    assert figure_within(volume, "x", f"{metres * 35.31466672:.4f} ft³").value == pytest.approx(metres, rel=1e-4)
    # A cubic foot each minute is sixty each hour.
    assert figure_within(air, "x", f"{value:.4f} cfm").value == pytest.approx(round(value, 4) * 60 / 35.31466672)


@pytest.mark.parametrize("path", PACKS, ids=lambda path: path.stem)
@given(charge_fraction=st.floats(0.0, 0.99), more_fraction=st.floats(0.0, 0.99))
def test_a_charge_gasses_within_itself_and_is_shorter_the_more_is_left(
    path: Path, charge_fraction: float, more_fraction: float
) -> None:
    paper = pack_from(path)
    assert paper.charger is not None
    emptier, fuller = sorted((charge_fraction, more_fraction))
    needs, less = (charge_needs(paper.pack, paper.charger, each) for each in (emptier, fuller))
    assert 0 <= needs.gassing_from_h <= needs.planned_h
    assert needs.before_gas_fraction is None or 0 <= needs.before_gas_fraction <= 1
    assert less.planned_h <= needs.planned_h + 1e-9
    assert less.energy.value <= needs.energy.value + 1e-9
