"""A proof of how good the order of lanes can be at all."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import connected_components

from scrubwright.floor.search import nearest_ends
from scrubwright.floor.sequence import Links, nearest_first
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.tankfuls import fewest_tankfuls

NEIGHBOURS = 8
PRICE_ROUNDS = 5
CUT_ROUNDS = 30
FEW_CUT_ROUNDS = 6
MANY_ENDS = 1200
ROWS_AT_ONCE = 512
MOST_COLUMNS_A_ROUND = 20_000
THRESHOLDS = (1e-6, 0.3, 0.6, 0.9)


@dataclass(slots=True, kw_only=True, eq=False)
class _Programme:
    """The relaxation as it grows: pairs of ends as columns, sets of lanes as cuts."""

    cost_s: NDArray[np.float32]
    leave_s: NDArray[np.float64]
    return_s: NDArray[np.float64]
    stops: int
    machines: int
    first: NDArray[np.intp]
    second: NDArray[np.intp]
    cuts: list[NDArray[np.bool_]]

    def solved(self) -> tuple[float, NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Value [s], columns, and the worth of ends and of cuts."""
        ends, pairs, cuts = len(self.cost_s), len(self.first), len(self.cuts)
        column = np.arange(pairs)
        rows = [self.first, self.second]
        columns = [column, column]
        cost_s = [self.cost_s[self.first, self.second].astype(np.float64)]
        limits = np.ones(ends)
        # Every machine leaves the parking place once and comes home once.
        limits[:2] = self.machines
        if self.stops:
            # Two columns an end: off to the drain, and back from the tap.
            out = pairs + np.arange(ends)
            rows += [np.arange(ends), np.arange(ends), np.full(ends, ends), np.full(ends, ends + 1)]
            columns += [out, out + ends, out, out + ends]
            cost_s += [self.leave_s, self.return_s]
            limits = np.concatenate([limits, [self.stops, self.stops]])
        row, col = np.concatenate(rows), np.concatenate(columns)
        objective_s = np.concatenate(cost_s)
        balance = csr_array(coo_array((np.ones(len(row)), (row, col)), shape=(len(limits), len(objective_s))))
        inner, limit = self._inner(len(objective_s))
        # HiGHS takes sparse matrices, which the type stubs leave out.
        answer = linprog(  # type: ignore[call-overload]
            objective_s, A_ub=inner, b_ub=limit, A_eq=balance, b_eq=limits, bounds=(0, 1), method="highs"
        )
        if answer.status != 0:
            raise NoAnswer("The lower bound could not be worked out: {message}", message=str(answer.message))
        worth_of_cuts = np.zeros(0) if not cuts else np.asarray(answer.ineqlin.marginals)
        return float(answer.fun), np.asarray(answer.x), np.asarray(answer.eqlin.marginals), worth_of_cuts

    def _inner(self, width: int) -> tuple[csr_array | None, NDArray[np.float64] | None]:
        """Left and right side of the cuts: links inside a set of lanes are fewer than its lanes."""
        if not self.cuts:
            return None, None
        lanes = np.array(self.cuts)
        inside = lanes[:, self.first >> 1] & lanes[:, self.second >> 1]
        row, col = np.nonzero(inside)
        matrix = csr_array(coo_array((np.ones(len(row)), (row, col)), shape=(len(self.cuts), width)))
        return matrix, (lanes.sum(axis=1) - 1).astype(np.float64)

    def priced(self, worth_of_ends: NDArray[np.float64], worth_of_cuts: NDArray[np.float64]) -> tuple[float, bool]:
        """Take in the pairs that would lower the value: what leaving them out may cost at most [s], and if any came.

        A pair is worth taking in where it costs less than its ends' and cuts' worth together.
        """
        ends = len(self.cost_s)
        biting = [(np.repeat(cut, 2), worth) for cut, worth in zip(self.cuts, worth_of_cuts, strict=True) if worth < 0]
        found: list[tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]] = []
        short_s = 0.0
        for low in range(0, ends, ROWS_AT_ONCE):
            rows = np.arange(low, min(ends, low + ROWS_AT_ONCE))
            left_s = self.cost_s[rows] - worth_of_ends[rows, None] - worth_of_ends[None, :ends]
            for inside, worth in biting:
                here = np.flatnonzero(inside[rows])
                if len(here):
                    left_s[np.ix_(here, inside)] -= worth
            left_s[rows - low, rows] = left_s[rows - low, rows ^ 1] = np.inf
            short_s += float(np.minimum(left_s.min(axis=1), 0.0).sum()) / 2
            first, second = np.nonzero(left_s < -1e-4)
            later = second > rows[first]
            first, second = first[later], second[later]
            found.append((rows[first], second, left_s[first, second]))
        first, second, left_s = (np.concatenate(part) for part in zip(*found, strict=True))
        if not len(first):
            return short_s, False
        if len(first) > MOST_COLUMNS_A_ROUND:
            chosen = np.argsort(left_s, kind="stable")[:MOST_COLUMNS_A_ROUND]
            first, second = first[chosen], second[chosen]
        self.first, self.second = np.concatenate([self.first, first]), np.concatenate([self.second, second])
        return short_s, True

    def settled_s(self) -> float:
        """The best value proved while pairs are priced in until none is left, or for a few rounds [s]."""
        best_s = 0.0
        for _ in range(PRICE_ROUNDS):
            value_s, _, worth_of_ends, worth_of_cuts = self.solved()
            short_s, grown = self.priced(worth_of_ends, worth_of_cuts)
            best_s = max(best_s, value_s + short_s)
            if not grown:
                break
        return best_s

    def add_cuts(self, columns: NDArray[np.float64]) -> bool:
        """Take in sets of lanes that the relaxed answer leaves on their own; whether there were any."""
        lanes, pairs = len(self.cost_s) // 2, len(self.first)
        value = columns[:pairs]
        to_stop = columns[pairs:].reshape(2, -1).sum(axis=0) if self.stops else np.zeros(len(self.cost_s))
        found = False
        seen = {cut.tobytes() for cut in self.cuts}
        for threshold in THRESHOLDS:
            held = value > threshold
            graph = coo_array((value[held], (self.first[held] >> 1, self.second[held] >> 1)), shape=(lanes, lanes))
            count, part = connected_components(csr_array(graph), directed=False)
            if count == 1 and not self.stops:
                continue
            inner = np.bincount(
                part[self.first >> 1],
                weights=value * (part[self.first >> 1] == part[self.second >> 1]),
                minlength=count,
            )
            sizes = np.bincount(part, minlength=count)
            for number in np.flatnonzero(inner > sizes - 1 + 1e-4):
                cut = part == number
                if (cut.all() and not self.stops) or cut.tobytes() in seen:
                    continue
                # With several machines, one may well go round some lanes and home while others do the rest.
                if cut[0] and self.machines > 1:
                    continue
                # A part that a stop reaches is tied to the rest through it.
                if to_stop[np.repeat(cut, 2)].sum() > 1 - 1e-4:
                    continue
                seen.add(cut.tobytes())
                self.cuts.append(cut)
                found = True
        return found


def least_links_s(links: Links, machines: int = 1) -> float:
    """Seconds that links and stops take at the very least, for these lanes in any order and direction.

    Every end of a lane is joined to one other; at least as many stops as the water needs are joined
    to a drain and a tap; no set of lanes closes on itself. The linear relaxation of that, with pairs
    of ends priced in as needed, is solved exactly; what pricing leaves undone is subtracted, so that
    the answer holds whenever the work is cut short.

    Parameters
    ----------
    links
        Lanes, costs and loads.
    machines
        How many share the lanes, each starting with a full tank [>= 1]; the answer is for all together.

    Raises
    ------
    NoAnswer
        The linear program was not solved.

    Notes
    -----
    **Source** G. Dantzig, R. Fulkerson, S. Johnson, Operations Research 2(4), 1954,
    doi:10.1287/opre.2.4.393 (subtour relaxation), here with one edge of every lane given; checked
    against proved optima in tests/outside.
    """
    cost_s = links.link_s
    ends = len(cost_s)
    machines = min(machines, ends // 2 - 1)
    if ends <= 4:
        return float(min(cost_s[1, 2] + cost_s[3, 0], cost_s[1, 3] + cost_s[2, 0]))
    own = np.arange(ends)
    near = nearest_ends(cost_s, NEIGHBOURS)
    pairs = np.unique(np.sort(np.stack([np.repeat(own, near.shape[1]), near.ravel()]), axis=0), axis=1)
    home = np.concatenate([[[0] * (ends - 2), range(2, ends)], [[1] * (ends - 2), range(2, ends)]], axis=1)
    start = nearest_first(links)
    joined = np.sort(np.stack([np.append(1, start ^ 1), np.append(start, 0)]), axis=0)
    pairs = np.unique(np.concatenate([pairs, home, joined], axis=1), axis=1)
    stops = fewest_tankfuls(float(links.loads.water_l.sum()), links.loads.capacity_l) - machines
    stops = max(0, stops)
    far = np.full(2, 1e6)
    programme = _Programme(
        cost_s=cost_s,
        leave_s=np.concatenate([far, links.loads.leave_s[2:]]),
        return_s=np.concatenate([far, links.loads.return_s[2:]]),
        stops=stops,
        machines=machines,
        first=pairs[0],
        second=pairs[1],
        cuts=[],
    )
    cut_rounds = CUT_ROUNDS if ends <= MANY_ENDS else FEW_CUT_ROUNDS
    # Price all pairs, then cut, then price again what the cuts have made worth having.
    best_s = programme.settled_s()
    for _ in range(cut_rounds):
        if not programme.add_cuts(programme.solved()[1]):
            break
    return max(best_s, programme.settled_s())
