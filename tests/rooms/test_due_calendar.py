"""The calendar file: entries keep their identity, rise in sequence when their day moves, and else stay as they are."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from icalendar import Calendar

from scrubwright.catalogue.checks import Occasion, WornBy
from scrubwright.jobs.due_answer import DueAnswer
from scrubwright.jobs.due_question import Change
from scrubwright.jobs.what_is_due import what_is_due
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.due_calendar import calendar_entries, due_calendar, read_calendar
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.due_example import NOW, catalogue, check, item, machine, meter, question

TELLER = Teller()
WRITTEN = datetime(2026, 4, 9, 12, 0, tzinfo=UTC)
LATER = WRITTEN + timedelta(days=1)
LINES = catalogue(
    item("brush, or roller; the\\long one with a name that goes on for more than seventy-five letters in a row"),
    item("hose", meter=WornBy.CALENDAR, life_h=None, life_days=(120, 400)),
    checks=[check("a", Occasion.WEEKLY), check("b", Occasion.WEEKLY)],
)


def answer(*changes: Change) -> DueAnswer:
    return what_is_due(question(machine(meter(), changes=changes), LINES))


def written(path: Path, found: DueAnswer, now: datetime, teller: Teller = TELLER) -> bytes:
    content = due_calendar((found,), read_calendar(path), now, teller)
    path.write_bytes(content)
    return content


def test_nothing_changed_writes_the_same_bytes_again(tmp_path: Path) -> None:
    path = tmp_path / "due.ics"
    assert written(path, answer(), WRITTEN) == written(path, answer(), LATER)


def test_a_moved_day_keeps_the_identity_and_raises_the_sequence(tmp_path: Path) -> None:
    path = tmp_path / "due.ics"
    written(path, answer(), WRITTEN)
    before = read_calendar(path)
    written(path, answer(Change(line="hose", at=NOW - timedelta(days=10))), LATER)
    after = read_calendar(path)
    assert before.keys() == after.keys()
    moved = [uid for uid in after if after[uid].day != before[uid].day]
    assert len(moved) == 1
    for uid in after:
        assert after[uid].sequence == (1 if uid in moved else 0)
        assert (after[uid].changed == LATER) is (uid in moved)


def test_a_band_that_changes_alone_keeps_the_sequence(tmp_path: Path) -> None:
    path = tmp_path / "due.ics"
    written(path, answer(), WRITTEN)
    before = read_calendar(path)
    told = {uid: replace(entry, told="otherwise") for uid, entry in before.items()}
    entries = calendar_entries((answer(),), told, LATER, TELLER)
    assert {entry.sequence for entry in entries} == {0}
    assert {entry.changed for entry in entries} == {LATER}


def test_another_program_reads_what_was_meant(tmp_path: Path) -> None:
    content = written(tmp_path / "due.ics", answer(), WRITTEN)
    events = Calendar.from_ical(content).walk("VEVENT")
    entries = {entry.uid: entry for entry in calendar_entries((answer(),), {}, WRITTEN, TELLER)}
    assert len(events) == len(entries) == 3
    for event in events:
        entry = entries[str(event["uid"])]
        assert event.decoded("dtstart") == entry.day
        assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1)
        assert (str(event["summary"]), str(event["description"])) == (entry.title, entry.told)


def test_lines_are_folded_and_marks_escaped(tmp_path: Path) -> None:
    content = written(tmp_path / "due.ics", answer(), WRITTEN)
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))
    assert b"brush\\, or roller\\; the\\\\long" in content.replace(b"\r\n ", b"")


def test_checks_of_one_round_are_one_entry(tmp_path: Path) -> None:
    content = written(tmp_path / "due.ics", answer(), WRITTEN)
    assert content.decode().count("weekly checks: 2") == 1


def test_entries_are_told_in_spanish(tmp_path: Path) -> None:
    content = written(tmp_path / "due.ics", answer(), WRITTEN, Teller(language=Language.SPANISH)).decode()
    assert "revisiones semanales: 2" in content
    assert "En 8 de cada 10 casos" in content


def test_two_machines_never_share_an_entry() -> None:
    one = answer()
    entries = calendar_entries((one, replace(one, machine="two")), {}, WRITTEN, TELLER)
    assert len({entry.uid for entry in entries}) == 6


def test_a_file_that_is_no_calendar_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "due.ics"
    for content in (b"", b"hello", b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"):
        path.write_bytes(content)
        with pytest.raises(UnreadablePaper, match="no calendar"):
            read_calendar(path)


def test_no_file_yet_is_an_empty_calendar(tmp_path: Path) -> None:
    assert read_calendar(tmp_path / "none.ics") == {}
