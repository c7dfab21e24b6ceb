"""`scrubwright due` and `scrubwright parts` as they are typed."""

import json
from pathlib import Path

import pytest

from scrubwright.cli.main import DONE, REFUSED, main

EXAMPLES = Path(__file__).parents[2] / "examples"
PLATE = str(EXAMPLES / "plates" / "mid_cylindrical_080.toml")
WIDE = str(EXAMPLES / "plates" / "wide_disc_105.toml")
PAPERS = (
    "--readings",
    str(EXAMPLES / "meters" / "market_hall.csv"),
    "--done",
    str(EXAMPLES / "changes" / "market_hall.csv"),
    "--day",
    "2026-04-09",
)
HALL = (PLATE, "--battery", "flooded", *PAPERS)


def test_the_market_hall_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["due", *HALL, "--closed", "sunday"]) == DONE
    told = capsys.readouterr().out
    assert told.startswith("Mid cylindrical, 0.80 m: overdue")
    assert "The reading 11,732 h of 2026-02-14" in " ".join(told.split())
    assert "On 2026-03-16 there is a new meter" in told
    assert "passed its last digit" in " ".join(told.split())
    assert "own parts lasted" in " ".join(told.split())
    assert max(map(len, told.splitlines())) <= 80


def test_it_is_told_in_spanish_too(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["due", *HALL, "--all", "--language", "es"]) == DONE
    told = capsys.readouterr().out
    assert "Atrasado" in told
    assert "Overdue" not in told
    assert "meter" not in told


def test_every_file_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = {f"--{kind}": tmp_path / f"due.{kind}" for kind in ("ics", "csv", "xlsx", "json")}
    line = [part for option, path in names.items() for part in (option, str(path))]
    assert main(["due", *HALL, *line]) == DONE
    assert all(path.stat().st_size > 0 for path in names.values())
    page = json.loads(names["--json"].read_text(encoding="utf-8"))
    rows = names["--csv"].read_text(encoding="utf-8").splitlines()
    assert len(rows) == 1 + len(page["machines"][0]["items"])
    capsys.readouterr()


def test_json_alone_goes_to_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["due", *HALL, "--json"]) == DONE
    assert json.loads(capsys.readouterr().out)["schema"] == "scrubwright/due/1"


def test_the_kind_of_battery_comes_from_the_pack(capsys: pytest.CaptureFixture[str]) -> None:
    flooded = str(EXAMPLES / "packs" / "market_hall_36v.toml")
    lithium = str(EXAMPLES / "packs" / "mid_lithium_36v.toml")
    assert main(["due", PLATE, "--pack", flooded, "--all"]) == DONE
    assert "Water in the cells" in capsys.readouterr().out
    assert main(["due", PLATE, "--pack", lithium, "--all"]) == DONE
    assert "Water in the cells" not in capsys.readouterr().out


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["due"], "Name the machine's plate"),
        (["due", PLATE], "depends on the battery"),
        (["due", PLATE, "--battery", "steam"], "There is no steam"),
        (["due", PLATE, "--battery", "sealed", "--site", "moon"], "says nothing of a site"),
        (["due", PLATE, "--battery", "sealed", "--days", "0"], "whole days"),
        (["due", PLATE, "--battery", "sealed", "--day", "today"], "enter a day"),
        (["due", PLATE, "--battery", "sealed", "--closed", "someday"], "enter a day"),
        (["due", PLATE, "--battery", "sealed", "--failure-costs", "1"], "a number above 1"),
        (["due", PLATE, "--battery", "sealed", "--readings", "nowhere.csv"], "no file"),
        (["due", PLATE, "--battery", "sealed", "--csv", PLATE], "named twice"),
        (["parts", PLATE, "--battery", "sealed", "--service", "2"], "a share from 0 to 1"),
        (["parts", PLATE, PLATE, "--battery", "sealed"], "one name"),
        (["parts", PLATE, "--battery", "sealed", "--trip", "0"], "a number above 0"),
    ],
)
def test_what_cannot_be_used_is_told_in_a_sentence(
    line: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(line) == REFUSED
    complaint = capsys.readouterr().err
    assert said in complaint
    assert "Traceback" not in complaint


def test_pack_and_battery_that_differ_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    pack = str(EXAMPLES / "packs" / "mid_lithium_36v.toml")
    assert main(["due", PLATE, "--pack", pack, "--battery", "flooded"]) == REFUSED
    assert "leave one of them out" in capsys.readouterr().err


def test_all_weekdays_closed_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    closed = [part for day in ("mon", "mar", "wed", "jue", "vie", "sat", "dom") for part in ("--closed", day)]
    assert main(["due", PLATE, "--battery", "sealed", *closed]) == REFUSED
    assert "at least one open" in capsys.readouterr().err


def test_blank_tables_are_written_and_never_over_others(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    readings, done = tmp_path / "meters.csv", tmp_path / "changes.xlsx"
    line = ["due", "--blank-readings", str(readings), "--blank-done", str(done)]
    assert main(line) == DONE
    assert readings.read_text(encoding="utf-8").startswith("date,time,machine,meter,hours")
    assert main(line) == REFUSED
    assert "there already" in capsys.readouterr().err


def test_parts_and_trips_of_two_machines_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "parts.csv"
    line = ["parts", PLATE, WIDE, "--battery", "flooded", *PAPERS, "--days", "30", "--trip", "2", "--csv", str(table)]
    assert main(line) == DONE
    told = capsys.readouterr().out
    assert told.startswith("Parts for 30 days")
    assert "Trips" in told
    assert len(table.read_text(encoding="utf-8").splitlines()) > 1
