"""The night line: one strip of time a machine, from the start to the hour the floor must be dry, and the chance."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from scrubwright.jobs.shift_answer import Doing, MachineShift, ShiftAnswer, Stretch
from scrubwright.paperwork.face import wide_px
from scrubwright.paperwork.route_places import SOCKET
from scrubwright.paperwork.shift_axis import Axis, grid, now_line
from scrubwright.paperwork.shift_words import at, chance_words, clock_from_words, clock_words
from scrubwright.paperwork.wording import Teller

_ROW, _STRIP, _BAND = 18, 36, 22
_LETTER = 14
# Blocks narrower than this share of the axis are drawn as one run with what follows, so that a number can be read.
_LEAST_RUN = 0.035
# What the labels are fitted to until a script knows the screen, and on paper.
_USUAL_WIDE = 640
_GEM = '<path class="gem" d="M0-13 13 0 0 13-13 0Z"/><text class="inside" y="5">{number}</text>'
_SIGNED = (Doing.SERVICE, Doing.CHARGE)
# Whose word comes first where there is no room for all.
_CALLED = (Doing.SCRUB, Doing.SERVICE, Doing.CHARGE, Doing.WAIT, Doing.DRYING, Doing.MOVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Blocks that follow each other without a stop, drawn as one: first and last number, and when [s]."""

    first: int
    last: int
    start_s: float
    end_s: float


def night_line(answer: ShiftAnswer, teller: Teller, axis: Axis) -> str:
    """The strips of all machines with their words, when the floor is dry, and the chance at the end, as one drawing.

    Places along it are percent, so that it fits any width; a script hides words that have no room there.
    """
    high = _ROW
    parts: list[str] = []
    told: set[Doing] = set()
    for shift in answer.machines:
        calls, shown = _calls(shift, told, teller, axis)
        if calls:
            parts.append(f'<g class="calls" transform="translate(0 {high})">{calls}</g>')
            high += _ROW
        told |= shown | {Doing.MOVE}
        parts.append(f'<g class="strip" transform="translate(0 {high})">{_strip(answer, shift, teller, axis)}</g>')
        high += _STRIP + 6
    chance_y = high - (len(answer.machines) * (_STRIP + 6)) / 2 + 4
    parts.append(f'<g transform="translate(0 {high})">{_dry_band(answer, teller, axis)}</g>')
    high += _BAND
    name = f"{teller.words('The night line')}. {line_told(answer, teller)}"
    return (
        f'<svg class="row line" width="100%" height="{high}" role="img" aria-label="{escape(name)}">'
        f"{grid(axis, high)}{''.join(parts)}{_dry_by(answer, teller, axis)}{_chance(answer, teller, chance_y)}"
        f"{now_line(high)}</svg>"
    )


def line_told(answer: ShiftAnswer, teller: Teller) -> str:
    """The night line in words, for who does not see it."""
    return teller.words(
        "From {start} until it must be dry at {dry_by}; back at {finish}, dry at {dry}; chance {chance}.",
        start=clock_words(answer.question.start_at),
        dry_by=clock_words(answer.question.dry_by),
        finish=clock_words(answer.finish_at),
        dry=clock_from_words(answer.dry_at),
        chance=chance_words(answer.chance.chance_fraction, answer.chance.error_fraction, teller),
    )


def runs_of(line: Sequence[Stretch], axis: Axis) -> tuple[Run, ...]:
    """The blocks of one machine; those too short to be seen go with the next, up to a stop or a pause."""
    runs: list[Run] = []
    is_open = False
    for each in line:
        if each.doing is Doing.SCRUB and each.block is not None:
            run = runs[-1] if runs and is_open else None
            short_s = _LEAST_RUN * axis.span_s
            joins = run is not None and (
                each.block == run.last
                or (each.block == run.last + 1 and min(run.end_s - run.start_s, each.end_s - each.start_s) < short_s)
            )
            if run is not None and joins:
                runs[-1] = Run(first=run.first, last=each.block, start_s=run.start_s, end_s=each.end_s)
            else:
                runs.append(Run(first=each.block, last=each.block, start_s=each.start_s, end_s=each.end_s))
            is_open = True
        elif each.doing is not Doing.MOVE:
            is_open = False
    return tuple(runs)


def _strip(answer: ShiftAnswer, shift: MachineShift, teller: Teller, axis: Axis) -> str:
    middle = _STRIP / 2
    parts = [f'<rect class="move" {axis.box(0.0, shift.finish_s)} y="{middle - 1.5}" height="3"/>']
    # The floor dries while the machine dumps and drives home, so that box lies below the others.
    drying = [each for each in shift.line if each.doing is Doing.DRYING]
    parts += [_part("drying", each.start_s, each.end_s, "", axis) for each in drying]
    for run in runs_of(shift.line, axis):
        numbers = str(run.first) if run.first == run.last else f"{run.first}–{run.last}"
        parts.append(_part("scrub", run.start_s, run.end_s, numbers, axis))
    parts += [_part(_kind(each.doing), each.start_s, each.end_s, "", axis) for each in shift.line if _is_box(each)]
    # Signs come last: they reach into what stands beside a short stop. A stop at two places has its number once.
    shown: set[int | None] = set()
    for each in shift.line:
        is_again = each.doing is Doing.SERVICE and each.stop in shown
        if each.doing in _SIGNED and not is_again:
            sign = SOCKET if each.doing is Doing.CHARGE else _GEM.format(number=each.stop or "")
            x = axis.x((each.start_s + each.end_s) / 2)
            parts.append(f'<svg class="sign" x="{x}" y="{middle}" width="1" height="1"><g>{sign}</g></svg>')
        if each.doing is Doing.SERVICE:
            shown.add(each.stop)
    if len(answer.machines) > 1:
        name = escape(teller.words("M{machine}", machine=shift.machine))
        parts.append(f'<text class="machine" x="0" dx="-6" y="{middle + 5}">{name}</text>')
    return "".join(parts)


def _is_box(stretch: Stretch) -> bool:
    return stretch.doing in (*_SIGNED, Doing.WAIT)


def _part(kind: str, start_s: float, end_s: float, label: str, axis: Axis) -> str:
    """A stretch as a box with its label in the middle, if it has room there."""
    fits = wide_px(label, _LETTER) + 6 < axis.share_ratio(end_s - start_s) * _USUAL_WIDE
    word = (
        f'<text x="50%" y="{_STRIP / 2 + 5}" data-fit="{escape(label)}">{escape(label) if fits else ""}</text>'
        if label
        else ""
    )
    return (
        f'<svg class="part {kind}" {axis.box(start_s, end_s)} height="{_STRIP}">'
        f'<rect x="0.5" y="2" width="100%" height="{_STRIP - 4}"/>{word}</svg>'
    )


def _calls(shift: MachineShift, told: set[Doing], teller: Teller, axis: Axis) -> tuple[str, set[Doing]]:
    """A word above the first stretch with room of each thing that a machine does; and which of them are shown."""
    calls: list[str] = []
    taken: list[tuple[float, float]] = []
    shown: set[Doing] = set()
    for each in sorted(shift.line, key=lambda one: (_CALLED.index(one.doing), one.start_s)):
        if each.doing in told:
            continue
        middle = axis.share_ratio((each.start_s + each.end_s) / 2)
        label = teller.words(each.doing)
        half = wide_px(label, _LETTER) / 2 + 3
        left, right = middle * _USUAL_WIDE - half, middle * _USUAL_WIDE + half
        free = all(right < one or left > other for one, other in taken)
        fits = each.doing not in shown and left > -12 and free
        if fits:
            taken.append((left, right))
            shown.add(each.doing)
        hidden = "" if fits else ' visibility="hidden"'
        calls.append(
            f'<text class="call" data-kind="{_kind(each.doing)}" x="{axis.x((each.start_s + each.end_s) / 2)}" '
            f'y="14"{hidden}>{escape(label)}</text>'
        )
    return "".join(calls), shown


def _dry_by(answer: ShiftAnswer, teller: Teller, axis: Axis) -> str:
    label = teller.words("must be dry {clock}", clock=clock_words(answer.question.dry_by))
    x = axis.x(axis.dry_by_s)
    late = f'<text x="{x}" dx="8" y="13">{escape(teller.words("too late"))}</text>'
    return f'<text class="must" x="{x}" dx="-6" y="13">{escape(label)}</text>' + (
        late if axis.span_s > axis.dry_by_s else ""
    )


def _dry_band(answer: ShiftAnswer, teller: Teller, axis: Axis) -> str:
    """When the last wet floor is dry: 8 in 10 shifts between two ends, the middle marked."""
    low_s, middle_s, high_s = answer.chance.dry_s
    low, high = clock_words(at(answer, low_s)), clock_words(at(answer, high_s))
    label = escape(teller.words("dry {low} to {high}", low=low, high=high))
    ends = "".join(
        f'<line x1="{axis.x(each)}" x2="{axis.x(each)}" y1="{top}" y2="{foot}"/>'
        for each, top, foot in ((low_s, 5, 17), (high_s, 5, 17), (middle_s, 2, 20))
    )
    # Where there is no room before the band, a script puts the words behind it.
    x, dx, kind = (axis.x(low_s), -8, "before") if axis.share_ratio(low_s) > 0.45 else (axis.x(high_s), 8, "behind")
    return (
        f'<g class="band"><line x1="{axis.x(low_s)}" x2="{axis.x(high_s)}" y1="11" y2="11"/>{ends}</g>'
        f'<text class="{kind}" x="{x}" dx="{dx}" y="16" data-behind="{axis.x(high_s)}">{label}</text>'
    )


def _chance(answer: ShiftAnswer, teller: Teller, y: float) -> str:
    """The chance of finishing at the line's end, its give and take below."""
    chance = answer.chance
    told = chance_words(chance.chance_fraction, chance.error_fraction, teller)
    first, _, band = told.partition(" ± ")
    small = f'<text class="give" x="100%" dx="12" y="{y + 20}">± {escape(band)}</text>' if band else ""
    return f'<text class="chance" x="100%" dx="12" y="{y}">{escape(first)}</text>{small}'


def _kind(doing: Doing) -> str:
    return {
        Doing.SCRUB: "scrub",
        Doing.MOVE: "move",
        Doing.SERVICE: "service",
        Doing.CHARGE: "charge",
        Doing.WAIT: "wait",
        Doing.DRYING: "drying",
    }[doing]
