"""One long tour shared out among several machines, each with its own trips from the parking place."""

import itertools
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrubwright.floor.sequence import Links, Tour, best_tour, tour_of
from scrubwright.floor.trips import Loads

HALVINGS = 20
MOST_WEIGHED = 4


def part_of(links: Links, lanes: NDArray[np.intp]) -> tuple[Links, NDArray[np.intp]]:
    """The links among some lanes and the parking place, and the full number of each of their ends.

    Parameters
    ----------
    links
        All lanes.
    lanes
        Numbers of the lanes kept, from 1, shape (k,).
    """
    kept = np.concatenate([[0], lanes])
    ends = np.stack([2 * kept, 2 * kept + 1], axis=1).ravel()
    square = np.ix_(ends, ends)
    loads = Loads(
        water_l=links.loads.water_l[kept],
        capacity_l=links.loads.capacity_l,
        to_drain_s=links.loads.to_drain_s[ends],
        to_tap_s=links.loads.to_tap_s[ends],
        between_s=links.loads.between_s,
    )
    return Links(link_s=links.link_s[square], loads=loads), ends


def shares(tour: Tour, links: Links, work_s: NDArray[np.float64], machines: int) -> tuple[NDArray[np.intp], ...]:
    """Cut a tour into stretches, one a machine, so that the last to finish is as early as can be.

    Parameters
    ----------
    tour
        The tour of one machine.
    links
        Costs and loads.
    work_s
        Deck-down time per lane, the parking place's (zero) first [s], shape (n,).
    machines
        How many, at least 1; fewer stretches come back where there are fewer lanes.

    **Source** contiguous partition by bisection on the answer, a standard method for min-max partition
    of a sequence.
    """
    entries = tour.entries
    machines = min(machines, len(entries))
    if machines == 1:
        return (entries,)

    def driven(first: int, last: int) -> tuple[float, tuple[int, ...]]:
        """Time of a stretch [s], and after how many of its lanes it stops."""
        part = entries[first:last]
        told = tour_of(part, links)
        return told.cost_s + float(work_s[part >> 1].sum()), told.stops

    def cut_for(limit_s: float, first: int = 0, left: int = machines) -> list[int] | None:
        """Ends of stretches that all keep a limit; None where there are none."""
        if left == 0:
            return [] if first == len(entries) else None
        low, high = first + 1, len(entries) - (left - 1)
        if driven(first, low)[0] > limit_s:
            return None
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if driven(first, middle)[0] <= limit_s else (low, middle - 1)
        # A stretch that ends where a tankful does saves a stop; as far as it goes comes second.
        stops = driven(first, low)[1] if left <= MOST_WEIGHED else ()
        for end in dict.fromkeys([*(first + stop + 1 for stop in stops[-1:]), low]):
            rest = cut_for(limit_s, end, left - 1)
            if rest is not None:
                return [end, *rest]
        return None

    low_s, high_s = 0.0, driven(0, len(entries))[0]
    best = cut_for(high_s)
    for _ in range(HALVINGS):
        middle_s = (low_s + high_s) / 2
        cuts = cut_for(middle_s)
        if cuts is None:
            low_s = middle_s
        else:
            best, high_s = cuts, middle_s
    if best is None:
        best = [round(index * len(entries) / machines) for index in range(1, machines + 1)]
    return tuple(entries[a:b] for a, b in itertools.pairwise([0, *best]))


def shared_tours(
    tour: Tour,
    links: Links,
    penalty_s: NDArray[np.floating[Any]] | None,
    work_s: NDArray[np.float64],
    machines: int,
    rounds: int,
    rng: np.random.Generator,
    progress: Callable[[float], None] | None = None,
) -> tuple[Tour, ...]:
    """A tour for each machine: its stretch of the long tour, searched again by itself.

    Parameters
    ----------
    tour, links, work_s, machines
        As in `shares`.
    penalty_s, rounds, rng, progress
        As in `best_tour`.

    **Source** ours, see docs/explanation/sequence.md.
    """
    parts = shares(tour, links, work_s, machines)
    found = []
    for number, part in enumerate(parts):
        stretch = tour_of(part, links)
        own, ends = part_of(links, np.sort(part >> 1))
        own_penalty_s = None if penalty_s is None else penalty_s[np.ix_(ends, ends)]
        searched = best_tour(own, own_penalty_s, max(1, rounds // len(parts)), rng)
        again = tour_of(ends[searched.entries], links)
        found.append(min(stretch, again, key=lambda each: _felt_s(each, penalty_s)))
        if progress is not None:
            progress((number + 1) / len(parts))
    return tuple(found)


def _felt_s(tour: Tour, penalty_s: NDArray[np.floating[Any]] | None) -> float:
    """Cost with what the order asks of the driver's head [s]."""
    if penalty_s is None:
        return tour.cost_s
    return tour.cost_s + float(penalty_s[tour.entries[:-1] ^ 1, tour.entries[1:]].sum())
