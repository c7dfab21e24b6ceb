"""What the page of a shift says in lists: what would make it fit, what is closed to people, what each stop takes."""

from html import escape

from scrubwright.jobs.shift_answer import Change, Section, ShiftAnswer, ShiftVerdict
from scrubwright.paperwork.route_drawing import area_path, plot_of
from scrubwright.paperwork.route_lists import PAGE_MARGIN_M, PAGE_SCALE_RATIO, held, shortened
from scrubwright.paperwork.shift_words import (
    at,
    chance_words,
    clock_from_words,
    clock_words,
    gain_words,
    share_words,
    stop_times,
)
from scrubwright.paperwork.wording import NO_BREAK, Teller

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
        told = words("Nothing that was tried makes it fit. Plan less floor, or more than one night.")
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


def section_outlines(answer: ShiftAnswer, teller: Teller) -> str:
    """The outlines of closed sections for the plan; a script shows each while it is closed."""
    plot = plot_of(answer.route, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    return "".join(
        f'<path class="section" data-close="{each.close_s:.0f}" data-open="{each.open_s:.0f}" '
        f'data-name="{escape(each.name)}" data-blocks="{escape(_blocks(each, teller))}" '
        f'd="{area_path(each.outline, plot)}"/>'
        for each in answer.sections
    )


def stop_remarks(answer: ShiftAnswer, teller: Teller) -> dict[tuple[int, int], str]:
    """What the driver does and sees at each stop beside water, by machine and stop."""
    found = {}
    for shift in answer.machines:
        for each in stop_times(answer, shift):
            told = teller.words(
                "Charge left on arrival: {share}.", share=share_words(max(0.0, each.charge_fraction), teller)
            )
            if each.charge_s > 0:
                told += " " + teller.words("Charge for {charge_s}.", charge_s=each.charge_s)
            found[shift.machine, each.stop.number] = told
    return found


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
    return teller.words("blocks {numbers}", numbers=", ".join(str(block) for block in section.blocks))


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
