"""A sketch becomes a site: scaled, mended, floor found, and everything on it put in its place."""

import importlib
import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon

from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, Ramp, ServicePoint, Site, Use
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import DrawingOptions, Piece, Reading, Role, Sketch, Storey
from scrubwright.paperwork.ground import ground
from scrubwright.paperwork.labels import Drawn, labelled, slope_told, uphill_told
from scrubwright.paperwork.mending import joined, lines_of, linework, on_grid, polygons_of, solid
from scrubwright.paperwork.points import merged, with_points
from scrubwright.paperwork.scale import in_metres, named
from scrubwright.paperwork.sense import sensible

MOST_WARNINGS = 60
SMALLEST_PART_M2 = 2.0
# A part of the floor this large beside the largest may be another storey on the same sheet.
STOREY_SHARE = 0.3
# What is this small beside the ramp that it lies on is the head of its arrow.
SIGN_SHARE = 0.05
_USES = {Role.DRAIN: Use.DRAIN, Role.TAP: Use.TAP, Role.SOCKET: Use.SOCKET}
_LOOSE_M = 0.02


def reading_of_file(module: str, path: Path, options: DrawingOptions) -> Reading:
    """What a child process does: the reader's sketch, cleaned. A site of our own is read as it is."""
    drawn = importlib.import_module(module).sketch(path, options)
    if isinstance(drawn, Reading):
        return with_points(drawn, options, moved_m=(0.0, 0.0))
    return cleaned(drawn, options, name=path.stem, source=path.name)


def cleaned(sketch: Sketch, options: DrawingOptions, *, name: str, source: str) -> Reading:
    """The site that a sketch shows.

    Parameters
    ----------
    name, source
        Of the site: what to call it, and where the drawing came from.

    Raises
    ------
    BadInput
        No floor, impossible sizes, too many corners, or a point or storey that is not there.
    """
    scaled = in_metres(sketch, options)
    warnings = [*sketch.warnings, *scaled.warnings]
    floors = []
    for storey in _chosen(scaled.storeys, options.storey):
        floor, said = _floor_plan(storey, sketch.tolerance_m)
        warnings += said
        if floor:
            floors.append(floor)
    if not floors:
        raise BadInput(
            "The drawing encloses no floor. Close the walls, draw a line on a door layer across each "
            "doorway to the outside, or name the layer that holds the floor."
        )
    if scaled.moved_m != (0.0, 0.0):
        source = f"{source}, moved by {scaled.moved_m[0]!r}, {scaled.moved_m[1]!r} m"
    reading = Reading(site=Site(name=name, floors=tuple(floors), source=source), warnings=_short(warnings))
    return with_points(reading, options, moved_m=scaled.moved_m)


def _chosen(storeys: Sequence[Storey], name: str | None) -> list[Storey]:
    """The storey of that name, or all; names made different where the drawing repeats one."""
    named_storeys: list[Storey] = []
    for storey in storeys:
        repeats = sum(other.name.split(" (")[0] == storey.name for other in named_storeys)
        named_storeys.append(replace(storey, name=f"{storey.name} ({repeats + 1})") if repeats else storey)
    if name is None:
        return named_storeys
    chosen = [storey for storey in named_storeys if storey.name.casefold() == name.casefold()]
    # A page or a single unnamed storey was already chosen by its reader.
    if not chosen and len(named_storeys) > 1:
        known = ", ".join(storey.name for storey in named_storeys)
        raise BadInput("The drawing has no storey {name}; it has: {known}.", name=name, known=known)
    return chosen or named_storeys


def _floor_plan(storey: Storey, tolerance_m: float) -> tuple[FloorPlan | None, list[Sentence]]:
    found = ground(storey.pieces, tolerance_m)
    warnings = list(found.warnings)
    outline = _without_crumbs(found.outline, warnings)
    name = storey.name or "main"
    if outline.is_empty:
        warnings.append(Sentence("Storey {name} shows no floor and was left out.", name=name))
        return None, warnings
    drawn, unused = labelled(_drawn(storey, found.rooms, tolerance_m, warnings), storey.labels)
    if unused:
        warnings.append(Sentence("{count} texts stand in no area, room or ramp and name nothing.", count=unused))
    ramps, steep = _ramps(drawn, storey.arrows, warnings)
    _tell_sheets(outline, warnings)
    floor = FloorPlan(
        name=name,
        outline=outline,
        obstacles=_outlined(drawn, Role.OBSTACLE),
        areas=_areas(drawn),
        no_go=(*_outlined(drawn, Role.NO_GO), *steep),
        ramps=ramps,
        rooms=tuple(NamedOutline(name=each.name, outline=each.outline) for each in drawn if _is_named_room(each)),
        service_points=merged(_service_points(storey.pieces)),
        parking=_parking(storey.pieces, warnings),
    )
    settled, said = sensible(floor)
    return settled, [*warnings, *said]


def _without_crumbs(outline: MultiPolygon, warnings: list[Sentence]) -> MultiPolygon:
    """The floor without parts too small to stand on."""
    kept = [part for part in outline.geoms if part.area >= SMALLEST_PART_M2]
    dropped = [part for part in outline.geoms if part.area < SMALLEST_PART_M2]
    if dropped:
        warnings.append(
            Sentence(
                "{count} bits of floor under {least_m2} each, {dropped_m2} together, were left out.",
                count=len(dropped),
                least_m2=SMALLEST_PART_M2,
                dropped_m2=float(sum(part.area for part in dropped)),
            )
        )
    return MultiPolygon(kept)


def _tell_sheets(outline: MultiPolygon, warnings: list[Sentence]) -> None:
    """Say that parts as large as a storey, side by side and with no door between, are read as one storey."""
    parts = sorted(outline.geoms, key=lambda part: -part.area)
    large = [part for part in parts if part.area >= STOREY_SHARE * parts[0].area]
    boxes = [shapely.box(*part.bounds) for part in large]
    apart = [one for number, one in enumerate(boxes) if not any(one.intersects(other) for other in boxes[:number])]
    if len(apart) > 1:
        warnings.append(
            Sentence(
                "{count} large parts lie side by side with no door between them; they were read as one storey. "
                "If they are storeys of one sheet, save each in a file of its own.",
                count=len(apart),
            )
        )


def _drawn(storey: Storey, rooms: Sequence[Polygon], tolerance_m: float, warnings: list[Sentence]) -> list[Drawn]:
    """Every outline that may have a name: what stands on the floor or parts it, and its rooms."""
    found = [
        drawn
        for role in (Role.OBSTACLE, Role.AREA, Role.NO_GO, Role.RAMP)
        for drawn in _shapes(storey.pieces, role, tolerance_m, warnings)
    ]
    found += _shapes(storey.rooms, Role.FLOOR, tolerance_m, warnings)
    if storey.labels:
        # What is mended in a room's outline was told when the floor was made of it.
        found += [replace(drawn, piece=replace(drawn.piece, name="")) for drawn in _rooms(storey, tolerance_m)]
        found += [Drawn(role=Role.FLOOR, piece=Piece(role=Role.FLOOR, shape=room), outline=room) for room in rooms]
    return found


def _rooms(storey: Storey, tolerance_m: float) -> list[Drawn]:
    shapes = [piece for piece in storey.pieces if polygons_of(piece.shape)]
    return _shapes(shapes, Role.FLOOR, tolerance_m, [])


def _is_named_room(drawn: Drawn) -> bool:
    return drawn.role is Role.FLOOR and bool(drawn.name) and drawn.outline.is_valid


def _shapes(pieces: Sequence[Piece], role: Role, tolerance_m: float, warnings: list[Sentence]) -> list[Drawn]:
    """Every polygon of a role with the piece it came from; lines of one layer are closed first."""
    found: list[Drawn] = []
    loose: dict[tuple[str, str | Sentence], list[Piece]] = {}
    for piece in pieces:
        if piece.role is not role:
            continue
        if polygons_of(piece.shape):
            whole, said = solid(piece, tolerance_m)
            warnings += said
            found += [Drawn(role=role, piece=piece, outline=part) for part in whole.geoms]
        elif lines_of(piece.shape):
            loose.setdefault((piece.name, piece.where), []).append(piece)
    for group in loose.values():
        found += [Drawn(role=role, piece=group[0], outline=part) for part in _closed(group, role).geoms]
    return found


def _of_role(drawn: Sequence[Drawn], role: Role) -> list[tuple[str, Drawn]]:
    """The outlines of a role with their names; those without one are numbered as they come."""
    found = [each for each in drawn if each.role is role]
    return [(each.name or f"{role.value} {number}", each) for number, each in enumerate(found, 1)]


def _closed(group: Sequence[Piece], role: Role) -> MultiPolygon:
    """What the lines of one layer enclose; a line that closes nothing is a thin thing in the way."""
    mesh = linework([line for piece in group for line in lines_of(piece.shape)])
    filled = joined(mesh.faces)
    if role not in (Role.OBSTACLE, Role.NO_GO) or not mesh.loose:
        return on_grid(filled)
    thin = shapely.union_all([line.buffer(_LOOSE_M, cap_style="square") for line in mesh.loose])
    return on_grid(joined([filled.union(thin)]))


def _outlined(drawn: Sequence[Drawn], role: Role) -> tuple[NamedOutline, ...]:
    return tuple(NamedOutline(name=name, outline=each.outline) for name, each in _of_role(drawn, role))


def _areas(drawn: Sequence[Drawn]) -> tuple[Area, ...]:
    return tuple(
        Area(
            name=name,
            outline=each.outline,
            surface=each.surface,
            priority=each.piece.priority,
            passes=each.piece.passes,
            edges=each.piece.edges,
            people=each.piece.people,
            window_from_h=each.piece.window_from_h,
            window_until_h=each.piece.window_until_h,
        )
        for name, each in _of_role(drawn, Role.AREA)
    )


def _ramps(
    drawn: Sequence[Drawn], arrows: Sequence[LineString], warnings: list[Sentence]
) -> tuple[tuple[Ramp, ...], tuple[NamedOutline, ...]]:
    """The ramps, and as no-go zones those whose slope or way up nobody gave."""
    ramps, unknown = [], []
    for name, each in _of_role(_without_heads(drawn), Role.RAMP):
        slope_fraction, of_slope = slope_told(name, each)
        uphill_rad, of_way = uphill_told(name, each, arrows)
        warnings += [*of_slope, *of_way]
        if slope_fraction is None or uphill_rad is None:
            unknown.append(NamedOutline(name=name, outline=each.outline))
            warnings.append(_asking(name, each, slope_fraction, uphill_rad))
            continue
        ramp = Ramp(name=name, outline=each.outline, slope_fraction=slope_fraction, uphill_rad=uphill_rad)
        ramps.append(ramp)
        if each.piece.uphill_rad is None:
            warnings.append(_told_arrow(ramp))
    return tuple(ramps), tuple(unknown)


def _without_heads(drawn: Sequence[Drawn]) -> list[Drawn]:
    """The outlines without arrowheads and other signs that lie on a ramp and on its layer."""
    ramps = [each for each in drawn if each.role is Role.RAMP]

    def is_sign(each: Drawn) -> bool:
        larger = (other.outline for other in ramps if each.outline.area < SIGN_SHARE * other.outline.area)
        return each.role is Role.RAMP and any(each.outline.within(outline) for outline in larger)

    return [each for each in drawn if not is_sign(each)]


def _asking(name: str, each: Drawn, slope_fraction: float | None, uphill_rad: float | None) -> Sentence:
    """What a person has to add before a ramp counts as one."""
    area_m2 = float(each.outline.area)
    if slope_fraction is not None:
        return Sentence(
            "Nobody says which way {name} of {area_m2} climbs; it is a no-go zone until the drawing has one arrow on "
            "it that points up, or the site file gives the way it climbs.",
            name=name,
            area_m2=area_m2,
        )
    if uphill_rad is not None:
        return Sentence(
            "Nobody says how steep {name} of {area_m2} is; it is a no-go zone until its slope stands on it, such as "
            "8 % or 1:12, or in the site file.",
            name=name,
            area_m2=area_m2,
        )
    return Sentence(
        "Nobody says how steep {name} of {area_m2} is; it is a no-go zone until the site file "
        "gives its slope and the way it climbs.",
        name=name,
        area_m2=area_m2,
    )


def _told_arrow(ramp: Ramp) -> Sentence:
    """Which way a ramp was taken to climb, for the person who has stood on it."""
    corners = shapely.get_coordinates(ramp.outline.exterior)[:-1]
    ahead = np.array([math.cos(ramp.uphill_rad), math.sin(ramp.uphill_rad)])
    up_m = corners @ ahead
    top = corners[up_m >= up_m.max() - 0.1 * np.ptp(up_m)].mean(axis=0)
    return Sentence(
        "By the arrow on it, {name} climbs {slope_fraction} towards {x_m}, {y_m}. Check that on the floor.",
        name=ramp.name,
        slope_fraction=ramp.slope_fraction,
        x_m=float(top[0]),
        y_m=float(top[1]),
    )


def _service_points(pieces: Sequence[Piece]) -> list[ServicePoint]:
    return [
        ServicePoint(name=piece.name, x_m=_middle(piece).x, y_m=_middle(piece).y, uses=frozenset({_USES[piece.role]}))
        for piece in pieces
        if piece.role in _USES
    ]


def _parking(pieces: Sequence[Piece], warnings: list[Sentence]) -> Place | None:
    places = [piece for piece in pieces if piece.role is Role.PARKING]
    if len(places) > 1:
        warnings.append(
            Sentence(
                "{count} parking places are drawn; the first was taken: {what}.",
                count=len(places),
                what=named(places[0]),
            )
        )
    for piece in places:
        return Place(name=piece.name or "parking", x_m=_middle(piece).x, y_m=_middle(piece).y)
    return None


def _middle(piece: Piece) -> Point:
    """Where a point is meant, on the grid of 1 mm: a basin or a symbol counts by its middle."""
    centre = piece.shape.centroid
    return Point(round(centre.x, 3), round(centre.y, 3))


def _short(warnings: Sequence[Sentence]) -> tuple[Sentence, ...]:
    """Each warning once, and no more of them than somebody reads."""
    different = list(dict.fromkeys(warnings))
    if len(different) <= MOST_WARNINGS:
        return tuple(different)
    rest = Sentence("{count} more repairs of the same kinds were made.", count=len(different) - MOST_WARNINGS)
    return (*different[:MOST_WARNINGS], rest)
