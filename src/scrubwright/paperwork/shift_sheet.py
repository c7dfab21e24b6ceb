"""The shift's answer on paper: one run sheet a machine to drive by, tick off, fill in and sign, in black and white."""

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Any

from scrubwright.jobs.route_answer import Bites, RouteAnswer
from scrubwright.jobs.shift_answer import MachineShift, ShiftAnswer, ShiftVerdict
from scrubwright.machine.draws import pressure_step
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.paperwork.pack_lines import Line, day_words, value_and_band
from scrubwright.paperwork.route_lists import held
from scrubwright.paperwork.route_svg import has_lane_numbers
from scrubwright.paperwork.shift_form import form_fields, new_since_words
from scrubwright.paperwork.shift_print import MAP_AREAS, Picture, printed_map, printed_night
from scrubwright.paperwork.shift_route import route_in_time
from scrubwright.paperwork.shift_text import number_lines
from scrubwright.paperwork.shift_way import way_rows
from scrubwright.paperwork.shift_words import (
    RESULTS,
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
    verdict_words,
    when_words,
)
from scrubwright.paperwork.typesetting import Paper, typeset
from scrubwright.paperwork.wording import Teller

_SIGNS = {ShiftVerdict.FITS: "run", ShiftVerdict.TIGHT: "care", ShiftVerdict.DOES_NOT_FIT: "stop"}
_MOST_CHANGES = 3


def shift_sheet(answer: ShiftAnswer, teller: Teller, paper: Paper) -> bytes:
    """The answer as a PDF that a reader for the blind can follow (PDF/UA-1).

    Verdict with its chance, and why; the night line; the numbers; what to set; what to see to first; what is
    closed to people; the plan; each machine's way with boxes to tick, what the display must show at each
    stop, and what to write down afterwards; where the numbers come from.

    Parameters
    ----------
    answer
        What the planner found.
    teller
        Whose language and units it speaks.
    paper
        What it will be printed on, at full size, so that the plan is to scale.

    Notes
    -----
    The same answer, reader and paper give the same bytes; see `typeset` for what becomes of names.

    Raises
    ------
    BadInput
        A number of the answer has a name without a unit.
    """
    return typeset("shift_sheet.typ", _sheet(answer, teller, paper))


def _sheet(answer: ShiftAnswer, teller: Teller, paper: Paper) -> dict[str, Any]:
    """What the template places: everything told already, in the reader's words."""
    words, route = teller.words, route_in_time(answer)
    chance = chance_words(answer.chance.chance_fraction, answer.chance.error_fraction, teller)
    where = f"{route.site} · {route.floor} · {route.machine}"
    first, _, give = chance.partition(" ± ")
    start = [each.told for each in route.cautions if each.bites is Bites.START]
    lanes = [each.told for each in route.cautions if each.bites is Bites.LANES]
    return {
        "paper": paper.value,
        "language": teller.language.value,
        "title": words(
            "Run sheet: {site}, {day}", site=route.site, day=day_words(answer.question.start_at.date(), teller)
        ),
        "footer": f"{where} · {day_words(answer.question.start_at.date(), teller)}",
        "sign": _SIGNS[answer.verdict],
        "verdict": verdict_words(answer, teller),
        "chance": {
            "number": first,
            "give": f"± {give}" if give else "",
            "meaning": words("chance that it is done, dry in time, with charge to spare"),
        },
        "why": teller.tell(answer.why),
        "where": where,
        "when": when_words(answer, teller),
        "limits": [each for each in (limits_words(answer, teller), lock_out_words(answer, teller)) if each],
        "night": _picture(printed_night(answer, teller)),
        "numbers": [_line(each) for each in number_lines(answer, teller)],
        "settings": [_line(each) for each in _settings(answer, teller)],
        "first": [teller.tell(each) for each in start],
        "cautions": [teller.tell(each) for each in (*(each for each in answer.cautions if each not in start), *lanes)],
        "changes": _changes(answer, teller),
        "closed": _closed(answer),
        "map": _picture(printed_map(route, teller, paper)),
        "machines": [
            _machine(answer, route, shift, teller, with_lanes=has_lane_numbers(route, MAP_AREAS[paper]))
            for shift in answer.machines
        ],
        "made_with": [_line(each) for each in _made_with(answer.provenance, teller)],
        "words": _words(answer, teller),
    }


def _words(answer: ShiftAnswer, teller: Teller) -> dict[str, Any]:
    words = teller.words
    reserve = share_words(answer.question.settings.reserve_fraction, teller)
    return {
        "night": words("The night"),
        "numbers": words("Numbers"),
        "settings": words("Set the machine like this"),
        "first": words("Before you start"),
        "changes": words("What would make it fit"),
        "closed": words("Closed to people"),
        "closed-hint": words(
            "From the first wet lane until it is dry. Put signs and chains up before, take them down after."
        ),
        "map": words("The floor: blocks in driving order"),
        "made-with": words("Made with"),
        "form": words("What really happened"),
        "form-hint": words("The small names are the columns of the log of shifts: write it in there tomorrow."),
        "what": words("What it is"),
        "number": words("Number"),
        "band": words("Range"),
        "origin": words("Comes from"),
        "range": words("A range holds the true number four times in five."),
        "from": words("From"),
        "until": words("Until"),
        "place": words("Where"),
        "blocks": words("Blocks"),
        "shut": words("Closed"),
        "opened": words("Opened"),
        "way-hint": words(
            "Clock times, litres and charges are estimates. The least charges are just enough for the work as planned, "
            "with {reserve} kept: a heavy night takes more. End means: dump, drive home, plug in, note what is left.",
            reserve=reserve,
        ),
        "display": words("Display shows"),
        "percent": teller.label("charge_fraction"),
        "planned": words("Planned"),
        "really": words("Really"),
        "new": words("New since the last shift:"),
        "notes": words("What stood in the way, what was left, what broke"),
        "signed": [words("Driver"), words("Date"), words("Signature")],
    }


def _machine(
    answer: ShiftAnswer, route: RouteAnswer, shift: MachineShift, teller: Teller, *, with_lanes: bool
) -> dict[str, Any]:
    several = len(answer.machines) > 1
    rows = way_rows(answer, route, shift, teller, with_lanes=with_lanes)
    return {
        "title": teller.words("The way of machine {number}", number=shift.machine)
        if several
        else teller.words("The way"),
        "name": teller.words("Machine {machine}", machine=shift.machine) if several else route.machine,
        "rows": [
            {
                "kind": row.kind.value,
                "number": row.number,
                "clock": row.clock,
                "takes": held(row.takes),
                "title": row.title,
                "told": held(row.told),
                "remark": held(row.remark),
                "charge": [held(each) for each in row.charge],
                "asks": row.asks_display,
                "cautions": row.cautions,
            }
            for row in rows
        ],
        "form": [
            {"label": each.label, "column": each.column, "planned": each.planned}
            for each in form_fields(answer, shift, teller)
        ],
        "new": new_since_words(teller),
    }


def _settings(answer: ShiftAnswer, teller: Teller) -> Iterable[Line]:
    """What a driver sets and keeps to: as the plate has it, with what was chosen for tonight."""
    words, number = teller.words, teller.number
    settings, plate = answer.question.settings, answer.question.machines[0].plate
    origins = {each.name: each.origin for each in (*answer.route.provenance, *answer.provenance)}
    flow = next((each for each in plate.flows if each.name == settings.flow), plate.flow)
    step = pressure_step(plate, settings.pressure)
    speeds = plate.speeds
    rows = [
        (words("Solution flow"), flow.name, "flow_l_per_min", number("flow_l_per_min", flow.flow_l_per_min)),
        (words("Brush pressure"), step.name, "brush_a", number("down_force_kg", step.down_force_kg)),
        (words("Overlap of lanes"), number("overlap_m", answer.route.overlap_m), "overlap_m", ""),
        (words("Speed while scrubbing"), number("working_m_per_s", speeds.working_m_per_s), "working_m_per_s", ""),
        (words("Speed with deck up"), number("transport_m_per_s", speeds.transport_m_per_s), "transport_m_per_s", ""),
    ]
    for label, value, name, more in rows:
        origin = words(origins.get(name, Origin.PLATE))
        yield Line(label=label, value=value, band=more, origin=origin, detail="")


def _changes(answer: ShiftAnswer, teller: Teller) -> list[dict[str, str]]:
    """What helps where it does not fit, least painful first, each with its gain."""
    if answer.verdict is ShiftVerdict.FITS:
        return []
    if not answer.changes:
        told = no_change_words(answer, teller)
        return [{"told": told, "gain": ""}]
    return [
        {
            "told": teller.tell(change.told),
            "gain": teller.words(
                "{chance}: {gain}. Back at {finish}, dry at {dry}.",
                chance=chance_words(change.chance_fraction, change.error_fraction, teller),
                gain=gain_words(change, answer, teller),
                finish=clock_words(change.finish_at),
                dry=clock_from_words(change.dry_at),
            ),
        }
        for change in answer.changes[:_MOST_CHANGES]
    ]


def _closed(answer: ShiftAnswer) -> list[dict[str, str]]:
    """Where people must keep off, from when until when."""
    return [
        {
            # The last full minute before the first wet lane.
            "from": clock_words(at(answer, section.close_s) - timedelta(seconds=30)),
            "until": clock_from_words(at(answer, section.open_s)),
            "place": section.name,
            "blocks": ", ".join(str(block) for block in section.blocks),
        }
        for section in answer.sections
    ]


def _made_with(provenance: Sequence[Sourced], teller: Teller) -> Iterable[Line]:
    """What went in, each number with its range and where it comes from; a rate that is the plate's own says nothing."""
    for each in provenance:
        is_plain = each.name.endswith("_ratio") and each.origin is Origin.PLATE
        if each.name not in RESULTS and not is_plain:
            value, band = value_and_band(each, teller)
            label, origin = provenance_words(each, teller), teller.words(each.origin)
            yield Line(label=label, value=value, band=band, origin=origin, detail="")


def _line(line: Line) -> dict[str, str]:
    return {name: getattr(line, name) for name in ("label", "value", "band", "origin", "detail")}


def _picture(picture: Picture) -> dict[str, Any]:
    return {"svg": picture.svg, "wide": picture.wide_mm, "high": picture.high_mm, "alt": picture.alt}
