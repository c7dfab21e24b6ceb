"""Where a storey's floor is, from what is drawn of rooms, walls and doors."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import Piece, Role
from scrubwright.paperwork.mending import (
    Linework,
    fewer_corners,
    joined,
    lines_of,
    linework,
    on_grid,
    polygons_of,
    solid,
    without_slivers,
)

THICKEST_WALL_M = 0.55
LARGEST_COLUMN_M2 = 4.0
WIDEST_DOORWAY_M = 2.5
LONE_WALL_M = 0.04
DOOR_DEPTH_M = 0.4
_LEAST_DOOR_M = 0.3
_LEAF_M = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """The floor between the walls; empty where the drawing shows none.

    Parameters
    ----------
    rooms
        The parts that the floor falls into where doors are shut.
    """

    outline: MultiPolygon
    rooms: tuple[Polygon, ...]
    warnings: tuple[Sentence, ...]


def ground(pieces: Sequence[Piece], tolerance_m: float) -> Ground:
    """The floor of a storey: rooms, or what the walls enclose, less the walls, plus the doorways.

    Raises
    ------
    BadInput
        A piece, or the whole, has too many corners.
    """
    warnings: list[Sentence] = []
    rooms, walls, doors = (_solids(pieces, role, tolerance_m, warnings) for role in (Role.FLOOR, Role.WALL, Role.DOOR))
    room_lines, wall_lines, door_lines = (_lines(pieces, role) for role in (Role.FLOOR, Role.WALL, Role.DOOR))
    if room_lines:
        rooms = joined([rooms, *_meshed(room_lines, warnings).faces])
    open_faces: list[Polygon] = []
    if wall_lines:
        mesh = _meshed([*wall_lines, *door_lines], warnings)
        wall_faces, open_faces = _walls_and_floors(mesh.faces, door_lines)
        walls = joined([walls, *wall_faces])
    if rooms.is_empty:
        rooms = joined(open_faces)
    if rooms.is_empty and not walls.is_empty:
        rooms = _enclosed(joined([walls, doors]), warnings)
    lone = _lone_walls(wall_lines, door_lines, rooms)
    floor = joined([shapely.difference(rooms, shapely.union_all([walls, lone])), doors])
    floor = _with_doorways(floor, door_lines)
    whole, _ = without_slivers(on_grid(fewer_corners(floor, tolerance_m)))
    return Ground(outline=whole, rooms=_rooms(whole, doors, door_lines), warnings=tuple(warnings))


def _solids(pieces: Sequence[Piece], role: Role, tolerance_m: float, warnings: list[Sentence]) -> MultiPolygon:
    mended = []
    for piece in pieces:
        if piece.role is role and polygons_of(piece.shape):
            shape, said = solid(piece, tolerance_m)
            mended.append(shape)
            warnings += said
    return joined(mended)


def _lines(pieces: Sequence[Piece], role: Role) -> list[LineString]:
    return [line for piece in pieces if piece.role is role for line in lines_of(piece.shape)]


def _meshed(lines: Sequence[LineString], warnings: list[Sentence]) -> Linework:
    mesh = linework(lines)
    if len(mesh.gaps_m):
        warnings.append(
            Sentence(
                "Lines that missed each other by up to {widest_m} were joined in {count} places.",
                widest_m=float(mesh.gaps_m.max()),
                count=len(mesh.gaps_m),
            )
        )
    return mesh


def _walls_and_floors(
    faces: Sequence[Polygon], door_lines: Sequence[LineString]
) -> tuple[list[BaseGeometry], list[Polygon]]:
    """Faces that are the inside of walls or columns, and faces that are floor.

    A face in which no circle of 0.55 m fits is a wall, unless a line across a doorway bounds it. Faces
    that fill a hole of up to 4 m2 in the floor are a column.
    """
    doors = shapely.union_all(np.array(door_lines, dtype=object)) if door_lines else LineString()
    near_doors = doors.buffer(0.01)
    walls: list[BaseGeometry] = []
    floors: list[Polygon] = []
    for face in faces:
        thin = face.buffer(-THICKEST_WALL_M / 2, join_style="mitre").is_empty
        at_door = thin and face.boundary.intersection(near_doors).length > _LEAST_DOOR_M
        (floors if at_door or not thin else walls).append(face)
    holes = [Polygon(ring) for face in floors for ring in face.interiors]
    columns = [hole for hole in holes if hole.area <= LARGEST_COLUMN_M2]
    if not columns:
        return walls, floors
    inside = set(STRtree(columns).query(floors, predicate="covered_by")[0].tolist())
    return [*walls, *columns], [face for number, face in enumerate(floors) if number not in inside]


def _rooms(floor: MultiPolygon, doors: MultiPolygon, door_lines: Sequence[LineString]) -> tuple[Polygon, ...]:
    """The parts of the floor between its doors, each with the sectors that door leaves swing over in it."""
    leaves = shapely.union_all(np.array(door_lines, dtype=object)) if door_lines else LineString()
    shut = shapely.union_all([doors, leaves.buffer(_LEAF_M / 2, cap_style="square")])
    parts = polygons_of(shapely.difference(floor, shut))
    near_doors = leaves.buffer(_LEAF_M)
    shapely.prepare(near_doors)
    swings = [part for part in parts if near_doors.covers(part.exterior)]
    rooms = [part for part in parts if not near_doors.covers(part.exterior)]
    if not swings or not rooms:
        return tuple(parts)
    added: dict[int, list[BaseGeometry]] = {}
    tree = STRtree(rooms)
    for swing in swings:
        over = swing.buffer(_LEAF_M, join_style="mitre")
        # The arc and the leaf together are longer than the doorway between them.
        shared_m = {room: rooms[room].exterior.intersection(over).length for room in tree.query(over).tolist()}
        if shared_m:
            added.setdefault(max(shared_m, key=lambda room: shared_m[room]), []).append(over)
    return tuple(_joined_to(room, added.get(number, [])) for number, room in enumerate(rooms))


def _joined_to(room: Polygon, swings: Sequence[BaseGeometry]) -> Polygon:
    return max(joined([room, *swings]).geoms, key=lambda part: part.area) if swings else room


def _enclosed(walls: MultiPolygon, warnings: list[Sentence]) -> MultiPolygon:
    """What solid walls go round: closed all the way, or else up to doorways of 2.5 m."""
    inside = joined(Polygon(ring) for part in walls.geoms for ring in part.interiors)
    if not inside.is_empty:
        return inside
    reach_m = WIDEST_DOORWAY_M / 2
    thick = walls.buffer(reach_m, join_style="mitre")
    holes = [Polygon(ring) for part in polygons_of(thick) for ring in part.interiors]
    inside = joined(hole.buffer(reach_m, join_style="mitre") for hole in holes)
    if not inside.is_empty:
        warnings.append(
            Sentence(
                "The walls do not close; openings of up to {width_m} were taken as doorways.",
                width_m=WIDEST_DOORWAY_M,
            )
        )
    return inside


def _lone_walls(
    wall_lines: Sequence[LineString], door_lines: Sequence[LineString], rooms: MultiPolygon
) -> BaseGeometry:
    """Walls drawn as one line across the floor, as thin solids; without this they would vanish in it."""
    if not wall_lines or rooms.is_empty:
        return Polygon()
    drawn = shapely.union_all(np.array(wall_lines, dtype=object))
    across = drawn.intersection(rooms.buffer(-LONE_WALL_M / 2))
    if door_lines:
        doors = shapely.union_all(np.array(door_lines, dtype=object))
        across = across.difference(doors.buffer(LONE_WALL_M))
    return across.buffer(LONE_WALL_M / 2, cap_style="square")


def _with_doorways(floor: MultiPolygon, door_lines: Sequence[LineString]) -> MultiPolygon:
    """The floor with rooms joined where a straight door line lies between two of them."""
    if not door_lines or len(floor.geoms) < 2:
        return floor
    parts = np.array(floor.geoms, dtype=object)
    tree = STRtree(parts)
    doorways = []
    for line in door_lines:
        if len(line.coords) != 2 or line.length < _LEAST_DOOR_M:
            continue
        doorway = line.buffer(DOOR_DEPTH_M / 2, cap_style="flat")
        if len(tree.query(doorway, predicate="intersects")) > 1:
            doorways.append(doorway)
    return joined([floor, *doorways]) if doorways else floor
