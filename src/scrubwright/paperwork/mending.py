"""Repairs of single shapes: crossed rings, too many corners, slivers, and loose lines that almost meet."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import Piece
from scrubwright.paperwork.scale import named

MOST_CORNERS = 20_000
SLIVER_M = 0.02
GRID_M = 0.001
LINE_GRID_M = 0.01
WIDEST_GAP_M = 0.03
_STRETCH = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Linework:
    """What loose lines enclose.

    `faces` fill what is closed; `loose` are the edges that close nothing; `gaps_m` the widths of the
    gaps that were closed [m], shape (n,).
    """

    faces: tuple[Polygon, ...]
    loose: tuple[LineString, ...]
    gaps_m: NDArray[np.float64]


def polygons_of(shape: BaseGeometry) -> list[Polygon]:
    """The polygons in a shape; points and lines that came with them fall away."""
    parts = shapely.get_parts(shapely.get_parts(np.array([shape], dtype=object)))
    return [part for part in parts if isinstance(part, Polygon) and not part.is_empty]


def lines_of(shape: BaseGeometry) -> list[LineString]:
    """The lines in a shape, each with a length."""
    parts = shapely.get_parts(shapely.get_parts(np.array([shape], dtype=object)))
    return [LineString(part) for part in parts if isinstance(part, LineString) and part.length > 0]


def joined(shapes: Iterable[BaseGeometry]) -> MultiPolygon:
    """All polygons in the shapes as one; empty where there is none."""
    return MultiPolygon(polygons_of(shapely.union_all([part for shape in shapes for part in polygons_of(shape)])))


def solid(piece: Piece, tolerance_m: float) -> tuple[MultiPolygon, tuple[Sentence, ...]]:
    """A drawn polygon as valid polygons on a grid of 1 mm, and what was mended.

    Raises
    ------
    BadInput
        More than 20,000 corners even after smoothing to the tolerance.
    """
    shape, said = _with_fewer_corners(piece, tolerance_m)
    drawn_m2 = abs(float(shape.area))
    if not shapely.is_valid(shape):
        place = crossing(shape)
        shape = shapely.make_valid(shape, method="structure", keep_collapsed=False)
        said.append(
            Sentence(
                "{what} crosses itself near {place}. It was mended: {drawn_m2} as drawn, {mended_m2} now.",
                what=named(piece),
                place=place,
                drawn_m2=drawn_m2,
                mended_m2=float(shape.area),
            )
        )
    whole, dropped_m2 = without_slivers(on_grid(shape))
    if whole.is_empty:
        said.append(Sentence("{what} is thinner than {least_m} and was left out.", what=named(piece), least_m=SLIVER_M))
    elif dropped_m2 > 0.01:
        said.append(Sentence("Slivers of {dropped_m2} were cut off {what}.", dropped_m2=dropped_m2, what=named(piece)))
    return whole, tuple(said)


def fewer_corners(shape: MultiPolygon, tolerance_m: float) -> MultiPolygon:
    """The shape with at most 20,000 corners, moved by no more than the tolerance.

    Raises
    ------
    BadInput
        Smoothing to the tolerance leaves more corners.
    """
    if shapely.get_num_coordinates(shape) <= MOST_CORNERS:
        return shape
    smooth = shapely.make_valid(_smoothed(shape, tolerance_m), method="structure", keep_collapsed=False)
    if shapely.get_num_coordinates(smooth) > MOST_CORNERS:
        raise BadInput(
            "The floor has {count} corners; at most {limit} can be planned. Draw it with fewer, or storey by storey.",
            count=int(shapely.get_num_coordinates(smooth)),
            limit=MOST_CORNERS,
        )
    return joined([smooth])


def _with_fewer_corners(piece: Piece, tolerance_m: float) -> tuple[BaseGeometry, list[Sentence]]:
    count = int(shapely.get_num_coordinates(piece.shape))
    if count <= MOST_CORNERS:
        return piece.shape, []
    smooth = _smoothed(piece.shape, tolerance_m)
    left = int(shapely.get_num_coordinates(smooth))
    if left > MOST_CORNERS or smooth.is_empty:
        raise BadInput(
            "{what} has {count} corners; at most {limit} can be planned. Draw it with fewer.",
            what=named(piece),
            count=count,
            limit=MOST_CORNERS,
        )
    said = Sentence(
        "{what} had {count} corners; {left} were kept, none moved by more than {tolerance_m}.",
        what=named(piece),
        count=count,
        left=left,
        tolerance_m=tolerance_m,
    )
    return smooth, [said]


def _smoothed(shape: BaseGeometry, tolerance_m: float) -> MultiPolygon:
    """The polygons of a shape with fewer corners; rings may cross afterwards.

    Each ring is smoothed in stretches, for two reasons: GEOS smooths by calling itself, and a jagged ring
    of 200,000 corners makes it run out of stack; and the way that keeps rings from crossing is slow on it.
    """
    whole = []
    for part in polygons_of(shape):
        shell, *holes = (_smoothed_ring(shapely.get_coordinates(ring), tolerance_m) for ring in _rings(part))
        if len(shell) > 3:
            whole.append(Polygon(shell, [hole for hole in holes if len(hole) > 3]))
    return MultiPolygon(whole)


def _rings(part: Polygon) -> tuple[BaseGeometry, ...]:
    return part.exterior, *part.interiors


def _smoothed_ring(corners: NDArray[np.float64], tolerance_m: float) -> NDArray[np.float64]:
    """Corners of a closed ring, shape (n, 2), without those that lie within the tolerance of the rest."""
    cuts = range(0, len(corners) - 1, _STRETCH)
    stretches = [LineString(corners[start : start + _STRETCH + 1]) for start in cuts]
    smooth = [
        shapely.get_coordinates(line) for line in shapely.simplify(stretches, tolerance_m, preserve_topology=False)
    ]
    return np.vstack([*(line[:-1] for line in smooth), smooth[-1][-1:]])


def crossing(shape: BaseGeometry) -> Sentence:
    """Where GEOS says that a ring is wrong, as "x, y" in metres."""
    found = re.search(r"\[(\S+) (\S+)\]", str(shapely.is_valid_reason(shape)))
    if not found:
        return Sentence("its corners")
    return Sentence("{x_m}, {y_m}", x_m=float(found[1]), y_m=float(found[2]))


def on_grid(shape: BaseGeometry) -> MultiPolygon:
    """The polygons of a valid shape with every coordinate on a grid of 1 mm."""
    placed = shapely.set_precision(shape, GRID_M)
    # Without this, whatever is computed from the shape later would be put on the grid too.
    return MultiPolygon(polygons_of(shapely.set_precision(placed, 0.0)))


def without_slivers(shape: MultiPolygon) -> tuple[MultiPolygon, float]:
    """The shape without parts and holes narrower than 2 cm, and the area that changed [m2]."""
    kept, changed_m2 = [], 0.0
    for part in shape.geoms:
        if _is_sliver(part):
            changed_m2 += part.area
            continue
        holes = [hole for hole in part.interiors if not _is_sliver(Polygon(hole))]
        whole = part if len(holes) == len(part.interiors) else Polygon(part.exterior, holes)
        changed_m2 += whole.area - part.area
        kept.append(whole)
    return MultiPolygon(kept), float(changed_m2)


def _is_sliver(part: Polygon) -> bool:
    if 2 * part.area > 3 * SLIVER_M * part.length:
        return False
    return bool(part.buffer(-SLIVER_M / 2, join_style="mitre").is_empty)


def linework(lines: Sequence[LineString]) -> Linework:
    """What loose lines enclose, gaps of up to 3 cm closed.

    Every line is put on a grid of 1 cm before the lines are cut at their crossings. Done afterwards,
    ends that miss each other by millimetres stay apart and whole rooms are lost.
    """
    placed = shapely.set_precision(np.array(lines, dtype=object), LINE_GRID_M, mode="pointwise")
    edges = _edges(placed[shapely.length(placed) > 0])
    bridges, gaps_m = _bridges(edges)
    if bridges:
        edges = _edges(np.array([*edges, *bridges], dtype=object))
    faces, cuts, dangles, _ = shapely.polygonize_full(list(edges))
    return Linework(
        faces=tuple(face for face in polygons_of(faces) if face.area > 0),
        loose=tuple(lines_of(cuts) + lines_of(dangles)),
        gaps_m=gaps_m,
    )


def _edges(lines: NDArray[np.object_]) -> NDArray[np.object_]:
    """The lines cut wherever they meet."""
    cut = shapely.set_precision(shapely.union_all(lines, grid_size=LINE_GRID_M), 0.0)
    return np.array(lines_of(cut), dtype=object)


def _bridges(edges: NDArray[np.object_]) -> tuple[list[LineString], NDArray[np.float64]]:
    """Short lines from each end to edges within reach that do not meet it, and the lengths of those [m].

    A loose end reaches 3 cm. An end where edges meet reaches a little more than one step of the grid,
    because one corner drawn twice may have fallen on two neighbouring points of it.
    """
    if not len(edges):
        return [], np.array([])
    both = np.vstack([shapely.get_coordinates(shapely.get_point(edges, place)) for place in (0, -1)])
    spots, count = np.unique(np.round(both, 6), axis=0, return_counts=True)
    ends = shapely.points(spots)
    reach_m = np.where(count == 1, WIDEST_GAP_M, 1.5 * LINE_GRID_M)
    at, edge = STRtree(edges).query(ends, predicate="dwithin", distance=reach_m)
    bridges = shapely.shortest_line(ends[at], edges[edge])
    apart = shapely.length(bridges) > GRID_M
    # Where edges meet, each of them is reached in the same spot; one bridge to there is enough.
    corners = shapely.get_coordinates(shapely.normalize(bridges[apart])).reshape(-1, 2, 2)
    distinct = shapely.linestrings(np.unique(np.round(corners, 6), axis=0))
    return list(distinct), np.asarray(shapely.length(distinct), dtype=np.float64)
