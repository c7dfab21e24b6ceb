"""Turns: how long they take, and where there is room for them."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon

from scrubwright.floor.vehicle import Vehicle

# A driver does not spin on the spot: below this radius a turn takes no less time (common practice).
TIGHTEST_RADIUS_M = 0.25
LOOK_AHEAD_M = 3.0
STEP_M = 0.25
# Backing out needs a stop before and after (common practice).
CHANGE_OF_DIRECTION_S = 2.5
# A driver turns this much early rather than back out (common practice).
EARLY_M = 0.5


def turning_s_per_rad(vehicle: Vehicle) -> float:
    """Time to turn by one radian on the least radius [s/rad].

    **Source** arc length over speed; geometry.
    """
    return max(vehicle.turning_radius_m, TIGHTEST_RADIUS_M) / vehicle.turning_speed_m_per_s


def u_turn_s(offset_m: NDArray[np.float64], vehicle: Vehicle) -> NDArray[np.float64]:
    """Time of a half turn into a lane beside [s], shape of `offset_m`.

    Closer than two radii the machine swings out first and comes back (an arc, a longer arc the other
    way, an arc); further away it drives a quarter turn, a straight and a quarter turn.

    Parameters
    ----------
    offset_m
        Distance between the two lanes [m, >= 0].
    vehicle
        Its turning radius and speeds.

    Notes
    -----
    **Source** L. E. Dubins, On curves of minimal length with a constraint on average curvature, American
    Journal of Mathematics 79(3), 1957, doi:10.2307/2372560: outer arcs acos((r + d/2) / 2r) for offset
    d and radius r. Checked in tests/worked/test_turn_times.py.
    """
    radius_m = max(vehicle.turning_radius_m, TIGHTEST_RADIUS_M)
    close = offset_m < 2 * radius_m
    swing_rad = np.arccos(np.clip((radius_m + offset_m / 2) / (2 * radius_m), -1.0, 1.0))
    arcs_m = radius_m * (np.pi + np.where(close, 4 * swing_rad, 0.0))
    straight_m = np.where(close, 0.0, offset_m - 2 * radius_m)
    return arcs_m / vehicle.turning_speed_m_per_s + straight_m / vehicle.transport_speed_m_per_s


def lane_start_s(vehicle: Vehicle) -> float:
    """What one lane more costs beyond its length: a half turn into the lane beside, and a deck cycle [s].

    **Source** ours, see docs/explanation/lanes.md.
    """
    return float(u_turn_s(np.array([vehicle.pitch_m]), vehicle)[0]) + vehicle.deck_cycle_s


def turning_floor(free: MultiPolygon, vehicle: Vehicle) -> MultiPolygon | Polygon:
    """Floor on which the machine can turn round in one go [m].

    Every point of a disc as wide as the turning aisle that lies in the free floor.

    **Source** opening by a disc, a standard operation of mathematical morphology; a turning aisle is the
    width in which the machine turns round, ISO 5053 vocabulary as plates use it (common practice).
    """
    half_m = vehicle.turning_aisle_m / 2
    # A hand's breadth of tolerance: outlines come simplified to centimetres.
    return shapely.buffer(shapely.buffer(free, -half_m + 0.02, quad_segs=24), half_m, quad_segs=24)


def backing_out_m(
    lines: Sequence[LineString],
    free: MultiPolygon,
    centre: Polygon,
    vehicle: Vehicle,
) -> NDArray[np.float64]:
    """How far back along its lane the machine must reverse from each end before it can turn [m], shape (2n,).

    Zero where it can turn at the end or a little beyond it. Where there is no room on the whole lane
    it backs out of all of it.

    Parameters
    ----------
    lines
        The lanes [m]; line i has ends 2i and 2i + 1.
    free, centre, vehicle
        The floor and the machine.

    **Source** ours, see docs/explanation/turns.md.
    """
    room = turning_floor(free, vehicle)
    shapely.prepare(room)
    drivable = shapely.buffer(centre, 0.02)
    shapely.prepare(drivable)
    way_m = np.arange(0.0, LOOK_AHEAD_M + STEP_M / 2, STEP_M)
    ends_m, heading_rad = lane_ends_m(lines), lane_heading_rad(lines)
    outward = np.stack([np.cos(heading_rad), np.sin(heading_rad)], axis=1)
    ahead_m = ends_m[:, None, :] + outward[:, None, :] * way_m[:, None]
    clear = np.logical_and.accumulate(shapely.contains_xy(drivable, ahead_m[..., 0], ahead_m[..., 1]), axis=1)
    turns = (clear & shapely.contains_xy(room, ahead_m[..., 0], ahead_m[..., 1])).any(axis=1)
    back_m = np.zeros(len(ends_m))
    for end in np.flatnonzero(~turns):
        line = lines[int(end) // 2]
        steps_m = np.append(np.arange(STEP_M, line.length, STEP_M), line.length)
        behind = shapely.line_interpolate_point(line, line.length - steps_m if end % 2 else steps_m)
        roomy = np.flatnonzero(shapely.contains(room, behind))
        needed_m = steps_m[roomy[0]] if roomy.size else line.length
        back_m[end] = needed_m if needed_m > EARLY_M else 0.0
    return back_m


def backing_s(back_m: NDArray[np.float64], vehicle: Vehicle) -> NDArray[np.float64]:
    """Time to reverse so far out of, or into, a lane [s], shape of `back_m`.

    Parameters
    ----------
    back_m
        Distance in reverse [m, >= 0].
    vehicle
        Its reverse speed.

    **Source** distance over speed, and two changes of direction.
    """
    return np.where(back_m > 0, back_m / vehicle.reverse_speed_m_per_s + 2 * CHANGE_OF_DIRECTION_S, 0.0)


def lane_ends_m(lines: Sequence[LineString]) -> NDArray[np.float64]:
    """Both ends of every line [m], shape (2n, 2).

    **Source** geometry.
    """
    return np.array([point for line in lines for point in (line.coords[0], line.coords[-1])])


def lane_heading_rad(lines: Sequence[LineString]) -> NDArray[np.float64]:
    """Bearing along the line out of each end [rad], shape (2n,).

    **Source** geometry.
    """
    inner_m = np.array([point for line in lines for point in (line.coords[1], line.coords[-2])])
    span_m = lane_ends_m(lines) - inner_m
    heading_rad: NDArray[np.float64] = np.arctan2(span_m[:, 1], span_m[:, 0])
    return heading_rad
