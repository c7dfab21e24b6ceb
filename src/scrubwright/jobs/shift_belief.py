"""What is believed of the rates of one machine at one site, and how logged shifts change it.

The model: a rate's logarithm x is normal about the plate; in each shift it is y = x + e, where e differs from shift to
shift; each entry of the log is the logarithm of a sum of parts, each part times exp(y), read with an error. Solved
for the most likely x by Gauss and Newton's steps, with entries that lie far off weighing less and less, while the
scatter of e is learned beside it. See docs/explanation/learning-from-shifts.md.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.shift_entries import RATES, Entry, Read
from scrubwright.jobs.shift_question import Rate, Rates
from scrubwright.measures.errors import NoAnswer

Floats = NDArray[np.float64]

# So many shifts is the usual scatter worth against what the log shows of it (ours).
USUAL_SCATTER_SHIFTS = 10.0
# Student's t with few degrees of freedom, the usual choice for records typed by people; up to so many standard
# deviations an entry counts in full, so that good entries lose nothing.
_TAIL_DEGREES = 4.0
_FULL_WEIGHT_SD = 1.5
# For how shifts scatter, far entries are what is looked for, so more of them count in full.
_FULL_SCATTER_WEIGHT_SD = 2.5
# At first sixteen times the usual misfit is taken without a doubt, then a quarter less in each round.
_FIRST_PATIENCE = 16.0
_PATIENCE_LEFT = 0.75
# A rate that scatters more from shift to shift is none.
_MOST_SCATTER_RATIO = 0.3
# Where entries contradict each other the rounds may go in circles; from so many on the scatter is held, and half steps
# are made.
_FREE_ROUNDS = 100
_MOST_ROUNDS = 400
_CLOSE_ENOUGH = 1e-6
_ENTRIES = tuple(Entry)
# The charge used hangs on the current too, as a factor on all of it.
_FACTORS = np.zeros((len(_ENTRIES), len(RATES)))
_FACTORS[_ENTRIES.index(Entry.CHARGE), RATES.index("current")] = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Belief:
    """What is believed of all rates; arrays in the order of `RATES`, shape (n,) or (n, n).

    Parameters
    ----------
    log_ratio
        Natural logarithm of each factor over the plate.
    covariance_ratio
        Of those logarithms.
    scatter_ratio
        Standard deviation of the logarithm from shift to shift.
    scatter_shifts
        From how many shifts that scatter is known, the usual one counted in [shifts].
    """

    log_ratio: Floats
    covariance_ratio: Floats
    scatter_ratio: Floats
    scatter_shifts: Floats

    def rate(self, name: str, shifts: int) -> Rate:
        """One rate, from so many shifts."""
        place = RATES.index(name)
        return Rate(
            factor_ratio=float(np.exp(np.clip(self.log_ratio[place], np.log(0.2), np.log(5.0)))),
            sd_ratio=float(np.sqrt(self.covariance_ratio[place, place])),
            shift_sd_ratio=float(self.scatter_ratio[place]),
            shifts=shifts,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Learned:
    """A belief after some shifts, and how each of their entries lies in it.

    Parameters
    ----------
    belief
        What is believed now.
    expected_ratio
        Over its plan, what each entry was to be by now, shape (shifts, entries) in the order of `Entry`.
    weight_fraction
        How much it counts of a good one [0 to 1], same shape.
    told_fraction
        How much of its own rates each shift tells [0 to 1], shape (shifts, rates).
    """

    belief: Belief
    expected_ratio: Floats
    weight_fraction: Floats
    told_fraction: Floats


def believed(prior: Rates) -> Belief:
    """What is believed before the first shift."""
    rates: list[Rate] = [getattr(prior, name) for name in RATES]
    # No scatter at all would leave nothing to learn it from.
    scatter = np.array([max(rate.shift_sd_ratio, 0.005) for rate in rates])
    return Belief(
        log_ratio=np.log([rate.factor_ratio for rate in rates]),
        covariance_ratio=np.diag([rate.sd_ratio**2 for rate in rates]),
        scatter_ratio=scatter,
        scatter_shifts=np.full(len(rates), USUAL_SCATTER_SHIFTS),
    )


def forgotten(belief: Belief, prior: Belief, names: Collection[str]) -> Belief:
    """A belief in which some rates begin again as they were before the first shift.

    Parameters
    ----------
    belief, prior
        What is believed, and what was before the first shift.
    names
        Of the rates that begin again.
    """
    begins = np.array([name in names for name in RATES])
    is_kept = ~begins[:, None] & ~begins[None, :]
    return replace(
        belief,
        log_ratio=np.where(begins, prior.log_ratio, belief.log_ratio),
        covariance_ratio=np.where(is_kept, belief.covariance_ratio, prior.covariance_ratio),
        scatter_ratio=np.where(begins, prior.scatter_ratio, belief.scatter_ratio),
        scatter_shifts=np.where(begins, prior.scatter_shifts, belief.scatter_shifts),
    )


def learned(belief: Belief, shifts: Sequence[Sequence[Read]], weight_fraction: Floats) -> Learned:
    """What is believed after some shifts.

    Parameters
    ----------
    belief
        What was believed before them.
    shifts
        The entries of each.
    weight_fraction
        How much each shift counts, for its age [0 to 1], shape (shifts,).

    Raises
    ------
    NoAnswer
        The entries contradict each other so that no end is found.
    """
    entries = _Entries.of(shifts)
    now = belief
    for number in range(_MOST_ROUNDS):
        # At first every entry counts, far off or not, so that a machine far from its plate is found too.
        patience = max(1.0, _FIRST_PATIENCE * _PATIENCE_LEFT**number)
        seen = _seen(now, entries, patience)
        after = _round(belief, now, seen, weight_fraction)
        if number < _FREE_ROUNDS:
            scatter = _scatter(belief, now, seen, after.covariance_ratio, weight_fraction)
            after = replace(after, scatter_ratio=scatter)
        else:
            after = replace(after, log_ratio=(now.log_ratio + after.log_ratio) / 2)
        moved = np.abs([after.log_ratio - now.log_ratio, after.scatter_ratio - now.scatter_ratio]).max()
        now = after
        if moved < _CLOSE_ENOUGH and patience == 1:
            return _told(belief, now, entries, weight_fraction)
    raise NoAnswer(
        "The entries of the shift log contradict each other too much to learn from. Look at the plans and the meters "
        "of the last shifts again."
    )


def _told(before: Belief, now: Belief, entries: "_Entries", age_weight: Floats) -> Learned:
    seen = _seen(now, entries, 1.0)
    told_fraction = 1 - np.einsum("srr->sr", _own(now, seen, seen.precision)[0]) / now.scatter_ratio**2
    return Learned(
        belief=replace(now, scatter_shifts=before.scatter_shifts + age_weight @ told_fraction),
        expected_ratio=np.exp(seen.log_expected),
        weight_fraction=seen.weight,
        told_fraction=told_fraction,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Entries:
    """The entries of all shifts: s shifts, k kinds of entries, r rates."""

    is_there: NDArray[np.bool_]
    log_given: Floats
    variance: Floats
    shares: Floats
    rest: Floats

    @staticmethod
    def of(shifts: Sequence[Sequence[Read]]) -> "_Entries":
        shape = (len(shifts), len(_ENTRIES))
        is_there = np.zeros(shape, dtype=np.bool_)
        log_given, variance, shares = np.zeros(shape), np.ones(shape), np.zeros((*shape, len(RATES)))
        for row, reads in enumerate(shifts):
            for read in reads:
                place = (row, _ENTRIES.index(read.entry))
                is_there[place] = True
                log_given[place] = np.log(read.given.value / read.planned.value)
                variance[place] = read.sd_ratio**2
                shares[place] = read.shares_fraction
        return _Entries(
            is_there=is_there,
            log_given=log_given,
            variance=variance,
            shares=shares,
            rest=np.clip(1 - shares.sum(axis=2), 0, 1),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """The entries beside what a belief expects of them."""

    log_expected: Floats
    slopes: Floats
    missed: Floats
    weight: Floats
    shift_weight: Floats
    precision: Floats
    scatter_precision: Floats
    scatter_shift_weight: Floats


def _seen(belief: Belief, entries: _Entries, patience: float) -> _Seen:
    """Entries beside the belief; `patience` is how many times the usual misfit is taken without a doubt."""
    parts = entries.shares * np.exp(belief.log_ratio)
    whole = parts.sum(axis=2) + entries.rest
    log_expected = np.log(whole) + _FACTORS @ belief.log_ratio
    slopes = parts / whole[:, :, None] + _FACTORS
    missed = entries.log_given - log_expected
    from_shift_to_shift = np.einsum("skr,r->sk", slopes**2, belief.scatter_ratio**2)
    spread = from_shift_to_shift + entries.variance
    misfit = np.abs(missed) / np.sqrt(spread)
    weight = _weight(misfit / patience, _FULL_WEIGHT_SD)
    # Where most entries of a shift lie off together, the shift itself is in doubt: its area, its plan, its day.
    count = entries.is_there.sum(axis=1)
    off = np.sort(np.where(entries.is_there, misfit, np.inf), axis=1)
    middle = np.take_along_axis(off, np.maximum(count - 1, 0)[:, None] // 2, axis=1)[:, 0]
    alone = count < 2

    def precision(counted: Floats) -> Floats:
        # What lies far off is taken for an error of reading, not for an odd shift.
        return np.where(entries.is_there, 1 / (entries.variance + spread * (1 / counted - 1)), 0.0)

    return _Seen(
        log_expected=log_expected,
        slopes=slopes,
        missed=missed,
        weight=weight,
        shift_weight=np.where(alone, 1.0, _weight(middle / patience, _FULL_WEIGHT_SD)),
        scatter_shift_weight=np.where(alone, 1.0, _weight(middle, _FULL_SCATTER_WEIGHT_SD)),
        precision=precision(weight),
        scatter_precision=precision(_weight(misfit, _FULL_SCATTER_WEIGHT_SD)),
    )


def _weight(misfit: Floats, full_sd: float) -> Floats:
    """How much counts what lies so many standard deviations off, all of it up to `full_sd` of them."""
    return np.minimum(1.0, (_TAIL_DEGREES + full_sd**2) / (_TAIL_DEGREES + misfit**2))


def _round(before: Belief, now: Belief, seen: _Seen, age_weight: Floats) -> Belief:
    """One step towards the most likely rates."""
    counts = age_weight * seen.shift_weight
    own, told, pull = _own(now, seen, seen.precision)
    # What one shift tells beyond its own deviation e is about the rates.
    information = told - told @ own @ told
    force = pull - np.einsum("srq,sq->sr", told @ own, pull)
    prior_inverse = np.linalg.inv(before.covariance_ratio)
    covariance = np.linalg.inv(prior_inverse + np.einsum("s,srq->rq", counts, information))
    step = covariance @ (prior_inverse @ (before.log_ratio - now.log_ratio) + counts @ force)
    return replace(now, log_ratio=now.log_ratio + step, covariance_ratio=covariance)


def _scatter(before: Belief, now: Belief, seen: _Seen, covariance: Floats, age_weight: Floats) -> Floats:
    """Root of the expected square of e, over all shifts and the usual one."""
    own, told, pull = _own(now, seen, seen.scatter_precision)
    gain = own @ told
    deviation = np.einsum("srq,sq->sr", own, pull)
    squares = deviation**2 + np.einsum("srr->sr", own + gain @ covariance @ np.swapaxes(gain, 1, 2))
    counts = age_weight * seen.scatter_shift_weight
    usual = before.scatter_shifts * before.scatter_ratio**2
    scatter = np.sqrt((usual + counts @ squares) / (before.scatter_shifts + counts.sum()))
    return np.asarray(np.minimum(scatter, _MOST_SCATTER_RATIO))


def _own(now: Belief, seen: _Seen, precision: Floats) -> tuple[Floats, Floats, Floats]:
    """Covariance of each shift's own deviation e once its entries are seen; the precision and the pull they bring."""
    told = np.einsum("skr,sk,skq->srq", seen.slopes, precision, seen.slopes)
    pull = np.einsum("skr,sk->sr", seen.slopes, precision * seen.missed)
    return np.linalg.inv(np.diag(now.scatter_ratio**-2) + told), told, pull
