"""The order of the night's charges: shared out among circuits, put on the clock, and what fails there told back.

Method ours, docs/explanation/charging-tonight.md.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import groupby

from scrubwright.jobs.charging_clock import Choice, Timetable, timed
from scrubwright.jobs.charging_grid import ROUNDING_A, Grid, Run
from scrubwright.jobs.charging_program import Outcome
from scrubwright.jobs.charging_sharing import Aim, Cut, Sharing, shared_out
from scrubwright.jobs.charging_tidy import PAUSE_FRACTION, filled_up, tidied

# An order this close to the bound is taken as the best one.
CLOSE_FRACTION = 0.01
# So often a sharing is put on the clock before the search gives up, and so long one program may take.
MOST_ROUNDS, CHEAP_ROUNDS = 6, 4
SHARING_S = 4.0
CLOCK_S = 4.0
UNBROKEN_S = 2.0
CORE_S = 0.5
# The search for an order without pauses that ends no later is a nicety, and kept short.
TIDY_ROUNDS, TIDY_S = 3, 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """An order, and what is proved about it.

    Parameters
    ----------
    runs
        One for each charge that is done in time; empty where no order was found.
    is_proved
        With runs: that no order is better by more than `CLOSE_FRACTION`. Without: that there is no order in time.
    worth_ratio, bound_ratio
        What the order weighs and what none weighs less: slots until all is done, money, or charges left out.
    """

    runs: tuple[Run, ...]
    is_proved: bool
    worth_ratio: float = 0.0
    bound_ratio: float = 0.0

    @property
    def gap_fraction(self) -> float:
        """How far it may be from the best order, as a share of itself [0 or more]."""
        return max(0.0, 1 - self.bound_ratio / self.worth_ratio) if self.worth_ratio > 0 else 0.0


def in_time(grid: Grid) -> Order:
    """Some order in which every charge is done in time."""
    return _best(grid, Aim.FIT)


def cheapest(grid: Grid) -> Order:
    """The order of least cost; of those that cost nearly the same, one with few pauses that is done early."""
    found = _best(grid, Aim.CHEAP, rounds=CHEAP_ROUNDS)
    some = found if found.runs or found.is_proved else in_time(grid)
    if not some.runs:
        return some
    runs = tidied(grid, some.runs)
    money = cost_money(grid, runs)
    return replace(found, runs=runs, worth_ratio=money, is_proved=_is_close(money, found.bound_ratio))


def fullest(grid: Grid) -> Order:
    """An order that leaves out as few charges as can be."""
    return _best(grid, Aim.MOST)


def earliest(grid: Grid) -> Order:
    """The order in which all is done soonest, with no pause where none is needed for that."""
    found = in_time(grid)
    if not found.runs:
        return found
    ends = _ends(found.runs)
    least, sharing = _least_end(grid, ends)
    bound, step = least, 1
    while least < ends:
        trial = _best(grid.until(least), Aim.FIT, sharing)
        if trial.runs:
            found, ends = trial, _ends(trial.runs)
            break
        # Where nothing is proved, the steps grow, so that the search ends.
        bound = least + 1 if trial.is_proved and bound == least else bound
        step = 1 if trial.is_proved else 2 * step
        least, sharing = least + step, None
    runs = _without_pauses(grid.until(ends), found.runs, sharing)
    return Order(runs=runs, is_proved=bound == ends, worth_ratio=float(ends), bound_ratio=float(bound))


def cost_money(grid: Grid, runs: tuple[Run, ...]) -> float:
    """What the energy of an order costs."""
    return sum(grid.cost_money(run.charge, at, slot) for run in runs for at, slot in enumerate(run.slots))


def _least_end(grid: Grid, ends: int) -> tuple[int, Sharing | None]:
    """The first slot by whose beginning the circuits could carry all of it, as far as sharing out tells, and how."""
    low = max(charge.first + charge.slots for charge in grid.charges)
    high, best = ends, None
    while low < high:
        middle = (low + high) // 2
        sharing = shared_out(grid.until(middle), Aim.FIT, (), longest_s=SHARING_S, gap_fraction=0.0)
        if sharing.outcome is Outcome.NONE:
            low = middle + 1
        else:
            high, best = middle, sharing if sharing.placed else None
    return low, best


def _without_pauses(grid: Grid, runs: tuple[Run, ...], sharing: Sharing | None) -> tuple[Run, ...]:
    """An order that ends no later, without pauses where the search finds one."""
    runs = tidied(grid, runs)
    if all(len(run.spans) == 1 for run in runs):
        return runs
    unbroken = _best(replace(grid, may_pause=False), Aim.FIT, sharing, rounds=TIDY_ROUNDS, longest_s=TIDY_S)
    return tidied(replace(grid, may_pause=False), unbroken.runs) if unbroken.runs else runs


def _best(
    grid: Grid,
    aim: Aim,
    first: Sharing | None = None,
    *,
    rounds: int = MOST_ROUNDS,
    longest_s: float = SHARING_S,
) -> Order:
    """Share out, put on the clock, tell back what fails, until nothing better can be.

    `first` is a sharing that is known already.
    """
    cuts: list[Cut] = []
    known: dict[tuple[tuple[int, float], ...], Timetable] = {}
    best: Order | None = None
    bound = 0.0
    for _ in range(rounds):
        sharing = first or shared_out(grid, aim, cuts, longest_s=longest_s, gap_fraction=CLOSE_FRACTION / 2)
        first = None
        if sharing.outcome is Outcome.UNKNOWN:
            break
        if sharing.outcome is Outcome.NONE:
            bound = math.inf
            break
        bound = max(bound, _bound(grid, aim, sharing))
        if best is not None and _is_close(best.worth_ratio, bound):
            break
        groups = _groups(grid, sharing.placed)
        tables = [_table(grid, group, aim, known) for group in groups]
        runs = tuple(sorted((run for table in tables for run in table.runs), key=lambda run: run.charge))
        if aim is not Aim.CHEAP:
            runs = filled_up(grid, runs)
        if aim is Aim.MOST or len(runs) == len(grid.charges):
            worth = _worth(grid, aim, runs)
            if best is None or worth < best.worth_ratio:
                best = Order(runs=runs, is_proved=False, worth_ratio=worth)
            if aim is Aim.FIT:
                return replace(best, is_proved=True, bound_ratio=bound)
        fresh = list(_cuts(grid, aim, groups, tables))
        if not fresh:
            break
        cuts += fresh
    if best is None:
        return Order(runs=(), is_proved=math.isinf(bound), bound_ratio=0.0 if math.isinf(bound) else bound)
    return replace(best, is_proved=_is_close(best.worth_ratio, bound), bound_ratio=min(bound, best.worth_ratio))


def _groups(grid: Grid, placed: Iterable[tuple[int, int]]) -> list[tuple[tuple[int, int], ...]]:
    """What must be put on the clock together: each circuit by itself, or all where the room is short of air."""
    ordered = sorted(placed, key=lambda pair: (pair[1], pair[0]))
    if grid.is_short_of_air:
        return [tuple(ordered)] if ordered else []
    return [tuple(group) for _, group in groupby(ordered, key=lambda pair: pair[1])]


def _table(
    grid: Grid,
    group: tuple[tuple[int, int], ...],
    aim: Aim,
    known: dict[tuple[tuple[int, float], ...], Timetable],
) -> Timetable:
    """The timetable of a group; on a circuit that is alike, it is only moved there."""
    kind = tuple((charge, grid.limits_a[circuit]) for charge, circuit in group)
    if kind not in known or grid.is_short_of_air:
        known[kind] = _timetable(grid, group, Choice.CHEAP if aim is Aim.CHEAP else Choice.ANY)
    circuit_of = dict(group)
    table = known[kind]
    return replace(table, runs=tuple(replace(run, circuit=circuit_of[run.charge]) for run in table.runs))


def _timetable(grid: Grid, group: tuple[tuple[int, int], ...], choice: Choice) -> Timetable:
    """The timetable of a group: without pauses, unless they are needed or worth their while."""
    unbroken = timed(replace(grid, may_pause=False), group, choice, longest_s=UNBROKEN_S)
    if not grid.may_pause or (unbroken.runs and choice is Choice.ANY):
        return unbroken
    if not unbroken.runs:
        return timed(grid, group, choice, longest_s=CLOCK_S)
    money, least = cost_money(grid, unbroken.runs), _least_money(grid, group)
    if money <= least * (1 + PAUSE_FRACTION):
        return replace(unbroken, bound_ratio=least)
    paused = timed(grid, group, choice, longest_s=CLOCK_S)
    if paused.runs and cost_money(grid, paused.runs) * (1 + PAUSE_FRACTION) < money:
        return paused
    return replace(unbroken, bound_ratio=max(least, paused.bound_ratio))


def _least_money(grid: Grid, group: tuple[tuple[int, int], ...]) -> float:
    """What a group costs at least, as sharing out tells."""
    charges = tuple(replace(grid.charges[charge], circuits=(circuit,)) for charge, circuit in group)
    sharing = shared_out(replace(grid, charges=charges), Aim.CHEAP, (), longest_s=SHARING_S, gap_fraction=0.0)
    return sharing.bound_ratio


def _cuts(grid: Grid, aim: Aim, groups: list[tuple[tuple[int, int], ...]], tables: list[Timetable]) -> Iterator[Cut]:
    """What the timetables prove about these charges, there and on every circuit that carries no more."""
    for group, table in zip(groups, tables, strict=True):
        cost = table.bound_ratio if table.runs and aim is Aim.CHEAP else None
        if cost is None and table.outcome is not Outcome.NONE:
            continue
        if grid.is_short_of_air:
            anywhere = _anywhere(grid, group) if cost is None else ()
            yield Cut(placed=anywhere or group, most=len(group) - 1, cost_money=cost)
            continue
        limit_a = grid.limits_a[group[0][1]]
        core = group if cost is not None else _core(grid, group)
        for circuit, other_a in enumerate(grid.limits_a):
            moved = tuple((charge, circuit) for charge, _ in core)
            can_go = all(circuit in grid.charges[charge].circuits for charge, _ in core)
            if can_go and other_a <= limit_a + ROUNDING_A:
                yield Cut(placed=moved, most=len(core) - 1, cost_money=cost)


def _core(grid: Grid, group: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int], ...]:
    """Charges of a group that are already too many together, each of them needed for that."""
    core = group
    for pair in group:
        fewer = tuple(each for each in core if each != pair)
        if len(fewer) > 1 and timed(grid, fewer, Choice.ANY, longest_s=CORE_S).outcome is Outcome.NONE:
            core = fewer
    return core


def _anywhere(grid: Grid, group: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int], ...]:
    """All places of the charges of a group, where the air alone is too little for them; else none."""
    boundless = replace(grid, limits_a=tuple(math.inf for _ in grid.limits_a))
    if timed(boundless, group, Choice.ANY, longest_s=CLOCK_S).outcome is not Outcome.NONE:
        return ()
    return tuple((charge, circuit) for charge, _ in group for circuit in grid.charges[charge].circuits)


def _bound(grid: Grid, aim: Aim, sharing: Sharing) -> float:
    if aim is Aim.MOST:
        # Each charge taken in weighs -1 and a little more, together less than half; those left out are whole ones.
        return float(max(0, math.ceil(len(grid.charges) + sharing.bound_ratio - 1e-6)))
    return sharing.bound_ratio


def _worth(grid: Grid, aim: Aim, runs: tuple[Run, ...]) -> float:
    if aim is Aim.MOST:
        return float(len(grid.charges) - len(runs))
    return cost_money(grid, runs) if aim is Aim.CHEAP else float(_ends(runs))


def _is_close(worth: float, bound: float) -> bool:
    return worth - bound <= CLOSE_FRACTION * worth + 1e-9


def _ends(runs: tuple[Run, ...]) -> int:
    return max(run.ends for run in runs)
