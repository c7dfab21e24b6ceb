"""Meter readings and changes from files: what cannot be read is told with its row, and all the rest counts."""

from pathlib import Path

import pytest

from scrubwright.jobs.due_question import Happened
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.catalogues import shipped_catalogue
from scrubwright.paperwork.changes_log import change_rows, changes_of_sheet, read_changes
from scrubwright.paperwork.meter_readings import machine_meters, meter_rows, meters_of_sheet, read_meters
from scrubwright.paperwork.plates import plate_from
from scrubwright.paperwork.readings_sheet import sheet_of_csv
from scrubwright.paperwork.shelf import read_shelf
from scrubwright.paperwork.table_writing import table_text, table_workbook
from scrubwright.paperwork.wording import Language, Teller
from scrubwright.wear.meters import Counts, Ruling

EXAMPLES = Path(__file__).parents[2] / "examples"
PLATE = plate_from(EXAMPLES / "plates" / "mid_cylindrical_080.toml")
NARROW = plate_from(EXAMPLES / "plates" / "narrow_disc_055.toml")
SPANISH = Teller(language=Language.SPANISH, system=UnitSystem.SI)


def readings(text: str, *plates: Plate) -> tuple[list[tuple[str, float]], list[str]]:
    paper = meters_of_sheet(sheet_of_csv(text.encode(), "meters.csv"), plates or (PLATE,))
    return [(each.counts.value, each.reading.value_h) for each in paper.entries], [str(each) for each in paper.refused]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("2026-04-03,clock,10", 'row 3: there is no meter "clock"'),
        ("2026-04-03,key,-4", "below zero"),
        ('2026-04-03,key,"12,5"', "decimal comma"),
        ("2026-04-03,key,ten", "no number"),
        ("2026-04-03,key,", "has no hours"),
        (",key,12", "has no date"),
        ("03/04/2026,key,12", "may be 2026-04-03 or 2026-03-04"),
        ("2026-04-03,key,12,5", "more entries than there are columns"),
    ],
)
def test_a_row_that_cannot_be_read_is_told_and_the_others_count(row: str, said: str) -> None:
    found, refused = readings(f"date,meter,hours\n2026-04-01,key,10\n{row}\n2026-04-05,brush,8\n")
    assert found == [("key", 10.0), ("brush", 8.0)]
    assert len(refused) == 1
    assert said in refused[0]


def test_a_meter_goes_by_the_name_on_its_display_too() -> None:
    assert readings("date,meter,hours\n2026-04-01,total,10\n") == ([("key", 10.0)], [])


def test_spanish_names_and_decimal_commas_are_read() -> None:
    found, refused = readings("fecha;horómetro;horas;dictamen\n2026-04-01;llave;10,5;correcta\n")
    assert (found, refused) == ([("key", 10.5)], [])


def test_rows_of_other_machines_are_counted_and_passed_over() -> None:
    text = f'date,machine,meter,hours\n2026-04-01,"{PLATE.name}",key,10\n2026-04-01,old one,key,10\n'
    found, refused = readings(text, PLATE, NARROW)
    assert found == [("key", 10.0)]
    assert 'rows of "old one" are passed over: 1' in refused[0]


def test_an_unknown_column_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnreadablePaper, match='did you mean "hours"'):
        readings("date,meter,hous\n2026-04-01,key,10\n")


def test_a_missing_column_is_refused() -> None:
    with pytest.raises(UnreadablePaper, match="no column hours"):
        readings("date,meter\n2026-04-01,key\n")


def test_one_column_twice_is_refused() -> None:
    with pytest.raises(UnreadablePaper, match="same thing"):
        readings("date,meter,hours,horas\n2026-04-01,key,10,10\n")


def test_a_correction_and_a_ruling_are_kept_beside_what_was_written() -> None:
    text = "date,meter,hours,meant_hours,ruling\n2026-04-01,key,100,1000,\n2026-04-02,key,7,,new meter\n"
    paper = meters_of_sheet(sheet_of_csv(text.encode(), "meters.csv"), (PLATE,))
    first, second = (entry.reading for entry in paper.entries)
    assert (first.value_h, first.counted_h, second.ruling) == (100.0, 1000.0, Ruling.NEW_METER)


@pytest.mark.parametrize("teller", [Teller(), SPANISH])
@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_written_readings_are_read_again(tmp_path: Path, teller: Teller, ending: str) -> None:
    entries = read_meters(EXAMPLES / "meters" / "market_hall.csv", (PLATE,)).entries
    path = tmp_path / f"meters{ending}"
    rows = meter_rows(entries, teller)
    path.write_bytes(table_workbook(rows, "readings") if ending == ".xlsx" else table_text(rows, teller).encode())
    assert read_meters(path, (PLATE,)).entries == entries


@pytest.mark.parametrize("teller", [Teller(), SPANISH])
def test_written_changes_are_read_again(teller: Teller, tmp_path: Path) -> None:
    entries = read_changes(EXAMPLES / "changes" / "market_hall.csv", (PLATE,), shipped_catalogue()).entries
    path = tmp_path / "changes.csv"
    path.write_text(table_text(change_rows(entries, teller), teller), encoding="utf-8")
    assert read_changes(path, (PLATE,), shipped_catalogue()).entries == entries


def test_digits_come_from_the_plate() -> None:
    (found,) = machine_meters(NARROW, ())
    assert (found.meter.counts, found.meter.digits) == (Counts.KEY, 4)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("2026-04-03,rear blad,,,", "has no line"),
        ("2026-04-03,rear-blade,eaten,,", "is not known here"),
        ("2026-04-03,rear-blade,measured,,", "no number"),
        ("2026-04-03,rear-blade,,30,1.2", "keep one"),
    ],
)
def test_a_change_that_cannot_be_read_is_told_and_the_others_count(row: str, said: str) -> None:
    text = f"date,item,happened,measured_mm,measured_in\n2026-04-01,weekly,,,\n{row}\n"
    paper = changes_of_sheet(sheet_of_csv(text.encode(), "changes.csv"), (PLATE,), shipped_catalogue())
    assert [entry.change.line for entry in paper.entries] == ["weekly"]
    assert len(paper.refused) == 1
    assert said in str(paper.refused[0])


def test_a_line_goes_by_its_name_in_either_language_and_inches_become_metres() -> None:
    text = "fecha;línea;medido_in\n2026-04-01;Cepillos cilíndricos;2\n2026-04-02;semanal;\n"
    paper = changes_of_sheet(sheet_of_csv(text.encode(), "changes.csv"), (PLATE,), shipped_catalogue())
    measured, weekly = (entry.change for entry in paper.entries)
    assert (measured.line, measured.happened, weekly.line) == ("cylindrical-brushes", Happened.MEASURED, "weekly")
    assert measured.measured_m == pytest.approx(0.0508)


def test_the_shelf_is_read_and_its_slips_are_told(tmp_path: Path) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text("item,on_shelf,pack_pieces\nrear-blade,3,2\n", encoding="utf-8")
    assert read_shelf(path, shipped_catalogue())["rear-blade"].pack_pieces == 2
    path.write_text("item,on_shelf,pack_pieces\nrear-blade,3,0\nrear-blade,1,1\nblade,1,1\n", encoding="utf-8")
    with pytest.raises(UnreadablePaper, match="Things to mend: "):
        read_shelf(path, shipped_catalogue())


def test_a_text_that_looks_like_a_formula_stays_a_text(tmp_path: Path) -> None:
    import openpyxl

    path = tmp_path / "list.xlsx"
    path.write_bytes(table_workbook([["note"], ["=1+1"]], "list"))
    cell = openpyxl.load_workbook(path).active["A2"]  # type: ignore[index]
    assert (cell.value, cell.data_type) == ("=1+1", "s")
    assert table_text([["note"], ["=1+1"]], Teller()) == "note\n'=1+1\n"


def test_the_example_files_are_those_that_their_script_writes() -> None:
    from examples.write_meter_readings import texts

    for name, text in texts().items():
        assert (EXAMPLES / name).read_text(encoding="utf-8") == text
