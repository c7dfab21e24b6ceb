"""Made-up buildings to measure the planner on: a store, a warehouse, a school, a free form and random floors.

Each takes a seeded generator and gives a valid `FloorPlan` in metres; the same seed gives the same building.
Sizes follow common practice in such buildings; none is a copy of a real one.
"""

import math

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon, affinity, box, unary_union

from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, ServicePoint, Use

WATER = frozenset({Use.DRAIN, Use.TAP})

GONDOLA_DEPTH_M = 1.45
GONDOLA_LENGTH_M = 20.0
RACK_DEPTH_M = 2.6
RACK_LENGTH_M = 24.3
RACK_AISLE_M = 3.2
INNER_WALL_M = 0.15
FROM_WALL_M = 0.8


def store(rng: np.random.Generator) -> FloorPlan:
    """A self-service store of 10,000 m2: 125 x 80 m, 3 rows of 20 shelf islands of 20 x 1.45 m, about 8,260 m2 free."""
    return _shelf_hall(rng, name="store", length_m=125.0, width_m=80.0, rows=3, islands=20)


def store_of(rng: np.random.Generator, *, area_m2: float) -> FloorPlan:
    """A store of the same make at another size, for measuring growth [1,000 to 100,000 m2]."""
    length_m = round(math.sqrt(area_m2 * 125 / 80), 1)
    width_m = round(area_m2 / length_m, 2)
    rows = max(1, round(width_m / 26.7))
    islands = max(2, round(length_m / 6.25))
    return _shelf_hall(
        rng, name=f"store of {area_m2:,.0f} m2", length_m=length_m, width_m=width_m, rows=rows, islands=islands
    )


def _shelf_hall(
    rng: np.random.Generator, *, name: str, length_m: float, width_m: float, rows: int, islands: int
) -> FloorPlan:
    """Rows of islands; aisles vary within a store (0.7 to 1.3 of the mean), one in seven is a main aisle."""
    shares = rng.uniform(0.7, 1.3, islands + 1)
    shares[3::7] *= 1.6
    aisles_m = _shares_of(length_m - islands * GONDOLA_DEPTH_M, shares)
    crossings = rng.uniform(0.8, 1.2, rows + 1)
    crossings[0] *= 2.0
    island_length_m = min(GONDOLA_LENGTH_M, (width_m - 3.0 * (rows + 1)) / rows)
    crossings_m = _shares_of(width_m - rows * island_length_m, crossings)
    obstacles = []
    for row in range(rows):
        low_m = float(np.sum(crossings_m[: row + 1])) + row * island_length_m
        for island in range(islands):
            left_m = float(np.sum(aisles_m[: island + 1])) + island * GONDOLA_DEPTH_M
            shelf = box(left_m, low_m, left_m + GONDOLA_DEPTH_M, low_m + island_length_m)
            obstacles.append(NamedOutline(name=f"island {row + 1}-{island + 1}", outline=shelf))
    return FloorPlan(
        name=name,
        outline=MultiPolygon([box(0.0, 0.0, length_m, width_m)]),
        obstacles=tuple(obstacles),
        service_points=(
            ServicePoint(name="cleaning closet", x_m=FROM_WALL_M, y_m=round(width_m * 0.9, 2), uses=WATER),
        ),
        parking=Place(name="parking place", x_m=FROM_WALL_M, y_m=round(width_m * 0.9, 2) - 3.0),
    )


def _shares_of(whole_m: float, shares: NDArray[np.float64]) -> NDArray[np.float64]:
    """Lengths to the centimetre, in proportion to `shares`, that together make up the whole."""
    lengths: NDArray[np.float64] = np.round(whole_m * shares / shares.sum(), 2)
    lengths[0] += whole_m - lengths.sum()
    return lengths


def warehouse(rng: np.random.Generator) -> FloorPlan:
    """A warehouse of 30,000 m2: 200 x 150 m, 4 rows of 33 double pallet racks, 3.20 m aisles, docks along the south."""
    length_m, width_m, rows, racks = 200.0, 150.0, 4, 33
    side_m = (length_m - racks * RACK_DEPTH_M - (racks - 1) * RACK_AISLE_M) / 2
    crossings_m = _shares_of(
        width_m - rows * RACK_LENGTH_M, np.array([26.0, 5.0, 6.0, 5.0, 10.0]) * rng.uniform(0.9, 1.1, 5)
    )
    obstacles = []
    for row in range(rows):
        low_m = float(np.sum(crossings_m[: row + 1])) + row * RACK_LENGTH_M
        for rack in range(racks):
            left_m = side_m + rack * (RACK_DEPTH_M + RACK_AISLE_M)
            outline = box(left_m, low_m, left_m + RACK_DEPTH_M, low_m + RACK_LENGTH_M)
            obstacles.append(NamedOutline(name=f"rack {row + 1}-{rack + 1}", outline=outline))
    return FloorPlan(
        name="warehouse",
        outline=MultiPolygon([box(0.0, 0.0, length_m, width_m)]),
        obstacles=tuple(obstacles),
        service_points=(ServicePoint(name="battery room", x_m=FROM_WALL_M, y_m=12.0, uses=WATER | {Use.SOCKET}),),
        parking=Place(name="parking place", x_m=FROM_WALL_M, y_m=15.0),
    )


def school(rng: np.random.Generator) -> FloorPlan:
    """An L-shaped school of about 2,040 m2: corridor 2.8 m, class rooms on both sides, every fifth door 0.90 m.

    The other doors are 1.2 to 1.8 m. Rooms behind the narrow doors are out of reach of a body of 0.90 m
    with 0.05 m to spare on each side.
    """
    corridor_m, depth_m = 2.8, 7.25
    wing_m = 2 * depth_m + corridor_m + 2 * INNER_WALL_M
    corridor = unary_union(
        [
            box(0.0, depth_m + INNER_WALL_M, 68.0, depth_m + INNER_WALL_M + corridor_m),
            box(depth_m + INNER_WALL_M, depth_m + INNER_WALL_M, depth_m + INNER_WALL_M + corridor_m, 67.0),
        ]
    )
    south = _rooms_along(rng, start_m=0.0, end_m=68.0)
    north = _rooms_along(rng, start_m=wing_m + INNER_WALL_M, end_m=68.0)
    west = _rooms_along(rng, start_m=depth_m + 2 * INNER_WALL_M + corridor_m, end_m=67.0)
    east = _rooms_along(rng, start_m=wing_m + INNER_WALL_M, end_m=67.0)
    far_m = depth_m + 2 * INNER_WALL_M + corridor_m
    rooms = [box(a, 0.0, b, depth_m) for a, b in south]
    rooms += [box(a, far_m, b, far_m + depth_m) for a, b in north]
    rooms += [box(0.0, a, depth_m, b) for a, b in west]
    rooms += [box(far_m, a, far_m + depth_m, b) for a, b in east]
    # The block in the inner corner of the L has its wall and door towards the corridor of the long wing.
    rooms.append(box(far_m, far_m, wing_m, wing_m))
    doors = []
    for number, room in enumerate(rooms):
        width_m = 0.90 if number % 5 == 2 else round(float(rng.uniform(1.2, 1.8)), 2)
        doors.append(_door(room, corridor, width_m=width_m, share=float(rng.uniform(0.3, 0.7))))
    hall = unary_union([corridor, *doors])
    outline = unary_union([hall, *rooms])
    areas = [Area(name="corridor", outline=hall, surface="terrazzo")]
    areas += [Area(name=f"room {number}", outline=room, surface="vinyl") for number, room in enumerate(rooms, start=1)]
    return FloorPlan(
        name="school",
        outline=_multi(outline),
        areas=tuple(areas),
        service_points=(ServicePoint(name="cleaning closet", x_m=FROM_WALL_M, y_m=8.8, uses=WATER),),
        parking=Place(name="parking place", x_m=2.5, y_m=8.8),
    )


def _rooms_along(rng: np.random.Generator, *, start_m: float, end_m: float) -> list[tuple[float, float]]:
    """Where rooms of about 9 m begin and end along a wing, walls of 0.15 m between them."""
    count = max(1, round((end_m - start_m) / 9.4))
    lengths_m = _shares_of(end_m - start_m - (count - 1) * INNER_WALL_M, rng.uniform(0.7, 1.3, count))
    starts_m = start_m + np.concatenate([[0.0], np.cumsum(lengths_m[:-1] + INNER_WALL_M)])
    return [(float(a), float(a + length)) for a, length in zip(starts_m, lengths_m, strict=True)]


def _door(room: Polygon, corridor: Polygon, *, width_m: float, share: float) -> Polygon:
    """The opening of that width through the wall between a room and the corridor."""
    x0, y0, x1, y1 = room.bounds
    along_x_m = x0 + width_m / 2 + 0.2 + share * (x1 - x0 - width_m - 0.4)
    along_y_m = y0 + width_m / 2 + 0.2 + share * (y1 - y0 - width_m - 0.4)
    half_m, wall_m = width_m / 2, INNER_WALL_M
    openings = (
        box(along_x_m - half_m, y1, along_x_m + half_m, y1 + wall_m),
        box(along_x_m - half_m, y0 - wall_m, along_x_m + half_m, y0),
        box(x1, along_y_m - half_m, x1 + wall_m, along_y_m + half_m),
        box(x0 - wall_m, along_y_m - half_m, x0, along_y_m + half_m),
    )
    touching = [opening.intersection(corridor).length for opening in openings]
    return openings[int(np.argmax(touching))]


def free_form(rng: np.random.Generator) -> FloorPlan:
    """An exhibition hall of about 2,930 m2 with slanted walls, one round end and 20 columns."""
    corners = np.array([(0.0, 6.0), (18.0, 0.0), (47.0, 1.5), (66.0, 11.0)])
    corners = corners + rng.uniform(-0.8, 0.8, corners.shape)
    angles_rad = np.linspace(-0.35, 1.9, 24)
    arc = np.column_stack([52.0 + 19.0 * np.cos(angles_rad), 26.0 + 19.0 * np.sin(angles_rad)])
    back = np.array([(30.0, 43.0), (24.0, 52.0), (9.0, 49.0), (3.0, 33.0)]) + rng.uniform(-0.8, 0.8, (4, 2))
    outline = Polygon(np.vstack([corners, arc, back]))
    outline = affinity.scale(outline, *([math.sqrt(2934.0 / outline.area)] * 2), origin=(0.0, 0.0))
    room = outline.buffer(-3.0)
    columns: list[Polygon] = []
    for x_m in np.arange(7.0, 80.0, 9.6):
        for y_m in np.arange(7.0, 60.0, 9.6):
            centre = Point(x_m + rng.uniform(-0.5, 0.5), y_m + rng.uniform(-0.5, 0.5))
            if room.contains(centre) and len(columns) < 20:
                columns.append(_column(centre, rng))
    while len(columns) < 20:
        x0, y0, x1, y1 = room.bounds
        centre = Point(rng.uniform(x0, x1), rng.uniform(y0, y1))
        if room.contains(centre) and min(column.distance(centre) for column in columns) > 3.5:
            columns.append(_column(centre, rng))
    drain = _beside_wall(outline, share=0.93)
    return FloorPlan(
        name="free form",
        outline=MultiPolygon([outline]),
        obstacles=tuple(NamedOutline(name=f"column {n}", outline=each) for n, each in enumerate(columns, start=1)),
        service_points=(ServicePoint(name="plant room", x_m=drain[0], y_m=drain[1], uses=WATER),),
        parking=Place(name="parking place", x_m=drain[0] + 2.0, y_m=drain[1] + 1.5),
    )


def _column(centre: Point, rng: np.random.Generator) -> Polygon:
    """A column of about 1.35 m2: round, or square and turned."""
    if rng.random() < 0.5:
        return centre.buffer(0.655, quad_segs=6)
    square = box(centre.x - 0.58, centre.y - 0.58, centre.x + 0.58, centre.y + 0.58)
    return affinity.rotate(square, float(rng.uniform(0.0, 90.0)))


def _beside_wall(outline: Polygon, *, share: float, from_wall_m: float = FROM_WALL_M) -> tuple[float, float]:
    """A point beside the wall, `share` of the way round it, to the centimetre."""
    inside = outline.buffer(-from_wall_m, join_style="mitre")
    ring = max(_multi(inside).geoms, key=lambda part: part.area).exterior
    point = ring.interpolate(share, normalized=True)
    return round(point.x, 2), round(point.y, 2)


def _multi(shape: Polygon | MultiPolygon) -> MultiPolygon:
    return shape if isinstance(shape, MultiPolygon) else MultiPolygon([shape])


def random_plan(rng: np.random.Generator) -> FloorPlan:
    """A small floor as chance has it: a turned outline of one of four makes and 0 to 25 turned boxes and columns.

    Between 90 and 700 m2; obstacles may touch each other or a wall, and may cut a corner off, as in life.
    The drain, tap and parking place stand where a machine of up to 1.2 m width can stand.
    """
    outline = _random_outline(rng)
    turn_deg = float(rng.uniform(0.0, 90.0))
    outline = affinity.rotate(outline, turn_deg, origin=(0.0, 0.0))
    drain = _beside_wall(outline, share=float(rng.random()), from_wall_m=1.0)
    parking = _beside_wall(outline, share=float(rng.random()), from_wall_m=1.0)
    keep_clear = unary_union([Point(drain).buffer(2.0), Point(parking).buffer(2.0)])
    x0, y0, x1, y1 = outline.bounds
    obstacles: list[Polygon] = []
    for _ in range(int(rng.integers(0, 26))):
        size_m = (float(rng.uniform(0.3, 6.0)), float(rng.uniform(0.3, 1.8)))
        centre = (float(rng.uniform(x0, x1)), float(rng.uniform(y0, y1)))
        # Most furniture follows the walls; some stands askew.
        askew_deg = 0.0 if rng.random() < 0.6 else float(rng.uniform(0.0, 90.0))
        shape = box(-size_m[0] / 2, -size_m[1] / 2, size_m[0] / 2, size_m[1] / 2)
        if rng.random() < 0.25:
            shape = Point(0.0, 0.0).buffer(size_m[1] / 2, quad_segs=4)
        shape = affinity.rotate(shape, turn_deg + askew_deg + 90.0 * float(rng.integers(0, 2)), origin=(0.0, 0.0))
        shape = affinity.translate(shape, *centre)
        if not shape.intersects(keep_clear) and shape.intersects(outline):
            obstacles.append(shape)
    while obstacles and not _joined(outline, obstacles, drain, parking):
        obstacles.pop()
    return FloorPlan(
        name="random floor",
        outline=MultiPolygon([outline]),
        obstacles=tuple(NamedOutline(name=f"thing {n}", outline=each) for n, each in enumerate(obstacles, start=1)),
        service_points=(ServicePoint(name="closet", x_m=drain[0], y_m=drain[1], uses=WATER),),
        parking=Place(name="parking place", x_m=parking[0], y_m=parking[1]),
    )


def _joined(outline: Polygon, obstacles: list[Polygon], start: tuple[float, float], goal: tuple[float, float]) -> bool:
    """Whether a machine of a metre in width gets from place to place."""
    room = outline.difference(unary_union(obstacles)).buffer(-0.52)
    parts = [part for part in _multi(room).geoms if part.distance(Point(start)) < 1.0]
    return any(part.distance(Point(goal)) < 1.0 for part in parts)


def _random_outline(rng: np.random.Generator) -> Polygon:
    """A rectangle, one with a corner cut off, an L, or a convex polygon of 5 to 9 corners."""
    length_m, width_m = float(rng.uniform(12.0, 34.0)), float(rng.uniform(8.0, 21.0))
    make = int(rng.integers(0, 4))
    if make == 0:
        return box(0.0, 0.0, length_m, width_m)
    cut_x_m, cut_y_m = length_m * float(rng.uniform(0.2, 0.5)), width_m * float(rng.uniform(0.2, 0.5))
    if make == 1:
        corners = [(0, 0), (length_m, 0), (length_m, width_m - cut_y_m), (length_m - cut_x_m, width_m), (0, width_m)]
        return Polygon(corners)
    if make == 2:
        return box(0.0, 0.0, length_m, width_m).difference(
            box(length_m - cut_x_m, width_m - cut_y_m, length_m, width_m)
        )
    turns_rad = np.sort(rng.uniform(0.0, 2 * math.pi, int(rng.integers(5, 10))))
    around = [(length_m / 2 * math.cos(turn), width_m / 2 * math.sin(turn)) for turn in turns_rad]
    hull = Polygon(around).convex_hull
    return hull if isinstance(hull, Polygon) and hull.buffer(-2.0).area > 60 else box(0.0, 0.0, length_m, width_m)
