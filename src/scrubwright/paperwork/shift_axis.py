"""The one time axis that the night line, the tanks and the charge of a shift share on its page."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from scrubwright.jobs.shift_answer import ShiftAnswer
from scrubwright.paperwork.shift_words import clock_words

_STEPS_MIN = (5, 10, 15, 20, 30, 60, 120, 180, 240)
_MOST_TICKS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """Time from left to right; places are percent of its length, so that a drawing fits any screen.

    Parameters
    ----------
    start_at
        When the shift starts.
    span_s
        What the axis is long [s]: to the hour at which the floor must be dry, or to the end of what comes later.
    dry_by_s
        That hour, since the start [s].
    """

    start_at: datetime
    span_s: float
    dry_by_s: float

    def share_ratio(self, since_s: float) -> float:
        """How far along the axis a time lies [0 to 1]."""
        return since_s / self.span_s

    def x(self, since_s: float) -> str:
        """Where a time lies, e.g. "12.5%"."""
        return percent(self.share_ratio(since_s))

    def box(self, from_s: float, until_s: float) -> str:
        """Where a stretch lies, as the attributes `x` and `width`."""
        return f'x="{self.x(from_s)}" width="{percent(max(0.0, self.share_ratio(until_s - from_s)))}"'

    def ticks(self) -> tuple[tuple[float, str], ...]:
        """Round clock times with their seconds since the start, few enough for a phone."""
        step_min = next((each for each in _STEPS_MIN if self.span_s / 60 / each <= _MOST_TICKS), _STEPS_MIN[-1])
        midnight = datetime.combine(self.start_at.date(), datetime.min.time())
        first_min = -(-(self.start_at - midnight).total_seconds() // 60 // step_min) * step_min
        found = []
        at = midnight + timedelta(minutes=first_min)
        while (since_s := (at - self.start_at).total_seconds()) <= self.span_s:
            found.append((since_s, clock_words(at)))
            at += timedelta(minutes=step_min)
        return tuple(found)


def axis_of(answer: ShiftAnswer) -> Axis:
    """From the start to the hour at which the floor must be dry, or later where the shift is."""
    dry_s = (answer.dry_at - answer.question.start_at).total_seconds()
    last_s = [stretch.end_s for machine in answer.machines for stretch in machine.line]
    latest_s = max(dry_s, *last_s, answer.chance.dry_s[-1], answer.chance.finish_s[-1])
    window_s = answer.question.window_s
    # A little past a missed hour, so that its line does not stand at the edge.
    span_s = window_s if latest_s <= window_s else 1.02 * latest_s
    return Axis(start_at=answer.question.start_at, span_s=span_s, dry_by_s=window_s)


def grid(axis: Axis, high: int) -> str:
    """Round clock times as fine lines, what comes too late, the hour that the floor must be dry, and the time now."""
    lines = "".join(
        f'<line class="hour" x1="{axis.x(at_s)}" x2="{axis.x(at_s)}" y1="0" y2="{high}"/>' for at_s, _ in axis.ticks()
    )
    late = (
        f'<rect class="late" {axis.box(axis.dry_by_s, axis.span_s)} y="0" height="{high}"/>'
        if axis.span_s > axis.dry_by_s
        else ""
    )
    dry_by = axis.x(axis.dry_by_s)
    return f'{lines}{late}<line class="dry-by" x1="{dry_by}" x2="{dry_by}" y1="0" y2="{high}"/>'


def now_line(high: int) -> str:
    """The time that the slider shows; a script moves it."""
    return f'<line class="now" x1="0%" x2="0%" y1="0" y2="{high}"/>'


def hours(axis: Axis) -> str:
    """The clock below everything."""
    words = "".join(f'<text x="{axis.x(at_s)}" y="14">{told}</text>' for at_s, told in axis.ticks())
    return f'<svg class="row hours" width="100%" height="20" aria-hidden="true">{words}</svg>'


def percent(share_ratio: float) -> str:
    """A share of a drawing's width."""
    return f"{100 * share_ratio:.2f}%"


def apart_px(heights_px: Sequence[float], least_px: float) -> list[float]:
    """Heights of labels moved as little as need be, so that none covers another; in the order given.

    Examples
    --------
    >>> apart_px([10.0, 12.0, 60.0], 14.0)
    [4.0, 18.0, 60.0]
    """
    order = sorted(range(len(heights_px)), key=lambda index: heights_px[index])
    # Labels that touch move as one group, which stands where it moves least: at the mean of what its labels want.
    groups: list[tuple[float, int]] = []
    for rank, index in enumerate(order):
        wanted, count = heights_px[index] - rank * least_px, 1
        while groups and groups[-1][0] >= wanted:
            before, more = groups.pop()
            wanted, count = (before * more + wanted * count) / (more + count), count + more
        groups.append((wanted, count))
    wants = [wanted for wanted, count in groups for _ in range(count)]
    return [wants[order.index(index)] + order.index(index) * least_px for index in range(len(heights_px))]
