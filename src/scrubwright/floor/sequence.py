"""In which order, and in which direction, lanes are driven: local search over lane ends."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrubwright.floor.search import Search
from scrubwright.floor.trips import Loads, split

# Worse tours are followed while the search is young: by this share of the links at first, none at the end.
FIRST_SLACK_FRACTION = 0.05


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Links:
    """Lanes as pairs of ends, and what it costs to go from end to end.

    Ends 2i and 2i + 1 belong to lane i, which is driven from one to the other. Lane 0 is the parking
    place: the night leaves from end 1 and comes home to end 0.

    Parameters
    ----------
    link_s
        Seconds from end to end with the deck up, shape (2n, 2n), symmetric.
    loads
        Water per lane and what a stop between two lanes costs.
    """

    link_s: NDArray[np.float32]
    loads: Loads

    @property
    def lanes(self) -> int:
        """Number of lanes, the parking place included."""
        return len(self.link_s) // 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tour:
    """Directed lanes in driving order.

    Parameters
    ----------
    entries
        The end at which each lane is entered, shape (n - 1,); the other end is `entry ^ 1`.
    stops
        Positions after which the machine is emptied and filled, ascending.
    cost_s
        Links and stops together [s].
    """

    entries: NDArray[np.intp]
    stops: tuple[int, ...]
    cost_s: float


def tour_of(entries: NDArray[np.intp], links: Links, *, start: int = 1, used_l: float = 0.0) -> Tour:
    """A tour with the best stops for its order.

    Parameters
    ----------
    entries
        In driving order, shape (k,).
    links
        Costs and loads.
    start
        The end that the machine comes from; 1 is the parking place.
    used_l
        What is gone from its first tankful already [L].

    **Source** split of a giant tour, C. Prins, Computers & Operations Research 31(12), 2004,
    doi:10.1016/S0305-0548(03)00158-8.
    """
    base_s = float(
        links.link_s[start, entries[0]]
        + links.link_s[entries[:-1] ^ 1, entries[1:]].sum()
        + links.link_s[entries[-1] ^ 1, 0]
    )
    stops, extra_s = split(entries, links.link_s, links.loads, used_l)
    return Tour(entries=entries, stops=stops, cost_s=base_s + extra_s)


def nearest_first(links: Links) -> NDArray[np.intp]:
    """Entries in the order of always driving to the nearest lane left, shape (n - 1,).

    **Source** nearest neighbour rule; the usual naive start of a local search.
    """
    taken = np.zeros(len(links.link_s), dtype=bool)
    taken[:2] = True
    at = 1
    order = []
    for _ in range(links.lanes - 1):
        entry = int(np.argmin(np.where(taken, np.inf, links.link_s[at])))
        order.append(entry)
        taken[[entry, entry ^ 1]] = True
        at = entry ^ 1
    return np.array(order, dtype=np.intp)


def best_tour(
    links: Links,
    penalty_s: NDArray[np.floating[Any]] | None,
    rounds: int,
    rng: np.random.Generator,
    progress: Callable[[float], None] | None = None,
) -> Tour:
    """A short tour: nearest neighbour, local search, then kicks kept where links and stops get cheaper.

    Parameters
    ----------
    links
        Lanes, costs and loads.
    penalty_s
        Added to links while searching, to favour orders a driver can follow [s], shape (2n, 2n); the
        answer's cost leaves it out.
    rounds
        Number of kicks; the search is bounded by count, not by the clock, so that it repeats.
    rng
        Where chance comes from.
    progress
        Called now and then with the share of the rounds done.

    Notes
    -----
    **Source** iterated local search, H. R. Lourenco, O. Martin, T. Stuetzle, Handbook of Metaheuristics,
    2003; 2-opt (Croes 1958) and Or-opt (Or 1976) moves on lane ends. Against proved optima: see
    tests/outside/test_sequence_against_cp_sat.py.
    """
    if links.lanes <= 2:
        return _better_way_round(links)
    cost_s: NDArray[np.float32] = (
        links.link_s if penalty_s is None else (links.link_s + penalty_s).astype(np.float32, copy=False)
    )
    start = nearest_first(Links(link_s=cost_s, loads=links.loads))
    stops, _ = split(start, cost_s, links.loads)
    search = Search(
        cost_s=cost_s,
        water_l=links.loads.water_l,
        capacity_l=links.loads.capacity_l,
        stop_s=(links.loads.leave_s + links.loads.return_s) / 2,
        entries=start,
        stops=stops,
    )
    # The search keeps its own table; ten thousand ends make it a fifth of a gigabyte.
    del cost_s
    search.settle(list(range(search.size - 1, -1, -1)))
    current, best = search.keep(), search.keep()
    free_s = best[1] - float(links.loads.between_s.min()) * len(stops)
    for turn in range(rounds):
        if progress is not None and turn % 64 == 0:
            progress(turn / rounds)
        search.settle(search.kick(rng))
        slack_s = FIRST_SLACK_FRACTION * free_s * (1 - turn / rounds) ** 2
        if search.length_s < max(current[1], best[1] + slack_s) + 1e-9:
            current = search.keep()
            if current[1] < best[1] - 1e-6:
                best = current
        else:
            search.restore((current[0][:], current[1]))
    entries = [end for end in best[0][2::2] if end < search.lane_ends]
    return tour_of(np.array(entries, dtype=np.intp), links)


def _better_way_round(links: Links) -> Tour:
    ways = [tour_of(np.array([entry], dtype=np.intp), links) for entry in (2, 3)]
    return min(ways, key=lambda tour: tour.cost_s)
