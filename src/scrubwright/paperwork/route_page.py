"""The route as one web page that needs no network: the answer, the floor with playback, the driver's list."""

import json
import re
from base64 import b64encode
from hashlib import sha256
from html import escape
from importlib.resources import files
from string import Formatter

from scrubwright.jobs.route_answer import LegKind, MachineRoute, RouteAnswer
from scrubwright.measures.units import UnitSystem, unit_of
from scrubwright.paperwork.face import face_css
from scrubwright.paperwork.route_drawing import Plot, plot_of
from scrubwright.paperwork.route_figures import figures
from scrubwright.paperwork.route_json import Json
from scrubwright.paperwork.route_lists import PAGE_MARGIN_M, PAGE_SCALE_RATIO, cautions_at_start, held, rest, steps
from scrubwright.paperwork.route_marks import DIAMOND, hatches, lane_numbers, layers, marks
from scrubwright.paperwork.route_places import DRAIN, PARKING, SOCKET, TAP
from scrubwright.paperwork.route_svg import LONG_MM, SHEET_STYLE, route_sheet
from scrubwright.paperwork.wording import Teller

SCRIPTS = ("route_page_night.js", "route_page_floor.js", "route_page.js")
_KINDS = (LegKind.SCRUB, LegKind.DRIVE, LegKind.REVERSE, LegKind.STOP)
_WORDS_OF_PAGE = re.compile(r"\[\[(.+?)\]\]")
_WORDS_OF_SCRIPT = re.compile(r'\bsay\("((?:[^"\\]|\\.)*)"')


def route_page(answer: RouteAnswer, teller: Teller) -> str:
    """One HTML file that opens from disk and asks nobody for anything.

    The verdict comes first, then why, then the numbers with where each comes from. The floor plays
    the night: machines, tanks, the strip of time and the drying floor move together. Below or beside
    it stand the blocks a driver follows, the cautions where they bite, what stays out and why. On
    paper it becomes a run sheet with the plan of `route_svg`.

    Parameters
    ----------
    answer
        What the planner found.
    teller
        Whose language and units it speaks.

    Returns
    -------
    str
        HTML in UTF-8. Its own policy allows no script, style or picture but those in it.

    Notes
    -----
    The same answer and reader give the same page. Up on the drawing is taken as north.

    Raises
    ------
    BadInput
        A number of the answer has a name without a unit.
    """
    sheet = route_sheet(answer, teller)
    style = face_css() + _paper("route_page.css") + SHEET_STYLE + _floor_style(answer, sheet)
    script = f'(() => {{\n"use strict";\n{chr(10).join(_paper(name) for name in SCRIPTS)}}})();\n'
    first, *_ = [teller.tell(each) for each in answer.why] or [""]
    filled = {
        "language": teller.language.value,
        "policy": escape(_policy(script, style)),
        "title": escape(f"{answer.site} · {answer.floor}"),
        "style": style,
        "where": escape(f"{answer.site} · {answer.floor} · {answer.machine}"),
        "verdict": escape(held(teller.tell(answer.verdict))),
        "reason": f'<p class="reason">{escape(held(first))}</p>' if first else "",
        "figures": figures(answer, teller),
        "plan": _plan(answer, teller),
        "key": _key(answer, teller),
        "cautions": cautions_at_start(answer, teller),
        "steps": steps(answer, teller),
        "rest": rest(answer, teller),
        "sheet": sheet,
        "night": _night(answer, teller, script),
        "script": script,
    }
    page = _WORDS_OF_PAGE.sub(lambda found: escape(_kept(found[1], teller)), _paper("route_page.html"))
    return re.sub(r"\{\{(\w+)\}\}", lambda found: filled[found[1]], page)


def _paper(name: str) -> str:
    return (files("scrubwright.paperwork") / name).read_text(encoding="utf-8")


def _policy(script: str, style: str) -> str:
    """Only this very script and style may run, by their fingerprints; nothing may be fetched."""
    marks_of = [b64encode(sha256(text.encode()).digest()).decode() for text in (script, style)]
    return (
        f"default-src 'none'; script-src 'sha256-{marks_of[0]}'; style-src 'sha256-{marks_of[1]}'; "
        "font-src data:; base-uri 'none'; form-action 'none'"
    )


def _floor_style(answer: RouteAnswer, sheet: str) -> str:
    """What the style must know of this floor: how tall it is for its width, and which way its sheet lies."""
    floor = plot_of(answer, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    lies = "landscape" if f'width="{LONG_MM}mm"' in sheet[:300] else "portrait"
    # The sheet keeps its own margin; scaled into another one it would lose its scale.
    return f":root{{--tall:{floor.height_m / floor.width_m:.4f}}}@page plan{{size:A4 {lies};margin:0}}"


def _plan(answer: RouteAnswer, teller: Teller) -> str:
    plot = plot_of(answer, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    words = teller.words
    name = words("Plan of {floor} with its lanes, blocks and dump stops", floor=answer.floor)
    per_step_m = max(plot.width_m, plot.height_m) / 700
    size = f'viewBox="0 0 {plot.width_m:.2f} {plot.height_m:.2f}"'
    return (
        f'<svg class="plan" role="img" aria-label="{escape(name)}" {size}>'
        f"{hatches('plan', '1.2')}{layers(answer, plot, 'plan')}{lane_numbers(answer, plot)}"
        f"{marks(answer, teller, plot, per_step_m)}</svg>"
        f'<svg class="north" viewBox="-12 -14 24 40" aria-hidden="true"><path d="M0-12 8 10 0 5-8 10Z"/>'
        f'<text y="25">{escape(words("N"))}</text></svg>'
    )


def _key(answer: RouteAnswer, teller: Teller) -> str:
    """The signs of the picture with their words."""
    words = teller.words
    box = '<path class="{kind}" d="M-16-9H16V9H-16Z"/>'
    line = '<path class="todo" d="M-18 0H18"/><path class="tick" d="M5 0-4 4-4-4Z"/>'
    signs = [
        (line, words("To do, with its direction")),
        (box.format(kind="swatch-wet"), words("Scrubbed, wet")),
        (box.format(kind="swatch-dry"), words("Scrubbed, dry")),
        (
            '<text font-size="24" font-weight="700" y="8">1</text>',
            words("Block, in order; a dot at its start"),
        ),
        (DIAMOND.format(number=1), words("Dump stop, in driving order")),
        (f'<g transform="translate(-9 0)">{DRAIN}</g><g transform="translate(12 0)">{TAP}</g>', words("Drain and tap")),
        (SOCKET, words("Socket")),
        (PARKING, words("Parking: start and end here")),
        (box.format(kind="stands"), words("Rack, counter, column")),
    ]
    if answer.plan.areas:
        signs.append((box.format(kind="area"), words("Area, with its name")))
    if answer.plan.ramps:
        ramp = '<path class="stripe" d="M-10-9V9M-4-9V9M2-9V9M8-9V9"/><path class="uphill" d="M-12 0H8"/>'
        signs.append(
            (box.format(kind="ramp") + ramp + '<path class="uphill-head" d="M13 0 5 5V-5Z"/>', words("Ramp, uphill"))
        )
    if answer.plan.no_go:
        signs.append((box.format(kind="nogo"), words("Keep off")))
    named = (
        ("unreachable", answer.unreachable, words("Cannot be reached")),
        ("missed", answer.missed, words("Stays unscrubbed")),
        ("wet", answer.stays_wet, words("Stays wet in bends")),
    )
    signs += [(box.format(kind=kind), label) for kind, pieces, label in named if pieces]
    start = '<li><svg viewBox="-20 -14 40 28" class="mark" aria-hidden="true">'
    rows = "".join(f"{start}{drawn}</svg><span>{escape(label)}</span></li>" for drawn, label in signs)
    return f'<svg class="fills" aria-hidden="true">{hatches("key", "8")}</svg><ul class="legend">{rows}</ul>'


def _night(answer: RouteAnswer, teller: Teller, script: str) -> str:
    """What playback needs, as JSON that cannot end its own element."""
    plot = plot_of(answer, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    unit = unit_of("tank_l")
    shown = (unit.us if teller.system is UnitSystem.US else unit.si) if unit else None
    litre: dict[str, Json] = {"factor": shown.factor if shown else 1.0, "label": teller.label("tank_l")}
    # A tank of six gallons needs a decimal; a hundred litres do not.
    litre["decimals"] = 1 if teller.system is UnitSystem.US else 0
    machines: list[Json] = [_machine(route, answer, plot) for route in answer.routes]
    said: dict[str, Json] = {english: _kept(english, teller) for english in script_words(script)}
    night: dict[str, Json] = {
        "wide": round(plot.width_m, 2),
        "high": round(plot.height_m, 2),
        "deck": answer.deck_width_m,
        "solution": answer.solution_tank_l,
        "recovery": answer.recovery_tank_l,
        "litre": litre,
        "words": said,
        "machines": machines,
    }
    text = json.dumps(night, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def page_words() -> tuple[str, ...]:
    """Every English template that stands in the page's own file, for the test that each has its Spanish."""
    return tuple(dict.fromkeys(_WORDS_OF_PAGE.findall(_paper("route_page.html"))))


def script_words(script: str) -> tuple[str, ...]:
    """Every English template that a script says."""
    return tuple(dict.fromkeys(_WORDS_OF_SCRIPT.findall(script)))


def _kept(template: str, teller: Teller) -> str:
    """A template in the reader's language, its names still in braces for values that come later."""
    names = [name for _, name, _, _ in Formatter().parse(template) if name]
    return teller.words(template, **{name: f"{{{name}}}" for name in names})


def _machine(route: MachineRoute, answer: RouteAnswer, plot: Plot) -> Json:
    legs: list[Json] = []
    for leg in route.legs:
        points = (leg.points_m - (plot.left_m, plot.top_m)) * (1, -1)
        flat: list[Json] = [round(value, 2) for value in points.ravel().tolist()]
        legs.append(
            [
                _KINDS.index(leg.kind),
                round(leg.start_s, 1),
                round(leg.duration_s, 1),
                round(leg.solution_l, 1),
                round(leg.recovered_l, 1),
                leg.lane or 0,
                leg.block or 0,
                leg.stop or 0,
                flat,
            ]
        )
    still = route.legs[0].kind in (LegKind.DRIVE, LegKind.REVERSE)
    first: dict[str, Json] = {
        "solution": route.legs[0].solution_l if still else answer.solution_tank_l,
        "recovered": route.legs[0].recovered_l if still else 0.0,
    }
    blocks: list[Json] = [[block.number, round(block.start_s, 1), round(block.end_s, 1)] for block in route.blocks]
    stops: list[Json] = [[stop.number, round(stop.arrive_s, 1), round(stop.duration_s, 1)] for stop in route.stops]
    return {
        "number": route.machine,
        "end": round(route.total_time_s, 1),
        "first": first,
        "legs": legs,
        "blocks": blocks,
        "stops": stops,
    }
