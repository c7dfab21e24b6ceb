"""From a mask of pixels to outlines in metres: exact tracing, specks, slits.

The walls are straightened in `scrubwright.paperwork.wall_lines`; the whole way is told in
docs/explanation/from-pixels-to-walls.md.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from scipy import ndimage
from shapely import MultiPolygon, Polygon

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.wall_lines import straightened

Mask = npt.NDArray[np.bool_]

SPECK_M2 = 0.02
SMALLEST_FLOOR_M2 = 1.0
NARROWEST_M = 0.30
WALL_TOLERANCE_M = 0.04
MOST_CORNERS = 400_000

_WORTH_TELLING_M2 = 0.5
_EIGHT_NEIGHBOURS = np.ones((3, 3), dtype=bool)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pixels:
    """Where the pixels of a picture lie on the floor; row 0 is the top row of the picture.

    Parameters
    ----------
    size_m
        Side of one pixel [m, > 0].
    origin_x_m, origin_y_m
        Where the lower left corner of the picture lies [m].
    yaw_rad
        How far the picture is turned about that corner, anticlockwise [rad].
    """

    size_m: float
    origin_x_m: float = 0.0
    origin_y_m: float = 0.0
    yaw_rad: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.size_m < math.inf:
            raise BadInput("A pixel cannot be {given} m wide; enter more than 0, such as 0.05.", given=str(self.size_m))

    def area_m2(self, count: int) -> float:
        """The area of `count` pixels [m2]. Source: a pixel is a square."""
        return count * self.size_m**2


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlined:
    """Floor outlines found in a mask, and what was changed on the way [m, m2].

    Parameters
    ----------
    outline
        The floor, holes where something stands.
    specks, speck_area_m2
        Things smaller than a hand that were taken as dirt in the picture.
    scraps, scrap_area_m2
        Pieces of floor too small to stand a machine on, left out.
    slit_area_m2
        Floor narrower than any machine, left out.
    straightening_area_m2
        Area gained (or, negative, lost) where walls were straightened.
    corners_traced, corners
        Corners of the outline before and after straightening.
    """

    outline: MultiPolygon
    specks: int
    speck_area_m2: float
    scraps: int
    scrap_area_m2: float
    slit_area_m2: float
    straightening_area_m2: float
    corners_traced: int
    corners: int

    @property
    def told(self) -> tuple[Sentence, ...]:
        """What was changed, for the person who knows the floor; what is too little to see is not told."""
        told = []
        if self.corners < self.corners_traced:
            told.append(
                Sentence(
                    "Walls were straightened by at most a few centimetres: {before} corners became {after}.",
                    before=self.corners_traced,
                    after=self.corners,
                )
            )
        if self.specks:
            told.append(
                Sentence(
                    "Dark specks no larger than a hand were taken as dirt in the drawing: {count}. "
                    "Where they are legs or posts, mark a no-go zone.",
                    count=self.specks,
                )
            )
        left_out_m2 = self.scrap_area_m2 + self.slit_area_m2
        if left_out_m2 >= _WORTH_TELLING_M2:
            told.append(
                Sentence(
                    "{area_m2} of floor narrower than {narrowest_m} or in scraps under {scrap_m2} was left out.",
                    area_m2=left_out_m2,
                    narrowest_m=NARROWEST_M,
                    scrap_m2=SMALLEST_FLOOR_M2,
                )
            )
        if abs(self.straightening_area_m2) >= _WORTH_TELLING_M2:
            told.append(
                Sentence("Straightening the walls changed the floor by {area_m2}.", area_m2=self.straightening_area_m2)
            )
        return tuple(told)


def floor_outlines(floor: Mask, pixels: Pixels) -> Outlined:
    """The outlines of the floor in a mask, with specks and slits cleared and walls straightened.

    Parameters
    ----------
    floor
        True where there is floor, shape (rows, columns), row 0 on top.
    pixels
        Where the pixels lie.

    Raises
    ------
    BadInput
        No piece of floor as large as 1 m2, or far more corners than any building has.

    Notes
    -----
    **Source**: ours, see docs/explanation/from-pixels-to-walls.md.
    """
    filled, specks, speck_pixels = _without_specks(floor, int(SPECK_M2 / pixels.size_m**2))
    kept, scraps, scrap_pixels = _without_scraps(filled, int(SMALLEST_FLOOR_M2 / pixels.size_m**2))
    if not kept.any():
        raise _no_floor()
    exact = traced(kept, size_m=pixels.size_m)
    # Slits are looked for between walls that are straight to a pixel: on a staircase, corners would count as slits.
    drawn = straightened(exact, tolerance_m=pixels.size_m)
    wide = without_slits(drawn, narrowest_m=_slit_m(pixels))
    if wide.is_empty:
        raise _no_floor()
    straight = straightened(wide, tolerance_m=_wall_tolerance_m(pixels))
    return Outlined(
        outline=_placed(straight, pixels),
        specks=specks,
        speck_area_m2=pixels.area_m2(speck_pixels),
        scraps=scraps,
        scrap_area_m2=pixels.area_m2(scrap_pixels),
        slit_area_m2=drawn.area - wide.area,
        straightening_area_m2=(drawn.area - exact.area) + (straight.area - wide.area),
        corners_traced=_corner_count(exact),
        corners=_corner_count(straight),
    )


def zone_outlines(zone: Mask, pixels: Pixels) -> MultiPolygon:
    """The outlines of marked zones, thin ones kept, specks dropped, edges straightened [m].

    Parameters
    ----------
    zone
        True inside, shape (rows, columns), row 0 on top.
    pixels
        Where the pixels lie.

    Notes
    -----
    **Source**: ours, see docs/explanation/from-pixels-to-walls.md.
    """
    kept, _, _ = _without_scraps(zone, int(SPECK_M2 / pixels.size_m**2))
    exact = traced(kept, size_m=pixels.size_m)
    return _placed(straightened(exact, tolerance_m=_wall_tolerance_m(pixels)), pixels)


def traced(floor: Mask, *, size_m: float) -> MultiPolygon:
    """The exact outline of the True pixels, lower left corner of the picture at 0, 0 [m].

    Pixels that meet only at a corner are not joined. The area is the pixels' area to rounding.

    Parameters
    ----------
    floor
        Shape (rows, columns), row 0 on top.
    size_m
        Side of one pixel [m, > 0].

    Raises
    ------
    BadInput
        More corners than any building has.

    Notes
    -----
    **Source**: ours, see docs/explanation/from-pixels-to-walls.md.
    """
    upright = np.flipud(floor)
    edges = _boundary_edges(upright)
    if len(edges) > MOST_CORNERS:
        raise BadInput(
            "The walls in the picture have {corners} corners, more than any building; "
            "use a clean black-and-white drawing without shading, grain or text.",
            corners=len(edges),
        )
    faces = shapely.get_parts(shapely.polygonize(shapely.linestrings(edges)))
    inside = shapely.get_coordinates(shapely.point_on_surface(faces)).astype(int)
    wanted = faces[upright[inside[:, 1], inside[:, 0]]]
    return MultiPolygon(list(shapely.transform(wanted, lambda corners: corners * size_m)))


def without_slits(floor: MultiPolygon, *, narrowest_m: float) -> MultiPolygon:
    """The floor without the parts narrower than `narrowest_m` [m]; right-angled corners stay as they are.

    Parameters
    ----------
    floor
        Valid polygons [m].
    narrowest_m
        The narrowest floor that is kept [m, > 0].

    Notes
    -----
    **Source**: morphological opening, J. Serra, Image Analysis and Mathematical Morphology, 1982, ch. II (from memory);
    with mitred corners.
    """
    half_m = narrowest_m / 2
    wide = floor.buffer(-half_m, join_style="mitre", mitre_limit=2).buffer(half_m, join_style="mitre", mitre_limit=2)
    return MultiPolygon([part for part in _polygons(wide) if part.area >= SMALLEST_FLOOR_M2])


def _slit_m(pixels: Pixels) -> float:
    """Between the last whole number of pixels that is narrower than `NARROWEST_M` and the next [m].

    A slit of just that width would be floor or not by a millimetre of how its walls were straightened, and so
    differ between a picture and its mirror image.
    """
    return (math.ceil(NARROWEST_M / pixels.size_m - 1e-9) - 0.5) * pixels.size_m


def _wall_tolerance_m(pixels: Pixels) -> float:
    """A wall that is one pixel off must still count as straight."""
    return max(WALL_TOLERANCE_M, 1.5 * pixels.size_m)


def _no_floor() -> BadInput:
    return BadInput(
        "No piece of floor in the picture is as large as {least_m2}. "
        "Check the scale, and that floor is light and walls are dark.",
        least_m2=SMALLEST_FLOOR_M2,
    )


def _boundary_edges(floor: Mask) -> npt.NDArray[np.float64]:
    """Every straight stretch of boundary between True and False, shape (n, 2, 2), in pixels."""
    padded = np.pad(floor, 1)
    lower_left, lower_right = padded[:-1, :-1], padded[:-1, 1:]
    upper_left, upper_right = padded[1:, :-1], padded[1:, 1:]
    below, above = lower_left ^ lower_right, upper_left ^ upper_right
    left, right = lower_left ^ upper_left, lower_right ^ upper_right
    corner = (below | above) & (left | right)
    # Along a row (a column) of pixel corners, stretches start and end in turn, so that sorted starts and ends pair up.
    along_rows = (np.argwhere(corner & right)[:, ::-1], np.argwhere(corner & left)[:, ::-1])
    along_columns = (np.argwhere((corner & above).T), np.argwhere((corner & below).T))
    stretches = [np.stack(ends, axis=1) for ends in (along_rows, along_columns)]
    return np.concatenate(stretches).astype(np.float64)


def _without_specks(floor: Mask, most_pixels: int) -> tuple[Mask, int, int]:
    """The floor with every wall piece of at most that many pixels filled; pieces at the picture's border stay."""
    labels, count = ndimage.label(~floor, structure=_EIGHT_NEIGHBOURS)
    sizes = np.bincount(labels.ravel(), minlength=count + 1)
    small = sizes < max(most_pixels, 1)
    small[0] = False
    border = np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])
    small[border] = False
    return floor | small[labels], int(small.sum()), int(sizes[small].sum())


def _without_scraps(floor: Mask, least_pixels: int) -> tuple[Mask, int, int]:
    """The floor without its pieces of fewer than that many pixels."""
    labels, count = ndimage.label(floor)
    sizes = np.bincount(labels.ravel(), minlength=count + 1)
    small = sizes < max(least_pixels, 1)
    small[0] = False
    return floor & ~small[labels], int(small.sum()), int(sizes[small].sum())


def _placed(outline: MultiPolygon, pixels: Pixels) -> MultiPolygon:
    cosine, sine = math.cos(pixels.yaw_rad), math.sin(pixels.yaw_rad)
    turn = np.array([[cosine, sine], [-sine, cosine]])
    offset = np.array([pixels.origin_x_m, pixels.origin_y_m])
    return shapely.transform(outline, lambda corners: corners @ turn + offset)


def _polygons(shape: shapely.Geometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]


def _corner_count(outline: MultiPolygon) -> int:
    rings = shapely.get_rings(shapely.get_parts(outline))
    return int(shapely.get_num_coordinates(rings).sum()) - len(rings)
