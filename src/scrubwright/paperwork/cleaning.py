"""A sketch becomes a site: scaled, mended, floor found, and everything on it put in its place."""

import importlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import shapely
from shapely import MultiPolygon, Point, Polygon

from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, Ramp, ServicePoint, Site, Use
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import DrawingOptions, Piece, Reading, Role, Sketch, Storey
from scrubwright.paperwork.ground import ground
from scrubwright.paperwork.mending import joined, lines_of, linework, on_grid, polygons_of, solid
from scrubwright.paperwork.points import merged, with_points
from scrubwright.paperwork.scale import in_metres, named
from scrubwright.paperwork.sense import sensible

MOST_WARNINGS = 60
SMALLEST_PART_M2 = 2.0
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
    ramps, steep = _ramps(storey.pieces, tolerance_m, warnings)
    floor = FloorPlan(
        name=name,
        outline=outline,
        obstacles=_outlined(storey.pieces, Role.OBSTACLE, tolerance_m, warnings),
        areas=_areas(storey.pieces, tolerance_m, warnings),
        no_go=(*_outlined(storey.pieces, Role.NO_GO, tolerance_m, warnings), *steep),
        ramps=ramps,
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


def _shapes(
    pieces: Sequence[Piece], role: Role, tolerance_m: float, warnings: list[Sentence]
) -> list[tuple[str, Piece, Polygon]]:
    """Every polygon of a role with its name and the piece it came from; lines of one layer are closed first."""
    found: list[tuple[str, Piece, Polygon]] = []
    loose: dict[tuple[str, str | Sentence], list[Piece]] = {}
    for piece in pieces:
        if piece.role is not role:
            continue
        if polygons_of(piece.shape):
            whole, said = solid(piece, tolerance_m)
            warnings += said
            found += [(piece.name, piece, part) for part in whole.geoms]
        elif lines_of(piece.shape):
            loose.setdefault((piece.name, piece.where), []).append(piece)
    for (name, _), group in loose.items():
        found += [(name, group[0], part) for part in _closed(group, role).geoms]
    return [(name or f"{role.value} {number}", piece, part) for number, (name, piece, part) in enumerate(found, 1)]


def _closed(group: Sequence[Piece], role: Role) -> MultiPolygon:
    """What the lines of one layer enclose; a line that closes nothing is a thin thing in the way."""
    mesh = linework([line for piece in group for line in lines_of(piece.shape)])
    filled = joined(mesh.faces)
    if role not in (Role.OBSTACLE, Role.NO_GO) or not mesh.loose:
        return on_grid(filled)
    thin = shapely.union_all([line.buffer(_LOOSE_M, cap_style="square") for line in mesh.loose])
    return on_grid(joined([filled.union(thin)]))


def _outlined(
    pieces: Sequence[Piece], role: Role, tolerance_m: float, warnings: list[Sentence]
) -> tuple[NamedOutline, ...]:
    shapes = _shapes(pieces, role, tolerance_m, warnings)
    return tuple(NamedOutline(name=name, outline=part) for name, _, part in shapes)


def _areas(pieces: Sequence[Piece], tolerance_m: float, warnings: list[Sentence]) -> tuple[Area, ...]:
    return tuple(
        Area(
            name=name,
            outline=part,
            surface=piece.surface,
            priority=piece.priority,
            passes=piece.passes,
            edges=piece.edges,
        )
        for name, piece, part in _shapes(pieces, Role.AREA, tolerance_m, warnings)
    )


def _ramps(
    pieces: Sequence[Piece], tolerance_m: float, warnings: list[Sentence]
) -> tuple[tuple[Ramp, ...], tuple[NamedOutline, ...]]:
    """The ramps, and as no-go zones those whose slope or direction nobody gave."""
    ramps, unknown = [], []
    for name, piece, part in _shapes(pieces, Role.RAMP, tolerance_m, warnings):
        if piece.slope_fraction is None or piece.uphill_rad is None:
            unknown.append(NamedOutline(name=name, outline=part))
            warnings.append(
                Sentence(
                    "Nobody says how steep {name} of {area_m2} is; it is a no-go zone until the site file "
                    "gives its slope and the way it climbs.",
                    name=name,
                    area_m2=float(part.area),
                )
            )
            continue
        ramps.append(Ramp(name=name, outline=part, slope_fraction=piece.slope_fraction, uphill_rad=piece.uphill_rad))
    return tuple(ramps), tuple(unknown)


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
