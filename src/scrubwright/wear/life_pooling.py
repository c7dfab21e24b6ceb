"""One kind of part on many machines or sites: what they have in common corrects the usual life for each of them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import minimize
from scipy.special import logsumexp

from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.wear.life import FloatArray, PartLife
from scrubwright.wear.life_belief import LifePrior, log_prior_ratio, prior_grid
from scrubwright.wear.likelihood import log_likelihood_ratio

# How far the four numbers of the common prior may move from the given one, as deviations: of ln β, of the
# logarithm of its spread, of ln η, of the logarithm of its spread. Without them the spreads collapse to nothing.
MOVE_SD = (0.3, 0.5, 1.0, 0.5)
# The common prior stands for numbers that are themselves only estimated, so it gets no narrower than this share of
# the given one; set on the simulated fleets of benchmarks/quality/lives.py.
LEAST_WIDTH_FRACTION = 0.7
LEAST_GROUPS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class PartGroup:
    """Parts of one kind that live under one set of conditions, such as one site.

    Parameters
    ----------
    name
        What a person calls it.
    lives
        Their records.
    """

    name: str
    lives: tuple[PartLife, ...]


def pooled_prior(groups: Sequence[PartGroup], prior: LifePrior) -> LifePrior:
    """The prior that suits all groups best, to start each group's own belief from.

    Each group has its own curve; what is common to the groups is where such curves lie and how far they lie apart.
    The common prior makes all records together likeliest, held back by the given one.

    Parameters
    ----------
    groups
        The groups, all of one kind of part on one meter; with fewer than three that have a record, the given prior
        is the answer.
    prior
        What is taken for granted of the kind of part.

    Raises
    ------
    BadInput
        Two groups of one name.

    Examples
    --------
    >>> given = LifePrior(life_h=400.0, origin=Origin.COMMON_PRACTICE)
    >>> pooled_prior([], given) == given
    True

    Notes
    -----
    Its widths never fall below seven tenths of the given ones: with the best numbers taken as if they were known,
    bands of 80 % held the truth too seldom.

    **Source** empirical Bayes, ours; see docs/explanation/part-lives.md (benchmarks/quality/lives.py).
    """
    if len({group.name for group in groups}) < len(groups):
        raise BadInput("Two groups of parts have one name; give each site or machine its own.")
    told = [group for group in groups if group.lives]
    if len(told) < LEAST_GROUPS:
        return prior
    grid = prior_grid(prior, [life for group in told for life in group.lives])
    shapes, scales_h = grid.shapes_ratio, grid.scales_h
    likelihoods = np.stack([log_likelihood_ratio(group.lives, shapes, scales_h) for group in told])
    likelihoods -= likelihoods.max(axis=(1, 2), keepdims=True)

    def misfit(moves: FloatArray) -> float:
        log_weights = log_prior_ratio(_moved(prior, moves), shapes, scales_h)
        log_weights -= logsumexp(log_weights)
        # The greatest of each group is 0 before the prior, so the sum cannot vanish for all of them at once.
        fit = float(np.sum(logsumexp(likelihoods + log_weights, axis=(1, 2))))
        return -fit + 0.5 * float(np.sum((moves / np.array(MOVE_SD)) ** 2))

    # From zero the search would begin with steps of nothing, so its first steps are given.
    first = np.vstack((np.zeros(4), 0.5 * np.diag(MOVE_SD)))
    found = minimize(
        misfit, first[0], method="Nelder-Mead", options={"initial_simplex": first, "xatol": 1e-2, "fatol": 1e-3}
    )
    common = _moved(prior, found.x)
    return replace(
        common,
        origin=Origin.ESTIMATE,
        shape_sd_ratio=max(common.shape_sd_ratio, LEAST_WIDTH_FRACTION * prior.shape_sd_ratio),
        life_sd_ratio=max(common.life_sd_ratio, LEAST_WIDTH_FRACTION * prior.life_sd_ratio),
    )


def _moved(prior: LifePrior, moves: FloatArray) -> LifePrior:
    shape, shape_sd, life, life_sd = (math.exp(float(move)) for move in moves)
    return replace(
        prior,
        shape_ratio=prior.shape_ratio * shape,
        shape_sd_ratio=prior.shape_sd_ratio * shape_sd,
        life_h=prior.life_h * life,
        life_sd_ratio=prior.life_sd_ratio * life_sd,
    )
