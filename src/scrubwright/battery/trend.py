"""A level that drifts faster and faster, followed through readings of which some are wrong."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput

Floats = float | NDArray[np.float64]

# Half of an 80 % band, in standard deviations: the 90 % point of the normal distribution.
BAND_SD = 1.2815515655446004
# Few degrees of freedom, so that a reading far off says little; 4 is usual for records typed by people.
TAIL_DEGREES = 4
# Share of entries that say something else than what was.
WRONG_ENTRIES_FRACTION = 0.05

_GRID = np.linspace(-6, 6, 181)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wander:
    """How a level moves by itself between readings.

    Parameters
    ----------
    growth_per_shift
        By which share the drift grows in each shift [per shift, > 0]: wear that speeds itself up.
    drift_unrest_per_shift
        Standard deviation that one shift adds to the drift [per shift, >= 0].
    level_unrest_ratio
        Standard deviation that one shift adds to the logarithm of the level itself [>= 0].
    """

    growth_per_shift: float
    drift_unrest_per_shift: float
    level_unrest_ratio: float

    def __post_init__(self) -> None:
        check_above_zero("growth_per_shift", self.growth_per_shift)
        check_zero_or_more("drift_unrest_per_shift", self.drift_unrest_per_shift)
        check_zero_or_more("level_unrest_ratio", self.level_unrest_ratio)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trend:
    """What is known of a level and its drift: the normal distribution of both, for one pack or for many.

    Each field is a number, or an array with one entry a pack, shape (n,).

    Parameters
    ----------
    log_ratio
        Natural logarithm of the level over one of its unit.
    drift_per_shift
        Change of that logarithm in a shift [per shift].
    log_variance_ratio
        Variance of the logarithm.
    covariance_per_shift
        Of logarithm and drift.
    drift_variance_per_shift
        Variance of the drift, per shift squared.
    """

    log_ratio: Floats
    drift_per_shift: Floats
    log_variance_ratio: Floats
    covariance_per_shift: Floats
    drift_variance_per_shift: Floats

    @property
    def sd_ratio(self) -> Floats:
        """Standard deviation of the logarithm, which is that of the level as a share of it."""
        return np.sqrt(self.log_variance_ratio)


def begun(log_ratio: Floats, sd_ratio: Floats, drift_per_shift: Floats, drift_sd_per_shift: Floats) -> Trend:
    """What is known before the first reading; level and drift are taken as unrelated."""
    return Trend(
        log_ratio=log_ratio,
        drift_per_shift=drift_per_shift,
        log_variance_ratio=np.square(sd_ratio),
        covariance_per_shift=0.0 * np.square(sd_ratio),
        drift_variance_per_shift=np.square(drift_sd_per_shift),
    )


def moved_on(trend: Trend, passed_shifts: Floats, wander: Wander) -> Trend:
    """What is known some shifts later without a reading: the drift has gone on, and less is sure.

    The drift d grows as dd = g d dt + q dW, the logarithm x as dx = d dt + r dW. Both are followed exactly, so that
    two steps are the same as one of their sum.

    Parameters
    ----------
    trend
        What was known.
    passed_shifts
        Since then [shifts, >= 0].
    wander
        Growth g and unrest q, r.

    Raises
    ------
    BadInput
        Less than no shifts have passed.
    """
    t = np.asarray(passed_shifts, dtype=np.float64)
    if not np.all((t >= 0) & (t < math.inf)):
        raise BadInput("{shifts} shifts have passed; enter zero or more.", shifts=str(passed_shifts))
    g, q2 = wander.growth_per_shift, wander.drift_unrest_per_shift**2
    grown = np.exp(g * t)
    h = np.expm1(g * t) / g
    h2 = np.expm1(2 * g * t) / (2 * g)
    level_noise = q2 * (h2 - 2 * h + t) / g**2 + wander.level_unrest_ratio**2 * t
    covariance_noise = q2 * (h2 - h) / g
    a, b, c = trend.log_variance_ratio, trend.covariance_per_shift, trend.drift_variance_per_shift
    return Trend(
        log_ratio=trend.log_ratio + h * trend.drift_per_shift,
        drift_per_shift=trend.drift_per_shift * grown,
        log_variance_ratio=a + 2 * h * b + h**2 * c + level_noise,
        covariance_per_shift=(b + h * c) * grown + covariance_noise,
        drift_variance_per_shift=c * grown**2 + q2 * h2,
    )


def updated(trend: Trend, log_ratio: Floats, sd_ratio: Floats) -> Trend:
    """What is known after a reading of the level: the Kalman filter's update.

    Parameters
    ----------
    trend
        What was known at the time of the reading.
    log_ratio
        Natural logarithm of the reading.
    sd_ratio
        Its standard deviation [> 0]; infinite for packs of an array that have no reading now.

    Notes
    -----
    Works on one pack or on many at once. For readings of which some are wrong, hand in `doubted_sd_ratio`.
    """
    a, b, c = trend.log_variance_ratio, trend.covariance_per_shift, trend.drift_variance_per_shift
    spread = a + np.square(sd_ratio)
    missed = np.where(np.isfinite(sd_ratio), log_ratio - trend.log_ratio, 0.0)
    return Trend(
        log_ratio=trend.log_ratio + a / spread * missed,
        drift_per_shift=trend.drift_per_shift + b / spread * missed,
        log_variance_ratio=a * (1 - a / spread),
        covariance_per_shift=b * (1 - a / spread),
        drift_variance_per_shift=c - b * b / spread,
    )


def misfit_ratio(trend: Trend, log_ratio: Floats, sd_ratio: Floats) -> Floats:
    """How far a reading lies from what was expected, over the standard deviation of that difference.

    **Source** identity: the normalised innovation of a Kalman filter.
    """
    return np.abs(log_ratio - trend.log_ratio) / np.sqrt(trend.log_variance_ratio + np.square(sd_ratio))


def doubted_sd_ratio(trend: Trend, log_ratio: Floats, sd_ratio: Floats) -> Floats:
    """Standard deviation that a reading deserves once it is seen how far off it lies.

    A reading one standard deviation off keeps its own; one five off gets 2.4 times as much, so that a slip of the
    pen moves the trend little.

    Parameters
    ----------
    trend
        What was known before the reading.
    log_ratio, sd_ratio
        The reading, and its standard deviation if it is right [> 0].

    Notes
    -----
    The weight (v + 1)/(v + z²) of Student's t distribution with v = 4 degrees of freedom, where z is the misfit.

    **Source** Lange, Little and Taylor, Robust statistical modeling using the t distribution, Journal of the American
    Statistical Association 84 (1989), weight of the expectation step; applied to the innovation by us, see
    docs/explanation/health-of-a-pack.md.
    """
    z = misfit_ratio(trend, log_ratio, sd_ratio)
    return sd_ratio * np.sqrt((TAIL_DEGREES + z**2) / (TAIL_DEGREES + 1))


def held_between(
    trend: Trend, least_log_ratio: float, least_sd_ratio: float, most_log_ratio: float, most_sd_ratio: float
) -> Trend:
    """What is known of one level that should lie between two others, unless a clear measurement says otherwise.

    Parameters
    ----------
    trend
        What was known, of one pack.
    least_log_ratio, least_sd_ratio
        Natural logarithm of the lower one, and its standard deviation [> 0].
    most_log_ratio, most_sd_ratio
        The same of the upper one.

    Notes
    -----
    The density is multiplied by e + (1 - e) Phi(z) for each of the two, with z the distance on its right side in its
    standard deviations and e = 5 % of doubt, and replaced by the normal one of the same mean and variance; the drift
    follows by its covariance. Summed over a grid of a fifteenth of a standard deviation.
    """
    a, b, c = float(trend.log_variance_ratio), float(trend.covariance_per_shift), float(trend.drift_variance_per_shift)
    levels = float(trend.log_ratio) + math.sqrt(a) * _GRID
    above = ndtr((levels - least_log_ratio) / least_sd_ratio)
    below = ndtr((most_log_ratio - levels) / most_sd_ratio)
    doubt = WRONG_ENTRIES_FRACTION
    weights = np.exp(-(_GRID**2) / 2) * (doubt + (1 - doubt) * above) * (doubt + (1 - doubt) * below)
    weights /= weights.sum()
    mean = float(weights @ levels)
    variance = float(weights @ (levels - mean) ** 2)
    lean = b / a
    return Trend(
        log_ratio=mean,
        drift_per_shift=float(trend.drift_per_shift) + lean * (mean - float(trend.log_ratio)),
        log_variance_ratio=variance,
        covariance_per_shift=lean * variance,
        drift_variance_per_shift=c + lean**2 * (variance - a),
    )
