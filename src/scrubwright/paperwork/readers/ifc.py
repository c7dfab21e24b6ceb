"""Reads a building model (IFC): every storey with a slab, rooms or closed walls becomes a floor.

Walls are cut 1.0 m above the storey, windows counting as wall. What stands on the floor counts from
5 cm to 2.0 m, so that a table counts by its top. A door is an opening of its clear width.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import LONGEST_NAME, DrawingOptions, Piece, Role, Sketch, Storey
from scrubwright.paperwork.ifc_model import Level, Model, Thing, direction_rad, opened
from scrubwright.paperwork.mesh_cuts import Points, footprint, section, seen_from_above, upward

CUT_M = 1.0
LOWEST_M, HIGHEST_M = 0.05, 2.0
SAME_LEVEL_M = 0.35
THINNEST_WALL_M = 0.04
HINGED_LOSS_M = 0.06
WIDEST_GAP_M = 2.5
LEAST_SLOPE_FRACTION = 0.005

_WALLS = ("IfcWall", "IfcCurtainWall", "IfcPlate", "IfcMember", "IfcColumn", "IfcBuildingElementPart")
_STAIRS = ("IfcStair", "IfcStairFlight", "IfcRailing")
_STANDING = ("IfcFurnishingElement", "IfcFlowTerminal", "IfcTransportElement", "IfcBuildingElementProxy")
_RAMPS = ("IfcRamp", "IfcRampFlight")
_FLOOR_TYPES = {"FLOOR", "BASESLAB", "FLOORING", "NOTDEFINED", "USERDEFINED", None}
_SMALLEST_M2 = 0.02
_SMOOTH_M = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class _Doorway:
    """The ground that an opening clears, and the height of its sill [m]."""

    name: str
    where: str
    clear: Polygon
    low_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Parts:
    """Everything in the model that matters on some storey."""

    walls: tuple[Thing, ...]
    standing: tuple[Thing, ...]
    slabs: tuple[Thing, ...]
    rooms: tuple[Thing, ...]
    ramps: tuple[Thing, ...]
    doorways: tuple[_Doorway, ...]


def sketch(path: Path, options: DrawingOptions) -> Sketch:
    """The storeys of a building model, in metres.

    Raises
    ------
    UnreadablePaper
        The extra is not installed, or the file is damaged.
    BadInput
        No storeys, or none with a floor.
    """
    model = opened(path)
    levels, said = model.levels()
    if not levels:
        raise BadInput("{file} has no storeys with a height. Export it with its storeys.", file=path.name)
    parts = _parts(model)
    storeys, bare = [], []
    for level in _wanted(levels, options):
        pieces = _pieces(level, levels, parts)
        if _has_floor(pieces):
            rooms = tuple(_rooms(level, levels, parts.rooms))
            storeys.append(Storey(name=level.name, pieces=tuple(pieces), rooms=rooms))
        else:
            bare.append(level.name)
    if not storeys:
        raise BadInput(
            "{file} shows no floor on {names}: no slab, no rooms, no closed walls. Export its slabs or rooms too.",
            file=path.name,
            names=", ".join(bare),
        )
    left_out = [
        Sentence("Storey {name} has no slab, no rooms and no closed walls; it was left out.", name=name)
        for name in bare
    ]
    return Sketch(kind="IFC", storeys=tuple(storeys), unit_m=1.0, warnings=(*said, *left_out, *model.told))


def _wanted(levels: tuple[Level, ...], options: DrawingOptions) -> tuple[Level, ...]:
    """The storey that was asked for, where its name is known; cleaning says what there is where it is not."""
    asked = (options.storey or "").casefold()
    return tuple(level for level in levels if level.name.casefold() == asked) or levels


def _parts(model: Model) -> _Parts:
    slabs = [*model.things(("IfcSlab",), pierced=True), *model.things(("IfcCovering",), pierced=True)]
    return _Parts(
        walls=tuple(model.things(_WALLS, pierced=False)),
        standing=tuple(model.things((*_STAIRS, *_STANDING), pierced=False)),
        slabs=tuple(slab for slab in slabs if _is_floor(slab.element)),
        rooms=tuple(model.things(("IfcSpace",), pierced=False)),
        ramps=(
            *model.things(_RAMPS, pierced=False),
            *(slab for slab in slabs if _whole(slab.element).is_a("IfcRamp")),
        ),
        doorways=tuple(_doorways(model)),
    )


def _whole(element: Any) -> Any:
    """What an element is a part of, or itself."""
    links = element.Decomposes
    return links[0].RelatingObject if links else element


def _is_floor(element: Any) -> bool:
    part_of_other = _whole(element).is_a() in ("IfcRoof", "IfcStair", "IfcRamp")
    return not part_of_other and getattr(element, "PredefinedType", None) in _FLOOR_TYPES


def _doorways(model: Model) -> list[_Doorway]:
    doorways = [found for door in model.of_kind("IfcDoor") if (found := _door(model, door))]
    for opening in model.of_kind("IfcOpeningElement"):
        in_wall = any(link.RelatingBuildingElement.is_a("IfcWall") for link in opening.VoidsElements)
        thing = model.mesh_of(opening) if in_wall and not opening.HasFillings else None
        if thing is not None:
            parts = seen_from_above(thing.corners_m, thing.triangles).geoms
            doorways += [_Doorway(name=thing.name, where=thing.where, clear=part, low_m=thing.low_m) for part in parts]
    return doorways


def _door(model: Model, door: Any) -> _Doorway | None:
    """What an open door clears: its width less what leaf and stops take, as deep as the wall."""
    openings = [link.RelatingOpeningElement for link in door.FillsVoids]
    thing = (model.mesh_of(openings[0]) if openings else None) or model.mesh_of(door)
    if thing is None:
        return None
    turn_rad = direction_rad(door)
    along = np.array([math.cos(turn_rad), math.sin(turn_rad)])
    said_m = float(door.OverallWidth) * model.unit_m if door.OverallWidth else None
    across = np.array([-along[1], along[0]])
    run_m, depth_m = thing.corners_m[:, :2] @ along, thing.corners_m[:, :2] @ across
    if said_m and abs(np.ptp(depth_m) - said_m) < abs(np.ptp(run_m) - said_m):
        # Some programs lay a door's x axis through the wall instead of along it.
        along, across, run_m, depth_m = across, along, depth_m, run_m
    width_m = min(float(np.ptp(run_m)), said_m or np.inf)
    clear_m = width_m - _loss_m(door)
    if not clear_m > 0:
        return None
    middle_m, half_m = (run_m.max() + run_m.min()) / 2, clear_m / 2
    near_m, far_m = depth_m.min() - THINNEST_WALL_M, depth_m.max() + THINNEST_WALL_M
    if not openings:
        # A door that fills no opening stands in a gap or in front of glass; reach through what is there.
        near_m, far_m = near_m - SAME_LEVEL_M, far_m + SAME_LEVEL_M
    clear = _rectangle(along, across, (middle_m - half_m, middle_m + half_m), (near_m, far_m))
    return _Doorway(name=str(door.Name or "door"), where=f"#{door.id()}", clear=clear, low_m=thing.low_m)


def _loss_m(door: Any) -> float:
    """What the open leaf, its stops and hinges take of a door's width, once a leaf. Source: common practice."""
    said = f"{getattr(door, 'OperationType', None) or ''} {door.Name or ''}".upper()
    return 2 * HINGED_LOSS_M if "DOUBLE" in said else HINGED_LOSS_M


def _rectangle(along: Points, across: Points, run_m: tuple[float, float], depth_m: tuple[float, float]) -> Polygon:
    corners = ((run_m[0], depth_m[0]), (run_m[1], depth_m[0]), (run_m[1], depth_m[1]), (run_m[0], depth_m[1]))
    return Polygon([along * run + across * depth for run, depth in corners])


def _pieces(level: Level, levels: Sequence[Level], parts: _Parts) -> list[Piece]:
    """What one storey shows."""
    slabs = [slab for slab in parts.slabs if _is_on(slab.high_m, level, levels)]
    pieces = _walls(level, parts.walls)
    floors = [(slab, upward(slab.corners_m, slab.triangles)) for slab in slabs]
    if not floors:
        rooms = [room for room in parts.rooms if _is_on(room.low_m, level, levels)]
        floors = [(room, room.triangles) for room in rooms]
    pieces += [
        _piece(Role.FLOOR, thing, part)
        for thing, triangles in floors
        for part in seen_from_above(thing.corners_m, triangles).geoms
    ]
    pieces += _doors(level, levels, parts.doorways, pieces)
    pieces += _ramps(level, levels, parts.ramps)
    return [*pieces, *_standing(level, parts.standing, pieces)]


def _rooms(level: Level, levels: Sequence[Level], rooms: Sequence[Thing]) -> Iterator[Piece]:
    """The rooms of a storey by the names that people have for them, whatever its floor was made of."""
    for room in rooms:
        # Its Name is mostly a number on the door, which tells two stores apart.
        said = (str(each).strip() for each in (getattr(room.element, "LongName", None), room.element.Name) if each)
        name = " ".join(dict.fromkeys(said))[:LONGEST_NAME]
        if name and _is_on(room.low_m, level, levels):
            for part in seen_from_above(room.corners_m, room.triangles).geoms:
                yield replace(_piece(Role.FLOOR, room, part), name=name)


def _standing(level: Level, things: Sequence[Thing], pieces: Sequence[Piece]) -> list[Piece]:
    """What stands on a storey's floor between 5 cm and 2.0 m; what stands outdoors is left out."""
    floors = [piece.shape for piece in pieces if piece.role in (Role.FLOOR, Role.WALL)]
    bounds = shapely.box(*shapely.total_bounds(floors)) if floors else Polygon()
    found = []
    for thing in things:
        shape = footprint(
            thing.corners_m, thing.triangles, low_m=level.height_m + LOWEST_M, high_m=level.height_m + HIGHEST_M
        )
        # Terrain or a ceiling drawn as one thing is no obstacle.
        if _SMALLEST_M2 <= shape.area <= max(bounds.area, 1.0) / 2 and shape.intersects(bounds):
            found += [_piece(Role.OBSTACLE, thing, part) for part in _smooth(shape).geoms]
    return found


def _is_on(height_m: float, level: Level, levels: Sequence[Level]) -> bool:
    """Whether a height belongs to a storey: close to its floor, and closer than to any other's."""
    nearest = min(levels, key=lambda other: abs(other.height_m - height_m))
    return nearest == level and abs(level.height_m - height_m) <= SAME_LEVEL_M


def _walls(level: Level, walls: Sequence[Thing]) -> list[Piece]:
    height_m = level.height_m + CUT_M
    pieces: list[Piece] = []
    for wall in walls:
        if not wall.low_m <= height_m <= wall.high_m:
            continue
        solid, loose = section(wall.corners_m, wall.triangles, height_m=height_m)
        for part in _smooth(solid).geoms:
            # A pane of glass is thinner than what cleaning keeps; it stops a machine all the same.
            thin = part.buffer(-THINNEST_WALL_M / 2).is_empty
            pieces.append(
                _piece(Role.WALL, wall, part.buffer(THINNEST_WALL_M / 2, join_style="mitre") if thin else part)
            )
        pieces += [Piece(role=Role.WALL, shape=line, name=wall.name, where=wall.where) for line in loose]
    return pieces


def _doors(level: Level, levels: Sequence[Level], doorways: Sequence[_Doorway], pieces: Sequence[Piece]) -> list[Piece]:
    """The doorways of a storey, each as deep as the walls it leads through."""
    walls = shapely.union_all(
        [piece.shape for piece in pieces if piece.role is Role.WALL and isinstance(piece.shape, Polygon)]
    )
    floor = shapely.union_all([piece.shape for piece in pieces if piece.role is Role.FLOOR])
    # A little of the floor on both sides, so that a gap of a millimetre at the sill does not part two rooms.
    solid = walls.union(walls.buffer(THINNEST_WALL_M / 2, join_style="mitre").intersection(floor))
    doors = []
    for doorway in doorways:
        if _is_on(doorway.low_m, level, levels):
            through = shapely.get_parts(doorway.clear.intersection(solid))
            doors += [
                Piece(role=Role.DOOR, shape=part, name=doorway.name, where=doorway.where)
                for part in through
                if isinstance(part, Polygon)
            ]
    return doors


def _ramps(level: Level, levels: Sequence[Level], ramps: Sequence[Thing]) -> list[Piece]:
    """The ramps that start on a storey, with the slope and direction of their upper side."""
    pieces = []
    for ramp in ramps:
        top = upward(ramp.corners_m, ramp.triangles)
        if not len(top) or not _is_on(float(ramp.corners_m[top, 2].min()), level, levels):
            continue
        one, two, three = (ramp.corners_m[top[:, place]] for place in range(3))
        normal = np.cross(two - one, three - one).sum(axis=0)
        slope = float(np.hypot(normal[0], normal[1]) / normal[2])
        for part in seen_from_above(ramp.corners_m, top).geoms:
            pieces.append(_piece(Role.FLOOR, ramp, part))
            if LEAST_SLOPE_FRACTION < slope < 1:
                pieces.append(
                    Piece(
                        role=Role.RAMP,
                        shape=part,
                        name=ramp.name,
                        where=ramp.where,
                        slope_fraction=slope,
                        uphill_rad=float(np.arctan2(-normal[1], -normal[0])),
                    )
                )
    return pieces


def _has_floor(pieces: Sequence[Piece]) -> bool:
    """Whether a slab or room is drawn, or walls go round something but for doorways."""
    if any(piece.role is Role.FLOOR for piece in pieces):
        return True
    walls = shapely.union_all([piece.shape for piece in pieces if piece.role is Role.WALL])
    closed = walls.buffer(WIDEST_GAP_M / 2, join_style="mitre")
    return any(len(part.interiors) for part in shapely.get_parts(closed) if isinstance(part, Polygon))


def _piece(role: Role, thing: Thing, shape: Polygon) -> Piece:
    return Piece(role=role, shape=shape, name=thing.name, where=thing.where)


def _smooth(shape: MultiPolygon) -> MultiPolygon:
    smooth = shapely.simplify(shape, _SMOOTH_M)
    return MultiPolygon([part for part in shapely.get_parts(smooth) if isinstance(part, Polygon)])
