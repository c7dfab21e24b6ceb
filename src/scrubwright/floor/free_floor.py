"""Where the machine may be and what its deck can reach."""

from dataclasses import dataclass

import shapely
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.place_names import name_of_piece
from scrubwright.floor.site import FloorPlan, NamedOutline
from scrubwright.floor.vehicle import Vehicle
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence

SMALLEST_PIECE_M2 = 0.5
FURTHEST_FROM_WAY_M = 3.0
MITRE_LIMIT = 2.0
HOSE_M = 1.5
IN_WALL_M = 0.35
LEAST_WAY_M = 0.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unreached:
    """A piece of floor that the machine cannot come to, and why."""

    name: str
    outline: MultiPolygon
    reason: Sentence


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FreeFloor:
    """What the stages after this one work on [m].

    Parameters
    ----------
    free
        Floor between the walls less obstacles, no-go zones and forbidden ramps.
    centre
        Where the deck's centre may be: one connected piece.
    reachable
        What the deck can cover from there.
    unreached
        Pieces of `free` that the machine cannot come to.
    """

    free: MultiPolygon
    centre: Polygon
    reachable: MultiPolygon
    unreached: tuple[Unreached, ...]


def as_multipolygon(shape: BaseGeometry, least_m2: float = 0.0) -> MultiPolygon:
    """The polygons of any shape, those under `least_m2` [m2, >= 0] left out."""
    parts = shapely.get_parts(shapely.get_parts(shape))
    kept = MultiPolygon([part for part in parts if part.geom_type == "Polygon" and part.area > least_m2])
    if kept.is_valid:
        return kept
    # Parts that meet along a hair's breadth: mend them, and take the polygons of what comes out.
    mended = shapely.get_parts(shapely.get_parts(shapely.make_valid(kept)))
    return MultiPolygon([part for part in mended if part.geom_type == "Polygon" and part.area > least_m2])


def _offset(shape: BaseGeometry, distance_m: float) -> BaseGeometry:
    return shapely.buffer(shape, distance_m, join_style="mitre", mitre_limit=MITRE_LIMIT)


def free_shape(plan: FloorPlan, closed: tuple[NamedOutline, ...]) -> MultiPolygon:
    """Floor less everything solid, no-go zones and `closed` outlines."""
    solid = [each.outline for each in (*plan.obstacles, *plan.no_go, *closed)]
    shape = plan.outline if not solid else shapely.difference(plan.outline, shapely.union_all(solid))
    return as_multipolygon(shapely.make_valid(shape), least_m2=0.01)


def free_floor(
    plan: FloorPlan, vehicle: Vehicle, starts_m: tuple[tuple[float, float], ...], closed: tuple[NamedOutline, ...] = ()
) -> FreeFloor:
    """The floor that this machine can come to from the places where a shift starts.

    The floor is offset inwards by half the machine's width plus the driver's clearance; of what is
    left, the piece that holds the first of `starts_m` counts.

    Parameters
    ----------
    plan, vehicle
        The floor and the machine.
    starts_m
        Parking place and service points [m], the one that matters most first; at least one.
    closed
        Outlines that this machine may not enter, such as ramps past its limit.

    Returns
    -------
    FreeFloor

    Raises
    ------
    BadInput
        Nothing is left for a machine of this width, or no start lies near what is left.

    Notes
    -----
    **Source** configuration space by offsetting, T. Lozano-Perez, Spatial planning: a configuration
    space approach, IEEE Trans. Computers C-32(2), 1983, doi:10.1109/TC.1983.1676196. A disc of the
    half gauge stands for the machine: see docs/explanation/free-floor.md.
    """
    free = free_shape(plan, closed)
    pieces = as_multipolygon(_offset(free, -vehicle.half_gauge_m), least_m2=0.0)
    gauge_m = 2 * vehicle.half_gauge_m
    if pieces.is_empty:
        raise BadInput(
            "No part of floor {floor} is wide enough: this machine needs {gauge_m}. Check the drawing's scale, "
            "or take a narrower machine.",
            floor=plan.name,
            gauge_m=gauge_m,
        )
    start = Point(starts_m[0])
    centre = min(pieces.geoms, key=lambda piece: (round(piece.distance(start), 6), -piece.area))
    if centre.distance(start) > vehicle.half_gauge_m + FURTHEST_FROM_WAY_M:
        raise BadInput(
            "The start at {x_m}, {y_m} is {away_m} from any floor where this machine fits. Move it beside its way.",
            x_m=start.x,
            y_m=start.y,
            away_m=centre.distance(start),
        )
    reachable = as_multipolygon(
        shapely.intersection(shapely.buffer(centre, vehicle.deck_width_m / 2, quad_segs=4), free)
    )
    unreached = _unreached(plan, free, centre, vehicle)
    return FreeFloor(free=free, centre=centre, reachable=reachable, unreached=unreached)


def comes_to(floor: FreeFloor, vehicle: Vehicle, place_m: tuple[float, float]) -> bool:
    """Whether the machine comes close enough to a place for a hose or a driver on foot, with no wall between.

    Parameters
    ----------
    floor, vehicle
        The machine's floor, and the machine.
    place_m
        The place [m]; it may stand on the wall itself.

    **Source** ours: hoses of a metre and a half are usual (common practice).
    """
    around = shapely.buffer(floor.centre, vehicle.half_gauge_m + HOSE_M, quad_segs=4)
    near = as_multipolygon(shapely.intersection(around, floor.free))
    at = Point(place_m)
    return any(part.intersects(floor.centre) and part.distance(at) <= IN_WALL_M for part in near.geoms)


def _unreached(plan: FloorPlan, free: MultiPolygon, centre: Polygon, vehicle: Vehicle) -> tuple[Unreached, ...]:
    gauge_m = 2 * vehicle.half_gauge_m
    around = _offset(centre, vehicle.half_gauge_m + 0.02)
    left = as_multipolygon(shapely.difference(free, around))
    # Opening by a hand's width drops the slivers along walls that every offset leaves.
    pieces = [piece for piece in left.geoms if _offset(piece, -0.1).area > SMALLEST_PIECE_M2]
    found = []
    for piece in sorted(pieces, key=lambda each: -each.area):
        way_m = _widest_way_m(piece, free, centre, gauge_m)
        found.append(
            Unreached(
                name=name_of_piece(plan, piece),
                outline=MultiPolygon([piece]),
                reason=Sentence("No way in: this machine needs {gauge_m}.", gauge_m=gauge_m)
                if way_m is None
                else Sentence(
                    "The way in is about {way_m} wide; this machine needs {gauge_m}.", way_m=way_m, gauge_m=gauge_m
                ),
            )
        )
    return tuple(found)


def _widest_way_m(piece: Polygon, free: MultiPolygon, centre: Polygon, gauge_m: float) -> float | None:
    """The widest gauge that still gets from `centre` into `piece`, to two centimetres [m]; None if none does."""
    inside = centre.representative_point()

    def comes_in(width_m: float) -> bool:
        parts = as_multipolygon(_offset(free, -width_m / 2)).geoms
        whole = next((part for part in parts if part.intersects(inside)), None)
        return whole is not None and shapely.intersection(whole, piece).area > 0.05

    low_m, high_m = LEAST_WAY_M, gauge_m
    if not comes_in(low_m):
        return None
    while high_m - low_m > 0.02:
        middle_m = (low_m + high_m) / 2
        low_m, high_m = (middle_m, high_m) if comes_in(middle_m) else (low_m, middle_m)
    return low_m
