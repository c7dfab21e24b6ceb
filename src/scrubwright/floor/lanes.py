"""Lanes: how many passes fit, where they run, and which of them are one."""

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.cells import Cell, cells_along_x
from scrubwright.floor.directions import swept_grid
from scrubwright.floor.frame import Frame
from scrubwright.floor.turns import lane_start_s
from scrubwright.floor.vehicle import Vehicle

SHORTEST_LANE_M = 0.5
# Beside the turn into the next lane stand the ways from set to set: half as much again in the plans measured.
WAYS_BETWEEN = 1.5
# A dry strip where lanes end against a wall is worth more than its area: dirt lies along walls.
STRIP_WORTH = 3.0
# A lane end this close to where the wall must be is carried on to the wall itself.
REACH_M = 0.6
# Lanes go on in step past a border of cells where at least this much of it has lanes below.
CARRIED_FRACTION = 0.5
LEAST_STRIP_M = 0.03
SAME_LEVEL_M = 0.02
# A lane along a wall goes this far past its cell, into the corner; pruning takes back what is not needed.
CORNER_M = 1.0
SHIFTS_M = (0.0005, 0.03, 0.06, 0.09, 0.12)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaneLine:
    """One deck-down line.

    Parameters
    ----------
    line
        Way of the deck's centre [m].
    kind
        "lane", "edge" or "patch".
    area
        Number of the area it serves.
    second
        Whether it is the second pass of a double scrub, which lays no solution and takes up that of the first.
    """

    line: LineString
    kind: str
    area: int
    second: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """Floor between two walls, swept side by side: an aisle.

    Parameters
    ----------
    need_m
        Width that the deck must cover [m].
    passes
        Passes it takes.
    length_m
        Length of the strip [m].
    area
        Number of the area.
    """

    need_m: float
    passes: int
    length_m: float
    area: int


def dry_floor_worth_s(dry_m2: float, vehicle: Vehicle) -> float:
    """What floor that lanes leave dry is worth in lane time [s]: more than its area, since dirt lies along walls.

    Parameters
    ----------
    dry_m2
        Floor left dry [m2, >= 0].
    vehicle
        The machine.

    **Source** ours, see docs/explanation/lanes.md.
    """
    return STRIP_WORTH * dry_m2 / (vehicle.pitch_m * vehicle.working_speed_m_per_s)


def passes_needed(need_m: float, deck_width_m: float, overlap_m: float) -> int:
    """Number of passes that cover a strip: ceil((need - overlap) / (width - overlap)), at least 1.

    Parameters
    ----------
    need_m
        Width to be covered [m, > 0].
    deck_width_m, overlap_m
        Deck width and least overlap of neighbours [m, width > overlap].

    **Source** the lane model n = ceil(W / effective width); geometry, checked in tests/worked.
    """
    return max(1, math.ceil((need_m - overlap_m) / (deck_width_m - overlap_m) - 1e-6))


def lane_levels_m(cells: tuple[Cell, ...], vehicle: Vehicle) -> tuple[NDArray[np.float64], ...]:
    """Where the lanes of each cell run, across their direction [m].

    Cells come bottom first. At a wall the outer lane runs as near as the machine fits. Between two
    walls the lanes are spread evenly. From a wall to an open side they keep the widest spacing, so
    that what rounding up leaves over reaches past the open side, where the next cell, or the lanes
    that end there, have the less to do. Overlap is never below the vehicle's.

    **Source** ours, see docs/explanation/lanes.md.
    """
    levels: list[NDArray[np.float64]] = []
    fronts_m: list[float] = []
    for index, cell in enumerate(cells):
        below = [before for before in range(index) if cells[before].touches_below(cell)]
        cell_levels_m = _levels_m(cell, [(cells[before], fronts_m[before]) for before in below], vehicle)
        half_m = vehicle.deck_width_m / 2
        levels.append(cell_levels_m)
        fronts_m.append(float(cell_levels_m[-1]) + half_m - vehicle.overlap_m if len(cell_levels_m) else cell.high_m)
    return tuple(levels)


def _levels_m(cell: Cell, below: list[tuple[Cell, float]], vehicle: Vehicle) -> NDArray[np.float64]:
    half_m, overlap_m, pitch_m = vehicle.deck_width_m / 2, vehicle.overlap_m, vehicle.pitch_m
    low_m = cell.low_m - half_m
    if not cell.wall_below:
        low_m = cell.low_m
        shared_m = sum(before.shared_with_above_m(cell) for before, _ in below)
        if shared_m > CARRIED_FRACTION * cell.first_length_m:
            low_m = max(low_m, min(front_m for _, front_m in below))
    high_m = cell.high_m + (half_m if cell.wall_above else 0.0)
    if high_m - low_m < LEAST_STRIP_M:
        return np.empty(0)
    passes = passes_needed(high_m - low_m, vehicle.deck_width_m, overlap_m)
    if passes == 1 and (cell.wall_below or cell.wall_above):
        return np.array([min(max((low_m + high_m) / 2, cell.low_m), cell.high_m)])
    if (cell.wall_below and cell.wall_above) or (cell.wall_above and low_m > cell.low_m):
        return np.linspace(low_m + half_m, high_m - half_m, passes)
    if cell.wall_above:
        return (high_m - half_m - pitch_m * np.arange(passes))[::-1].clip(min=cell.low_m)
    levels_m = low_m + half_m + pitch_m * np.arange(passes)
    return levels_m.clip(max=max(cell.high_m, low_m))


def _extent_m(cell: Cell, level_m: float, half_m: float) -> tuple[float, float]:
    beside = [
        row for row in cell.rows if row.low_y_m < level_m + half_m - 1e-6 and row.high_y_m > level_m - half_m + 1e-6
    ]
    rows = beside or [min(cell.rows, key=lambda row: abs(row.low_y_m - level_m))]
    low_m = min(row.low_x_m - (REACH_M if row.wall_at_low else 0.0) for row in rows)
    high_m = max(row.high_x_m + (REACH_M if row.wall_at_high else 0.0) for row in rows)
    return low_m, high_m


def _inside(line: LineString, centre: Polygon) -> list[LineString]:
    parts = shapely.get_parts(shapely.intersection(line, centre))
    return [part for part in parts if part.geom_type == "LineString" and part.length >= SHORTEST_LANE_M]


def _fitted(low_m: float, high_m: float, level_m: float, centre: Polygon, inward: float) -> list[LineString]:
    """The pieces of a level inside `centre`, moved inward by up to the grid's merging where it lies on a wall."""
    best: list[LineString] = []
    for shift_m in SHIFTS_M if inward else (0.0,):
        at_m = level_m + inward * shift_m
        pieces = _inside(LineString([(low_m, at_m), (high_m, at_m)]), centre)
        if sum(piece.length for piece in pieces) > 1.02 * sum(piece.length for piece in best) + 0.05:
            best = pieces
    return best


def _cell_lanes(cell: Cell, levels_m: NDArray[np.float64], centre: Polygon, vehicle: Vehicle) -> list[LineString]:
    found: list[LineString] = []
    for rank, level_m in enumerate(levels_m):
        low_m, high_m = _extent_m(cell, float(level_m), vehicle.deck_width_m / 2)
        first, last = rank == 0 and cell.wall_below, rank == len(levels_m) - 1 and cell.wall_above
        inward = 1.0 if first else -1.0 if last else 0.0
        if inward:
            low_m, high_m = low_m - CORNER_M, high_m + CORNER_M
        found.extend(_fitted(low_m, high_m, float(level_m), centre, inward))
    return found


def _bridged(lines: list[LineString], centre: Polygon, bridge_m: float) -> list[LineString]:
    """Join lines of one level whose gap is short and free."""
    levels: list[list[LineString]] = []
    for line in sorted(lines, key=lambda line: float(line.coords[0][1])):
        if levels and line.coords[0][1] - levels[-1][0].coords[0][1] < SAME_LEVEL_M:
            levels[-1].append(line)
        else:
            levels.append([line])
    joined: list[LineString] = []
    shapely.prepare(centre)
    for level in levels:
        row = sorted(level, key=lambda line: line.bounds[0])
        kept = row[:1]
        for line in row[1:]:
            whole = LineString([kept[-1].coords[0], line.coords[-1]])
            if line.bounds[0] - kept[-1].bounds[2] <= bridge_m and centre.covers(whole):
                kept[-1] = whole
            else:
                kept.append(line)
        joined.extend(kept)
    return joined


def swept_lanes(
    area: BaseGeometry,
    centre: Polygon,
    frame: Frame,
    vehicle: Vehicle,
    *,
    number: int,
    one_way: bool = False,
) -> tuple[list[LaneLine], list[Strip]]:
    """The straight lanes of one area, on the floor, and the aisles they run in.

    Parameters
    ----------
    area, centre
        Part of the machine's floor to be swept, and all of it, in floor coordinates [m].
    frame
        Along the area's walls; along the slope for a ramp.
    number
        Number of the area.
    one_way
        Sweep everything along the frame's x axis, as on a ramp.

    **Source** ours, see docs/explanation/lanes.md.
    """
    turned_area, turned_centre = frame.inside(area), frame.inside(centre)
    strip_s_per_m = STRIP_WORTH * vehicle.deck_width_m / 2 / vehicle.pitch_m / vehicle.working_speed_m_per_s
    start_s = WAYS_BETWEEN * lane_start_s(vehicle)
    grid = swept_grid(turned_area, turned_centre, vehicle.pitch_m, start_s, strip_s_per_m)
    if one_way:
        grid = replace(grid, along_x=np.ones_like(grid.along_x))
    found: list[LaneLine] = []
    strips: list[Strip] = []
    bridge_m = start_s * vehicle.working_speed_m_per_s
    for flipped in (False, True):
        here = _flipped(turned_centre) if flipped else turned_centre
        lines: list[LineString] = []
        cells = cells_along_x(grid.transposed() if flipped else grid)
        for cell, levels_m in zip(cells, lane_levels_m(cells, vehicle), strict=True):
            lines.extend(_cell_lanes(cell, levels_m, here, vehicle))
            if cell.wall_below and cell.wall_above and len(levels_m):
                need_m = cell.high_m - cell.low_m + vehicle.deck_width_m
                strips.append(Strip(need_m=need_m, passes=len(levels_m), length_m=cell.length_m, area=number))
        for line in _bridged(lines, here, bridge_m):
            points_m = shapely.get_coordinates(line)
            points_m = frame.outside_m(points_m[:, ::-1] if flipped else points_m)
            found.append(LaneLine(line=LineString(points_m), kind="lane", area=number))
    return found, strips


def _flipped(shape: Polygon) -> Polygon:
    return shapely.make_valid(shapely.transform(shape, lambda points_m: points_m[:, ::-1]))
