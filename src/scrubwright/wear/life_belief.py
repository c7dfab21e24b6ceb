"""What is believed of a part's life: the usual life, corrected by what the own parts did; sane from the first."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.life import FloatArray, PartLife, check_share
from scrubwright.wear.likelihood import log_likelihood_ratio

LEAST_SHAPE, MOST_SHAPE = 0.5, 8.0
SHAPES, SCALES = 49, 121
# The grid reaches this many deviations to either side.
REACH_SD = 4.0
REFINED_REACH_SD = 6.0
# A cell of the grid should be no wider than this share of the belief's deviation.
CELL_SD = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class LifePrior:
    """What is taken for granted of a kind of part before its first record; every record corrects it.

    Parameters
    ----------
    life_h
        Usual life, by the maker or the catalogue, taken as the scale of the Weibull curve [h, > 0].
    origin
        Where that number comes from.
    shape_ratio
        Usual shape [> 0]; 2 for parts that wear, about 1 for electronics and what water spoils.
    life_sd_ratio
        How far the life may be off, as the deviation of its logarithm [> 0].
    shape_sd_ratio
        The same of the shape [> 0].

    Raises
    ------
    BadInput
        A value of zero or less.
    """

    life_h: float
    origin: Origin
    shape_ratio: float = 2.0
    life_sd_ratio: float = 0.7
    shape_sd_ratio: float = 0.4

    def __post_init__(self) -> None:
        for name in ("life_h", "shape_ratio", "life_sd_ratio", "shape_sd_ratio"):
            check_above_zero(name, getattr(self, name))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LifeGrid:
    """The Weibull curves that are weighed: every shape with every scale.

    Parameters
    ----------
    shapes_ratio
        Shapes, evenly spaced in their logarithm, shape (s,).
    scales_h
        Scales, evenly spaced in their logarithm [h], shape (e,).
    """

    shapes_ratio: FloatArray
    scales_h: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LifeBelief:
    """How likely every Weibull curve of a grid is.

    Parameters
    ----------
    shapes_ratio
        Shapes, evenly spaced in their logarithm, shape (s,).
    scales_h
        Scales, evenly spaced in their logarithm [h], shape (e,).
    weights_fraction
        Chance of each pair, together 1, shape (s, e).
    prior
        What it started from.
    ends
        How many parts that wore out or failed have spoken.
    """

    shapes_ratio: FloatArray
    scales_h: FloatArray
    weights_fraction: FloatArray
    prior: LifePrior
    ends: int

    def shape_at_ratio(self, chance_fraction: float) -> float:
        """Shape that the true one lies below with this chance.

        **Source** identity.
        """
        return _quantile(np.log(self.shapes_ratio), self.weights_fraction.sum(axis=1), chance_fraction)

    def scale_at_h(self, chance_fraction: float) -> float:
        """Scale that the true one lies below with this chance [h].

        **Source** identity.
        """
        return _quantile(np.log(self.scales_h), self.weights_fraction.sum(axis=0), chance_fraction)

    def gone_by_at_h(self, gone_fraction: float, chance_fraction: float) -> float:
        """Age at which a share of the parts is gone, that the true one lies below with this chance [h].

        **Source** definition of the Weibull curve.
        """
        check_share(gone_fraction)
        exponents = math.log(-math.log1p(-gone_fraction)) / self.shapes_ratio
        ages = np.log(self.scales_h)[None, :] + exponents[:, None]
        return _quantile(ages.ravel(), self.weights_fraction.ravel(), chance_fraction)

    @property
    def mean_h(self) -> float:
        """Mean life of the next part, over all curves [h]."""
        means = np.array([math.gamma(1 + 1 / shape) for shape in self.shapes_ratio])
        return float(means @ self.weights_fraction @ self.scales_h)


def belief(lives: Sequence[PartLife], prior: LifePrior) -> LifeBelief:
    """What is believed of a part's life after these records.

    Every Weibull curve of a grid gets the chance that the prior gives it times how likely the records are under
    it. Nothing is drawn and nothing fitted, so there is always an answer, also for no record at all.

    Parameters
    ----------
    lives
        The records: parts of one kind, worn on one meter.
    prior
        What is taken for granted.

    Examples
    --------
    >>> from scrubwright.wear.life import Ending
    >>> ended = [PartLife(run_h=hours, ending=Ending.FAILED) for hours in (210.0, 260.0, 330.0)]
    >>> running = PartLife(run_h=150.0, ending=Ending.STILL_RUNNING)
    >>> found = belief([*ended, running], LifePrior(life_h=400.0, origin=Origin.COMMON_PRACTICE))
    >>> round(found.gone_by_at_h(0.1, 0.5), -1)
    130.0

    Notes
    -----
    The grid of 49 shapes from 0.5 to 8 and 121 scales is laid again, closer, where many records leave the belief
    narrower than its cells.

    **Source** Bayes' rule on a grid, ours; see docs/explanation/part-lives.md (checked in
    tests/worked/test_wear_life_numbers.py; how often its bands hold in benchmarks/quality/lives.py).
    """
    grid = prior_grid(prior, lives)
    shapes, scales_h = grid.shapes_ratio, grid.scales_h
    for _ in range(3):
        weights = _weights(lives, prior, shapes, scales_h)
        finer_shapes = _closer(shapes, weights.sum(axis=1))
        finer_scales_h = _closer(scales_h, weights.sum(axis=0))
        if finer_shapes is shapes and finer_scales_h is scales_h:
            break
        shapes, scales_h = finer_shapes, finer_scales_h
    else:
        weights = _weights(lives, prior, shapes, scales_h)
    ends = sum(life.ending.is_end_of_life for life in lives)
    return LifeBelief(shapes_ratio=shapes, scales_h=scales_h, weights_fraction=weights, prior=prior, ends=ends)


def prior_grid(prior: LifePrior, lives: Sequence[PartLife] = ()) -> LifeGrid:
    """The grid that a belief begins with: wide enough for the prior and for the records."""
    reach = REACH_SD * prior.life_sd_ratio
    centre = math.log(prior.life_h)
    ages = [math.log(life.run_h) for life in lives]
    low, high = min([centre - reach, *ages]), max([centre + reach, *(age + 1.0 for age in ages)])
    return LifeGrid(
        shapes_ratio=np.geomspace(LEAST_SHAPE, MOST_SHAPE, SHAPES), scales_h=np.exp(np.linspace(low, high, SCALES))
    )


def log_prior_ratio(prior: LifePrior, shapes_ratio: FloatArray, scales_h: FloatArray) -> FloatArray:
    """Logarithm of what the prior gives every shape with every scale, but for a constant, shape (s, e).

    **Source** normal in ln β and ln η, ours.
    """
    of_shape = (np.log(shapes_ratio) - math.log(prior.shape_ratio)) / prior.shape_sd_ratio
    of_scale = (np.log(scales_h) - math.log(prior.life_h)) / prior.life_sd_ratio
    told: FloatArray = -0.5 * (of_shape[:, None] ** 2 + of_scale[None, :] ** 2)
    return told


def lasting_fraction(known: LifeBelief, age_h: FloatArray | float) -> FloatArray:
    """Chance that the next part lasts to an age, over all curves.

    Parameters
    ----------
    known
        The belief.
    age_h
        Ages [h, >= 0], shape (n,) or a number.

    Returns
    -------
    NDArray
        Chance [0 to 1], in the shape of the ages.

    **Source** mixture of Weibull curves, ours (checked in tests/worked/test_wear_life_numbers.py).
    """
    ages_h = np.asarray(age_h, dtype=np.float64)
    flat = np.atleast_1d(ages_h).ravel()
    with np.errstate(divide="ignore"):
        logs = np.log(flat)
    told = np.zeros_like(flat)
    log_scales = np.log(known.scales_h)
    for shape, weights in zip(known.shapes_ratio, known.weights_fraction, strict=True):
        # Curves that hold less than a millionth of a millionth are not worth their time.
        kept = weights > 1e-12
        with np.errstate(over="ignore"):
            told += np.exp(-np.exp(shape * (logs[:, None] - log_scales[None, kept]))) @ weights[kept]
    return told.reshape(ages_h.shape)


def end_within_fraction(known: LifeBelief, age_h: float, further_h: float) -> float:
    """Chance that a part of this age, still good, comes to its end within further hours.

    Parameters
    ----------
    known
        The belief.
    age_h
        Hours that it has run [h, >= 0].
    further_h
        Hours ahead [h, >= 0].

    Raises
    ------
    BadInput
        A value below zero.

    **Source** 1 - S(u + x)/S(u) (checked in tests/worked/test_wear_life_numbers.py).
    """
    check_zero_or_more("age_h", age_h)
    check_zero_or_more("further_h", further_h)
    now, then = lasting_fraction(known, np.array([age_h, age_h + further_h]))
    return float(1 - then / now) if now > 0 else 1.0


def told_gone_by(known: LifeBelief, gone_fraction: float = 0.1) -> Sourced:
    """Age at which a share of the parts is gone, with its band, and what it rests on."""
    detail = (
        Sentence("the usual life alone; none of your own parts has come to its end yet")
        if known.ends == 0
        else Sentence("the usual life, corrected by {ends} of your own parts that came to their end", ends=known.ends)
    )
    return Sourced(
        name="gone_by_h",
        value=known.gone_by_at_h(gone_fraction, 0.5),
        origin=known.prior.origin if known.ends == 0 else Origin.ESTIMATE,
        detail=detail,
        low=known.gone_by_at_h(gone_fraction, 0.1),
        high=known.gone_by_at_h(gone_fraction, 0.9),
    )


def _weights(lives: Sequence[PartLife], prior: LifePrior, shapes: FloatArray, scales_h: FloatArray) -> FloatArray:
    told = log_prior_ratio(prior, shapes, scales_h)
    told += log_likelihood_ratio(lives, shapes, scales_h)
    weights: FloatArray = np.exp(told - told.max())
    weights /= weights.sum()
    return weights


def _closer(values: FloatArray, weights: FloatArray) -> FloatArray:
    """The same values, or as many of them closer together where the belief is narrower than its cells."""
    logs = np.log(values)
    mean = float(weights @ logs)
    sd = math.sqrt(max(float(weights @ (logs - mean) ** 2), 0.0))
    cell = logs[1] - logs[0]
    if cell <= CELL_SD * sd:
        return values
    # A belief inside one cell shows no deviation, so at least a cell is kept to both sides.
    reach = max(REFINED_REACH_SD * sd, 2 * cell)
    return np.exp(np.linspace(max(mean - reach, logs[0]), min(mean + reach, logs[-1]), len(values)))


def _quantile(logs: FloatArray, weights: FloatArray, chance_fraction: float) -> float:
    """The value below which this chance lies; each value's chance is spread half to either side of it."""
    check_share(chance_fraction)
    order = np.argsort(logs)
    cumulative = np.cumsum(weights[order]) - weights[order] / 2
    return float(math.exp(np.interp(chance_fraction, cumulative, logs[order])))
