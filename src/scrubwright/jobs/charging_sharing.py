"""Which charger goes on which circuit: the night with its clock forgotten but for the hours that matter.

Between two such hours (a machine comes home, must be done, or the price changes) only amounts are counted: how many
slots each machine charges there, on its circuit. What is exact in it holds for every real order, so its least cost is
a bound; what it forgets, `charging_clock` finds out and `Cut` brings back.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import pairwise

from scrubwright.jobs.charging_grid import AFTER_GAS_SLOTS, ROUNDING_A, Grid
from scrubwright.jobs.charging_program import Outcome, Program

# Past so many ways to fill a circuit they are not listed one by one.
MOST_WAYS = 300
_NEVER = 1e9


class Aim(StrEnum):
    """What is wanted."""

    FIT = "everything done in time"
    CHEAP = "everything done in time at the least cost"
    MOST = "as many done in time as can be"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What the clock found out about charges on circuits.

    Parameters
    ----------
    placed
        (charge, circuit) pairs.
    most
        So many of them can be done in time at once; fewer than there are, unless `cost_money` is given.
    cost_money
        All of these together cost at least this; None: not what the cut is about.
    """

    placed: tuple[tuple[int, int], ...]
    most: int
    cost_money: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sharing:
    """Charges shared out.

    Parameters
    ----------
    outcome
        How the search for it ended.
    placed
        (charge, circuit) pairs; charges left out are not among them. Empty where there is no sharing.
    bound_ratio
        No order weighs less, in what the aim counts: money, or charges left out.
    """

    outcome: Outcome
    placed: tuple[tuple[int, int], ...] = ()
    bound_ratio: float = 0.0


@dataclass(slots=True, kw_only=True)
class _Columns:
    """Numbers of the program's columns: whether a charge is on a circuit, and its slots between two hours."""

    on: dict[tuple[int, int], int]
    slots: dict[tuple[int, int, int], list[int]]
    cost: dict[int, int]


def shared_out(grid: Grid, aim: Aim, cuts: Sequence[Cut], *, longest_s: float, gap_fraction: float) -> Sharing:
    """The best sharing of charges among circuits that the cuts leave.

    Parameters
    ----------
    grid
        The night.
    aim
        What is wanted.
    cuts
        What the clock found out before.
    longest_s, gap_fraction
        When the solver may stop.
    """
    if aim is not Aim.MOST and not all(charge.has_time and charge.circuits for charge in grid.charges):
        return Sharing(outcome=Outcome.NONE)
    if not any(charge.has_time and charge.circuits for charge in grid.charges):
        return Sharing(outcome=Outcome.SOLVED)
    program = Program()
    columns = _Columns(on={}, slots={}, cost={})
    between = _between(grid)
    for number in range(len(grid.charges)):
        _add_charge(program, columns, grid, number, between, aim)
    for circuit in range(len(grid.limits_a)):
        for part, (begins, ends) in enumerate(between):
            _add_limit(program, columns, grid, circuit, part, ends - begins)
    _add_air(program, columns, grid, between)
    _add_likeness(program, columns, grid)
    if aim is Aim.CHEAP:
        _add_cost(program, columns, grid, between)
    for cut in cuts:
        _add_cut(program, columns, cut)
    solution = program.solved(longest_s, gap_fraction)
    if solution.outcome in (Outcome.NONE, Outcome.UNKNOWN):
        return Sharing(outcome=solution.outcome)
    placed = tuple(pair for pair, column in columns.on.items() if solution.is_on(column))
    return Sharing(outcome=solution.outcome, placed=placed, bound_ratio=solution.bound_ratio)


def _between(grid: Grid) -> list[tuple[int, int]]:
    """The stretches between hours at which something changes."""
    hours = {each for charge in grid.charges for each in (charge.first, charge.last)}
    prices = grid.prices_money_per_kwh
    hours |= {slot for slot in range(1, grid.slots) if prices and prices[slot] != prices[slot - 1]}
    return list(pairwise(sorted(hours)))


def _add_charge(
    program: Program, columns: _Columns, grid: Grid, number: int, between: list[tuple[int, int]], aim: Aim
) -> None:
    """The choice of a circuit for one charge, and its slots there."""
    charge = grid.charges[number]
    # Of two equal ways to leave machines out, the one that leaves out less work.
    work = charge.slots / (2 * sum(each.slots for each in grid.charges))
    weight = -1 - work if aim is Aim.MOST else 0.0
    circuits = charge.circuits if charge.has_time else ()
    for circuit in circuits:
        columns.on[number, circuit] = program.column(weight)
    on = [(columns.on[number, circuit], 1.0) for circuit in circuits]
    program.row(on, least_ratio=0.0 if aim is Aim.MOST else 1.0, most_ratio=1.0)
    # Early and late slots are told apart only where they cost apart.
    is_split = aim is Aim.CHEAP and charge.early > 0 and charge.early_wh != charge.late_wh
    kinds = (charge.early, charge.late) if is_split else (charge.slots,)
    inside = [part for part, (a, b) in enumerate(between) if charge.first <= a and b <= charge.last]
    for circuit in circuits:
        here = columns.on[number, circuit]
        for part in inside:
            length = float(between[part][1] - between[part][0])
            slots = [program.column(most_ratio=length, is_whole=False) for _ in kinds]
            columns.slots[number, circuit, part] = slots
            program.row([*((column, 1.0) for column in slots), (here, -length)], most_ratio=0.0)
        for kind, count in enumerate(kinds):
            spread = [(columns.slots[number, circuit, part][kind], 1.0) for part in inside]
            program.row([*spread, (here, -float(count))], least_ratio=0.0, most_ratio=0.0)
        if is_split:
            # A late slot is charged only once all early ones are.
            done: list[tuple[int, float]] = []
            for part in inside:
                early, late = columns.slots[number, circuit, part]
                done += [(early, 1 / charge.early), (late, -1 / charge.late)]
                program.row(done, least_ratio=0.0)


def _add_limit(program: Program, columns: _Columns, grid: Grid, circuit: int, part: int, length: int) -> None:
    """What a circuit carries between two hours."""
    users = [
        (charge.mains_a, columns.slots[number, circuit, part])
        for number, charge in enumerate(grid.charges)
        if (number, circuit, part) in columns.slots
    ]
    _share_time(program, users, grid.limits_a[circuit], length)


def _share_time(program: Program, users: list[tuple[float, list[int]]], limit_ratio: float, length: int) -> None:
    """Share the time between two hours among the ways to use up a limit; users are (need, columns of slots)."""
    needs = [need for need, _ in users]
    if sum(needs) <= limit_ratio + ROUNDING_A:
        return
    kinds = tuple(sorted(set(needs)))
    ways = full_ways(kinds, tuple(needs.count(kind) for kind in kinds), limit_ratio)
    if ways is None:
        terms = [(column, need) for need, slots in users for column in slots]
        program.row(terms, most_ratio=limit_ratio * length)
        return
    times = [program.column(most_ratio=float(length), is_whole=False) for _ in ways]
    program.row([(time, 1.0) for time in times], most_ratio=float(length))
    for number, kind in enumerate(kinds):
        like = [slots for need, slots in users if need == kind]
        used = [(time, -1.0) for time, way in zip(times, ways, strict=True) if way[number]]
        for slots in like:
            program.row([*((column, 1.0) for column in slots), *used], most_ratio=0.0)
        together = [(column, 1.0) for slots in like for column in slots]
        shared = [(time, -float(way[number])) for time, way in zip(times, ways, strict=True) if way[number]]
        program.row([*together, *shared], most_ratio=0.0)


@cache
def full_ways(
    needs_ratio: tuple[float, ...], counts: tuple[int, ...], limit_ratio: float
) -> tuple[tuple[int, ...], ...] | None:
    """The ways to use up a limit to which nothing can be added: how many of each kind.

    Parameters
    ----------
    needs_ratio
        What one of each kind needs, rising: amperes of a circuit, or air of a room.
    counts
        How many there are of each.
    limit_ratio
        What there is.

    Returns
    -------
    tuple or None
        None where there are more than `MOST_WAYS`.

    Examples
    --------
    >>> full_ways((4.0, 6.0), (2, 2), 12.0)
    ((0, 2), (1, 1), (2, 0))
    """
    ways = []
    for way in _ways(needs_ratio, counts, limit_ratio + ROUNDING_A):
        left = limit_ratio + ROUNDING_A - sum(need * n for need, n in zip(needs_ratio, way, strict=True))
        if all(n == most or need > left for need, n, most in zip(needs_ratio, way, counts, strict=True)):
            ways.append(way)
            if len(ways) > MOST_WAYS:
                return None
    return tuple(ways)


def _ways(needs: tuple[float, ...], counts: tuple[int, ...], left: float) -> Iterator[tuple[int, ...]]:
    if not needs:
        yield ()
        return
    for n in range(min(counts[0], int(left // needs[0])) + 1):
        yield from ((n, *rest) for rest in _ways(needs[1:], counts[1:], left - n * needs[0]))


def _add_air(program: Program, columns: _Columns, grid: Grid, between: list[tuple[int, int]]) -> None:
    """What the room's air carries, with an hour of gas after each charge, which may lie past the last hour."""
    if grid.air_m3_per_h is None or not grid.is_short_of_air:
        return
    parts = [*between, (grid.slots, grid.slots + AFTER_GAS_SLOTS)]
    after = {number: _after(program, columns, grid, number, parts) for number in range(len(grid.charges))}
    for part, (begins, ends) in enumerate(parts):
        users = []
        for number, charge in enumerate(grid.charges):
            here = _slots_in(columns, grid, number, part)
            here += [after[number][part]] if part in after[number] else []
            if here and charge.air_m3_per_h:
                users.append((charge.air_m3_per_h, here))
        _share_time(program, users, grid.air_m3_per_h, ends - begins)


def _slots_in(columns: _Columns, grid: Grid, number: int, part: int) -> list[int]:
    """The columns of a charge's slots between two hours, wherever it is plugged in."""
    return [c for circuit in range(len(grid.limits_a)) for c in columns.slots.get((number, circuit, part), [])]


def _after(
    program: Program, columns: _Columns, grid: Grid, number: int, parts: list[tuple[int, int]]
) -> dict[int, int]:
    """Columns of the slots of gas after a charge, by the part that they lie in."""
    charge = grid.charges[number]
    after = {}
    done: list[tuple[int, float]] = []
    for part, (begins, ends) in enumerate(parts):
        if begins >= charge.first:
            here = [(column, 1.0) for column in _slots_in(columns, grid, number, part)]
            after[part] = program.column(most_ratio=float(AFTER_GAS_SLOTS), is_whole=False)
            program.row([*here, (after[part], 1.0)], most_ratio=float(ends - begins))
            # It gasses on only once all of it is charged.
            done += [(column, 1 / charge.slots) for column, _ in here]
            done.append((after[part], -1 / AFTER_GAS_SLOTS))
            program.row(done, least_ratio=0.0)
    on = [
        (columns.on[number, circuit], -float(AFTER_GAS_SLOTS))
        for circuit in charge.circuits
        if (number, circuit) in columns.on
    ]
    program.row([*((column, 1.0) for column in after.values()), *on], least_ratio=0.0, most_ratio=0.0)
    return after


def _add_likeness(program: Program, columns: _Columns, grid: Grid) -> None:
    """Of circuits that are alike, the later one is used only by charges after the first of the earlier one."""
    takes = [
        (limit_a, tuple(n for n, _ in enumerate(grid.charges) if (n, circuit) in columns.on))
        for circuit, limit_a in enumerate(grid.limits_a)
    ]
    for circuit, kind in enumerate(takes):
        before = next((each for each in range(circuit - 1, -1, -1) if takes[each] == kind), None)
        if before is None:
            continue
        for n in kind[1]:
            earlier = [(columns.on[each, before], -1.0) for each in kind[1] if each < n]
            program.row([(columns.on[n, circuit], 1.0), *earlier], most_ratio=0.0)


def _add_cost(program: Program, columns: _Columns, grid: Grid, between: list[tuple[int, int]]) -> None:
    for circuit in range(len(grid.limits_a)):
        columns.cost[circuit] = program.column(1.0, _NEVER, is_whole=False)
        terms = [(columns.cost[circuit], -1.0)]
        for (n, where, part), slots in columns.slots.items():
            if where == circuit:
                begins = between[part][0]
                ends = (0, grid.charges[n].early) if len(slots) == 2 else (grid.charges[n].early,)
                terms += [(column, grid.cost_money(n, at, begins)) for column, at in zip(slots, ends, strict=True)]
        program.row(terms, most_ratio=0.0)


def _add_cut(program: Program, columns: _Columns, cut: Cut) -> None:
    on = [columns.on[pair] for pair in cut.placed]
    if cut.cost_money is None:
        program.row([(column, 1.0) for column in on], most_ratio=float(cut.most))
        return
    circuits = {circuit for _, circuit in cut.placed}
    costs = [(columns.cost[circuit], 1.0) for circuit in circuits]
    program.row([*costs, *((column, -cut.cost_money) for column in on)], least_ratio=cut.cost_money * (1.0 - len(on)))
