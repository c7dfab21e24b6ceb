"""The cells as lines of the answer, and what their spread and drift mean in words."""

from scrubwright.battery.cell_drift import CellDrift
from scrubwright.battery.cells import CellGrid, SpreadState
from scrubwright.battery.charge_left import GravityFamily, charge_left_fraction
from scrubwright.jobs.pack_answer import CellLine
from scrubwright.measures.sentence import Sentence


def cell_lines(grid: CellGrid, drifts: tuple[CellDrift, ...], family: GravityFamily) -> tuple[CellLine, ...]:
    """One line a cell, from 1 on.

    Parameters
    ----------
    grid
        The cells of the last visit where gravities were read.
    drifts
        How they moved over the visits after charge; empty where there were none.
    family
        The pack's way from gravity to charge.
    """
    drift_of = {drift.number: drift for drift in drifts}
    return tuple(
        CellLine(
            number=number,
            gravity_ratio=gravity,
            above_median_ratio=grid.above_median_ratio[number - 1],
            drift_per_visit=drift_of[number].slope_per_visit if number in drift_of else None,
            charge_fraction=None if gravity is None else charge_left_fraction(family, gravity),
            remark=_remark(grid, drift_of.get(number), number),
            is_weakest=number == grid.weakest and grid.state is not SpreadState.EVEN,
        )
        for number, gravity in enumerate(grid.gravities_ratio, 1)
    )


def spread_told(grid: CellGrid) -> Sentence:
    """What the spread means, in one sentence."""
    if grid.state is SpreadState.EVEN:
        return Sentence(
            "The cells are even: they lie {range_ratio} apart, and equal cells would show {noise_ratio} by the "
            "hydrometer alone.",
            range_ratio=grid.range_ratio,
            noise_ratio=grid.expected_range_ratio,
        )
    if grid.is_noise:
        return Sentence(
            "The cells lie {range_ratio} apart, which the hydrometer alone may show, but cell {cell} stands apart from "
            "the others.",
            range_ratio=grid.range_ratio,
            cell=grid.weakest,
        )
    return Sentence(
        "The cells lie {range_ratio} apart; equal cells show that in {chance_fraction} of all looks. Cell {cell} is "
        "the lowest, {below_ratio} under the median.",
        range_ratio=grid.range_ratio,
        chance_fraction=grid.chance_fraction,
        cell=grid.weakest,
        below_ratio=grid.weakest_below_median_ratio,
    )


def _remark(grid: CellGrid, drift: CellDrift | None, number: int) -> Sentence | None:
    if number in grid.set_aside:
        return Sentence("read it again: too far off to believe at once")
    if drift is not None and drift.falls:
        return Sentence("falls from visit to visit")
    if number in grid.low:
        return Sentence("too low for chance")
    if number in grid.high:
        return Sentence("too high for chance: check its level")
    if number == grid.weakest and grid.state is not SpreadState.EVEN:
        return Sentence("the lowest")
    return None
