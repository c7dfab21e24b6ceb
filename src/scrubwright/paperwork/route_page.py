"""The route as one web page that needs no network: the answer, the floor with playback, the driver's list."""

from collections.abc import Sequence
from html import escape

from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.paperwork.closed_page import as_data, closed_page, said_by, script_of, style_of
from scrubwright.paperwork.face import face_css
from scrubwright.paperwork.route_drawing import plot_of
from scrubwright.paperwork.route_figures import figures
from scrubwright.paperwork.route_lists import PAGE_MARGIN_M, PAGE_SCALE_RATIO, cautions_at_start, held, rest, steps
from scrubwright.paperwork.route_marks import DIAMOND, hatches, lane_numbers, layers, marks
from scrubwright.paperwork.route_places import DRAIN, PARKING, SOCKET, TAP
from scrubwright.paperwork.route_playback import played
from scrubwright.paperwork.route_svg import LONG_MM, SHEET_STYLE, route_sheet
from scrubwright.paperwork.wording import Teller

SCRIPTS = ("route_page_night.js", "route_page_floor.js", "route_page.js", "route_page_strip.js")


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
    script = script_of(SCRIPTS)
    first, *_ = [teller.tell(each) for each in answer.why] or [""]
    filled = {
        "title": escape(f"{answer.site} · {answer.floor}"),
        "where": escape(f"{answer.site} · {answer.floor} · {answer.machine}"),
        "verdict": escape(held(teller.tell(answer.verdict))),
        "reason": f'<p class="reason">{escape(held(first))}</p>' if first else "",
        "figures": figures(answer, teller),
        "plan": floor_picture(answer, teller),
        "key": key_of_signs(answer, teller),
        "cautions": cautions_at_start(answer, teller),
        "steps": steps(answer, teller),
        "rest": rest(answer, teller),
        "sheet": sheet,
        "night": _night(answer, teller, script),
    }
    style = face_css() + style_of(["route_page.css"]) + SHEET_STYLE + floor_style(answer, sheet)
    return closed_page("route_page.html", filled, style, script, teller)


def floor_style(answer: RouteAnswer, sheet: str) -> str:
    """What the style must know of this floor: how tall it is for its width, and which way its sheet lies."""
    floor = plot_of(answer, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    lies = "landscape" if f'width="{LONG_MM}mm"' in sheet[:300] else "portrait"
    # The sheet keeps its own margin; scaled into another one it would lose its scale.
    return f":root{{--tall:{floor.height_m / floor.width_m:.4f}}}@page plan{{size:A4 {lies};margin:0}}"


def floor_picture(answer: RouteAnswer, teller: Teller, over: str = "") -> str:
    """The plan with all its marks, and its north arrow; `over` is drawn between the lanes and the numbers."""
    plot = plot_of(answer, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    words = teller.words
    name = words("Plan of {floor} with its lanes, blocks and dump stops", floor=answer.floor)
    per_step_m = max(plot.width_m, plot.height_m) / 700
    size = f'viewBox="0 0 {plot.width_m:.2f} {plot.height_m:.2f}"'
    return (
        f'<svg class="plan" role="img" aria-label="{escape(name)}" {size}>'
        f"{hatches('plan', '1.2')}{layers(answer, plot, 'plan')}{over}{lane_numbers(answer, plot)}"
        f"{marks(answer, teller, plot, per_step_m)}</svg>"
        f'<svg class="north" viewBox="-12 -14 24 40" aria-hidden="true"><path d="M0-12 8 10 0 5-8 10Z"/>'
        f'<text y="25">{escape(words("N"))}</text></svg>'
    )


def key_of_signs(answer: RouteAnswer, teller: Teller, more: Sequence[tuple[str, str]] = ()) -> str:
    """The signs of the picture with their words; `more` are drawings around (0, 0), 32 wide, with theirs."""
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
    signs += more
    start = '<li><svg viewBox="-20 -14 40 28" class="mark" aria-hidden="true">'
    rows = "".join(f"{start}{drawn}</svg><span>{escape(label)}</span></li>" for drawn, label in signs)
    return f'<svg class="fills" aria-hidden="true">{hatches("key", "8")}</svg><ul class="legend">{rows}</ul>'


def _night(answer: RouteAnswer, teller: Teller, script: str) -> str:
    """What playback needs, as JSON that cannot end its own element."""
    plot = plot_of(answer, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    return as_data({**played(answer, plot, teller), "words": said_by(script, teller)})
