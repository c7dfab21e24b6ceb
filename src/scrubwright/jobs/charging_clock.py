"""When each charger runs, slot by slot, once it is known which circuit it is on."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from scrubwright.jobs.charging_grid import AFTER_GAS_SLOTS, ROUNDING_A, Grid, Run
from scrubwright.jobs.charging_program import Outcome, Program

# At most so many chargers of more than a share of the limit run at once: one above a half, two above a third.
_AT_ONCE = (1, 2, 3)


class Choice(StrEnum):
    """What decides among the orders in time."""

    ANY = "any of them"
    CHEAP = "least cost"


# How close to the best is good enough.
_GAP_FRACTION = {Choice.ANY: 0.0, Choice.CHEAP: 0.004}


@dataclass(frozen=True, slots=True, kw_only=True)
class Timetable:
    """Runs of the charges, one each; empty where there is no order in time.

    Parameters
    ----------
    outcome
        How the search for it ended.
    runs
        The order found.
    bound_ratio
        No order weighs less, in what the choice counts.
    """

    outcome: Outcome
    runs: tuple[Run, ...] = ()
    bound_ratio: float = 0.0


@dataclass(slots=True, kw_only=True)
class _Columns:
    """The program's columns of one charge: its early slots, and where its unbroken last part begins."""

    loose: dict[int, int]
    starts: dict[int, int]
    length: int

    def running(self, slot: int) -> list[int]:
        """Columns of which one is on while it runs in a slot."""
        begun = [c for start, c in self.starts.items() if start <= slot < start + self.length]
        return [*begun, self.loose[slot]] if slot in self.loose else begun

    def gas_after(self, slot: int) -> list[int]:
        """Columns of which one is on within the hour after its end."""
        ended = range(slot - AFTER_GAS_SLOTS + 1, slot + 1)
        return [c for start, c in self.starts.items() if start + self.length in ended]


def timed(grid: Grid, placed: Sequence[tuple[int, int]], choice: Choice, *, longest_s: float) -> Timetable:
    """An order of charges whose circuits are known.

    Parameters
    ----------
    grid
        The night.
    placed
        (charge, circuit) pairs.
    choice
        What decides.
    longest_s
        The solver is stopped after this [s].
    """
    program = Program()
    columns = {charge: _add_charge(program, grid, charge, choice) for charge, _ in placed}
    for circuit in sorted({circuit for _, circuit in placed}):
        here = [charge for charge, at in placed if at == circuit]
        for slot in range(grid.slots):
            _add_limit(program, grid, grid.limits_a[circuit], slot, {n: columns[n] for n in here})
    if grid.is_short_of_air:
        _add_air(program, grid, columns)
    solution = program.solved(longest_s, _GAP_FRACTION[choice])
    if solution.outcome in (Outcome.NONE, Outcome.UNKNOWN):
        return Timetable(outcome=solution.outcome)
    runs = []
    for charge, circuit in placed:
        each = columns[charge]
        start = next(at for at, column in each.starts.items() if solution.is_on(column))
        early = [slot for slot, column in each.loose.items() if solution.is_on(column)]
        runs.append(Run(charge=charge, circuit=circuit, slots=(*early, *range(start, start + each.length))))
    return Timetable(outcome=solution.outcome, runs=tuple(runs), bound_ratio=solution.bound_ratio)


def _add_charge(program: Program, grid: Grid, number: int, choice: Choice) -> _Columns:
    """Where its unbroken part begins, and where its loose slots lie before it."""
    charge = grid.charges[number]
    loose = grid.loose(number)
    columns = _Columns(loose={}, starts={}, length=charge.slots - loose)
    for start in range(charge.first + loose, charge.last - columns.length + 1):
        columns.starts[start] = program.column(_start_money(grid, number, start) if choice is Choice.CHEAP else 0.0)
    program.row([(column, 1.0) for column in columns.starts.values()], least_ratio=1.0, most_ratio=1.0)
    if not loose:
        return columns
    for slot in range(charge.first, charge.last - columns.length):
        columns.loose[slot] = program.column(grid.cost_money(number, 0, slot) if choice is Choice.CHEAP else 0.0)
        later = [(column, -1.0) for start, column in columns.starts.items() if start > slot]
        program.row([(columns.loose[slot], 1.0), *later], most_ratio=0.0)
    whole = [(column, 1.0) for column in columns.loose.values()]
    program.row(whole, least_ratio=float(loose), most_ratio=float(loose))
    return columns


def _start_money(grid: Grid, number: int, start: int) -> float:
    loose = grid.loose(number)
    length = grid.charges[number].slots - loose
    return sum(grid.cost_money(number, loose + step, start + step) for step in range(length))


def _add_limit(program: Program, grid: Grid, limit_a: float, slot: int, columns: dict[int, _Columns]) -> None:
    running = {number: each.running(slot) for number, each in columns.items()}
    currents_a = {number: grid.charges[number].mains_a for number, here in running.items() if here}
    if sum(currents_a.values()) <= limit_a + ROUNDING_A:
        return
    program.row([(c, a) for number, a in currents_a.items() for c in running[number]], most_ratio=limit_a)
    for most in _AT_ONCE:
        large = [number for number, a in currents_a.items() if a * (most + 1) > limit_a + ROUNDING_A]
        if len(large) > most:
            program.row([(c, 1.0) for number in large for c in running[number]], most_ratio=float(most))


def _add_air(program: Program, grid: Grid, columns: dict[int, _Columns]) -> None:
    """The room's air, which also an hour after the end of a charge is still needed."""
    for slot in range(grid.slots):
        terms = [
            (column, grid.charges[number].air_m3_per_h)
            for number, each in columns.items()
            for column in (*each.running(slot), *each.gas_after(slot))
        ]
        program.row(terms, most_ratio=grid.air_m3_per_h or 0.0)
