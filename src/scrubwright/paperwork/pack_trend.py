"""The pack's health over time drawn: hours that a full pack runs, the log's own shifts, the work, the day it ends."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scrubwright.jobs.pack_answer import HealthPoint, PackAnswer
from scrubwright.paperwork.pack_drawing import LINE, MARGIN, Drawing, paragraph, text
from scrubwright.paperwork.pack_lines import (
    WORK,
    day_words,
    is_spent,
    month_words,
    replace_words,
    trend_words,
    work_of_h,
)
from scrubwright.paperwork.wording import Teller

_PLOT_TOP, _PLOT_HIGH = 44, 170
_LEFT, _RIGHT = 44, 104
_STEPS_H = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
_MOST_STEPS = 5
# Room below the lowest and above the highest value, as a share of what lies between them.
_ROOM = 0.12
# The time to come gets no more of the paper than the time that was logged.
_MOST_AHEAD = 1.0
_LEAST_DAYS = 30
_MONTH_WIDE = 70
_CAP, _LABEL_ROOM = 5, 28


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """Which day and which hours stand where on the paper."""

    first_day: int
    last_day: int
    least_h: float
    most_h: float
    step_h: float
    right: int

    def x(self, day: date) -> float:
        """Days from the left edge on; never past the right one."""
        share = (day.toordinal() - self.first_day) / (self.last_day - self.first_day)
        return _LEFT + min(1.0, max(0.0, share)) * (self.right - _LEFT)

    def y(self, value_h: float) -> float:
        """Hours from below; never past the edges."""
        share = (value_h - self.least_h) / (self.most_h - self.least_h)
        return _PLOT_TOP + (1 - min(1.0, max(0.0, share))) * _PLOT_HIGH

    def holds(self, day: date) -> bool:
        """Whether the day is on the paper."""
        return self.first_day <= day.toordinal() <= self.last_day


def trend_drawing(answer: PackAnswer, teller: Teller, wide: int) -> Drawing | None:
    """The trend with its range, the shifts of the log as rings, the work dashed; None before two points.

    Where the answer knows until when the pack does the work, a bar along the line of the work is the range
    of that day, and a dot the likely one. What lies further ahead than the log reaches back stays off the
    paper and stands in words.
    """
    if len(answer.trend) < 2:
        return None
    scale = _scale(answer, wide)
    title = teller.words("Hours that a full pack runs this machine")
    parts = [text(MARGIN, 24, title, "bold"), *_grid(scale, teller), *_months(answer, scale, teller)]
    parts.append(_band(answer.trend, scale))
    parts += [_logged(point, scale) for point in answer.trend if point.logged_h is not None]
    line = _path([(point.at.date(), point.full_pack_h) for point in answer.trend], scale)
    parts.append(f'<path class="health" d="{line}"/>')
    parts += _work_and_end(answer, scale, teller)
    parts.append(_last_label(answer, scale, teller))
    y = _PLOT_TOP + _PLOT_HIGH + 48
    for words in (_how_to_read(teller), *replace_words(answer, teller)):
        said, y = paragraph(MARGIN, y, words, wide - 2 * MARGIN)
        parts += said
    told = " ".join([title + ".", *trend_words(answer, teller), *replace_words(answer, teller)])
    return Drawing(wide=wide, high=y + LINE // 2, body="".join(parts), title=told)


def _scale(answer: PackAnswer, wide: int) -> _Scale:
    first, last = answer.trend[0].at.toordinal(), answer.trend[-1].at.toordinal()
    logged = max(last - first, _LEAST_DAYS)
    ahead = max((day.toordinal() for day in answer.replace_by), default=last)
    values = [end for point in answer.trend for end in (point.low_h, point.high_h)]
    work_h = work_of_h(answer)
    if work_h is not None:
        values.append(work_h)
    least, most = min(values), max(values)
    room = _ROOM * (most - least) or 0.5
    step_h = next((step for step in _STEPS_H if (most - least + 2 * room) / step <= _MOST_STEPS), _STEPS_H[-1])
    return _Scale(
        first_day=first,
        last_day=max(first + logged, min(ahead, last + round(_MOST_AHEAD * logged))),
        least_h=max(0.0, step_h * math.floor((least - room) / step_h)),
        most_h=step_h * math.ceil((most + room) / step_h),
        step_h=step_h,
        right=wide - _RIGHT,
    )


def _grid(scale: _Scale, teller: Teller) -> list[str]:
    """Fine lines with their hours; the unit stands at the top one."""
    steps = range(round(scale.least_h / scale.step_h), round(scale.most_h / scale.step_h) + 1)
    parts = []
    for step in steps:
        y = scale.y(step * scale.step_h)
        hours = teller.bare("full_pack_h", step * scale.step_h, 1)
        label = f"{hours} {teller.label('full_pack_h')}" if step == steps[-1] else hours
        parts.append(f'<path class="grid" d="M{_LEFT} {y:.1f}H{scale.right}"/>')
        parts.append(text(MARGIN, round(y) + 5 if step != steps[-1] else round(y) - 3, label, "small soft"))
    return parts


def _months(answer: PackAnswer, scale: _Scale, teller: Teller) -> list[str]:
    """The months of the first point, of the last and of the paper's end, as far as they have room."""
    y = _PLOT_TOP + _PLOT_HIGH
    parts = [f'<path class="axis" d="M{_LEFT} {y}H{scale.right}"/>']
    first, last = answer.trend[0].at.date(), answer.trend[-1].at.date()
    free_from = 0.0
    for day, before, anchor in (
        (first, 0.0, ""),
        (last, 0.5, "middle"),
        (date.fromordinal(scale.last_day), 1.0, "end"),
    ):
        x = scale.x(day)
        left = x - before * _MONTH_WIDE
        if left >= free_from and left + _MONTH_WIDE <= scale.right + _RIGHT:
            free_from = left + _MONTH_WIDE
            parts.append(f'<path class="axis" d="M{x:.1f} {y}v{_CAP}"/>')
            parts.append(text(round(x), y + 22, month_words(day, teller), f"small {anchor}".rstrip()))
    return parts


def _band(trend: Sequence[HealthPoint], scale: _Scale) -> str:
    above = [(point.at.date(), point.high_h) for point in trend]
    below = [(point.at.date(), point.low_h) for point in reversed(trend)]
    return f'<path class="band" d="{_path([*above, *below], scale)}Z"/>'


def _path(points: Sequence[tuple[date, float]], scale: _Scale) -> str:
    return "M" + "L".join(f"{scale.x(day):.1f} {scale.y(value_h):.1f}" for day, value_h in points)


def _logged(point: HealthPoint, scale: _Scale) -> str:
    """A ring for a shift of the log; an arrow head at the edge for one that lies beyond it."""
    x, logged_h = scale.x(point.at.date()), point.logged_h or 0.0
    y = scale.y(logged_h)
    if logged_h > scale.most_h:
        return f'<path class="logged" d="M{x - 4:.1f} {y + 6:.1f}l4 -6 4 6"/>'
    if logged_h < scale.least_h:
        return f'<path class="logged" d="M{x - 4:.1f} {y - 6:.1f}l4 6 4 -6"/>'
    return f'<circle class="logged" cx="{x:.1f}" cy="{y:.1f}" r="3"/>'


def _work_and_end(answer: PackAnswer, scale: _Scale, teller: Teller) -> list[str]:
    """The work as a dashed line named at its end; on it the day that the pack no longer does it, with its range."""
    work_h = work_of_h(answer)
    if work_h is None:
        return []
    y = scale.y(work_h)
    parts = [f'<path class="work" d="M{_LEFT} {y:.1f}H{scale.right}"/>']
    named = teller.words("work {hours}", hours=teller.number(WORK, work_h))
    parts.append(text(scale.right + 6, round(y) + 5, named, "small"))
    if not answer.replace_by or is_spent(answer):
        return parts
    likely, *ends = answer.replace_by
    if len(ends) == 2 and scale.x(ends[0]) < scale.x(ends[1]):
        first, last = (scale.x(day) for day in ends)
        caps = "".join(f"M{scale.x(day):.1f} {y - _CAP:.1f}v{2 * _CAP}" for day in ends if scale.holds(day))
        parts.append(f'<path class="bar" d="M{first:.1f} {y:.1f}H{last:.1f}"/><path class="axis" d="{caps}"/>')
    if scale.holds(likely):
        now, x = answer.trend[-1], scale.x(likely)
        if likely > now.at.date():
            onward = _path([(now.at.date(), now.full_pack_h), (likely, work_h)], scale)
            parts.append(f'<path class="forecast" d="{onward}"/>')
        parts.append(f'<circle class="likely" cx="{x:.1f}" cy="{y:.1f}" r="5"/>')
        middle = min(x, scale.right + _RIGHT - _MONTH_WIDE / 2)
        below = y + _LABEL_ROOM <= _PLOT_TOP + _PLOT_HIGH
        parts.append(
            text(round(middle), round(y) + (23 if below else -12), day_words(likely, teller), "small bold middle")
        )
    return parts


def _last_label(answer: PackAnswer, scale: _Scale, teller: Teller) -> str:
    """Today's hours at the line's end: above the range, or beside or below it where the line of the work is there."""
    last, work_h = answer.trend[-1], work_of_h(answer)
    above, beside, below = scale.y(last.high_h) - 6, scale.y(last.full_pack_h) + 5, scale.y(last.low_h) + LINE
    clear = [y for y in (above, beside) if work_h is None or abs(scale.y(work_h) - y + 5) >= _LABEL_ROOM // 2]
    y = round(clear[0] if clear else below)
    return text(round(scale.x(last.at.date())) + 6, y, teller.number("full_pack_h", last.full_pack_h), "bold")


def _how_to_read(teller: Teller) -> str:
    return teller.words("Rings: shifts of the log. Shaded: holds the true hours four times in five.")
