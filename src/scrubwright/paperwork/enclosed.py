"""Which light part of a drawing is the floor: what can be reached from inside without slipping through a gap.

A drawn wall is seldom tight. A gap narrower than any machine is taken as closed; through a wider one
the floor would run out to the edge of the paper, so it is looked for, closed and told.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.outlines import NARROWEST_M, Mask

Labels = npt.NDArray[np.signedinteger[Any]]

GAPS_TRIED_M = (0.5, 0.8, 1.2, 1.8, 2.7, 4.0)
FULL_SHARE = 0.25
NEAREST_FLOOR_M = 1.5
ROOM_M2 = 4.0
HALL_M2 = 20.0

_EIGHT_NEIGHBOURS = np.ones((3, 3), dtype=bool)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A gap in the drawn outline: its middle, from the lower left corner of the picture, and about how wide [m]."""

    x_m: float
    y_m: float
    width_m: float

    @property
    def told(self) -> Sentence:
        """What to do about it."""
        return Sentence(
            "The outline has a gap near {x_m}, {y_m} of about {width_m}; it was taken as closed. "
            "Draw the wall or a shut door there.",
            x_m=self.x_m,
            y_m=self.y_m,
            width_m=self.width_m,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Enclosed:
    """The floor that was found, shape (rows, columns), and the gaps that were closed for it.

    Parameters
    ----------
    reaches_edge
        The floor runs to the edge of the picture, which was taken as a wall.
    closed_off, closed_off_m2
        Other light parts of at least 4 m2, closed all round.
    """

    floor: Mask
    gaps: tuple[Gap, ...]
    reaches_edge: bool
    closed_off: int
    closed_off_m2: float


def enclosed_floor(light: Mask, *, size_m: float, inside_m: tuple[tuple[float, float], ...]) -> Enclosed:
    """The floor within a drawn outline.

    Parameters
    ----------
    light
        True where the paper is light, shape (rows, columns), row 0 on top.
    size_m
        Side of one pixel [m, > 0].
    inside_m
        Points known to lie on the floor or at its walls, from the lower left corner [m]; without any,
        the largest closed part is the floor.

    Raises
    ------
    BadInput
        A point lies off the picture or in a wall; or, without points, no closed part is as large as a building.

    Notes
    -----
    **Source**: ours, see docs/explanation/from-pixels-to-walls.md.
    """
    reach = max(1, round(NARROWEST_M / 2 / size_m))
    tight, gaps = light, list[Gap]()
    for width_m in (NARROWEST_M, *GAPS_TRIED_M):
        if width_m > NARROWEST_M:
            tight, found = _with_gaps_closed(tight, max(reach + 1, round(width_m / 2 / size_m)), size_m)
            gaps += found
        parts, outer = _parts(tight, reach)
        chosen = _chosen(light, parts, outer, size_m, inside_m)
        if chosen and not chosen & outer:
            floor = _grown(tight, _among(parts, chosen), reach)
            return _enclosed(floor, parts, outer | chosen, gaps, size_m)
    if not inside_m:
        raise BadInput(
            "The outline in the picture is open, or cut off at the edge: no closed part is as large as a building. "
            "Draw the outer wall closed, with a margin around it, or name a point on the floor, such as the parking."
        )
    parts, outer = _parts(light, reach)
    chosen = _chosen(light, parts, outer, size_m, inside_m)
    floor = _grown(light, _among(parts, chosen), reach)
    return replace(_enclosed(floor, parts, outer | chosen, [], size_m), reaches_edge=True)


def _parts(light: Mask, reach: int) -> tuple[Labels, frozenset[int]]:
    """The light parts further than `reach` pixels from any wall, numbered, and those that meet the picture's edge."""
    parts, _ = ndimage.label(~_dilated(~light, reach))
    edge = np.concatenate([parts[0], parts[-1], parts[:, 0], parts[:, -1]])
    return parts, frozenset(np.unique(edge[edge > 0]).tolist())


def _dilated(mask: Mask, reach: int) -> Mask:
    """The mask grown by a square of `reach` pixels each way."""
    grown = mask.view(np.uint8)
    for axis in (0, 1):
        grown = ndimage.maximum_filter1d(grown, 2 * reach + 1, axis=axis, mode="constant", cval=0)
    return np.asarray(grown.view(np.bool_))


def _grown(light: Mask, core: Mask, reach: int) -> Mask:
    """A part grown back to its walls and into their nooks, never through a wall."""
    open_floor = _dilated(core, reach)
    return np.asarray(ndimage.binary_dilation(open_floor, iterations=reach, mask=light))


def _among(parts: Labels, chosen: frozenset[int]) -> Mask:
    wanted = np.zeros(int(parts.max()) + 1, dtype=bool)
    wanted[list(chosen)] = True
    return np.asarray(wanted[parts])


def _chosen(
    light: Mask, parts: Labels, outer: frozenset[int], size_m: float, inside_m: tuple[tuple[float, float], ...]
) -> frozenset[int]:
    """The parts at the given points; without points, the largest closed part if it is as large as a building."""
    sizes = np.bincount(parts.ravel())
    if inside_m:
        return frozenset(_part_at(parts, sizes, outer, point_m, size_m) for point_m in inside_m)
    sizes[[0, *outer]] = 0
    rows, columns = np.flatnonzero(~light.all(axis=1)), np.flatnonzero(~light.all(axis=0))
    if not len(rows):
        return frozenset()
    drawn = (rows[-1] - rows[0] + 1) * (columns[-1] - columns[0] + 1)
    largest = int(sizes.argmax())
    return frozenset({largest}) if sizes[largest] >= FULL_SHARE * drawn else frozenset()


def _part_at(parts: Labels, sizes: Labels, outer: frozenset[int], point_m: tuple[float, float], size_m: float) -> int:
    """The part at a point; where the point stands in a wall, the largest closed part beside it, else the nearest."""
    row, column = int(parts.shape[0] - point_m[1] / size_m), int(point_m[0] / size_m)
    reach = max(1, round(NEAREST_FLOOR_M / size_m))
    top, left = max(0, row - reach), max(0, column - reach)
    near = parts[top : max(0, row + reach + 1), left : max(0, column + reach + 1)]
    places = np.argwhere(near)
    if not len(places):
        raise BadInput(
            "The point {x}, {y} lies in a wall or off the picture; give metres from the lower left corner.",
            x=f"{point_m[0]:g}",
            y=f"{point_m[1]:g}",
        )
    away = np.hypot(*(places - (row - top, column - left)).T)
    nearest = int(near[tuple(places[away.argmin()])])
    if away.min() < 1:
        return nearest
    closed = [part for part in np.unique(near[near > 0]).tolist() if part not in outer]
    largest = max(closed, key=lambda part: int(sizes[part]), default=nearest)
    return largest if sizes[largest] * size_m**2 >= HALL_M2 else nearest


def _with_gaps_closed(light: Mask, reach: int, size_m: float) -> tuple[Mask, list[Gap]]:
    """The light without the necks, up to twice `reach` pixels wide, that join an inner part to the edge."""
    parts, outer = _parts(light, reach)
    outside = _dilated(_among(parts, outer), reach)
    inside = _dilated((parts > 0) & ~_among(parts, outer), reach)
    narrow, _ = ndimage.label(light & ~outside & ~inside, structure=_EIGHT_NEIGHBOURS)
    at_both = np.intersect1d(narrow[_dilated(outside, 1)], narrow[_dilated(inside, 1)])
    through = _among(narrow, frozenset(at_both[at_both > 0].tolist()))
    # In a thin wall the two sides meet at once, and nothing narrow lies between them.
    neck = (through | (_dilated(outside, 1) & _dilated(inside, 1))) & light
    necks, _ = ndimage.label(neck, structure=_EIGHT_NEIGHBOURS)
    gaps = [_gap(light, necks, number, place, size_m) for number, place in enumerate(ndimage.find_objects(necks), 1)]
    return light & ~neck, gaps


def _gap(light: Mask, necks: Labels, number: int, place: tuple[slice, ...], size_m: float) -> Gap:
    """Where a neck is, and twice the distance from its middle to the nearest wall."""
    margin = round(GAPS_TRIED_M[-1] / size_m) + 1
    rows, columns = (slice(max(0, side.start - margin), side.stop + margin) for side in place)
    clear = ndimage.distance_transform_edt(light[rows, columns])
    at_neck = necks[rows, columns] == number
    row, column = np.argwhere(at_neck).mean(axis=0)
    return Gap(
        x_m=float(columns.start + column + 0.5) * size_m,
        y_m=float(light.shape[0] - rows.start - row - 0.5) * size_m,
        width_m=2 * float(clear[at_neck].max()) * size_m,
    )


def _enclosed(floor: Mask, parts: Labels, known: frozenset[int], gaps: list[Gap], size_m: float) -> Enclosed:
    """The floor with what is told of it: the gaps at its walls, and what else is closed."""
    sizes = np.bincount(parts.ravel())
    sizes[[0, *known]] = 0
    rooms = sizes[sizes * size_m**2 >= ROOM_M2]
    return Enclosed(
        floor=floor,
        gaps=tuple(gap for gap in gaps if _is_at(floor, gap, size_m)),
        reaches_edge=False,
        closed_off=len(rooms),
        closed_off_m2=float(rooms.sum()) * size_m**2,
    )


def _is_at(floor: Mask, gap: Gap, size_m: float) -> bool:
    row, column = int(floor.shape[0] - gap.y_m / size_m), int(gap.x_m / size_m)
    reach = round(gap.width_m / size_m) + 3
    near = floor[max(0, row - reach) : row + reach + 1, max(0, column - reach) : column + reach + 1]
    return bool(near.any())
