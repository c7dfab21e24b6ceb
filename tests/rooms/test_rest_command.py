"""`scrubwright rest` from the line to the files, in a hall small enough to plan at once."""

import json
from pathlib import Path

import pytest

from scrubwright.cli.main import DONE, REFUSED, main
from scrubwright.cli.rest_command import lane_numbers
from scrubwright.floor.site import Site
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.sites import site_text
from tests.rooms.test_shift_command import FLOOR, PACK, PLATE


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a hall and the plan of its night."""
    path = tmp_path_factory.mktemp("night")
    (path / "hall.geojson").write_text(site_text(Site(name="Depot", floors=(FLOOR,))), encoding="utf-8")
    times = ["--start", "21:30", "--dry-by", "05:30", "--day", "2026-03-10", "--samples", "64", "--charge", "85%"]
    files = ["--machine", str(PLATE), "--pack", str(PACK), "--json", str(path / "tonight.json")]
    assert main(["shift", str(path / "hall.geojson"), *files, *times, "-o", str(path / "first.txt")]) == DONE
    return path


def line(folder: Path, *more: str, plan: str = "tonight.json", site: str = "hall.geojson") -> list[str]:
    files = [str(folder / plan), str(folder / site), "--machine", str(PLATE), "--pack", str(PACK)]
    return ["rest", *files, "--now", "21:45", "--charge", "62%", "--samples", "64", *more]


def told(folder: Path, capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, object]:
    capsys.readouterr()
    assert main(line(folder, *more, "--json")) == DONE
    answer: dict[str, object] = json.loads(capsys.readouterr().out)
    return answer


def lanes(answer: dict[str, object]) -> list[dict[str, object]]:
    found = answer["lanes"]
    assert isinstance(found, list)
    return found


def test_the_rest_is_told_like_a_shift(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(line(folder, "--done", "1-5", "--tank", "40%", "--dry-by", "03:00")) == DONE
    said = capsys.readouterr().out
    assert "start at 21:45, dry by 03:00" in " ".join(said.split())
    assert said.splitlines()[0].startswith("IT ")


def test_done_and_blocked_lanes_are_left_out_and_the_others_are_driven(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = json.loads((folder / "tonight.json").read_text(encoding="utf-8"))
    answer = told(folder, capsys, "--done", "1-5", "--blocked", "8")
    left = sorted(float(str(lane["length_m"])) for lane in first["lanes"] if lane["number"] not in {1, 2, 3, 4, 5, 8})
    assert sorted(float(str(lane["length_m"])) for lane in lanes(answer)) == pytest.approx(left, abs=1e-4)
    question = answer["question"]
    assert isinstance(question, dict)
    assert question["start_at"] == "2026-03-10T21:45:00"
    assert question["dry_by"] == "2026-03-11T05:30:00"


def test_a_blocked_area_is_left_out_by_its_name(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = told(folder, capsys, "--blocked", "store")
    assert {lane["area"] for lane in lanes(answer)} == {"Shop"}


def test_every_form_is_written_and_spanish_is_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = ["--html", str(folder / "rest.html"), "--pdf", str(folder / "rest.pdf")]
    assert main(["--language", "es", *line(folder, "--done", "1-5", *files)]) == DONE
    assert capsys.readouterr().out.splitlines()[0].startswith(("CABE", "NO CABE", "JUSTO", "QUEDA"))
    assert (folder / "rest.pdf").read_bytes().startswith(b"%PDF-")
    assert (folder / "rest.html").read_text(encoding="utf-8").startswith("<!doctype html")


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--done", "1-"], '--done is "1-"; enter numbers of lanes'),
        (["--done", "one"], '--done is "one"; enter numbers of lanes'),
        (["--done", "999"], "There is no lane 999 in this shift"),
        (["--blocked", "999"], "There is no lane 999 in this shift"),
        (["--blocked", "bakery"], 'There is no area "bakery" to be blocked'),
        (["--tank", "140%"], '--tank is "140%"; enter a share'),
        (["--charge", "1.4"], '--charge is "1.4"; enter a share'),
        (["--machines", "3"], "3 machines are to go on; the shift began with 1"),
        (["--now", "21:15"], "which comes before the start at 21:30"),
        (["--now", "06:00"], "enter a start before that"),
        (["--done", "1-99", "--seed", "x"], '--seed is "x"'),
        (["--html", "no/such/folder/a.html"], "There is no folder"),
    ],
)
def test_a_line_that_cannot_be_used_is_refused_in_a_sentence(
    folder: Path, more: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(line(folder, *more)) == REFUSED
    caught = capsys.readouterr()
    assert said in caught.err
    assert caught.err.count("\n") == 1
    assert caught.out == ""


def test_files_of_another_night_are_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "other.geojson").write_text(site_text(Site(name="Annexe", floors=(FLOOR,))), encoding="utf-8")
    assert main(line(folder, site="other.geojson")) == REFUSED
    assert capsys.readouterr().err.startswith("The shift was planned with Depot, and the file given is of Annexe")
    assert main(line(folder, plan="hall.geojson")) == REFUSED
    assert capsys.readouterr().err.startswith("hall.geojson is no planned shift")
    assert main(line(folder, plan="nothing.json")) == REFUSED
    assert "There is no file" in capsys.readouterr().err


def test_lanes_that_do_not_come_out_as_printed_are_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    known = json.loads((folder / "tonight.json").read_text(encoding="utf-8"))
    known["lanes"][3]["length_m"] += 0.5
    (folder / "moved.json").write_text(json.dumps(known), encoding="utf-8")
    assert main(line(folder, "--done", "1-5", plan="moved.json")) == REFUSED
    assert capsys.readouterr().err.startswith("The lanes of moved.json do not come out again")


def test_lanes_are_read_as_numbers_and_runs_in_the_order_in_which_they_were_done() -> None:
    assert lane_numbers("--done", "1-3,7 5") == (1, 2, 3, 7, 5)
    assert lane_numbers("--done", "4 - 2; 9") == (4, 3, 2, 9)
    assert lane_numbers("--done", "") == ()
    with pytest.raises(BadInput, match="1-14,17"):
        lane_numbers("--done", "1..4")
