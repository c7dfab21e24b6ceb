"""How long a part lasted and why it came off, and the Weibull curve that lives of one kind follow."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput

# The share that is gone at the scale of a Weibull curve, whatever its shape.
GONE_AT_SCALE_FRACTION = -math.expm1(-1.0)
FloatArray = NDArray[np.float64]


class Ending(StrEnum):
    """Why a part came off; a person is asked, for the meter does not know."""

    WORN_OUT = "worn out"
    FAILED = "failed"
    CHANGED_WHILE_GOOD = "changed while good"
    LOST_WITH_MACHINE = "lost with the machine"
    STILL_RUNNING = "still running"

    @property
    def is_end_of_life(self) -> bool:
        """Whether the part itself came to its end; else it would have lasted longer."""
        return self in (Ending.WORN_OUT, Ending.FAILED)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLife:
    """One part, or one set that was fitted and changed together.

    Parameters
    ----------
    run_h
        Hours that it had run when it ended, or has run by now, on the meter that wears it [h, > 0].
    ending
        Why it came off.
    entered_h
        Hours that it had run already when its record began, e.g. on a machine bought second-hand [h, >= 0].
    last_good_h
        Hours at which it was last seen good, where the end was only found later [h]; None where the end was seen
        as it came.

    Raises
    ------
    BadInput
        Hours below zero, in no order, or a last good look at a part that did not end.
    """

    run_h: float
    ending: Ending
    entered_h: float = 0.0
    last_good_h: float | None = None

    def __post_init__(self) -> None:
        check_above_zero("run_h", self.run_h)
        check_zero_or_more("entered_h", self.entered_h)
        if not self.entered_h < self.run_h:
            raise BadInput(
                "A part ended at {run_h}, and its record began at {entered_h}; enter a beginning before the end.",
                run_h=self.run_h,
                entered_h=self.entered_h,
            )
        if self.last_good_h is None:
            return
        if not self.ending.is_end_of_life:
            raise BadInput("A part that did not wear out or fail has no last good look; leave that empty.")
        if not self.entered_h <= self.last_good_h < self.run_h:
            raise BadInput(
                "A part was last seen good at {last_good_h} and found bad at {run_h}; enter a last good look after "
                "its record began and before it was found bad.",
                last_good_h=self.last_good_h,
                run_h=self.run_h,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class WeibullLife:
    """A Weibull curve: of all parts exp(-(t/scale)^shape) are still good after t hours.

    Parameters
    ----------
    shape_ratio
        Shape β [> 0]: 1 fails at any age alike, 2 to 4 wears out.
    scale_h
        Scale η, at which 63 % are gone [h, > 0].

    Raises
    ------
    BadInput
        A value of zero or less.
    """

    shape_ratio: float
    scale_h: float

    def __post_init__(self) -> None:
        check_above_zero("shape_ratio", self.shape_ratio)
        check_above_zero("scale_h", self.scale_h)

    @property
    def mean_h(self) -> float:
        """Mean life [h]."""
        return self.scale_h * math.gamma(1 + 1 / self.shape_ratio)


def survival_fraction(life: WeibullLife, age_h: FloatArray | float) -> FloatArray:
    """Share of parts that are still good at an age.

    Parameters
    ----------
    life
        The curve.
    age_h
        Ages [h, >= 0], any shape.

    Examples
    --------
    >>> round(float(survival_fraction(WeibullLife(shape_ratio=2.5, scale_h=1000.0), 500.0)), 6)
    0.837967

    **Source** definition of the Weibull curve (checked in tests/worked/test_wear_life_numbers.py).
    """
    age_h = np.asarray(age_h, dtype=np.float64)
    return np.exp(-((age_h / life.scale_h) ** life.shape_ratio))


def gone_by_h(life: WeibullLife, gone_fraction: float) -> float:
    """Age at which a share of the parts is gone [h]; a tenth gives the B10 life.

    Parameters
    ----------
    life
        The curve.
    gone_fraction
        The share [above 0, below 1].

    Raises
    ------
    BadInput
        A share outside its range.

    Examples
    --------
    >>> round(gone_by_h(WeibullLife(shape_ratio=2.5, scale_h=1000.0), 0.1), 2)
    406.51

    **Source** definition of the Weibull curve (checked in tests/worked/test_wear_life_numbers.py).
    """
    check_share(gone_fraction)
    return life.scale_h * math.pow(-math.log1p(-gone_fraction), 1 / life.shape_ratio)


def check_share(share_fraction: float) -> None:
    """Refuse what is not between 0 and 1.

    Raises
    ------
    BadInput
        It is not.
    """
    if not 0 < share_fraction < 1:
        raise BadInput("The share is {given}; enter one between 0 and 1, such as 0.1.", given=str(share_fraction))
