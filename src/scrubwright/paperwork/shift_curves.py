"""Charge and tanks through a shift, on the same time axis as its night line."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from scrubwright.jobs.shift_answer import ShiftAnswer
from scrubwright.paperwork.route_playback import first_levels_l
from scrubwright.paperwork.shift_axis import Axis, apart_px, grid, now_line
from scrubwright.paperwork.shift_route import TimedLeg
from scrubwright.paperwork.shift_words import share_words
from scrubwright.paperwork.wording import Teller

# Heights in pixels: the scales, and the room above and below them.
_CHARGE_HIGH, _TANKS_HIGH, _EDGE = 80, 48, 7
_LETTER = 14
_WIDE = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """How full something is at a time since the start of the shift; straight lines between."""

    at_s: float
    full_fraction: float


def charge_levels(answer: ShiftAnswer, machine: int, legs: Sequence[TimedLeg]) -> tuple[Level, ...]:
    """The charge of one machine from the start to its end."""
    start = answer.question.machines[machine - 1].charge_fraction
    after = (Level(at_s=leg.end_s, full_fraction=leg.charge_fraction) for leg in legs)
    return (Level(at_s=0.0, full_fraction=start), *after)


def tank_top_l(answer: ShiftAnswer) -> float:
    """The top of the tanks' scale: the larger tank [L]."""
    return max(answer.route.solution_tank_l, answer.route.recovery_tank_l)


def charge_curve(answer: ShiftAnswer, levels: Sequence[Sequence[Level]], teller: Teller, axis: Axis) -> str:
    """The charge of every machine, the line of what must stay, and the range at the end, as one drawing."""
    reserve = answer.question.settings.reserve_fraction
    high = _CHARGE_HIGH + 2 * _EDGE
    keep_y = _y(reserve, _CHARGE_HIGH)
    keep = escape(teller.words("keep {reserve}", reserve=share_words(reserve, teller)))
    ends = [each[-1] for each in levels]
    names = [
        _of(answer, index, f"{teller.words('charge')} {_share(end.full_fraction, teller)}", teller)
        for index, end in enumerate(ends)
    ]
    lines = "".join(_curve(f"charge by{index % 4 + 1}", each, axis, _CHARGE_HIGH) for index, each in enumerate(levels))
    dots = "".join(_dot("charge", index) for index in range(len(levels)))
    return (
        f'<svg class="row curve charge" width="100%" height="{high}" role="img" '
        f'aria-label="{escape(_charge_told(answer, levels, teller))}">'
        f'<rect class="reserve" x="0" y="{keep_y:.1f}" width="100%" height="{_EDGE + _CHARGE_HIGH - keep_y:.1f}"/>'
        f"{grid(axis, high)}{_frame(_CHARGE_HIGH)}"
        f'<line class="keep" x1="0" x2="100%" y1="{keep_y:.1f}" y2="{keep_y:.1f}"/>{lines}'
        f"{_end_band(answer, ends, axis)}"
        f'<text class="keep-word" x="0" dx="4" y="{min(keep_y + 15, high - _EDGE - 1):.1f}">{keep}</text>'
        f"{_end_names(ends, names, _share(1.0, teller), axis, _CHARGE_HIGH)}{now_line(high)}{dots}</svg>"
    )


def tank_curve(answer: ShiftAnswer, index: int, legs: Sequence[TimedLeg], teller: Teller, axis: Axis) -> str:
    """Both tanks of one machine, solution as a full line, what is recovered as a broken one."""
    full_l = tank_top_l(answer)
    route = answer.route.routes[index]
    solution_l, recovered_l = first_levels_l(route, answer.route)
    solution = [Level(at_s=0.0, full_fraction=solution_l / full_l)]
    solution += [Level(at_s=each.end_s, full_fraction=each.leg.solution_l / full_l) for each in legs]
    recovered = [Level(at_s=0.0, full_fraction=recovered_l / full_l)]
    recovered += [Level(at_s=each.end_s, full_fraction=each.leg.recovered_l / full_l) for each in legs]
    names = [_of(answer, index, teller.words(word), teller) for word in ("solution", "recovered")]
    ends = [solution[-1], recovered[-1]]
    high = _TANKS_HIGH + 2 * _EDGE
    told = teller.words(
        "Tanks of machine {machine}: emptied and filled {count} times.", machine=route.machine, count=len(route.stops)
    )
    return (
        f'<svg class="row curve tanks" width="100%" height="{high}" role="img" aria-label="{escape(told)}">'
        f"{grid(axis, high)}{_frame(_TANKS_HIGH)}"
        f"{_curve('solution', solution, axis, _TANKS_HIGH)}{_curve('recovered', recovered, axis, _TANKS_HIGH)}"
        f"{_end_names(ends, names, teller.number('full_l', full_l), axis, _TANKS_HIGH)}"
        f"{now_line(high)}{_dot('solution', index)}{_dot('recovered', index)}</svg>"
    )


def _charge_told(answer: ShiftAnswer, levels: Sequence[Sequence[Level]], teller: Teller) -> str:
    """The charge in words, for who does not see it."""
    low, _, high = answer.chance.end_charge_fraction
    return teller.words(
        "Charge through the shift: {start} at the start, {end} at the end, 8 times in 10 between {low} and {high}.",
        start=_share(min(each[0].full_fraction for each in levels), teller),
        end=_share(min(each[-1].full_fraction for each in levels), teller),
        low=_share(low, teller),
        high=_share(high, teller),
    )


def _share(share: float, teller: Teller) -> str:
    return share_words(max(0.0, share), teller)


def _y(share: float, scale: int) -> float:
    return _EDGE + scale * (1 - min(1.0, max(0.0, share)))


def _frame(scale: int) -> str:
    return "".join(f'<line class="frame" x1="0" x2="100%" y1="{y}" y2="{y}"/>' for y in (_EDGE, _EDGE + scale))


def _curve(kind: str, levels: Sequence[Level], axis: Axis, scale: int) -> str:
    """A line in a window of its own, which stretches to the width of the screen."""
    places = (
        f"{_WIDE * axis.share_ratio(each.at_s):.1f} {_y(each.full_fraction, scale) - _EDGE:.1f}" for each in levels
    )
    return (
        f'<svg x="0" y="{_EDGE}" width="100%" height="{scale}" viewBox="0 0 {_WIDE} {scale}" '
        f'preserveAspectRatio="none"><path class="{kind}" d="M{"L".join(dict.fromkeys(places))}"/></svg>'
    )


def _end_band(answer: ShiftAnswer, ends: Sequence[Level], axis: Axis) -> str:
    """Where the charge ends in 8 of 10 shifts: a bracket at the end of the line that ends lowest."""
    low, _, high = answer.chance.end_charge_fraction
    lowest = min(ends, key=lambda end: end.full_fraction)
    top, foot = _y(high, _CHARGE_HIGH), _y(low, _CHARGE_HIGH)
    return (
        f'<svg class="end" x="{axis.x(lowest.at_s)}" y="0" width="1" height="1">'
        f'<path d="M-5 {top:.1f}H5M0 {top:.1f}V{foot:.1f}M-5 {foot:.1f}H5"/></svg>'
    )


def _end_names(ends: Sequence[Level], names: Sequence[str], top: str, axis: Axis, scale: int) -> str:
    """Each line's name at its end, and the top of the scale where no name stands."""
    heights = apart_px([_y(end.full_fraction, scale) + 5 for end in ends], _LETTER + 1)
    over = max(0.0, max(heights) - (2 * _EDGE + scale - 2))
    placed = [(end, y - over) for end, y in zip(ends, heights, strict=True)]
    words = "".join(
        f'<text class="name" x="{axis.x(end.at_s)}" dx="12" y="{y:.1f}">{escape(name)}</text>'
        for (end, y), name in zip(placed, names, strict=True)
    )
    is_free = all(y > _EDGE + 5 + _LETTER or axis.share_ratio(end.at_s) < 0.6 for end, y in placed)
    return words + (f'<text class="top" x="100%" dx="12" y="{_EDGE + 5}">{escape(top)}</text>' if is_free else "")


def _of(answer: ShiftAnswer, index: int, name: str, teller: Teller) -> str:
    return f"{teller.words('M{machine}', machine=index + 1)} {name}" if len(answer.machines) > 1 else name


def _dot(of: str, index: int) -> str:
    """The level at the time that the slider shows; a script moves it."""
    return f'<circle class="at {of}" data-of="{of}" data-machine="{index}" r="5" cx="0%" cy="{_EDGE}"/>'
