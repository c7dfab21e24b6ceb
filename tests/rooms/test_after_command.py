"""`scrubwright after`: begin a log, add a plan to it, and tell what it teaches."""

import json
from pathlib import Path

import pytest

from examples.write_shift_log import AFTERNOON_NIGHT, NIGHTS, POINT_NIGHT, rows, text
from scrubwright.cli.main import DONE, REFUSED, main
from scrubwright.jobs.shift_question import MachineTonight
from scrubwright.paperwork.shift_json import shift_json
from scrubwright.paperwork.shift_log import read_shift_log
from scrubwright.paperwork.shift_log_plan import planned_shifts
from tests.rooms.shift_answer_example import shift_answer

EXAMPLE = Path(__file__).parents[2] / "examples" / "shift_log.csv"


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "tonight.json"
    path.write_text(shift_json(shift_answer()), encoding="utf-8")
    return path


def said(capsys: pytest.CaptureFixture[str]) -> str:
    return " ".join(capsys.readouterr().out.split())


def test_the_example_is_what_its_script_writes() -> None:
    assert EXAMPLE.read_text(encoding="utf-8") == text()


def test_the_example_teaches_and_its_two_slips_are_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["after", str(EXAMPLE), "--day", "2026-03-01"]) == DONE
    told = said(capsys)
    # 244 minutes by the plate with hindrances take 279 on average, so the script says.
    assert told.startswith("What takes 4 h 8 min by the plate takes 4 h 4")
    assert f"shifts that teach: {NIGHTS}, written down: {NIGHTS}" in told
    assert f"Left out - {rows()[POINT_NIGHT]['date']}, brush meter: 11," in told
    assert f"Far off the rest - {rows()[AFTERNOON_NIGHT]['date']}, time in all: 16 h 45 min" in told
    assert "new: squeegee. Begun again from the plate: time with the deck down, current drawn." in told
    assert "time with the deck up × 1.1" in told
    assert f"{NIGHTS} shifts" in told


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("units", ["si", "us"])
def test_no_line_is_wider_than_a_terminal(language: str, units: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["after", str(EXAMPLE), "--language", language, "--units", units]) == DONE
    assert max(len(line) for line in capsys.readouterr().out.splitlines()) <= 80


def test_on_an_earlier_day_less_is_known(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["after", str(EXAMPLE), "--day", "2026-01-09"]) == DONE
    told = said(capsys)
    assert f"have not come yet: {NIGHTS - 2}, the first 2026-01-12; today is 2026-01-09." in told
    assert "shifts that teach: 2," in told


def test_a_log_is_begun_and_a_planned_shift_waits_in_it(
    tmp_path: Path, plan: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = tmp_path / "log.csv"
    assert main(["after", str(log), "--blank"]) == DONE
    assert main(["after", str(log), "--plan", str(plan)]) == DONE
    capsys.readouterr()
    assert main(["after", str(log)]) == DONE
    told = said(capsys)
    assert told.startswith("The log teaches nothing yet; plans stay with the plate.")
    assert "only the plan is written down." in told
    assert "Write down next time - The brush meter before and after" in told
    answer = shift_answer()
    (shift,) = read_shift_log(log).shifts
    assert (shift.machine, shift.site) == (answer.question.machines[0].plate.name, answer.route.site)
    assert shift.planned.stops == len(answer.route.routes[0].stops)


def test_a_plan_made_with_learned_rates_is_logged_as_the_plate_would_have_it(plan: Path) -> None:
    answer = shift_answer()
    route, machine = answer.route.routes[0], answer.question.machines[0]
    assert isinstance(machine, MachineTonight)
    page = json.loads(plan.read_text(encoding="utf-8"))
    factors = {"scrubbing": 1.25, "driving": 1.5, "water": 0.8, "current": 1.1, "stops": 2.0}
    for name, factor in factors.items():
        page["question"]["machines"][0]["rates"][name]["factor_ratio"] = factor
    page["machines"][0] |= {"end_charge_fraction": machine.charge_fraction - 0.22, "charged_ah": 0.0}
    plan.write_text(json.dumps(page), encoding="utf-8")
    (shift,) = planned_shifts(plan)
    assert shift.planned.scrub_s == pytest.approx(route.scrub_time_s / 1.25)
    assert shift.planned.drive_s == pytest.approx(route.drive_time_s / 1.5)
    assert shift.planned.stop_s == pytest.approx(route.stop_time_s / 2)
    assert shift.planned.water_l == pytest.approx(route.water_used_l / 0.8)
    # 22 % went at 1.1 of the current, scrubbing 1.25 as long and driving, at a quarter of it, 1.5 as long.
    scrub_s, drive_s = route.scrub_time_s, route.drive_time_s
    longer = (scrub_s + drive_s / 4) / (scrub_s / 1.25 + drive_s / 4 / 1.5)
    assert shift.planned.charge_used_fraction == pytest.approx(0.22 / 1.1 / longer)
    assert shift.planned.area_m2 == pytest.approx(answer.route.reachable_area_m2 * answer.route.coverage_fraction)


def test_two_machines_wait_in_two_rows(tmp_path: Path) -> None:
    path = tmp_path / "two.json"
    answer = shift_answer(machines=2)
    path.write_text(shift_json(answer), encoding="utf-8")
    shifts = planned_shifts(path)
    assert [shift.planned.stops for shift in shifts] == [len(route.stops) for route in answer.route.routes]
    assert sum(shift.planned.area_m2 or 0 for shift in shifts) == pytest.approx(
        answer.route.reachable_area_m2 * answer.route.coverage_fraction
    )


def test_after_a_charge_on_the_way_the_charge_teaches_nothing(plan: Path) -> None:
    page = json.loads(plan.read_text(encoding="utf-8"))
    page["machines"][0]["charged_ah"] = 12.0
    plan.write_text(json.dumps(page), encoding="utf-8")
    assert planned_shifts(plan)[0].planned.charge_used_fraction is None


def test_a_log_of_two_machines_tells_of_each_or_of_the_one_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = tmp_path / "log.csv"
    log.write_text(text() + text().split("\n", 1)[1].replace("Mid cylindrical, 0.80 m", "Old Bertha"), encoding="utf-8")
    assert main(["after", str(log)]) == DONE
    told = said(capsys)
    assert "Mid cylindrical, 0.80 m at market_hall" in told
    assert "Old Bertha at market_hall" in told
    assert main(["after", str(log), "--machine", "Old Bertha"]) == DONE
    assert "Mid cylindrical" not in said(capsys)


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        (["after"], "Something is missing: LOG."),
        (["after", "{log}", "--blank"], "is there already; a blank would wipe it out."),
        (["after", "new.csv", "--blank", "--plan", "x.json"], "Ask for one thing"),
        (["after", "{log}", "--machine", "Nobody"], "has no such shift. It holds shifts of: Mid cylindrical, 0.80 m,"),
        (["after", "{log}", "--day", "yesterday"], '--day is "yesterday"; enter a day such as 2026-01-31.'),
        (["after", "no_such_log.csv"], "There is no file no_such_log.csv."),
        (["after", "{log}", "--plan", "no_such.json"], "There is no file no_such.json."),
        (["after", "{log}", "--plan", "{log}"], "shift_log.csv is no planned shift."),
    ],
)
def test_what_cannot_be_done_is_told_and_nothing_is_written(
    line: list[str], complaint: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    before = EXAMPLE.read_bytes()
    assert main([each.format(log=EXAMPLE) for each in line]) == REFUSED
    assert complaint in capsys.readouterr().err
    assert EXAMPLE.read_bytes() == before
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b"[]", b"{}", b"\xff\xfe", b'{"machines": 3}', b"[" * 100_000])
def test_what_is_no_plan_is_refused_with_a_sentence(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "plan.json"
    path.write_bytes(content)
    assert main(["after", str(tmp_path / "log.csv"), "--plan", str(path)]) == REFUSED
    assert "plan.json is no planned shift." in capsys.readouterr().err
    assert not (tmp_path / "log.csv").exists()
