"""Laws of the due list: no negative hours, bands in order, more hours never later, the calendar's sequence."""

from datetime import datetime, timedelta

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scrubwright.catalogue.checks import Occasion, WornBy
from scrubwright.jobs.due_answer import DueAnswer, Standing
from scrubwright.jobs.due_lives import calendar_fraction
from scrubwright.jobs.due_question import Change, Happened, MachineMeter
from scrubwright.jobs.due_rows import due_rows
from scrubwright.jobs.what_is_due import what_is_due
from scrubwright.jobs.what_to_carry import what_to_carry
from scrubwright.paperwork.due_calendar import CalendarEntry, calendar_entries
from scrubwright.paperwork.due_text import STRIP, strip
from scrubwright.paperwork.wording import Teller
from scrubwright.wear.meters import Counts, MeterDefinition, MeterReading, Ruling
from tests.rooms.due_example import NOW, catalogue, check, item, machine, meter, question
from tests.rooms.test_what_to_carry import MID

LINES = catalogue(
    item("brush", life_h=(150.0, 400.0), limit_m=0.012),
    item("blade", meter=WornBy.VACUUM, life_h=(30.0, 120.0), life_days=(90, 180)),
    item("grease", meter=WornBy.KEY, life_h=(100.0, 200.0)),
    item("hose", meter=WornBy.CALENDAR, life_h=None, life_days=(365, 1095)),
    checks=[check("a", Occasion.WEEKLY), check("b", Occasion.BY_HOURS, every_h=250.0)],
)
READING = st.builds(
    MeterReading,
    at=st.datetimes(min_value=datetime(2025, 6, 1), max_value=datetime(2026, 5, 1)),
    value_h=st.floats(0.0, 120_000.0),
    ruling=st.sampled_from([None, None, None, *Ruling]),
)
METERS = st.lists(
    st.builds(
        MachineMeter,
        meter=st.builds(MeterDefinition, counts=st.sampled_from(list(Counts)), digits=st.integers(3, 5)),
        readings=st.lists(READING, max_size=12).map(tuple),
    ),
    max_size=4,
    unique_by=lambda each: each.meter.counts,
)
CHANGES = st.lists(
    st.builds(
        Change,
        line=st.sampled_from(["brush", "blade", "grease", "hose", "weekly", "nothing"]),
        at=st.datetimes(min_value=datetime(2025, 6, 1), max_value=datetime(2026, 5, 1)),
        happened=st.sampled_from(list(Happened)),
        meter_h=st.one_of(st.none(), st.floats(0.0, 9_000.0)),
        measured_m=st.floats(0.0, 0.08),
    ),
    max_size=8,
)


def told(meters: list[MachineMeter], changes: list[Change]) -> DueAnswer:
    return what_is_due(question(machine(*meters, changes=changes), LINES))


BEGUN = datetime(2025, 6, 1)
DONE_AFTER_THE_LAST_READING = (
    [
        MachineMeter(
            meter=MeterDefinition(counts=Counts.KEY, digits=3), readings=(MeterReading(at=BEGUN, value_h=0.0),) * 2
        )
    ],
    [
        Change(line="blade", at=BEGUN, happened=Happened.DONE, meter_h=0.0),
        Change(line="blade", at=BEGUN + timedelta(microseconds=1), happened=Happened.DONE, meter_h=1.0),
    ],
)


@settings(max_examples=60, deadline=None)
@given(meters=METERS, changes=CHANGES)
@example(*DONE_AFTER_THE_LAST_READING)
def test_whatever_is_written_hours_never_run_backwards_and_every_line_has_its_day(
    meters: list[MachineMeter], changes: list[Change]
) -> None:
    answer = told(meters, changes)
    assert {each.line.identity for each in answer.items} == {"brush", "blade", "grease", "hose", "a", "b"}
    for each in answer.items:
        assert each.run_h is None or each.run_h >= 0
        assert each.days.low is None or each.days.high is None or each.days.low <= each.days.value <= each.days.high
        assert 0 <= each.due_fraction <= 1
        assert (each.standing is Standing.OVERDUE) or each.days.value > -1
        assert each.last_done is None or each.last_done <= answer.day
    for stand in answer.meters:
        assert stand.pace_h_per_day >= 0
        assert stand.last_day is None or stand.last_day <= answer.day


@settings(max_examples=30, deadline=None)
@given(meters=METERS, changes=CHANGES)
def test_rows_hold_every_line_once_and_each_strip_has_its_length(
    meters: list[MachineMeter], changes: list[Change]
) -> None:
    answer = told(meters, changes)
    rows = due_rows(answer)
    held = sorted(each.line.identity for row in rows for each in row.items)
    assert held == sorted(each.line.identity for each in answer.items)
    assert {len(strip(answer, row)) for row in rows} == {STRIP}


@settings(max_examples=30, deadline=None)
@given(since_days=st.integers(1, 90), more_days=st.integers(1, 9))
def test_what_was_done_later_is_due_later(since_days: int, more_days: int) -> None:
    by = catalogue(item("brush", life_h=(150.0, 400.0)))
    earlier, later = (
        what_is_due(question(machine(meter(), changes=[Change(line="brush", at=NOW - timedelta(days=days))]), by))
        for days in (since_days + more_days, since_days)
    )
    assert later.items[0].days.value >= earlier.items[0].days.value - 0.02
    assert later.items[0].due_fraction <= earlier.items[0].due_fraction + 1e-9


@settings(max_examples=20, deadline=None)
@given(slow=st.floats(0.3, 3.0), faster=st.floats(0.2, 3.0))
def test_a_busier_machine_is_due_earlier(slow: float, faster: float) -> None:
    by = catalogue(item("brush", life_h=(300.0, 900.0)))
    told = [Change(line="brush", at=NOW - timedelta(days=20))]
    one, other = (
        what_is_due(question(machine(meter(pace_h_per_day=pace), changes=told), by)).items[0].days.value
        for pace in (slow, slow + faster)
    )
    assert other <= one + 0.02


@given(
    life_days=st.tuples(st.integers(1, 400), st.integers(0, 800)).map(lambda ends: (ends[0], sum(ends))),
    age_days=st.floats(-10.0, 2000.0),
    more_days=st.floats(0.0, 500.0),
)
def test_the_chance_by_the_calendar_only_rises(life_days: tuple[int, int], age_days: float, more_days: float) -> None:
    first, then = (calendar_fraction(life_days, days) for days in (age_days, age_days + more_days))
    assert 0 <= first <= then <= 1


def test_a_range_is_the_band_of_eight_in_ten() -> None:
    assert calendar_fraction((90, 160), 90.0) == pytest.approx(0.1)
    assert calendar_fraction((90, 160), 120.0) == pytest.approx(0.5)
    assert calendar_fraction((90, 160), 160.0) == pytest.approx(0.9)


@settings(max_examples=30, deadline=None)
@given(days=st.lists(st.integers(0, 60), min_size=1, max_size=6))
def test_the_sequence_counts_the_days_on_which_a_date_moved(days: list[int]) -> None:
    by = catalogue(item("hose", meter=WornBy.CALENDAR, life_h=None, life_days=(100, 100)))
    before: dict[str, CalendarEntry] = {}
    moves, last = 0, None
    for number, day in enumerate(days):
        changes = [Change(line="hose", at=NOW - timedelta(days=day))]
        answer = what_is_due(question(machine(changes=changes), by))
        (entry,) = calendar_entries((answer,), before, NOW + timedelta(hours=number), Teller())
        moves += last is not None and last != day
        assert entry.sequence == moves
        assert not before or set(before) == {entry.uid}
        before, last = {entry.uid: entry}, day


@settings(max_examples=30, deadline=None)
@given(low=st.floats(0.05, 0.9), more=st.floats(0.0, 0.09), ages=st.lists(st.integers(1, 300), min_size=1, max_size=4))
def test_a_higher_level_of_service_never_asks_for_fewer_pieces(low: float, more: float, ages: list[int]) -> None:
    by = catalogue(item("hose", meter=WornBy.CALENDAR, life_h=None, life_days=(100, 300)))
    answers = [
        what_is_due(question(machine(name=str(n), changes=[Change(line="hose", at=NOW - timedelta(days=age))]), by))
        for n, age in enumerate(ages)
    ]
    fewer, greater = (
        sum(line.pieces for line in what_to_carry(answers, [MID] * len(ages), level_fraction=level).lines)
        for level in (low, low + more)
    )
    assert fewer <= greater <= len(ages)
