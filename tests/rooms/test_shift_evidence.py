"""What one logged shift tells, and each thing in it that cannot be used, with its sentence."""

from datetime import date
from typing import Any

import pytest

from scrubwright.jobs.shift_entries import Entry, habits_of, usual_hindered_s
from scrubwright.jobs.shift_evidence import ShiftRead, shift_read
from scrubwright.jobs.shift_logged import DoneShift, LoggedShift, MeterRun, PlannedShift
from scrubwright.measures.errors import BadInput

PLAN = PlannedShift(
    scrub_s=9000.0, drive_s=1800.0, stops=2, stop_s=1440.0, water_l=250.0, charge_used_fraction=0.5, area_m2=6000.0
)


def shift(planned: PlannedShift = PLAN, **done: Any) -> LoggedShift:
    return LoggedShift(day=date(2026, 3, 4), machine="Mid", site="Hall", planned=planned, done=DoneShift(**done))


def read(one: LoggedShift, *others: LoggedShift) -> ShiftRead:
    return shift_read(one, habits_of([one, *others]))


def meter(hours: float, before_h: float = 1204.3) -> MeterRun:
    return MeterRun(before_h=before_h, after_h=before_h + hours)


def told(one: LoggedShift, *others: LoggedShift) -> list[str]:
    return [str(each) for each in read(one, *others).left_out]


def test_each_entry_stands_beside_its_own_part_of_the_plan() -> None:
    found = read(
        shift(
            total_s=13_000.0,
            brush=meter(2.6),
            traction=meter(3.1),
            key=meter(3.4),
            stops=2,
            stop_s=1500.0,
            filled_l=260.0,
            charge_before_fraction=0.98,
            charge_after_fraction=0.45,
            hindered_s=240.0,
        )
    )
    planned = {each.entry: each.planned.value for each in found.reads}
    assert planned == pytest.approx(
        {
            Entry.BRUSH: 9000,
            Entry.TRACTION: 10_800,
            # Half of the stops, and hindrances, with the key on.
            Entry.KEY: 10_800 + 720 + 240,
            Entry.STOPS: 1440,
            Entry.TOTAL: 12_240 + 240,
            Entry.FILLED: 250,
            Entry.CHARGE: 0.5,
        }
    )
    assert found.left_out == ()
    assert found.is_whole
    for each in found.reads:
        assert sum(each.shares_fraction) <= 1 + 1e-9


def test_half_of_the_floor_is_held_against_half_of_the_plan() -> None:
    found = read(shift(area_m2=3000.0, brush=meter(1.3), filled_l=130.0, stops=1, stop_s=800.0))
    planned = {each.entry: each.planned.value for each in found.reads}
    assert planned == pytest.approx({Entry.BRUSH: 4500, Entry.FILLED: 125, Entry.STOPS: 720})
    assert not found.is_whole


def test_stops_that_were_made_count_and_not_those_that_were_planned() -> None:
    more = read(shift(stops=3, stop_s=2300.0))
    (stops,) = more.reads
    assert stops.planned.value == pytest.approx(3 * 720)
    none_planned = PlannedShift(scrub_s=3000.0, drive_s=600.0, stops=0, stop_s=0.0)
    (stops,) = read(shift(none_planned, stops=1, stop_s=700.0), shift(), shift()).reads
    assert stops.planned.value == pytest.approx(720)
    alone = read(shift(none_planned, stops=1, total_s=4500.0, brush=meter(0.9)))
    assert {each.entry for each in alone.reads} == {Entry.BRUSH}
    assert "Left out: what stops are a part of." in str(alone.left_out[0])


def test_hindrances_are_taken_as_written_then_as_counted_then_as_usual() -> None:
    def hindered_s(**done: Any) -> float:
        total = read(shift(total_s=13_000.0, **done)).read(Entry.TOTAL)
        assert total is not None
        return total.planned.value - 12_240

    assert hindered_s(hindrances=9, hindered_s=600.0) == pytest.approx(600)
    assert hindered_s(hindrances=9) == pytest.approx(540)
    # Three hours of work, a minute in each.
    assert hindered_s() == pytest.approx(180) == pytest.approx(usual_hindered_s(10_800))


def test_what_comes_back_speaks_for_the_water_where_nobody_wrote_what_was_filled() -> None:
    (dumped,) = read(shift(dumped_l=240.0)).reads
    assert dumped.entry is Entry.DUMPED
    assert dumped.planned.value == pytest.approx(0.92 * 250)
    (filled,) = read(shift(filled_l=260.0, dumped_l=240.0)).reads
    assert filled.entry is Entry.FILLED


def test_meters_written_in_whole_hours_are_trusted_less() -> None:
    def sd(*runs: MeterRun) -> float:
        shifts = [shift(brush=run) for run in runs]
        (brush,) = read(*shifts).reads
        return brush.sd_ratio

    tenths = sd(meter(2.5), meter(2.6))
    whole = sd(MeterRun(before_h=1204, after_h=1207), MeterRun(before_h=1207, after_h=1209))
    assert whole == pytest.approx(10 * tenths)
    # Two roundings of a tenth of an hour: 360 s over the root of 6, of 9000 s.
    assert tenths == pytest.approx(360 / 6**0.5 / 9000)


@pytest.mark.parametrize(
    ("done", "said"),
    [
        ({}, "2026-03-04: only the plan is written down."),
        ({"hindrances": 3}, "2026-03-04: nothing in it tells a rate."),
        (
            {"brush": MeterRun(before_h=1206.8, after_h=1204.3)},
            "2026-03-04, brush meter: 1,206.80 h before and 1,204.30 h after. A meter only runs forward.",
        ),
        (
            {"brush": MeterRun(before_h=1204.3, after_h=12068.0)},
            "2026-03-04, brush meter: 39,109,320 s, and 9,000 s planned. That is too far apart to be right.",
        ),
        ({"total_s": 204.0}, "2026-03-04, time in all: 204 s, and 12,420 s planned. That is too far apart"),
        ({"total_s": -12_000.0}, "2026-03-04, time in all: -12,000 s, and 12,420 s planned. That is too far apart"),
        ({"filled_l": 2600.0}, "2026-03-04, water filled: 2,600 L, and 250 L planned. That is too far apart"),
        (
            {"charge_before_fraction": 0.4, "charge_after_fraction": 0.9},
            "2026-03-04, charge used: -50.0 %, and 50.0 % planned. That is too far apart",
        ),
        (
            {"area_m2": 600.0, "total_s": 13_000.0},
            "2026-03-04: 600 m² were scrubbed and 6,000 m² planned. Such a shift says little of a whole one",
        ),
        (
            {"stops": 20, "stop_s": 1500.0},
            "2026-03-04: 20 stops, and 2 were planned. Look at the number; the planned ones are taken.",
        ),
        (
            {"hindered_s": 20_000.0, "total_s": 13_000.0},
            "2026-03-04: 20,000 s lost to hindrances in 10,800 s of work. Look at the number; the usual is taken.",
        ),
        (
            {"brush": meter(3.5), "traction": meter(2.9)},
            "2026-03-04: brush meter says 12,600 s, traction meter only 10,440 s. It cannot be more; left out:",
        ),
        (
            {"filled_l": 220.0, "dumped_l": 260.0},
            "2026-03-04: water dumped says 260 L, water filled only 220 L. It cannot be more; left out:",
        ),
    ],
)
def test_what_cannot_be_used_is_told_with_its_day_and_why(done: dict[str, Any], said: str) -> None:
    (sentence,) = told(shift(**done))
    assert sentence.startswith(said)


def test_of_three_times_the_one_that_contradicts_both_others_goes_alone() -> None:
    found = read(shift(brush=meter(4.4), traction=meter(3.2), total_s=13_200.0))
    assert {each.entry for each in found.reads} == {Entry.TRACTION, Entry.TOTAL}
    (sentence,) = found.left_out
    assert str(sentence).endswith("left out: brush meter.")


def test_an_area_that_goes_with_neither_time_nor_water_is_left_out_once_the_log_says_what_is_usual() -> None:
    usual = [shift(total_s=14_000.0, area_m2=6000.0) for _ in range(3)]
    wrong = shift(total_s=14_000.0, filled_l=260.0, area_m2=600.0)
    found = read(wrong, *usual)
    assert {each.entry for each in found.reads} == {Entry.TOTAL, Entry.FILLED}
    (sentence,) = found.left_out
    assert "in time and water it was a usual shift. The area is left out." in str(sentence)
    half = read(shift(total_s=7_100.0, filled_l=130.0, area_m2=3000.0), *usual)
    assert half.left_out == ()


@pytest.mark.parametrize("name", ["machine", "site"])
def test_a_shift_without_a_name_is_refused(name: str) -> None:
    names = {"machine": "Mid", "site": "Hall", name: "  "}
    with pytest.raises(BadInput, match=f"names no {name}; enter"):
        LoggedShift(day=date(2026, 3, 4), machine=names["machine"], site=names["site"], planned=PLAN, done=DoneShift())


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_an_entry_that_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(BadInput, match="enter a number, or nothing"):
        DoneShift(total_s=value)
    with pytest.raises(BadInput, match="enter a number, or nothing"):
        DoneShift(key=MeterRun(before_h=1.0, after_h=value))


@pytest.mark.parametrize("plan", [{"scrub_s": 0.0}, {"drive_s": -1.0}, {"stops": -1}, {"water_l": 0.0}])
def test_a_plan_that_cannot_be_is_refused(plan: dict[str, float]) -> None:
    given: dict[str, Any] = {"scrub_s": 9000.0, "drive_s": 0.0, "stops": 0, "stop_s": 0.0, **plan}
    with pytest.raises(BadInput, match="enter"):
        PlannedShift(**given)
