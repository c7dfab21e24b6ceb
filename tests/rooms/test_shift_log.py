"""A log of shifts is read as people write it, and what cannot be read gets its own sentence."""

from datetime import date
from pathlib import Path

import pytest

from scrubwright.jobs.shift_logged import DoneShift, MeterRun, PlannedShift, Reset
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.shift_log import read_shift_log
from tests.rooms.shift_log_example import ROW, read, refused, table

FULL = {
    **ROW,
    "plan_drive_min": "30",
    "plan_stops": "2",
    "plan_stop_min": "24",
    "plan_water_l": "250",
    "plan_charge_percent": "48.5",
    "plan_area_m2": "6000",
    "start_time": "21:30",
    "finish_time": "01:05",
    "brush_before_h": "1204.3",
    "brush_after_h": "1207",
    "traction_before_h": "2311.8",
    "traction_after_h": "2315.2",
    "key_before_h": "3000.1",
    "key_after_h": "3003.6",
    "stops": "3",
    "stop_min": "35",
    "filled_l": "280",
    "dumped_l": "255",
    "charge_before_percent": "100",
    "charge_after_percent": "44",
    "area_m2": "5900",
    "hindrances": "4",
    "hindered_min": "6",
    "reset": "squeegee",
    "note": "new blades",
}


def test_a_row_becomes_a_shift_in_the_units_of_the_records() -> None:
    (shift,) = read(table(FULL)).shifts
    assert (shift.day, shift.machine, shift.site) == (date(2026, 3, 4), "Mid", "Hall")
    assert shift.reset is Reset.SQUEEGEE
    assert shift.planned == PlannedShift(
        scrub_s=9000.0,
        drive_s=1800.0,
        stops=2,
        stop_s=1440.0,
        water_l=250.0,
        charge_used_fraction=0.485,
        area_m2=6000.0,
    )
    assert shift.done == DoneShift(
        # From 21:30 to 01:05 on the next day.
        total_s=12_900.0,
        brush=MeterRun(before_h=1204.3, after_h=1207.0),
        traction=MeterRun(before_h=2311.8, after_h=2315.2),
        key=MeterRun(before_h=3000.1, after_h=3003.6),
        stops=3,
        stop_s=2100.0,
        filled_l=280.0,
        dumped_l=255.0,
        charge_before_fraction=1.0,
        charge_after_fraction=0.44,
        area_m2=5900.0,
        hindrances=4,
        hindered_s=360.0,
    )


def test_what_was_not_logged_is_none() -> None:
    (shift,) = read(table({**ROW, "finish_time": "", "stops": "", "brush_before_h": "3.2"})).shifts
    assert shift.done.is_empty
    assert shift.planned == PlannedShift(scrub_s=9000.0, drive_s=0.0, stops=0, stop_s=0.0)


def test_a_spanish_log_with_semicolons_and_decimal_commas_says_the_same() -> None:
    spanish = {
        "fecha": "2026-03-04",
        "máquina": "Mid",
        "edificio": "Hall",
        "plan_fregar_min": "150",
        "cepillos_antes_h": "1204,3",
        "cepillos_despues_h": "1207",
        "agua_llenada_l": "280,5",
        "nuevo": "boquilla",
    }
    english = {**ROW, "brush_before_h": "1204.3", "brush_after_h": "1207", "filled_l": "280.5", "reset": "squeegee"}
    assert read(table(spanish, separator=";")).shifts == read(table(english)).shifts


def test_gallons_and_square_feet_are_read_under_their_own_names() -> None:
    (shift,) = read(table({**ROW, "plan_area_ft2": "64583", "plan_water_gal": "66", "filled_gal": "74"})).shifts
    assert shift.planned.area_m2 == pytest.approx(6000, abs=0.1)
    # 66 x 3.785411784 and 74 x 3.785411784.
    assert shift.planned.water_l == pytest.approx(249.837, abs=0.001)
    assert shift.done.filled_l == pytest.approx(280.120, abs=0.001)


@pytest.mark.parametrize(
    ("start", "finish", "total_min"),
    [
        ("21:30", "01:05", 215),
        ("01:05", "04:40", 215),
        ("9:30 pm", "1:05 am", 215),
        ("21:30", "2026-03-05 01:05", 215),
        # Somebody wrote the end in place of the start: told when something is learned from it.
        ("21:30", "2026-03-04 18:00", -210),
        ("21:30", "21:30", 1440),
    ],
)
def test_from_start_to_finish_goes_over_midnight(start: str, finish: str, total_min: float) -> None:
    (shift,) = read(table({**ROW, "start_time": start, "finish_time": finish})).shifts
    assert shift.done.total_s == 60 * total_min


def test_minutes_in_all_stand_in_for_the_clock_and_do_not_overrule_it() -> None:
    (shift,) = read(table({**ROW, "total_min": "215"})).shifts
    assert shift.done.total_s == 12_900
    log = read(table({**ROW, "start_time": "21:30", "finish_time": "01:05", "total_min": "335"}))
    assert log.shifts[0].done.total_s == 12_900
    assert [str(each) for each in log.warnings] == [
        "log.csv, row 2: from start to finish it is 12,900 s, and 20,100 s are written. The clock is taken."
    ]


def test_a_meter_that_runs_backwards_is_kept_for_whoever_learns_from_it() -> None:
    (shift,) = read(table({**ROW, "brush_before_h": "1207", "brush_after_h": "1204.3"})).shifts
    assert shift.done.brush is not None
    assert shift.done.brush.run_s == pytest.approx(-9720)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"date": ""}, "log.csv, row 2 has no date; write its day as 2026-04-03."),
        ({"date": "03/04/2026"}, 'column date: "03/04/2026" may be 2026-04-03 or 2026-03-04.'),
        ({"date": "21:30"}, "a time stands where the day belongs."),
        ({"machine": ""}, "log.csv, row 2 has no machine; write its name as in its file."),
        ({"site": " "}, "log.csv, row 2 has no site; write its name as in its file."),
        ({"plan_scrub_min": ""}, "row 2 has no plan; write the minutes with the deck down"),
        ({"plan_scrub_min": "0"}, "row 2: scrub_s is 0.0; enter a number above zero."),
        ({"plan_scrub_min": "2:30"}, 'column plan_scrub_min: "2:30" is no number.'),
        ({"plan_stops": "1.5"}, "column plan_stops: 1.5 is no count. Write 0, 1, 2 and so on."),
        ({"stops": "-1"}, "column stops: -1 is below zero."),
        ({"filled_l": "-20"}, "column filled_l: -20 is below zero."),
        ({"filled_l": "280 L"}, '"280 L" is no number. Write only the number; its unit stands in the name'),
        ({"filled_l": "1.2.3"}, '"1.2.3" is no number'),
        ({"start_time": "2026-03-04"}, "column start_time: a day stands where the time belongs."),
        ({"finish_time": "25:10"}, '"25:10" is no day or time that can be read.'),
        ({"charge_after_percent": "0.44"}, "0.44 is a share of one, or nearly nothing. Write percent: 44"),
        ({"charge_before_percent": "140"}, "140 is no charge; write percent of a full one, 0 to 100."),
        ({"reset": "boss"}, '"boss" is not known here; it may be: driver, squeegee, brushes, battery, drain or tap'),
    ],
)
def test_one_wrong_cell_is_told_with_its_place_and_what_to_enter(changes: dict[str, str], said: str) -> None:
    (problem,) = refused(table({**FULL, **changes}))
    assert said in problem


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (table({**ROW, "litres": "3"}), 'log.csv: nobody reads the column "litres"'),
        (table({**ROW, "filed_l": "3"}), 'log.csv: nobody reads the column "filed_l"; did you mean "filled_l"?'),
        (table({**ROW, "fecha": "2026-03-04"}), "the columns date and fecha hold the same thing; keep one."),
        (table({**ROW, "area_m2": "1", "area_ft2": "1"}), "area_m2 and area_ft2 are one thing in two units; keep one."),
        (table({"date": "2026-03-04", "machine": "Mid", "plan_scrub_min": "3"}), "log.csv has no column site."),
        (table(ROW).replace("150\n", "150,7\n"), "row 2 has more entries than there are columns."),
        (table({**ROW, "": "3"}), "log.csv: column 5 has no name but holds entries; name it, or empty it."),
        (table(FULL, FULL), "log.csv: rows 2 and 3 are one shift written twice; delete one."),
    ],
)
def test_what_is_wrong_with_the_table_is_told(text: str, said: str) -> None:
    assert any(said in problem for problem in refused(text))


def test_plans_that_wait_may_be_alike() -> None:
    assert len(read(table(ROW, ROW)).shifts) == 2


def test_a_log_without_a_shift_says_what_comes_next() -> None:
    for text in (
        table(ROW).splitlines()[0],
        table({**ROW, "date": "", "machine": "", "site": "", "plan_scrub_min": ""}),
    ):
        with pytest.raises(UnreadablePaper, match="holds no shift yet"):
            read(text)


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePaper, match="There is no file"):
        read_shift_log(tmp_path / "log.csv")


def test_all_problems_are_told_at_once() -> None:
    problems = refused(table({**FULL, "date": "x", "stops": "y", "charge_after_percent": "0.4"}))
    assert [problem.split("column ")[1].split(":")[0] for problem in problems] == [
        "date",
        "stops",
        "charge_after_percent",
    ]
