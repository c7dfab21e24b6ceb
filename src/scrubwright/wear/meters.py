"""Hour meters as they are read: what each counts, where it rolls over, and what a person says about a reading."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput

FloatArray = NDArray[np.float64]
MOST_DIGITS = 7
DAY = timedelta(days=1)


class Counts(StrEnum):
    """What an hour meter counts."""

    KEY = "key"
    TRACTION = "traction"
    BRUSH = "brush"
    VACUUM = "vacuum"


class Ruling(StrEnum):
    """What a person says of a reading; it wins over what the numbers suggest."""

    RIGHT = "right"
    MISTYPED = "mistyped"
    NEW_METER = "new meter"


# A batch keeps rulings as whole numbers: 0 is none, the others count along the enumeration.
RULINGS: tuple[Ruling | None, ...] = (None, *Ruling)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterDefinition:
    """One hour meter of a machine.

    Parameters
    ----------
    counts
        What it counts.
    digits
        Digits before the point; past the last it begins again at zero [1 to 7].
    step_h
        The smallest step that it shows [h, > 0].

    Raises
    ------
    BadInput
        A value outside its range.
    """

    counts: Counts
    digits: int = 5
    step_h: float = 0.1

    def __post_init__(self) -> None:
        if not 1 <= self.digits <= MOST_DIGITS:
            raise BadInput(
                "The meter has {digits} digits; enter from 1 to {most}, counting those before the point.",
                digits=self.digits,
                most=MOST_DIGITS,
            )
        check_above_zero("step_h", self.step_h)

    @property
    def rolls_at_h(self) -> float:
        """Hours at which it begins again at zero [h]."""
        return 10.0**self.digits


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterReading:
    """One reading, kept as it was written down.

    Parameters
    ----------
    at
        When it was read; all readings of a meter with a time zone, or all without.
    value_h
        What was written down [h, >= 0].
    meant_h
        What it should have been, by a later correction [h, >= 0]; None: it stands as it is.
    ruling
        What a person says of it; None: nobody was asked yet.

    Raises
    ------
    BadInput
        Hours below zero.
    """

    at: datetime
    value_h: float
    meant_h: float | None = None
    ruling: Ruling | None = None

    def __post_init__(self) -> None:
        check_zero_or_more("value_h", self.value_h)
        if self.meant_h is not None:
            check_zero_or_more("meant_h", self.meant_h)

    @property
    def counted_h(self) -> float:
        """The hours that count: those meant, or else those written down [h]."""
        return self.value_h if self.meant_h is None else self.meant_h

    @property
    def counted_ruling(self) -> Ruling | None:
        """A corrected reading is right, unless more is said of it."""
        return Ruling.RIGHT if self.ruling is None and self.meant_h is not None else self.ruling


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeterBatch:
    """Readings of many meters at once, each row in order of time, filled up at its end.

    Parameters
    ----------
    at_days
        When each was read, from any one day on [days], shape (meters, readings).
    value_h
        What counts of each [h, >= 0], shape (meters, readings).
    rulings
        What people say, by number along `RULINGS`, shape (meters, readings).
    lengths
        How many readings each row really has, shape (meters,).
    rolls_at_h, step_h
        Where each meter begins again at zero, and its smallest step [h, > 0], shape (meters,).

    Raises
    ------
    BadInput
        Shapes differ, a row is out of order, or hours are below zero.
    """

    at_days: FloatArray
    value_h: FloatArray
    rulings: NDArray[np.int8]
    lengths: NDArray[np.int64]
    rolls_at_h: FloatArray
    step_h: FloatArray

    def __post_init__(self) -> None:
        meters = (len(self.lengths),)
        rows_fit = self.at_days.ndim == 2 and self.at_days.shape == self.value_h.shape == self.rulings.shape
        if not rows_fit or not meters == self.at_days.shape[:1] == self.rolls_at_h.shape == self.step_h.shape:
            raise BadInput("Times, hours and meters have different lengths; give one of each for every reading.")
        there = self.is_there
        if not bool(np.all((self.value_h >= 0) | ~there)):
            raise BadInput("A meter shows less than no hours; enter zero or more.")
        in_order = self.at_days[:, 1:] >= self.at_days[:, :-1]
        if not bool(np.all(in_order | ~there[:, 1:])):
            raise BadInput("Readings are out of order; give those of each meter from the oldest to the newest.")

    @property
    def is_there(self) -> NDArray[np.bool_]:
        """Which places hold a reading, shape (meters, readings)."""
        return np.asarray(np.arange(self.at_days.shape[1])[None, :] < self.lengths[:, None])


def meter_batch(
    meters: Sequence[tuple[MeterDefinition, Sequence[MeterReading]]],
    *,
    start: datetime,
) -> MeterBatch:
    """Many meters side by side, for everything that is reckoned of all at once.

    Parameters
    ----------
    meters
        Each meter with its readings, in any order.
    start
        The time that days are counted from.
    """
    longest = max((len(readings) for _, readings in meters), default=0)
    shape = (len(meters), longest)
    at_days, value_h, rulings = np.zeros(shape), np.zeros(shape), np.zeros(shape, dtype=np.int8)
    for row, (_, readings) in enumerate(meters):
        ordered = sorted(readings, key=lambda reading: reading.at)
        count = len(ordered)
        at_days[row, :count] = [(reading.at - start) / DAY for reading in ordered]
        value_h[row, :count] = [reading.counted_h for reading in ordered]
        rulings[row, :count] = [RULINGS.index(reading.counted_ruling) for reading in ordered]
    return MeterBatch(
        at_days=at_days,
        value_h=value_h,
        rulings=rulings,
        lengths=np.array([len(readings) for _, readings in meters], dtype=np.int64),
        rolls_at_h=np.array([meter.rolls_at_h for meter, _ in meters]),
        step_h=np.array([meter.step_h for meter, _ in meters]),
    )
