"""Learning from shifts: what must hold for every log."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrubwright.jobs.shift_entries import RATES
from scrubwright.jobs.shift_learning import finish_s, learned_rates, lesson
from scrubwright.jobs.shift_logged import DoneShift, LoggedShift, MeterRun, PlannedShift, Reset
from scrubwright.jobs.shift_question import Rates
from scrubwright.paperwork.readings_sheet import sheet_of_csv
from scrubwright.paperwork.shift_log import shift_log_of_sheet
from scrubwright.paperwork.shift_log_writing import log_text
from scrubwright.paperwork.wording import Language, Teller

FIRST_DAY, NOW = date(2026, 1, 5), date(2027, 1, 1)
PLATE = Rates()


def maybe(least: float, most: float) -> st.SearchStrategy[float | None]:
    return st.none() | st.floats(least, most).map(lambda value: round(value, 1))


def meters() -> st.SearchStrategy[MeterRun | None]:
    readings = st.floats(0, 9000).map(lambda value: round(value, 1))
    return st.none() | st.builds(MeterRun, before_h=readings, after_h=readings)


plans = st.builds(
    PlannedShift,
    scrub_s=st.integers(600, 20_000).map(float),
    drive_s=st.integers(0, 9000).map(float),
    stops=st.integers(0, 6),
    stop_s=st.integers(0, 6000).map(float),
    water_l=st.none() | st.integers(1, 900).map(float),
    charge_used_fraction=st.none() | st.integers(1, 20).map(lambda value: value / 20),
    area_m2=st.none() | st.integers(10, 20_000).map(float),
)
# A log refuses 1 %, which may be all of a full pack.
charges = st.none() | st.sampled_from([0, *range(2, 101)]).map(lambda value: value / 100)
# Right or wrong: whatever a pen can write.
anything = st.builds(
    DoneShift,
    total_s=maybe(-90_000, 200_000),
    brush=meters(),
    traction=meters(),
    key=meters(),
    stops=st.none() | st.integers(0, 60),
    stop_s=maybe(0, 90_000),
    filled_l=maybe(0, 9000),
    dumped_l=maybe(0, 9000),
    charge_before_fraction=charges,
    charge_after_fraction=charges,
    area_m2=maybe(0, 90_000),
    hindrances=st.none() | st.integers(0, 999),
    hindered_s=maybe(0, 90_000),
)


def log_of(pairs: Sequence[tuple[PlannedShift, DoneShift]], resets: Sequence[Reset | None] = ()) -> list[LoggedShift]:
    padded = [*resets, *[None] * len(pairs)]
    return [
        LoggedShift(
            day=FIRST_DAY + timedelta(days=number), machine="Mid", site="Hall", planned=plan, done=done, reset=reset
        )
        for number, ((plan, done), reset) in enumerate(zip(pairs, padded, strict=False))
    ]


logs = st.builds(
    log_of,
    st.lists(st.tuples(plans, anything), max_size=9),
    st.lists(st.none() | st.sampled_from(Reset), max_size=4),
)


@settings(max_examples=30, deadline=None)
@given(logs)
def test_whatever_was_written_down_rates_stay_rates_and_every_sentence_can_be_told(log: list[LoggedShift]) -> None:
    found = lesson(PLATE, log, NOW)
    for name in RATES:
        rate, before = getattr(found.rates, name), getattr(PLATE, name)
        assert 0.2 <= rate.factor_ratio <= 5
        assert 0 < rate.sd_ratio <= before.sd_ratio * (1 + 1e-9)
        assert rate == before or rate.shifts > 0
    for language in Language:
        assert all(Teller(language=language).tell(each) for each in found.left_out + found.doubted)


@settings(max_examples=10, deadline=None)
@given(logs, st.randoms(use_true_random=False))
def test_the_order_of_the_rows_does_not_matter(log: list[LoggedShift], random: object) -> None:
    shuffled = list(log)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert learned_rates(PLATE, shuffled, NOW) == learned_rates(PLATE, log, NOW)


def steady(ratio: float, count: int) -> list[LoggedShift]:
    plan = PlannedShift(scrub_s=9000.0, drive_s=1800.0, stops=2, stop_s=1440.0)
    done = DoneShift(total_s=12_420 * ratio, brush=MeterRun(before_h=0.1, after_h=0.1 + 2.5 * ratio))
    return log_of([(plan, done)] * count)


@settings(max_examples=15, deadline=None)
@given(st.floats(0.75, 1.35), st.integers(1, 30))
def test_what_is_learned_lies_between_the_plate_and_the_log_and_nears_the_log(ratio: float, count: int) -> None:
    plan = PlannedShift(scrub_s=9000.0, drive_s=1800.0, stops=2, stop_s=1440.0)

    def over_plate(shifts: int) -> float:
        return finish_s(plan, learned_rates(PLATE, steady(ratio, shifts), NOW)) / finish_s(plan, PLATE)

    few, more = over_plate(count), over_plate(count + 5)
    low, high = sorted((1.0, ratio))
    assert low - 4e-3 <= few <= high + 4e-3
    assert abs(more - ratio) <= abs(few - ratio) + 1e-3


@settings(max_examples=15, deadline=None)
@given(st.floats(0.75, 1.25), st.floats(1.02, 1.2), st.integers(2, 12))
def test_longer_shifts_teach_longer_finishes(ratio: float, longer: float, count: int) -> None:
    plan = PlannedShift(scrub_s=8000.0, drive_s=2500.0, stops=3, stop_s=2000.0)
    short, long = (learned_rates(PLATE, steady(each, count), NOW) for each in (ratio, ratio * longer))
    assert finish_s(plan, long) > finish_s(plan, short)


@settings(max_examples=12, deadline=None)
@given(st.floats(0.8, 1.25), st.sampled_from([0.5, 2.0]), st.integers(1, 10))
def test_a_hall_twice_as_large_teaches_the_same(ratio: float, size: float, count: int) -> None:
    """But for how well its clocks and meters can be read."""
    log = steady(ratio, count)
    larger = [
        replace(
            shift,
            planned=replace(
                shift.planned,
                scrub_s=size * shift.planned.scrub_s,
                drive_s=size * shift.planned.drive_s,
                stop_s=size * shift.planned.stop_s,
            ),
            done=replace(
                shift.done,
                total_s=size * (shift.done.total_s or 0),
                brush=MeterRun(before_h=0.1, after_h=0.1 + 2.5 * ratio * size),
            ),
        )
        for shift in log
    ]
    one, other = (learned_rates(PLATE, each, NOW) for each in (log, larger))
    assert one.scrubbing.factor_ratio == pytest.approx(other.scrubbing.factor_ratio, rel=0.03)


def is_close(one: object, other: object) -> bool:
    return one == other or (isinstance(one, float) and isinstance(other, float) and abs(one - other) < 0.6)


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(plans, anything), min_size=1, max_size=5, unique_by=lambda pair: pair[1]),
    st.lists(st.none() | st.sampled_from(Reset), max_size=4),
    st.sampled_from(Language),
)
def test_a_log_that_is_written_is_the_log_that_is_read(
    pairs: list[tuple[PlannedShift, DoneShift]], resets: list[Reset | None], language: Language
) -> None:
    # What is below zero or over a full pack is refused when it is read.
    log = [
        replace(shift, done=replace(shift.done, total_s=abs(shift.done.total_s) if shift.done.total_s else None))
        for shift in log_of(pairs, resets)
    ]
    text = log_text(log, Teller(language=language))
    back = shift_log_of_sheet(sheet_of_csv(text.encode(), "log.csv")).shifts
    for one, other in zip(log, back, strict=True):
        assert (one.day, one.machine, one.site, one.reset) == (other.day, other.machine, other.site, other.reset)
        for name in ("scrub_s", "drive_s", "stops", "stop_s", "water_l", "charge_used_fraction", "area_m2"):
            assert is_close(getattr(one.planned, name), getattr(other.planned, name)), name
        for name in DoneShift.__slots__:
            assert is_close(getattr(one.done, name), getattr(other.done, name)), name
