"""The marks of a route on its plan, and the plan's layers from the floor up to the numbers."""

from html import escape

from shapely import LineString

from scrubwright.jobs.route_answer import MachineRoute, RouteAnswer
from scrubwright.paperwork.route_drawing import (
    NumberPlace,
    Plot,
    area_path,
    block_places,
    block_shapes,
    hole_path,
    lane_path,
    lettered,
    tick_path,
)
from scrubwright.paperwork.wording import Teller

# Marks are drawn around their own middle, in steps of one screen pixel; `per_step_m` is how much
# floor one step covers, so that they keep their size whatever the floor's.
DRAIN = '<circle class="hollow" r="9"/><path class="line" d="M-8-3H8M-9 1H9M-7 5H7"/>'
TAP = '<path class="line" d="M-8-9H2M-3-9V-3M-9-3H3q5 0 5 5V5"/><circle class="full" cx="8" cy="9" r="2"/>'
PARKING = '<path class="hollow" d="M-11-11H11V11H-11Z"/><text class="sign" y="6">P</text>'
DIAMOND = '<path class="full" d="M0-16 16 0 0 16-16 0Z"/><text class="inside" y="5">{number}</text>'
NUMBER = '<text class="number" y="9">{number}</text>'
LETTER = '<text class="letter" y="6">{letter}</text>'
START = '<circle class="full" r="3.5"/>'
DIAMONDS_IN_A_ROW = 5
DIAMOND_STEP = 34
_ROOM_FOR_FIGURE = (16, 27)
# Where numbers are this small, a dot at the start would only be in the way.
_LEAST_WITH_START = 0.75
_LONGEST_NAME = 26


def marks(answer: RouteAnswer, teller: Teller, plot: Plot, per_step_m: float) -> str:
    """Every mark at its full size: starts, drains, taps, parking, dump stops, letters and block numbers.

    The longest block comes first, so that a screen which hides what would cover others keeps it.

    Parameters
    ----------
    per_step_m
        Floor that one step of a mark covers [m, > 0].
    """
    return _marks(answer, teller, plot, per_step_m, fitted=False)


def fitted_marks(answer: RouteAnswer, teller: Teller, plot: Plot, per_step_m: float) -> tuple[str, int]:
    """The marks for paper, which cannot be zoomed: small numbers where room is scarce, and how many found none."""
    places = _places(answer, per_step_m)
    homeless = sum(1 for place in places.values() if place.size_ratio == 0)
    return _marks(answer, teller, plot, per_step_m, fitted=True), homeless


def _places(answer: RouteAnswer, per_step_m: float) -> dict[tuple[int, int], NumberPlace]:
    wide_m, high_m = (steps * per_step_m for steps in _ROOM_FOR_FIGURE)
    return block_places(answer, wide_m, high_m * (1.6 if len(answer.routes) > 1 else 1.0))


def _marks(answer: RouteAnswer, teller: Teller, plot: Plot, per_step_m: float, *, fitted: bool) -> str:
    places = _places(answer, per_step_m)
    found = [
        _mark("start", *block.entry_m, START, plot, per_step_m)
        for route in answer.routes
        for block in route.blocks
        if not fitted or places[route.machine, block.number].size_ratio >= _LEAST_WITH_START
    ]
    found += _service(answer, teller, plot, per_step_m)
    found += [
        _mark("left", piece.x_m, piece.y_m, LETTER.format(letter=letter), plot, per_step_m)
        for letter, piece, _ in lettered(answer)
        if letter
    ]
    several = len(answer.routes) > 1
    for (machine, number), place in places.items():
        if fitted and not place.size_ratio:
            continue
        drawn = NUMBER.format(number=number)
        if several:
            drawn += f'<text class="of" y="24">{escape(teller.words("M{machine}", machine=machine))}</text>'
        step_m = per_step_m * (place.size_ratio if fitted else 1.0)
        key = f' data-block="{machine}-{number}"'
        found.append(_mark("block", place.x_m, place.y_m, drawn, plot, step_m, key))
    return "".join(found)


def layers(answer: RouteAnswer, plot: Plot, prefix: str) -> str:
    """The plan without its marks: floor, what each block scrubs, what is left out, lanes, and what stands there.

    Parameters
    ----------
    prefix
        Begins the names of the hatches, so that two plans may stand on one page (see `hatches`).
    """
    parts = [f'<path class="floor" fill-rule="evenodd" d="{area_path(answer.free, plot)}"/>']
    for index, ((machine, number), shape) in enumerate(block_shapes(answer).items()):
        shade = "odd" if index % 2 else "even"
        parts.append(
            f'<path class="swept {shade}" data-block="{machine}-{number}" fill-rule="evenodd" '
            f'd="{area_path(shape, plot)}"/>'
        )
    for _, piece, kind in lettered(answer):
        path = area_path(piece.outline, plot)
        parts.append(f'<path class="{kind}" fill="url(#{prefix}-{kind})" fill-rule="evenodd" d="{path}"/>')
    for route in answer.routes:
        parts.append(_lanes(answer, route, plot))
    parts.append(f'<path class="stands" d="{hole_path(answer.free, plot)}"/>')
    parts.append(f'<path class="wall" d="{area_path(answer.free, plot)}"/>')
    return "".join(parts)


def lane_numbers(answer: RouteAnswer, plot: Plot) -> str:
    """Each lane's number near its start, no higher than the lane is wide."""
    high_m = 0.62 * (answer.deck_width_m - answer.overlap_m)
    found = []
    for lane in answer.lanes:
        line = LineString(lane.points_m)
        x_m, y_m = line.interpolate(min(2 * high_m, line.length / 2)).coords[0]
        x, y = plot.at(x_m, y_m - 0.35 * high_m)
        found.append(f'<text x="{x}" y="{y}">{lane.number}</text>')
    return f'<g class="lane-numbers" font-size="{plot.length(high_m)}">{"".join(found)}</g>'


def hatches(prefix: str, step: str) -> str:
    """The fills of what is left out, told apart by their lines: slanted, solid cross, dots."""
    start = f'<pattern patternUnits="userSpaceOnUse" width="{step}" height="{step}"'
    boxed = f'viewBox="0 0 8 8" id="{prefix}'
    return (
        f'<defs>{start} {boxed}-unreachable"><path class="hatch" d="M-1 9 9-1M3 13 13 3M-5 5 5-5"/></pattern>'
        f'{start} {boxed}-missed"><path class="hatch" d="M-1 9 9-1M-1-1 9 9M4-1V9M-1 4H9"/></pattern>'
        f'{start} {boxed}-wet"><circle class="dot" cx="2" cy="2" r="1.3"/>'
        '<circle class="dot" cx="6" cy="6" r="1.3"/></pattern></defs>'
    )


def _lanes(answer: RouteAnswer, route: MachineRoute, plot: Plot) -> str:
    by_block: dict[int, list[int]] = {}
    for index, lane in enumerate(answer.lanes):
        if lane.machine == route.machine:
            by_block.setdefault(lane.block, []).append(index)
    parts = []
    for number, indices in by_block.items():
        lanes = [answer.lanes[index] for index in indices]
        key = f'data-block="{route.machine}-{number}"'
        # Machines are told apart by the kind of stroke; past the fourth the strokes come again.
        parts.append(f'<path class="lane by{(route.machine - 1) % 4 + 1}" {key} d="{lane_path(lanes, plot)}"/>')
        parts.append(f'<path class="tick" {key} d="{tick_path(lanes, plot)}"/>')
    return "".join(parts)


def _service(answer: RouteAnswer, teller: Teller, plot: Plot, per_step_m: float) -> list[str]:
    """Each drain once with its tap and name, its dump stops below in driving order; then the parking places."""
    places: dict[tuple[float, float, str, bool], dict[int, list[int]]] = {}
    for route in answer.routes:
        for stop in route.stops:
            place = (round(stop.x_m, 2), round(stop.y_m, 2), stop.drain, stop.tap is not None)
            places.setdefault(place, {}).setdefault(route.machine, []).append(stop.number)
    found = []
    for (x_m, y_m, drain, has_tap), numbers in places.items():
        name = drain if len(drain) <= _LONGEST_NAME else drain[: _LONGEST_NAME - 1] + "…"
        drawn = DRAIN + f'<text class="name" y="-16">{escape(name)}</text>'
        if has_tap:
            drawn += f'<g transform="translate(28 0)">{TAP}</g>'
        found.append(_mark("drain", x_m, y_m, drawn, plot, per_step_m))
        found.append(_mark("stop", x_m, y_m, _diamonds(answer, numbers, teller), plot, per_step_m))
    starts = {tuple(route.legs[0].points_m[0].round(2).tolist()) for route in answer.routes if route.legs}
    for x_m, y_m in sorted(starts):
        beside = any(abs(x_m - x) < 36 * per_step_m and abs(y_m - y) < 56 * per_step_m for x, y, *_ in places)
        drawn = f'<g transform="translate(-44 0)">{PARKING}</g>' if beside else PARKING
        found.append(_mark("parking", x_m, y_m, drawn, plot, per_step_m))
    return found


def _diamonds(answer: RouteAnswer, numbers: dict[int, list[int]], teller: Teller) -> str:
    several = len(answer.routes) > 1
    drawn, down = [], DIAMOND_STEP
    for machine, stops in numbers.items():
        for first in range(0, len(stops), DIAMONDS_IN_A_ROW):
            group = stops[first : first + DIAMONDS_IN_A_ROW]
            left = -(len(group) - 1) * DIAMOND_STEP // 2
            for index, number in enumerate(group):
                place = f"{left + index * DIAMOND_STEP} {down}"
                drawn.append(f'<g transform="translate({place})">{DIAMOND.format(number=number)}</g>')
            down += DIAMOND_STEP
        if several:
            label = escape(teller.words("M{machine}", machine=machine))
            drawn.append(f'<text class="of" y="{down - 6}">{label}</text>')
            down += DIAMOND_STEP // 2
    return "".join(drawn)


def _mark(kind: str, x_m: float, y_m: float, drawn: str, plot: Plot, per_step_m: float, more: str = "") -> str:
    x, y = plot.at(x_m, y_m)
    return (
        f'<g class="mark {kind}" data-x="{x}" data-y="{y}"{more} '
        f'transform="translate({x} {y}) scale({_step(plot, per_step_m)})">{drawn}</g>'
    )


def _step(plot: Plot, per_step_m: float) -> str:
    # Two decimals would be too coarse for a small step.
    return f"{1000 * plot.scale_ratio * per_step_m:.4g}"
