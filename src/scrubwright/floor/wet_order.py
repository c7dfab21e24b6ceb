"""Lanes put into an order that crosses less wet floor and waits less for sections to dry."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrubwright.floor.links import Network
from scrubwright.floor.sections import section_starts
from scrubwright.floor.sequence import Tour, tour_of
from scrubwright.floor.stages import Stages
from scrubwright.floor.tracks import Tracks
from scrubwright.floor.wet import SHORTEST_COUNTED_M

# What a metre of wet floor left alone may cost (ours): the time to drive some ten metres.
WORTH_S_PER_M = 6.0
# What the whole night may become longer by, for less wet floor crossed.
LOSS_FRACTION = 0.01
MOST_TRIALS = 600
# Of each kind of move the cheapest are tried out.
_TRIED_A_KIND = 10
# Blocks before and after a bad link that may be turned round or change places.
_BLOCKS_NEAR = 9
_LANES_NEAR = 2
_LEAST_WET_M = 0.1
_LEAST_WAIT_S = 1.0
_LEAST_GAIN_S = 0.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trial:
    """An order on the clock; arrays have one entry a link, the way home last, shape (n + 1,).

    Parameters
    ----------
    tour
        The order with its stops.
    wet_m
        How far each link runs over wet floor [m].
    wait_s
        How long the lane after each link waits for the section before to dry [s].
    time_s
        Links, stops and waits [s].
    felt_s
        The same with what wet floor and leaving a block are worth [s].
    """

    tour: Tour
    wet_m: NDArray[np.float64]
    wait_s: NDArray[np.float64]
    time_s: float
    felt_s: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WetNight:
    """What orders of lanes are weighed by.

    Parameters
    ----------
    net, tracks
        Lanes, ways and the tracks they cross.
    areas
        Names of areas, by the numbers that lanes have.
    stages
        What must come before what, how long floor stays wet, and which areas have people.
    penalty_s
        What leaving a block costs a driver's head [s], as in `Neighbours.penalty_s`.
    lane_s
        Deck-down time of each lane, the parking place's (zero) first [s], shape (lanes + 1,).
    start, used_l
        As in `tour_of`.
    """

    net: Network
    tracks: Tracks
    areas: tuple[str, ...]
    stages: Stages
    penalty_s: NDArray[np.floating]
    lane_s: NDArray[np.float64]
    start: int = 1
    used_l: float = 0.0

    def trial(self, entries: NDArray[np.intp]) -> Trial:
        """The order on the clock, with its wet floor and waits.

        **Source** ours, see docs/explanation/the-shift.md.
        """
        links = self.net.links
        tour = tour_of(entries, links, start=self.start, used_l=self.used_l)
        out, into = self.ends(entries)
        link_s = links.link_s[out, into].astype(np.float64)
        stops = np.array(tour.stops, dtype=np.intp) + 1
        via = np.zeros((0, 2), dtype=np.intp)
        if len(stops):
            link_s[stops], via = links.loads.stop_s(out[stops], into[stops])
        look_up_s = self.penalty_s[out, into].astype(np.float64)
        on_lane_s = np.append(self.lane_s[entries >> 1], 0.0)
        end_s = np.cumsum(link_s + on_lane_s)
        begins = np.flatnonzero((look_up_s[:-1] > 0) | np.isin(np.arange(len(entries)), [0, *stops.tolist()]))
        wait_s = self._waits_s(entries, begins, end_s, on_lane_s)
        end_s = end_s + np.cumsum(wait_s)
        wet_m = self._wet_m(out, into, stops, via, end_s, link_s)
        time_s = float(link_s.sum() + wait_s.sum())
        return Trial(
            tour=tour,
            wet_m=wet_m,
            wait_s=wait_s,
            time_s=time_s,
            felt_s=time_s + float(look_up_s.sum() + WORTH_S_PER_M * wet_m.sum()),
        )

    def ends(self, entries: NDArray[np.intp]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """The end that each link leaves, and the one that it comes to; the last comes home."""
        return np.concatenate([[self.start], entries ^ 1]), np.append(entries, 0)

    def _waits_s(
        self,
        entries: NDArray[np.intp],
        begins: NDArray[np.intp],
        end_s: NDArray[np.float64],
        on_lane_s: NDArray[np.float64],
    ) -> NDArray[np.float64]:
        """What the first lane of each section waits until the section before it in its area is dry [s]."""
        wait_s = np.zeros(len(entries) + 1)
        if not self.stages.people:
            return wait_s
        area = [self.areas[self.net.lanes[(entry >> 1) - 1].area] for entry in entries[begins].tolist()]
        twice = {self.areas[lane.area] for lane in self.net.lanes if lane.second}
        begin_s = (end_s - on_lane_s)[begins]
        last_s = [*(end_s[begins[1:] - 1]).tolist(), float(end_s[len(entries) - 1])]
        starts = set(section_starts(area, begin_s.tolist(), self.stages.people, tuple(twice)))
        waited_s = 0.0
        open_s: dict[str, float] = {}
        for place, name in enumerate(area):
            if place in starts:
                wait = max(0.0, open_s.get(name, 0.0) - float(begin_s[place]) - waited_s)
                wait_s[begins[place]] = wait
                waited_s += wait
            if name in self.stages.people:
                open_s[name] = last_s[place] + waited_s + self.stages.opens_s
        return wait_s

    def _wet_m(
        self,
        out: NDArray[np.intp],
        into: NDArray[np.intp],
        stops: NDArray[np.intp],
        via: NDArray[np.intp],
        end_s: NDArray[np.float64],
        link_s: NDArray[np.float64],
    ) -> NDArray[np.float64]:
        """How far each link runs over wet floor [m]."""
        net, tracks = self.net, self.tracks
        done_s = np.full(len(net.lanes) + 1, np.inf)
        done_s[into[:-1] >> 1] = end_s[:-1]
        done = done_s.tolist()
        set_out_s = np.concatenate([[0.0], end_s[:-1]]).tolist()
        wet_m = np.zeros(len(out))
        longest_m = np.maximum(net.travel.distance_m[out, into], np.maximum(net.back_m[out], net.back_m[into]))
        longest_m[-1] = 0.0
        longest_m[stops] = 0.0
        for link in np.flatnonzero(longest_m > SHORTEST_COUNTED_M).tolist():
            wet_m[link] = tracks.crossed_m(int(out[link]), int(into[link]), set_out_s[link], done)
        for link, (drain, tap) in zip(stops.tolist(), via.tolist(), strict=True):
            there, fro = net.drain_point(drain), net.tap_point(tap)
            back_s = set_out_s[link] + float(link_s[link] - net.links.loads.to_tap_s[into[link], tap])
            wet_m[link] = tracks.crossed_m(int(out[link]), there, set_out_s[link], done)
            wet_m[link] += tracks.crossed_m(fro, int(into[link]), back_s, done)
        drain = net.drain_point(int(net.last_drain[out[-1]]))
        wet_m[-1] = tracks.crossed_m(int(out[-1]), drain, set_out_s[-1], done)
        wet_m[-1] += tracks.crossed_m(drain, 0, set_out_s[-1] + float(link_s[-1]) / 2, done)
        return wet_m


def drier_tour(tour: Tour, night: WetNight, *, trials: int = MOST_TRIALS) -> Tour:
    """The tour with stretches turned round or moved where that crosses less wet floor, or waits less.

    Each link that runs over wet floor, and each wait, is looked at by itself, the worst first: stretches that end
    at it, or at the lane whose track it crosses, are turned round, and neighbouring stretches change places. The
    best of the cheapest moves is made where what it saves is worth its time.

    Parameters
    ----------
    tour
        In an order that keeps the stages.
    night
        What orders are weighed by.
    trials
        How many orders are tried out at most.

    Notes
    -----
    The answer is never longer than the tour by more than 1 % of the night, and never felt to be worse.
    **Source** ours, see docs/explanation/the-shift.md; moves as in `floor.search`.
    """
    best = night.trial(tour.entries)
    limit_s = best.time_s + LOSS_FRACTION * (best.time_s + float(night.lane_s[tour.entries >> 1].sum()))
    keeps = _keeps(tour.entries, night)
    back = tour.entries[::-1] ^ 1
    if keeps(back):
        best = _better(best, night.trial(back), limit_s)
    given_up: set[tuple[int, int]] = set()
    while trials > 0:
        out, into = night.ends(best.tour.entries)
        bad = np.flatnonzero((best.wet_m > _LEAST_WET_M) | (best.wait_s > _LEAST_WAIT_S))
        loss_s = WORTH_S_PER_M * best.wet_m + best.wait_s
        left = [at for at in bad.tolist() if (int(out[at]), int(into[at])) not in given_up]
        if not left:
            break
        worst = max(left, key=lambda at: float(loss_s[at]))
        found = best
        for entries in _moved(best, worst, night, float(loss_s.sum())):
            if trials > 0 and keeps(entries):
                trials -= 1
                found = _better(found, night.trial(entries), limit_s)
        if found is best:
            given_up.add((int(out[worst]), int(into[worst])))
        best = found
    return best.tour


def _better(one: Trial, other: Trial, limit_s: float) -> Trial:
    """The other where it is felt to be better by enough; more wet floor is only taken for less waiting."""
    pays = other.wet_m.sum() <= one.wet_m.sum() or other.wait_s.sum() < one.wait_s.sum()
    return other if pays and other.time_s <= limit_s and other.felt_s < one.felt_s - _LEAST_GAIN_S else one


def _keeps(entries: NDArray[np.intp], night: WetNight) -> Callable[[NDArray[np.intp]], bool]:
    """Whether an order keeps the stages, and the two passes of every double scrub just as they are."""
    areas = np.array([lane.area for lane in night.net.lanes])
    stage = night.stages.numbers(night.areas)[areas]
    doubles = {lane.area for lane in night.net.lanes if lane.second}
    twice = np.isin(areas, list(doubles))
    kept = entries[twice[(entries >> 1) - 1]]

    def keeps(order: NDArray[np.intp]) -> bool:
        lanes = (order >> 1) - 1
        in_stages = bool((np.diff(stage[lanes]) >= 0).all())
        return in_stages and np.array_equal(order[twice[lanes]], kept) and _in_one_piece(areas[lanes], doubles)

    return keeps


def _in_one_piece(areas: NDArray[np.intp], doubles: set[int]) -> bool:
    """Whether each area that is scrubbed twice is driven without a break."""
    return all(np.ptp(at) == len(at) - 1 for at in (np.flatnonzero(areas == each) for each in doubles) if len(at))


def _moved(best: Trial, bad: int, night: WetNight, worth_s: float) -> Iterator[NDArray[np.intp]]:
    """Orders near the best that change what one of its links meets, the cheapest of each kind of move.

    Parameters
    ----------
    best
        The order.
    bad
        The link that runs over wet floor, or that a wait follows.
    night
        What orders are weighed by.
    worth_s
        What a move may add to links at most [s].
    """
    entries = best.tour.entries
    out, into = night.ends(entries)
    cuts, at_it = _cuts(best, bad, night)

    def felt_s(leave: NDArray[np.intp], enter: NDArray[np.intp]) -> NDArray[np.float64]:
        return night.net.links.link_s[leave, enter].astype(np.float64) + night.penalty_s[leave, enter]

    now_s = felt_s(out, into)
    rank, is_at = np.arange(len(cuts)), np.isin(cuts, at_it)
    a, b = (cuts[at] for at in np.nonzero((rank[:, None] < rank) & (is_at[:, None] | is_at)))
    added_s = felt_s(out[a], out[b]) + felt_s(into[a], into[b]) - now_s[a] - now_s[b]
    for at in _cheapest(added_s, worth_s):
        low, high = int(a[at]), int(b[at])
        yield np.concatenate([entries[:low], entries[low:high][::-1] ^ 1, entries[high:]])
    in_order = (rank[:, None, None] < rank[:, None]) & (rank[:, None] < rank)
    a, b, c = (cuts[at] for at in np.nonzero(in_order & (is_at[:, None, None] | is_at[:, None] | is_at)))
    added_s = felt_s(out[a], into[b]) + felt_s(out[c], into[a]) + felt_s(out[b], into[c])
    for at in _cheapest(added_s - now_s[a] - now_s[b] - now_s[c], worth_s):
        low, middle, high = int(a[at]), int(b[at]), int(c[at])
        yield np.concatenate([entries[:low], entries[middle:high], entries[low:middle], entries[high:]])


def _cheapest(added_s: NDArray[np.float64], worth_s: float) -> list[int]:
    order = np.argsort(added_s, kind="stable")[:_TRIED_A_KIND]
    return [int(at) for at in order if added_s[at] <= worth_s]


def _cuts(best: Trial, bad: int, night: WetNight) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Where the order may be cut to mend a link: there, at the lanes that it crosses, and where blocks begin.

    Cut k lies before the lane at place k. The second array has those of the cuts that a move must touch.
    """
    entries = best.tour.entries
    out, into = night.ends(entries)
    place = np.full(len(night.net.lanes) + 1, -1, dtype=np.intp)
    place[entries >> 1] = np.arange(len(entries))
    crossed = place[night.tracks.lanes_passed(int(out[bad]), int(into[bad]))]
    crossed = crossed[(crossed >= 0) & (crossed < bad)][-_LANES_NEAR:]
    at_it = np.unique([bad, *crossed, *(crossed + 1)])
    begins = np.flatnonzero(night.penalty_s[out, into] > 0)
    # A wait is mended by other work, wherever that stands; wet floor by what lies about it.
    near = len(begins) if best.wait_s[bad] > _LEAST_WAIT_S else _BLOCKS_NEAR
    middle = int(np.searchsorted(begins, bad))
    about = np.arange(bad - _LANES_NEAR, bad + _LANES_NEAR + 1)
    cuts = np.unique([0, len(entries), *at_it, *about, *begins[max(0, middle - near) : middle + near]])
    return cuts[(cuts >= 0) & (cuts <= len(entries))], at_it
