"""`scrubwright charging` from the line to the files, on the two nights of the examples."""

import json
import shutil
import tomllib
from datetime import datetime
from pathlib import Path

import jsonschema
import pytest

from scrubwright.cli.main import DONE, REFUSED, main
from scrubwright.paperwork.charging_json import charging_schema

EXAMPLES = Path(__file__).parents[2] / "examples"
NIGHT = str(EXAMPLES / "charging" / "market_hall_night.toml")
SHORT = str(EXAMPLES / "charging" / "market_hall_short_night.toml")
DAY = ["--day", "2026-03-10"]


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


def test_the_order_is_told_verdict_first_and_what_was_worked_out_beside_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["charging", NIGHT, *DAY]) == DONE
    told = capsys.readouterr()
    first, *rest = told.out.splitlines()
    assert first == "IT FITS"
    for heading in ("Who charges when", "The night", "Circuits", "Numbers", "Made with", "Bear in mind"):
        assert heading in rest
    assert "The night: 10 Mar 2026, 20:00, to 11 Mar 2026, 06:30." in rest
    assert max(map(len, rest)) <= 80
    assert "\x1b" not in told.out
    assert told.err.startswith("Mid cylindrical: by its pack file the charge takes 8 h 15 min")


def test_a_night_that_does_not_fit_is_answered_too(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["charging", SHORT, *DAY]) == DONE
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "IT DOES NOT FIT"
    assert lines[lines.index("What would make it fit") + 1].startswith("  1. ")


def test_the_order_keeps_every_rule_of_the_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["charging", NIGHT, *DAY, "--json"]) == DONE
    page = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(json.loads(charging_schema())).validate(page)
    machines = {each["name"]: each for each in page["night"]["machines"]}
    limits = {each["name"]: each["limit_a"] for each in page["night"]["circuits"]}
    assert sorted(each["machine"] for each in page["charges"]) == sorted(machines)
    moments = sorted({span["from_at"] for each in page["charges"] for span in each["spans"]})
    for charge in page["charges"]:
        machine = machines[charge["machine"]]
        times = [
            (datetime.fromisoformat(span["from_at"]), datetime.fromisoformat(span["until_at"]))
            for span in charge["spans"]
        ]
        assert times[0][0] >= datetime.fromisoformat(machine["home_at"])
        assert times[-1][1] <= datetime.fromisoformat(machine["ready_by"])
        charged_h = sum((ends - begins).total_seconds() for begins, ends in times) / 3600
        assert machine["charge_h"] <= charged_h < machine["charge_h"] + 0.25
    for moment in moments:
        for circuit, limit_a in limits.items():
            load_a = sum(
                machines[charge["machine"]]["mains_a"]
                for charge in page["charges"]
                for span in charge["spans"]
                if charge["circuit"] == circuit and span["from_at"] <= moment < span["until_at"]
            )
            assert load_a <= limit_a + 1e-6


def test_what_must_be_mended_is_told_all_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tonight = tmp_path / "tonight.toml"
    tonight.write_text('home = "25:00"\n[[machine]]\nmains_a = 900\n', encoding="utf-8")
    assert main(["charging", str(tonight)]) == REFUSED
    told = capsys.readouterr().out
    assert told.startswith("tonight.toml cannot be used yet. Things to mend: 6.")
    for said in ("To mend:", "Still missing:", "home is", "machine 1.mains_a is 900.0 A", "circuit is missing"):
        assert said in told


def test_files_are_written_and_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text, answer = tmp_path / "a.txt", tmp_path / "a.json"
    assert main(["charging", SHORT, *DAY, "--json", str(answer)]) == DONE
    assert capsys.readouterr().out.splitlines()[-1] == f"Written: {answer}"
    assert main(["charging", SHORT, *DAY, "--out", str(text)]) == DONE
    assert capsys.readouterr().out == ""
    assert text.read_text(encoding="utf-8").startswith("IT DOES NOT FIT\n")
    assert json.loads(answer.read_text(encoding="utf-8"))["fits"] is False


def test_a_blank_can_be_filled_in_and_the_schema_is_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blank = tmp_path / "blank.toml"
    assert main(["charging", "--blank", "-o", str(blank)]) == DONE
    assert set(tomllib.loads(blank.read_text(encoding="utf-8"))) == {"machine", "circuit"}
    assert main(["charging", str(blank)]) == REFUSED
    assert "Still missing" in capsys.readouterr().out
    assert main(["charging", "--schema"]) == DONE
    assert "machine" in json.loads(capsys.readouterr().out)["properties"]


def test_it_can_be_asked_in_spanish(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["charging", SHORT, *DAY, "--language", "es"]) == DONE
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "NO CABE"
    assert "Qué haría que cupiera" in lines


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ([], "Ask for one thing: a charging file to plan"),
        ([NIGHT, "--blank"], "Ask for one thing"),
        (["--blank", "--json"], "--json and --day belong to a charging file"),
        ([NIGHT, "--day", "tomorrow"], '--day is "tomorrow"; enter a day'),
        ([NIGHT, "-o", NIGHT], "is named twice on the line"),
        (["none.toml"], "There is no file none.toml"),
    ],
)
def test_a_line_that_cannot_be_meant_is_refused(line: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["charging", *line]) == REFUSED
    assert said in capsys.readouterr().err


def test_pack_files_are_looked_for_beside_the_charging_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(EXAMPLES / "packs", tmp_path / "packs")
    shutil.copytree(EXAMPLES / "charging", tmp_path / "charging")
    monkeypatch.chdir(tmp_path / "packs")
    assert main(["charging", "../charging/market_hall_short_night.toml", *DAY]) == DONE
    assert capsys.readouterr().out.startswith("IT DOES NOT FIT")
