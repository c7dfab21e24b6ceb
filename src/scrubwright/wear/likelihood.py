"""How likely records of parts are under a Weibull curve, the likeliest curve, and the likelihood's own bands."""

import math
from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np
from scipy.optimize import brentq, minimize, minimize_scalar
from scipy.stats import chi2

from scrubwright.measures.errors import NoAnswer
from scrubwright.wear.life import FloatArray, PartLife, WeibullLife, check_share, gone_by_h

# Beyond these shapes and this many times the longest life, records of parts say nothing about a curve.
LEAST_SHAPE, MOST_SHAPE = 0.05, 60.0
MOST_LIVES = 1e4


def log_likelihood_ratio(lives: Sequence[PartLife], shapes_ratio: FloatArray, scales_h: FloatArray) -> FloatArray:
    """Logarithm of how likely the records are, for every shape with every scale.

    A part that ended gives the density at its age; one that ended between two looks the share that ends between
    them; one that came off while good, the share that lasts as long. A part whose record began late could not
    have been seen ending before, so what lasts to that age is divided out.

    Parameters
    ----------
    lives
        The records; none gives zeros.
    shapes_ratio
        Shapes [> 0], shape (s,).
    scales_h
        Scales [h, > 0], shape (e,).

    Returns
    -------
    NDArray
        Shape (s, e).

    Notes
    -----
    Densities are per hour, so only differences mean anything.

    **Source** Meeker & Escobar, Statistical Methods for Reliability Data, 1998, chapters 2, 8 and 11 (from memory;
    the log-likelihoods printed elsewhere are checked in tests/published/test_wear_life.py).
    """
    shapes, log_scales = np.asarray(shapes_ratio, dtype=np.float64), np.log(scales_h)
    seen = [life for life in lives if life.ending.is_end_of_life and life.last_good_h is None]
    between = Counter((life.entered_h, life.last_good_h, life.run_h) for life in lives if life.last_good_h is not None)
    lasted = [life for life in lives if not life.ending.is_end_of_life]
    # Σ(t/η)^β = η^-β Σt^β: the sum over parts is taken once for each shape, not for each pair.
    powers = _sum_of_powers([life.run_h for life in seen + lasted], shapes)
    powers -= _sum_of_powers([life.entered_h for life in seen + lasted if life.entered_h > 0], shapes)
    logs = float(np.sum(np.log([life.run_h for life in seen])))
    # At shapes and scales far off, a power passes what a float holds; there the records are as good as impossible.
    with np.errstate(over="ignore", invalid="ignore"):
        told = -np.exp(-np.outer(shapes, log_scales)) * powers[:, None]
        told = np.where(np.isnan(told), -np.inf, told)
    told += len(seen) * (np.log(shapes)[:, None] - np.outer(shapes, log_scales)) + ((shapes - 1) * logs)[:, None]
    for (entered_h, good_h, bad_h), count in between.items():
        told += count * _log_between(entered_h, good_h, bad_h, shapes, log_scales)
    return told


def _sum_of_powers(ages_h: Sequence[float], shapes: FloatArray) -> FloatArray:
    with np.errstate(over="ignore"):
        powers: FloatArray = np.exp(np.outer(shapes, np.log(ages_h))).sum(axis=1)
    return powers


def _log_between(
    entered_h: float, good_h: float, bad_h: float, shapes: FloatArray, log_scales: FloatArray
) -> FloatArray:
    """Logarithm of the share that ends between two ages, of those that last to the first record.

    Kept exact where the hazards are small, log(e^-x - e^-y), and where they are huge but equal, x less its own.
    """

    def hazard(age_h: float) -> FloatArray:
        return np.exp(shapes[:, None] * (math.log(age_h) - log_scales)) if age_h > 0 else np.zeros(shape)

    shape = (len(shapes), len(log_scales))
    with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
        entered, good, bad = hazard(entered_h), hazard(good_h), hazard(bad_h)
        told = entered - good + np.log(-np.expm1(good - bad))
    return np.where(np.isnan(told), -np.inf, told)


def likeliest_life(lives: Sequence[PartLife]) -> WeibullLife:
    """The Weibull curve under which the records are likeliest, without any other knowledge.

    For many records, and to compare with other programs. With fewer than about ten ends use
    `life_belief.belief`: of five parts this curve tells nonsense in one fleet of three.

    Parameters
    ----------
    lives
        The records.

    Raises
    ------
    NoAnswer
        The records leave the curve open: fewer than two ends, or all ends at one age and nothing lasted longer.

    Examples
    --------
    >>> from scrubwright.wear.life import Ending
    >>> ended = [PartLife(run_h=hours, ending=Ending.FAILED) for hours in (210.0, 260.0, 330.0)]
    >>> found = likeliest_life([*ended, PartLife(run_h=150.0, ending=Ending.STILL_RUNNING)])
    >>> round(found.shape_ratio, 2), round(found.scale_h)
    (6.17, 288)

    **Source** Meeker & Escobar 1998, as `log_likelihood_ratio` (checked in tests/published/test_wear_life.py).
    """
    longest_h = max((life.run_h for life in lives), default=0.0)
    ends = [life for life in lives if life.ending.is_end_of_life]
    if len(ends) < 2:
        raise NoAnswer(
            "{count} parts are known to have worn out or failed, and a curve of lives needs two; note more ends, or "
            "ask for the belief that starts from the usual life.",
            count=len(ends),
        )

    def misfit(logs: FloatArray) -> float:
        shape, scale_h = math.exp(logs[0]), longest_h * math.exp(logs[1])
        return -_likelihood(lives, shape, scale_h)

    edges = ((math.log(LEAST_SHAPE), math.log(MOST_SHAPE)), (-math.log(MOST_LIVES), math.log(MOST_LIVES)))
    found = minimize(
        misfit, np.array([0.5, 0.0]), method="Nelder-Mead", bounds=edges, options={"xatol": 1e-9, "fatol": 1e-11}
    )
    if any(min(at - low, high - at) < 1e-3 for at, (low, high) in zip(found.x, edges, strict=True)):
        raise NoAnswer(
            "These {count} records leave the curve of lives open; note ends at different ages, or ask for the belief "
            "that starts from the usual life.",
            count=len(lives),
        )
    return WeibullLife(shape_ratio=float(math.exp(found.x[0])), scale_h=float(longest_h * math.exp(found.x[1])))


def shape_bounds_ratio(lives: Sequence[PartLife], *, level_fraction: float = 0.8) -> tuple[float, float]:
    """Ends of the likelihood band of the shape.

    Parameters
    ----------
    lives
        The records.
    level_fraction
        How often such a band is meant to hold the truth [above 0, below 1].

    Raises
    ------
    NoAnswer
        The records leave the curve, or an end of its band, open.

    Notes
    -----
    With few ends it is too narrow: of 80 % bands from 6 parts, 73 % held the truth (reliability study, ours).

    **Source** Meeker & Escobar 1998, section 8.2: profile likelihood against half the chi-squared quantile (from
    memory; agrees with an open library in tests/outside/test_lives_against_a_library.py).
    """
    best = likeliest_life(lives)

    def profile(log_shape: float) -> float:
        shape = math.exp(log_shape)
        return _best_over(lambda log_scale: _likelihood(lives, shape, math.exp(log_scale)), math.log(best.scale_h))

    low, high = _where_it_falls(profile, math.log(best.shape_ratio), _peak(lives, best), level_fraction)
    return math.exp(low), math.exp(high)


def gone_by_bounds_h(
    lives: Sequence[PartLife], gone_fraction: float, *, level_fraction: float = 0.8
) -> tuple[float, float]:
    """Ends of the likelihood band of the age at which a share is gone [h].

    Parameters
    ----------
    lives
        The records.
    gone_fraction
        The share [above 0, below 1]; `GONE_AT_SCALE_FRACTION` gives the band of the scale itself.
    level_fraction
        How often such a band is meant to hold the truth [above 0, below 1].

    Raises
    ------
    BadInput
        A share outside its range.
    NoAnswer
        The records leave the curve, or an end of its band, open.

    Notes
    -----
    **Source** as `shape_bounds_ratio`, with the age in place of the scale: ln η = ln t - ln(-ln(1 - p))/β.
    """
    check_share(gone_fraction)
    best = likeliest_life(lives)
    log_exponent = math.log(-math.log1p(-gone_fraction))

    def profile(log_age: float) -> float:
        def at_shape(log_shape: float) -> float:
            shape = math.exp(log_shape)
            return _likelihood(lives, shape, math.exp(log_age - log_exponent / shape))

        return _best_over(at_shape, math.log(best.shape_ratio))

    log_best = math.log(gone_by_h(best, gone_fraction))
    low, high = _where_it_falls(profile, log_best, _peak(lives, best), level_fraction)
    return math.exp(low), math.exp(high)


def _likelihood(lives: Sequence[PartLife], shape: float, scale_h: float) -> float:
    told = float(log_likelihood_ratio(lives, np.array([shape]), np.array([scale_h]))[0, 0])
    # A finite floor keeps the searches below from comparing infinities.
    return max(told, -1e12)


def _peak(lives: Sequence[PartLife], best: WeibullLife) -> float:
    return _likelihood(lives, best.shape_ratio, best.scale_h)


def _best_over(likelihood: Callable[[float], float], start: float) -> float:
    found = minimize_scalar(
        lambda at: -likelihood(at), bounds=(start - 3.0, start + 3.0), method="bounded", options={"xatol": 1e-8}
    )
    return -float(found.fun)


def _where_it_falls(
    profile: Callable[[float], float], best: float, peak: float, level_fraction: float
) -> tuple[float, float]:
    """Where a profile lies half the chi-squared quantile under its peak, below and above the best value."""
    check_share(level_fraction)
    floor = peak - float(chi2.ppf(level_fraction, 1)) / 2

    def end(step: float) -> float:
        far = best + step
        while profile(far) > floor:
            far += step
            if abs(far - best) > 3.0:
                raise NoAnswer("These records leave an end of the band open; note more parts that wore out or failed.")
        return float(brentq(lambda at: profile(at) - floor, far - step, far, xtol=1e-9))

    return end(-0.1), end(0.1)
