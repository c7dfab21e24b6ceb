"""The shift's answer as text for a terminal: verdict and chance first, then the night line, times, and what helps."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import timedelta

from scrubwright.jobs.route_answer import Bites, Pattern
from scrubwright.jobs.shift_answer import Section as ClosedSection
from scrubwright.jobs.shift_answer import ShiftAnswer, ShiftVerdict
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_lines import Line, printable, value_and_band
from scrubwright.paperwork.route_text import lane_list
from scrubwright.paperwork.shift_strip import strip_text
from scrubwright.paperwork.shift_words import (
    RESULTS,
    StopTimes,
    at,
    chance_words,
    clock_from_words,
    clock_words,
    gain_words,
    limits_words,
    lock_out_words,
    no_change_words,
    provenance_words,
    share_words,
    stop_times,
    verdict_words,
    when_words,
)
from scrubwright.paperwork.text_columns import WIDTH, Column, Section, row, sections_text, wrapped
from scrubwright.paperwork.wording import Teller

# Past so many, what is closed to people stands by name.
MOST_SECTIONS = 10
_ORIGIN_WIDTH = 17
_WIDEST_NAME = 34
_LEAST_LABEL = 20
_MADE_WITH = (Column(width=34), Column(width=23), Column(width=_ORIGIN_WIDTH))


def shift_text(answer: ShiftAnswer, teller: Teller) -> str:
    """The whole answer as plain text, 80 letters wide."""
    return sections_text(shift_sections(answer, teller))


def shift_sections(answer: ShiftAnswer, teller: Teller) -> tuple[Section, ...]:
    """The answer's parts in reading order; parts with nothing to say are left out.

    Verdict with its chance, and why; the night line; what would make it fit; the numbers against what
    is wanted; what to see to before the start; the stops; what is closed to people; where the numbers
    come from; what holds for the whole shift.
    """
    words = teller.words
    start = [each.told for each in answer.route.cautions if each.bites is Bites.START]
    rest = [each for each in answer.cautions if each not in start]
    sections = [
        Section(heading=_heading(answer, teller), body=_because(answer, teller)),
        Section(heading=words("The night"), body=_night(answer, teller)),
        Section(heading=words("What would make it fit"), body=_changes(answer, teller)),
        Section(heading=words("Numbers"), body=_table(number_lines(answer, teller))),
        Section(heading=words("Before you start"), body=_told(start, teller)),
        Section(heading=words("On the way"), body=_on_the_way(answer, teller)),
        Section(heading=words("Stops"), body=_stops(answer, teller)),
        Section(heading=words("Closed to people"), body=_closed(answer, teller)),
        Section(heading=words("Made with"), body=_made_with(answer.provenance, teller)),
        Section(heading=words("Bear in mind"), body=_told(rest, teller)),
    ]
    return tuple(_harmless(section) for section in sections if section.body)


def _harmless(section: Section) -> Section:
    """The section without letters that would steer a terminal."""
    lines = [printable(line) for line in section.body.split("\n")]
    return Section(heading=printable(section.heading), body="\n".join(lines))


def _heading(answer: ShiftAnswer, teller: Teller) -> str:
    chance = chance_words(answer.chance.chance_fraction, answer.chance.error_fraction, teller)
    return f"{verdict_words(answer, teller).upper()}: {chance}"


def _because(answer: ShiftAnswer, teller: Teller) -> str:
    words, question = teller.words, answer.question
    where = words(
        "{site}, {floor}, with {machine}.",
        site=answer.route.site,
        floor=answer.route.floor,
        machine=answer.route.machine,
    )
    meaning = words(
        "The chance is of {samples} shifts drawn at random: how many are done and dry by {dry_by} with {reserve} of "
        "the charge left.",
        samples=answer.chance.samples,
        dry_by=clock_words(question.dry_by),
        reserve=share_words(question.settings.reserve_fraction, teller),
    )
    fails = f"{limits_words(answer, teller)} {lock_out_words(answer, teller)}".strip()
    told = [teller.tell(answer.why), f"{where} {when_words(answer, teller)}", meaning, fails]
    return "\n".join(wrapped(line) for line in told if line)


def _night(answer: ShiftAnswer, teller: Teller) -> str:
    more = teller.words("Block by block, with the lanes: on the page (--html) and on the sheet (--pdf).")
    return f"{strip_text(answer, teller)}\n{wrapped(more, indent='  ')}"


def _changes(answer: ShiftAnswer, teller: Teller) -> str:
    """What helps, least painful first, each with its gain."""
    if answer.verdict is ShiftVerdict.FITS:
        return ""
    if not answer.changes:
        told = no_change_words(answer, teller)
        return wrapped(told, indent="  ")
    lines = []
    for number, change in enumerate(answer.changes, 1):
        mark = f"{number}. "
        gain = teller.words(
            "{chance}: {gain}. Back at {finish}, dry at {dry}.",
            chance=chance_words(change.chance_fraction, change.error_fraction, teller),
            gain=gain_words(change, answer, teller),
            finish=clock_words(change.finish_at),
            dry=clock_from_words(change.dry_at),
        )
        lines.append(wrapped(teller.tell(change.told), indent="  ", mark=mark))
        lines.append(wrapped(gain, indent="  " + " " * len(mark)))
    return "\n".join(lines)


def number_lines(answer: ShiftAnswer, teller: Teller) -> list[Line]:
    """What came out of the plan, beside what is wanted."""
    words, chance, question = teller.words, answer.chance, answer.question
    estimate = words(Origin.ESTIMATE)
    charged_ah = math.fsum(each.charged_ah for each in answer.machines)
    ends = Sourced(
        name="end_charge_fraction",
        value=min(each.end_charge_fraction for each in answer.machines),
        origin=Origin.ESTIMATE,
        detail=Sentence("Planned"),
        low=chance.end_charge_fraction[0],
        high=chance.end_charge_fraction[-1],
    )
    end, end_band = value_and_band(ends, teller)
    shown = [
        (words("Last machine is back"), clock_words(answer.finish_at), _clocks(answer, chance.finish_s, teller)),
        (
            words("Floor is dry; wanted by {dry_by}", dry_by=clock_words(question.dry_by)),
            clock_from_words(answer.dry_at),
            _clocks(answer, chance.dry_s, teller),
        ),
        (
            words("Charge at the end; keep {reserve}", reserve=share_words(question.settings.reserve_fraction, teller)),
            end,
            end_band,
        ),
        (words("Stops to dump and fill"), teller.plain(answer.route.dump_trips), ""),
        (
            words("Solution used"),
            teller.number("water_l", math.fsum(each.water_used_l for each in answer.route.routes)),
            "",
        ),
        (
            words("Drawn from the packs") if len(answer.machines) > 1 else words("Drawn from the pack"),
            teller.number("energy_wh", math.fsum(each.energy_wh for each in answer.machines)),
            "",
        ),
        (words("Charged on the way"), teller.number("charged_ah", charged_ah) if charged_ah > 0 else "", ""),
        (
            words("Scrubbed, of what it can reach"),
            teller.number("coverage_fraction", answer.route.coverage_fraction),
            "",
        ),
        (
            words("Driven over wet floor"),
            teller.number("wet_crossed_m", answer.wet_crossed_m) if answer.wet_crossed_m > 0 else "",
            "",
        ),
    ]
    return [
        Line(label=label, value=value, band=band, origin=estimate, detail="") for label, value, band in shown if value
    ]


def _clocks(answer: ShiftAnswer, ends_s: Sequence[float], teller: Teller) -> str:
    low, high = clock_words(at(answer, ends_s[0])), clock_words(at(answer, ends_s[-1]))
    return "" if low == high else teller.words("{low} to {high}", low=low, high=high)


def _made_with(provenance: Sequence[Sourced], teller: Teller) -> str:
    """What went in: each number with its range and the word for where it comes from."""
    lines = []
    for each in provenance:
        if each.name in RESULTS:
            continue
        value, band = value_and_band(each, teller)
        number = f"{value} ({band})" if band else value
        lines.append(row((provenance_words(each, teller), number, teller.words(each.origin)), _MADE_WITH))
    return "\n".join(lines)


def _table(lines: Sequence[Line]) -> str:
    """Label, number, range and the word for where it comes from; the labels get what the others leave."""
    value = max([1, *(len(line.value) for line in lines)])
    band = max([1, *(len(line.band) for line in lines)])
    columns = (
        Column(width=max(_LEAST_LABEL, WIDTH - 8 - value - band - _ORIGIN_WIDTH)),
        Column(width=value, right=True),
        Column(width=band),
        Column(width=_ORIGIN_WIDTH),
    )
    return "\n".join(row((line.label, line.value, line.band, line.origin), columns) for line in lines)


def _stops(answer: ShiftAnswer, teller: Teller) -> str:
    """Each machine's stops in order, with the charge that should be left there."""
    lines = [
        wrapped(teller.tell(each.told), indent="  ", mark="! ")
        for each in answer.route.cautions
        if each.bites is Bites.STOPS
    ]
    several = len(answer.machines) > 1
    for shift in answer.machines:
        times = stop_times(answer, shift)
        if several and times:
            lines.append("  " + teller.words("Machine {machine}", machine=shift.machine))
        lines += [_stop(answer, each, teller) for each in times]
    return "\n".join(lines) if any(answer.route.routes[each.machine - 1].stops for each in answer.machines) else ""


def _stop(answer: ShiftAnswer, times: StopTimes, teller: Teller) -> str:
    stop, words = times.stop, teller.words
    told = words(
        "{arrive} to {leave}, {drain}: dump {dumped_l}.",
        arrive=clock_words(at(answer, times.arrive_s)),
        leave=clock_words(at(answer, times.leave_s)),
        drain=stop.drain,
        dumped_l=stop.dumped_l,
    )
    if stop.tap is not None:
        told += " " + words("Fill {filled_l} at {tap}.", filled_l=stop.filled_l, tap=stop.tap)
    if times.charge_s > 0:
        told += " " + words("Charge for {charge_s}.", charge_s=times.charge_s)
    told += " " + words("Charge left on arrival: {share}.", share=share_words(times.charge_fraction, teller))
    return wrapped(told, indent="  ", mark=f"{stop.number}. ")


def _on_the_way(answer: ShiftAnswer, teller: Teller) -> str:
    """What to watch on every lane and at some blocks."""
    lines = []
    for each in answer.route.cautions:
        if each.bites is Bites.LANES:
            lines.append(wrapped(teller.tell(each.told), indent="  ", mark="! "))
        elif each.bites is Bites.BLOCKS:
            numbers = lane_list(each.blocks, Pattern.IN_ORDER)
            where = (
                teller.words("Blocks {numbers}", numbers=numbers)
                if len(each.blocks) > 1
                else teller.words("Block {number}", number=numbers)
            )
            lines.append(wrapped(f"{where}: {teller.tell(each.told)}", indent="  ", mark="! "))
    return "\n".join(lines)


def _closed(answer: ShiftAnswer, teller: Teller) -> str:
    """Where people must keep off, from when until when; many sections of one name as one line."""
    if not answer.sections:
        return ""
    shown, more = answer.sections, ""
    if len(shown) > MOST_SECTIONS:
        shown = _by_name(shown)
        more = teller.words("Section by section: on the page (--html) and on the sheet (--pdf).")
    cells = [
        (
            clock_words(at(answer, section.close_s) - timedelta(seconds=30)),
            clock_from_words(at(answer, section.open_s)),
            section.name,
            lane_list(section.blocks, Pattern.IN_ORDER),
        )
        for section in shown
    ]
    titles = tuple(teller.words(each) for each in ("From", "Until", "Where", "Blocks"))
    name = min(_WIDEST_NAME, max(len(each[2]) for each in (titles, *cells)))
    columns = (
        Column(width=max(6, len(titles[0]))),
        Column(width=max(6, len(titles[1]))),
        Column(width=name),
        Column(width=WIDTH - 8 - 12 - name),
    )
    lines = [row(each, columns) for each in (titles, *cells)]
    return "\n".join([*lines, wrapped(more, indent="  ")] if more else lines)


def _by_name(sections: Sequence[ClosedSection]) -> tuple[ClosedSection, ...]:
    """Sections of one name as one, closed from the first until the last is dry."""
    names: dict[str, list[ClosedSection]] = {}
    for section in sections:
        names.setdefault(section.name, []).append(section)
    return tuple(
        replace(
            parts[0],
            blocks=tuple(sorted({block for part in parts for block in part.blocks})),
            close_s=min(part.close_s for part in parts),
            open_s=max(part.open_s for part in parts),
        )
        for parts in names.values()
    )


def _told(sentences: Iterable[Sentence], teller: Teller) -> str:
    return "\n".join(wrapped(teller.tell(sentence), indent="  ", mark="- ") for sentence in sentences)
