"""Whether past due dates lay inside their bands, and how much wider or narrower the bands should have been."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.errors import BadInput
from scrubwright.wear.cleaning import CleanBatch
from scrubwright.wear.meters import FloatArray, MeterBatch
from scrubwright.wear.usage import Usage

# Dates this far ahead share their factors (ours).
BUCKETS_DAYS = (7.0, 14.0, 30.0, 60.0)
LEAST_DUE_DATES = 30
_LEAST_FACTOR, _MOST_FACTOR = 0.3, 4.0
# Horizons that the past is asked about, and how many times as long it must have gone on to know.
_HORIZONS_DAYS = (4.0, 10.0, 20.0, 42.0, 80.0, 120.0)
_KNOWN_AFTER = 2.5
_EVERY = 3
_LOW, _HIGH = 0.1, 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class BandFactors:
    """By how much both halves of a band are stretched, by how far ahead its middle lies.

    Parameters
    ----------
    early_ratio, late_ratio
        Powers of low end over middle and of high end over middle, one a bucket [> 0]: 1 leaves them as they are.
    """

    early_ratio: tuple[float, ...]
    late_ratio: tuple[float, ...]

    def __post_init__(self) -> None:
        counts = {len(self.early_ratio), len(self.late_ratio)}
        if counts != {len(BUCKETS_DAYS) + 1} or not all(each > 0 for each in (*self.early_ratio, *self.late_ratio)):
            raise BadInput("Give {count} factors above zero for each half of the band.", count=len(BUCKETS_DAYS) + 1)

    def stretched_days(
        self, low_days: FloatArray, likely_days: FloatArray, high_days: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Both ends of the bands after stretching [days].

        Parameters
        ----------
        low_days, likely_days, high_days
            Ends and middle, from the last reading on [days], shape (items,).

        **Source** conformal factors on the logarithm of end over middle, ours; see
        docs/explanation/meters-and-forecasts.md.
        """
        bucket = np.searchsorted(BUCKETS_DAYS, likely_days, side="right")
        middle = np.maximum(likely_days, 1e-9)
        low = middle * np.clip(low_days / middle, 1e-9, 1.0) ** np.array(self.early_ratio)[bucket]
        high = middle * np.maximum(high_days / middle, 1.0) ** np.array(self.late_ratio)[bucket]
        return np.where(likely_days > 0, low, low_days), np.where(likely_days > 0, high, high_days)


NEUTRAL = BandFactors(
    early_ratio=(1.0,) * (len(BUCKETS_DAYS) + 1),
    late_ratio=(1.0,) * (len(BUCKETS_DAYS) + 1),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PastDue:
    """Dates told in the past and when they came, in days from the reading that they were told at, shape (dates,).

    Parameters
    ----------
    low_days, likely_days, high_days
        As told, before any stretching [days].
    came_days
        When it came [days]; infinite where it had not come long after.
    """

    low_days: FloatArray
    likely_days: FloatArray
    high_days: FloatArray
    came_days: FloatArray

    def inside_fraction(self, factors: BandFactors = NEUTRAL) -> float:
        """Share of the dates that lay inside their bands.

        **Source** count.
        """
        low, high = factors.stretched_days(self.low_days, self.likely_days, self.high_days)
        # Dates are whole days, told rounded outward.
        inside = (np.floor(low) <= self.came_days) & (self.came_days <= np.ceil(high))
        return float(np.mean(inside)) if len(inside) else 0.0


def learned_factors(past: PastDue) -> BandFactors:
    """Factors that would have put 80 % of the past dates inside, 10 % on each side, bucket by bucket.

    Parameters
    ----------
    past
        Dates of the fleet's own past; a bucket with fewer than 30 keeps a neutral factor.

    **Source** split conformal prediction, textbook; the buckets are ours, see
    docs/explanation/meters-and-forecasts.md (gain in benchmarks/quality/meters.csv).
    """
    bucket = np.searchsorted(BUCKETS_DAYS, past.likely_days, side="right")
    came = np.log(np.maximum(past.came_days, 1e-3) / past.likely_days)
    early = came / np.log(np.minimum(past.low_days / past.likely_days, 0.999))
    late = came / np.log(np.maximum(past.high_days / past.likely_days, 1.001))
    factors = []
    for scores in (early, late):
        chosen = []
        for number in range(len(BUCKETS_DAYS) + 1):
            of_bucket = np.sort(scores[bucket == number])
            if len(of_bucket) < LEAST_DUE_DATES:
                chosen.append(1.0)
            else:
                place = min(len(of_bucket) - 1, int(np.ceil(_HIGH * (len(of_bucket) + 1))) - 1)
                chosen.append(float(np.clip(of_bucket[place], _LEAST_FACTOR, _MOST_FACTOR)))
        factors.append(tuple(chosen))
    return BandFactors(early_ratio=factors[0], late_ratio=factors[1])


def past_due(batch: MeterBatch, clean: CleanBatch, at_each: Usage) -> PastDue:
    """What would have been told at earlier readings of a fleet, and when those hours were really run.

    Parameters
    ----------
    batch, clean
        The meters and what is believed of them.
    at_each
        What was known at each of their readings.

    Notes
    -----
    Every third reading is asked for dates 4 to 85 days ahead, as far as the readings go on three times as long: a date
    that had not come by then counts as too late, so that slow machines are not left out. Which readings fit is judged
    with all of them in hand, a little better than it was known then.
    """
    accepted = clean.is_accepted
    meters = np.arange(len(batch.lengths))
    end = batch.at_days[meters, np.maximum(clean.last, 0)]
    # Time of the last reading that counts, at each place.
    counted_at = np.maximum.accumulate(np.where(accepted, batch.at_days, -np.inf), axis=1)
    told: list[tuple[FloatArray, FloatArray, FloatArray, FloatArray]] = []
    for place in range(_EVERY, batch.at_days.shape[1] - 1, _EVERY):
        known = Usage(
            shape_per_day=at_each.shape_per_day,
            evidence_ratio=at_each.evidence_ratio[:, place],
            seen_h=at_each.seen_h[:, place],
        )
        for ahead_days in _HORIZONS_DAYS:
            asked = accepted[:, place] & (batch.at_days[:, place] + _KNOWN_AFTER * ahead_days <= end)
            rows = np.flatnonzero(asked)
            if len(rows):
                told.append(_told(batch, clean, counted_at, known.of(rows), rows, place, ahead_days))
    if not told:
        none = np.zeros(0)
        return PastDue(low_days=none, likely_days=none, high_days=none, came_days=none)
    low, likely, high, came = (np.concatenate(column) for column in zip(*told, strict=True))
    return PastDue(low_days=low, likely_days=likely, high_days=high, came_days=came)


def _told(
    batch: MeterBatch,
    clean: CleanBatch,
    counted_at: FloatArray,
    known: Usage,
    rows: NDArray[np.int64],
    place: int,
    ahead_days: float,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    # Limits do not follow what a machine does just now, so they are taken at its usual pace.
    left = clean.pace_h_per_day[rows] * ahead_days
    run = clean.run_h[rows]
    wanted = run[:, place] + left
    reached = run >= wanted[:, None]
    first = np.where(reached.any(axis=1), np.argmax(reached, axis=1), place + 1)
    each = np.arange(len(rows))
    before, after = run[each, first - 1], run[each, first]
    step = np.where(after > before, (wanted - before) / np.maximum(after - before, 1e-9), 1.0)
    since = counted_at[rows, first - 1]
    came = since + step * (batch.at_days[rows, first] - since) - batch.at_days[rows, place]
    came = np.where(reached.any(axis=1), came, np.inf)
    low, likely, high = (known.days(left, np.full(len(rows), chance)) for chance in (_LOW, 0.5, _HIGH))
    return low, likely, high, came
