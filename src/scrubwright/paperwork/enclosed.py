"""Which light part of a drawing is the floor: what can be reached from inside without slipping through a gap.

A drawn wall is seldom tight. A gap narrower than any machine is taken as closed; through a wider one
the floor would run out to the edge of the paper, so it is looked for, closed and told.
"""

import math
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
FRAMED_SHARE = 0.25
COARSE_M = 0.15

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
    # A margin of paper on every side, so that the widest gap still has an outside to lead to.
    margin = round(GAPS_TRIED_M[-1] / size_m) + 2
    sheet = _Sheet(light=np.pad(light, margin, constant_values=True), size_m=size_m, margin=margin)
    outside = _framed_paper(sheet)
    reach = sheet.reach_of(NARROWEST_M)
    tight = sheet.light
    for width_m in (NARROWEST_M, *GAPS_TRIED_M):
        if width_m > NARROWEST_M:
            tight = _with_gaps_closed(tight, max(reach + 1, sheet.reach_of(width_m)), outside)
        parts, outer = _parts(tight, reach, outside)
        chosen = _chosen(sheet, parts, outer, inside_m)
        if chosen and not chosen & outer:
            break
    else:
        if not inside_m:
            raise BadInput(
                "The outline in the picture is open, or cut off at the edge: no closed part is as large as a building. "
                "Draw the outer wall closed, with a margin around it, or name a point on the floor, such as parking."
            )
        return _running_off(sheet, inside_m)
    necks = sheet.light & ~tight & _dilated(_among(parts, outer), 2 * reach + 2)
    necks = ndimage.binary_propagation(necks, mask=sheet.light & ~tight)
    # Closing also shut narrow aisles; only what leads outdoors stays shut.
    tight = sheet.light & ~necks
    parts, outer = _parts(tight, reach, outside)
    chosen = _chosen(sheet, parts, outer, inside_m)
    if chosen & outer:
        return _running_off(sheet, inside_m)
    floor = _grown(tight, _among(parts, chosen), reach)
    return _enclosed(sheet, floor, parts, outer | chosen, _gaps(sheet, necks, floor))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """The light of a picture with a margin of paper around it."""

    light: Mask
    size_m: float
    margin: int

    def reach_of(self, width_m: float) -> int:
        """Half a width in pixels, at least one."""
        return max(1, round(width_m / 2 / self.size_m))

    def without_margin(self, mask: Mask) -> Mask:
        """The part of a mask that lies on the picture."""
        return np.ascontiguousarray(mask[self.margin : -self.margin, self.margin : -self.margin])


def _parts(light: Mask, reach: int, outside: Mask) -> tuple[Labels, frozenset[int]]:
    """The light parts further than `reach` pixels from any wall, numbered, and those that lie outdoors."""
    parts, _ = ndimage.label(~_dilated(~light, reach))
    outer = np.unique(np.concatenate([parts[0], parts[-1], parts[:, 0], parts[:, -1], parts[outside]]))
    return parts, frozenset(outer[outer > 0].tolist())


def _running_off(sheet: _Sheet, inside_m: tuple[tuple[float, float], ...]) -> Enclosed:
    """The floor at the given points where no closing parts it from the outside: the picture's edge is its wall."""
    cut = np.pad(sheet.without_margin(sheet.light), sheet.margin, constant_values=False)
    reach = sheet.reach_of(NARROWEST_M)
    parts, _ = _parts(cut, reach, np.zeros_like(cut))
    chosen = _chosen(sheet, parts, frozenset(), inside_m)
    found = _enclosed(sheet, _grown(cut, _among(parts, chosen), reach), parts, chosen, ())
    edges = (found.floor[0], found.floor[-1], found.floor[:, 0], found.floor[:, -1])
    return replace(found, reaches_edge=any(edge.any() for edge in edges))


def _framed_paper(sheet: _Sheet) -> Mask:
    """The blank paper within the frame that a drawing sheet often has, which is closed all round as a floor is.

    The frame is told from an outer wall by what stands in it: one large drawn thing, not many small
    ones. All light beside that thing is paper. A coarse look is enough.
    """
    step = max(1, round(COARSE_M / sheet.size_m))
    drawn, _ = ndimage.label(~shrunk(sheet.light, step), structure=_EIGHT_NEIGHBOURS)
    boxes = sorted(ndimage.find_objects(drawn), key=_box_pixels, reverse=True)
    framed = 0
    while framed + 1 < len(boxes) and _frames(boxes[framed], boxes[framed + 1]):
        framed += 1
    paper = np.zeros(drawn.shape, dtype=bool)
    if framed:
        paper[:] = True
        paper[boxes[framed]] = False
    whole = paper.repeat(step, axis=0).repeat(step, axis=1)
    return np.asarray(whole[-sheet.light.shape[0] :, : sheet.light.shape[1]] & sheet.light)


def _frames(outer: tuple[slice, ...], inner: tuple[slice, ...]) -> bool:
    """Whether a drawn thing stands clear within another and takes a large share of it."""
    clear = all(far.start < near.start and near.stop < far.stop for far, near in zip(outer, inner, strict=True))
    return clear and _box_pixels(inner) >= FRAMED_SHARE * _box_pixels(outer)


def _box_pixels(box: tuple[slice, ...]) -> int:
    return math.prod(side.stop - side.start for side in box)


def shrunk(light: Mask, step: int) -> Mask:
    """A mask with one pixel for every `step` x `step`, light only where all of them are; lower left corner kept."""
    rows, columns = (-(-side // step) * step for side in light.shape)
    whole = np.pad(light, ((rows - light.shape[0], 0), (0, columns - light.shape[1])), constant_values=True)
    return np.asarray(whole.reshape(rows // step, step, columns // step, step).all(axis=(1, 3)))


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
    sheet: _Sheet, parts: Labels, outer: frozenset[int], inside_m: tuple[tuple[float, float], ...]
) -> frozenset[int]:
    """The parts at the given points; without points, the largest closed part if it is as large as a building."""
    sizes = np.bincount(parts.ravel())
    if inside_m:
        return frozenset(_part_at(sheet, parts, outer, point_m) for point_m in inside_m)
    sizes[[0, *outer]] = 0
    walls = parts == 0
    walls[_among(parts, outer)] = False
    rows, columns = np.flatnonzero(walls.any(axis=1)), np.flatnonzero(walls.any(axis=0))
    if not len(rows):
        return frozenset()
    drawn = (rows[-1] - rows[0] + 1) * (columns[-1] - columns[0] + 1)
    largest = int(sizes.argmax())
    return frozenset({largest}) if sizes[largest] >= FULL_SHARE * drawn else frozenset()


def _part_at(sheet: _Sheet, parts: Labels, outer: frozenset[int], point_m: tuple[float, float]) -> int:
    """The part at a point; where the point stands in a wall, the largest closed part beside it, else the nearest."""
    size_m = sheet.size_m
    row = int(parts.shape[0] - sheet.margin - point_m[1] / size_m)
    column = int(sheet.margin + point_m[0] / size_m)
    reach = max(1, round(NEAREST_FLOOR_M / size_m))
    top, left = max(0, row - reach), max(0, column - reach)
    near = parts[top : max(0, row + reach + 1), left : max(0, column + reach + 1)]
    places = np.argwhere(near)
    on_picture = all(
        sheet.margin <= place < side - sheet.margin for place, side in zip((row, column), parts.shape, strict=True)
    )
    if not len(places) or not on_picture:
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
    sizes = {part: int((parts == part).sum()) for part in closed}
    largest = max(closed, key=lambda part: sizes[part], default=nearest)
    return largest if sizes.get(largest, 0) * size_m**2 >= HALL_M2 else nearest


def _with_gaps_closed(light: Mask, reach: int, outside: Mask) -> Mask:
    """The light without the necks, up to twice `reach` pixels wide, that join an inner part to the outside."""
    parts, outer = _parts(light, reach, outside)
    outdoors = _among(parts, outer)
    indoors = _dilated((parts > 0) & ~outdoors, reach)
    outdoors = _dilated(outdoors, reach)
    narrow, _ = ndimage.label(light & ~outdoors & ~indoors, structure=_EIGHT_NEIGHBOURS)
    at_outdoors, at_indoors = _dilated(outdoors, 1), _dilated(indoors, 1)
    at_both = np.intersect1d(narrow[at_outdoors], narrow[at_indoors])
    through = _among(narrow, frozenset(at_both[at_both > 0].tolist()))
    # In a thin wall the two sides meet at once, and nothing narrow lies between them.
    return np.asarray(light & ~(through | (at_outdoors & at_indoors)))


def _gaps(sheet: _Sheet, necks: Mask, floor: Mask) -> tuple[Gap, ...]:
    """The necks that the floor ends at, each with its middle and width."""
    numbered, _ = ndimage.label(necks, structure=_EIGHT_NEIGHBOURS)
    at_floor = np.unique(numbered[_dilated(floor, 1)])
    places = ndimage.find_objects(numbered)
    gaps = []
    for number in at_floor[at_floor > 0].tolist():
        rows, columns = (
            slice(max(0, side.start - sheet.margin), side.stop + sheet.margin) for side in places[number - 1]
        )
        longest = max(side.stop - side.start for side in places[number - 1])
        clear = ndimage.distance_transform_edt(sheet.light[rows, columns])
        at_neck = numbered[rows, columns] == number
        row, column = np.argwhere(at_neck).mean(axis=0)
        gaps.append(
            Gap(
                x_m=float(columns.start + column + 0.5 - sheet.margin) * sheet.size_m,
                y_m=float(sheet.light.shape[0] - sheet.margin - rows.start - row - 0.5) * sheet.size_m,
                # In a thin wall the neck bulges into the rooms, in a thick one it is longer than wide.
                width_m=min(2 * float(clear[at_neck].max()), longest) * sheet.size_m,
            )
        )
    return tuple(gaps)


def _enclosed(sheet: _Sheet, floor: Mask, parts: Labels, known: frozenset[int], gaps: tuple[Gap, ...]) -> Enclosed:
    """The floor with what is told of it: the gaps at its walls, and what else is closed."""
    sizes = np.bincount(parts.ravel())
    sizes[[0, *known]] = 0
    rooms = sizes[sizes * sheet.size_m**2 >= ROOM_M2]
    return Enclosed(
        floor=sheet.without_margin(floor),
        gaps=gaps,
        reaches_edge=False,
        closed_off=len(rooms),
        closed_off_m2=float(rooms.sum()) * sheet.size_m**2,
    )
