"""A route as shapes on a drawing: outlines, lanes, ticks and the places where numbers stand."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon, box, union_all
from shapely.geometry.base import BaseGeometry

from scrubwright.jobs.route_answer import Block, Lane, RouteAnswer

# Along a lane, one tick in this many metres, and its half width and length on the floor.
TICK_EVERY_M = 14.0
_TICK_HALF_WIDTH_M = 0.15
_TICK_LENGTH_M = 0.65
_LEAST_SOLID_M2 = 0.02
_NUMBER_SIZES = (1.0, 0.75, 0.55, 0.4)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """How the floor lies on the drawing, whose unit is a millimetre at `scale_ratio`.

    Parameters
    ----------
    left_m, top_m
        The floor point at the drawing's upper left corner [m].
    width_m, height_m
        Size of the floor shown [m].
    scale_ratio
        Length on the drawing over length on the floor, e.g. 1/500; 1/1000 makes one unit one metre.
    """

    left_m: float
    top_m: float
    width_m: float
    height_m: float
    scale_ratio: float

    def at(self, x_m: float, y_m: float) -> tuple[str, str]:
        """A floor point as the drawing writes it, y downwards."""
        return self.length(x_m - self.left_m), self.length(self.top_m - y_m)

    def length(self, length_m: float) -> str:
        """A length on the floor [m] as the drawing writes it."""
        return _shortest(1000 * self.scale_ratio * length_m)


def _shortest(value: float) -> str:
    """A drawing number with two decimals and no needless digit, e.g. "3.5", "-0.25" as "-.25".

    Examples
    --------
    >>> _shortest(3.50), _shortest(-0.25), _shortest(0.001)
    ('3.5', '-.25', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    if text in ("-0", "0"):
        return "0"
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def plot_of(answer: RouteAnswer, scale_ratio: float, margin_m: float) -> Plot:
    """The whole floor with a margin around it, at a scale."""
    shapes: list[BaseGeometry] = [answer.plan.outline, answer.free, answer.reachable]
    shapes += [piece.outline for piece in (*answer.unreachable, *answer.missed)]
    left, bottom, right, top = union_all([box(*shape.bounds) for shape in shapes if not shape.is_empty]).bounds
    return Plot(
        left_m=left - margin_m,
        top_m=top + margin_m,
        width_m=right - left + 2 * margin_m,
        height_m=top - bottom + 2 * margin_m,
        scale_ratio=scale_ratio,
    )


def area_path(shape: BaseGeometry, plot: Plot) -> str:
    """The rings of a polygon or several, holes included, for an even-odd fill."""
    return "".join(
        _line(np.asarray(ring.coords)[:-1], plot) + "Z"
        for polygon in polygons_of(shape)
        for ring in (polygon.exterior, *polygon.interiors)
    )


def wall_path(shape: BaseGeometry, plot: Plot) -> str:
    """The outer rings of a floor: its walls."""
    return "".join(_line(np.asarray(polygon.exterior.coords)[:-1], plot) + "Z" for polygon in polygons_of(shape))


def line_path(points_m: NDArray[np.float64] | Sequence[tuple[float, float]], plot: Plot) -> str:
    """One open line."""
    return _line(np.asarray(points_m, dtype=float), plot)


def solid_path(answer: RouteAnswer, plot: Plot) -> str:
    """What stands on the floor, against walls too, as filled shapes."""
    plan = answer.plan
    holes = [Polygon(ring) for polygon in plan.outline.geoms for ring in polygon.interiors]
    # Ramps and floor to keep off are no racks, though they may be closed as well.
    flat = union_all([answer.free, *(each.outline for each in (*plan.ramps, *plan.no_go))])
    standing = [part for part in polygons_of(plan.outline.difference(flat)) if part.area > _LEAST_SOLID_M2]
    return "".join(area_path(shape, plot) for shape in (*holes, *standing))


def lane_path(lanes: Iterable[Lane], plot: Plot) -> str:
    """The lines of several lanes."""
    return "".join(_line(lane.points_m, plot) for lane in lanes)


def tick_path(lanes: Iterable[Lane], plot: Plot) -> str:
    """Small arrow heads along several lanes, each pointing the way the machine drives."""
    path = []
    for lane in lanes:
        line = LineString(lane.points_m)
        count = max(1, round(line.length / TICK_EVERY_M))
        for index in range(count):
            tip_m = min(line.length, (index + 0.5) / count * line.length + _TICK_LENGTH_M / 2)
            tip, foot = (np.asarray(line.interpolate(way_m).coords[0]) for way_m in (tip_m, tip_m - 0.05))
            ahead = (tip - foot) / max(float(np.hypot(*(tip - foot))), 1e-9)
            back = tip - _TICK_LENGTH_M * ahead
            aside = _TICK_HALF_WIDTH_M * np.array([-ahead[1], ahead[0]])
            path.append(_line(np.array([tip, back + aside, back - aside]), plot) + "Z")
    return "".join(path)


def block_shapes(answer: RouteAnswer) -> dict[tuple[int, int], MultiPolygon]:
    """What each block scrubs, by machine and block number, for its outline on the drawing."""
    lanes: dict[tuple[int, int], list[Polygon]] = {}
    half_m = answer.deck_width_m / 2
    for lane in answer.lanes:
        swept = LineString(lane.points_m).buffer(half_m, cap_style="flat", join_style="mitre")
        lanes.setdefault((lane.machine, lane.block), []).append(swept)
    # Slivers between neighbouring lanes close, and steps at their ends go.
    closing_m = half_m / 2
    return {
        key: MultiPolygon(
            list(
                polygons_of(
                    union_all(shapes)
                    .buffer(closing_m, join_style="mitre")
                    .buffer(-closing_m, join_style="mitre")
                    .simplify(half_m / 4)
                )
            )
        )
        for key, shapes in lanes.items()
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberPlace:
    """Where a block's number stands [m], and its size there over its full size; 0 where there is no room."""

    x_m: float
    y_m: float
    size_ratio: float


def block_places(
    answer: RouteAnswer, wide_m: float, high_m: float, taken_m: list[tuple[float, float, float, float]]
) -> dict[tuple[int, int], NumberPlace]:
    """Where each block's number stands, by machine and block number, the longest block first.

    A number stands on one of its lanes, clear of the other numbers and of what is taken, smaller where
    there is little room.

    Parameters
    ----------
    wide_m, high_m
        Room that one figure of a full-sized number takes on the floor [m].
    taken_m
        Middles, widths and heights of what stands already [m]; the numbers that find room are added.
    """
    by_number = {lane.number: lane for lane in answer.lanes}
    blocks = [(route.machine, block) for route in answer.routes for block in route.blocks]
    places: dict[tuple[int, int], NumberPlace] = {}
    for machine, block in sorted(blocks, key=lambda each: (-each[1].deck_down_length_m, each[0], each[1].number)):
        lanes = [by_number[number] for number in block.lanes if number in by_number]
        tried = _candidates(lanes) or [block.entry_m]
        figures = len(str(block.number)) + 0.4
        found = NumberPlace(x_m=tried[0][0], y_m=tried[0][1], size_ratio=0.0)
        for ratio in _NUMBER_SIZES:
            room = (figures * wide_m * ratio, high_m * ratio)
            clear = next((each for each in tried if is_clear(each, room, taken_m)), None)
            if clear is not None:
                found = NumberPlace(x_m=clear[0], y_m=clear[1], size_ratio=ratio)
                taken_m.append((*clear, *room))
                break
        places[machine, block.number] = found
    return places


def corner_of(lanes: Sequence[Lane], point_m: tuple[float, float]) -> tuple[str, str]:
    """Where a point lies in a block: "top", "bottom" or "", and "left", "right" or ""."""
    points = np.concatenate([lane.points_m for lane in lanes])
    low, high = points.min(axis=0), points.max(axis=0)
    middle, size = (low + high) / 2, np.maximum(high - low, 1e-9)
    # Within a lane's width of the middle no side is worth naming.
    across, along = (
        0 if size[axis] < 1.0 or abs(point_m[axis] - middle[axis]) < size[axis] / 6 else point_m[axis] - middle[axis]
        for axis in (0, 1)
    )
    return ("top" if along > 0 else "bottom" if along < 0 else ""), (
        "right" if across > 0 else "left" if across < 0 else ""
    )


def lanes_of(answer: RouteAnswer, block: Block) -> tuple[Lane, ...]:
    """The lanes of a block in driving order."""
    by_number = {lane.number: lane for lane in answer.lanes}
    return tuple(by_number[number] for number in block.lanes if number in by_number)


def polygons_of(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """The polygons of a shape that may be one, several, or a mixture with lines and points."""
    if isinstance(shape, Polygon):
        return () if shape.is_empty else (shape,)
    return tuple(polygon for part in getattr(shape, "geoms", ()) for polygon in polygons_of(part))


def _line(points_m: NDArray[np.float64], plot: Plot) -> str:
    """A line in relative steps, which are a third shorter than places; steps are kept from drifting."""
    unit = 1000 * plot.scale_ratio
    places = np.round((np.asarray(points_m) - (plot.left_m, plot.top_m)) * (unit, -unit), 2)
    steps = np.diff(places, axis=0)
    start = f"M{_shortest(places[0, 0])} {_shortest(places[0, 1])}"
    return start + "".join(f"l{_shortest(x)} {_shortest(y)}" for x, y in steps.tolist() if x or y)


def _candidates(lanes: Sequence[Lane]) -> list[tuple[float, float]]:
    """Points on the block's lanes, the middle of its middle lane first."""
    if not lanes:
        return []
    order = sorted(range(len(lanes)), key=lambda index: (abs(index - len(lanes) // 2), index))
    found = []
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        for index in order[:12]:
            x, y = LineString(lanes[index].points_m).interpolate(share, normalized=True).coords[0]
            found.append((float(x), float(y)))
    return found


def is_clear(
    place_m: tuple[float, float],
    room_m: tuple[float, float],
    taken_m: Sequence[tuple[float, float, float, float]],
) -> bool:
    """Whether a mark of some width and height has room at a place [m]; `taken_m` holds middles and sizes of others."""
    return all(
        abs(place_m[0] - x) >= (room_m[0] + wide) / 2 or abs(place_m[1] - y) >= (room_m[1] + high) / 2
        for x, y, wide, high in taken_m
    )
