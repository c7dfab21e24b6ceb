"""The log of walk-rounds is only added to, survives a power cut, and refuses what cannot be."""

import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from scrubwright.catalogue.checks import Occasion, Result, WornBy
from scrubwright.jobs.round_answers import Reading, answer_read
from scrubwright.jobs.stops import release_of
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.paperwork.round_log import RoundLog, append, read_round_log
from scrubwright.paperwork.round_records import (
    BegunLine,
    EndedLine,
    MeterLine,
    answer_line,
    person_line,
    release_line,
)
from tests.rooms.round_example import FACTS, NOW, OPERATOR, TECHNICIAN, check, seen, stopping

BRAKE = check("brake", worst=Result.STOP)
BLADE = check("blade")
BEFORE = (Occasion.BEFORE_SHIFT,)


def begun(at: datetime = NOW, machine: str = "Ours") -> BegunLine:
    return BegunLine(at=at, machine=machine, occasions=BEFORE, by=person_line(OPERATOR))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A round begun on line 1, with a stop on line 2 and something to mend on line 3."""
    path = tmp_path / "round.jsonl"
    append(path, begun(), NOW)
    append(path, answer_line(seen(BRAKE, 2), 1), NOW)
    append(path, answer_line(seen(BLADE, 2), 1), NOW)
    return path


def log(path: Path, now: datetime = NOW) -> RoundLog:
    return read_round_log(path, "Ours", now)


def test_a_log_that_is_not_there_is_empty(tmp_path: Path) -> None:
    assert log(tmp_path / "none.jsonl").lines == {}


def test_what_is_written_is_read_again(path: Path) -> None:
    bristle = check("bristle", measured=stopping(0.01))
    read = answer_read(bristle, Reading(name="value_m", value=0.02), FACTS, at=NOW, by=OPERATOR)
    append(path, answer_line(read, 1), NOW)
    append(path, MeterLine(at=NOW, meter=WornBy.BRUSH, shown_h=412.6), NOW)
    found = log(path)
    assert set(found.answers_of(1)) == {"brake", "blade", "bristle"}
    assert found.answers_of(1)["bristle"].reading == read.reading
    assert [each.shown_h for each in found.reads] == [412.6]
    assert [stop.check for stop in found.stops] == ["brake"]


def test_nothing_that_was_written_is_ever_changed(path: Path) -> None:
    before = path.read_bytes()
    append(path, EndedLine(at=NOW, round=1), NOW)
    assert path.read_bytes().startswith(before)


def test_a_half_finished_round_goes_on(path: Path) -> None:
    assert log(path).unfinished(BEFORE, NOW) == 1
    assert log(path).unfinished((Occasion.AFTER_SHIFT,), NOW) is None
    append(path, EndedLine(at=NOW, round=1), NOW)
    assert log(path).unfinished(BEFORE, NOW) is None
    assert log(path).current(BEFORE, NOW) == 1


def test_a_round_left_yesterday_is_kept_but_not_gone_on_with(path: Path) -> None:
    tomorrow = NOW + timedelta(hours=13)
    assert log(path, tomorrow).unfinished(BEFORE, tomorrow) is None
    assert [stop.check for stop in log(path, tomorrow).stops] == ["brake"]


@pytest.mark.parametrize("cut", [1, 20, 60])
def test_a_line_that_a_power_cut_broke_off_is_told_and_kept(path: Path, cut: int) -> None:
    whole = path.read_bytes()
    path.write_bytes(whole[:-cut])
    found = log(path)
    # Without its end of line alone, a line is whole.
    assert found.broken == (() if cut == 1 else (3,))
    assert len(found.warnings) == len(found.broken)
    append(path, answer_line(seen(BLADE, 1), 1), NOW)
    assert path.read_bytes().startswith(whole[:-cut] + b"\n")
    assert log(path).broken == found.broken
    assert log(path).answers_of(1)["blade"].result is Result.GOOD


def test_blocks_of_zeros_after_a_power_cut_are_a_broken_line(path: Path) -> None:
    path.write_bytes(path.read_bytes() + bytes(40))
    assert log(path).broken == (4,)


def test_a_correction_names_the_old_line_and_counts_instead(path: Path) -> None:
    good = seen(BLADE, 1)
    line = answer_line(good, 1).model_copy(update={"corrects": 3})
    append(path, line, NOW)
    assert log(path).answers_of(1)["blade"].result is Result.GOOD
    assert len(log(path).answers) == 3


def test_a_release_closes_a_stop_for_good(path: Path) -> None:
    release = release_of("brake", "Brake relined and taped", log(path).stops, at=NOW, by=TECHNICIAN)
    append(path, release_line(release), NOW)
    assert log(path).stops == ()
    append(path, answer_line(seen(BRAKE, 2), 1), NOW)
    assert [stop.check for stop in log(path).stops] == ["brake"]


def test_an_entry_dated_in_the_future_is_refused(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(BadInput, match="Enter the time when it was done"):
        append(path, begun(NOW + timedelta(seconds=1)), NOW)
    assert path.read_bytes() == before
    with pytest.raises(UnreadablePaper, match="still to come"):
        log(path, NOW - timedelta(days=1))


def test_the_hour_when_clocks_go_back_locks_nobody_out(path: Path) -> None:
    assert len(log(path, NOW - timedelta(minutes=59)).lines) == 3


def test_the_log_of_another_machine_is_refused(path: Path) -> None:
    with pytest.raises(UnreadablePaper, match='the log of "Ours", not of "Other"'):
        read_round_log(path, "Other", NOW)


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"result": "fine"}, "result"),
        ({"kind": "note"}, "kind"),
        ({"at": "yesterday"}, "at"),
        ({"at": "2026-03-10T21:00:00+01:00"}, "at"),
        ({"by": {"name": "Ana", "skill": "queen"}}, "skill"),
        ({"extra": 1}, "extra"),
        ({"round": None}, "round"),
    ],
)
def test_a_line_that_is_no_entry_is_refused_by_its_key(path: Path, change: dict[str, object], key: str) -> None:
    line = json.loads(path.read_text(encoding="utf-8").splitlines()[1]) | change
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(line) + "\n")
    with pytest.raises(UnreadablePaper, match=rf"line 4 is no entry of a log at .*{key}"):
        log(path)


@pytest.mark.parametrize(
    "change", [{"result": "stop", "release": None}, {"saw": None}, {"by": {"name": " ", "skill": "lead"}}]
)
def test_a_line_that_contradicts_itself_is_refused(path: Path, change: dict[str, object]) -> None:
    line = json.loads(path.read_text(encoding="utf-8").splitlines()[1]) | change
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(line) + "\n")
    with pytest.raises(UnreadablePaper, match="line 4"):
        log(path)


def test_a_file_that_is_no_log_is_not_added_to(tmp_path: Path) -> None:
    plate = tmp_path / "plate.toml"
    plate.write_text('name = "Ours"\n', encoding="utf-8")
    with pytest.raises(UnreadablePaper, match="no log of walk-rounds"):
        log(plate)


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="cannot be written"):
        append(tmp_path / "none" / "round.jsonl", begun(), NOW)


def test_the_present_round_does_not_change_its_own_card(path: Path) -> None:
    assert set(log(path).history(1, NOW).done) == set()
    assert set(log(path).history(None, NOW).done) == {"brake", "blade"}


def test_finished_rounds_have_their_time_and_answers(path: Path) -> None:
    later = NOW + timedelta(minutes=9)
    append(path, answer_line(seen(check("horn"), 1, at=later), 1), later)
    assert log(path, later).done_rounds({}) == ()
    append(path, EndedLine(at=later, round=1), later)
    (done,) = log(path, later).done_rounds({"brake": 1.0, "blade": 0.5, "horn": 0.5})
    assert (done.took_min, done.practised_min, len(done.answers)) == (9.0, 2.0, 3)
