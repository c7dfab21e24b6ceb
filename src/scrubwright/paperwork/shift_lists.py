"""What the page of a shift says in lists: what would make it fit, what is closed to people, what each stop takes."""

from collections.abc import Iterator
from html import escape
from itertools import pairwise

from scrubwright.jobs.route_answer import Block, LegKind
from scrubwright.jobs.shift_answer import Change, Doing, MachineShift, Section, ShiftAnswer, ShiftVerdict
from scrubwright.paperwork.route_drawing import area_path, plot_of
from scrubwright.paperwork.route_lists import PAGE_MARGIN_M, PAGE_SCALE_RATIO, held, shortened
from scrubwright.paperwork.shift_words import (
    at,
    chance_words,
    clock_from_words,
    clock_words,
    gain_words,
    no_change_words,
    share_words,
    stop_times,
)
from scrubwright.paperwork.wording import NO_BREAK, Teller

# A shorter wait is no more than a driver notices anyhow.
_LEAST_WAIT_S = 60.0
# The verdict's shapes; colour comes last.
_DISC = '<circle class="run" r="14"/>'
_HALF = '<circle class="ring" r="13"/><path class="half" d="M0-13A13 13 0 0 0 0 13Z"/>'
_BARRED = '<path class="stop" d="M-13-13H13V13H-13Z"/><path class="bar" d="M-9 0H9"/>'
_SHAPES = {ShiftVerdict.FITS: _DISC, ShiftVerdict.TIGHT: _HALF, ShiftVerdict.DOES_NOT_FIT: _BARRED}


def verdict_shape(verdict: ShiftVerdict) -> str:
    """A disc, a half disc or a barred square."""
    return f'<svg class="verdict" viewBox="-16 -16 32 32" aria-hidden="true">{_SHAPES[verdict]}</svg>'


def changes(answer: ShiftAnswer, teller: Teller) -> str:
    """What would make it fit, least painful first, each with its chance beside tonight's."""
    fits = answer.verdict is ShiftVerdict.FITS
    words = teller.words
    if fits and not answer.changes:
        return ""
    title = words("What would make it surer") if fits else words("What would make it fit")
    if not answer.changes:
        told = no_change_words(answer, teller)
        return f'<section class="changes"><h2>{escape(title)}</h2><p>{escape(told)}</p></section>'
    rows = "".join(_change(answer, number, each, teller) for number, each in enumerate(answer.changes, 1))
    hint = words("Least trouble first. Each was planned anew; the bar runs from tonight's chance to the new one.")
    return (
        f'<section class="changes"><h2>{escape(title)}</h2><p class="hint">{escape(hint)}</p><ol>{rows}</ol></section>'
    )


def sections(answer: ShiftAnswer, teller: Teller) -> str:
    """Where people must keep off, from when until when; a script marks what is closed at the time shown."""
    if not answer.sections:
        return ""
    words = teller.words
    rows = []
    for each in answer.sections:
        blocks = _blocks(each, teller)
        close, until = clock_words(at(answer, each.close_s)), clock_from_words(at(answer, each.open_s))
        rows.append(
            f'<li class="closing" data-close="{each.close_s:.0f}" data-open="{each.open_s:.0f}">'
            f"<b>{escape(each.name)}</b><span>{close}–{until}</span>"
            f'<span class="blocks">{escape(blocks)}</span></li>'
        )
    hint = words("From the first wet lane until it is dry. Put signs and chains up before, take them down after.")
    return (
        f'<div class="closed"><h3>{escape(words("Closed to people"))}</h3><p class="hint">{escape(hint)}</p>'
        f"{shortened(rows, teller)}</div>"
    )


def section_outlines(answer: ShiftAnswer) -> str:
    """The outlines of closed sections for the plan; a script shows each while it is closed."""
    plot = plot_of(answer.route, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    return "".join(
        f'<path class="section" data-close="{each.close_s:.0f}" data-open="{each.open_s:.0f}" '
        f'data-name="{escape(each.name)}" data-blocks="{_numbers(each)}" '
        f'd="{area_path(each.outline, plot)}"/>'
        for each in answer.sections
    )


def remarks(answer: ShiftAnswer, teller: Teller) -> dict[tuple[int, str, int], str]:
    """What a shift adds to the way: waits and passes at blocks, charge and charging at stops."""
    words = teller.words
    found = {}
    for shift in answer.machines:
        for block in answer.route.routes[shift.machine - 1].blocks:
            told = " ".join(_at_block(answer, shift, block, teller))
            if told:
                found[shift.machine, "block", block.number] = told
        for each in stop_times(answer, shift):
            share = share_words(max(0.0, each.charge_fraction), teller)
            told = words("Charge left on arrival: {share}.", share=share)
            if each.charge_s > 0:
                told += " " + words("Charge for {charge_s}.", charge_s=each.charge_s)
            found[shift.machine, "stop", each.stop.number] = told
    return found


def _at_block(answer: ShiftAnswer, shift: MachineShift, block: Block, teller: Teller) -> Iterator[str]:
    """How long to wait before a block, and which pass of a double scrub it is."""
    for each, after in pairwise(shift.line):
        is_long = each.doing is Doing.WAIT and each.end_s - each.start_s >= _LEAST_WAIT_S
        if is_long and block.number == (after.block if each.block is None else each.block):
            yield teller.words("Wait until {clock} before you begin.", clock=clock_words(at(answer, each.end_s)))
    legs = answer.route.routes[shift.machine - 1].legs
    second = {lane.number for lane in answer.route.lanes if lane.second}
    if second.intersection(block.lanes):
        yield teller.words("Second of two passes: squeegee down, suction on.")
    elif not all(
        squeegee_down
        for leg, squeegee_down in zip(legs, shift.course.squeegee_down.tolist(), strict=True)
        if leg.block == block.number and leg.kind is LegKind.SCRUB
    ):
        yield teller.words(
            "First of two passes: squeegee up, no suction. The solution acts for {contact_s} and must not dry.",
            contact_s=answer.question.settings.contact_s,
        )


def cautions(answer: ShiftAnswer, teller: Teller) -> str:
    """What holds for the whole shift and is not told of the route already."""
    known = {each.told for each in answer.route.cautions}
    rows = [
        f'<p class="caution">{escape(held(teller.tell(each)))}</p>' for each in answer.cautions if each not in known
    ]
    return f'<div class="cautions">{"".join(rows)}</div>' if rows else ""


def _blocks(section: Section, teller: Teller) -> str:
    if len(section.blocks) == 1:
        return teller.words("block {number}", number=section.blocks[0])
    return teller.words("blocks {numbers}", numbers=_numbers(section))


def _numbers(section: Section) -> str:
    return ", ".join(str(block) for block in section.blocks)


def _change(answer: ShiftAnswer, number: int, change: Change, teller: Teller) -> str:
    words = teller.words
    said = words(
        "{gain}. Back at {finish}, dry at {dry}.",
        gain=gain_words(change, answer, teller),
        finish=clock_words(change.finish_at),
        dry=clock_from_words(change.dry_at),
    )
    chance = chance_words(change.chance_fraction, change.error_fraction, teller)
    first, _, give = chance.partition(" ± ")
    small = f"<small>{NO_BREAK}± {escape(give)}</small>" if give else ""
    return (
        f'<li class="change"><span class="big">{number}</span><span class="what">'
        f"<b>{escape(held(teller.tell(change.told)))}</b>"
        f"<span>{escape(held(said[:1].upper() + said[1:]))}</span></span>"
        f'<span class="gain">{escape(first)}{small}{_gain(answer, change)}</span></li>'
    )


def _gain(answer: ShiftAnswer, change: Change) -> str:
    """From tonight's chance, a tick, to the new one, a disc, on a scale from none to all."""
    now, then = 100 * answer.chance.chance_fraction, 100 * change.chance_fraction
    return (
        '<svg class="scale" viewBox="-4 -8 108 16" aria-hidden="true"><path class="all" d="M0 0H100M0-3V3M100-3V3"/>'
        f'<path class="way" d="M{now:.1f} 0H{then:.1f}"/><path class="tonight" d="M{now:.1f}-6V6"/>'
        f'<circle cx="{then:.1f}" r="4"/></svg>'
    )
