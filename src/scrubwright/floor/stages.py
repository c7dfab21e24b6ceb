"""What must come before what: areas in stages, and the two passes of a double scrub with time between."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.sequence import Links, Tour, best_tour, tour_of
from scrubwright.floor.sharing import part_of
from scrubwright.measures.errors import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Stages:
    """What must come before what on one floor.

    Parameters
    ----------
    stage_of
        Names of areas with the stage that each belongs to; all lanes of a stage come before those of the next.
        What is not named belongs to stage 0.
    contact_s
        How long solution must act between the two passes of a double scrub [s, >= 0].
    dry_s
        How long floor stays wet behind the machine [s, >= 0]; the order is bent so that it crosses less wet floor.
        0 leaves that out.
    people
        Names of areas with people, closed section by section.
    opens_s
        How long after its last lane a section may be walked on again [s, >= 0]; the next one waits for that.
    """

    stage_of: tuple[tuple[str, int], ...] = ()
    contact_s: float = 0.0
    dry_s: float = 0.0
    people: tuple[str, ...] = ()
    opens_s: float = 0.0

    def __post_init__(self) -> None:
        for given_s in (self.dry_s, self.opens_s):
            if not given_s >= 0:
                raise BadInput("Floor dries in {given} seconds; enter zero or more.", given=str(given_s))
        if not self.contact_s >= 0:
            raise BadInput(
                "The solution acts for {given} seconds; enter zero or more, as its label says.",
                given=str(self.contact_s),
            )

    def numbers(self, areas: Sequence[str]) -> NDArray[np.intp]:
        """The stage of each area, shape (areas,)."""
        named = dict(self.stage_of)
        return np.array([named.get(area, 0) for area in areas], dtype=np.intp)


def firsts(lanes: Sequence[LaneLine]) -> NDArray[np.intp]:
    """Numbers of the lanes that are no second pass, from 1, shape (k,)."""
    return np.array([number for number, lane in enumerate(lanes, 1) if not lane.second], dtype=np.intp)


def staged(
    tour: Tour,
    lanes: Sequence[LaneLine],
    links: Links,
    stage_of_area: NDArray[np.intp],
    *,
    rounds: int = 0,
    penalty_s: NDArray[np.floating[Any]] | None = None,
    rng: np.random.Generator | None = None,
) -> Tour:
    """A tour of first passes put into stages.

    The tour's own order is kept within each stage; where rounds are given, each stage is also searched anew
    by itself, and the cheaper of the two ways is taken.

    Parameters
    ----------
    tour
        Over the lanes that are no second pass.
    lanes, links
        All lanes, and what joins them.
    stage_of_area
        See `Stages.numbers`.
    rounds, penalty_s, rng
        As in `best_tour`, for all stages together; 0 leaves the search out.

    **Source** ours, see docs/explanation/the-shift.md.
    """
    stage = np.array([stage_of_area[lanes[(int(entry) >> 1) - 1].area] for entry in tour.entries])
    doubles = {lane.area for lane in lanes if lane.second}
    if len(np.unique(stage)) == 1 and not doubles:
        return tour
    sorted_tour = tour_of(_gathered(tour.entries, stage, lanes, doubles), links)
    if not rounds or rng is None or len(np.unique(stage)) == 1:
        return sorted_tour
    found = []
    for each in np.unique(stage):
        own = np.sort(tour.entries[stage == each] >> 1)
        part, ends = part_of(links, own)
        part_penalty_s = None if penalty_s is None else penalty_s[np.ix_(ends, ends)]
        share = max(1, rounds * len(own) // len(tour.entries))
        order = ends[best_tour(part, part_penalty_s, share, rng).entries]
        found.append(_gathered(order, np.zeros(len(order), dtype=np.intp), lanes, doubles))
    searched = tour_of(np.concatenate(found), links)
    return min(sorted_tour, searched, key=lambda way: way.cost_s)


def _gathered(
    entries: NDArray[np.intp], stage: NDArray[np.intp], lanes: Sequence[LaneLine], doubles: set[int]
) -> NDArray[np.intp]:
    """The entries by stage, each area that is scrubbed twice in one piece where its first lane stands."""
    place = np.arange(len(entries))
    first_of: dict[int, int] = {}
    for at, entry in enumerate(entries.tolist()):
        area = lanes[(entry >> 1) - 1].area
        if area in doubles:
            place[at] = first_of.setdefault(area, at)
    return entries[np.lexsort((np.arange(len(entries)), place, stage))]


def with_second_passes(
    tour: Tour, lanes: Sequence[LaneLine], links: Links, lane_s: NDArray[np.float64], contact_s: float
) -> Tour:
    """A tour of first passes with the second passes put in, each lane twice in one direction.

    A run of first passes is shared out into parts that each take as long as the solution must act, and each part
    is driven again in the same order. So every lane waits about as long, and none dries in between. Where a whole
    run is over sooner, the machine has to wait.

    Parameters
    ----------
    tour
        Over the lanes that are no second pass.
    lanes, links
        All lanes, and what joins them.
    lane_s
        Deck-down time of each lane, the parking place's (zero) first [s], shape (n,).
    contact_s
        How long the solution must act [s].

    **Source** ours, see docs/explanation/the-shift.md.
    """
    second_of = _second_passes(lanes)
    if not second_of:
        return tour
    entries: list[int] = []
    run: list[int] = []
    for entry in [*tour.entries.tolist(), None]:
        area = None if entry is None or (entry >> 1) not in second_of else lanes[(entry >> 1) - 1].area
        if run and area != lanes[(run[0] >> 1) - 1].area:
            for part in _parts(run, links, lane_s, contact_s):
                entries += part + [2 * second_of[each >> 1] + (each & 1) for each in part]
            run = []
        if area is not None and entry is not None:
            run.append(entry)
        elif entry is not None:
            entries.append(entry)
    return tour_of(np.array(entries, dtype=np.intp), links)


def _parts(run: list[int], links: Links, lane_s: NDArray[np.float64], contact_s: float) -> list[list[int]]:
    """A run of entries in as many parts of about equal time as each lasts the contact time."""
    ends_s = np.cumsum(lane_s[np.array(run) >> 1])
    ends_s[1:] += np.cumsum(links.link_s[np.array(run[:-1], dtype=np.intp) ^ 1, run[1:]])
    count = max(1, int(ends_s[-1] // contact_s)) if contact_s > 0 else len(run)
    part_of_lane = np.minimum((ends_s - ends_s[0] / 2) * count // ends_s[-1], count - 1)
    parts = [[entry for entry, at in zip(run, part_of_lane, strict=True) if at == part] for part in range(count)]
    return [part for part in parts if part]


def _second_passes(lanes: Sequence[LaneLine]) -> dict[int, int]:
    """For the number of each first pass that of its second."""
    seconds = {lane.line.wkb: number for number, lane in enumerate(lanes, 1) if lane.second}
    return {
        number: seconds[lane.line.wkb]
        for number, lane in enumerate(lanes, 1)
        if not lane.second and lane.line.wkb in seconds
    }
