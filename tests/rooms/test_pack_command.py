"""`scrubwright pack` from the line to the files, on a flooded pack whose cell 11 falls behind."""

import json
from datetime import date, timedelta
from pathlib import Path

import pypdfium2
import pytest
from openpyxl import load_workbook

from scrubwright.cli.main import DONE, REFUSED, main
from scrubwright.cli.pack_command import SIGNS
from scrubwright.jobs.pack_state import StopSign

PACKS = Path(__file__).parents[2] / "examples" / "packs"
PACK = PACKS / "market_hall_36v.toml"
DAY = "2026-03-10"
A4_POINTS, LETTER_POINTS = (595, 842), (612, 792)


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


@pytest.fixture
def readings(tmp_path: Path) -> Path:
    """Six weeks of a charge and a shift each, cell 11 six thousandths lower every week."""
    lines = ["date,time,moment,meter_h,rested_h,temperature_c," + ",".join(f"cell_{n}" for n in range(1, 19))]
    for week in range(6):
        day = date(2026, 2, 2) + timedelta(weeks=week)
        full = [1.272 - 0.001 * (cell % 3) - (0.006 * week if cell == 11 else 0) for cell in range(1, 19)]
        for time, moment, meter, used in (("17:00", "after charge", 400.0, 0.0), ("22:00", "after work", 402.5, 0.080)):
            cells = ",".join(f"{gravity - used:.3f}" for gravity in full)
            lines.append(f"{day},{time},{moment},{meter + 3 * week},8,25,{cells}")
    path = tmp_path / "readings.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def line(readings: Path) -> list[str]:
    return ["pack", str(PACK), str(readings), "--day", DAY]


def test_the_answer_is_told_verdict_first(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--load", "66A", "--work", "2:30"]) == DONE
    told = capsys.readouterr()
    assert told.out.splitlines()[0] in ("RUN", "RUN WITH CARE", "DO NOT RUN")
    for heading in ("Charge left", "Runtime", "Health", "What to do next", "Bear in mind"):
        assert heading in told.out.splitlines()
    assert max(map(len, told.out.splitlines())) <= 80
    assert "\x1b" not in told.out


def test_every_form_is_written_when_asked_for(
    line: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    names = {"--json": "a.json", "--svg": "a.svg", "--pdf": "a.pdf", "--out": "a.txt"}
    asked = [part for option, name in names.items() for part in (option, str(tmp_path / name))]
    assert main([*line, *asked]) == DONE
    assert capsys.readouterr().out == ""
    begins = {"a.json": b'{\n  "schema"', "a.svg": b"<?xml", "a.pdf": b"%PDF-", "a.txt": b""}
    assert all((tmp_path / name).read_bytes().startswith(start) for name, start in begins.items())
    assert (tmp_path / "a.txt").read_text(encoding="utf-8").splitlines()[0].isupper()
    assert json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))["pack"]["cells"] == 18


def test_files_that_were_written_are_named_below_the_answer(
    line: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*line, "--svg", str(tmp_path / "a.svg")]) == DONE
    assert capsys.readouterr().out.splitlines()[-1] == f"Written: {tmp_path / 'a.svg'}"


def test_json_without_a_file_takes_the_place_of_the_text(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--json"]) == DONE
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "scrubwright/pack/1"
    assert answer["last_visit_at"].startswith("2026-03-09")
    assert len(answer["cells"]) == 18


def test_the_paper_goes_by_the_readers_units_unless_it_is_named(line: list[str], tmp_path: Path) -> None:
    sizes = []
    for more in ([], ["--units", "us"], ["--units", "us", "--paper", "a4"], ["--paper", "letter"]):
        assert main([*line, "--pdf", str(tmp_path / "a.pdf"), "--out", str(tmp_path / "a.txt"), *more]) == DONE
        wide, high = pypdfium2.PdfDocument(tmp_path / "a.pdf")[0].get_size()
        sizes.append((round(wide), round(high)))
    assert sizes == [A4_POINTS, LETTER_POINTS, A4_POINTS, LETTER_POINTS]


def test_without_readings_it_says_what_to_read(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pack", str(PACK), "--day", DAY]) == DONE
    told = capsys.readouterr().out
    assert told.startswith("MEASURE IT FIRST\nWhat the pack is, is known; what is missing is a first reading.")
    assert "What to do next" in told


def test_what_a_person_notices_stops_the_pack(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--noticed", "smoke", "--noticed", "hot"]) == DONE
    assert capsys.readouterr().out.startswith("DO NOT RUN\n")


def test_every_sign_that_stops_a_pack_can_be_typed() -> None:
    assert [sign.upper() for sign in SIGNS] == list(StopSign.__members__)


def test_cold_to_come_is_read_as_typed(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--coldest", "-60C"]) == DONE
    told = capsys.readouterr().out
    assert told.startswith("DO NOT RUN\n")
    assert "-60.0 °C" in told


@pytest.mark.parametrize("pack", sorted(path.name for path in PACKS.glob("*.toml")))
def test_every_example_pack_can_be_looked_at_and_printed(pack: str, tmp_path: Path) -> None:
    for language in ("en", "es"):
        asked = ["--pdf", str(tmp_path / "a.pdf"), "--svg", str(tmp_path / "a.svg"), "--out", str(tmp_path / "a.txt")]
        assert main(["pack", str(PACKS / pack), *asked, "--day", DAY, "--language", language]) == DONE


def test_a_blank_pack_file_and_a_blank_table_of_readings_are_handed_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["pack", "--blank"]) == DONE
    assert "chemistry" in capsys.readouterr().out
    assert main(["pack", "--schema"]) == DONE
    assert json.loads(capsys.readouterr().out)["$schema"].startswith("https://json-schema.org/")
    out = tmp_path / "blank.csv"
    assert main(["pack", str(PACK), "--blank-readings", "-o", str(out)]) == DONE
    assert "cell_18" in out.read_text(encoding="utf-8")


@pytest.mark.parametrize(("language", "sheet"), [("en", "readings"), ("es", "lecturas")])
def test_a_blank_table_named_as_a_workbook_is_one(language: str, sheet: str, tmp_path: Path) -> None:
    paths = [tmp_path / name for name in ("blank.xlsx", "blank.csv")]
    for path in paths:
        assert main(["pack", str(PACK), "--blank-readings", "-o", str(path), "--language", language]) == DONE
    workbook = load_workbook(paths[0])
    assert workbook.sheetnames == [sheet]
    named = [cell.value for cell in workbook[sheet][1]]
    separator = "," if language == "en" else ";"
    assert named == paths[1].read_text(encoding="utf-8").strip().split(separator)


@pytest.mark.parametrize("name", ["blank.ods", "blank.xls", "blank"])
def test_a_blank_table_of_another_kind_is_refused(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["pack", str(PACK), "--blank-readings", "-o", str(tmp_path / name)]) == REFUSED
    assert "is neither a .csv nor an .xlsx" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_a_pack_file_with_gaps_is_told_gap_by_gap_and_ends_with_two(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "half.toml"
    file.write_text('name = "Half"\nchemistry = "flooded"\ncells = 18\nwheels = 4\n', encoding="utf-8")
    assert main(["pack", str(file), "--pdf", str(tmp_path / "a.pdf")]) == REFUSED
    told = capsys.readouterr().out
    assert told.startswith("half.toml cannot be used yet. Things to mend:")
    assert "Still missing:" in told
    assert "wheels" in told
    assert not (tmp_path / "a.pdf").exists()


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["--load", "much"], '--load is "much"; enter amperes'),
        (["--work", "0"], '--work is "0"; enter a time'),
        (["--load", "38000A"], "No machine draws 38,000 A on average from a pack of"),
        (["--work", "150h"], "A shift of 150 h is longer than a day; enter how long one shift takes, up to 24 h."),
        (["--coldest", "268K"], '--coldest is "268K"; enter a temperature'),
        (["--day", "20/03/2026"], '--day is "20/03/2026"; enter a day'),
        (["--noticed", "smog"], "There is no smog; choose from: frozen"),
        (["--paper", "a5"], "There is no a5; choose from: a4, letter"),
        (["--blank"], "Ask for one thing"),
        (["--schema"], "Ask for one thing"),
        (["--blank-readings"], "Ask for one thing"),
        (["--pdf", str(PACK)], "is named twice"),
        (["--pdf", "same.out", "--svg", "same.out"], "is named twice"),
        (["--pdf", "no/such/folder/a.pdf"], "There is no folder"),
        (["--day", "2026-02-10"], "2026-02-"),
    ],
)
def test_a_line_that_cannot_be_used_is_refused_in_a_sentence_and_writes_nothing(
    line: list[str], tmp_path: Path, more: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = PACK.read_bytes()
    asked = [*line, "--json", str(tmp_path / "a.json"), *more]
    assert main(asked) == REFUSED
    caught = capsys.readouterr()
    assert told in caught.err
    assert caught.out == ""
    assert [each.name for each in tmp_path.iterdir()] == ["readings.csv"]
    assert PACK.read_bytes() == before


def test_a_line_that_names_no_pack_says_what_to_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pack"]) == REFUSED
    assert "--blank" in capsys.readouterr().err


def test_readings_that_cannot_be_read_write_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = tmp_path / "wrong.csv"
    wrong.write_text("date,moment,cell_1\n2026-02-01,after charge,1265\n", encoding="utf-8")
    assert main(["pack", str(PACK), str(wrong), "--pdf", str(tmp_path / "a.pdf"), "--day", DAY]) == REFUSED
    assert capsys.readouterr().err
    assert not (tmp_path / "a.pdf").exists()
