"""The weakest cell: what it still holds while the pack's mean looks fine, and when it runs backwards."""

import numpy as np

from scrubwright.battery.charge_left import GravityFamily, charge_left_fraction
from scrubwright.measures.checks import check_zero_or_more
from scrubwright.measures.errors import BadInput


def weakest_charge_fraction(family: GravityFamily, mean_charge_fraction: float, below_ratio: float) -> float:
    """Charge left in a cell that stands so far below the pack's mean gravity.

    The same current runs through all cells, so a cell that is behind after a full charge is behind by about
    as much gravity for the whole discharge.

    Parameters
    ----------
    family
        The pack's way from gravity to charge.
    mean_charge_fraction
        Charge left by the pack's mean gravity [0 to 1].
    below_ratio
        How far the cell lies below that mean [gravity, >= 0].

    Returns
    -------
    float
        Its charge, 0 for flat [0 to 1].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    Holds for cells of one kind with like volumes of electrolyte; a cell that also lost plates falls faster.

    **Source** ours, see docs/explanation/weak-cells.md (steps in tests/worked/test_cell_numbers.py).
    """
    if not 0 <= mean_charge_fraction <= 1:
        raise BadInput(
            "The charge left is {given}; enter a share from 0 to 1, such as 0.3.", given=str(mean_charge_fraction)
        )
    check_zero_or_more("below_ratio", below_ratio)
    gravities = [point.gravity_ratio for point in family.points]
    charges = [point.charge_fraction for point in family.points]
    mean_ratio = float(np.interp(mean_charge_fraction, charges, gravities))
    # A cell cannot be emptier than flat, so the table's range is not left.
    return charge_left_fraction(family, max(mean_ratio - below_ratio, family.flat_ratio))


def reversal_charge_fraction(family: GravityFamily, below_ratio: float) -> float:
    """Charge left by the pack's mean when its weakest cell is flat.

    From there on the other cells drive current through it the wrong way, it heats and is ruined. Stop
    working before.

    Parameters
    ----------
    family
        The pack's way from gravity to charge.
    below_ratio
        How far the weakest cell lies below the pack's mean [gravity, >= 0].

    Returns
    -------
    float
        0 where no cell is behind, 1 where the cell is never charged [0 to 1].

    Raises
    ------
    BadInput
        A value outside this range.

    Notes
    -----
    **Source** ours, see docs/explanation/weak-cells.md (steps in tests/worked/test_cell_numbers.py).
    """
    check_zero_or_more("below_ratio", below_ratio)
    return charge_left_fraction(family, min(family.flat_ratio + below_ratio, family.full_ratio))


def may_reverse(family: GravityFamily, mean_charge_fraction: float, below_ratio: float) -> bool:
    """Whether the weakest cell is flat, or under it, at this charge of the pack's mean."""
    return weakest_charge_fraction(family, mean_charge_fraction, below_ratio) <= 0
