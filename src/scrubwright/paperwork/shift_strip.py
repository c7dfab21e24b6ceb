"""The night line in letters: one strip of time a machine, from the start until the floor must be dry."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from scrubwright.jobs.shift_answer import Doing, ShiftAnswer, Stretch
from scrubwright.paperwork.shift_words import at, chance_words, clock_words
from scrubwright.paperwork.text_columns import WIDTH
from scrubwright.paperwork.wording import Teller

# Plain letters, which every terminal and every copy has.
SIGNS = {
    Doing.SCRUB: "#",
    Doing.MOVE: "-",
    Doing.SERVICE: "o",
    Doing.CHARGE: "+",
    Doing.WAIT: ".",
    Doing.DRYING: "~",
}
MARK = "|"
# What a driver must not miss keeps a letter even where the strip is too coarse for it.
_NEVER_HIDDEN = (Doing.WAIT, Doing.CHARGE, Doing.SERVICE)
_STEPS_MIN = (5, 10, 15, 20, 30, 60, 120, 180, 240)
_CLOCK_WIDTH = len("00:00")
_INDENT = "  "
_GAP = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How seconds since the start fall on letters: `span_s` on `letters` of them."""

    span_s: float
    letters: int

    def place(self, since_s: float) -> int:
        """The letter at which a time falls, from 0."""
        return min(self.letters, int(since_s / self.span_s * self.letters + 1e-9))

    def overlap_s(self, letter: int, stretch: Stretch) -> float:
        """How much of a stretch falls on one letter [s]."""
        width_s = self.span_s / self.letters
        return max(0.0, min(stretch.end_s, (letter + 1) * width_s) - max(stretch.start_s, letter * width_s))


def strip_text(answer: ShiftAnswer, teller: Teller) -> str:
    """The strip of each machine under its clock, the chance at the end, and what the signs mean."""
    names = _names(answer, teller)
    margin = len(_INDENT) + max(len(name) for name in names) + (1 if any(names) else 0)
    chance = chance_words(answer.chance.chance_fraction, answer.chance.error_fraction, teller)
    scale = Scale(span_s=_span_s(answer), letters=WIDTH - margin - len(chance) - 2)
    mark = scale.place(answer.question.window_s)
    lines = list(_clock_rows(answer, scale, mark, margin))
    for number, (name, machine) in enumerate(zip(names, answer.machines, strict=True)):
        strip = strip_letters(machine.line, scale, mark)
        head = (_INDENT + name).ljust(margin)
        lines.append(f"{head}{strip} {'' if number else chance}".rstrip())
    used = {stretch.doing for machine in answer.machines for stretch in machine.line}
    meanings = [f"{SIGNS[doing]} {_meaning(doing, teller)}" for doing in Doing if doing in used]
    lines += _packed([*meanings, f"{MARK} {teller.words('must be dry')}"])
    return "\n".join(lines)


def strip_letters(line: Iterable[Stretch], scale: Scale, mark: int) -> str:
    """One machine's strip: in each letter what takes most of its time, stops with their numbers, `mark` for dry-by.

    Examples
    --------
    >>> scale = Scale(span_s=100.0, letters=10)
    >>> line = (
    ...     Stretch(doing=Doing.SCRUB, start_s=0.0, end_s=40.0),
    ...     Stretch(doing=Doing.SERVICE, start_s=40.0, end_s=60.0, stop=1),
    ...     Stretch(doing=Doing.DRYING, start_s=60.0, end_s=70.0),
    ... )
    >>> strip_letters(line, scale, 9)
    '####1o~  |'
    """
    stretches = tuple(line)
    letters = [_letter(number, stretches, scale) for number in range(scale.letters + 1)]
    for doing in _NEVER_HIDDEN:
        for stretch in stretches:
            if stretch.doing is doing:
                _put(SIGNS[doing], stretch, letters, scale)
    numbered = {stretch.stop: stretch for stretch in reversed(stretches) if stretch.doing is Doing.SERVICE}
    for stop, first in numbered.items():
        _put(str(stop or SIGNS[Doing.SERVICE]), first, letters, scale)
    letters[mark] = MARK
    return "".join(letters[: scale.letters + 1]).rstrip()


def _put(sign: str, stretch: Stretch, letters: list[str], scale: Scale) -> None:
    """A sign where a stretch begins, to the nearest letter."""
    place = min(scale.place(stretch.start_s + scale.span_s / scale.letters / 2), scale.letters - 1)
    letters[place : place + len(sign)] = sign


def _letter(number: int, stretches: Sequence[Stretch], scale: Scale) -> str:
    shares = dict.fromkeys(Doing, 0.0)
    for stretch in stretches:
        shares[stretch.doing] += scale.overlap_s(number, stretch)
    # A letter that is mostly empty stays empty; the floor may dry while the machine does something else.
    half_s = scale.span_s / scale.letters / 2
    drying_s = shares.pop(Doing.DRYING)
    if sum(shares.values()) > half_s:
        return SIGNS[max(shares, key=lambda doing: shares[doing])]
    return SIGNS[Doing.DRYING] if sum(shares.values()) + drying_s > half_s else " "


def _span_s(answer: ShiftAnswer) -> float:
    """Until the hour that the floor must be dry, or longer where the plan runs over it [s]."""
    ends = [stretch.end_s for machine in answer.machines for stretch in machine.line]
    dry_s = (answer.dry_at - answer.question.start_at).total_seconds()
    return max(answer.question.window_s, dry_s, *ends)


def _names(answer: ShiftAnswer, teller: Teller) -> list[str]:
    if len(answer.machines) == 1:
        return [""]
    return [teller.words("Machine {machine}", machine=each.machine) for each in answer.machines]


def _clock_rows(answer: ShiftAnswer, scale: Scale, mark: int, margin: int) -> Iterable[str]:
    """Clock times over their ticks: round ones, and the hour that the floor must be dry."""
    times = {0: clock_words(answer.question.start_at), mark: clock_words(answer.question.dry_by)}
    step = timedelta(minutes=_step_min(scale))
    midnight = answer.question.start_at.replace(hour=0, minute=0, second=0, microsecond=0)
    begun = answer.question.start_at - midnight
    tick = midnight + step * (begun // step + 1)
    while tick < at(answer, scale.span_s):
        place = scale.place((tick - answer.question.start_at).total_seconds())
        if all(abs(place - taken) > _CLOCK_WIDTH for taken in times):
            times[place] = clock_words(tick)
        tick += step
    clocks = ticks = ""
    for place, told in sorted(times.items()):
        clocks = clocks.ljust(place) + told
        ticks = ticks.ljust(place) + MARK
    yield " " * margin + clocks
    yield " " * margin + ticks


def _step_min(scale: Scale) -> int:
    """Minutes between round times that leave room for their words."""
    widths = {step: step * 60 / scale.span_s * scale.letters for step in _STEPS_MIN}
    return next((step for step, width in widths.items() if width >= 2 * _CLOCK_WIDTH), _STEPS_MIN[-1])


def _meaning(doing: Doing, teller: Teller) -> str:
    return teller.words("dump and fill, with its number") if doing is Doing.SERVICE else teller.words(doing)


def _packed(items: Sequence[str]) -> list[str]:
    """Items side by side in lines that none of them breaks over."""
    lines: list[str] = []
    for item in items:
        if lines and len(lines[-1]) + _GAP + len(item) <= WIDTH:
            lines[-1] += " " * _GAP + item
        else:
            lines.append(_INDENT + item)
    return lines
