"""From drawing units to metres near an origin, and whether the sizes make sense."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.site import FURTHEST_M
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import DrawingOptions, DrawingUnit, Piece, Role, Sketch, Storey

SMALLEST_SIDE_M = 3.0
LARGEST_SIDE_M = 2_000.0
FURTHEST_UNITS = 1e11
_LOOKED_AT = 2_000
_REFUSED = 3.5
_DOUBTFUL = 2.0
_FEWEST_AISLES = 3
_FOR_METRES = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Scaled:
    """A sketch in metres near its origin.

    `moved_m` was added to every scaled coordinate; `warnings` say by what the scale was found.
    """

    storeys: tuple[Storey, ...]
    unit_m: float
    moved_m: tuple[float, float]
    warnings: tuple[Sentence, ...]


def in_metres(sketch: Sketch, options: DrawingOptions) -> Scaled:
    """The sketch scaled to metres, far-off drawings moved near the origin by a whole number of units.

    Raises
    ------
    BadInput
        A coordinate that is no number, no pieces at all, or sizes that no building has in the unit given.
    """
    pieces = [piece for storey in sketch.storeys for piece in storey.pieces]
    _refuse_endless(pieces)
    sizes = _sizes([piece for piece in pieces if piece.role is not Role.IGNORE])
    unit_m, warnings = _unit(sketch, options, sizes)
    shift = _shift(sizes, unit_m)
    storeys, strays = [], []
    for storey in sketch.storeys:
        moved = [replace(piece, shape=_transformed(piece.shape, unit_m, shift)) for piece in storey.pieces]
        near = [piece for piece in moved if _is_near(piece.shape)]
        strays += [piece for piece in moved if not _is_near(piece.shape)]
        storeys.append(replace(_with_words(storey, unit_m, shift), pieces=tuple(near)))
    if strays:
        warnings.append(
            Sentence(
                "{count} pieces lie more than {limit_m} from the rest and were left out; the first is {what}.",
                count=len(strays),
                limit_m=FURTHEST_M,
                what=named(strays[0]),
            )
        )
    moved_m = (shift[0] * unit_m, shift[1] * unit_m)
    if shift != (0.0, 0.0):
        warnings.append(
            Sentence(
                "The drawing lies far from its origin; it was moved by {east_m} along x and {north_m} along y.",
                east_m=moved_m[0],
                north_m=moved_m[1],
            )
        )
    return Scaled(storeys=tuple(storeys), unit_m=unit_m, moved_m=moved_m, warnings=tuple(warnings))


def _with_words(storey: Storey, unit_m: float, shift: tuple[float, float]) -> Storey:
    """The storey with its named rooms, labels and arrows in metres; those that lie far off name nothing and go."""
    rooms = [replace(room, shape=_transformed(room.shape, unit_m, shift)) for room in storey.rooms]
    labels = [replace(label, upright=_transformed(label.upright, unit_m, shift)) for label in storey.labels]
    arrows = [_transformed(arrow, unit_m, shift) for arrow in storey.arrows]
    return replace(
        storey,
        rooms=tuple(room for room in rooms if _is_near(room.shape)),
        labels=tuple(label for label in labels if _is_near(label.upright)),
        arrows=tuple(arrow for arrow in arrows if _is_near(arrow)),
    )


def named(piece: Piece) -> Sentence:
    """What a person finds a piece by: its name or role, and where it stands in the file."""
    if piece.where:
        return Sentence("{name} ({where})", name=piece.name or piece.role, where=piece.where)
    return Sentence("{name}", name=piece.name or piece.role)


def _refuse_endless(pieces: Sequence[Piece]) -> None:
    for piece in pieces:
        coordinates = shapely.get_coordinates(piece.shape)
        if not np.all(np.isfinite(coordinates)) or np.any(np.abs(coordinates) > FURTHEST_UNITS):
            raise BadInput(
                "{what} has a coordinate that is no number or lies beyond any building. Draw it again.",
                what=named(piece),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sizes:
    """What speaks of the scale, in drawing units; an empty array says nothing."""

    centre: tuple[float, float]
    larger_side: float
    smaller_side: float
    doors: NDArray[np.float64]
    walls: NDArray[np.float64]
    racks: NDArray[np.float64]
    aisles: NDArray[np.float64]


def _sizes(pieces: Sequence[Piece]) -> _Sizes:
    shapes = np.array([piece.shape for piece in pieces if not piece.shape.is_empty], dtype=object)
    if not len(shapes):
        raise BadInput("The drawing shows no floor, wall or obstacle. Name its layers or kinds, such as wall or floor.")
    bounds = shapely.bounds(shapes)
    middle = np.median(np.column_stack([bounds[:, [0, 2]].mean(axis=1), bounds[:, [1, 3]].mean(axis=1)]), axis=0)
    around = bounds[_belongs(bounds, middle)]
    spread = np.array([around[:, 2].max() - around[:, 0].min(), around[:, 3].max() - around[:, 1].min()])
    obstacles = [piece.shape for piece in pieces if piece.role is Role.OBSTACLE and isinstance(piece.shape, Polygon)]
    return _Sizes(
        centre=(float(middle[0]), float(middle[1])),
        larger_side=float(spread.max()),
        smaller_side=float(spread.min()),
        doors=_each(pieces, Role.DOOR, _longer_side),
        walls=_each(pieces, Role.WALL, _thickness),
        racks=_each(pieces, Role.OBSTACLE, _shorter_side),
        aisles=_gaps(obstacles[:_LOOKED_AT]),
    )


def _belongs(bounds: NDArray[np.float64], middle: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which pieces lie with the others; a stray one shall not make the building look large."""
    furthest = np.maximum(np.abs(bounds[:, :2] - middle), np.abs(bounds[:, 2:] - middle)).max(axis=1)
    return np.asarray(furthest <= 50 * np.quantile(furthest, 0.9))


def _each(pieces: Sequence[Piece], role: Role, size: Callable[[BaseGeometry], float]) -> NDArray[np.float64]:
    found = [size(piece.shape) for piece in pieces if piece.role is role][:_LOOKED_AT]
    return np.array([length for length in found if length > 0])


def _sides(shape: BaseGeometry) -> tuple[float, float]:
    box = shapely.oriented_envelope(shape)
    if not isinstance(box, Polygon):
        return 0.0, float(box.length)
    corners = shapely.get_coordinates(box)
    lengths = np.hypot(*np.diff(corners[:3], axis=0).T)
    return float(lengths.min()), float(lengths.max())


def _longer_side(shape: BaseGeometry) -> float:
    return _sides(shape)[1]


def _shorter_side(shape: BaseGeometry) -> float:
    return _sides(shape)[0] if isinstance(shape, Polygon) else 0.0


def _thickness(shape: BaseGeometry) -> float:
    """Of a long thin solid, near enough; of one with holes too, since both sides count."""
    return 2 * float(shape.area) / float(shape.length) if isinstance(shape, Polygon) and shape.length else 0.0


def _gaps(shapes: Sequence[Polygon]) -> NDArray[np.float64]:
    """From each obstacle to the nearest other that it does not touch."""
    if len(shapes) < _FEWEST_AISLES:
        return np.array([])
    array = np.array(shapes, dtype=object)
    _, gaps = STRtree(array).query_nearest(array, return_distance=True, exclusive=True, all_matches=False)
    apart = np.asarray(gaps, dtype=np.float64)
    touching = 0.02 * float(np.median([_shorter_side(shape) for shape in shapes]))
    return np.asarray(apart[apart > touching])


# Usual size [m], spread (standard deviation of the logarithm) and how much it may weigh: ours, from the
# drawings in tests/data/plans and common practice; see docs/explanation/cleaning-a-drawing.md. What stands
# on a floor comes in all sizes, so it never settles the unit alone.
_USUAL = (
    ("doors", 1.0, 0.35, 4.0),
    ("walls", 0.2, 0.5, 4.0),
    ("racks", 0.9, 0.7, 1.25),
    ("aisles", 2.2, 0.8, 1.25),
)
_USUAL_SIDE_M, _SPREAD_SIDE = 50.0, 1.2


def _doubt(sizes: _Sizes, unit_m: float) -> float:
    """How odd the sizes would be in a unit; 0 is usual. One or two doors weigh less than many."""
    doubt = (math.log(sizes.larger_side * unit_m / _USUAL_SIDE_M) / _SPREAD_SIDE) ** 2 / 2
    for name, usual_m, spread, weight in _USUAL:
        found = getattr(sizes, name)
        if len(found):
            odd = math.log(float(np.median(found)) * unit_m / usual_m) / spread
            doubt += min(weight, 1.0 + len(found), odd**2 / 2)
    return doubt


def _likely(sizes: _Sizes) -> DrawingUnit:
    """The unit in which the sizes are least odd, metres a little preferred."""
    return min(DrawingUnit, key=lambda unit: _doubt(sizes, unit.length_m) - _FOR_METRES * (unit is DrawingUnit.METRE))


def _unit(sketch: Sketch, options: DrawingOptions, sizes: _Sizes) -> tuple[float, list[Sentence]]:
    """One drawing unit [m], and what to say about how it was found."""
    if not sizes.larger_side > 0:
        raise BadInput("The drawing has no width; every point lies in one place. Draw it again.")
    if options.known_distance:
        unit_m = options.known_distance.unit_m
        if not SMALLEST_SIDE_M <= sizes.larger_side * unit_m <= LARGEST_SIDE_M:
            _refuse_size(sizes.larger_side * unit_m)
        return unit_m, _contradiction(sketch, unit_m)
    given_m = options.unit.length_m if options.unit else sketch.unit_m
    likely = _likely(sizes)
    if given_m is None:
        return _guessed(sizes, likely)
    if not SMALLEST_SIDE_M <= sizes.larger_side * given_m <= LARGEST_SIDE_M:
        _refuse_size(sizes.larger_side * given_m)
    odd = _doubt(sizes, given_m) - _doubt(sizes, likely.length_m)
    if odd > _REFUSED:
        raise BadInput(
            "As given, the plan is {side_m} by {other_m}{doors}; its sizes look like {unit}. "
            "Enter one known distance: two points of the drawing and the metres between them.",
            side_m=sizes.larger_side * given_m,
            other_m=sizes.smaller_side * given_m,
            doors=_doors(sizes, given_m),
            unit=_NAMES[likely],
        )
    if odd < _DOUBTFUL:
        return given_m, []
    said = Sentence(
        "The plan is {side_m} by {other_m}{doors}; it might be drawn in {unit} instead. Check one distance.",
        side_m=sizes.larger_side * given_m,
        other_m=sizes.smaller_side * given_m,
        doors=_doors(sizes, given_m),
        unit=_NAMES[likely],
    )
    return given_m, [said]


def _guessed(sizes: _Sizes, likely: DrawingUnit) -> tuple[float, list[Sentence]]:
    if not SMALLEST_SIDE_M <= sizes.larger_side * likely.length_m <= LARGEST_SIDE_M:
        _refuse_size(sizes.larger_side * likely.length_m)
    said = Sentence(
        "The file names no unit. By its sizes it is drawn in {unit}: {side_m} by {other_m}{doors}. "
        "Check one distance; if it is wrong, read again with that distance.",
        unit=_NAMES[likely],
        side_m=sizes.larger_side * likely.length_m,
        other_m=sizes.smaller_side * likely.length_m,
        doors=_doors(sizes, likely.length_m),
    )
    return likely.length_m, [said]


def _doors(sizes: _Sizes, unit_m: float) -> Sentence:
    if len(sizes.doors):
        return Sentence(", with doors of {door_m}", door_m=float(np.median(sizes.doors)) * unit_m)
    if len(sizes.walls):
        return Sentence(", with walls of {wall_m}", wall_m=float(np.median(sizes.walls)) * unit_m)
    if len(sizes.aisles):
        return Sentence(", with aisles of {aisle_m}", aisle_m=float(np.median(sizes.aisles)) * unit_m)
    return Sentence("")


_NAMES = {
    DrawingUnit.MILLIMETRE: Sentence("millimetres"),
    DrawingUnit.CENTIMETRE: Sentence("centimetres"),
    DrawingUnit.METRE: Sentence("metres"),
    DrawingUnit.INCH: Sentence("inches"),
    DrawingUnit.FOOT: Sentence("feet"),
}


def _refuse_size(side_m: float) -> None:
    raise BadInput(
        "The plan would be {side_m} long; a floor is {least_m} to {most_m} long. "
        "Enter one known distance: two points of the drawing and the metres between them.",
        side_m=side_m,
        least_m=SMALLEST_SIDE_M,
        most_m=LARGEST_SIDE_M,
    )


def _contradiction(sketch: Sketch, unit_m: float) -> list[Sentence]:
    if sketch.unit_m is None or abs(math.log(sketch.unit_m / unit_m)) < math.log(1.05):
        return []
    return [
        Sentence(
            "By your known distance the drawing is {ratio} times the size that the file says; yours was taken.",
            ratio=f"{unit_m / sketch.unit_m:.4g}",
        )
    ]


def _shift(sizes: _Sizes, unit_m: float) -> tuple[float, float]:
    """Whole drawing units to add, so that nothing is lost by it; zero where the drawing lies near its origin."""
    if max(map(abs, sizes.centre)) * unit_m + sizes.larger_side * unit_m <= FURTHEST_M:
        return 0.0, 0.0
    step = 10.0 ** math.ceil(math.log10(max(sizes.larger_side, 1.0)))
    across, up = (-math.floor((centre - sizes.larger_side / 2) / step) * step for centre in sizes.centre)
    return across, up


def _transformed(shape: BaseGeometry, unit_m: float, shift: tuple[float, float]) -> BaseGeometry:
    """First moved by whole units, then scaled; a scale of one leaves every coordinate as it is."""
    if unit_m == 1.0 and shift == (0.0, 0.0):
        return shapely.force_2d(shape)
    return shapely.transform(shapely.force_2d(shape), lambda points: (points + np.array(shift)) * unit_m)


def _is_near(shape: BaseGeometry) -> bool:
    return not shape.is_empty and bool(np.all(np.abs(shapely.bounds(shape)) <= FURTHEST_M))
