"""What it costs to go from lane to lane, to the drain and tap, and home."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.ops import nearest_points, substring

from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.sequence import Links
from scrubwright.floor.travel import Travel, travel_between
from scrubwright.floor.trips import Loads
from scrubwright.floor.turns import (
    backing_out_m,
    backing_s,
    lane_ends_m,
    lane_heading_rad,
    turning_s_per_rad,
    u_turn_s,
)
from scrubwright.floor.vehicle import Vehicle

PARALLEL_COSINE = 0.94
ROWS_AT_ONCE = 512


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """Where and how the machine is emptied and filled.

    Parameters
    ----------
    drains_m, taps_m
        Places [m]; at least one each.
    parking_m
        Where the night starts and ends [m].
    empty_s, fill_s
        Time to empty the recovery tank, and to fill the solution tank [s, >= 0].
    capacity_l
        Solution that one filling gives [L, > 0].
    dose_l_per_m2
        Solution on the floor [L/m2, >= 0].
    """

    drains_m: tuple[tuple[float, float], ...]
    taps_m: tuple[tuple[float, float], ...]
    parking_m: tuple[float, float]
    empty_s: float
    fill_s: float
    capacity_l: float
    dose_l_per_m2: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Network:
    """Lanes with everything that joins them.

    Parameters
    ----------
    lanes
        The lanes; lane i owns ends 2i + 2 and 2i + 3 of `links`, whose lane 0 is the parking place.
    links
        Costs for the search.
    travel
        Ways between the pivots of all ends (2 per lane, from index 2), then drains, then taps; 0 and 1
        are the parking place.
    back_m
        How far the machine reverses at each end [m], shape (2n + 2,).
    last_drain
        For each end the best drain on the way home, shape (2n + 2,).
    drains
        Number of drains.
    """

    lanes: tuple[LaneLine, ...]
    links: Links
    travel: Travel
    back_m: NDArray[np.float64]
    last_drain: NDArray[np.int8]
    drains: int

    def backing_s(self, end: int, vehicle: Vehicle) -> float:
        """Time to reverse out of, or into, a lane at this end [s].

        **Source** distance over speed, and two changes of direction.
        """
        return float(backing_s(self.back_m[end : end + 1], vehicle)[0])

    def drain_point(self, number: int) -> int:
        """Index in `travel` of a drain."""
        return len(self.back_m) + number

    def tap_point(self, number: int) -> int:
        """Index in `travel` of a tap."""
        return len(self.back_m) + self.drains + number


def on_floor_m(place_m: tuple[float, float], centre: Polygon) -> tuple[float, float]:
    """The point of the machine's floor nearest to a place [m].

    **Source** geometry.
    """
    point = nearest_points(centre, Point(place_m))[0]
    return point.x, point.y


def network(
    lanes: tuple[LaneLine, ...], free: MultiPolygon, centre: Polygon, vehicle: Vehicle, service: Service
) -> Network:
    """Join lanes, service points and parking place by the shortest ways and their times.

    Parameters
    ----------
    lanes
        What is to be driven, at least one.
    free, centre
        The floor, and where the deck's centre may be [m].
    vehicle, service
        The machine, and where it is emptied and filled.

    Raises
    ------
    BadInput
        A tankful of zero, or a lane that takes more than one.
    NoAnswer
        Lanes that no way joins.

    **Source** ours, see docs/explanation/turns.md.
    """
    lines = [lane.line for lane in lanes]
    ends_m, heading_rad = lane_ends_m(lines), lane_heading_rad(lines)
    outward = np.stack([np.cos(heading_rad), np.sin(heading_rad)], axis=1)
    back_m = np.concatenate([[0.0, 0.0], backing_out_m(lines, free, centre, vehicle)])
    home_m = np.array([on_floor_m(service.parking_m, centre)] * 2)
    outward = np.concatenate([np.zeros((2, 2)), outward])
    pivot_m = np.concatenate([home_m, ends_m])
    for end in np.flatnonzero(back_m):
        pivot_m[end] = shapely.get_coordinates(backed_out(lanes, int(end), float(back_m[end])))[-1]
    places_m = [on_floor_m(place_m, centre) for place_m in (*service.drains_m, *service.taps_m)]
    travel = travel_between(np.concatenate([pivot_m, np.array(places_m)]), centre)
    count = len(back_m)
    link_s = _link_s(travel, outward, back_m, vehicle)
    drains = len(service.drains_m)
    reach_s = _reach_s(travel, outward, back_m, vehicle)
    to_drain_s, to_tap_s = reach_s[:, :drains], reach_s[:, drains:]
    across_s = travel.distance_m[count : count + drains, count + drains :] / vehicle.transport_speed_m_per_s
    between_s = across_s + service.empty_s + service.fill_s
    home_s = _home_s(to_drain_s, service)
    link_s[0] = link_s[:, 0] = home_s.min(axis=1)
    water_l = np.array(
        [0.0] + [0.0 if lane.second else lane.line.length * vehicle.pitch_m * service.dose_l_per_m2 for lane in lanes]
    )
    loads = Loads(
        water_l=water_l,
        capacity_l=service.capacity_l,
        to_drain_s=to_drain_s,
        to_tap_s=to_tap_s,
        between_s=between_s.astype(np.float64),
    )
    return Network(
        lanes=lanes,
        links=Links(link_s=link_s, loads=loads),
        travel=travel,
        back_m=back_m,
        last_drain=np.argmin(home_s, axis=1).astype(np.int8),
        drains=drains,
    )


def _home_s(to_drain_s: NDArray[np.float64], service: Service) -> NDArray[np.float64]:
    """Seconds from each end by each drain, where the tank is emptied, to the parking place."""
    home_s: NDArray[np.float64] = to_drain_s + service.empty_s + to_drain_s[0]
    return home_s


def by_drains(net: Network, drains: Sequence[int], service: Service) -> Network:
    """The same network for a night on which some drains alone are used.

    Parameters
    ----------
    net
        With all drains.
    drains
        Numbers of those that are used, at least one.
    service
        As the network was made with.

    **Source** ours, see docs/explanation/the-shift.md.
    """
    loads = net.links.loads
    # A drain that takes for ever is never the best one.
    to_drain_s = np.full_like(loads.to_drain_s, np.inf)
    to_drain_s[:, drains] = loads.to_drain_s[:, drains]
    home_s = _home_s(to_drain_s, service)
    link_s = net.links.link_s.copy()
    link_s[0] = link_s[:, 0] = home_s.min(axis=1)
    return replace(
        net,
        links=Links(link_s=link_s, loads=replace(loads, to_drain_s=to_drain_s)),
        last_drain=np.argmin(home_s, axis=1).astype(np.int8),
    )


def backed_out(lanes: Sequence[LaneLine], end: int, back_m: float) -> LineString:
    """The way backwards along a lane from one of its ends, as numbered in `Links` [m].

    **Source** geometry.
    """
    line = lanes[(end >> 1) - 1].line
    return substring(line, line.length, line.length - back_m) if end & 1 else substring(line, 0.0, back_m)


def _turn_rad(outward: NDArray[np.float64], leaving_rad: NDArray[np.float32]) -> NDArray[np.float32]:
    """Angle between the way out of each lane end and the bearing of each way from it, shape of `leaving_rad`."""
    heading_rad = np.arctan2(outward[:, 1], outward[:, 0]).astype(np.float32)
    turn_rad = leaving_rad - heading_rad[:, None]
    turn_rad -= np.float32(2 * np.pi) * np.rint(turn_rad / np.float32(2 * np.pi))
    np.abs(turn_rad, out=turn_rad)
    return turn_rad


def _link_s(
    travel: Travel, outward: NDArray[np.float64], back_m: NDArray[np.float64], vehicle: Vehicle
) -> NDArray[np.float32]:
    """Seconds between all ends; single precision, since ten thousand ends make a hundred million pairs."""
    count = len(back_m)
    distance_m = travel.distance_m[:count, :count]
    link_s = _turn_rad(outward, travel.leaving_rad[:count, :count])
    link_s[:2] = 0.0
    link_s *= np.float32(turning_s_per_rad(vehicle))
    _add_transposed(link_s)
    link_s += distance_m / np.float32(vehicle.transport_speed_m_per_s)
    points_m = travel.points_m[:count]
    for row in range(2, count):
        near = np.flatnonzero(distance_m[row] < 4 * vehicle.turning_radius_m + 1.0)
        beside = outward[near] @ outward[row]
        # Neighbours driven the opposite way: one U-turn instead of two corners and a straight.
        turns = near[beside > PARALLEL_COSINE]
        step_m = points_m[turns] - points_m[row]
        along_m = np.abs(step_m @ outward[row])
        aside_m = np.abs(step_m[:, 0] * outward[row, 1] - step_m[:, 1] * outward[row, 0])
        link_s[row, turns] = u_turn_s(aside_m, vehicle) + along_m / vehicle.transport_speed_m_per_s
        still = distance_m[row, near] < 1e-6
        turn_rad = np.arccos(np.clip(-beside[still], -1.0, 1.0))
        link_s[row, near[still]] = turn_rad * turning_s_per_rad(vehicle)
    back_s = backing_s(back_m, vehicle)
    link_s += (back_s[:, None] + (back_s + vehicle.deck_cycle_s)[None, :]).astype(np.float32)
    # A lane cut in two is driven on without a pause.
    turns_there = back_m == 0
    for end in np.flatnonzero(turns_there):
        near = np.flatnonzero((distance_m[end] < 1e-6) & turns_there)
        link_s[end, near[outward[near] @ outward[end] < -0.99]] = 0.0
    _level(link_s)
    ends = np.arange(count)
    link_s[ends, ends] = link_s[ends, ends ^ 1] = 0.0
    return link_s


def _add_transposed(square: NDArray[np.float32]) -> None:
    """Add a square's mirror image to it, in place and in blocks."""
    size = len(square)
    for low in range(0, size, ROWS_AT_ONCE):
        high = min(size, low + ROWS_AT_ONCE)
        both = square[low:high, low:] + square[low:, low:high].T
        square[low:high, low:] = both
        square[low:, low:high] = both.T


def _level(square: NDArray[np.float32]) -> None:
    """Make a square symmetric by the larger of each pair, in place and in blocks."""
    size = len(square)
    for low in range(0, size, ROWS_AT_ONCE):
        high = min(size, low + ROWS_AT_ONCE)
        both = np.maximum(square[low:high, low:], square[low:, low:high].T)
        square[low:high, low:] = both
        square[low:, low:high] = both.T


def _reach_s(
    travel: Travel, outward: NDArray[np.float64], back_m: NDArray[np.float64], vehicle: Vehicle
) -> NDArray[np.float64]:
    """Seconds from each end to each service point, shape (2n + 2, drains + taps)."""
    count = len(back_m)
    turn_rad = _turn_rad(outward, travel.leaving_rad[:count, count:]).astype(np.float64)
    turn_rad[:2] = 0.0
    way_s = travel.distance_m[:count, count:].astype(np.float64) / vehicle.transport_speed_m_per_s
    raising_s = np.where(np.arange(count) < 2, 0.0, vehicle.deck_cycle_s / 2)
    return way_s + turn_rad * turning_s_per_rad(vehicle) + (backing_s(back_m, vehicle) + raising_s)[:, None]
