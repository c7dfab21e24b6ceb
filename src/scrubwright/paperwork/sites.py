"""A cleaned site as a GeoJSON file that a person can mend, and back again without losing a digit.

The words of the file are listed in docs/reference/site-format.md.
"""

import json
from collections.abc import Iterator, Mapping
from pathlib import Path

import shapely
from shapely import MultiPolygon, Polygon

from scrubwright.floor.site import Area, FloorPlan, Place, Site, Use
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import LARGEST_FILE_BYTES, Reading
from scrubwright.paperwork.json_content import json_content
from scrubwright.paperwork.sense import sensible
from scrubwright.paperwork.site_entries import entry_of, floor_of
from scrubwright.paperwork.writing import write_text

MARK = "scrubwright_site"
VERSION = 1

_Json = dict[str, object]


def write_site(site: Site, path: Path) -> None:
    """Write a site as GeoJSON; the file is there whole or not at all.

    Raises
    ------
    BadInput
        The folder is not there, or the file cannot be written.
    """
    write_text(path, site_text(site))


def site_text(site: Site) -> str:
    """A site as GeoJSON text, one feature a line."""
    features = [json.dumps(feature, ensure_ascii=False) for floor in site.floors for feature in _features(floor)]
    head = json.dumps({"version": VERSION, "units": "m", "name": site.name, "source": site.source}, ensure_ascii=False)
    lines = ",\n".join(features)
    return f'{{"type": "FeatureCollection",\n"{MARK}": {head},\n"features": [\n{lines}\n]}}\n'


def _features(floor: FloorPlan) -> Iterator[_Json]:
    yield _feature("floor", floor, floor.name, _shape(floor.outline))
    for area in floor.areas:
        yield _feature(
            "area",
            floor,
            area.name,
            _shape(area.outline),
            surface=area.surface,
            priority=area.priority,
            passes=area.passes,
            edges=area.edges.value,
            people=area.people,
            **_window(area),
        )
    for role, outlined in (("obstacle", floor.obstacles), ("no_go", floor.no_go), ("room", floor.rooms)):
        for thing in outlined:
            yield _feature(role, floor, thing.name, _shape(thing.outline))
    for ramp in floor.ramps:
        yield _feature(
            "ramp",
            floor,
            ramp.name,
            _shape(ramp.outline),
            slope_fraction=ramp.slope_fraction,
            uphill_rad=ramp.uphill_rad,
        )
    for point in floor.service_points:
        uses = [use.value for use in Use if use in point.uses]
        yield _feature("service_point", floor, point.name, _spot(point), uses=uses)
    if floor.parking:
        yield _feature("parking", floor, floor.parking.name, _spot(floor.parking))


def _window(area: Area) -> _Json:
    """The hours between which an area may be wet, where it has any."""
    if area.window_from_h is None:
        return {}
    return {"window_from_h": area.window_from_h, "window_until_h": area.window_until_h}


def _feature(role: str, floor: FloorPlan, name: str, geometry: _Json, **more: object) -> _Json:
    properties = {"role": role, "level": floor.name, "name": name, **more}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def _shape(shape: Polygon | MultiPolygon) -> _Json:
    if isinstance(shape, Polygon):
        return {"type": "Polygon", "coordinates": _rings(shape)}
    return {"type": "MultiPolygon", "coordinates": [_rings(part) for part in shape.geoms]}


def _rings(polygon: Polygon) -> list[list[list[float]]]:
    return [shapely.get_coordinates(ring).tolist() for ring in (polygon.exterior, *polygon.interiors)]


def _spot(place: Place) -> _Json:
    return {"type": "Point", "coordinates": [place.x_m, place.y_m]}


def read_site(path: Path) -> Reading:
    """The site in a file written by `write_site`, perhaps mended by hand since.

    Raises
    ------
    UnreadablePaper
        No such file, too large, no JSON, or no site file.
    BadInput
        A feature that cannot be; the sentence names it.
    """
    if not path.is_file():
        raise UnreadablePaper("There is no file {file}. Check the name and the folder.", file=str(path))
    if path.stat().st_size > LARGEST_FILE_BYTES:
        raise UnreadablePaper(
            "{file} is {size_bytes}; a site file may be {limit_bytes}.",
            file=path.name,
            size_bytes=float(path.stat().st_size),
            limit_bytes=float(LARGEST_FILE_BYTES),
        )
    content = json_content(path)
    return reading_of_site(content if isinstance(content, dict) else {}, path.name)


def reading_of_site(content: Mapping[str, object], file: str) -> Reading:
    """The site in the parsed content of a site file.

    Raises
    ------
    UnreadablePaper
        Not a site file, or of a later version.
    BadInput
        A feature that cannot be; the sentence names it.
    """
    head = content.get(MARK)
    raw = content.get("features")
    if not isinstance(head, dict) or not isinstance(raw, list):
        raise UnreadablePaper("{file} is no site file. Make one from a drawing with `scrubwright floor`.", file=file)
    if head.get("version") != VERSION:
        raise UnreadablePaper(
            "{file} is a site file of version {version}; this program reads version {known}.",
            file=file,
            version=str(head.get("version")),
            known=VERSION,
        )
    entries = [entry_of(number, feature) for number, feature in enumerate(raw, start=1)]
    levels = list(dict.fromkeys(entry.level for entry in entries if entry.role == "floor"))
    for entry in entries:
        if entry.level not in levels:
            raise BadInput(
                "{what} is on level {level}, which has no floor; levels with a floor: {known}.",
                what=entry.called,
                level=entry.level or "?",
                known=", ".join(levels) or "-",
            )
    floors: list[FloorPlan] = []
    warnings: list[Sentence] = []
    for level in levels:
        floor, said = sensible(floor_of([entry for entry in entries if entry.level == level]))
        floors.append(floor)
        warnings += said
    site = Site(name=str(head.get("name", "")), floors=tuple(floors), source=str(head.get("source", "")))
    return Reading(site=site, warnings=tuple(warnings))
