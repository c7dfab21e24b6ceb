"""DXF drawings: layers tell what things are, blocks are taken apart within limits, curves become short lines."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert
from ezdxf.entities.layer import Layer
from ezdxf.entities.leader import Leader
from ezdxf.lldxf.const import DXFError
from ezdxf.path import make_path
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import METRES_PER_FOOT, METRES_PER_MILE
from scrubwright.paperwork.block_count import block_counts, drawn_count
from scrubwright.paperwork.drawing import DrawingOptions, Label, Piece, Role, Sketch, Storey
from scrubwright.paperwork.readers.dxf_arrows import MOST_STROKES, Stroke, arrow_of_leader, arrows, stroke_of
from scrubwright.paperwork.readers.dxf_texts import called, stacked, tagged, written
from scrubwright.paperwork.roles import role_of_words

MOST_ENTITIES = 200_000
DEEPEST_BLOCK = 5
CURVE_M = 0.005
FURTHEST_UNITS = 1e11

# $INSUNITS of the DXF reference (group code 70 of the header section); 0 says nothing.
_UNITS_M = {
    1: METRES_PER_FOOT / 12,
    2: METRES_PER_FOOT,
    3: METRES_PER_MILE,
    4: 0.001,
    5: 0.01,
    6: 1.0,
    7: 1000.0,
    10: 3 * METRES_PER_FOOT,
    14: 0.1,
    21: 1200 / 3937,
}
_WRITTEN = frozenset(
    (
        *("TEXT", "MTEXT", "ATTDEF", "ATTRIB", "DIMENSION", "ARC_DIMENSION", "LEADER", "MULTILEADER", "TOLERANCE"),
        *("HATCH", "MPOLYGON", "IMAGE", "WIPEOUT", "VIEWPORT", "XLINE", "RAY", "OLE2FRAME", "ACAD_TABLE"),
    )
)
_CURVES = frozenset(("LINE", "LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"))
_FILLED = frozenset(("SOLID", "TRACE", "3DFACE"))
# Layers besides the ignored whose lines may be an arrow on a ramp, and layers whose blocks may be a room's name tag.
_NOTED = (Role.RAMP, None)
_TAGGED = (Role.IGNORE, Role.AREA, Role.FLOOR, Role.RAMP, None)
_POINTS = (Role.DRAIN, Role.TAP, Role.SOCKET, Role.PARKING)


@dataclass(slots=True, kw_only=True)
class _Walk:
    """What was met on the way through the drawing."""

    options: DrawingOptions
    hidden_layers: frozenset[str]
    curve: float | None
    pieces: list[Piece] = field(default_factory=list)
    unknown: list[tuple[str, Piece]] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    hidden: Counter[str] = field(default_factory=Counter)
    undrawn: Counter[str] = field(default_factory=Counter)
    external: set[str] = field(default_factory=set)
    too_deep: set[str] = field(default_factory=set)


def sketch(path: Path, options: DrawingOptions) -> Sketch:
    """What the model space of a DXF file shows.

    Raises
    ------
    UnreadablePaper
        Damaged, empty, drawn in paper space only, or with blocks that stand for more than 200,000 things.
    """
    drawing, whole, warnings = _opened(path)
    unit_m = _UNITS_M.get(int(drawing.header.get("$INSUNITS", 0)))
    model = list(drawing.modelspace())
    _refuse_bombs(drawing, model, path.name)
    scale_m = options.known_distance.unit_m if options.known_distance else unit_m
    scale_m = options.unit.length_m if options.unit and not options.known_distance else scale_m
    walk = _Walk(
        options=options,
        hidden_layers=frozenset(layer.dxf.name.casefold() for layer in drawing.layers if _is_hidden(layer)),
        curve=CURVE_M / scale_m if scale_m else None,
    )
    for entity in model:
        _take(walk, entity, layer="0", block="", depth=0)
    warnings += _told(walk)
    pieces = _with_a_guess(walk, warnings)
    on_paper = _on_paper(drawing)
    if not pieces:
        _refuse_empty(path.name, walk, on_paper, whole)
    if on_paper:
        warnings.append(
            Sentence("{count} things in paper space were left out; only model space is read.", count=on_paper)
        )
    storey = Storey(
        name=options.storey or "main",
        pieces=tuple(pieces),
        labels=stacked(walk.labels),
        arrows=arrows(walk.strokes, pieces),
    )
    return Sketch(kind="DXF", storeys=(storey,), unit_m=unit_m, warnings=tuple(warnings))


def _opened(path: Path) -> tuple[Drawing, bool, list[Sentence]]:
    """The drawing, whether its end mark is there, and what to say about the file."""
    with path.open("rb") as file:
        file.seek(max(0, path.stat().st_size - 64))
        whole = b"EOF" in file.read()
    try:
        drawing, auditor = recover.readfile(path)
    except DXFError as error:
        raise UnreadablePaper(
            "{file} is damaged: {detail}. Open it in your drawing program, save it as a new DXF and read that.",
            file=path.name,
            detail=str(error)[:200],
        ) from None
    warnings = []
    if not whole:
        warnings.append(
            Sentence(
                "{file} breaks off before its end; look closely at what is missing, or save it again.", file=path.name
            )
        )
    if auditor.errors:
        warnings.append(Sentence("{count} faults inside the file could not be mended.", count=len(auditor.errors)))
    return drawing, whole, warnings


def _is_hidden(layer: Layer) -> bool:
    return bool(layer.is_off() or layer.is_frozen())


def _refuse_bombs(drawing: Drawing, model: Iterable[DXFGraphic], file: str) -> None:
    """Refuse blocks in blocks and arrays of blocks that multiply, before anything is taken apart."""
    counts = block_counts(drawing)
    total = 0
    for entity in model:
        total += drawn_count(entity, counts)
        if total > MOST_ENTITIES:
            block = entity.dxf.name if isinstance(entity, Insert) else entity.dxftype()
            raise UnreadablePaper(
                "{file} stands for {count} lines or more, by block {block}; at most {limit} can be read. "
                "Save only the storey you need, without furniture or details.",
                file=file,
                count=f"{total:,}" if total < 10**12 else "10^12",
                block=block,
                limit=f"{MOST_ENTITIES:,}",
            )


def _take(walk: _Walk, entity: DXFGraphic, *, layer: str, block: str, depth: int) -> None:
    """Add one thing of the drawing; a block is taken apart, its things on layer 0 count as on the block's layer."""
    own = str(entity.dxf.get("layer", "0"))
    layer = layer if own == "0" and depth else own
    kind = entity.dxftype()
    if layer.casefold() in walk.hidden_layers or entity.dxf.get("invisible", 0):
        walk.hidden[layer] += 1
        return
    role = _role(walk.options, layer, block)
    if kind in _WRITTEN:
        _take_written(walk, entity, role, layer=layer)
        return
    if isinstance(entity, Insert) and entity.attribs and role in _TAGGED:
        _take_label(walk, tagged(entity, layer, role), layer)
    if role is Role.IGNORE:
        walk.left_out[layer] += 1
        _take_stroke(walk, stroke_of(entity))
    elif isinstance(entity, Insert):
        _take_block(walk, entity, layer=layer, depth=depth)
    elif kind == "MLINE":
        for line in entity.virtual_entities():  # type: ignore[attr-defined]
            _take(walk, line, layer=layer, block=block, depth=max(depth, 1))
    else:
        _take_shape(walk, entity, role, layer=layer, block=block)


def _take_written(walk: _Walk, entity: DXFGraphic, role: Role | None, *, layer: str) -> None:
    """Note a text or an arrow; what is only for paper is counted."""
    if isinstance(entity, Leader) and role is Role.RAMP:
        _take_stroke(walk, arrow_of_leader(entity))
    if not _take_label(walk, written(entity, layer, role), layer):
        walk.left_out[entity.dxftype()] += 1


def _take_label(walk: _Walk, label: Label | None, layer: str) -> bool:
    """Note the words, unless the person said that their layer has nothing to do with the floor."""
    if label is None or walk.options.role_of(layer) is Role.IGNORE:
        return False
    walk.labels.append(label)
    return True


def _take_stroke(walk: _Walk, stroke: Stroke | None) -> None:
    if stroke is not None and len(walk.strokes) < MOST_STROKES:
        walk.strokes.append(stroke)


def _take_block(walk: _Walk, insert: Insert, *, layer: str, depth: int) -> None:
    name = str(insert.dxf.name)
    content = insert.block()
    if content is None or (content.block is not None and content.block.is_xref):
        walk.external.add(name)
        return
    role = _role(walk.options, layer, name)
    if role in _POINTS and role is not None:
        spot = insert.ocs().to_wcs(insert.dxf.insert)
        walk.pieces.append(
            Piece(
                role=role,
                shape=Point(_finite([(spot.x, spot.y)], insert)[0]),
                name=called(insert),
                where=Sentence("layer {layer}", layer=layer),
            )
        )
        return
    if depth >= DEEPEST_BLOCK:
        walk.too_deep.add(name)
        return
    for single in insert.multi_insert() if insert.mcount > 1 else (insert,):
        for entity in single.virtual_entities(skipped_entity_callback=_counting(walk)):
            _take(walk, entity, layer=layer, block=name, depth=depth + 1)


def _counting(walk: _Walk) -> Callable[[DXFGraphic, str], None]:
    return lambda entity, _reason: walk.undrawn.update([entity.dxftype()])


def _role(options: DrawingOptions, layer: str, block: str) -> Role | None:
    """By layer first; a block on a layer that says nothing goes by its own name."""
    return options.role_of(layer) or role_of_words(layer) or (role_of_words(block) if block else None)


def _take_shape(walk: _Walk, entity: DXFGraphic, role: Role | None, *, layer: str, block: str) -> None:
    shape = _shape(walk, entity, role)
    if shape is None:
        walk.undrawn[entity.dxftype()] += 1
        return
    name = block if block and role in (Role.OBSTACLE, Role.NO_GO) and not block.startswith("*") else ""
    piece = Piece(role=role or Role.WALL, shape=shape, name=name, where=Sentence("layer {layer}", layer=layer))
    if role in _NOTED:
        _take_stroke(walk, stroke_of(entity))
    if role:
        walk.pieces.append(piece)
    else:
        walk.unknown.append((layer, piece))


def _shape(walk: _Walk, entity: DXFGraphic, role: Role | None) -> BaseGeometry | None:
    """A polygon for what is filled or closed, except walls, whose faces are drawn; else a line or a point."""
    kind = entity.dxftype()
    if kind == "POINT":
        return Point(_finite([(entity.dxf.location.x, entity.dxf.location.y)], entity)[0])
    if kind in _FILLED:
        corners = _finite([(corner.x, corner.y) for corner in entity.wcs_vertices()], entity)  # type: ignore[attr-defined]
        return Polygon(corners) if len(corners) > 2 else None
    if kind not in _CURVES:
        return None
    corners = _finite(_flattened(walk, entity), entity)
    if len(corners) < 2:
        return None
    closed = len(corners) > 3 and np.allclose(corners[0], corners[-1], rtol=0, atol=1e-9 * np.abs(corners).max())
    return Polygon(corners) if closed and role not in (Role.WALL, None) else LineString(corners)


def _flattened(walk: _Walk, entity: DXFGraphic) -> list[tuple[float, float]]:
    """Corners of a line or curve [drawing units], none of its arcs cut by more than 5 mm."""
    if entity.dxftype() == "LINE":
        return [(point.x, point.y) for point in (entity.dxf.start, entity.dxf.end)]
    try:
        path = make_path(entity)
        control = np.array([(point.x, point.y) for point in path.control_vertices()])
        _finite(control, entity)
        if len(control) < 2:
            return []
        span = float(np.ptp(control, axis=0).max())
        return [(point.x, point.y) for point in path.flattening(max(walk.curve or 2e-4 * span, 1e-6 * span, 1e-9))]
    except (DXFError, TypeError, ZeroDivisionError, OverflowError):
        return []


def _finite(corners: Iterable[tuple[float, float]] | NDArray[np.float64], entity: DXFGraphic) -> NDArray[np.float64]:
    """The corners, shape (n, 2), if each is a number that a building may have."""
    points = np.array(corners, dtype=np.float64).reshape(-1, 2)
    if not np.all(np.abs(points) <= FURTHEST_UNITS):
        raise UnreadablePaper(
            "A {kind} on layer {layer} (handle {handle}) has a coordinate that is no number or lies beyond any "
            "building. Erase it or draw it again.",
            kind=entity.dxftype(),
            layer=str(entity.dxf.get("layer", "0")),
            handle=str(entity.dxf.get("handle", "-")),
        )
    return points


def _with_a_guess(walk: _Walk, warnings: list[Sentence]) -> list[Piece]:
    """The pieces; where no layer speaks of floor or walls, the lines of unknown layers are taken as walls."""
    layers = sorted({layer for layer, _ in walk.unknown})
    listed = ", ".join(layers[:8]) + (", ..." if len(layers) > 8 else "")
    if not walk.unknown:
        return walk.pieces
    if any(piece.role in (Role.FLOOR, Role.WALL) for piece in walk.pieces):
        warnings.append(
            Sentence(
                "{count} things on layers {layers} were left out; say the role of a layer if it matters.",
                count=len(walk.unknown),
                layers=listed,
            )
        )
        return walk.pieces
    warnings.append(
        Sentence("No layer is named for floor or walls; what is on layers {layers} was taken as walls.", layers=listed)
    )
    return [*walk.pieces, *(piece for _, piece in walk.unknown)]


def _told(walk: _Walk) -> Iterator[Sentence]:
    """A sentence for each kind of thing that was met and not taken."""
    if walk.left_out:
        yield Sentence(
            "{count} texts, dimensions, hatches and the like were left out.", count=sum(walk.left_out.values())
        )
    if walk.undrawn:
        yield Sentence(
            "{count} things of kinds that cannot be followed were left out: {kinds}.",
            count=sum(walk.undrawn.values()),
            kinds=", ".join(sorted(walk.undrawn)),
        )
    if walk.hidden:
        yield Sentence(
            "{count} things on layers that are off or frozen were left out: {layers}.",
            count=sum(walk.hidden.values()),
            layers=", ".join(sorted(walk.hidden)[:8]),
        )
    if walk.external:
        yield Sentence(
            "Other drawings that this file refers to are not in it: {blocks}. Bind them into it if they matter.",
            blocks=", ".join(sorted(walk.external)[:8]),
        )
    if walk.too_deep:
        yield Sentence(
            "Blocks more than {depth} deep inside others were left out: {blocks}.",
            depth=DEEPEST_BLOCK,
            blocks=", ".join(sorted(walk.too_deep)[:8]),
        )


def _on_paper(drawing: Drawing) -> int:
    """How many things stand in paper space."""
    return sum(
        entity.dxftype() != "VIEWPORT"
        for name in drawing.layout_names()
        if name != "Model"
        for entity in drawing.layout(name)
    )


def _refuse_empty(file: str, walk: _Walk, on_paper: int, whole: bool) -> None:
    if not whole:
        raise UnreadablePaper("{file} breaks off before any line of the plan. Save or copy it again.", file=file)
    if walk.external:
        raise UnreadablePaper(
            "{file} only refers to other drawings: {blocks}. Bind them into it, save it and read that.",
            file=file,
            blocks=", ".join(sorted(walk.external)[:8]),
        )
    if on_paper:
        raise UnreadablePaper(
            "{file} is drawn in paper space only. Copy the plan to model space in true size and save it again.",
            file=file,
        )
    raise UnreadablePaper(
        "{file} shows no lines that can be read. Check that its layers are switched on, and save it again.", file=file
    )
