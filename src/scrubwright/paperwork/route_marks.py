"""The marks of a route on its plan, and the plan's layers from the floor up to the numbers."""

from html import escape

from shapely import LineString

from scrubwright.jobs.route_answer import MachineRoute, RouteAnswer
from scrubwright.paperwork.left_groups import MISSED, left_groups
from scrubwright.paperwork.route_drawing import (
    NumberPlace,
    Plot,
    area_path,
    block_places,
    block_shapes,
    is_clear,
    lane_path,
    solid_path,
    tick_path,
    wall_path,
)
from scrubwright.paperwork.route_places import (
    NAME_STEP,
    PARKING,
    SIGN_STEP,
    Station,
    called,
    ground,
    keep_off_spots_m,
    kept_off,
    name_spots_m,
    parking_places_m,
    ramp_spots_m,
    ramp_words,
    station_sign,
    stations_of,
)
from scrubwright.paperwork.wording import Teller

# Marks are drawn around their own middle, in steps of one screen pixel; `per_step_m` is how much
# floor one step covers, so that they keep their size whatever the floor's.
DIAMOND = '<path class="full" d="M0-16 16 0 0 16-16 0Z"/><text class="inside" y="5">{number}</text>'
NUMBER = '<text class="number" y="9">{number}</text>'
LETTER = '<text class="letter" y="6">{letter}</text>'
START = '<circle class="full" r="3.5"/>'
DIAMONDS_IN_A_ROW = 5
DIAMOND_STEP = 34
_ROOM_FOR_FIGURE = (16, 27)
_ROOM_FOR_LETTER = 8
# Where numbers are this small, a dot at the start would only be in the way.
_LEAST_WITH_START = 0.75


def marks(answer: RouteAnswer, teller: Teller, plot: Plot, per_step_m: float) -> str:
    """Every mark at its full size: starts, stations, parking, dump stops, letters, block numbers, names.

    The longest block comes first, so that a screen which hides what would cover others keeps it.

    Parameters
    ----------
    per_step_m
        Floor that one step of a mark covers [m, > 0].
    """
    stations = stations_of(answer, 0.0)
    found = [
        _mark("start", *block.entry_m, START, plot, per_step_m) for route in answer.routes for block in route.blocks
    ]
    found += _stations(answer, stations, teller, plot, per_step_m)
    found += [_mark("parking", x_m, y_m, PARKING, plot, per_step_m) for x_m, y_m in parking_places_m(answer)]
    found += _letters(answer, plot, per_step_m)
    for (machine, number), place in _number_places(answer, per_step_m, _taken(answer, stations, per_step_m)).items():
        found.append(_number(answer, machine, number, place, plot, per_step_m, teller))
    found += _names(answer, teller, plot, per_step_m)
    return "".join(found)


def fitted_marks(answer: RouteAnswer, teller: Teller, plot: Plot, per_step_m: float) -> tuple[str, int]:
    """The marks for paper, which cannot be zoomed: small numbers where room is scarce, and how many found none."""
    # On paper, signs that would cover each other stand together.
    stations = stations_of(answer, 3 * SIGN_STEP * per_step_m)
    taken = _taken(answer, stations, per_step_m)
    places = _number_places(answer, per_step_m, taken)
    entries = {(route.machine, block.number): block.entry_m for route in answer.routes for block in route.blocks}
    found = [
        _mark("start", *entries[key], START, plot, per_step_m)
        for key, place in places.items()
        if place.size_ratio >= _LEAST_WITH_START
    ]
    found += _stations(answer, stations, teller, plot, per_step_m)
    found += _parking_on_paper(answer, stations, plot, per_step_m)
    found += _letters(answer, plot, per_step_m)
    for (machine, number), place in places.items():
        if place.size_ratio:
            step_m = per_step_m * place.size_ratio
            found.append(_number(answer, machine, number, place, plot, step_m, teller))
    found += _names(answer, teller, plot, per_step_m, taken)
    return "".join(found), sum(1 for place in places.values() if place.size_ratio == 0)


def _number_places(
    answer: RouteAnswer, per_step_m: float, taken: list[tuple[float, float, float, float]]
) -> dict[tuple[int, int], NumberPlace]:
    wide_m, high_m = (steps * per_step_m for steps in _ROOM_FOR_FIGURE)
    return block_places(answer, wide_m, high_m * (1.6 if len(answer.routes) > 1 else 1.0), taken)


def _taken(
    answer: RouteAnswer, stations: tuple[Station, ...], per_step_m: float
) -> list[tuple[float, float, float, float]]:
    """Room that stations with their names, the rows of diamonds below, letters and parking places keep [m]."""
    wide_m, high_m = (steps * per_step_m for steps in _ROOM_FOR_FIGURE)
    taken = []
    for station in stations:
        rows = sum(1 for route in answer.routes if any(stop.drain in station.names for stop in route.stops))
        taken += [(station.x_m, station.y_m - row * 1.2 * high_m, 3 * wide_m, high_m) for row in range(rows + 1)]
        up_m = (16 + NAME_STEP * len(station.names) / 2) * per_step_m
        name_m = max(map(len, station.names)) * _ROOM_FOR_LETTER * per_step_m
        taken.append((station.x_m, station.y_m + up_m, name_m, NAME_STEP * len(station.names) * per_step_m))
    taken += [(x, y, wide_m, high_m) for x, y in parking_places_m(answer)]
    taken += [(*ramp_spots_m(ramp)[0], 4 * wide_m, high_m) for ramp in answer.plan.ramps]
    return taken


def _number(
    answer: RouteAnswer, machine: int, number: int, place: NumberPlace, plot: Plot, step_m: float, teller: Teller
) -> str:
    drawn = NUMBER.format(number=number)
    if len(answer.routes) > 1:
        drawn += f'<text class="of" y="24">{escape(teller.words("M{machine}", machine=machine))}</text>'
    return _mark("block", place.x_m, place.y_m, drawn, plot, step_m, f' data-block="{machine}-{number}"')


def _letters(answer: RouteAnswer, plot: Plot, per_step_m: float) -> list[str]:
    """Letters of what stays out; those of crumbs are a kind of their own, which a small picture leaves out."""
    return [
        _mark(
            "crumb" if group.kind == MISSED else "left",
            piece.x_m,
            piece.y_m,
            LETTER.format(letter=group.letter),
            plot,
            per_step_m,
        )
        for group in left_groups(answer)
        for piece in group.lettered
    ]


def _names(
    answer: RouteAnswer,
    teller: Teller,
    plot: Plot,
    per_step_m: float,
    taken: list[tuple[float, float, float, float]] | None = None,
) -> list[str]:
    """Names of ramps, floor to keep off and areas; with `taken`, only those that find room there.

    Without it, each has all places that would do, for a screen that moves.
    """
    plan = answer.plan
    named: list[tuple[str, tuple[str, ...], list[tuple[float, float]]]] = []
    named += [("slope", ramp_words(ramp, teller), ramp_spots_m(ramp)) for ramp in plan.ramps]
    named += [("called", (each.name,), keep_off_spots_m(each)) for each in plan.no_go]
    named += [("called", (area.name,), name_spots_m(area, answer)) for area in plan.areas]
    found = []
    for kind, lines, spots in named:
        room = (_ROOM_FOR_LETTER * max(map(len, lines)) * per_step_m, (NAME_STEP * len(lines) + 5) * per_step_m)
        if taken is None:
            listed = " ".join(",".join(plot.at(*spot)) for spot in spots)
            found.append(_mark(kind, *spots[0], called(lines), plot, per_step_m, f' data-spots="{listed}"'))
            continue
        # A slope is never left out: its room was kept.
        clear = spots[0] if kind == "slope" else next((spot for spot in spots if is_clear(spot, room, taken)), None)
        if clear is not None:
            taken.append((*clear, *room))
            found.append(_mark(kind, *clear, called(lines), plot, per_step_m))
    return found


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
    parts.append(ground(answer, plot))
    for group in left_groups(answer):
        path = "".join(area_path(piece.outline, plot) for piece in group.pieces)
        kind = group.kind
        parts.append(f'<path class="{kind}" fill="url(#{prefix}-{kind})" fill-rule="evenodd" d="{path}"/>')
    for route in answer.routes:
        parts.append(_lanes(answer, route, plot))
    parts.append(f'<path class="stands" fill-rule="evenodd" d="{solid_path(answer, plot)}"/>')
    parts.append(kept_off(answer, plot))
    parts.append(f'<path class="wall" d="{wall_path(answer.plan.outline, plot)}"/>')
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


def _stations(
    answer: RouteAnswer, stations: tuple[Station, ...], teller: Teller, plot: Plot, per_step_m: float
) -> list[str]:
    """Each station with its signs and names, its dump stops below in driving order."""
    found = []
    for station in stations:
        numbers = {
            route.machine: [stop.number for stop in route.stops if stop.drain in station.names]
            for route in answer.routes
        }
        kind = "drain" if any(numbers.values()) else "point" if station.is_used else "point idle"
        found.append(_mark(kind, station.x_m, station.y_m, station_sign(station), plot, per_step_m))
        if any(numbers.values()):
            diamonds = _diamonds(answer, {machine: stops for machine, stops in numbers.items() if stops}, teller)
            found.append(_mark("stop", station.x_m, station.y_m, diamonds, plot, per_step_m))
    return found


def _parking_on_paper(answer: RouteAnswer, stations: tuple[Station, ...], plot: Plot, per_step_m: float) -> list[str]:
    """The parking place, moved aside where a station's signs would cover it."""
    found = []
    for x_m, y_m in parking_places_m(answer):
        beside = any(
            abs(x_m - each.x_m) < 36 * per_step_m and abs(y_m - each.y_m) < 56 * per_step_m for each in stations
        )
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
