"""The due list as a calendar file that calendar programs read or subscribe to (RFC 5545).

Each row has an identity of its own that stays, so a program moves the entry and does not double it. What the file
said before is read again: where a day moves, the entry's sequence number rises; where nothing changes, nothing does.
"""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from icalendar import Calendar, Event

from scrubwright.jobs.due_answer import DueAnswer
from scrubwright.jobs.due_rows import DueRow, due_rows, is_told
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.pack_lines import day_words
from scrubwright.paperwork.wording import Teller

# Names of entries are made of this and of machine and line, so that no two shops' entries meet.
_NAMES = uuid.uuid5(uuid.NAMESPACE_DNS, "due.scrubwright.invalid")
# Nothing further ahead stands in a calendar.
FURTHEST_DAYS = 730.0
LARGEST_FILE_BYTES = 5_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarEntry:
    """One entry as a calendar file holds it.

    Parameters
    ----------
    uid
        Its lasting identity.
    day
        The likely day.
    title, told
        What is due, and its band with where it comes from.
    sequence
        How often its day has moved.
    changed
        When anything of it last changed.
    """

    uid: str
    day: date
    title: str
    told: str
    sequence: int
    changed: datetime


def due_calendar(
    answers: Sequence[DueAnswer], before: Mapping[str, CalendarEntry], now: datetime, teller: Teller
) -> bytes:
    """The calendar file of some machines.

    Parameters
    ----------
    answers
        What is due on each.
    before
        What the file said before, see `read_calendar`; empty for a new one.
    now
        The time of writing.
    teller
        Whose language the entries are in.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Scrubwright//Due//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", teller.words("Scrubber service"))
    for entry in calendar_entries(answers, before, now, teller):
        calendar.add_component(_event(entry))
    return bytes(calendar.to_ical())


def calendar_entries(
    answers: Sequence[DueAnswer], before: Mapping[str, CalendarEntry], now: datetime, teller: Teller
) -> tuple[CalendarEntry, ...]:
    """The entries of some machines, with sequence numbers that follow from what the file said before.

    Parameters
    ----------
    answers, before, now, teller
        As for `due_calendar`.
    """
    # A round that is due on several days stands at its first.
    found: dict[str, CalendarEntry] = {}
    for answer in answers:
        for row in due_rows(answer):
            if is_told(row) and row.first.days.value <= FURTHEST_DAYS:
                entry = _entry(answer, row, before, now, teller)
                found.setdefault(entry.uid, entry)
    return tuple(sorted(found.values(), key=lambda entry: (entry.day, entry.uid)))


def read_calendar(path: Path) -> dict[str, CalendarEntry]:
    """What a calendar file says, by identity; nothing where there is no file yet.

    Parameters
    ----------
    path
        The file.

    Raises
    ------
    UnreadablePaper
        It is no calendar, or far too large.
    """
    if not path.exists():
        return {}
    if path.stat().st_size > LARGEST_FILE_BYTES:
        raise UnreadablePaper(
            "{file} is {size_bytes}; a calendar of due lines has at most {limit_bytes}. Name another file.",
            file=path.name,
            size_bytes=float(path.stat().st_size),
            limit_bytes=float(LARGEST_FILE_BYTES),
        )
    try:
        calendar = Calendar.from_ical(path.read_bytes())
        entries = [_read(each) for each in calendar.walk("VEVENT") if isinstance(each, Event)]
    except (ValueError, KeyError, IndexError, AttributeError) as error:
        raise UnreadablePaper(
            "{file} is no calendar file that can be read. Name a new file, or take this one away.", file=path.name
        ) from error
    return {entry.uid: entry for entry in entries}


def _entry(
    answer: DueAnswer, row: DueRow, before: Mapping[str, CalendarEntry], now: datetime, teller: Teller
) -> CalendarEntry:
    uid = f"{uuid.uuid5(_NAMES, f'{answer.machine} / {row.identity}')}@due.scrubwright.invalid"
    day = answer.likely_day(row.first)
    title, told = teller.words("{machine}: {said}", machine=answer.machine, said=row.title), _told(answer, row, teller)
    old = before.get(uid)
    if old is not None and (old.day, old.title, old.told) == (day, title, told):
        return old
    sequence = 0 if old is None else old.sequence + (old.day != day)
    changed = (now if now.tzinfo else now.astimezone()).astimezone(UTC).replace(microsecond=0)
    return CalendarEntry(uid=uid, day=day, title=title, told=told, sequence=sequence, changed=changed)


def _told(answer: DueAnswer, row: DueRow, teller: Teller) -> str:
    low, high = answer.band(row.first)
    lines = []
    if low != high:
        begin, end = day_words(low, teller), day_words(high, teller)
        lines.append(teller.words("In 8 of 10 cases between {begin} and {end}.", begin=begin, end=end))
    lines.append(f"{teller.words(row.first.days.origin)}: {teller.tell(row.first.days.detail)}")
    lines.append(teller.words("Work: {takes_min}", takes_min=row.takes_min))
    if len(row.items) > 1:
        lines += [f"- {teller.tell(item.line.name)}" for item in row.items]
    return "\n".join(lines)


def _event(entry: CalendarEntry) -> Event:
    event = Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", entry.changed)
    event.add("last-modified", entry.changed)
    event.add("sequence", entry.sequence)
    event.add("dtstart", entry.day)
    event.add("dtend", entry.day + timedelta(days=1))
    event.add("summary", entry.title)
    event.add("description", entry.told)
    event.add("transp", "TRANSPARENT")
    return event


def _read(event: Event) -> CalendarEntry:
    day, changed = event.decoded("dtstart"), event.decoded("dtstamp")
    return CalendarEntry(
        uid=str(event["uid"]),
        day=day.date() if isinstance(day, datetime) else day,
        title=str(event.get("summary", "")),
        told=str(event.get("description", "")),
        sequence=int(event.decoded("sequence", 0)),
        changed=changed,
    )
