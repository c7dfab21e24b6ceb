"""The local search itself: a tour of lane ends, the moves that shorten it, and the tankfuls it must keep."""

from bisect import bisect_left, bisect_right

import numpy as np
from numpy.typing import NDArray

NEIGHBOURS = 10
LONGEST_MOVED = 3
KICK_SPAN = 50
LEAST_GAIN_S = 1e-7
FORBIDDEN_S = 1e6


class Search:
    """A cyclic tour as a list of ends (entry, exit, entry, exit ...) with moves that shorten it.

    The parking place stands first and never turns. Stops are lanes without length that take no
    water; between two of them no more than a tankful is used, after every move.

    State lives between calls: the tour, its length, each end's place in it, the water used up to each
    place, the places of the stops, and which places changed since the tour was last kept.

    Parameters
    ----------
    cost_s
        Seconds between ends of lanes, shape (2n, 2n), symmetric.
    water_l
        Solution per lane [L], shape (n,).
    capacity_l
        A tankful [L].
    stop_s
        Half of what a stop costs when it is next to each end [s], shape (2n,).
    entries, stops
        The order to start from, as in `Tour`.
    """

    def __init__(
        self,
        *,
        cost_s: NDArray[np.float32],
        water_l: NDArray[np.float64],
        capacity_l: float,
        stop_s: NDArray[np.float64],
        entries: NDArray[np.intp],
        stops: tuple[int, ...],
    ) -> None:
        self.lane_ends = len(cost_s)
        self.size = self.lane_ends + 2 * len(stops)
        full_s = np.full((self.size, self.size), FORBIDDEN_S, dtype=np.float32)
        full_s[: self.lane_ends, : self.lane_ends] = cost_s
        full_s[2 : self.lane_ends, self.lane_ends :] = stop_s[2:, None]
        full_s[self.lane_ends :, 2 : self.lane_ends] = stop_s[None, 2:]
        # Views of rows read as fast as lists and take a quarter of the room.
        self.cost_s: list[memoryview] = [memoryview(row) for row in full_s]  # type: ignore[arg-type]
        self.near = nearest_ends(full_s, NEIGHBOURS).tolist()
        self.water_l: list[float] = [*water_l.tolist(), *[0.0] * len(stops)]
        self.capacity_l = capacity_l + 1e-9
        self.tour: list[int] = [0, 1]
        waiting = list(range(self.lane_ends, self.size, 2))
        for position, entry in enumerate(entries.tolist()):
            self.tour += [entry, entry ^ 1]
            if position in stops:
                stop = waiting.pop()
                self.tour += [stop, stop ^ 1]
        self.place = [0] * self.size
        self.used_l = [0.0] * (self.size + 2)
        self.breaks: list[int] = []
        self._changed = (0, self.size)
        self._number(0, self.size)
        self.length_s: float = sum(
            self.cost_s[self.tour[at]][self.tour[(at + 1) % self.size]] for at in range(1, self.size, 2)
        )
        self._changed = (self.size, 0)

    def keep(self) -> tuple[list[int], float]:
        """The tour and its length [s], to come back to."""
        self._changed = (self.size, 0)
        return self.tour[:], self.length_s

    def restore(self, kept: tuple[list[int], float]) -> None:
        """Go back to what was kept last."""
        low, high = self._changed
        self.tour, self.length_s = kept
        if low < high:
            self._number(low, high)

    def _number(self, low: int, high: int) -> None:
        """Bring places, water and breaks up to date for places low..high-1."""
        tour, place, used_l, water_l = self.tour, self.place, self.used_l, self.water_l
        low &= ~1
        self._changed = (min(self._changed[0], low), max(self._changed[1], high))
        level_l = used_l[low]
        for index in range(low, high, 2):
            end = tour[index]
            place[end] = index
            place[end ^ 1] = index + 1
            level_l += water_l[end >> 1]
            used_l[index + 2] = level_l
        self.breaks = sorted([0, *(place[stop] & ~1 for stop in range(self.lane_ends, self.size, 2))])

    def _turns_keep_tankfuls(self, low: int, high: int) -> bool:
        """Whether every tankful still does after turning round places low..high-1."""
        breaks, used_l = self.breaks, self.used_l
        first = bisect_left(breaks, low)
        if first == len(breaks) or breaks[first] >= high:
            return True
        last = bisect_left(breaks, high) - 1
        after = breaks[last + 1] if last + 1 < len(breaks) else self.size
        front_l = used_l[low] - used_l[breaks[first - 1]] + used_l[high] - used_l[breaks[last]]
        rear_l = used_l[breaks[first]] - used_l[low] + used_l[after] - used_l[high]
        return front_l <= self.capacity_l and rear_l <= self.capacity_l

    def _move_keeps_tankfuls(self, low: int, high: int, goal: int) -> bool:
        """Whether every tankful still does after moving places low..high-1 to before `goal`."""
        breaks, used_l = self.breaks, self.used_l
        at = bisect_left(breaks, low)
        if at < len(breaks) and breaks[at] < high:
            if high - low > 2:
                return False
            others = sorted([*breaks[:at], *breaks[at + 1 :], goal])
            return all(
                used_l[b] - used_l[a] <= self.capacity_l for a, b in zip(others, [*others[1:], self.size], strict=True)
            )
        from_trip, to_trip = bisect_right(breaks, low), bisect_left(breaks, goal)
        if from_trip == to_trip:
            return True
        end = breaks[to_trip] if to_trip < len(breaks) else self.size
        held_l = used_l[end] - used_l[breaks[to_trip - 1]]
        return held_l + used_l[high] - used_l[low] <= self.capacity_l

    def _reverse(self, low: int, high: int) -> None:
        self.tour[low:high] = self.tour[low:high][::-1]
        self._number(low, high)

    def _turn_back(self, end: int, queue: list[int]) -> bool:
        """2-opt: link this end to a near one of its own side and turn round what lies between."""
        cost_s, place, tour, size = self.cost_s, self.place, self.tour, self.size
        at = place[end]
        row = cost_s[end]
        other = tour[(at + 1) % size if at & 1 else at - 1]
        link_s = row[other]
        for near in self.near[end]:
            gain_s = link_s - row[near]
            if gain_s <= LEAST_GAIN_S:
                return False
            near_at = place[near]
            if (near_at ^ at) & 1:
                continue
            beyond = tour[(near_at + 1) % size if near_at & 1 else near_at - 1]
            gain_s += cost_s[near][beyond] - cost_s[other][beyond]
            if beyond == end or gain_s <= LEAST_GAIN_S:
                continue
            first, last = (at, near_at) if at < near_at else (near_at, at)
            # Exits sit on odd places: what lies between starts one further on; entries on even ones.
            low, high = (first + 1, last + 1) if at & 1 else (first, last) if first > 0 else (last, size)
            if not self._turns_keep_tankfuls(low, high):
                continue
            self._reverse(low, high)
            self.length_s -= gain_s
            queue += [end, other, near, beyond]
            return True
        return False

    def _move_lanes(self, end: int, queue: list[int]) -> bool:
        """Or-opt: move one to three lanes that start at this end between two others, either way round."""
        cost_s, place, tour, size = self.cost_s, self.place, self.tour, self.size
        at = place[end]
        if at < 2:
            return False
        forward = not at & 1
        row = cost_s[end]
        for count in range(1, LONGEST_MOVED + 1):
            low, high = (at, at + 2 * count) if forward else (at + 1 - 2 * count, at + 1)
            if low < 2 or high > size:
                return False
            far = tour[high - 1] if forward else tour[low]
            before, after = tour[low - 1], tour[high % size]
            head, tail = tour[low], tour[high - 1]
            freed_s = cost_s[before][head] + cost_s[tail][after] - cost_s[before][after]
            if freed_s <= LEAST_GAIN_S:
                continue
            far_row = cost_s[far]
            for near in self.near[end]:
                if row[near] >= freed_s:
                    break
                near_at = place[near]
                if low <= near_at < high:
                    continue
                beside = tour[(near_at + 1) % size if near_at & 1 else near_at - 1]
                if low <= place[beside] < high:
                    continue
                gain_s = freed_s - row[near] - far_row[beside] + cost_s[near][beside]
                if gain_s <= LEAST_GAIN_S:
                    continue
                goal = (near_at + 1 if near_at & 1 else near_at) or size
                if not self._move_keeps_tankfuls(low, high, goal):
                    continue
                self._insert(low, high, goal, turned=bool(near_at & 1) != forward)
                self.length_s -= gain_s
                queue += [before, after, head, tail, near, beside]
                return True
        return False

    def _insert(self, low: int, high: int, goal: int, *, turned: bool) -> None:
        tour = self.tour
        block = tour[low:high]
        if turned:
            block.reverse()
        if goal >= high:
            tour[low:goal] = tour[high:goal] + block
            self._number(low, goal)
        else:
            tour[goal:high] = block + tour[goal:low]
            self._number(goal, high)

    def settle(self, queue: list[int]) -> None:
        """Apply improving moves until none is left for the ends in the queue."""
        waiting = set(queue)
        while queue:
            end = queue.pop()
            if end not in waiting:
                continue
            waiting.discard(end)
            touched: list[int] = []
            while self._turn_back(end, touched) or self._move_lanes(end, touched):
                pass
            for each in touched:
                if each not in waiting:
                    waiting.add(each)
                    queue.append(each)

    def kick(self, rng: np.random.Generator) -> list[int]:
        """Exchange two neighbouring short stretches of the tour.

        The ends of the cut links come back; none where that would overfill a tank (nothing is done then).
        """
        lanes = self.size // 2 - 1
        span = min(KICK_SPAN, lanes)
        if span < 2:
            return []
        first = 1 + int(rng.integers(0, lanes - span + 1))
        picks = rng.integers(0, [span + 1, span, span - 1]).tolist()
        cuts = sorted(_distinct(picks))
        a, b, c = (2 * (first + cut) for cut in cuts)
        before_s = self._around_s(a, b, c)
        tour = self.tour
        touched = [tour[a - 1], tour[a], tour[b - 1], tour[b % self.size], tour[c - 1], tour[c % self.size]]
        tour[a:c] = tour[b:c] + tour[a:b]
        self._number(a, c)
        ends = [*self.breaks[1:], self.size]
        if all(
            self.used_l[high] - self.used_l[low] <= self.capacity_l for low, high in zip(self.breaks, ends, strict=True)
        ):
            self.length_s += self._around_s(a, a + c - b, c) - before_s
            return touched
        tour[a:c] = tour[a + c - b : c] + tour[a : a + c - b]
        self._number(a, c)
        return []

    def _around_s(self, *places: int) -> float:
        """Sum of the links before these places [s]."""
        tour, size = self.tour, self.size
        return sum(self.cost_s[tour[at - 1]][tour[at % size]] for at in places)


def nearest_ends(cost_s: NDArray[np.float32], count: int) -> NDArray[np.intp]:
    """For each end the cheapest others that are not on its own lane, cheapest first, shape (ends, count).

    Parameters
    ----------
    cost_s
        Seconds between ends, shape (ends, ends).
    count
        How many; fewer where there are not as many.
    """
    size = len(cost_s)
    count = min(count, size - 2)
    found = np.empty((size, count), dtype=np.intp)
    for end in range(size):
        row = cost_s[end].copy()
        row[[end, end ^ 1]] = np.inf
        near = np.argpartition(row, count - 1)[:count]
        found[end] = near[np.lexsort((near, row[near]))]
    return found


def _distinct(picks: list[int]) -> list[int]:
    """Three different whole numbers from one pick each out of n, n - 1 and n - 2 (selection sampling)."""
    chosen: list[int] = []
    for pick in picks:
        value = pick
        for earlier in sorted(chosen):
            value += earlier <= value
        chosen.append(value)
    return chosen
