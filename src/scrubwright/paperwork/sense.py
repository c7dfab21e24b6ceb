"""Whether a floor makes sense in space: areas on the floor and apart, points on it, all of it in one piece."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

import shapely
from shapely import MultiPolygon, Point, Polygon
from shapely.ops import nearest_points

from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, Ramp
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.mending import joined, on_grid, without_slivers

NEAREST_FLOOR_M = 1.0
_OVERHANG_M2 = 0.5
_OVERLAP_M2 = 0.01
_TOLD = 10

_Outlined = TypeVar("_Outlined", NamedOutline, Area, Ramp)
_Placed = TypeVar("_Placed", bound=Place)


def sensible(floor: FloorPlan) -> tuple[FloorPlan, tuple[Sentence, ...]]:
    """The floor with its areas cut to it and apart, its points on it, and what was changed or is doubtful.

    A floor that makes sense comes back as it is.

    Raises
    ------
    BadInput
        An area lies outside the floor.
    """
    warnings: list[Sentence] = []
    areas = _apart(_on_floor(floor, warnings), warnings)
    obstacles = _touching(floor.obstacles, floor, warnings)
    ramps, no_go = _touching(floor.ramps, floor, warnings), _touching(floor.no_go, floor, warnings)
    rooms = tuple(room for room in floor.rooms if floor.outline.intersects(room.outline))
    changed = replace(floor, areas=areas, obstacles=obstacles, ramps=ramps, no_go=no_go, rooms=rooms)
    way = way_of(changed)
    points = on_way(floor.service_points, way, warnings)
    parking = on_way((floor.parking,), way, warnings) if floor.parking else ()
    _tell_parts(floor, warnings)
    return replace(changed, service_points=points, parking=parking[0] if parking else None), tuple(warnings)


def way_of(floor: FloorPlan) -> MultiPolygon:
    """Where something may stand: the floor less obstacles and no-go zones."""
    blocked = joined([each.outline for each in (*floor.obstacles, *floor.no_go)])
    return joined([shapely.difference(floor.outline, blocked)])


def _on_floor(floor: FloorPlan, warnings: list[Sentence]) -> list[Area]:
    """Each area cut to the floor."""
    areas: list[Area] = []
    for area in floor.areas:
        outside_m2 = float(area.outline.difference(floor.outline).area)
        if outside_m2 <= _OVERHANG_M2:
            areas.append(area)
            continue
        parts, _ = without_slivers(on_grid(joined([area.outline.intersection(floor.outline)])))
        if parts.is_empty:
            raise BadInput(
                "Area {name} of {area_m2} lies outside floor {floor}. Move it onto the floor, or take it out.",
                name=area.name,
                area_m2=float(area.outline.area),
                floor=floor.name,
            )
        warnings.append(
            Sentence(
                "{outside_m2} of area {name} ({area_m2}) lie off the floor and were cut off.",
                outside_m2=outside_m2,
                name=area.name,
                area_m2=float(area.outline.area),
            )
        )
        areas += _parts_of(area, parts)
    return areas


def _apart(areas: Sequence[Area], warnings: list[Sentence]) -> tuple[Area, ...]:
    """Areas that share no floor: what two of them claim goes to the one that is done first."""
    first = sorted(range(len(areas)), key=lambda number: (areas[number].priority, number))
    settled: dict[int, list[Area]] = {}
    for place, number in enumerate(first):
        area, whole = areas[number], MultiPolygon([areas[number].outline])
        for earlier in (areas[other] for other in first[:place]):
            shared_m2 = float(whole.intersection(earlier.outline).area)
            if shared_m2 <= _OVERLAP_M2:
                continue
            whole = joined([whole.difference(earlier.outline)])
            warnings.append(
                Sentence(
                    "Areas {first} and {second} share {shared_m2}; they go to {first}, which is done first.",
                    first=earlier.name,
                    second=area.name,
                    shared_m2=shared_m2,
                )
            )
        if whole.equals(area.outline):
            settled[number] = [area]
            continue
        parts, _ = without_slivers(on_grid(whole))
        settled[number] = _parts_of(area, parts)
        if parts.is_empty:
            warnings.append(Sentence("Area {name} was left out: other areas hold all of it.", name=area.name))
    return tuple(part for number in sorted(settled) for part in settled[number])


def _parts_of(area: Area, parts: MultiPolygon) -> list[Area]:
    """One area for each part; the second and later ones get a number."""
    return [
        replace(area, outline=part, name=area.name if number == 1 else f"{area.name} ({number})")
        for number, part in enumerate(parts.geoms, start=1)
    ]


def _touching(things: tuple[_Outlined, ...], floor: FloorPlan, warnings: list[Sentence]) -> tuple[_Outlined, ...]:
    """The things that stand on the floor; one that stands beside it changes nothing."""
    shapely.prepare(floor.outline)
    kept = tuple(thing for thing in things if floor.outline.intersects(thing.outline))
    if len(kept) < len(things):
        beside = next(thing for thing in things if thing not in kept)
        warnings.append(
            Sentence(
                "{count} things lie off floor {floor} and were left out; the first is {name}.",
                count=len(things) - len(kept),
                floor=floor.name,
                name=beside.name,
            )
        )
    return kept


def on_way(points: tuple[_Placed, ...], way: MultiPolygon, warnings: list[Sentence]) -> tuple[_Placed, ...]:
    """The points that lie where something may stand, moved there over up to 1 m; others are left out."""
    kept: list[_Placed] = []
    for point in points:
        spot = Point(point.x_m, point.y_m)
        away_m = float(way.distance(spot))
        if away_m == 0:
            kept.append(point)
            continue
        nearest = nearest_points(way, spot)[0]
        if away_m > NEAREST_FLOOR_M:
            warnings.append(
                Sentence(
                    "{name} lies {away_m} off the floor and was left out. The nearest floor is at {x_m}, {y_m}.",
                    name=point.name,
                    away_m=away_m,
                    x_m=float(nearest.x),
                    y_m=float(nearest.y),
                )
            )
            continue
        x_m, y_m = _stepped_in(nearest, way)
        warnings.append(
            Sentence(
                "{name} lies off the floor or inside something; it was moved by {away_m} to {x_m}, {y_m}.",
                name=point.name,
                away_m=away_m,
                x_m=x_m,
                y_m=y_m,
            )
        )
        kept.append(replace(point, x_m=x_m, y_m=y_m))
    return tuple(kept)


def _stepped_in(edge: Point, way: MultiPolygon) -> tuple[float, float]:
    """A point on the 1 mm grid beside one on the floor's edge; rounding there may not leave the floor."""
    near = way.intersection(edge.buffer(0.05))
    inner: Polygon = near.representative_point()
    spot = (round(edge.x, 3), round(edge.y, 3))
    return spot if way.covers(Point(spot)) else (round(inner.x, 3), round(inner.y, 3))


def _tell_parts(floor: FloorPlan, warnings: list[Sentence]) -> None:
    """Name the parts of the floor that no doorway joins to the largest."""
    parts = sorted(floor.outline.geoms, key=lambda part: -part.area)[1:]
    for part in parts[:_TOLD]:
        middle = part.representative_point()
        warnings.append(
            Sentence(
                "{name} of {area_m2} at {x_m}, {y_m} is cut off from the rest of floor {floor}: no door is drawn.",
                name=_name_at(floor, middle),
                area_m2=float(part.area),
                x_m=float(middle.x),
                y_m=float(middle.y),
                floor=floor.name,
            )
        )
    if len(parts) > _TOLD:
        warnings.append(
            Sentence(
                "{count} more parts of floor {floor}, {area_m2} together, are cut off too.",
                count=len(parts) - _TOLD,
                floor=floor.name,
                area_m2=float(sum(part.area for part in parts[_TOLD:])),
            )
        )


def _name_at(floor: FloorPlan, spot: Point) -> str | Sentence:
    named = [each for each in (*floor.areas, *floor.rooms) if each.outline.covers(spot)]
    return min(named, key=lambda each: each.outline.area).name if named else Sentence("A part")
