"""The order of lanes as plain arrays, and what an order costs: the common ground of all rivals.

Ends 2i and 2i + 1 belong to lane i. A tour names the end at which each lane is entered; it is left at the other.
"""

import itertools
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from scrubwright.floor.blocks import neighbours
from scrubwright.floor.links import Network

Tour = tuple[int, ...]
Sets = tuple[tuple[tuple[int, ...], ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaneProblem:
    """Lanes to be driven once each, with a tank that must be emptied on the way.

    Parameters
    ----------
    link_s
        Drive from leaving a lane at one end to entering another at an end [s], shape (2N, 2N), symmetric.
    work_s
        Scrubbing of each lane [s], shape (N,).
    water_l
        Solution that each lane takes [L], shape (N,).
    start_s
        Drive from the parking place to each end [s], shape (2N,).
    home_s
        From each end to the drain, empty, and to the parking place [s], shape (2N,).
    stop_s
        From end to end by way of drain and tap, emptying and filling included [s], shape (2N, 2N).
    capacity_l
        Solution in a full tank [L].
    """

    link_s: NDArray[np.float64]
    work_s: NDArray[np.float64]
    water_l: NDArray[np.float64]
    start_s: NDArray[np.float64]
    home_s: NDArray[np.float64]
    stop_s: NDArray[np.float64]
    capacity_l: float

    @property
    def lanes(self) -> int:
        """How many lanes there are."""
        return len(self.work_s)

    @property
    def least_trips(self) -> int:
        """Tank loads that the water alone asks for."""
        return max(1, int(np.ceil(self.water_l.sum() / self.capacity_l - 1e-9)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Night:
    """What a tour costs once it is cut into tank loads."""

    total_s: float
    trips: int


def problem_of(net: Network, *, working_speed_m_per_s: float) -> LaneProblem:
    """The lanes that the planner chose, with its own costs of going from each to each."""
    links, loads = net.links, net.links.loads
    drained_s = (loads.to_drain_s[:, :, None] + loads.between_s).min(axis=1)
    stop_s = (drained_s[:, None, :] + loads.to_tap_s[None, :, :]).min(axis=2)
    return LaneProblem(
        link_s=links.link_s[2:, 2:].astype(np.float64),
        work_s=np.array([lane.line.length for lane in net.lanes]) / working_speed_m_per_s,
        water_l=loads.water_l[1:],
        start_s=links.link_s[1, 2:].astype(np.float64),
        home_s=links.link_s[2:, 0].astype(np.float64),
        stop_s=stop_s[2:, 2:],
        capacity_l=loads.capacity_l,
    )


def sets_of(net: Network, *, pitch_m: float) -> Sets:
    """The lanes in sets of parallel ones side by side, rank by rank across each set, sets as they were found."""
    beside = neighbours(net.lanes, pitch_m)
    pairs = np.array([pair for pair, step in beside.steps.items() if abs(step) <= 1]).reshape(-1, 2)
    count = len(net.lanes)
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    _, part = connected_components(graph, directed=False)
    found = []
    for number in dict.fromkeys(part.tolist()):
        lanes = np.flatnonzero(part == number)
        points_m = shapely.get_coordinates(net.lanes[lanes[0]].line)
        ahead_m = points_m[-1] - points_m[0]
        middle_m = shapely.get_coordinates(shapely.centroid([net.lanes[lane].line for lane in lanes])) - points_m[0]
        aside_m = (ahead_m[0] * middle_m[:, 1] - ahead_m[1] * middle_m[:, 0]) / max(np.hypot(*ahead_m), 1e-9)
        ranks: dict[int, list[int]] = {}
        for lane, rank in zip(lanes.tolist(), np.rint(2 * aside_m / pitch_m).astype(int).tolist(), strict=True):
            ranks.setdefault(rank, []).append(lane)
        found.append(tuple(tuple(ranks[rank]) for rank in sorted(ranks)))
    return tuple(found)


def night_in_order(problem: LaneProblem, tour: Tour) -> Night:
    """Dump when the next lane does not fit: what a driver does who never looks ahead."""
    total_s = float(problem.start_s[tour[0]] + problem.work_s.sum() + problem.home_s[tour[-1] ^ 1])
    left_l, trips = problem.capacity_l - float(problem.water_l[tour[0] // 2]), 1
    for before, after in itertools.pairwise(tour):
        need_l = float(problem.water_l[after // 2])
        if need_l > left_l + 1e-9:
            total_s += float(problem.stop_s[before ^ 1, after])
            left_l, trips = problem.capacity_l, trips + 1
        else:
            total_s += float(problem.link_s[before ^ 1, after])
        left_l -= need_l
    return Night(total_s=total_s, trips=trips)


def night_well_cut(problem: LaneProblem, tour: Tour) -> Night:
    """The cheapest cut of a tour into tank loads.

    Shortest path over the places where a load may begin, C. Prins, A simple and effective evolutionary algorithm
    for the vehicle routing problem, Computers & Operations Research 31(12), 2004, doi:10.1016/S0305-0548(03)00158-8.
    """
    count = len(tour)
    links_s = np.array([problem.link_s[a ^ 1, b] for a, b in itertools.pairwise(tour)])
    stops_s = np.array([problem.stop_s[a ^ 1, b] for a, b in itertools.pairwise(tour)])
    water_l = np.concatenate([[0.0], np.cumsum(problem.water_l[[entry // 2 for entry in tour]])])
    driven_s = np.concatenate([[0.0], np.cumsum(links_s)])
    best_s = np.full(count, np.inf)
    trips = np.zeros(count, dtype=int)
    for first in range(count):
        begun_s = 0.0 if first == 0 else float(best_s[first - 1]) + float(stops_s[first - 1])
        begun_trips = 1 if first == 0 else int(trips[first - 1]) + 1
        for last in range(first, count):
            if water_l[last + 1] - water_l[first] > problem.capacity_l + 1e-9:
                break
            cost_s = begun_s + float(driven_s[last] - driven_s[first])
            if cost_s < best_s[last] - 1e-9:
                best_s[last], trips[last] = cost_s, begun_trips
    ends_s = float(problem.start_s[tour[0]] + problem.home_s[tour[-1] ^ 1])
    return Night(total_s=float(best_s[-1]) + ends_s + float(problem.work_s.sum()), trips=int(trips[-1]))


def lawn_mower_tour(problem: LaneProblem, sets: Sets) -> Tour:
    """Sets of parallel lanes in the order they were found, back and forth inside, from the nearest corner.

    Parameters
    ----------
    problem
        The lanes.
    sets
        Numbers of the lanes of each set, rank by rank across it; a rank may hold several pieces of one line.
    """
    tour: list[int] = []
    for ranks in sets:
        reach_s = problem.start_s if not tour else problem.link_s[tour[-1] ^ 1]
        first, last = (min(float(reach_s[2 * lane : 2 * lane + 2].min()) for lane in ranks[at]) for at in (0, -1))
        for rank in ranks if first <= last else ranks[::-1]:
            left = list(rank)
            while left:
                reach_s = problem.start_s if not tour else problem.link_s[tour[-1] ^ 1]
                entry = min((end for lane in left for end in (2 * lane, 2 * lane + 1)), key=reach_s.__getitem__)
                tour.append(entry)
                left.remove(entry // 2)
    return tuple(tour)
