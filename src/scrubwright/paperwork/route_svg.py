"""The route as one sheet of paper: the plan to scale, its key, and what stays out, in black and white."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape

from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import METRES_PER_FOOT, UnitSystem
from scrubwright.paperwork.face import FAMILY, face_css, lines_that_fit
from scrubwright.paperwork.left_groups import LeftGroup, left_groups, told_reason
from scrubwright.paperwork.route_drawing import Plot, plot_of
from scrubwright.paperwork.route_marks import DIAMOND, fitted_marks, hatches, lane_numbers, layers
from scrubwright.paperwork.route_places import DRAIN, PARKING, SOCKET, TAP
from scrubwright.paperwork.wording import Teller

LONG_MM = 297
_SIDE_MM = 64
_SIGN_MM = 7.2
_MARGIN_M = 1.0
_SCALES = (50, 75, 100, 125, 150, 200, 250, 300, 350, 400, 450, 500, 600, 700, 800, 900, 1000, 1250, 1500, 2000, 2500)
# One step of a mark on paper: a block number of 20 steps stands 5.6 mm high.
_STEP_MM = 0.28
# Lane numbers smaller than this many millimetres would be dust on the sheet.
_LEAST_NUMBER_MM = 1.3
SHEET_STYLE = (
    '.sheet{font-family:"' + FAMILY + '",sans-serif;fill:#000;color:#000}'
    ".sheet path,.sheet circle{fill:none;stroke:#000;stroke-width:.2}"
    ".sheet text{stroke:none;fill:#000;font-variant-numeric:tabular-nums}"
    ".sheet .paper{fill:#fff;stroke:none}.sheet .floor{fill:#fff;stroke:none}"
    ".sheet .swept{stroke:#555;stroke-width:.3}.sheet .swept.odd{fill:#eee}.sheet .swept.even{fill:#fff}"
    ".sheet .lane{stroke:#333;stroke-width:.13}.sheet .lane.by2{stroke-dasharray:1.6 .7}"
    ".sheet .lane.by3{stroke-dasharray:.4 .6}.sheet .lane.by4{stroke-dasharray:1.6 .5 .3 .5}"
    ".sheet .tick{fill:#000;stroke:none}.sheet .stands{fill:#bbb;stroke-width:.25}.sheet .wall{stroke-width:.55}"
    ".sheet .unreachable,.sheet .missed,.sheet .wet{stroke-width:.25}"
    ".sheet .unreachable{fill:url(#sheet-unreachable)}.sheet .missed{fill:url(#sheet-missed)}"
    ".sheet .wet{fill:url(#sheet-wet);stroke-dasharray:.6 .4}"
    ".sheet .area{stroke:#555;stroke-width:.18;stroke-dasharray:1.4 .9}"
    ".sheet .nogo{fill:#f4f4f4;stroke-width:.25;stroke-dasharray:.3 .7}.sheet .ramp{stroke-width:.25}"
    ".sheet .stripe{stroke:#777;stroke-width:.13}.sheet .uphill{stroke-width:.45}"
    ".sheet .uphill-head{fill:#000;stroke:none}"
    ".sheet .hatch{stroke:#444;stroke-width:.6}.sheet .dot{fill:#000;stroke:none}"
    ".sheet .mark *{stroke-width:1.8}.sheet .mark text{stroke:#fff;stroke-width:4;paint-order:stroke;"
    "stroke-linejoin:round;text-anchor:middle}.sheet .mark .full{fill:#000;stroke:#fff;stroke-width:1.5}"
    ".sheet .mark .hollow{fill:#fff}.sheet .mark .inside{fill:#fff;stroke:none;font-size:15px;font-weight:700}"
    ".sheet .mark .number{font-size:26px;font-weight:700}.sheet .mark .of{font-size:14px;font-weight:700}"
    ".sheet .mark .letter{font-size:18px;font-weight:700}.sheet .mark .sign{font-size:16px;font-weight:700;"
    "stroke:none}.sheet .mark .name{font-size:13px}.sheet .mark .called{font-size:14px;fill:#444}"
    ".sheet .idle{opacity:.6}"
    ".sheet .lane-numbers text{text-anchor:middle;stroke:#fff;stroke-width:.35;paint-order:stroke}"
    ".sheet .big{font-size:5.6px;font-weight:700}.sheet .said{font-size:3.9px}.sheet .small{font-size:2.9px}"
    ".sheet .bold{font-weight:700}"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintArea:
    """What a drawing may take of a paper, lying or upright.

    Parameters
    ----------
    paper
        What people call the paper.
    long_mm, short_mm
        The two sides of the drawing [mm].
    edge_mm
        Kept free on each side of it [mm].
    head_mm
        For the verdict and what was planned; 0 leaves both out [mm].
    """

    paper: Sentence
    long_mm: int
    short_mm: int
    edge_mm: int
    head_mm: int


A4_AREA = PrintArea(paper=Sentence("A4"), long_mm=LONG_MM, short_mm=210, edge_mm=10, head_mm=22)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """Where things stand on the paper [mm]: the room for the plan, and the column of the key."""

    area: PrintArea
    wide: int
    high: int
    plan_wide: int
    plan_high: int
    key_x: int
    key_y: int
    is_below: bool
    scale: int


def route_svg(answer: RouteAnswer, teller: Teller) -> str:
    """The route on an A4 sheet that also prints on A3, as one SVG file that carries its own typeface.

    The plan is drawn to the largest round scale that fits; walls and what stands on the floor, lanes
    with small arrow heads, block numbers, dump stops as diamonds numbered in driving order, drains,
    taps and parking, and what stays out with a letter, hatched, its reason beside it.

    Notes
    -----
    Up on the drawing is taken as north. The same answer and reader give the same text.

    Raises
    ------
    BadInput
        A number of the answer has a name without a unit.
    """
    style = f"<style>{face_css()}{SHEET_STYLE}</style>"
    drawn = route_sheet(answer, teller).replace("<title>", style + "<title>", 1)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{drawn}\n'


def route_sheet(answer: RouteAnswer, teller: Teller, area: PrintArea = A4_AREA) -> str:
    """The same sheet without its style, for a page that carries the typeface and `SHEET_STYLE` already."""
    sheet = _sheet(answer, area)
    ratio = 1 / sheet.scale
    plot = plot_of(answer, ratio, _MARGIN_M)
    head = f"{answer.site} · {answer.floor} · {answer.machine}"
    # In the middle of its room, since signs and dump stops reach out over the walls.
    aside = max(0.0, (sheet.plan_wide - 1000 * ratio * plot.width_m) / 2)
    size = f'width="{sheet.wide}mm" height="{sheet.high}mm" viewBox="0 0 {sheet.wide} {sheet.high}"'
    plan = layers(answer, plot, "sheet") + _lane_numbers(answer, plot)
    drawn, homeless = fitted_marks(answer, teller, plot, _STEP_MM * sheet.scale / 1000)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sheet" role="img" {size}>',
        f"<title>{_safe(head)}</title>{hatches('sheet', '2.4')}",
        f'<rect class="paper" width="{sheet.wide}" height="{sheet.high}" fill="#fff"/>',
        *_head(answer, teller, sheet, head),
        f'<g transform="translate({area.edge_mm + aside:.1f} {area.edge_mm + area.head_mm})">{plan}{drawn}</g>',
        *_key(answer, teller, sheet, homeless),
        "</svg>",
    ]
    return "".join(parts)


def has_lane_numbers(answer: RouteAnswer, area: PrintArea = A4_AREA) -> bool:
    """Whether lanes have room for their numbers on the paper."""
    return _is_readable(answer, 1 / _sheet(answer, area).scale)


def _is_readable(answer: RouteAnswer, scale_ratio: float) -> bool:
    pitch_mm = 1000 * scale_ratio * (answer.deck_width_m - answer.overlap_m)
    return 0.62 * pitch_mm >= _LEAST_NUMBER_MM


def _lane_numbers(answer: RouteAnswer, plot: Plot) -> str:
    return lane_numbers(answer, plot) if _is_readable(answer, plot.scale_ratio) else ""


def _sheet(answer: RouteAnswer, area: PrintArea) -> _Sheet:
    """Lying or upright, the key beside or below, whichever shows the floor larger."""
    floor = plot_of(answer, 1.0, _MARGIN_M)
    sides = ((area.long_mm, area.short_mm), (area.short_mm, area.long_mm))
    layouts = [layout(area, wide, high) for wide, high in sides for layout in (_beside, _below)]
    return min((_scaled(each, floor) for each in layouts), key=lambda each: each.scale)


def _beside(area: PrintArea, wide: int, high: int) -> _Sheet:
    return _Sheet(
        area=area,
        wide=wide,
        high=high,
        plan_wide=wide - 2 * area.edge_mm - _SIDE_MM,
        plan_high=high - 2 * area.edge_mm - area.head_mm,
        key_x=wide - area.edge_mm - _SIDE_MM + 4,
        key_y=area.edge_mm + area.head_mm,
        is_below=False,
        scale=_SCALES[0],
    )


def _below(area: PrintArea, wide: int, high: int) -> _Sheet:
    # A lying sheet has room for more columns of the key, which are then shorter.
    foot = 50 if wide > high else 72
    return _Sheet(
        area=area,
        wide=wide,
        high=high,
        plan_wide=wide - 2 * area.edge_mm,
        plan_high=high - 2 * area.edge_mm - area.head_mm - foot,
        key_x=area.edge_mm,
        key_y=high - area.edge_mm - foot + 6,
        is_below=True,
        scale=_SCALES[0],
    )


def _scaled(sheet: _Sheet, floor: Plot) -> _Sheet:
    need = max(1000 * floor.width_m / sheet.plan_wide, 1000 * floor.height_m / sheet.plan_high)
    fitting = next((each for each in _SCALES if each >= need), None)
    scale = fitting if fitting is not None else 1000 * (int(need) // 1000 + 1)
    return replace(sheet, scale=scale)


def _head(answer: RouteAnswer, teller: Teller, sheet: _Sheet, head: str) -> list[str]:
    edge, wide = sheet.area.edge_mm, sheet.wide - 2 * sheet.area.edge_mm
    if not sheet.area.head_mm:
        return []
    verdict = lines_that_fit(teller.tell(answer.verdict), str(wide / 5.8), bold=True)[:2]
    lines = [_text(edge, edge + 5 + 6.4 * index, line, "big") for index, line in enumerate(verdict)]
    return [*lines, _text(edge, edge + 5 + 6.4 * len(verdict), head, "said")]


def _key(answer: RouteAnswer, teller: Teller, sheet: _Sheet, homeless: int) -> list[str]:
    """The north arrow and scale bar, the signs, and what stays out: one column beside the plan, or several below."""
    x, y = sheet.key_x, sheet.key_y
    last = sheet.high - sheet.area.edge_mm
    parts: list[str] = _north_and_scale(teller, sheet, x, y)
    signs = _signs(answer, teller)
    column, row = x, y + 24.0
    for drawn, label in signs:
        if row > last:
            column, row = column + _SIDE_MM, y + 4.0
        parts.append(f'<g transform="translate({column + 6} {row:.1f})">{drawn}</g>')
        parts.append(_text(column + 14, row + 1.1, label, "small"))
        row += _SIGN_MM
    left, first, wide = (column + _SIDE_MM, y + 3.0, sheet.wide - sheet.area.edge_mm - column - _SIDE_MM)
    if not sheet.is_below:
        left, first, wide = x, row, _SIDE_MM - 4
    if homeless:
        told = teller.words(
            "{count} small blocks have no room for their number here; the page shows them.", count=homeless
        )
        lines = lines_that_fit(told, str(wide / 2.95))
        parts += [_text(left, first + 3.5 * line, text, "small") for line, text in enumerate(lines)]
        first += 3.5 * len(lines) + 2
    groups = left_groups(answer)
    if groups:
        parts.append(_text(left, first, teller.words("Stays out, by letter"), "small bold"))
        parts += _reasons(groups, teller, left, first + 4.2, wide, last)
    return parts


def _reasons(
    groups: Sequence[LeftGroup], teller: Teller, left: float, first: float, wide: float, last: float
) -> list[str]:
    """Letter, name, area and reason of each group as far as the paper goes, then how much more there is."""
    # Groups with letters first: the others only count in what is left over.
    groups = sorted(groups, key=lambda each: not each.letter)
    parts: list[str] = []
    y = first
    for index, group in enumerate(groups):
        name = teller.called(group.name)
        said = f"{name}, {teller.number('area_m2', group.area_m2)}: {told_reason(group.pieces, teller)}"
        lines = lines_that_fit(said, str((wide - 6) / 2.95))
        room_for_rest = 4.0 if index < len(groups) - 1 else 0.0
        if y + 3.5 * (len(lines) - 1) + room_for_rest > last or not group.letter:
            rest = [piece.area_m2 for each in groups[index:] for piece in each.pieces]
            more = teller.words(
                "And {count} smaller pieces, {area_m2} together.", count=len(rest), area_m2=float(sum(rest))
            )
            return [*parts, _text(left, min(y, last), more, "small")]
        parts.append(_text(left, y, group.letter, "small bold"))
        parts += [_text(left + 6, y + 3.5 * line, text, "small") for line, text in enumerate(lines)]
        y += 3.5 * len(lines) + 0.9
    return parts


def _north_and_scale(teller: Teller, sheet: _Sheet, x: float, y: float) -> list[str]:
    unit_m, unit = (METRES_PER_FOOT, "ft") if teller.system is UnitSystem.US else (1.0, "m")
    longest = 40 * sheet.scale / 1000 / unit_m
    bar = next(size for size in (500, 200, 100, 50, 20, 10, 5, 2, 1) if size <= longest or size == 1)
    long_mm = bar * unit_m * 1000 / sheet.scale
    told = teller.words("Scale 1:{scale} on {paper}", scale=f"{sheet.scale}", paper=sheet.area.paper)
    left, half = x + 14, long_mm / 2
    north = f'<text class="small bold" y="9.5" text-anchor="middle">{_safe(teller.words("N"))}</text>'
    return [
        f'<g transform="translate({x + 5} {y + 4})"><path class="tick" d="M0-5 3.2 5 0 3-3.2 5Z"/>{north}</g>',
        f'<path d="M{left} {y}h{long_mm:.2f}v2.4h-{long_mm:.2f}z"/>',
        f'<path class="tick" d="M{left} {y}h{half:.2f}v2.4h-{half:.2f}z"/>',
        _text(left, y + 6.6, "0", "small"),
        f'<text class="small" text-anchor="end" x="{left + long_mm:.2f}" y="{y + 6.6}">{bar} {unit}</text>',
        _text(left, y + 11, told, "small"),
        _text(left, y + 15, teller.words("North is up, as drawn"), "small"),
    ]


def _signs(answer: RouteAnswer, teller: Teller) -> list[tuple[str, str]]:
    """Each sign of the plan as a small drawing around (0, 0), with its words."""
    words = teller.words

    def small(drawn: str) -> str:
        return f'<g class="mark" transform="scale({_STEP_MM})">{drawn}</g>'

    def swatch(kind: str) -> str:
        return f'<path class="{kind}" d="M-4-2H4V2H-4Z"/>'

    arrow = '<path class="tick" d="M1.2 0-.6.6-.6-.6Z"/>'
    signs = [
        (
            f'<path class="lane by{route.machine}" d="M-4 0H4"/>{arrow}',
            words("Lane of machine {machine}", machine=route.machine),
        )
        for route in answer.routes[:4]
    ]
    if len(answer.routes) == 1:
        signs = [(f'<path class="lane" d="M-4 0H4"/>{arrow}', words("Lane, driven this way"))]
    in_a_row = "".join(
        f'<g transform="translate({7 * place} 0)">{small(sign)}</g>'
        for place, sign in ((-1, DRAIN), (0, TAP), (1, SOCKET))
    )
    signs += [
        (small('<text class="number" y="9">1</text>'), words("Block, in order; a dot at its start")),
        (small(DIAMOND.format(number=1)), words("Dump stop, in driving order")),
        (f'<g transform="scale(.7)">{in_a_row}</g>', words("Drain, tap, socket")),
        (small(PARKING), words("Parking: start and end here")),
        (swatch("stands"), words("Rack, counter, column")),
    ]
    if answer.plan.ramps:
        ramp = '<path class="stripe" d="M-2-2V2M0-2V2M2-2V2"/><path class="uphill" d="M-3 0H3"/>'
        signs.append((swatch("ramp") + ramp + '<path class="uphill-head" d="M4 0 2.6.8V-.8Z"/>', words("Ramp, uphill")))
    if answer.plan.no_go:
        signs.append((swatch("nogo"), words("Keep off")))
    named = (
        ("unreachable", answer.unreachable, words("Cannot be reached")),
        ("missed", answer.missed, words("Stays unscrubbed")),
        ("wet", answer.stays_wet, words("Stays wet in bends")),
    )
    return signs + [(swatch(kind), label) for kind, pieces, label in named if pieces]


def _text(x: float, y: float, text: str, kind: str) -> str:
    return f'<text class="{kind}" x="{x:g}" y="{y:.1f}">{_safe(text)}</text>'


def _safe(text: str) -> str:
    """Text for XML, which knows no control characters."""
    return escape("".join(each if each.isprintable() else " " for each in text))
