"""The due list drawn: a horizon with today on the left, each row a mark on its likely day over its 80 % band."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from scrubwright.jobs.due_answer import DueAnswer, Standing
from scrubwright.jobs.due_rows import DueRow, due_rows
from scrubwright.paperwork.due_text import HEADINGS, days_words, title_words, verdict
from scrubwright.paperwork.pack_drawing import LARGE, MARGIN, Drawing, paragraph, svg, text
from scrubwright.paperwork.pack_lines import day_words, month_words
from scrubwright.paperwork.wording import Teller

WIDE = 640
_TITLE_DOWN, _STRIP_DOWN, _WORDS_DOWN, _ROW_HIGH = 18, 32, 52, 68
_HEADING_HIGH, _AXIS_HIGH, _MARK = 34, 30, 6
_DRAWN = (Standing.OVERDUE, Standing.DUE, Standing.SOON)


def due_svg(answer: DueAnswer, teller: Teller) -> str:
    """The list as one SVG file that carries its own typeface and follows light and dark.

    Parameters
    ----------
    answer
        What is due; what falls beyond the horizon is not drawn.
    teller
        For whom.

    Notes
    -----
    The same answer and reader give the same text.
    """
    rows = due_rows(answer)
    drawings = [_head(answer, rows, teller)]
    for standing in _DRAWN:
        mine = [row for row in rows if row.first.standing is standing]
        if mine:
            drawings.append(_group(answer, standing, mine, teller))
    return svg(drawings)


def _head(answer: DueAnswer, rows: Sequence[DueRow], teller: Teller) -> Drawing:
    """The verdict, and the horizon's ends with a tick at each first of a month."""
    told = teller.tell(verdict(answer, rows))
    parts, y = paragraph(MARGIN, 30, told, WIDE - 2 * MARGIN, "large bold", LARGE)
    y += 4
    parts.append(text(MARGIN, y, teller.words("Today, {day}", day=day_words(answer.day, teller)), "small"))
    line = y + 16
    parts.append(f'<path class="axis" d="M{MARGIN} {line}H{WIDE - MARGIN}"/>')
    for first in _firsts(answer):
        x = _x(answer, (first - answer.day).days)
        parts.append(f'<path class="axis" d="M{x} {line - 5}v10"/>')
        # Room for the word, and none on top of today's.
        if MARGIN + 3 * LARGE < x < WIDE - 4 * LARGE:
            parts.append(text(x + 4, line - 6, month_words(first, teller), "small soft"))
    return Drawing(wide=WIDE, high=line + _AXIS_HIGH - 14, body="".join(parts), title=told)


def _firsts(answer: DueAnswer) -> Iterator[date]:
    """First days of the months within the horizon."""
    day = answer.day.replace(day=1)
    end = answer.day + timedelta(days=answer.horizon_days)
    while day <= end:
        if day > answer.day:
            yield day
        day = (day + timedelta(days=32)).replace(day=1)


def _group(answer: DueAnswer, standing: Standing, rows: Sequence[DueRow], teller: Teller) -> Drawing:
    heading = teller.tell(HEADINGS[standing])
    parts = [text(MARGIN, 24, heading, "bold")]
    for number, row in enumerate(rows):
        parts += _row(answer, row, _HEADING_HIGH + number * _ROW_HIGH, teller)
    said = "; ".join(f"{title_words(row, teller)} {days_words(answer, row, teller)}" for row in rows)
    high = _HEADING_HIGH + _ROW_HIGH * len(rows)
    return Drawing(wide=WIDE, high=high, body="".join(parts), title=f"{heading}: {said}.")


def _row(answer: DueAnswer, row: DueRow, top: int, teller: Teller) -> list[str]:
    item = row.first
    likely = item.days.value
    low, high = (likely if end is None else end for end in (item.days.low, item.days.high))
    y = top + _STRIP_DOWN
    parts = [
        text(MARGIN, top + _TITLE_DOWN, title_words(row, teller), "body"),
        f'<path class="grid" d="M{MARGIN} {y}H{WIDE - MARGIN}"/>',
    ]
    if high > max(low, 0.0):
        parts.append(f'<path class="bar" d="M{_x(answer, low)} {y}H{_x(answer, high)}"/>')
    x = _x(answer, likely)
    if likely < 0:
        # Its day lies to the left of the picture.
        parts.append(f'<path class="front" d="M{MARGIN - _MARK} {y}l{2 * _MARK} {-_MARK}v{2 * _MARK}z"/>')
    else:
        parts.append(f'<circle class="likely" cx="{x}" cy="{y}" r="{_MARK}"/>')
    parts.append(text(MARGIN, top + _WORDS_DOWN, days_words(answer, row, teller), "small soft"))
    return parts


def _x(answer: DueAnswer, days: float) -> int:
    """Where a day stands, within the ends of the horizon."""
    share = min(max(days / answer.horizon_days, 0.0), 1.0)
    return round(MARGIN + share * (WIDE - 2 * MARGIN))
