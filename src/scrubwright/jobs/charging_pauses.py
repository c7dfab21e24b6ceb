"""The loose slots of charges that stand in each other's way, laid anew together so that they pause least."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.charging_grid import AFTER_GAS_SLOTS, ROUNDING_A, Grid, Run
from scrubwright.jobs.charging_program import Program


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Worth:
    """What makes one way to run a charge better than another, in one measure: money, or slots without a tariff.

    Parameters
    ----------
    early_ratio, late_ratio
        What an early and a late slot weigh, by slot of the night, shape (slots,).
    stretch_ratio
        What each stretch that begins weighs.
    end_ratio
        What ending one slot later weighs.
    """

    early_ratio: NDArray[np.float64]
    late_ratio: NDArray[np.float64]
    stretch_ratio: float
    end_ratio: float

    def of_unbroken_ratio(self, early: int, start: int, length: int) -> float:
        """What an unbroken part weighs whose first slots are early ones."""
        middle = start + early
        return float(self.early_ratio[start:middle].sum() + self.late_ratio[middle : start + length].sum())


def laid_anew(grid: Grid, runs: Sequence[Run], worths: Sequence[Worth], *, longest_s: float) -> tuple[Run, ...]:
    """The runs with their loose slots where they weigh least together; their unbroken parts stay.

    Parameters
    ----------
    grid
        The night.
    runs
        Of one circuit, or of all where the room is short of air.
    worths
        One for each run.
    longest_s
        The solver is stopped after this [s]; then the runs may come back as they were.
    """
    program = Program()
    columns = [_add_run(program, grid, run, worth) for run, worth in zip(runs, worths, strict=True)]
    unbroken = [replace(run, slots=run.slots[grid.loose(run.charge) :]) for run in runs]
    for circuit in sorted({run.circuit for run in runs}):
        here = [(run, laid) for run, laid in zip(runs, columns, strict=True) if run.circuit == circuit]
        left_a = grid.limits_a[circuit] - _load(grid, [run for run in unbroken if run.circuit == circuit])
        for slot in range(grid.slots):
            terms = [(laid[slot], grid.charges[run.charge].mains_a) for run, laid in here if slot in laid]
            if sum(need for _, need in terms) > left_a[slot] + ROUNDING_A:
                program.row(terms, most_ratio=float(left_a[slot]))
    if grid.air_m3_per_h is not None and grid.is_short_of_air:
        left_m3_per_h = grid.air_m3_per_h - _air(grid, unbroken)
        for slot in range(grid.slots):
            terms = [
                (laid[slot], grid.charges[run.charge].air_m3_per_h)
                for run, laid in zip(runs, columns, strict=True)
                if slot in laid
            ]
            program.row(terms, most_ratio=float(left_m3_per_h[slot]))
    solution = program.solved(longest_s, gap_fraction=0.01)
    if not solution.columns_ratio.size:
        return tuple(runs)
    return tuple(
        replace(last, slots=(*(slot for slot, column in laid.items() if solution.is_on(column)), *last.slots))
        for last, laid in zip(unbroken, columns, strict=True)
    )


def _add_run(program: Program, grid: Grid, run: Run, worth: Worth) -> dict[int, int]:
    """The columns of a run's loose slots, and a weight for each stretch that begins."""
    loose = grid.loose(run.charge)
    if not loose:
        return {}
    start = run.slots[loose]
    laid = {
        slot: program.column(float(worth.early_ratio[slot])) for slot in range(grid.charges[run.charge].first, start)
    }
    program.row([(column, 1.0) for column in laid.values()], least_ratio=float(loose), most_ratio=float(loose))
    for slot, column in laid.items():
        begins = program.column(worth.stretch_ratio, is_whole=False)
        before = [(laid[slot - 1], 1.0)] if slot - 1 in laid else []
        program.row([(begins, 1.0), (column, -1.0), *before], least_ratio=0.0)
    begins = program.column(worth.stretch_ratio, is_whole=False)
    program.row([(begins, 1.0), (laid[start - 1], 1.0)], least_ratio=1.0)
    return laid


def _load(grid: Grid, runs: Sequence[Run]) -> NDArray[np.float64]:
    load_a = np.zeros(grid.slots)
    for run in runs:
        load_a[np.array(run.slots)] += grid.charges[run.charge].mains_a
    return load_a


def _air(grid: Grid, runs: Sequence[Run]) -> NDArray[np.float64]:
    air_m3_per_h = np.zeros(grid.slots + AFTER_GAS_SLOTS)
    for run in runs:
        air_m3_per_h[np.array(run.slots)] += grid.charges[run.charge].air_m3_per_h
        air_m3_per_h[run.ends : run.ends + AFTER_GAS_SLOTS] += grid.charges[run.charge].air_m3_per_h
    return air_m3_per_h
