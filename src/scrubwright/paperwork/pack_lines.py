"""The pack's answer as short lines that the terminal, the picture and the sheet share."""

import math
from dataclasses import dataclass
from datetime import date

from scrubwright.battery.pack import Chemistry
from scrubwright.jobs.pack_answer import CellLine, PackAnswer, PackPart
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem, unit_of
from scrubwright.paperwork.wording import Teller

# Gravities differ by thousandths, which the trade calls points.
POINTS_PER_ONE = 1000
WORK = "work_h"
# Half a range is told with at least so many of its last digit; a shade less, so that a range of 0.4 is still told
# in tenths.
_LAST_DIGITS = 1.999
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One number as it is told: what it is, the number, its range, the word for where it comes from, and the rest."""

    label: str
    value: str
    band: str
    origin: str
    detail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLines:
    """One part of the answer: its heading, its numbers, and what else is known of it."""

    part: PackPart
    heading: str
    lines: tuple[Line, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLines:
    """One thing to do, its cautions, and its single moves."""

    told: str
    cautions: tuple[str, ...]
    how: tuple[str, ...]


def step_lines(answer: PackAnswer, teller: Teller) -> tuple[StepLines, ...]:
    """What to do next, in order; cautions that an earlier step told already are told by that step's number."""
    first: dict[Sentence, int] = {}
    lines = []
    for number, step in enumerate(answer.steps, 1):
        earlier = sorted({first[caution] for caution in step.cautions if caution in first})
        again = [teller.words("Take care as in step {number}.", number=each) for each in earlier]
        fresh = [teller.tell(caution) for caution in step.cautions if caution not in first]
        how = tuple(teller.tell(move) for move in step.how)
        lines.append(StepLines(told=teller.tell(step.told), cautions=(*again, *fresh), how=how))
        for caution in step.cautions:
            first.setdefault(caution, number)
    return tuple(lines)


def part_lines(answer: PackAnswer, teller: Teller) -> tuple[PartLines, ...]:
    """The parts that have something to say, in the order of `PackPart`."""
    told = []
    for part in PackPart:
        remarks = [teller.tell(remark) for of, remark in answer.remarks if of is part]
        if part is PackPart.HEALTH:
            remarks = [*trend_words(answer, teller), *replace_words(answer, teller), *remarks]
        lines = [_line(each.number, teller.tell(each.label), teller) for each in answer.figures if each.part is part]
        if lines or remarks:
            heading = _capital(teller.words(part))
            told.append(PartLines(part=part, heading=heading, lines=tuple(lines), remarks=tuple(remarks)))
    return tuple(told)


def verdict_words(answer: PackAnswer, teller: Teller) -> str:
    """The verdict as a heading: "Run with care"."""
    return _capital(teller.words(answer.verdict))


def pack_words(answer: PackAnswer, teller: Teller) -> str:
    """Which pack it is, and when it was last read."""
    pack = answer.pack
    if 1 in (pack.cells_per_block, pack.blocks):
        which = teller.words(
            "{pack}: {chemistry}, {cells} cells.", pack=pack.name, chemistry=pack.chemistry, cells=pack.cells
        )
    else:
        which = teller.words(
            "{pack}: {chemistry}, {cells} cells in {blocks} blocks.",
            pack=pack.name,
            chemistry=pack.chemistry,
            cells=pack.cells,
            blocks=pack.blocks,
        )
    return f"{which} {read_words(answer, teller)}"


def read_words(answer: PackAnswer, teller: Teller) -> str:
    """When the pack was last read."""
    if answer.last_visit_at is None:
        return teller.words("Not read yet.")
    return teller.words("Last read on {day}.", day=day_words(answer.last_visit_at.date(), teller))


def has_cells(answer: PackAnswer) -> bool:
    """Whether the cells are worth drawing: they were read, or a hydrometer can read them."""
    return bool(answer.cells) or answer.pack.chemistry is Chemistry.FLOODED


def weakest_words(answer: PackAnswer, teller: Teller) -> str:
    """The weakest cell in words; empty where there is none."""
    cell = next((each for each in answer.cells if each.is_weakest), None)
    if cell is None or cell.gravity_ratio is None or cell.above_median_ratio is None:
        return ""
    told = teller.words(
        "Cell {number} is the weakest: {gravity_ratio}, {below_ratio} below the median.",
        number=cell.number,
        gravity_ratio=cell.gravity_ratio,
        below_ratio=max(0.0, -cell.above_median_ratio),
    )
    if cell.charge_fraction is None:
        return told
    # A hydrometer tells one cell's charge to a few points at best.
    held = f"{teller.bare('charge_fraction', cell.charge_fraction, 0)} {teller.label('charge_fraction')}"
    return f"{told} {teller.words('Charge left in it: {held}.', held=held)}"


def remark_words(answer: PackAnswer, teller: Teller) -> tuple[str, ...]:
    """What is wrong with single cells, a line each."""
    return tuple(
        teller.words("Cell {number}: {remark}", number=cell.number, remark=cell.remark)
        for cell in answer.cells
        if cell.remark is not None
    )


def median_words(answer: PackAnswer, teller: Teller) -> str:
    """The pack's median, and the temperature that it and the gravities hold at; empty where none was read."""
    reference_k = answer.pack.reference_k
    for cell in answer.cells:
        if cell.gravity_ratio is not None and cell.above_median_ratio is not None and reference_k is not None:
            return teller.words(
                "Median {median_ratio}; all are specific gravities as at {reference_k}.",
                median_ratio=cell.gravity_ratio - cell.above_median_ratio,
                reference_k=reference_k,
            )
    return ""


def points_of(cell: CellLine) -> int | None:
    """How many thousandths a cell stands above the median, below zero for under it; None where not read."""
    return None if cell.above_median_ratio is None else round(POINTS_PER_ONE * cell.above_median_ratio)


def signed(points: int, minus: str = "-") -> str:
    """Points with their sign: "+2", "-32", "0"."""
    return f"+{points}" if points > 0 else f"{minus}{-points}" if points else "0"


def trend_words(answer: PackAnswer, teller: Teller) -> list[str]:
    """From where to where the health went; nothing before the second point."""
    if len(answer.trend) < 2:
        return []
    first, last = answer.trend[0], answer.trend[-1]
    return [
        teller.words(
            "A full pack ran {first} on {first_day}, and {last} on {last_day}.",
            first=teller.number("full_pack_h", first.full_pack_h),
            first_day=day_words(first.at.date(), teller),
            last=teller.number("full_pack_h", last.full_pack_h),
            last_day=day_words(last.at.date(), teller),
        )
    ]


def replace_words(answer: PackAnswer, teller: Teller) -> list[str]:
    """When the pack no longer does the work; nothing where that is not known."""
    work_h = work_of_h(answer)
    if is_spent(answer) and work_h is not None:
        return [teller.words("By its log a full pack no longer does {work} of work.", work=teller.number(WORK, work_h))]
    if not answer.replace_by:
        return []
    likely, *ends = answer.replace_by
    told = teller.words("Likely no longer does the work from {day}.", day=day_words(likely, teller))
    if len(ends) == 2 and ends[0] < ends[1]:
        between = teller.words(
            "Four times in five between {first} and {last}.",
            first=day_words(ends[0], teller),
            last=day_words(ends[1], teller),
        )
        told = f"{told} {between}"
    return [told]


def work_of_h(answer: PackAnswer) -> float | None:
    """The work of a shift that the answer was asked about [h]: the one its chance is told for."""
    told = (value for each in answer.figures for name, value in each.label.values if name == WORK)
    return next((value for value in told if isinstance(value, float)), None)


def is_spent(answer: PackAnswer) -> bool:
    """Whether a full pack runs shorter than the work already, by its log."""
    work_h = work_of_h(answer)
    return work_h is not None and bool(answer.trend) and answer.trend[-1].full_pack_h < work_h


def day_words(day: date, teller: Teller) -> str:
    """A day that no country reads the other way round: "12 Nov 2025"."""
    return f"{day.day} {month_words(day, teller)}"


def month_words(day: date, teller: Teller) -> str:
    """Month and year: "Nov 2025"."""
    return f"{teller.words(_MONTHS[day.month - 1])} {day.year}"


def value_and_band(number: Sourced, teller: Teller) -> tuple[str, str]:
    """The number and its range, both no finer than the range allows.

    The last digit is at most half of half the range: 3.31 h within 3.02 and 3.58 is told as "3.3 h" and
    "3.0 to 3.6 h". No number gets more decimals than its unit has elsewhere; a range that is narrower
    than that is not told.
    """
    plain = teller.number(number.name, number.value)
    if number.low is None or number.high is None or number.low == number.high:
        return plain, _one_end(number, teller)
    low, high = teller.number(number.name, number.low), teller.number(number.name, number.high)
    label = teller.label(number.name)
    unit = unit_of(number.name)
    if (
        unit is None
        or unit.suffix == "s"
        or not all(each.endswith(f" {label}".rstrip()) for each in (plain, low, high))
    ):
        # A small unit such as mL, or hours and minutes.
        return plain, _between(low, high, teller)
    how = unit.si if teller.system is UnitSystem.SI else unit.us
    half_range = (how.number(number.high) - how.number(number.low)) / 2
    ends = (number.value, number.low, number.high)
    are_counts = how.decimals == 0 and all(how.number(each).is_integer() for each in ends)
    finest = 0 if are_counts else 1 if unit.suffix == "h" else max(how.decimals, 1)
    decimals = min(finest, max(0, math.ceil(math.log10(_LAST_DIGITS / half_range))))
    value, low, high = (teller.bare(number.name, each, decimals) for each in ends)
    band = "" if low == high else f"{teller.words('{low} to {high}', low=low, high=high)} {label}".rstrip()
    return teller.labelled(value, how.label), band


def printable(words: str) -> str:
    """Text without what is no letter: control characters, marks that turn the direction, halves of letters."""
    return "".join(each if each.isprintable() else " " for each in words)


def _between(low: str, high: str, teller: Teller) -> str:
    """Two numbers with their units, the unit once where it is the same: "240 to 400 mL", "900 mL to 1.4 L"."""
    number, _, unit = low.partition(" ")
    is_shared = high.partition(" ")[2] == unit and not any(map(str.isdigit, unit))
    return teller.words("{low} to {high}", low=number if is_shared else low, high=high)


def _one_end(number: Sourced, teller: Teller) -> str:
    if number.low is not None and number.high is None:
        return teller.words("at least {low}", low=teller.number(number.name, number.low))
    if number.high is not None and number.low is None:
        return teller.words("at most {high}", high=teller.number(number.name, number.high))
    return ""


def _line(number: Sourced, label: str, teller: Teller) -> Line:
    value, band = value_and_band(number, teller)
    return Line(
        label=_capital(label),
        value=value,
        band=band,
        origin=teller.words(number.origin),
        detail=_capital(teller.tell(number.detail)),
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
