"""The due list as text: a horizon with today on the left, each line a mark with its 80 % band, questions below."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta
from types import MappingProxyType

from scrubwright.jobs.due_answer import DueAnswer, MeterStand, Standing
from scrubwright.jobs.due_lines import METER_NAMES
from scrubwright.jobs.due_rows import DueRow, due_rows
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_lines import day_words
from scrubwright.paperwork.text_columns import Section, sections_text, wrapped
from scrubwright.paperwork.wording import Teller

STRIP = 24
_MARK, _BAND, _EMPTY, _PAST = "●", "━", "·", "◀"
HEADINGS: Mapping[Standing, Sentence] = MappingProxyType(
    {
        Standing.OVERDUE: Sentence("Overdue"),
        Standing.DUE: Sentence("Due today"),
        Standing.SOON: Sentence("Coming up"),
        Standing.LATER: Sentence("Later"),
    }
)


def due_text(answer: DueAnswer, refused: Sequence[Sentence], teller: Teller, *, tells_all: bool = False) -> str:
    """The whole list as plain text, 80 letters wide."""
    return sections_text(due_sections(answer, refused, teller, tells_all=tells_all)) + "\n"


def due_sections(
    answer: DueAnswer, refused: Sequence[Sentence], teller: Teller, *, tells_all: bool = False
) -> tuple[Section, ...]:
    """The list in parts: the verdict, what is overdue, due, coming up and later, meters, and what to answer.

    Parameters
    ----------
    answer
        What is due.
    refused
        Rows of the files that could not be read.
    teller
        For whom.
    tells_all
        Whether also what is due beyond the horizon, and each check of a round.
    """
    rows = due_rows(answer)
    sections = [Section(heading=teller.tell(verdict(answer, rows)), body=_scale(answer, teller))]
    for standing, heading in HEADINGS.items():
        mine = [row for row in rows if row.first.standing is standing]
        if not mine:
            continue
        if standing is Standing.LATER and not tells_all:
            body = wrapped(
                teller.words("Due after that: {count}. Add --all to see them.", count=len(mine)), indent="  "
            )
        else:
            body = "\n".join(_row_text(answer, row, teller, tells_all=tells_all) for row in mine)
        sections.append(Section(heading=teller.tell(heading), body=body))
    sections.append(Section(heading=teller.words("Meters"), body=_meters_text(answer.meters, teller)))
    asked = [*_questions(answer), *refused]
    if asked:
        body = "\n".join(wrapped(teller.tell(each), indent="  ", mark="- ") for each in asked)
        sections.append(Section(heading=teller.words("To answer or mend"), body=body))
    return tuple(sections)


def verdict(answer: DueAnswer, rows: Sequence[DueRow]) -> Sentence:
    """How many rows are overdue, due and coming up, in one sentence."""
    standings = [row.first.standing for row in rows]
    overdue, due = standings.count(Standing.OVERDUE), standings.count(Standing.DUE)
    soon = standings.count(Standing.SOON)
    if overdue + due + soon == 0:
        return Sentence(
            "{machine}: nothing falls due in {horizon_days}.",
            machine=answer.machine,
            horizon_days=answer.horizon_days,
        )
    return Sentence(
        "{machine}: overdue {overdue}, due today {due}, in {horizon_days} {soon} more.",
        machine=answer.machine,
        overdue=overdue,
        due=due,
        soon=soon,
        horizon_days=answer.horizon_days,
    )


def _scale(answer: DueAnswer, teller: Teller) -> str:
    """The ends of the horizon above its strip."""
    begin = day_words(answer.day, teller)
    end = day_words(answer.day + timedelta(days=answer.horizon_days), teller)
    told = teller.words("Left end of each strip: today, {begin}. Right end: {end}.", begin=begin, end=end)
    signs = teller.words(
        "{mark} likely day, {band} 80 % band, {past} before today.", mark=_MARK, band=_BAND, past=_PAST
    )
    return wrapped(f"{told} {signs}", indent="  ")


def _row_text(answer: DueAnswer, row: DueRow, teller: Teller, *, tells_all: bool) -> str:
    item = row.first
    days = days_words(answer, row, teller)
    lines = [f"  {strip(answer, row)}  {title_words(row, teller)}"]
    origin, detail = teller.words(item.days.origin), teller.tell(item.days.detail)
    lines.append(wrapped(f"{days} · {origin} · {detail}", indent="      "))
    if item.change is not None:
        lines.append(wrapped(teller.tell(item.change), indent="      "))
    if tells_all and len(row.items) > 1:
        lines += [wrapped(teller.tell(each.line.name), indent="      ", mark="- ") for each in row.items]
    return "\n".join(lines)


def title_words(row: DueRow, teller: Teller) -> str:
    """What a row is about, with a capital."""
    title = teller.tell(row.title)
    return title[0].upper() + title[1:]


def days_words(answer: DueAnswer, row: DueRow, teller: Teller) -> str:
    """The likely day of a row and its band."""
    low, high = answer.band(row.first)
    likely = day_words(answer.likely_day(row.first), teller)
    if low == high:
        return teller.words("on {day}", day=likely)
    begin, end = day_words(low, teller), day_words(high, teller)
    return teller.words("about {day}, between {low} and {high}", day=likely, low=begin, high=end)


def strip(answer: DueAnswer, row: DueRow) -> str:
    """The horizon of one row, today on the left: its band and its likely day.

    Parameters
    ----------
    answer
        What is due.
    row
        One row of it.
    """
    item = row.first
    likely = item.days.value
    low, high = (likely if end is None else end for end in (item.days.low, item.days.high))
    cells = [_EMPTY] * STRIP
    scale = STRIP / answer.horizon_days
    for place in range(max(0, int(low * scale)), min(STRIP, int(high * scale) + 1)):
        cells[place] = _BAND
    place = int(likely * scale)
    if likely < 0:
        cells[0] = _PAST
    elif place < STRIP:
        cells[place] = _MARK
    return "".join(cells)


def _meters_text(meters: Sequence[MeterStand], teller: Teller) -> str:
    lines = []
    for stand in meters:
        name = teller.tell(METER_NAMES[stand.counts])
        if stand.last_h is None or stand.last_day is None:
            told = teller.words("{meter}: never read", meter=name)
        else:
            told = teller.words(
                "{meter}: {last_h} on {day}, usually {pace_h_per_day}",
                meter=name,
                last_h=stand.last_h,
                day=day_words(stand.last_day, teller),
                pace_h_per_day=stand.pace_h_per_day,
            )
        lines.append(wrapped(told[0].upper() + told[1:], indent="  "))
    return "\n".join(lines)


def _questions(answer: DueAnswer) -> Iterator[Sentence]:
    for stand in answer.meters:
        yield from stand.questions
    for item in answer.items:
        yield from (Sentence("{name}: {said}", name=item.line.name, said=each) for each in item.questions)
    yield from answer.questions
