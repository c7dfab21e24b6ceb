"""Pieces of floor swept side by side: stacks of grid rows whose ends stay in line."""

from dataclasses import dataclass

import numpy as np

from scrubwright.floor.directions import HERE, OUTSIDE, Grid

# Row ends that shift by less than this from row to row belong to one slanted or curved side.
IN_LINE_M = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One grid row of a cell: its extent and whether its ends stand against a wall [m]."""

    low_y_m: float
    high_y_m: float
    low_x_m: float
    high_x_m: float
    wall_at_low: bool
    wall_at_high: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """Rows on top of each other, bottom first, swept along x in one set of lanes.

    `wall_below` and `wall_above` say whether the outer rows stand against a wall.
    """

    rows: tuple[Row, ...]
    wall_below: bool
    wall_above: bool

    @property
    def low_m(self) -> float:
        """Lower edge [m]."""
        return self.rows[0].low_y_m

    @property
    def high_m(self) -> float:
        """Upper edge [m]."""
        return self.rows[-1].high_y_m

    @property
    def first_length_m(self) -> float:
        """Length of the lowest row [m]."""
        return self.rows[0].high_x_m - self.rows[0].low_x_m

    def shared_with_above_m(self, above: "Cell") -> float:
        """Length that this cell's top shares with the bottom of the cell above [m].

        **Source** geometry.
        """
        top, bottom = self.rows[-1], above.rows[0]
        return min(top.high_x_m, bottom.high_x_m) - max(top.low_x_m, bottom.low_x_m)

    def touches_below(self, above: "Cell") -> bool:
        """Whether this cell ends where the other begins, with some length in common."""
        return abs(self.high_m - above.low_m) < 1e-9 and self.shared_with_above_m(above) > 0

    @property
    def length_m(self) -> float:
        """Longest row [m]."""
        return max(row.high_x_m - row.low_x_m for row in self.rows)


@dataclass(slots=True)
class _Run:
    row: int
    first: int
    last: int


def _runs(grid: Grid, row: int) -> list[_Run]:
    swept = (grid.status[row] == HERE) & grid.along_x[row]
    edges = np.diff(np.concatenate([[0], swept.astype(np.int8), [0]]))
    return [
        _Run(row, int(a), int(b)) for a, b in zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True)
    ]


def _goes_on(grid: Grid, below: _Run, above: _Run) -> bool:
    return (
        below.first < above.last
        and above.first < below.last
        and abs(grid.x_m[below.first] - grid.x_m[above.first]) < IN_LINE_M
        and abs(grid.x_m[below.last] - grid.x_m[above.last]) < IN_LINE_M
    )


def cells_along_x(grid: Grid) -> tuple[Cell, ...]:
    """The cells of everything that a grid sweeps along x, in order of their lowest row.

    A run of cells in one row joins the stack below it where their ends are in line; where the
    number of runs changes, as at the end of a rack, a new cell begins.

    Notes
    -----
    **Source** boustrophedon cells on a grid, after H. Choset and P. Pignon, Coverage path planning: the
    boustrophedon cellular decomposition, Field and Service Robotics, 1998,
    doi:10.1007/978-1-4471-1273-0_32.
    """
    finished: list[list[_Run]] = []
    growing: list[list[_Run]] = []
    for row in range(len(grid.y_m) - 1):
        still: list[list[_Run]] = []
        for run in _runs(grid, row):
            stack = next((each for each in growing if _goes_on(grid, each[-1], run)), None)
            if stack is None:
                stack = []
            else:
                growing.remove(stack)
            stack.append(run)
            still.append(stack)
        finished.extend(growing)
        growing = still
    finished.extend(growing)
    finished.sort(key=lambda stack: (stack[0].row, stack[0].first))
    return tuple(_cell(grid, stack) for stack in finished)


def _cell(grid: Grid, stack: list[_Run]) -> Cell:
    rows = tuple(
        Row(
            low_y_m=float(grid.y_m[run.row]),
            high_y_m=float(grid.y_m[run.row + 1]),
            low_x_m=float(grid.x_m[run.first]),
            high_x_m=float(grid.x_m[run.last]),
            wall_at_low=_outside(grid, run.row, run.first - 1),
            wall_at_high=_outside(grid, run.row, run.last),
        )
        for run in stack
    )
    return Cell(rows=rows, wall_below=_mostly_wall(grid, stack[0], -1), wall_above=_mostly_wall(grid, stack[-1], 1))


def _outside(grid: Grid, row: int, column: int) -> bool:
    rows, columns = grid.status.shape
    return not (0 <= row < rows and 0 <= column < columns) or bool(grid.status[row, column] == OUTSIDE)


def _mostly_wall(grid: Grid, run: _Run, side: int) -> bool:
    row = run.row + side
    if not 0 <= row < grid.status.shape[0]:
        return True
    width_m = np.diff(grid.x_m)[run.first : run.last]
    wall = grid.status[row, run.first : run.last] == OUTSIDE
    return bool(width_m[wall].sum() > width_m.sum() / 2)
