"""Readings in an Excel workbook, and workbooks that no reader may trust, each named after its defect."""

import io
import zipfile
from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from scrubwright.battery.visit import Moment
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.readings import Readings, read_readings, readings_of_sheet
from scrubwright.paperwork.readings_sheet import LARGEST_FILE_BYTES, MOST_ROWS
from scrubwright.paperwork.readings_workbook import LARGEST_UNPACKED_BYTES, sheet_of_workbook
from tests.rooms.readings_example import HALL, TODAY, one_row, read

Entry = str | int | float | bool | date | time | timedelta | None

HEADER: list[Entry] = ["date", "time", "moment", "temperature_c", *(f"cell_{number}" for number in range(1, 19))]
ROW: list[Entry] = [date(2026, 4, 3), time(6, 30), "after charge", 21.5, *[1.265] * 18]


def saved(
    path: Path, rows: Sequence[Sequence[Entry]], change: Callable[[Workbook, Worksheet], None] | None = None
) -> Path:
    workbook = Workbook()
    sheet = workbook.active
    assert isinstance(sheet, Worksheet)
    for row in rows:
        sheet.append(list(row))
    if change is not None:
        change(workbook, sheet)
    workbook.save(path)
    return path


def read_here(path: Path) -> Readings:
    """Read without a process of its own, which is quicker."""
    return readings_of_sheet(sheet_of_workbook(str(path), path.name), HALL, today=TODAY)


def refusal(path: Path) -> str:
    with pytest.raises(UnreadablePaper) as refused:
        read_here(path)
    return str(refused.value)


def test_a_workbook_says_the_same_as_the_text(tmp_path: Path) -> None:
    path = saved(tmp_path / "pack.xlsx", [HEADER, ROW])
    assert read_readings(path, HALL, today=TODAY) == read(one_row({}))


def test_a_workbook_is_told_by_what_is_in_it_and_not_by_its_name(tmp_path: Path) -> None:
    path = saved(tmp_path / "pack.xlsx", [HEADER, ROW]).rename(tmp_path / "pack.csv")
    assert read_readings(path, HALL, today=TODAY).visits == read(one_row({})).visits
    text = tmp_path / "pack.xls"
    text.write_text(one_row({}), encoding="utf-8")
    assert read_readings(text, HALL, today=TODAY).visits == read(one_row({})).visits


def test_days_and_times_may_stand_in_one_cell_and_times_may_be_text(tmp_path: Path) -> None:
    rows = [
        [*HEADER, "plugged_in", "finished"],
        [datetime(2026, 4, 3, 6, 29, 59, 999_700), None, *ROW[2:], datetime(2026, 4, 2, 21, 15), time(5, 40)],
        ["2026-04-10", "6:30", *ROW[2:], "21:15", "2026-04-10 05:40"],
    ]
    first, second = read_here(saved(tmp_path / "pack.xlsx", rows)).visits
    assert (first.at, first.plugged_in_at) == (datetime(2026, 4, 3, 6, 30), datetime(2026, 4, 2, 21, 15))
    assert (second.at, second.finished_at) == (datetime(2026, 4, 10, 6, 30), datetime(2026, 4, 10, 5, 40))
    assert (first.finished_at, second.plugged_in_at) == (datetime(2026, 4, 3, 5, 40), datetime(2026, 4, 9, 21, 15))


def test_days_counted_from_1904_are_the_same_days(tmp_path: Path) -> None:
    def from_1904(workbook: Workbook, _sheet: Worksheet) -> None:
        workbook.epoch = datetime(1904, 1, 1)

    path = saved(tmp_path / "from_1904.xlsx", [HEADER, ROW], from_1904)
    assert read_here(path).visits[0].at == datetime(2026, 4, 3, 6, 30)


def test_the_sheet_called_readings_is_read_else_the_first(tmp_path: Path) -> None:
    def named(workbook: Workbook, sheet: Worksheet) -> None:
        sheet.title = " Lecturas"
        workbook.create_sheet("Chart", 0).append(["nothing to see"])

    assert read_here(saved(tmp_path / "named.xlsx", [HEADER, ROW], named)).visits
    first = saved(
        tmp_path / "first.xlsx", [HEADER, ROW], lambda workbook, _: workbook.create_sheet("Notes").append([1])
    )
    assert read_here(first).visits


def test_rows_that_were_only_formatted_are_no_readings(tmp_path: Path) -> None:
    def formatted(_workbook: Workbook, sheet: Worksheet) -> None:
        for number in (3, 10, MOST_ROWS + 50):
            sheet.cell(number, 1).number_format = "0.00"

    assert len(read_here(saved(tmp_path / "pack.xlsx", [HEADER, ROW], formatted)).visits) == 1


@pytest.mark.parametrize(
    ("column", "entry", "said"),
    [
        ("cell_1", 1265, "row 2, column cell_1: 1265 is a gravity without its point; write 1.265."),
        ("cell_1", "1,265 ?", '"1,265 ?" is no number'),
        ("cell_1", True, '"TRUE" is no number'),
        ("cell_1", date(2026, 12, 1), "is kept as the date or time 2026-12-01; a spreadsheet program may have made it"),
        ("temperature_c", time(21, 30), "is kept as the date or time 21:30:00"),
        ("temperature_c", "#DIV/0!", "the formula gives #DIV/0!. Mend it, or write the number."),
        ("cell_1", "=A1+1", "is a formula whose result is not in the file. Open the file in a spreadsheet program"),
        ("date", 46115, '"46115" is no day or time that can be read.'),
        ("date", "03/04/2026", '"03/04/2026" may be 2026-04-03 or 2026-03-04.'),
        ("date", time(6, 30), "a time stands where the day belongs."),
        ("date", datetime(2027, 4, 3), "2027-04-03 has not come yet"),
        ("time", 0.27, '"0.27" is no day or time'),
        ("time", timedelta(hours=30), "column time"),
        ("moment", 7, '"7" is not known here'),
    ],
)
def test_a_wrong_cell_is_told_with_its_place(tmp_path: Path, column: str, entry: Entry, said: str) -> None:
    row: list[Entry] = list(ROW)
    row[HEADER.index(column)] = entry
    assert said in refusal(saved(tmp_path / "pack.xlsx", [HEADER, row]))


def test_gravities_kept_as_text_are_read_with_either_sign(tmp_path: Path) -> None:
    path = saved(tmp_path / "pack.xlsx", [HEADER, [*ROW[:4], *["1,265"] * 9, *["1.265"] * 9]])
    assert read_here(path).visits == read(one_row({})).visits


def test_an_entry_beside_the_table_is_told(tmp_path: Path) -> None:
    path = saved(tmp_path / "pack.xlsx", [HEADER, [*ROW, None, "look!"]])
    assert "column 24 has no name but holds entries" in refusal(path)


def with_results(path: Path, results: dict[str, str]) -> Path:
    """A workbook as a spreadsheet program leaves it: some formulas with the result beside them."""
    content = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(content, "w") as new:
        for part in old.infolist():
            text = old.read(part)
            if part.filename == "xl/worksheets/sheet1.xml":
                for formula, result in results.items():
                    before = f"<f>{formula}</f><v></v>".encode()
                    assert before in text.replace(b"<v />", b"<v></v>")
                    text = text.replace(b"<v />", b"<v></v>").replace(before, f"<f>{formula}</f>{result}".encode())
            new.writestr(part, text)
    path.write_bytes(content.getvalue())
    return path


def test_formulas_are_read_by_their_results_and_may_give_nothing(tmp_path: Path) -> None:
    rows = [[*HEADER, "meter_h", "rested_v"], [*ROW, "=1200+34.5", '=IF(A3="","",1)']]
    path = with_results(saved(tmp_path / "pack.xlsx", rows), {"1200+34.5": "<v>1234.5</v>"})
    (visit,) = read_here(path).visits
    assert (visit.meter_h, visit.rested_v) == (1234.5, None)


def test_a_workbook_full_of_rows_is_refused(tmp_path: Path) -> None:
    path = saved(tmp_path / "long.xlsx", [HEADER, *[["2026-04-03"]] * (MOST_ROWS + 1)])
    assert "has more than 5000 rows." in refusal(path)


def old_office(path: Path) -> None:
    path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600))


def locked(path: Path) -> None:
    path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504) + "EncryptedPackage".encode("utf-16-le"))


def cut_short(path: Path) -> None:
    saved(path, [HEADER, ROW])
    path.write_bytes(path.read_bytes()[:-900])


def other_zip(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")


def broken_xml(path: Path) -> None:
    saved(path, [HEADER, ROW])
    content = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(content, "w") as new:
        for part in old.infolist():
            text = old.read(part)
            new.writestr(part, text[:300] if part.filename == "xl/worksheets/sheet1.xml" else text)
    path.write_bytes(content.getvalue())


def entity_bomb(path: Path) -> None:
    saved(path, [HEADER, ROW])
    entities = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 10))
    bomb = f'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY e0 "ha">{entities}]><worksheet>&e9;</worksheet>'
    content = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(content, "w") as new:
        for part in old.infolist():
            new.writestr(part, bomb if part.filename == "xl/worksheets/sheet1.xml" else old.read(part))
    path.write_bytes(content.getvalue())


def zip_bomb(path: Path) -> None:
    saved(path, [HEADER, ROW])
    with zipfile.ZipFile(path, "a", compression=zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/media/picture.bin", bytes(LARGEST_UNPACKED_BYTES))


def too_large(path: Path) -> None:
    path.write_bytes(bytes(LARGEST_FILE_BYTES + 1))


def only_a_header(path: Path) -> None:
    saved(path, [HEADER])


def nothing_at_all(path: Path) -> None:
    saved(path, [])


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (old_office, "is a workbook of the old kind (.xls). Save it as .xlsx or as CSV."),
        (locked, "is locked with a password."),
        (cut_short, "is no Excel workbook, or is damaged."),
        (other_zip, "is no Excel workbook, or is damaged."),
        (broken_xml, "is no Excel workbook, or is damaged."),
        (entity_bomb, "is no Excel workbook, or is damaged."),
        (zip_bomb, "unpacks to 60.0 MB; a table of readings may be 60.0 MB."),
        (too_large, "is 5.0 MB; a table of readings may be 5.0 MB."),
        (only_a_header, "names its columns but holds no reading."),
        (nothing_at_all, "is empty."),
    ],
    ids=lambda each: getattr(each, "__name__", ""),
)
def test_a_file_that_is_no_sound_workbook_is_refused(tmp_path: Path, make: Callable[[Path], None], said: str) -> None:
    path = tmp_path / f"{make.__name__}.xlsx"
    make(path)
    with pytest.raises(UnreadablePaper) as refused:
        read_readings(path, HALL, today=TODAY)
    assert said in str(refused.value)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePaper, match=r"There is no file .*none\.xlsx"):
        read_readings(tmp_path / "none.xlsx", HALL, today=TODAY)


def test_moments_in_a_workbook_may_be_spanish(tmp_path: Path) -> None:
    path = saved(tmp_path / "pack.xlsx", [HEADER, [*ROW[:2], "Después de trabajar", *ROW[3:]]])
    assert read_here(path).visits[0].moment is Moment.WORKED
