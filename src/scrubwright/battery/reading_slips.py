"""Slips of pen and eye in a row of gravities: one value mistyped, two exchanged, counted from the other end."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from scrubwright.battery.charge_left import GravityFamily
from scrubwright.battery.gravity import HYDROMETER_SD_RATIO
from scrubwright.battery.noise import FALSE_ALARM_FRACTION
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput

# Ours: a healthy cell does not lose a third of its charge between two visits.
JUMP_RATIO = 0.050
# Ours: how far past the pack's full or flat end a reading is still believed at once.
_BEYOND_ENDS_RATIO = 0.030
_VISITS_TO_KNOW_CELLS = 3
_VISITS_LOOKED_BACK = 6
# Variance of a median over that of a mean, for normal readings.
_MEDIAN_VARIANCE = math.pi / 2

Residuals = Sequence[float | None]


class SlipKind(StrEnum):
    """What has changed places."""

    CELLS = "cells"
    BLOCKS = "blocks"
    OTHER_END = "the whole pack"


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """Two that have changed places against earlier visits.

    Parameters
    ----------
    kind
        Cells, blocks, or all cells counted from the other end.
    first, second
        Their numbers from 1; first and last cell where the whole pack was counted from the other end.
    """

    kind: SlipKind
    first: int
    second: int


def doubtful_cells(
    gravities_ratio: Sequence[float | None],
    *,
    earlier_ratio: Sequence[Residuals] = (),
    family: GravityFamily | None = None,
    jump_ratio: float = JUMP_RATIO,
) -> tuple[int, ...]:
    """Cells whose reading should be taken again before anybody acts on it.

    A cell is in doubt that jumped by 0.050 or more against its own usual place in the pack, or that lies
    beyond what the pack's acid can show. Once a second visit shows the same, it is believed.

    Parameters
    ----------
    gravities_ratio
        Of each cell from 1 on, corrected, after charge; None for a cell not read.
    earlier_ratio
        `CellGrid.above_median_ratio` of earlier visits after charge, oldest first.
    family
        The pack's way from gravity to charge; None leaves its ends out.
    jump_ratio
        Jump that calls for a second reading [gravity, > 0].

    Returns
    -------
    tuple of int
        Numbers from 1; empty where all are believed.

    Raises
    ------
    BadInput
        Earlier visits with another count of cells, or a jump that is not above zero.

    Notes
    -----
    **Source** ours, see docs/explanation/weak-cells.md.

    Examples
    --------
    >>> doubtful_cells([1.280, 1.275, 1.180, 1.280])
    (3,)
    """
    check_above_zero("jump_ratio", jump_ratio)
    now = _numbers(gravities_ratio)
    if not bool(np.any(np.isfinite(now))):
        return ()
    before = _history(earlier_ratio, len(now))
    above = now - np.nanmedian(now)
    jumped = np.abs(above - _usual_places(before)) >= jump_ratio - 1e-9
    if family is not None:
        jumped |= now > family.full_ratio + _BEYOND_ENDS_RATIO
        jumped |= now < family.flat_ratio - _BEYOND_ENDS_RATIO
    seen_before = np.abs(above - _last_places(before)) < jump_ratio / 2
    return tuple(int(index) + 1 for index in np.flatnonzero(jumped & ~seen_before))


def exchanged(
    above_median_ratio: Residuals,
    earlier_ratio: Sequence[Residuals],
    *,
    cells_per_block: int = 1,
    sd_ratio: float = HYDROMETER_SD_RATIO,
) -> Exchange | None:
    """The two cells or blocks that have changed places against earlier visits, if any.

    Every cell has its own place in the pack, a little over or under the median. Where two new readings
    fit far better the other way round, somebody moved the blocks, wrote two values into each other's
    column, or counted from the other end.

    Parameters
    ----------
    above_median_ratio
        Of this visit after charge, from cell 1 on; None for a cell not read.
    earlier_ratio
        The same of at least three earlier visits, oldest first; the last six count.
    cells_per_block
        Cells in one case [>= 1, divides the count of cells].
    sd_ratio
        Standard deviation of one reading [gravity, > 0].

    Returns
    -------
    Exchange or None
        The exchange that explains most; None where cells are too alike to tell, which is most packs.

    Raises
    ------
    BadInput
        Earlier visits with another count of cells, or a value outside these ranges.

    Notes
    -----
    A likelihood ratio: it exceeds K by chance at most once in K visits without a slip, so K is the count of
    possible exchanges times twenty. Both cells must also fit their new places within the 99 % of noise.

    **Source** ours, see docs/explanation/weak-cells.md; false alarms and hits in tests/rooms/test_reading_slips.py.
    """
    check_above_zero("sd_ratio", sd_ratio)
    now = _numbers(above_median_ratio)
    if cells_per_block < 1 or len(now) % cells_per_block:
        raise BadInput(
            "{cells} cells do not share out into blocks of {each}; count the caps of one block.",
            cells=len(now),
            each=cells_per_block,
        )
    before = _history(earlier_ratio, len(now))[-_VISITS_LOOKED_BACK:]
    if len(before) < _VISITS_TO_KNOW_CELLS:
        return None
    variance = sd_ratio**2 * (1 + _MEDIAN_VARIANCE / len(before))
    usual = _usual_places(before)
    found = _swaps(now, usual, 1, SlipKind.CELLS)
    if 1 < cells_per_block < len(now):
        found += _swaps(now, usual, cells_per_block, SlipKind.BLOCKS)
    found.append(_Guess(Exchange(kind=SlipKind.OTHER_END, first=1, second=len(now)), now, usual, usual[::-1]))
    best = max(found, key=lambda guess: guess.gain)
    is_likelier = best.gain / (2 * variance) > math.log(len(found) / FALSE_ALARM_FRACTION)
    return best.exchange if is_likelier and best.misfit / variance < chi2.ppf(0.99, best.now.size) else None


@dataclass(frozen=True, slots=True, eq=False)
class _Guess:
    """A possible exchange: the readings it concerns, their usual places, and those they would fit instead."""

    exchange: Exchange
    now: NDArray[np.float64]
    here: NDArray[np.float64]
    there: NDArray[np.float64]

    @property
    def misfit(self) -> float:
        return float(np.sum((self.now - self.there) ** 2))

    @property
    def gain(self) -> float:
        """By how much better they fit there; nothing where a cell was not read."""
        gain = float(np.sum((self.now - self.here) ** 2)) - self.misfit
        return gain if math.isfinite(gain) else 0.0


def _swaps(now: NDArray[np.float64], usual: NDArray[np.float64], size: int, kind: SlipKind) -> list[_Guess]:
    """Each two cells, or blocks of so many cells, exchanged."""
    units, places = now.reshape(-1, size), usual.reshape(-1, size)
    return [
        _Guess(
            Exchange(kind=kind, first=one + 1, second=two + 1),
            units[[one, two]],
            places[[one, two]],
            places[[two, one]],
        )
        for one, two in combinations(range(len(units)), 2)
    ]


def _numbers(values: Residuals) -> NDArray[np.float64]:
    return np.array([math.nan if value is None else value for value in values], dtype=np.float64)


def _history(earlier_ratio: Sequence[Residuals], cells: int) -> NDArray[np.float64]:
    """The earlier visits as rows, shape (visits, cells), not-a-number where a cell was not read."""
    if any(len(row) != cells for row in earlier_ratio):
        raise BadInput(
            "An earlier visit has another count of cells than {cells}; compare visits of the same pack.", cells=cells
        )
    return np.array([_numbers(row) for row in earlier_ratio], dtype=np.float64).reshape(len(earlier_ratio), cells)


def _usual_places(before: NDArray[np.float64]) -> NDArray[np.float64]:
    """The median of each cell's places in the pack; the pack's own median for a cell never read."""
    return np.array([float(np.median(seen)) if len(seen) else 0.0 for seen in _seen(before)])


def _last_places(before: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.array([seen[-1] if len(seen) else math.nan for seen in _seen(before)])


def _seen(before: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    return [column[np.isfinite(column)] for column in before.T]
