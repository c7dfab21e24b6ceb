"""The route answer as GeoJSON in floor metres, to be laid over the drawing."""

import json
from typing import TYPE_CHECKING

import numpy as np
from shapely.geometry import mapping

from scrubwright.jobs.route_answer import Lane, LeftOut, LegKind, MachineRoute, RouteAnswer
from scrubwright.paperwork.route_json import (
    Json,
    area_fields,
    block_fields,
    lane_fields,
    left_out_fields,
    leg_fields,
    place_fields,
    ramp_fields,
    service_point_fields,
    stop_fields,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from shapely import MultiPolygon, Polygon

    from scrubwright.floor.site import FloorPlan

SCHEMA_NAME = "scrubwright/route-geojson/1"
COORDINATES = "metres from the floor's origin, x to the right, y up the drawing; not longitude and latitude"
# A tenth of a millimetre.
_DECIMALS = 4


def route_geojson(answer: RouteAnswer) -> str:
    """Lanes, drives, blocks, stops and what is left out, as one GeoJSON FeatureCollection.

    Every feature says in `layer` what it is: `free`, `area`, `no go`, `ramp`, `service point`, `parking`,
    `lane`, `drive`, `reverse`, `block`, `stop`, `missed`, `unreachable` or `stays wet`. Its other
    properties are those of `route_json`.
    A block is the line through its lanes in driving order.

    Notes
    -----
    The coordinates are metres on the floor, as `coordinates` at the top says; RFC 7946 means
    longitude and latitude, which a building's own drawing does not know.

    **Source**: H. Butler et al., The GeoJSON Format, RFC 7946, 2016, sections 3.1 and 6.1.

    Raises
    ------
    NoAnswer
        A number of the answer is not finite.
    """
    features: list[Json] = [_feature("free", _shape(answer.free), {"floor": answer.floor})]
    features += _places(answer.plan)
    features += [_feature("lane", _line(lane.points_m), lane_fields(lane)) for lane in answer.lanes]
    by_number = {lane.number: lane for lane in answer.lanes}
    for route in answer.routes:
        features += _drives(route)
        features += _blocks(route, by_number)
        for stop in route.stops:
            features.append(_feature("stop", _point(stop.x_m, stop.y_m), stop_fields(stop, route.machine)))
    for layer, pieces in (
        ("missed", answer.missed),
        ("unreachable", answer.unreachable),
        ("stays wet", answer.stays_wet),
    ):
        features += [_left_out(layer, piece) for piece in pieces]
    page: dict[str, Json] = {
        "type": "FeatureCollection",
        "schema": SCHEMA_NAME,
        "coordinates": COORDINATES,
        "site": answer.site,
        "floor": answer.floor,
        "machine": answer.machine,
        "features": features,
    }
    return json.dumps(page, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n"


def _places(plan: "FloorPlan") -> list[Json]:
    """The floor as it was given: areas, no-go floor, ramps, service points, the parking place."""
    features = [_feature("area", _polygon(each.outline), area_fields(each)) for each in plan.areas]
    features += [_feature("no go", _polygon(each.outline), {"name": each.name}) for each in plan.no_go]
    features += [_feature("ramp", _polygon(each.outline), ramp_fields(each)) for each in plan.ramps]
    features += [
        _feature("service point", _point(each.x_m, each.y_m), service_point_fields(each))
        for each in plan.service_points
    ]
    if plan.parking is not None:
        features.append(_feature("parking", _point(plan.parking.x_m, plan.parking.y_m), place_fields(plan.parking)))
    return features


def _drives(route: MachineRoute) -> list[Json]:
    features: list[Json] = []
    for leg in route.legs:
        # A single point is a turn on the spot or a deck cycle: nothing to draw.
        if leg.kind in (LegKind.DRIVE, LegKind.REVERSE) and len(leg.points_m) > 1:
            features.append(_feature(leg.kind.value, _line(leg.points_m), {"machine": route.machine} | leg_fields(leg)))
    return features


def _blocks(route: MachineRoute, by_number: dict[int, Lane]) -> list[Json]:
    features: list[Json] = []
    for block in route.blocks:
        lines: list[Json] = [_points(by_number[number].points_m) for number in block.lanes if number in by_number]
        shape: dict[str, Json] = {"type": "MultiLineString", "coordinates": lines}
        features.append(_feature("block", shape, block_fields(block, route.machine)))
    return features


def _left_out(layer: str, piece: LeftOut) -> Json:
    return _feature(layer, _shape(piece.outline), left_out_fields(piece))


def _feature(layer: str, geometry: dict[str, Json], properties: dict[str, Json]) -> Json:
    layer_first: dict[str, Json] = {"layer": layer}
    return {"type": "Feature", "geometry": geometry, "properties": layer_first | properties}


def _line(points_m: "NDArray[np.float64]") -> dict[str, Json]:
    return {"type": "LineString", "coordinates": _points(points_m)}


def _points(points_m: "NDArray[np.float64]") -> list[Json]:
    return [[_rounded(x), _rounded(y)] for x, y in points_m.tolist()]


def _point(x_m: float, y_m: float) -> dict[str, Json]:
    return {"type": "Point", "coordinates": [_rounded(x_m), _rounded(y_m)]}


def _polygon(outline: "Polygon") -> dict[str, Json]:
    rings: list[Json] = [[[_rounded(x), _rounded(y)] for x, y in ring] for ring in mapping(outline)["coordinates"]]
    return {"type": "Polygon", "coordinates": rings}


def _shape(outline: "MultiPolygon") -> dict[str, Json]:
    polygons: list[Json] = [
        [[[_rounded(x), _rounded(y)] for x, y in ring] for ring in polygon]
        for polygon in mapping(outline)["coordinates"]
    ]
    return {"type": "MultiPolygon", "coordinates": polygons}


def _rounded(value: float) -> float:
    return round(float(value), _DECIMALS)
