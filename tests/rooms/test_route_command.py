"""`scrubwright route` from the line to the files, on a hall small enough to plan at once."""

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from shapely import MultiPolygon, box

from scrubwright.cli.main import DONE, REFUSED, main
from scrubwright.floor.site import FloorPlan, NamedOutline, Place, ServicePoint, Site, Use
from scrubwright.paperwork.sites import site_text

PLATE = Path(__file__).parents[2] / "examples" / "plates" / "narrow_disc_055.toml"
FLOOR = FloorPlan(
    name="Hall",
    outline=MultiPolygon([box(0, 0, 14, 9)]),
    obstacles=(NamedOutline(name="Counter", outline=box(4, 4, 10, 5)),),
    service_points=(ServicePoint(name="Closet", x_m=12.5, y_m=1.5, uses=frozenset({Use.DRAIN, Use.TAP})),),
    parking=Place(name="Bay", x_m=1.5, y_m=1.5),
)


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


@pytest.fixture
def line(tmp_path: Path) -> list[str]:
    """The least that plans the hall."""
    site = tmp_path / "hall.geojson"
    site.write_text(site_text(Site(name="Depot", floors=(FLOOR,))), encoding="utf-8")
    return ["route", str(site), "--machine", str(PLATE)]


def test_the_answer_is_told_verdict_first(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(line) == DONE
    told = capsys.readouterr()
    assert told.err == ""
    first, *rest = told.out.splitlines()
    assert "%" in first
    for heading in ("Numbers", "Before you start", "The way", "Made with"):
        assert heading in rest
    assert "\x1b" not in told.out
    assert max(map(len, [first, *rest])) <= 80


def test_json_without_a_file_takes_the_place_of_the_text(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--json"]) == DONE
    answer = json.loads(capsys.readouterr().out)
    assert answer["floor"] == "Hall"
    assert answer["coverage_fraction"] > 0.9
    assert answer["planning_time_s"] > 0


def test_every_form_is_written_when_asked_for(
    line: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    names = {"--json": "a.json", "--geojson": "a.geojson", "--svg": "a.svg", "--html": "a.html"}
    asked = [part for option, name in names.items() for part in (option, str(tmp_path / name))]
    assert main([*line, *asked]) == DONE
    told = capsys.readouterr().out
    begins = {"a.json": "{", "a.geojson": "{", "a.svg": "<svg", "a.html": "<!doctype html"}
    for name, start in begins.items():
        text = (tmp_path / name).read_text(encoding="utf-8")
        assert start in text[:200].lower()
        assert f"Written: {tmp_path / name}" in told
    assert json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))["site"] == "Depot"


def test_the_same_seed_gives_the_same_plan(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    answers = []
    for _ in range(2):
        assert main([*line, "--json", "--seed", "7"]) == DONE
        answers.append(json.loads(capsys.readouterr().out) | {"planning_time_s": 0})
    assert answers[0] == answers[1]


def test_two_machines_get_a_list_each(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--machines", "2"]) == DONE
    told = capsys.readouterr().out
    assert "The way of machine 1: " in told
    assert "The way of machine 2: " in told


def test_the_overlap_is_taken_from_the_line(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--overlap", "20mm", "--json"]) == DONE
    assert json.loads(capsys.readouterr().out)["overlap_m"] == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--overlap", "0.6"], "overlap"),
        (["--overlap", "wide"], '--overlap is "wide"'),
        (["--flow", "torrent"], "torrent"),
        (["--floor", "Attic"], "has no floor Attic; it has: Hall."),
        (["--machines", "0"], '--machines is "0"; enter a whole number from 1 up.'),
        (["--seed", "x"], '--seed is "x"; enter a whole number from 0 up.'),
    ],
)
def test_a_choice_that_cannot_be_is_refused(
    line: list[str], more: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*line, *more]) == REFUSED
    told = capsys.readouterr()
    assert said in told.err
    assert told.out == ""


def test_spanish_and_feet_reach_the_whole_answer(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--language", "es", "--units", "us"]) == DONE
    told = capsys.readouterr().out
    assert "El recorrido" in told
    assert "ft²" in told
    for english in ("The ", " the ", "Numbers", "estimate\n"):
        assert english not in told


def on_a_terminal(line: list[str], environment: dict[str, str]) -> str:
    """What a terminal shows of a run."""
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "scrubwright.cli.main", *line],
        stdin=subprocess.DEVNULL,
        stdout=theirs,
        stderr=theirs,
        env=environment,
    ) as program:
        os.close(theirs)
        shown = b""
        while True:
            try:
                piece = os.read(ours, 4096)
            except OSError:  # the far end is closed
                break
            if not piece:
                break
            shown += piece
    os.close(ours)
    assert program.returncode == DONE
    return shown.decode("utf-8")


def test_a_terminal_shows_a_bar_and_bold_headings(line: list[str]) -> None:
    shown = on_a_terminal(line, {"PATH": os.environ["PATH"], "TERM": "xterm-256color", "LANG": "C.UTF-8"})
    assert "Planning" in shown
    assert "\x1b[1mNumbers" in shown


def test_a_terminal_without_colour_shows_none(line: list[str]) -> None:
    environment = {"PATH": os.environ["PATH"], "TERM": "xterm-256color", "LANG": "C.UTF-8", "NO_COLOR": "1"}
    shown = on_a_terminal(line, environment)
    assert "\x1b[3" not in shown
    assert "Numbers" in shown
