"""Arrows on ramps: which way a shaft with barbs, a filled head, a tapering line or a leader points.

An arrow counts only where its head is drawn at one end and none at the other; what might be
anything else is left alone, so that nobody is sent up a ramp by a guess.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.leader import Leader
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.math import Vec3
from numpy.typing import NDArray
from shapely import LineString, Polygon, STRtree

from scrubwright.paperwork.drawing import Piece, Role

MOST_STROKES = 20_000
MOST_IN_ONE_RAMP = 200
LONGEST_BARB = 0.6
_KINDS = frozenset(("LINE", "LWPOLYLINE", "SOLID", "TRACE"))
_FURTHEST_UNITS = 1e11
_NO_WORDS = 3
_JOINT = 0.05
_BARB_RAD = (math.radians(8), math.radians(60))
_ALIGNED_RAD = math.radians(20)

_Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """What may be part of an arrow, in drawing units.

    Parameters
    ----------
    shape
        An open line, or a triangle.
    is_arrow
        Whether the line is an arrow by itself, from tail to head.
    """

    shape: LineString | Polygon
    is_arrow: bool = False


def stroke_of(entity: DXFGraphic) -> Stroke | None:
    """A line, polyline or filled triangle; None for other things and for what lies nowhere."""
    corners, closed = _corners(entity) if entity.dxftype() in _KINDS else (np.empty((0, 2)), False)
    if closed:
        triangle = Polygon(corners) if len(corners) == 3 else Polygon()
        return Stroke(shape=triangle) if triangle.area > 0 else None
    if len(corners) < 2:
        return None
    tapered = _tapered(entity) if isinstance(entity, LWPolyline) else 0
    return Stroke(shape=LineString(corners[:: tapered or 1]), is_arrow=bool(tapered))


def arrow_of_leader(leader: Leader) -> Stroke | None:
    """A straight leader with a head and no words: an arrow. One with words points at something."""
    points = np.array([(vertex.x, vertex.y) for vertex in map(Vec3, leader.vertices)], dtype=np.float64)
    is_plain = leader.dxf.has_arrowhead and leader.dxf.annotation_type == _NO_WORDS
    if not is_plain or points.shape != (2, 2) or not np.all(np.abs(points) <= _FURTHEST_UNITS):
        return None
    return Stroke(shape=LineString(points[::-1]), is_arrow=True) if np.ptp(points, axis=0).any() else None


def _corners(entity: DXFGraphic) -> tuple[_Points, bool]:
    """The different corners of a stroke in turn, shape (n, 2), and whether the last is joined to the first.

    None for a stroke that lies nowhere or beyond any building.
    """
    if isinstance(entity, LWPolyline):
        spots, closed = list(entity.vertices_in_wcs()), bool(entity.closed)
    elif isinstance(entity, Line):
        spots, closed = [entity.dxf.start, entity.dxf.end], False
    else:
        spots, closed = list(entity.wcs_vertices()), True  # type: ignore[attr-defined]
    corners = np.array([(spot.x, spot.y) for spot in spots], dtype=np.float64).reshape(-1, 2)
    if not len(corners) or not np.all(np.abs(corners) <= _FURTHEST_UNITS):
        return np.empty((0, 2)), False
    corners = corners[np.append(True, np.any(np.diff(corners, axis=0) != 0, axis=1))]
    returns = len(corners) > 3 and bool(np.all(corners[0] == corners[-1]))
    return (corners[:-1] if returns else corners), closed or returns


def _tapered(line: LWPolyline) -> int:
    """1 where the line narrows to a point at its end, -1 where at its start, 0 where at neither or both."""
    with line.points("se") as widths:
        ends = [(float(start), float(end)) for start, end in widths]
    if len(ends) < 2:
        return 0
    at_end = ends[-2][0] > ends[-2][1] == 0.0
    at_start = ends[0][1] > ends[0][0] == 0.0
    return int(at_end) - int(at_start)


def arrows(strokes: Sequence[Stroke], pieces: Sequence[Piece]) -> tuple[LineString, ...]:
    """The arrows that lie on ramps, from tail to head."""
    ramps = [piece.shape for piece in pieces if piece.role is Role.RAMP and isinstance(piece.shape, Polygon)]
    if not ramps:
        return ()
    whole = [each.shape for each in strokes if each.is_arrow and isinstance(each.shape, LineString)]
    found = [arrow for arrow in whole if any(_lies_on(ramp, arrow) for ramp in ramps)]
    heads = [each.shape for each in strokes if isinstance(each.shape, Polygon)]
    segments = [
        LineString(pair)
        for each in strokes
        if isinstance(each.shape, LineString) and not each.is_arrow
        for pair in pairwise(each.shape.coords)
    ]
    tree = STRtree(segments)
    for ramp in ramps:
        inside = [each for each in (segments[number] for number in tree.query(ramp)) if _lies_on(ramp, each)]
        if 0 < len(inside) <= MOST_IN_ONE_RAMP:
            found += _pointing(inside, [head for head in heads if ramp.intersects(head)])
    return tuple(found)


def _lies_on(ramp: Polygon, line: LineString) -> bool:
    """Whether a line lies on a ramp by its middle and by most of its length; tails often begin before the foot."""
    inside = ramp.intersection(line).length
    return bool(inside >= 0.6 * line.length and ramp.covers(line.interpolate(0.5, normalized=True)))


def _pointing(segments: Sequence[LineString], heads: Sequence[Polygon]) -> list[LineString]:
    """Shafts with a head at one end, the longest of lines that cross or share one another only."""
    found: list[LineString] = []
    ends = np.array([segment.coords for segment in segments])
    for number in np.argsort([-segment.length for segment in segments], kind="stable"):
        shaft = ends[number]
        at_start, at_end = (
            _barbs(shaft[::step], ends, int(number)) + _filled(shaft[::step], heads) for step in (-1, 1)
        )
        if bool(at_start) != bool(at_end):
            arrow = LineString(shaft if at_end else shaft[::-1])
            # A barb of an arrow that is already known is no arrow of its own.
            if not any(known.distance(arrow) < _JOINT * known.length for known in found):
                found.append(arrow)
    return found


def _barbs(shaft: _Points, ends: NDArray[np.float64], own: int) -> int:
    """How many lines go back from the shaft's end at a slant, each shorter than the shaft."""
    tail, head = shaft
    length = float(np.hypot(*(head - tail)))
    back = (tail - head) / length
    count = 0
    for number, (start, end) in enumerate(ends):
        for near, far in ((start, end), (end, start)):
            barb = far - near
            size = float(np.hypot(*barb))
            if number == own or size > LONGEST_BARB * length or np.hypot(*(near - head)) > _JOINT * length:
                continue
            turn_rad = math.acos(float(np.clip(barb @ back / size, -1, 1)))
            count += _BARB_RAD[0] <= turn_rad <= _BARB_RAD[1]
    return count


def _filled(shaft: _Points, heads: Sequence[Polygon]) -> int:
    """How many filled heads sit on the shaft's end and point on along it."""
    tail, end = shaft
    ahead = (end - tail) / np.hypot(*(end - tail))
    count = 0
    for head in heads:
        corners = np.array(head.exterior.coords)[:3]
        sides = np.hypot(*(corners - np.roll(corners, -1, axis=0)).T)
        # The tip lies across from the shortest side.
        tip = corners[(int(np.argmin(sides)) + 2) % 3]
        middle = corners.sum(axis=0) / 2 - tip / 2
        out = tip - middle
        size = float(np.hypot(*out))
        touches = min(np.hypot(*(end - middle)), np.hypot(*(end - tip))) <= 0.5 * size
        small = size <= LONGEST_BARB * float(np.hypot(*(end - tail)))
        count += touches and small and bool(out @ ahead / size >= math.cos(_ALIGNED_RAD))
    return count
