"""A mixed-integer program, built column by column and row by row, and solved to a proved bound."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

# Status codes of scipy.optimize.milp.
_SOLVED, _INFEASIBLE = 0, 2


class Outcome(StrEnum):
    """What became of a program."""

    SOLVED = "solved"
    FOUND = "found, not proved the best"
    NONE = "proved to have no solution"
    UNKNOWN = "stopped before a solution was found"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solution:
    """What a program came to.

    Parameters
    ----------
    outcome
        How it ended.
    columns_ratio
        Value of each column, shape (columns,); empty where there is no solution.
    bound_ratio
        No solution weighs less; minus infinity where nothing is proved.
    """

    outcome: Outcome
    columns_ratio: NDArray[np.float64]
    bound_ratio: float

    def is_on(self, column: int) -> bool:
        """Whether a column of zero or one is one."""
        return bool(self.columns_ratio[column] > 0.5)


class Program:
    """Columns with weights, rows that bind them, and the least sum of weights."""

    def __init__(self) -> None:
        self._weights: list[float] = []
        self._most: list[float] = []
        self._whole: list[bool] = []
        self._rows: list[int] = []
        self._columns: list[int] = []
        self._factors: list[float] = []
        self._low: list[float] = []
        self._high: list[float] = []

    def column(self, weight_ratio: float = 0.0, most_ratio: float = 1.0, *, is_whole: bool = True) -> int:
        """A fresh column from zero to `most_ratio`; its number."""
        self._weights.append(weight_ratio)
        self._most.append(most_ratio)
        self._whole.append(is_whole)
        return len(self._weights) - 1

    def row(
        self, terms: Iterable[tuple[int, float]], least_ratio: float = -math.inf, most_ratio: float = math.inf
    ) -> None:
        """Keep a sum of (column, factor) between two ends."""
        number = len(self._low)
        for column, factor in terms:
            self._rows.append(number)
            self._columns.append(column)
            self._factors.append(factor)
        self._low.append(least_ratio)
        self._high.append(most_ratio)

    def solved(self, longest_s: float, gap_fraction: float = 0.0) -> Solution:
        """The least sum of weights, or what was found and proved within so many seconds.

        Parameters
        ----------
        longest_s
            The solver is stopped after this [s].
        gap_fraction
            A solution this close to the bound is good enough [0 or more].
        """
        shape = (len(self._low), len(self._weights))
        matrix = coo_array((self._factors, (self._rows, self._columns)), shape=shape).tocsr()
        found: Any = milp(
            np.array(self._weights),
            constraints=LinearConstraint(matrix, np.array(self._low), np.array(self._high)),
            integrality=np.array(self._whole, dtype=np.int64),
            bounds=Bounds(0.0, np.array(self._most)),
            options={"time_limit": longest_s, "mip_rel_gap": gap_fraction},
        )
        if found.x is not None:
            outcome = Outcome.SOLVED if found.status == _SOLVED else Outcome.FOUND
            bound = found.fun if found.mip_dual_bound is None else found.mip_dual_bound
            return Solution(outcome=outcome, columns_ratio=np.asarray(found.x, dtype=np.float64), bound_ratio=bound)
        outcome = Outcome.NONE if found.status == _INFEASIBLE else Outcome.UNKNOWN
        return Solution(outcome=outcome, columns_ratio=np.zeros(0), bound_ratio=-math.inf)
