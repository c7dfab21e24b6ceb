"""What is left of a part that is measured: the line through its millimetres, and the hours until its limit."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.special import ndtr, ndtri

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.life import FloatArray, check_share

# What a steel tape or a caliper on rubber and bristle repeats to, as a standard deviation (common practice).
TAPE_NOISE_M = 0.0007
# By how much the wear of the hours ahead differs from that of the hours measured: other floors, pads and loads (ours).
UNEVEN_FRACTION = 0.12
# A rise of more deviations than this is no slip of the tape.
RISE_SD = 4.0
LIKELY_LOW, LIKELY_HIGH = 0.1, 0.9
# Of slopes by Theil and Sen the variance is this much wider than by least squares, under normal errors.
THEIL_SEN_VARIANCE_RATIO = 1 / 0.955


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One measurement of a part.

    Parameters
    ----------
    at_h
        Reading of the meter that wears it, without jumps [h, >= 0].
    left_m
        What is left of bristle, blade, rubber or carbon [m, >= 0].
    is_new_part
        Whether this is the first measurement of a part just fitted.

    Raises
    ------
    BadInput
        A value below zero.
    """

    at_h: float
    left_m: float
    is_new_part: bool = False

    def __post_init__(self) -> None:
        check_zero_or_more("at_h", self.at_h)
        check_zero_or_more("left_m", self.left_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class WearLine:
    """The line through the measurements of one part, down to its limit.

    Parameters
    ----------
    last_h
        Meter reading of the last measurement on the line [h].
    over_limit_m
        What the line has above the limit there [m].
    over_limit_sd_m
        How far that may be off, as a standard deviation [m].
    lost_over_span_m, span_h
        What the line loses over the hours from the first to the last measurement [m, > 0], and those hours [h].
    lost_sd_m
        How far the loss may be off, as a standard deviation [m].
    shared_m2
        How far both are off together, as a covariance [m²].
    uneven_fraction
        By which share the wear ahead may differ, as a standard deviation.
    measurements
        How many lie on the line.
    questions
        What must be asked of a person before the line can be trusted.
    """

    last_h: float
    over_limit_m: float
    over_limit_sd_m: float
    lost_over_span_m: float
    span_h: float
    lost_sd_m: float
    shared_m2: float
    uneven_fraction: float
    measurements: int
    questions: tuple[Sentence, ...] = ()

    @property
    def left_h(self) -> float:
        """Hours from the last measurement until the limit; 0 where it is passed [h]."""
        return max(0.0, self.over_limit_m / self.lost_over_span_m * self.span_h)

    @property
    def band_h(self) -> tuple[float, float]:
        """Ends of the 80 % band of these hours [h]; the later end is infinite where hardly any wear is seen yet."""
        return self.left_at_h(LIKELY_LOW), self.left_at_h(LIKELY_HIGH)

    def passed_fraction(self, further_h: FloatArray | float) -> FloatArray:
        """Chance that the limit is passed within further hours from the last measurement.

        Parameters
        ----------
        further_h
            Hours ahead [h, >= 0], any shape.

        **Source** normal errors of line and tape, ours; see docs/explanation/part-lives.md.
        """
        spans = np.asarray(further_h, dtype=np.float64) / self.span_h
        left = self.over_limit_m - spans * self.lost_over_span_m
        return ndtr(-left / np.sqrt(self._variance_m2(spans)))

    def left_at_h(self, chance_fraction: float) -> float:
        """Hours within which the limit is passed with this chance [h]; infinite where the chance never gets there.

        Parameters
        ----------
        chance_fraction
            The chance [above 0, below 1].

        **Source** the root of `passed_fraction`, after Fieller 1954 (from memory).
        """
        check_share(chance_fraction)
        # Passed with this chance where left(x) + z sd(x) = 0; squared, that is a quadratic in x.
        z = float(ndtri(chance_fraction))
        ahead_variance = self.lost_sd_m**2 + (self.uneven_fraction * self.lost_over_span_m) ** 2
        square = self.lost_over_span_m**2 - z * z * ahead_variance
        middle = self.over_limit_m * self.lost_over_span_m - z * z * self.shared_m2
        constant = self.over_limit_m**2 - z * z * self.over_limit_sd_m**2
        root = middle * middle - square * constant
        if z > 0 and (square <= 0 or root < 0):
            return math.inf
        if float(self.passed_fraction(0.0)) >= chance_fraction:
            return 0.0
        spans = (middle + math.copysign(math.sqrt(max(root, 0.0)), z)) / square
        return spans * self.span_h

    def _variance_m2(self, spans: FloatArray) -> FloatArray:
        ahead = self.lost_sd_m**2 + (self.uneven_fraction * self.lost_over_span_m) ** 2
        told: FloatArray = self.over_limit_sd_m**2 - 2 * spans * self.shared_m2 + spans**2 * ahead
        return np.maximum(told, 1e-18)


def wear_line(
    measured: Sequence[Measured],
    *,
    limit_m: float,
    noise_m: float = TAPE_NOISE_M,
    uneven_fraction: float = UNEVEN_FRACTION,
) -> WearLine:
    """The line through what was measured of the part that is on the machine now.

    Two measurements give the line through both; three and more the line by Theil and Sen, which one wrong entry does
    not move. A part just fitted starts a new line. A measurement that rises without being called new is asked about,
    and the line goes by what was measured before it.

    Parameters
    ----------
    measured
        Measurements in the order of the meter.
    limit_m
        What must be left [m, >= 0].
    noise_m
        Standard deviation of one measurement [m, > 0].
    uneven_fraction
        By which share the wear of the hours ahead may differ from that of the hours measured [>= 0].

    Raises
    ------
    BadInput
        A value outside its range, or the meter does not rise from one measurement to the next.
    NoAnswer
        Fewer than two measurements of this part, or no wear seen yet.

    Examples
    --------
    >>> line = wear_line([Measured(at_h=0.0, left_m=0.060), Measured(at_h=220.0, left_m=0.046)], limit_m=0.025)
    >>> round(line.left_h, 1)
    330.0

    Notes
    -----
    Straight wear. The errors of slope and level are those of least squares, widened for Theil's and Sen's, with the
    greater of the tape's noise and the scatter about the line.

    **Source** Theil 1950, Sen 1968 (from memory); the band is ours, see docs/explanation/part-lives.md (checked in
    tests/worked/test_wear_line_numbers.py; how often it holds in benchmarks/quality/lives.py).
    """
    check_zero_or_more("limit_m", limit_m)
    check_above_zero("noise_m", noise_m)
    check_zero_or_more("uneven_fraction", uneven_fraction)
    if not all(then.at_h > now.at_h for now, then in pairwise(measured)):
        raise BadInput("The meter must rise from one measurement of a part to the next; check the hours written down.")
    part = _of_this_part(measured)
    held, questions = _before_a_rise(part, noise_m)
    if len(held) < 2:
        raise NoAnswer(
            "{count} measurements of this part are there, and a line of wear needs two; measure it again after some "
            "hours.",
            count=len(held),
        )
    at_h = np.array([each.at_h for each in held])
    left_m = np.array([each.left_m for each in held])
    slope, level_m = _theil_sen(at_h - at_h[-1], left_m)
    if not slope < 0:
        raise NoAnswer("No wear can be seen on this part yet; measure it again after some hours.")
    span_h = float(at_h[-1] - at_h[0])
    spread = float(np.sum((at_h - at_h.mean()) ** 2))
    widened = THEIL_SEN_VARIANCE_RATIO if len(held) > 2 else 1.0
    variance = widened * _noise_variance(left_m - level_m - slope * (at_h - at_h[-1]), noise_m)
    back_h = float(at_h[-1] - at_h.mean())
    slope_variance = variance / spread
    return WearLine(
        last_h=float(at_h[-1]),
        over_limit_m=level_m - limit_m,
        over_limit_sd_m=math.sqrt(variance / len(held) + back_h**2 * slope_variance),
        lost_over_span_m=-slope * span_h,
        span_h=span_h,
        lost_sd_m=span_h * math.sqrt(slope_variance),
        shared_m2=-back_h * slope_variance * span_h,
        uneven_fraction=uneven_fraction,
        measurements=len(held),
        questions=questions,
    )


def told_left(line: WearLine) -> Sourced:
    """Hours until the limit with their band, as a person reads them; no late end where hardly any wear is seen."""
    low_h, high_h = line.band_h
    return Sourced(
        name="left_h",
        value=line.left_h,
        origin=Origin.MEASURED,
        detail=Sentence("the line through {measurements} measurements", measurements=line.measurements),
        low=min(low_h, line.left_h),
        high=None if math.isinf(high_h) else max(high_h, line.left_h),
    )


def _of_this_part(measured: Sequence[Measured]) -> Sequence[Measured]:
    fitted = [number for number, each in enumerate(measured) if each.is_new_part]
    return measured[fitted[-1] :] if fitted else measured


def _before_a_rise(part: Sequence[Measured], noise_m: float) -> tuple[Sequence[Measured], tuple[Sentence, ...]]:
    """Measurements up to the first that rises beyond the tape's noise, and the question that the rise asks."""
    for number in range(1, len(part)):
        before, after = part[number - 1], part[number]
        if after.left_m - before.left_m > RISE_SD * math.sqrt(2) * noise_m:
            question = Sentence(
                "At {at_h} this part measured {left_m}, more than {before_m} before. Was a new part fitted, or is one "
                "of the two mistyped?",
                at_h=after.at_h,
                left_m=after.left_m,
                before_m=before.left_m,
            )
            return part[:number], (question,)
    return part, ()


def _theil_sen(hours: FloatArray, left_m: FloatArray) -> tuple[float, float]:
    """Median of the slopes between any two measurements, and the level at hour 0 [m]."""
    first, second = np.triu_indices(len(hours), 1)
    slope = float(np.median((left_m[second] - left_m[first]) / (hours[second] - hours[first])))
    return slope, float(np.median(left_m - slope * hours))


def _noise_variance(misses_m: FloatArray, noise_m: float) -> float:
    """Variance of one measurement: the tape's, or that seen about the line where it is greater."""
    freedoms = len(misses_m) - 2
    if freedoms < 1:
        return noise_m**2
    # The middle miss, so that one wrong entry does not widen the band; a few points show less than their scatter.
    seen = 1.4826 * float(np.median(np.abs(misses_m))) * math.sqrt(len(misses_m) / freedoms)
    return max(noise_m, seen) ** 2
