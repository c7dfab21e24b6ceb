"""GeoJSON in metres or in longitude and latitude, and the site files that this package writes."""

import json
import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.site import Edges
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import LONGEST_NAME, DrawingOptions, Piece, Reading, Role, Sketch, Storey
from scrubwright.paperwork.json_content import json_content
from scrubwright.paperwork.lonlat import looks_like_degrees, looks_swapped, swapped, tangent_at
from scrubwright.paperwork.roles import role_of_words
from scrubwright.paperwork.site_entries import clock_h
from scrubwright.paperwork.sites import MARK, reading_of_site
from scrubwright.paperwork.slopes import slopes_fraction

_KIND_KEYS = ("role", "type", "class", "kind", "category", "feature_type", "indoor", "layer", "amenity", "usage")
_NAME_KEYS = ("name", "title", "label", "roomnumber", "ref", "id")
_LEVEL_KEYS = ("level", "storey", "story", "floor", "floor_id", "level_id", "planta", "nivel")
_SURFACE_KEYS = ("surface", "floor_finish", "suelo", "pavimento")
_SLOPE_KEYS = ("slope_fraction", "slope", "incline", "pendiente")
_MOST_FEATURES = 50_000
_ROOMS_FILL = 0.6
# A number in some database says nothing to a person who looks for a drain or a room.
_CALLED_BY_NAME = (Role.FLOOR, Role.DRAIN, Role.TAP, Role.SOCKET, Role.PARKING)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Feature:
    """One feature: where it stands in the file, what it says, and its shape in the file's coordinates."""

    where: Sentence
    said: Mapping[str, object]
    shape: BaseGeometry


def sketch(path: Path, options: DrawingOptions) -> Sketch | Reading:
    """What a GeoJSON file shows; a site file of this package comes back whole, as a reading.

    Raises
    ------
    UnreadablePaper
        Not JSON, not GeoJSON, too many features, or a coordinate that is no number.
    """
    content = _content(path)
    if MARK in content:
        return reading_of_site(content, path.name)
    features, warnings = _features(content, path.name)
    if not features:
        raise UnreadablePaper("{file} holds no shapes. Export the drawing with its rooms and walls.", file=path.name)
    features = _laid_flat(features, content, warnings)
    roles = [_roles(feature, options) for feature in features]
    if not any(roles):
        roles = _roles_by_nesting(features, warnings)
    warnings += _ignored(features, roles)
    known = [(feature, role) for feature, several in zip(features, roles, strict=True) for role in several]
    pieces = [_piece(feature, role) for feature, role in known]
    levels = [_levels(feature) for feature, _ in known]
    # Without degrees, GeoJSON here means metres; cleaning refuses sizes that speak of another unit.
    return Sketch(kind="GeoJSON", storeys=_storeys(pieces, levels, warnings), unit_m=1.0, warnings=tuple(warnings))


def _content(path: Path) -> Mapping[str, object]:
    content = json_content(path)
    if not isinstance(content, dict):
        raise UnreadablePaper("{file} is JSON, but no GeoJSON. Export the drawing as GeoJSON.", file=path.name)
    return content


def _features(content: Mapping[str, object], file: str) -> tuple[list[_Feature], list[Sentence]]:
    kind = content.get("type")
    raw = content.get("features") if kind == "FeatureCollection" else [content]
    if not isinstance(raw, list) or kind not in ("FeatureCollection", "Feature", *_SHAPES):
        raise UnreadablePaper("{file} is JSON, but no GeoJSON. Export the drawing as GeoJSON.", file=file)
    if len(raw) > _MOST_FEATURES:
        raise UnreadablePaper(
            "{file} holds {count} shapes; at most {limit} can be read. Export only the storey you need.",
            file=file,
            count=len(raw),
            limit=_MOST_FEATURES,
        )
    features: list[_Feature] = []
    warnings: list[Sentence] = []
    for number, one in enumerate(raw, start=1):
        where = Sentence("feature {number}", number=number)
        feature = one if isinstance(one, dict) else {}
        geometry = feature.get("geometry") if feature.get("type") == "Feature" else feature
        said = feature.get("properties") if isinstance(feature.get("properties"), dict) else {}
        if not isinstance(geometry, dict):
            warnings.append(Sentence("{where} has no shape and was left out.", where=where))
            continue
        features += [
            _Feature(where=where, said=said or {}, shape=shape) for shape in _shapes(geometry, where, warnings)
        ]
    return features, warnings


_SHAPES = (
    "Point",
    "MultiPoint",
    "LineString",
    "MultiLineString",
    "Polygon",
    "MultiPolygon",
    "GeometryCollection",
)


def _shapes(
    geometry: Mapping[str, object], where: Sentence, warnings: list[Sentence], depth: int = 0
) -> Iterator[BaseGeometry]:
    kind, coordinates = geometry.get("type"), geometry.get("coordinates")
    inner = geometry.get("geometries")
    if kind == "GeometryCollection" and isinstance(inner, list) and depth < 5:
        for each in inner:
            yield from _shapes(each if isinstance(each, dict) else {}, where, warnings, depth + 1)
        return
    try:
        yield from _built(str(kind), coordinates)
    except (TypeError, ValueError, IndexError):
        warnings.append(
            Sentence(
                "{where} is no {kind} that can be drawn; it was left out. A ring needs three corners of two numbers.",
                where=where,
                kind=str(kind),
            )
        )


def _built(kind: str, coordinates: object) -> list[BaseGeometry]:
    """The shapes of one geometry; raises what numpy and shapely raise where the numbers do not fit."""
    if not isinstance(coordinates, list) or kind not in _SHAPES[:-1]:
        raise ValueError(kind)
    many = coordinates if kind.startswith("Multi") else [coordinates]
    single = kind.removeprefix("Multi")
    if single == "Point":
        return [Point(_corners([each])[0]) for each in many]
    if single == "LineString":
        return [LineString(_corners(each)) for each in many]
    polygons = [Polygon(_corners(rings[0]), [_corners(ring) for ring in rings[1:]]) for rings in many]
    return [polygons[0] if len(polygons) == 1 else MultiPolygon(polygons)]


def _corners(ring: Sequence[Sequence[float]]) -> NDArray[np.float64]:
    """Corners of a ring, shape (n, 2), in the file's unit; height is dropped."""
    return np.array([(float(corner[0]), float(corner[1])) for corner in ring], dtype=np.float64)


def _laid_flat(features: list[_Feature], content: Mapping[str, object], warnings: list[Sentence]) -> list[_Feature]:
    """The features in metres if they were in degrees, else as they are."""
    shapes = [feature.shape for feature in features]
    if not np.all(np.isfinite(shapely.get_coordinates(shapes))):
        return features
    if not (_says_degrees(content) or looks_like_degrees(shapes)):
        return features
    if looks_swapped(shapes):
        shapes = [swapped(shape) for shape in shapes]
        warnings.append(
            Sentence("The coordinates are latitude first; GeoJSON wants longitude first. They were swapped.")
        )
    tangent = tangent_at(shapes)
    warnings.append(
        Sentence(
            "Longitude and latitude were laid flat in metres from {longitude}, {latitude}; x is east, y is north.",
            longitude=f"{math.degrees(tangent.longitude_rad):.7f}",
            latitude=f"{math.degrees(tangent.latitude_rad):.7f}",
        )
    )
    return [replace(feature, shape=tangent.laid_flat(shape)) for feature, shape in zip(features, shapes, strict=True)]


def _says_degrees(content: Mapping[str, object]) -> bool:
    said = json.dumps(content.get("crs", ""))
    return bool(re.search(r"CRS:?84|EPSG:+4326|WGS ?84\"", said, re.IGNORECASE))


def _kind(feature: _Feature) -> str:
    return next((str(feature.said[key]) for key in _KIND_KEYS if feature.said.get(key)), "")


def _roles(feature: _Feature, options: DrawingOptions) -> tuple[Role, ...]:
    """What the person said of the kind, else the first property whose words the table knows."""
    uses = feature.said.get("uses")
    if isinstance(uses, list):
        return tuple(Role(use) for use in uses if use in (Role.DRAIN, Role.TAP, Role.SOCKET))
    for key in _KIND_KEYS:
        word = feature.said.get(key)
        if isinstance(word, str) and word:
            role = options.role_of(word) or role_of_words(word)
            if role:
                return (role,)
    return ()


def _roles_by_nesting(features: Sequence[_Feature], warnings: list[Sentence]) -> list[tuple[Role, ...]]:
    """Where no kind is known: outer polygons are floor; inner ones are rooms if they fill it, else obstacles."""
    polygons = [
        (number, shapely.make_valid(feature.shape))
        for number, feature in enumerate(features)
        if isinstance(feature.shape, Polygon | MultiPolygon)
    ]
    polygons.sort(key=lambda numbered: -numbered[1].area)
    outer: list[tuple[int, BaseGeometry]] = []
    inner: list[tuple[int, BaseGeometry]] = []
    for number, shape in polygons:
        middle = shape.representative_point()
        (inner if any(other.covers(middle) for _, other in outer) else outer).append((number, shape))
    filled = sum(shape.area for _, shape in inner) > _ROOMS_FILL * sum(shape.area for _, shape in outer)
    roles: list[tuple[Role, ...]] = [()] * len(features)
    for number, _ in outer:
        roles[number] = (Role.FLOOR,)
    for number, _ in inner:
        roles[number] = (Role.FLOOR if filled else Role.OBSTACLE,)
    warnings.append(
        Sentence(
            "No shape says what it is. {outer} outer ones were taken as floor, {inner} inside them as {as_what}.",
            outer=len(outer),
            inner=len(inner),
            as_what=Sentence("rooms") if filled else Sentence("obstacles"),
        )
    )
    return roles


def _piece(feature: _Feature, role: Role) -> Piece:
    said = feature.said
    name = _own_name(feature)
    named_by_id = f"{_kind(feature)} {said['id']}".strip() if said.get("id") is not None else ""
    slope = _slope(said)
    uphill = _number(said.get("uphill_rad"))
    return Piece(
        role=role,
        shape=feature.shape,
        name=name or (named_by_id if role not in _CALLED_BY_NAME else ""),
        where=feature.where,
        surface=_first(said, _SURFACE_KEYS),
        priority=_whole(said.get("priority"), least=1),
        passes=min(2, _whole(said.get("passes"), least=1)),
        edges=Edges.SKIP if said.get("edges") == Edges.SKIP.value else Edges.EVERY_TIME,
        people=said.get("people") is True,
        window_from_h=clock_h(said, "window_from_h", feature.where),
        window_until_h=clock_h(said, "window_until_h", feature.where),
        slope_fraction=slope,
        uphill_rad=uphill,
    )


def _own_name(feature: _Feature) -> str:
    """What people call it; not its number in some database."""
    return _first(feature.said, _NAME_KEYS[:-1])


def _first(said: Mapping[str, object], keys: Sequence[str]) -> str:
    words = (str(said[key]).strip() for key in keys if isinstance(said.get(key), str | int | float))
    return next((word[:LONGEST_NAME] for word in words if word), "")


def _slope(said: Mapping[str, object]) -> float | None:
    """Rise over run: a number below one, or as people write it, "8 %" or "1:12"; two that differ are none."""
    for key in _SLOPE_KEYS:
        number = _number(said.get(key))
        found = (number,) if number is not None else slopes_fraction(str(said.get(key) or ""))
        if found:
            return found[0] if len(set(found)) == 1 and 0 < found[0] < 1 else None
    return None


def _number(said: object) -> float | None:
    if isinstance(said, bool) or not isinstance(said, int | float | str):
        return None
    try:
        number = float(said)
    except ValueError:
        return None
    return number if math.isfinite(number) else None


def _whole(said: object, *, least: int) -> int:
    number = _number(said)
    return least if number is None else max(least, round(number))


def _ignored(features: Sequence[_Feature], roles: Sequence[tuple[Role, ...]]) -> list[Sentence]:
    unknown = Counter(_kind(feature) or "?" for feature, role in zip(features, roles, strict=True) if not role)
    return [
        Sentence(
            "{count} shapes of kind {kind} were left out; say what they are if they matter.", count=count, kind=kind
        )
        for kind, count in sorted(unknown.items())
    ]


def _levels(feature: _Feature) -> tuple[str, ...]:
    """The storeys that a feature belongs to; none where it does not say."""
    for key in _LEVEL_KEYS:
        said = feature.said.get(key)
        if said is not None and not isinstance(said, dict) and str(said).strip():
            each = said if isinstance(said, list) else str(said).split(";")
            return tuple(_level(str(one)) for one in each)
    return ()


def _level(said: str) -> str:
    number = _number(said)
    return str(int(number)) if number is not None and number == int(number) else said.strip()


def _storeys(
    pieces: Sequence[Piece], levels: Sequence[tuple[str, ...]], warnings: list[Sentence]
) -> tuple[Storey, ...]:
    names = sorted({name for each in levels for name in each}, key=lambda name: (_number(name) or 0.0, name))
    if not names:
        return (Storey(name="main", pieces=tuple(pieces), rooms=_rooms(pieces)),)
    everywhere = sum(not each for each in levels)
    if everywhere and len(names) > 1:
        warnings.append(
            Sentence(
                "{count} shapes name no storey; they were put on every one of {known}.",
                count=everywhere,
                known=", ".join(names),
            )
        )
    found = []
    for name in names:
        here = [piece for piece, each in zip(pieces, levels, strict=True) if name in each or not each]
        found.append(Storey(name=name, pieces=tuple(here), rooms=_rooms(here)))
    return tuple(found)


def _rooms(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    return tuple(piece for piece in pieces if piece.role is Role.FLOOR and piece.name)
