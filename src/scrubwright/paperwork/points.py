"""Drains, taps, sockets and the parking place that a person names beside the drawing."""

from collections.abc import Iterable
from dataclasses import replace

import shapely
from shapely import MultiPolygon, Point

from scrubwright.floor.site import FURTHEST_M, FloorPlan, Place, ServicePoint, Use
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import DrawingOptions, Reading
from scrubwright.paperwork.sense import NEAREST_FLOOR_M, on_way, way_of

SAME_SPOT_M = 0.01


def with_points(reading: Reading, options: DrawingOptions, *, moved_m: tuple[float, float]) -> Reading:
    """The reading with the drains, taps, sockets and parking place that the person named.

    Parameters
    ----------
    moved_m
        How far the drawing was moved [m]; points given in its own coordinates move with it.

    Raises
    ------
    BadInput
        A point more than 1 m off the floor, or several floors and none named.
    """
    given = [
        _service_point(_moved(spot_m, moved_m), use)
        for spots_m, use in (
            (options.drains_m, Use.DRAIN),
            (options.taps_m, Use.TAP),
            (options.sockets_m, Use.SOCKET),
        )
        for spot_m in spots_m
    ]
    if not given and options.parking_m is None:
        return reading
    site = reading.site
    chosen = site.floor(options.storey if len(site.floors) > 1 else None)
    way = way_of(chosen)
    warnings: list[Sentence] = []
    _refuse_far((*given, *_parking(options, moved_m)), way)
    points = merged((*chosen.service_points, *on_way(merged(given), way, warnings)))
    parking = on_way(_parking(options, moved_m), way, warnings) or ((chosen.parking,) if chosen.parking else ())
    added: FloorPlan = replace(chosen, service_points=points, parking=parking[0] if parking else None)
    floors = tuple(added if floor is chosen else floor for floor in site.floors)
    return Reading(site=replace(site, floors=floors), warnings=(*reading.warnings, *warnings))


def merged(points: Iterable[ServicePoint]) -> tuple[ServicePoint, ...]:
    """Points in one spot made one with all their uses; each with a name, no name twice."""
    spots: list[ServicePoint] = []
    for point in points:
        for number, other in enumerate(spots):
            if max(abs(point.x_m - other.x_m), abs(point.y_m - other.y_m)) <= SAME_SPOT_M:
                spots[number] = replace(other, name=other.name or point.name, uses=other.uses | point.uses)
                break
        else:
            spots.append(point)
    called: list[ServicePoint] = []
    for point in spots:
        name = point.name or " + ".join(use.value for use in Use if use in point.uses)
        repeats = sum(other.name == name or other.name.startswith(name + " (") for other in called)
        called.append(replace(point, name=f"{name} ({repeats + 1})" if repeats else name))
    return tuple(called)


def _service_point(spot_m: tuple[float, float], use: Use) -> ServicePoint:
    return ServicePoint(name="", x_m=spot_m[0], y_m=spot_m[1], uses=frozenset({use}))


def _parking(options: DrawingOptions, moved_m: tuple[float, float]) -> tuple[Place, ...]:
    if options.parking_m is None:
        return ()
    x_m, y_m = _moved(options.parking_m, moved_m)
    return (Place(name="parking", x_m=x_m, y_m=y_m),)


def _moved(spot_m: tuple[float, float], moved_m: tuple[float, float]) -> tuple[float, float]:
    """The point moved with the drawing, unless it was given near the origin that the drawing came to."""
    x_m, y_m = spot_m[0] + moved_m[0], spot_m[1] + moved_m[1]
    return (x_m, y_m) if max(abs(x_m), abs(y_m)) <= FURTHEST_M else spot_m


def _refuse_far(points: Iterable[Place], way: MultiPolygon) -> None:
    """Refuse a point that a person gave and that lies too far off to be moved for them."""
    for point in points:
        spot = Point(point.x_m, point.y_m)
        if float(way.distance(spot)) > NEAREST_FLOOR_M:
            nearest = shapely.get_point(shapely.shortest_line(way, spot), 0)
            raise BadInput(
                "There is no floor at {x_m}, {y_m}, where you put {name}. The nearest is at {near_x_m}, {near_y_m}.",
                x_m=point.x_m,
                y_m=point.y_m,
                name=_called(point),
                near_x_m=float(nearest.x),
                near_y_m=float(nearest.y),
            )


def _called(point: Place) -> str:
    if isinstance(point, ServicePoint):
        return " + ".join(use.value for use in Use if use in point.uses)
    return point.name
