"""`scrubwright shift` from the line to the files, in a hall small enough to plan at once."""

import argparse
import json
from datetime import date, datetime
from pathlib import Path

import jsonschema
import pytest
from shapely import MultiPolygon, box

from scrubwright.cli.main import DONE, REFUSED, main, parser
from scrubwright.cli.shift_command import question_from
from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, Ramp, ServicePoint, Site, Use
from scrubwright.jobs.shift_logged import DoneShift, LoggedShift, MeterRun, PlannedShift
from scrubwright.jobs.shift_question import ShiftQuestion
from scrubwright.paperwork.shift_json import shift_schema
from scrubwright.paperwork.shift_log_writing import log_text
from scrubwright.paperwork.sites import site_text
from scrubwright.paperwork.wording import Teller

EXAMPLES = Path(__file__).parents[2] / "examples"
PLATE = EXAMPLES / "plates" / "narrow_disc_055.toml"
PACK = EXAMPLES / "packs" / "narrow_agm_24v.toml"
READINGS = EXAMPLES / "readings" / "narrow_agm_24v.csv"
NOW = datetime(2026, 3, 10, 17, 0)
FLOOR = FloorPlan(
    name="Hall",
    outline=MultiPolygon([box(0, 0, 14, 9)]),
    obstacles=(NamedOutline(name="Counter", outline=box(4, 4, 10, 5)),),
    areas=(Area(name="Shop", outline=box(0, 0, 7, 9), people=True), Area(name="Store", outline=box(7, 0, 14, 9))),
    service_points=(ServicePoint(name="Closet", x_m=12.5, y_m=1.5, uses=frozenset({Use.DRAIN, Use.TAP})),),
    parking=Place(name="Bay", x_m=1.5, y_m=1.5),
)


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    path = tmp_path / "hall.geojson"
    path.write_text(site_text(Site(name="Depot", floors=(FLOOR,))), encoding="utf-8")
    return path


@pytest.fixture
def line(site: Path) -> list[str]:
    """All that a shift needs but its charge."""
    times = ["--start", "21:30", "--dry-by", "05:30", "--samples", "256"]
    return ["shift", str(site), "--machine", str(PLATE), "--pack", str(PACK), *times]


def asked(line: list[str], *more: str) -> ShiftQuestion:
    arguments = parser(Teller()).parse_args([*line, *more])
    assert isinstance(arguments, argparse.Namespace)
    return question_from(arguments, Teller(), now=NOW)


def test_the_answer_is_told_verdict_and_chance_first(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--charge", "85%"]) == DONE
    told = capsys.readouterr()
    assert told.err == ""
    first, *rest = told.out.splitlines()
    assert first == "IT FITS: >99 %"
    for heading in ("The night", "Numbers", "Stops", "Closed to people", "Made with", "Bear in mind"):
        assert heading in rest
    assert max(map(len, [first, *rest])) <= 80
    assert "\x1b" not in told.out


def test_a_charge_that_cannot_last_says_so_and_what_would_help(
    line: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*line, "--charge", "0.25", "--reserve", "24%"]) == DONE
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("IT DOES NOT FIT")
    assert "What would make it fit" in lines
    assert any(each.startswith("  1. ") for each in lines)


def test_json_without_a_file_takes_the_place_of_the_text(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*line, "--charge", "0.85", "--json"]) == DONE
    answer = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(json.loads(shift_schema())).validate(answer)
    assert answer["samples"] == 256
    assert answer["question"]["machines"][0]["charge_fraction"] == 0.85
    assert answer["dry_at"] > answer["question"]["start_at"]


def test_the_same_line_gives_the_same_answer(line: list[str], tmp_path: Path) -> None:
    for name in ("a.txt", "b.txt"):
        assert main([*line, "--charge", "40%", "--day", "2026-03-10", "-o", str(tmp_path / name)]) == DONE
    assert (tmp_path / "a.txt").read_bytes() == (tmp_path / "b.txt").read_bytes()


def test_every_form_is_written_when_asked_for(
    line: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    names = {"--json": "a.json", "--html": "a.html", "--pdf": "a.pdf", "-o": "a.txt"}
    files = [part for option, name in names.items() for part in (option, str(tmp_path / name))]
    assert main([*line, "--charge", "85%", *files]) == DONE
    assert capsys.readouterr().out == ""
    begins = {"a.json": b"{\n", "a.html": b"<!doctype html", "a.pdf": b"%PDF-", "a.txt": b"IT FITS"}
    for name, start in begins.items():
        assert (tmp_path / name).read_bytes()[:200].lower().startswith(start.lower())


def test_files_that_were_written_are_named_below_the_answer(
    line: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*line, "--charge", "85%", "--json", str(tmp_path / "a.json")]) == DONE
    assert capsys.readouterr().out.splitlines()[-1] == f"Written: {tmp_path / 'a.json'}"


def test_a_time_of_day_is_the_next_one_and_dry_by_the_first_after(line: list[str]) -> None:
    question = asked(line, "--charge", "0.85")
    assert question.start_at == datetime(2026, 3, 10, 21, 30)
    assert question.dry_by == datetime(2026, 3, 11, 5, 30)
    earlier = ["06:00" if each == "21:30" else "09:15" if each == "05:30" else each for each in line]
    question = asked(earlier, "--charge", "0.85")
    assert question.start_at == datetime(2026, 3, 11, 6, 0)
    assert question.dry_by == datetime(2026, 3, 11, 9, 15)


def test_a_day_may_be_given_beside_or_with_the_time(line: list[str]) -> None:
    assert asked(line, "--charge", "0.85", "--day", "2026-02-01").start_at == datetime(2026, 2, 1, 21, 30)
    whole = ["2026-05-01 22:00" if each == "21:30" else each for each in line]
    assert asked(whole, "--charge", "0.85").dry_by == datetime(2026, 5, 2, 5, 30)


def test_what_may_be_chosen_reaches_the_question(line: list[str]) -> None:
    question = asked(
        line,
        *("--charge", "70 %", "--machines", "2", "--floor", "Hall", "--air", "16C", "--humidity", "70%"),
        *("--overlap", "40mm", "--flow", "low", "--pressure", "high", "--leave-out", "Shop", "--leave-out", "Store"),
        *("--no-edges", "--important-first", "--contact", "8min", "--reserve", "0.3", "--no-charging"),
    )
    settings = question.settings
    assert [machine.charge_fraction for machine in question.machines] == [0.7, 0.7]
    assert question.floor_name == "Hall"
    assert (question.air.air_k, question.air.humidity_fraction) == pytest.approx((289.15, 0.7))
    assert (settings.overlap_m, settings.flow, settings.pressure) == (0.04, "low", "high")
    assert settings.leave_out == ("Shop", "Store")
    assert (settings.edges, settings.important_first, settings.charge_on_the_way) == (False, True, False)
    assert (settings.contact_s, settings.reserve_fraction) == pytest.approx((480, 0.3))


def test_the_charge_may_come_from_the_readings_which_are_told(
    line: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    whole = [*line, "--readings", str(READINGS), "--charge-from-readings", "--day", "2026-01-06"]
    question = asked(whole)
    assert question.machines[0].charge_fraction == 1.0
    assert question.machines[0].charge_sd_fraction == pytest.approx(0.06, abs=0.01)
    assert question.machines[0].resistance_ohm is not None
    assert "Charge as read on 2026-01-06, after charge: 100.0 %." in capsys.readouterr().err


def test_readings_tell_the_pack_even_where_the_charge_is_typed(line: list[str]) -> None:
    bare = asked(line, "--charge", "0.6", "--day", "2026-01-06").machines[0]
    read = asked(line, "--charge", "0.6", "--day", "2026-01-06", "--readings", str(READINGS)).machines[0]
    assert (bare.resistance_ohm, bare.electrolyte_k) == (None, None)
    assert read.resistance_ohm == pytest.approx(0.0109, abs=0.0001)
    assert read.charge_fraction == 0.6


def logged(machine: str, night: int) -> LoggedShift:
    """A shift that took a quarter longer with the deck down than the plate says."""
    return LoggedShift(
        day=date(2026, 2, night),
        machine=machine,
        site="Depot",
        planned=PlannedShift(scrub_s=6000.0, drive_s=1800.0, stops=2, stop_s=1440.0),
        done=DoneShift(
            total_s=1.25 * 6000 + 1800 + 1440 + 130,
            brush=MeterRun(before_h=10.0 * night, after_h=10.0 * night + 1.25 * 6000 / 3600),
            stops=2,
            stop_s=1440.0,
        ),
    )


def test_the_log_of_shifts_gives_the_rates_of_this_machine_at_this_site(line: list[str], tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    nights = [logged("Narrow disc, 0.55 m", night) for night in range(1, 13)]
    log.write_text(log_text([*nights, logged("Another", 14)], Teller()), encoding="utf-8")
    rates = asked(line, "--charge", "0.8", "--log", str(log)).machines[0].rates
    assert rates.scrubbing.factor_ratio == pytest.approx(1.25, abs=0.04)
    assert rates.scrubbing.shifts == 12
    assert rates.driving.factor_ratio == pytest.approx(1.0, abs=0.05)


def test_a_log_of_other_machines_is_refused(
    line: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = tmp_path / "log.csv"
    log.write_text(log_text([logged("Another", 1)], Teller()), encoding="utf-8")
    assert main([*line, "--charge", "0.8", "--log", str(log)]) == REFUSED
    assert capsys.readouterr().err.startswith("log.csv has no shift of Narrow disc, 0.55 m at Depot")


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ([], "How much charge is left at the start?"),
        (["--charge", "1.4"], '--charge is "1.4"; enter a share from 0 to 1'),
        (["--charge", "140 %"], '--charge is "140 %"; enter a share from 0 to 1'),
        (["--charge", "85"], '--charge is "85"; enter a share from 0 to 1'),
        (["--charge", "much"], '--charge is "much"; enter a share'),
        (["--charge", "-0.1"], '--charge is "-0.1"; enter a share'),
        (["--charge", "0.8", "--charge-from-readings"], "The charge is given twice"),
        (["--charge-from-readings"], "--charge-from-readings needs the readings"),
        (["--charge", "0.8", "--dry-by", "21:15"], "which comes before the start at 21:30"),
        (["--charge", "0.8", "--dry-by", "21:30"], "which comes before the start at 21:30"),
        (["--charge", "0.8", "--day", "2026-03-10", "--dry-by", "2026-03-10 05:30"], "enter a start before that"),
        (["--charge", "0.8", "--start", "25:00"], '--start is "25:00"; enter a time of day'),
        (["--charge", "0.8", "--start", "half past nine"], "enter a time of day such as 21:30"),
        (["--charge", "0.8", "--day", "10/03/2026"], '--day is "10/03/2026"; enter a day'),
        (["--charge", "0.8", "--leave-out", "Bakery"], "Bakery"),
        (["--charge", "0.8", "--floor", "Roof"], "no floor Roof"),
        (["--charge", "0.8", "--pressure", "extreme"], "extreme"),
        (["--charge", "0.8", "--flow", "flood"], "flood"),
        (["--charge", "0.8", "--reserve", "100%"], "The charge to keep is 1.0"),
        (["--charge", "0.8", "--humidity", "100%"], "The humidity is 1.0"),
        (["--charge", "0.8", "--air", "291K"], '--air is "291K"; enter a temperature'),
        (["--charge", "0.8", "--contact", "0min"], '--contact is "0min"; enter a time'),
        (["--charge", "0.8", "--samples", "1000"], "1000"),
        (["--charge", "0.8", "--machines", "0"], '--machines is "0"; enter a whole number'),
        (["--charge", "0.8", "--html", str(PLATE)], "is named twice"),
        (["--charge", "0.8", "--pdf", "no/such/folder/a.pdf"], "There is no folder"),
    ],
)
def test_a_line_that_cannot_be_used_is_refused_in_a_sentence_and_writes_nothing(
    line: list[str], tmp_path: Path, more: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = PLATE.read_bytes()
    assert main([*line, "--json", str(tmp_path / "a.json"), *more]) == REFUSED
    caught = capsys.readouterr()
    assert told in caught.err
    assert caught.err.count("\n") == 1
    assert caught.out == ""
    assert [each.name for each in tmp_path.iterdir()] == ["hall.geojson"]
    assert PLATE.read_bytes() == before


def test_without_a_pack_its_file_is_asked_for(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    times = ["--start", "21:30", "--dry-by", "05:30", "--charge", "0.8"]
    assert main(["shift", str(site), "--machine", str(PLATE), *times]) == REFUSED
    assert capsys.readouterr().err.startswith("Which pack is in it?")


def test_a_pack_without_rated_capacities_is_asked_for_them(
    line: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare = tmp_path / "bare.toml"
    kept = PACK.read_text(encoding="utf-8").split("[[capacity]]")
    tail = kept[-1].partition("\n\n")[2]
    bare.write_text(kept[0] + tail, encoding="utf-8")
    named = [str(bare) if each == str(PACK) else each for each in line]
    assert main([*named, "--charge", "0.8"]) == REFUSED
    assert "capacity" in capsys.readouterr().err


def test_an_area_whose_hours_never_come_is_refused(
    line: list[str], site: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = Area(name="Shop", outline=box(0, 0, 7, 9), window_from_h=12.0, window_until_h=14.0)
    floor = FloorPlan(
        name="Hall",
        outline=FLOOR.outline,
        areas=(shop,),
        service_points=FLOOR.service_points,
        parking=FLOOR.parking,
    )
    site.write_text(site_text(Site(name="Depot", floors=(floor,))), encoding="utf-8")
    assert main([*line, "--charge", "0.8"]) == REFUSED
    assert capsys.readouterr().err.startswith("Shop may not be wet at any time of this shift")


def test_an_area_with_an_empty_window_is_refused(
    line: list[str], site: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = site.read_text(encoding="utf-8")
    known = json.loads(text)
    for feature in known["features"]:
        if feature["properties"].get("name") == "Shop":
            feature["properties"] |= {"window_from_h": "22:00", "window_until_h": "22:00"}
    site.write_text(json.dumps(known), encoding="utf-8")
    assert main([*line, "--charge", "0.8"]) == REFUSED
    assert "Shop" in capsys.readouterr().err


def test_a_ramp_steeper_than_the_plate_allows_is_refused(
    line: list[str], site: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ramp = Ramp(name="Dock ramp", outline=box(0.5, 0.5, 4, 4), slope_fraction=0.25, uphill_rad=0.0)
    floor = FloorPlan(
        name="Hall",
        outline=FLOOR.outline,
        service_points=FLOOR.service_points,
        parking=FLOOR.parking,
        ramps=(ramp,),
    )
    site.write_text(site_text(Site(name="Depot", floors=(floor,))), encoding="utf-8")
    assert main([*line, "--charge", "0.8"]) == REFUSED
    assert "Dock ramp" in capsys.readouterr().err


def test_spanish_is_told_from_the_help_to_the_refusal(line: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shift", "--help", "--language", "es"]) == DONE
    told = capsys.readouterr().out
    assert "Carga al empezar, como 0.85 u 85%." in told
    assert main([*line, "--charge", "1.4", "--language", "es"]) == REFUSED
    assert "ponga una parte de 0 a 1" in capsys.readouterr().err
