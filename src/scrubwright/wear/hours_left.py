"""Hours that a meter may still run until a part is due: sure, or spread over a few values with their shares."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from scrubwright.measures.errors import BadInput
from scrubwright.wear.meters import FloatArray

# Values that stand for a wear line, each with the same chance. Of 15, three are the line's own 10, 50 and 90 %.
LINE_VALUES = 15
_SHARES_SLACK = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoursLeft:
    """Hours from the last reading of a meter until each of many items is due.

    Parameters
    ----------
    left_h
        Values that they may have [h]; none or fewer: due already; infinite: never by this meter.
        Shape (items, values).
    share_fraction
        Chance of each value, together 1, shape (items, values).

    Raises
    ------
    BadInput
        Shapes differ, or the shares of an item are not 1 together.
    """

    left_h: FloatArray
    share_fraction: FloatArray

    def __post_init__(self) -> None:
        if self.left_h.ndim != 2 or self.left_h.shape != self.share_fraction.shape or np.isnan(self.left_h).any():
            raise BadInput("The hours left and their shares have different lengths; give one share for each value.")
        if not bool(np.all(np.abs(self.share_fraction.sum(axis=1) - 1.0) < _SHARES_SLACK)):
            raise BadInput("The shares of the hours left must be 1 together for each item.")


def sure_left(left_h: FloatArray) -> HoursLeft:
    """Hours left by the meter alone, one value for each item.

    Parameters
    ----------
    left_h
        Hours from the last reading of the meter to the limit [h], shape (items,).
    """
    column = np.asarray(left_h, dtype=np.float64)[:, None]
    return HoursLeft(left_h=column, share_fraction=np.ones(column.shape))


def left_by_line(left_at_h: Callable[[float], float], *, run_since_h: float) -> HoursLeft:
    """Hours left of one item by its line of wear.

    Parameters
    ----------
    left_at_h
        Hours from the last measurement within which the limit is passed with a given chance [h].
    run_since_h
        Hours from that measurement to the last reading of the meter [h, >= 0].
    """
    chances = (np.arange(LINE_VALUES) + 0.5) / LINE_VALUES
    left = np.array([[left_at_h(float(chance)) - run_since_h for chance in chances]])
    return HoursLeft(left_h=left, share_fraction=np.full(left.shape, 1.0 / LINE_VALUES))


def earliest_left(first: HoursLeft, second: HoursLeft) -> HoursLeft:
    """Hours left where whichever limit comes first counts, both on one meter and independent of each other.

    Parameters
    ----------
    first, second
        Of the same items, or of one item each.
    """
    left = np.minimum(first.left_h[:, :, None], second.left_h[:, None, :])
    share = first.share_fraction[:, :, None] * second.share_fraction[:, None, :]
    flat = (len(left), math.prod(left.shape[1:]))
    return HoursLeft(left_h=left.reshape(flat), share_fraction=share.reshape(flat))
