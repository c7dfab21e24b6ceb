"""Blocks beside each other by their volts, for packs that no hydrometer can enter."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scrubwright.battery.cells import SpreadState
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput

# Makers' texts on deep-cycle batteries: 0.15 V between 6 V blocks, 0.22 V between 12 V blocks, one hour after charge.
_AT_REST_V_A_CELL = 0.15 / 3
_AT_REST_MOST_V = 0.22
# From memory, common practice: 0.1 V between 6 V blocks while the machine works.
_UNDER_LOAD_V_A_CELL = 0.1 / 3
# A cell gives about 2 V; a block that lacks most of that has lost one.
DEAD_CELL_V = 1.5
_ROUNDING_V = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockSpread:
    """The blocks of one visit beside each other; blocks are numbered from 1.

    Parameters
    ----------
    blocks_v
        As given [V].
    usual_v
        The median block; of two, the better one [V].
    above_usual_v
        How far each stands above that, below zero for under it [V].
    range_v
        Highest less lowest [V].
    limit_v
        Range at which to look closer [V].
    weakest
        The lowest block; the first of them where several are equal.
    dead
        Blocks that lack most of a cell.
    state
        Even, watch, or replace or ask; volts alone never call for equalising.
    """

    blocks_v: tuple[float, ...]
    usual_v: float
    above_usual_v: tuple[float, ...]
    range_v: float
    limit_v: float
    weakest: int
    dead: tuple[int, ...]
    state: SpreadState


def block_limit_v(cells_per_block: int, *, under_load: bool = False) -> float:
    """Difference between the highest and the lowest block at which to look closer.

    Parameters
    ----------
    cells_per_block
        Cells in one case [1 to 24].
    under_load
        Whether the machine worked while the volts were read.

    Raises
    ------
    BadInput
        A value outside this range.

    Examples
    --------
    >>> [round(block_limit_v(cells), 2) for cells in (3, 6)]
    [0.15, 0.22]

    **Source** makers' texts on deep-cycle batteries at rest, one hour after a full charge (checked in
    tests/published/test_battery_cells.py); under load from memory, common practice.
    """
    if not 1 <= cells_per_block <= 24:
        raise BadInput("A block has {cells} cells; count its caps and enter from 1 to 24.", cells=cells_per_block)
    if under_load:
        return _UNDER_LOAD_V_A_CELL * cells_per_block
    return min(_AT_REST_V_A_CELL * cells_per_block, _AT_REST_MOST_V)


def block_spread(
    blocks_v: Sequence[float], *, cells_per_block: int, under_load: bool = False, limit_v: float | None = None
) -> BlockSpread:
    """The blocks of one visit beside each other.

    Parameters
    ----------
    blocks_v
        Of each block from 1 on, at rest after a full charge or all under the same load [V, > 0].
    cells_per_block
        Cells in one case [1 to 24].
    under_load
        Whether the machine worked while they were read.
    limit_v
        Range at which to look closer [V, > 0]; None: `block_limit_v`.

    Raises
    ------
    BadInput
        Fewer than two blocks, or a value outside these ranges.

    Notes
    -----
    With two blocks the lower one is named, though either may be off.

    **Source** ours, with the limits of `block_limit_v`; see docs/explanation/weak-cells.md.
    """
    if len(blocks_v) < 2:
        raise BadInput("{given} blocks were read; read at least two, all of them if you can.", given=len(blocks_v))
    for volts in blocks_v:
        check_above_zero("blocks_v", volts)
    limit_v = block_limit_v(cells_per_block, under_load=under_load) if limit_v is None else limit_v
    check_above_zero("limit_v", limit_v)
    # Of two blocks none is in the middle: the better one says what a block should show.
    usual_v = float(np.median(blocks_v)) if len(blocks_v) > 2 else max(blocks_v)
    range_v = max(blocks_v) - min(blocks_v)
    dead = tuple(number for number, volts in enumerate(blocks_v, 1) if volts <= usual_v - DEAD_CELL_V)
    state = SpreadState.WATCH if range_v + _ROUNDING_V >= limit_v else SpreadState.EVEN
    return BlockSpread(
        blocks_v=tuple(blocks_v),
        usual_v=usual_v,
        above_usual_v=tuple(volts - usual_v for volts in blocks_v),
        range_v=range_v,
        limit_v=limit_v,
        weakest=1 + min(range(len(blocks_v)), key=lambda index: blocks_v[index]),
        dead=dead,
        state=SpreadState.ASK if dead else state,
    )
