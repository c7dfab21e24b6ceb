"""The shift as one web page that needs no network: the answer, what would make it fit, the night line, the floor."""

import re
from html import escape

from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.shift_answer import Doing, ShiftAnswer
from scrubwright.paperwork.closed_page import as_data, closed_page, said_by, script_of, style_of
from scrubwright.paperwork.face import face_css
from scrubwright.paperwork.route_drawing import Plot, plot_of
from scrubwright.paperwork.route_json import Json
from scrubwright.paperwork.route_lists import PAGE_MARGIN_M, PAGE_SCALE_RATIO, cautions_at_start, held, rest, steps
from scrubwright.paperwork.route_page import floor_picture, floor_style, key_of_signs
from scrubwright.paperwork.route_playback import leg_row, played
from scrubwright.paperwork.route_svg import SHEET_STYLE, route_sheet
from scrubwright.paperwork.shift_axis import axis_of, hours
from scrubwright.paperwork.shift_curves import charge_curve, charge_levels, tank_curve, tank_top_l
from scrubwright.paperwork.shift_figures import chance_figure, shift_figures
from scrubwright.paperwork.shift_line import night_line
from scrubwright.paperwork.shift_lists import (
    cautions,
    changes,
    remarks,
    section_outlines,
    sections,
    verdict_shape,
)
from scrubwright.paperwork.shift_route import TimedLeg, route_in_time, timed_legs
from scrubwright.paperwork.shift_words import at, clock_words, lock_out_words, verdict_words, when_words
from scrubwright.paperwork.wording import Teller

SCRIPTS = ("route_page_night.js", "route_page_floor.js", "route_page.js", "shift_page_line.js")
STYLES = ("route_page.css", "shift_page.css")
_TIME = re.compile(r'<time data-s="(\d+)">[^<]*</time>')
# After the kinds of a route's legs come those of its pauses, as the script counts them.
_PAUSES = {Doing.CHARGE: 4, Doing.WAIT: 5}


def shift_page(answer: ShiftAnswer, teller: Teller) -> str:
    """One HTML file that opens from disk and asks nobody for anything.

    The verdict comes first, by word and shape, with the chance and why; then what would make it fit and
    the numbers, each with where it comes from. One time moves the floor, the night line, the tanks and
    the charge together. The driver's list, what is closed to people and what stays out follow. On paper
    it becomes a run sheet with the night line and the plan.

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
    route = route_in_time(answer)
    legs = [timed_legs(answer, shift) for shift in answer.machines]
    sheet, script = route_sheet(route, teller), script_of(SCRIPTS)
    lock_out = lock_out_words(answer, teller)
    filled = {
        "title": escape(f"{route.site} · {route.floor}"),
        "where": escape(f"{route.site} · {route.floor} · {route.machine}"),
        "shape": verdict_shape(answer.verdict),
        "verdict": escape(verdict_words(answer, teller)),
        "reason": escape(held(teller.tell(answer.why))),
        "lock": f"<p>{escape(lock_out)}</p>\n" if lock_out else "",
        "when": escape(held(when_words(answer, teller))),
        "chance": chance_figure(answer, teller),
        "changes": changes(answer, teller),
        "figures": shift_figures(answer, teller),
        "plan": floor_picture(route, teller, section_outlines(answer)),
        **_lines(answer, legs, teller),
        "several": " several" if len(answer.machines) > 1 else "",
        "drying": escape(_drying(answer, teller)),
        "key": key_of_signs(route, teller, _own_signs(teller)),
        "cautions": cautions(answer, teller) + cautions_at_start(route, teller),
        "sections": sections(answer, teller),
        "steps": _by_the_clock(steps(route, teller, remarks(answer, teller)), answer),
        "rest": rest(route, teller),
        "sheet": sheet,
        "night": _night(answer, route, legs, script, teller),
    }
    style = face_css() + style_of(STYLES) + SHEET_STYLE + floor_style(route, sheet)
    return closed_page("shift_page.html", filled, style, script, teller)


def _lines(answer: ShiftAnswer, legs: list[tuple[TimedLeg, ...]], teller: Teller) -> dict[str, str]:
    """The night line, the charge and the tanks above each other; the tanks of several machines wait behind a tap."""
    axis = axis_of(answer)
    levels = [charge_levels(answer, shift.machine, each) for shift, each in zip(answer.machines, legs, strict=True)]
    line = f"{night_line(answer, teller, axis)}{hours(axis)}{charge_curve(answer, levels, teller, axis)}"
    tanks = "".join(tank_curve(answer, index, each, teller, axis) for index, each in enumerate(legs))
    if len(legs) == 1:
        return {"line": line + tanks, "folded": ""}
    title = escape(teller.words("Tanks through the shift"))
    return {
        "line": line,
        "folded": f'<details class="more night several"><summary>{title}</summary>{tanks}</details>',
    }


def _drying(answer: ShiftAnswer, teller: Teller) -> str:
    low_s, middle_s, high_s = answer.dry_s
    return teller.words(
        "A wet lane dries in {middle_s}, 8 times in 10 between {low_s} and {high_s}.",
        low_s=low_s,
        middle_s=middle_s,
        high_s=high_s,
    )


def _own_signs(teller: Teller) -> list[tuple[str, str]]:
    return [('<path class="section-sign" d="M-16-9H16V9H-16Z"/>', teller.words("Closed to people at this time"))]


def _by_the_clock(listed: str, answer: ShiftAnswer) -> str:
    """The list with clock times instead of hours since the start."""
    return _TIME.sub(
        lambda found: f'<time data-s="{found[1]}">{clock_words(at(answer, float(found[1])))}</time>', listed
    )


def _night(
    answer: ShiftAnswer, route: RouteAnswer, legs: list[tuple[TimedLeg, ...]], script: str, teller: Teller
) -> str:
    """What playback needs, as JSON that cannot end its own element."""
    plot = plot_of(route, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    rows = [[_row(leg, plot) for leg in each] for each in legs]
    start_at = answer.question.start_at
    charges: list[Json] = [
        [[round(level.at_s, 1), round(level.full_fraction, 4)] for level in charge_levels(answer, shift.machine, each)]
        for shift, each in zip(answer.machines, legs, strict=True)
    ]
    return as_data(
        {
            **played(route, plot, teller, rows),
            "words": said_by(script, teller),
            "startsAt": 60 * start_at.hour + start_at.minute,
            "span": round(axis_of(answer).span_s, 1),
            "drying": answer.dry_s[1],
            "top": tank_top_l(answer),
            "charges": charges,
        }
    )


def _row(timed: TimedLeg, plot: Plot) -> list[Json]:
    is_longer_wet = timed.wet_until_s > timed.end_s + 1
    kind = _PAUSES[timed.pause] if timed.pause is not None else None
    return leg_row(timed.leg, plot, kind, timed.wet_until_s if is_longer_wet else None)
