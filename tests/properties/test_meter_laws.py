"""Hour meters, whatever is written down: hours never fall, and forecasts behave."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrubwright.wear.band_factors import BandFactors
from scrubwright.wear.cleaning import STANDINGS, Standing, cleaned
from scrubwright.wear.due_date import until_days
from scrubwright.wear.hours_left import HoursLeft, sure_left
from scrubwright.wear.meters import RULINGS, MeterBatch
from scrubwright.wear.open_days import ClosedSpell, open_days
from scrubwright.wear.usage import HORIZON_DAYS, Usage, usage_at_each

Row = list[tuple[float, float, int]]
# Days since the reading before, what was written down, and what a person says.
READINGS: st.SearchStrategy[Row] = st.lists(
    st.tuples(
        st.sampled_from([0.0, 0.2, 1.0, 7.0, 40.0]),
        st.one_of(st.floats(0, 200), st.floats(0, 120_000), st.sampled_from([0.0, 9_990.0, 9_999.9, 10_000.0])),
        st.sampled_from([0] * 5 + list(range(len(RULINGS)))),
    ),
    max_size=14,
)
FLEETS = st.lists(st.tuples(READINGS, st.sampled_from([1e3, 1e4, 1e5]), st.sampled_from([0.1, 1.0])), max_size=5)


def batch_of(fleet: list[tuple[Row, float, float]]) -> MeterBatch:
    longest = max((len(row) for row, _, _ in fleet), default=0)
    at_days, value_h = np.zeros((len(fleet), longest)), np.zeros((len(fleet), longest))
    rulings = np.zeros((len(fleet), longest), dtype=np.int8)
    for number, (row, _, _) in enumerate(fleet):
        at_days[number, : len(row)] = np.cumsum([gap for gap, _, _ in row])
        value_h[number, : len(row)] = [value for _, value, _ in row]
        rulings[number, : len(row)] = [ruling for _, _, ruling in row]
    return MeterBatch(
        at_days=at_days,
        value_h=value_h,
        rulings=rulings,
        lengths=np.array([len(row) for row, _, _ in fleet], dtype=np.int64),
        rolls_at_h=np.array([rolls for _, rolls, _ in fleet]),
        step_h=np.array([step for _, _, step in fleet]),
    )


@given(fleet=FLEETS, now_days=st.floats(0, 400))
@settings(max_examples=300)
def test_hours_never_fall_and_never_outrun_the_clock(fleet: list[tuple[Row, float, float]], now_days: float) -> None:
    batch = batch_of(fleet)
    clean = cleaned(batch, now_days=now_days)
    more = np.diff(clean.run_h, axis=1)
    assert np.all(more >= 0)
    assert np.all(clean.run_h >= 0)
    # 24 h a day, a quarter of a day of slack and the meter's step for each reading.
    readings = np.arange(batch.at_days.shape[1])
    passed = np.where(batch.is_there, batch.at_days - batch.at_days[:, :1], np.inf)
    assert np.all(clean.run_h <= 24.0 * (passed + 0.25 * readings) + batch.step_h[:, None] * readings + 1e-6)


@given(fleet=FLEETS, now_days=st.floats(0, 400))
def test_no_reading_is_dropped_and_rulings_win(fleet: list[tuple[Row, float, float]], now_days: float) -> None:
    batch = batch_of(fleet)
    clean = cleaned(batch, now_days=now_days)
    assert np.array_equal(clean.standing > 0, batch.is_there)
    for meter, (row, rolls, _) in enumerate(fleet):
        is_first = True
        for place, (_, value, ruling) in enumerate(row):
            standing, said = STANDINGS[clean.standing[meter, place]], RULINGS[ruling]
            if batch.at_days[meter, place] > now_days:
                assert standing is Standing.IN_THE_FUTURE
            elif said == "mistyped":
                assert standing is Standing.MISTYPED
            elif value >= rolls:
                assert standing is Standing.TOO_MANY_DIGITS
            elif said == "right":
                assert standing in {Standing.ACCEPTED, Standing.ROLLED_OVER, Standing.NEW_METER}
            elif said == "new meter":
                # The first of all begins the count, whatever it is.
                assert standing is (Standing.ACCEPTED if is_first else Standing.NEW_METER)
            is_first = is_first and standing not in {Standing.ACCEPTED, Standing.ROLLED_OVER, Standing.NEW_METER}


@given(fleet=FLEETS)
def test_many_meters_at_once_are_judged_as_each_alone(fleet: list[tuple[Row, float, float]]) -> None:
    together = cleaned(batch_of(fleet), now_days=1e4)
    for number, one in enumerate(fleet):
        alone = cleaned(batch_of([one]), now_days=1e4)
        count = len(one[0])
        assert np.array_equal(alone.standing[0, :count], together.standing[number, :count])
        assert alone.run_h[0, :count] == pytest.approx(together.run_h[number, :count])


@given(start_h=st.floats(0, 9_000), weeks=st.lists(st.floats(5, 40), min_size=2, max_size=30))
def test_clean_readings_are_all_believed(start_h: float, weeks: list[float]) -> None:
    row = [(7.0, start_h + more, 0) for more in np.cumsum(weeks).tolist()]
    clean = cleaned(batch_of([(row, 1e5, 0.1)]), now_days=1e4)
    assert {STANDINGS[code] for code in clean.standing[0]} == {Standing.ACCEPTED}
    assert clean.run_h[0, -1] == pytest.approx(sum(weeks[1:]))


USAGES = st.tuples(st.floats(0.3, 1.5), st.floats(1.0, 60.0), st.floats(1.0, 300.0))


@given(known=USAGES, left_h=st.floats(0.01, 2000), chance=st.floats(0.02, 0.98))
def test_day_and_chance_are_each_other_turned_round(
    known: tuple[float, float, float], left_h: float, chance: float
) -> None:
    usage = Usage(shape_per_day=known[0], evidence_ratio=np.array([known[1]]), seen_h=np.array([known[2]]))
    days = usage.days(np.array([left_h]), chance)
    if days[0] < HORIZON_DAYS:
        assert usage.passed_fraction(np.array([left_h]), days)[0] == pytest.approx(chance, abs=1e-6)


@given(
    known=USAGES,
    left_h=st.lists(st.floats(-50, 2000), min_size=2, max_size=6),
    less_h=st.floats(0, 500),
    chances=st.tuples(st.floats(0.02, 0.98), st.floats(0.02, 0.98)),
)
def test_fewer_hours_left_and_smaller_chances_come_earlier(
    known: tuple[float, float, float], left_h: list[float], less_h: float, chances: tuple[float, float]
) -> None:
    usage = Usage(shape_per_day=known[0], evidence_ratio=np.array([known[1]]), seen_h=np.array([known[2]]))
    share = np.full((1, len(left_h)), 1 / len(left_h))
    left = HoursLeft(left_h=np.array([left_h]), share_fraction=share)
    sooner = HoursLeft(left_h=np.array([left_h]) - less_h, share_fraction=share)
    slack = 0.02
    assert until_days(usage, sooner, 0.5)[0] <= until_days(usage, left, 0.5)[0] + slack
    assert until_days(usage, left, min(chances))[0] <= until_days(usage, left, max(chances))[0] + slack
    # Between those of its least and its greatest value.
    ends = [until_days(usage, sure_left(np.array([end])), 0.5)[0] for end in (min(left_h), max(left_h))]
    assert ends[0] - slack <= until_days(usage, left, 0.5)[0] <= ends[1] + slack


@given(fleet=FLEETS)
def test_whatever_was_written_down_a_pace_is_known(fleet: list[tuple[Row, float, float]]) -> None:
    batch = batch_of(fleet)
    usage = usage_at_each(batch, cleaned(batch, now_days=1e4))
    assert np.all(np.isfinite(usage.pace_h_per_day))
    assert np.all(usage.pace_h_per_day > 0)


CLOSED = st.lists(st.tuples(st.integers(0, 300), st.integers(0, 30)), max_size=4)
WEEKDAYS = st.tuples(*[st.booleans()] * 7).filter(any)


@given(weekdays=WEEKDAYS, closed=CLOSED, at=st.floats(-5, 380), ahead=st.floats(0.01, 60))
def test_the_clock_of_open_days_turns_back_to_the_calendar(
    weekdays: tuple[bool, ...], closed: list[tuple[int, int]], at: float, ahead: float
) -> None:
    start = date(2026, 1, 1)
    spells = [
        ClosedSpell(first=start + timedelta(days=begin), last=start + timedelta(days=begin + length))
        for begin, length in closed
    ]
    clock = open_days(start=start, end=date(2027, 1, 1), weekdays=weekdays, closed=spells)
    now, later = clock.open_at_days(np.array([at, at + ahead]))
    # It never runs faster than the calendar.
    assert 0 <= later - now <= ahead + 1e-9
    due = clock.calendar_days(np.array([now + ahead]))
    assert due[0] >= at + ahead - 1e-6
    assert clock.open_at_days(due)[0] == pytest.approx(now + ahead, abs=1e-6)


@given(
    likely=st.floats(0.1, 400),
    parts=st.tuples(st.floats(0.05, 1.0), st.floats(1.0, 6.0)),
    powers=st.tuples(st.floats(0.3, 4), st.floats(0.3, 4)),
)
def test_a_stretched_band_still_holds_its_middle(
    likely: float, parts: tuple[float, float], powers: tuple[float, float]
) -> None:
    factors = BandFactors(early_ratio=(powers[0],) * 5, late_ratio=(powers[1],) * 5)
    low, high = factors.stretched_days(np.array([likely * parts[0]]), np.array([likely]), np.array([likely * parts[1]]))
    assert low[0] <= likely * (1 + 1e-9)
    assert high[0] >= likely * (1 - 1e-9)
