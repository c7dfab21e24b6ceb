"""The features of a site file as records; a mistake made by hand gets a sentence that names the feature."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from scrubwright.floor.site import FURTHEST_M, Area, Edges, FloorPlan, NamedOutline, Place, Ramp, ServicePoint, Use
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.mending import crossing

_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
ROLES = ("floor", "obstacle", "area", "no_go", "room", "ramp", "service_point", "parking")

_Record = TypeVar("_Record")


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteEntry:
    """One feature of a site file, and how a sentence calls it."""

    called: Sentence
    role: str
    level: str
    name: str
    said: Mapping[str, object]
    geometry: Mapping[str, object]


def entry_of(number: int, feature: object) -> SiteEntry:
    """One feature of the file, its role and geometry there.

    Raises
    ------
    BadInput
        An unknown role, or no geometry.
    """
    said = feature.get("properties") if isinstance(feature, dict) else None
    geometry = feature.get("geometry") if isinstance(feature, dict) else None
    said = said if isinstance(said, dict) else {}
    role, name = str(said.get("role", "")), str(said.get("name") or "")
    words = " ".join(part for part in (role, name) if part)
    called = Sentence("Feature {number} ({words})", number=number, words=words or "-")
    if role not in ROLES:
        raise BadInput('{what} has role "{role}"; use one of: {known}.', what=called, role=role, known=", ".join(ROLES))
    if not isinstance(geometry, dict):
        raise BadInput("{what} has no geometry; draw it, or take the feature out.", what=called)
    return SiteEntry(
        called=called, role=role, level=str(said.get("level") or ""), name=name or role, said=said, geometry=geometry
    )


def floor_of(entries: Sequence[SiteEntry]) -> FloorPlan:
    """The floor that the features of one level make; one of them has the role floor.

    Raises
    ------
    BadInput
        Two floors or parking places, or a feature that cannot be; the sentence names it.
    """

    def all_of(role: str, make: Callable[[SiteEntry], _Record]) -> tuple[_Record, ...]:
        return tuple(_made(entry, make) for entry in entries if entry.role == role)

    outlines = [entry for entry in entries if entry.role == "floor"]
    parking = all_of("parking", _place)
    for role, found in (("floor", outlines), ("parking", parking)):
        if len(found) > 1:
            raise BadInput(
                "Level {level} has {count} features of role {role}; leave one.",
                level=entries[0].level,
                count=len(found),
                role=role,
            )
    return FloorPlan(
        name=entries[0].level,
        outline=_made(outlines[0], _outline),
        obstacles=all_of("obstacle", _named_outline),
        areas=all_of("area", _area),
        no_go=all_of("no_go", _named_outline),
        rooms=all_of("room", _named_outline),
        ramps=all_of("ramp", _ramp),
        service_points=all_of("service_point", _service_point),
        parking=parking[0] if parking else None,
    )


def _made(entry: SiteEntry, make: Callable[[SiteEntry], _Record]) -> _Record:
    """The record, or its refusal with the feature's place before it."""
    try:
        return make(entry)
    except BadInput as error:
        if error.sentence.template.startswith("{what} "):
            raise
        raise BadInput("{what}: {why}", what=entry.called, why=error.sentence) from None


def _outline(entry: SiteEntry) -> MultiPolygon:
    kind, coordinates = entry.geometry.get("type"), entry.geometry.get("coordinates")
    if kind not in ("Polygon", "MultiPolygon") or not isinstance(coordinates, list):
        raise BadInput(
            "{what} is a {kind}; its role needs a Polygon or MultiPolygon.", what=entry.called, kind=str(kind)
        )
    parts = [coordinates] if kind == "Polygon" else coordinates
    try:
        polygons = [Polygon(_ring(rings[0]), [_ring(ring) for ring in rings[1:]]) for rings in parts]
    except (TypeError, ValueError, IndexError, KeyError):
        raise BadInput(
            "{what} has a ring that cannot be drawn; a ring is four or more [x, y] in metres, the last as the first.",
            what=entry.called,
        ) from None
    shape = MultiPolygon(polygons)
    corners = shapely.get_coordinates(shape)
    if not np.all(np.abs(corners) <= FURTHEST_M):
        raise BadInput(
            "{what} has a corner that is no number or more than {limit_m} from the origin.",
            what=entry.called,
            limit_m=FURTHEST_M,
        )
    if shape.is_empty or not shape.is_valid:
        raise BadInput(
            "{what} is empty or crosses itself near {place}. Draw it again.",
            what=entry.called,
            place=crossing(shape),
        )
    return shape


def _ring(ring: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
    if any(isinstance(value, bool | str) for corner in ring for value in corner[:2]):
        raise ValueError("a coordinate is no number")
    return [(float(corner[0]), float(corner[1])) for corner in ring]


def _polygon(entry: SiteEntry) -> Polygon:
    shape = _outline(entry)
    if len(shape.geoms) != 1:
        raise BadInput(
            "{what} has {count} parts; make each part a feature of its own.", what=entry.called, count=len(shape.geoms)
        )
    return shape.geoms[0]


def _named_outline(entry: SiteEntry) -> NamedOutline:
    return NamedOutline(name=entry.name, outline=_polygon(entry))


def _area(entry: SiteEntry) -> Area:
    edges = str(entry.said.get("edges", Edges.EVERY_TIME.value))
    known = [each.value for each in Edges]
    if edges not in known:
        raise BadInput(
            '{what} has edges "{given}"; use one of: {known}.', what=entry.called, given=edges, known=", ".join(known)
        )
    return Area(
        name=entry.name,
        outline=_polygon(entry),
        surface=str(entry.said.get("surface") or ""),
        priority=_whole(entry, "priority"),
        passes=_whole(entry, "passes"),
        edges=Edges(edges),
        people=_people(entry),
        window_from_h=clock_h(entry.said, "window_from_h", entry.called),
        window_until_h=clock_h(entry.said, "window_until_h", entry.called),
    )


def _people(entry: SiteEntry) -> bool:
    given = entry.said.get("people", False)
    if not isinstance(given, bool):
        raise BadInput(
            '{what} has people "{given}"; enter true where people walk while it is cleaned, else false.',
            what=entry.called,
            given=str(given),
        )
    return given


def clock_h(said: Mapping[str, object], word: str, called: Sentence) -> float | None:
    """An hour of the clock that a feature gives, as 22.5 or "22:30"; None where it gives none.

    Raises
    ------
    BadInput
        It is neither a number nor a time of day.
    """
    given = said.get(word)
    if given is None:
        return None
    if isinstance(given, int | float) and not isinstance(given, bool):
        return float(given)
    clock = _CLOCK.fullmatch(str(given).strip())
    if clock is None:
        raise BadInput(
            '{what} has {word} "{given}"; enter an hour of the clock such as 22, 5.5 or "05:30".',
            what=called,
            word=word,
            given=str(given),
        )
    return int(clock[1]) + int(clock[2]) / 60


def _whole(entry: SiteEntry, word: str) -> int:
    given = entry.said.get(word, 1)
    if isinstance(given, bool) or not isinstance(given, int):
        raise BadInput(
            '{what} has {word} "{given}"; enter a whole number such as 1.',
            what=entry.called,
            word=word,
            given=str(given),
        )
    return given


def _ramp(entry: SiteEntry) -> Ramp:
    return Ramp(
        name=entry.name,
        outline=_polygon(entry),
        slope_fraction=_number(entry, "slope_fraction"),
        uphill_rad=_number(entry, "uphill_rad"),
    )


def _number(entry: SiteEntry, word: str) -> float:
    given = entry.said.get(word)
    if isinstance(given, bool) or not isinstance(given, int | float) or not abs(given) < float("inf"):
        raise BadInput(
            '{what} has {word} "{given}"; enter a number such as 0.08.',
            what=entry.called,
            word=word,
            given=str(given),
        )
    return float(given)


def _place(entry: SiteEntry) -> Place:
    x_m, y_m = _spot_of(entry)
    return Place(name=entry.name, x_m=x_m, y_m=y_m)


def _service_point(entry: SiteEntry) -> ServicePoint:
    known = [use.value for use in Use]
    uses = entry.said.get("uses")
    if not isinstance(uses, list) or not uses or any(use not in known for use in uses):
        raise BadInput(
            '{what} has uses "{given}"; give a list of one or more of: {known}.',
            what=entry.called,
            given=str(uses),
            known=", ".join(known),
        )
    x_m, y_m = _spot_of(entry)
    return ServicePoint(name=entry.name, x_m=x_m, y_m=y_m, uses=frozenset(Use(use) for use in uses))


def _spot_of(entry: SiteEntry) -> tuple[float, float]:
    given = entry.geometry.get("coordinates")
    if entry.geometry.get("type") != "Point" or not isinstance(given, list) or len(given) < 2:
        raise BadInput("{what} needs a Point with [x, y] in metres.", what=entry.called)
    try:
        ((x_m, y_m),) = _ring([given])
    except (TypeError, ValueError):
        raise BadInput("{what} needs a Point with [x, y] in metres.", what=entry.called) from None
    return x_m, y_m
