"""Logs are begun and gone on with, as CSV and as workbook, and nothing that stands in them is lost."""

from datetime import date
from pathlib import Path

import openpyxl
import pytest
from openpyxl.chart import BarChart

from scrubwright.jobs.shift_logged import DoneShift, LoggedShift, MeterRun, PlannedShift, Reset
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.shift_log import read_shift_log
from scrubwright.paperwork.shift_log_writing import log_text, log_with, log_workbook
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.shift_log_example import ROW, table

ENGLISH, SPANISH = Teller(), Teller(language=Language.SPANISH)
AMERICAN = Teller(system=UnitSystem.US)
PLANNED = LoggedShift(
    day=date(2026, 3, 6),
    machine="Mid cylindrical, 0.80 m",
    site="Hall",
    planned=PlannedShift(
        scrub_s=7668.0,
        drive_s=5292.0,
        stops=3,
        stop_s=1686.0,
        water_l=306.8,
        charge_used_fraction=0.5,
        area_m2=7163.0,
    ),
    done=DoneShift(),
)
DONE = LoggedShift(
    day=date(2026, 3, 4),
    machine="=Mid",
    site="Hall",
    planned=PLANNED.planned,
    done=DoneShift(total_s=16_200.0, brush=MeterRun(before_h=1204.3, after_h=1206.7), stops=3, filled_l=325.0),
    reset=Reset.DRIVER,
)


@pytest.mark.parametrize("teller", [ENGLISH, SPANISH], ids=["en", "es"])
@pytest.mark.parametrize("name", ["log.csv", "log.xlsx"])
def test_a_new_log_says_what_was_written_into_it(tmp_path: Path, name: str, teller: Teller) -> None:
    path = tmp_path / name
    path.write_bytes(log_with(path, [PLANNED], teller))
    path.write_bytes(log_with(path, [PLANNED], teller))
    assert read_shift_log(path).shifts == (PLANNED, PLANNED)


def test_a_log_in_gallons_and_square_feet_says_the_same_within_its_rounding(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(log_text([PLANNED], AMERICAN), encoding="utf-8")
    assert "plan_water_gal" in path.read_text(encoding="utf-8")
    (back,) = read_shift_log(path).shifts
    assert back.planned.water_l == pytest.approx(306.8, abs=0.02)
    assert back.planned.area_m2 == pytest.approx(7163, abs=0.01)


def test_no_name_that_is_written_begins_a_formula(tmp_path: Path) -> None:
    assert "'=Mid" in log_text([DONE], ENGLISH)
    path = tmp_path / "log.xlsx"
    path.write_bytes(log_workbook([DONE], ENGLISH))
    cell = openpyxl.load_workbook(path).worksheets[0]["B2"]
    assert (cell.value, cell.data_type) == ("=Mid", "s")
    assert read_shift_log(path).shifts == (DONE,)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_what_stands_in_a_log_is_kept_letter_by_letter(tmp_path: Path, encoding: str, ending: str) -> None:
    path = tmp_path / "log.csv"
    row = {"nota": "señal averiada", "fecha": "2026-03-04", "máquina": "Mid", "edificio": "Hall"}
    before = table({**row, "plan_fregar_min": "127,8"}, separator=";").replace("\n", ending).encode(encoding)
    path.write_bytes(before)
    path.write_bytes(log_with(path, [PLANNED], ENGLISH))
    assert path.read_bytes().startswith(before)
    first, second = read_shift_log(path).shifts
    assert (first.machine, second.machine) == ("Mid", PLANNED.machine)
    assert second.planned.scrub_s == first.planned.scrub_s == 7668


def test_a_log_whose_last_line_is_open_gets_its_end(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(table(ROW).rstrip("\n"), encoding="utf-8")
    path.write_bytes(log_with(path, [PLANNED], ENGLISH))
    assert len(read_shift_log(path).shifts) == 2


def test_a_workbook_keeps_its_other_sheets_columns_and_notes(tmp_path: Path) -> None:
    path = tmp_path / "log.xlsx"
    workbook = openpyxl.Workbook()
    sheet = workbook.worksheets[0]
    sheet.append(["note", "date", "machine", "site", "plan_scrub_min"])
    sheet.append(["kept", "2026-03-04", "Mid", "Hall", 150])
    workbook.create_sheet("phone numbers")["A1"] = "tap: 3141"
    workbook.save(path)
    path.write_bytes(log_with(path, [PLANNED], ENGLISH))
    after = openpyxl.load_workbook(path)
    assert after["phone numbers"]["A1"].value == "tap: 3141"
    assert [cell.value for cell in after.worksheets[0][2]] == ["kept", "2026-03-04", "Mid", "Hall", 150]
    assert [cell.value for cell in after.worksheets[0][3]][1:] == ["2026-03-06", PLANNED.machine, "Hall", 127.8]


def test_a_workbook_that_would_lose_its_chart_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.xlsx"
    path.write_bytes(log_workbook([PLANNED], ENGLISH))
    workbook = openpyxl.load_workbook(path)
    workbook.worksheets[0].add_chart(BarChart(), "A9")
    workbook.save(path)
    with pytest.raises(UnreadablePaper, match="would be lost here"):
        log_with(path, [PLANNED], ENGLISH)


def test_a_table_of_something_else_is_not_gone_on_with(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"
    path.write_text("date,moment,cell_1\n2026-03-04,after charge,1.265\n", encoding="utf-8")
    with pytest.raises(UnreadablePaper, match="nobody reads the column"):
        log_with(path, [PLANNED], ENGLISH)
