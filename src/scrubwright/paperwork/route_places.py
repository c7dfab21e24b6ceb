"""What a floor is known by on its plan: areas, no-go floor, ramps, drains, taps, sockets, the parking place."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Point, prepare, union_all

from scrubwright.floor.site import Area, NamedOutline, Place, Ramp, Use
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.paperwork.route_drawing import Plot, area_path, line_path
from scrubwright.paperwork.wording import Teller

DRAIN = '<circle class="hollow" r="9"/><path class="line" d="M-8-3H8M-9 1H9M-7 5H7"/>'
TAP = '<path class="line" d="M-8-9H2M-3-9V-3M-9-3H3q5 0 5 5V5"/><circle class="full" cx="8" cy="9" r="2"/>'
SOCKET = '<path class="full" d="M3-11-7 2H-1L-3 11 7-2H1Z"/>'
PARKING = '<path class="hollow" d="M-11-11H11V11H-11Z"/><text class="sign" y="6">P</text>'
SIGNS = {Use.DRAIN: DRAIN, Use.TAP: TAP, Use.SOCKET: SOCKET}
SIGN_STEP = 26
NAME_STEP = 15
_LONGEST_NAME = 28
# Points this near to each other share one sign; on the screen a closer look parts the others.
_TOGETHER_M = 1.5
_STRIPE_EVERY_M = 1.0
_SPOTS_ACROSS, _SPOTS_DOWN = 7, 6
_MOST_SPOTS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """Service points that stand together: where [m], their names, what they give, and whether tonight needs them."""

    x_m: float
    y_m: float
    names: tuple[str, ...]
    uses: tuple[Use, ...]
    is_used: bool


def ground(answer: RouteAnswer, plot: Plot) -> str:
    """Outlines of areas, and ramps with stripes across and an arrow uphill."""
    plan = answer.plan
    parts = [f'<path class="area" d="{area_path(each.outline, plot)}"/>' for each in plan.areas]
    for ramp in plan.ramps:
        parts.append(f'<path class="ramp" d="{area_path(ramp.outline, plot)}"/>')
        parts.append(f'<path class="stripe" d="{"".join(line_path(each, plot) for each in _stripes(ramp))}"/>')
        parts.append(f'<path class="uphill" d="{line_path(_shaft(ramp), plot)}"/>')
        parts.append(f'<path class="uphill-head" d="{line_path(_head(ramp), plot)}Z"/>')
    return "".join(parts)


def kept_off(answer: RouteAnswer, plot: Plot) -> str:
    """Floor to keep off, as far as it lies between the walls."""
    outlines = (each.outline.intersection(answer.plan.outline) for each in answer.plan.no_go)
    return "".join(f'<path class="nogo" d="{area_path(shape, plot)}"/>' for shape in outlines if shape.area > 0)


def keep_off_spots_m(zone: NamedOutline) -> list[tuple[float, float]]:
    """The place for the name of floor to keep off: its middle [m]."""
    middle = zone.outline.representative_point()
    return [(middle.x, middle.y)]


def stations_of(answer: RouteAnswer, apart_m: float) -> tuple[Station, ...]:
    """Every drain, tap and socket of the floor; those nearer to each other than `apart_m` [m] are one.

    A dump stop at a drain that the floor does not name is one too.
    """
    used = {name for route in answer.routes for stop in route.stops for name in (stop.drain, stop.tap) if name}
    points: list[tuple[Place, frozenset[Use]]] = [(each, each.uses) for each in answer.plan.service_points]
    known = {place.name for place, _ in points}
    for stop in (stop for route in answer.routes for stop in route.stops):
        if stop.drain not in known:
            uses = frozenset({Use.DRAIN, Use.TAP}) if stop.tap == stop.drain else frozenset({Use.DRAIN})
            points.append((Place(name=stop.drain, x_m=stop.x_m, y_m=stop.y_m), uses))
            known.add(stop.drain)
    # What tonight needs leads its group, so that dump stops stand where the drain does.
    points.sort(key=lambda each: (each[0].name not in used, Use.DRAIN not in each[1]))
    groups: list[list[tuple[Place, frozenset[Use]]]] = []
    for place, uses in points:
        near = (group for group in groups if _apart_m(group[0][0], place) < max(apart_m, _TOGETHER_M))
        group = next(near, None)
        if group is None:
            groups.append([(place, uses)])
        else:
            group.append((place, uses))
    return tuple(_station(group, used) for group in groups)


def _station(group: Sequence[tuple[Place, frozenset[Use]]], used: set[str]) -> Station:
    given = {use for _, uses in group for use in uses}
    return Station(
        x_m=group[0][0].x_m,
        y_m=group[0][0].y_m,
        names=tuple(dict.fromkeys(place.name for place, _ in group)),
        uses=tuple(use for use in Use if use in given),
        is_used=any(place.name in used for place, _ in group),
    )


def _apart_m(one: Place, other: Place) -> float:
    return math.hypot(one.x_m - other.x_m, one.y_m - other.y_m)


def station_sign(station: Station) -> str:
    """The signs of a station side by side, the first on its place, its names above."""
    signs = "".join(
        f'<g transform="translate({SIGN_STEP * index} 0)">{SIGNS[use]}</g>' for index, use in enumerate(station.uses)
    )
    return signs + names_above([_short(name) for name in station.names])


def names_above(names: Sequence[str]) -> str:
    """Names in lines that grow upwards from a sign."""
    rows = "".join(
        f'<tspan x="0" dy="{NAME_STEP if index else 0}">{escape(name)}</tspan>' for index, name in enumerate(names)
    )
    return f'<text class="name" y="{-16 - NAME_STEP * (len(names) - 1)}">{rows}</text>'


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1] + "…"


def ramp_words(ramp: Ramp, teller: Teller) -> tuple[str, str]:
    """Name and slope of a ramp."""
    return _short(ramp.name), teller.number("slope_fraction", ramp.slope_fraction)


def called(lines: Sequence[str]) -> str:
    """A quiet name in one line or several around its place."""
    rows = "".join(
        f'<tspan x="0" dy="{NAME_STEP if index else 0}">{escape(line)}</tspan>' for index, line in enumerate(lines)
    )
    return f'<text class="called" y="{5 - NAME_STEP * (len(lines) - 1) / 2:g}">{rows}</text>'


def parking_places_m(answer: RouteAnswer) -> tuple[tuple[float, float], ...]:
    """The floor's parking place, or where the machines start [m]."""
    if answer.plan.parking is not None:
        return ((answer.plan.parking.x_m, answer.plan.parking.y_m),)
    starts = {tuple(route.legs[0].points_m[0].round(2).tolist()) for route in answer.routes if route.legs}
    return tuple(sorted((float(x), float(y)) for x, y in starts))


def name_spots_m(area: Area, answer: RouteAnswer) -> list[tuple[float, float]]:
    """Places for an area's name on its own open floor [m], the upper left one first."""
    left, bottom, right, top = area.outline.bounds
    wide, high = right - left, top - bottom
    elsewhere = [*(each.outline for each in answer.unreachable), *(ramp.outline for ramp in answer.plan.ramps)]
    shape = area.outline.intersection(answer.free).difference(union_all(elsewhere))
    prepare(shape)
    tried = [
        (left + (across + 0.7) / (_SPOTS_ACROSS + 0.4) * wide, top - (down + 0.35) / (_SPOTS_DOWN - 0.3) * high)
        for down in range(_SPOTS_DOWN)
        for across in range(_SPOTS_ACROSS)
    ]
    inside = [spot for spot in tried if shape.contains(Point(spot))]
    step = max(1, math.ceil(len(inside) / _MOST_SPOTS))
    middle = area.outline.representative_point()
    return [*inside[::step], (middle.x, middle.y)]


def ramp_spots_m(ramp: Ramp) -> list[tuple[float, float]]:
    """Places for a ramp's name: in its middle, then nearer to its foot and its head [m]."""
    line = LineString(_shaft(ramp))
    spots = [line.interpolate(share, normalized=True) for share in (0.5, 0.15, 0.85)]
    return [(spot.x, spot.y) for spot in spots]


def _uphill(ramp: Ramp) -> NDArray[np.float64]:
    return np.array([math.cos(ramp.uphill_rad), math.sin(ramp.uphill_rad)])


def _stripes(ramp: Ramp) -> Iterator[list[tuple[float, float]]]:
    """Lines across the slope, as a contour map has them."""
    ahead = _uphill(ramp)
    aside = np.array([-ahead[1], ahead[0]])
    corners = np.asarray(ramp.outline.exterior.coords)
    up_m, across_m = corners @ ahead, corners @ aside
    for at_m in np.arange(up_m.min() + _STRIPE_EVERY_M / 2, up_m.max(), _STRIPE_EVERY_M):
        line = LineString([at_m * ahead + side_m * aside for side_m in (across_m.min() - 1, across_m.max() + 1)])
        cut = line.intersection(ramp.outline)
        for part in getattr(cut, "geoms", (cut,)):
            if isinstance(part, LineString) and not part.is_empty:
                yield [(float(x), float(y)) for x, y in part.coords]


def _shaft(ramp: Ramp) -> list[tuple[float, float]]:
    """The arrow's line through the ramp's middle, as long as 0.7 of what lies there."""
    middle, ahead = np.asarray(ramp.outline.representative_point().coords[0]), _uphill(ramp)
    reach_m = ramp.outline.length
    through = LineString([middle - reach_m * ahead, middle + reach_m * ahead]).intersection(ramp.outline)
    parts = [part for part in getattr(through, "geoms", (through,)) if isinstance(part, LineString)]
    longest = max(parts, key=lambda part: part.length)
    ends = [longest.interpolate(share, normalized=True).coords[0] for share in (0.15, 0.85)]
    return [(float(x), float(y)) for x, y in ends]


def _head(ramp: Ramp) -> list[tuple[float, float]]:
    tip, ahead = np.asarray(_shaft(ramp)[-1]), _uphill(ramp)
    if (tip - np.asarray(_shaft(ramp)[0])) @ ahead < 0:
        tip = np.asarray(_shaft(ramp)[0])
    aside = np.array([-ahead[1], ahead[0]])
    size_m = min(1.2, 0.2 * math.sqrt(ramp.outline.area))
    corners = (tip + size_m * ahead / 2, tip - size_m * (ahead - aside) / 2, tip - size_m * (ahead + aside) / 2)
    return [(float(x), float(y)) for x, y in corners]
