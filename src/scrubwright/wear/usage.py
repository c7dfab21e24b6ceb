"""How many hours a machine will run: a gamma process that learns its pace from its own past, old days counting less."""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc, btdtrib

from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput
from scrubwright.wear.cleaning import CleanBatch
from scrubwright.wear.meters import FloatArray, MeterBatch

# Nothing is told further ahead: ten years.
HORIZON_DAYS = 3650.0


@dataclass(frozen=True, slots=True, kw_only=True)
class UsagePrior:
    """What is taken of any machine before its own readings say more.

    Parameters
    ----------
    shape_per_day
        How even the days are: the hours of one day have a coefficient of variation of 1/sqrt of this [per day, > 0].
    half_life_days
        After so many days a day counts half [days, > 0].
    prior_days
        How many days of its own outweigh what is taken of any machine [days, > 0].
    prior_h_per_day
        Hours that any machine is taken to run [h/day, > 0].

    Raises
    ------
    BadInput
        A value that is not above zero.
    """

    shape_per_day: float
    half_life_days: float
    prior_days: float
    prior_h_per_day: float

    def __post_init__(self) -> None:
        check_above_zero("shape_per_day", self.shape_per_day)
        check_above_zero("half_life_days", self.half_life_days)
        check_above_zero("prior_days", self.prior_days)
        check_above_zero("prior_h_per_day", self.prior_h_per_day)


# Set on simulated fleets, days counted as they come, or open days alone; other fleets show how often they hold (ours).
ALL_DAYS_PRIOR = UsagePrior(shape_per_day=0.5, half_life_days=30.0, prior_days=3.5, prior_h_per_day=1.6)
OPEN_DAYS_PRIOR = UsagePrior(shape_per_day=0.8, half_life_days=20.0, prior_days=3.5, prior_h_per_day=2.2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Usage:
    """What is known of the pace of many meters.

    The hours of t days have a gamma distribution of shape `shape_per_day` × t and a rate that is itself gamma
    distributed with shape `evidence_ratio` and rate `seen_h`.

    Parameters
    ----------
    shape_per_day
        How even the days are [per day, > 0].
    evidence_ratio
        How much is known of the pace [> 0], any shape.
    seen_h
        Hours that this knowledge rests on [h, > 0], same shape.
    """

    shape_per_day: float
    evidence_ratio: FloatArray
    seen_h: FloatArray

    def of(self, rows: NDArray[np.int64]) -> Self:
        """The usage of some meters, also of one several times."""
        return type(self)(
            shape_per_day=self.shape_per_day, evidence_ratio=self.evidence_ratio[rows], seen_h=self.seen_h[rows]
        )

    @property
    def pace_h_per_day(self) -> FloatArray:
        """The likely pace [h/day]."""
        return self.shape_per_day * self.seen_h / self.evidence_ratio

    def passed_fraction(self, left_h: FloatArray, further_days: FloatArray) -> FloatArray:
        """Chance that so many hours are run within so many days of the last reading.

        Parameters
        ----------
        left_h
            Hours to run [h]; none or fewer are run already.
        further_days
            Days from the last reading on [days, >= 0].

        Notes
        -----
        Hours only go up, so the limit is passed by a day just where the hours of that day are past it.

        **Source** compound gamma distribution, textbook; after van Noortwijk, A survey of the application of gamma
        processes in maintenance, 2009 (from memory; checked in tests/worked/test_usage_numbers.py).
        """
        left, shape = np.maximum(left_h, 0.0), self.shape_per_day * np.asarray(further_days, dtype=np.float64)
        chance = betainc(self.evidence_ratio, np.maximum(shape, 1e-12), self.seen_h / (left + self.seen_h))
        return np.where(left <= 0, 1.0, np.where(shape <= 0, 0.0, chance))

    def days(self, left_h: FloatArray, chance_fraction: FloatArray | float) -> FloatArray:
        """Days from the last reading within which so many hours are run with this chance [days].

        Parameters
        ----------
        left_h
            Hours to run [h]; none or fewer take no day, infinitely many ten years, beyond which nothing is told.
        chance_fraction
            The chance [above 0, below 1].

        **Source** inverse of `passed_fraction`.
        """
        left = np.maximum(left_h, 0.0)
        reached = self.seen_h / (left + self.seen_h)
        shape = btdtrib(self.evidence_ratio, chance_fraction, np.clip(reached, 1e-300, 1.0 - 1e-15))
        told = np.minimum(shape / self.shape_per_day, HORIZON_DAYS)
        return np.where(left <= 0, 0.0, np.where(np.isfinite(left), told, HORIZON_DAYS))


def usage_at_each(batch: MeterBatch, clean: CleanBatch, prior: UsagePrior = ALL_DAYS_PRIOR) -> Usage:
    """What was known of each meter's pace at each of its readings, from those up to it.

    Parameters
    ----------
    batch
        The readings, their days counted as they come or open days alone.
    clean
        Which of them count.
    prior
        What is taken of any machine; it must fit the way in which days are counted.

    Returns
    -------
    Usage
        One for each reading, shape (meters, readings).

    Raises
    ------
    BadInput
        Readings and what is believed of them do not belong together.

    Notes
    -----
    Days and hours up to each reading are added up, each weighing half for every half-life before it. The step to the
    first reading of a new meter is left out: its hours were not read.
    """
    if clean.run_h.shape != batch.at_days.shape:
        raise BadInput("Times, hours and meters have different lengths; give one of each for every reading.")
    shape = batch.at_days.shape
    days, hours = np.zeros(shape), np.zeros(shape)
    seen_days, seen_h, last_at, last_h = (np.zeros(shape[0]) for _ in range(4))
    is_begun = np.zeros(shape[0], dtype=bool)
    accepted, new = clean.is_accepted, clean.is_new_meter
    for place in range(shape[1]):
        counts = accepted[:, place]
        passed = np.where(counts & is_begun, batch.at_days[:, place] - last_at, 0.0)
        more = np.where(counts, clean.run_h[:, place] - last_h, 0.0)
        was_read = ~new[:, place]
        weight = 0.5 ** (passed / prior.half_life_days)
        seen_days = seen_days * weight + passed * was_read
        seen_h = seen_h * weight + more * was_read
        days[:, place], hours[:, place] = seen_days, seen_h
        last_at = np.where(counts, batch.at_days[:, place], last_at)
        last_h = np.where(counts, clean.run_h[:, place], last_h)
        is_begun |= counts
    return Usage(
        shape_per_day=prior.shape_per_day,
        evidence_ratio=prior.shape_per_day * (prior.prior_days + days),
        seen_h=prior.prior_days * prior.prior_h_per_day + hours,
    )


def usage_now(batch: MeterBatch, clean: CleanBatch, prior: UsagePrior = ALL_DAYS_PRIOR) -> Usage:
    """What is known of each meter's pace at its last reading that counts.

    Parameters
    ----------
    batch, clean, prior
        As for `usage_at_each`.

    Returns
    -------
    Usage
        One for each meter, shape (meters,); where nothing was read yet, what is taken of any machine.
    """
    if batch.at_days.shape[1] == 0:
        meters = len(batch.lengths)
        return Usage(
            shape_per_day=prior.shape_per_day,
            evidence_ratio=np.full(meters, prior.shape_per_day * prior.prior_days),
            seen_h=np.full(meters, prior.prior_days * prior.prior_h_per_day),
        )
    known = usage_at_each(batch, clean, prior)
    # Readings that do not count leave what is known as it was.
    return Usage(
        shape_per_day=known.shape_per_day,
        evidence_ratio=known.evidence_ratio[:, -1],
        seen_h=known.seen_h[:, -1],
    )
