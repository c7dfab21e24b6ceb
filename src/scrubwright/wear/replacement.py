"""When to change a part before it fails: the cheapest age, the ages as good as it, or never by age."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import gammainc

from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.life import FloatArray, WeibullLife, survival_fraction
from scrubwright.wear.life_belief import LifeBelief, lasting_fraction

# Ages that cost no more than this above the best count as the same; nobody's costs are known better.
SAME_COST_FRACTION = 0.02
AGES = 600
# Ages are looked at from so small a share of the mean life to so many mean lives.
YOUNGEST_FRACTION, OLDEST_LIVES = 1e-3, 6.0
# A part this old has a hazard that a float still holds.
MOST_SCALES = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeCosts:
    """What a change costs when it is planned, and when the part has failed at work.

    Parameters
    ----------
    planned_money
        Part, labour and a share of the trip [any currency, > 0].
    failed_money
        The same with the call-out, the lost shift and what the failure spoils [same currency, > 0].

    Raises
    ------
    BadInput
        A value of zero or less.
    """

    planned_money: float
    failed_money: float

    def __post_init__(self) -> None:
        check_above_zero("planned_money", self.planned_money)
        check_above_zero("failed_money", self.failed_money)

    @property
    def failure_is_dearer(self) -> bool:
        """Whether there is anything to gain by changing early."""
        return self.failed_money > self.planned_money


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LastingCurve:
    """How likely the next part lasts to each age.

    Parameters
    ----------
    ages_h
        Ages from 0, rising [h], shape (n,).
    lasting_fraction
        Chance of lasting to each, from 1, not rising, shape (n,).
    mean_h
        Mean life, also of what outlasts the last age [h, > 0].

    Raises
    ------
    BadInput
        Ages or chances in no such order.
    """

    ages_h: FloatArray
    lasting_fraction: FloatArray
    mean_h: float

    def __post_init__(self) -> None:
        check_above_zero("mean_h", self.mean_h)
        ages, lasting = self.ages_h, self.lasting_fraction
        is_curve = (
            ages.ndim == 1
            and ages.shape == lasting.shape
            and len(ages) > 2
            and ages[0] == 0
            and lasting[0] == 1
            and bool(np.all(np.diff(ages) > 0))
            and bool(np.all(np.diff(lasting) <= 0))
            and lasting[-1] >= 0
        )
        if not is_curve:
            raise BadInput("A curve of lives must begin at age 0 with all parts good, and only fall from there.")


class ChangeRule(StrEnum):
    """What a part's lives and costs ask for."""

    BY_AGE = "change by age"
    WHEN_WORN = "change when worn"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplacementAge:
    """When to change a part, and what that costs beside waiting for its end.

    Parameters
    ----------
    rule
        By age, or only when it is worn or has failed.
    why
        The reason in one sentence.
    run_to_end_per_h
        Cost of waiting for each end [money per hour].
    best_h
        Age that costs least [h]; None where no age is better than waiting.
    best_per_h
        Cost at that age [money per hour]; that of waiting where there is none.
    same_from_h, same_to_h
        Between these ages the cost lies within 2 % of the best [h]; None beside no best age.
    """

    rule: ChangeRule
    why: Sentence
    run_to_end_per_h: float
    best_per_h: float
    best_h: float | None = None
    same_from_h: float | None = None
    same_to_h: float | None = None


def cost_per_h(life: WeibullLife, costs: ChangeCosts, age_h: float) -> float:
    """Mean cost of each hour where a part is changed at an age, or earlier when it fails [money per hour].

    Each part costs a planned change if it lasts to the age and a failure if not, and serves for the mean of its
    life cut off at the age.

    Parameters
    ----------
    life
        Curve of lives.
    costs
        What changes cost.
    age_h
        Age of the planned change [h, > 0].

    Raises
    ------
    BadInput
        An age of zero or less.

    Examples
    --------
    >>> known = WeibullLife(shape_ratio=2.5, scale_h=1000.0)
    >>> round(cost_per_h(known, ChangeCosts(planned_money=100.0, failed_money=600.0), 450.0), 6)
    0.377441

    **Source** Barlow & Proschan, Mathematical Theory of Reliability, 1965, age replacement (from memory); checked in
    tests/worked/test_wear_replacement_numbers.py.
    """
    check_above_zero("age_h", age_h)
    lasts = float(survival_fraction(life, age_h))
    return (costs.planned_money * lasts + costs.failed_money * (1 - lasts)) / served_h(life, age_h)


def served_h(life: WeibullLife, age_h: float) -> float:
    """Mean hours that a part serves where it is changed at an age at the latest [h].

    Parameters
    ----------
    life
        Curve of lives.
    age_h
        Age of the planned change [h, > 0].

    **Source** integral of the Weibull curve, an incomplete gamma function (checked in
    tests/worked/test_wear_replacement_numbers.py).
    """
    spent = (age_h / life.scale_h) ** life.shape_ratio
    return life.mean_h * float(gammainc(1 / life.shape_ratio, spent))


def best_age_h(life: WeibullLife, costs: ChangeCosts) -> float:
    """Age of the planned change that costs least, where the curve is known [h].

    There the hazard times the mean hours served, less the share that failed, is what a planned change costs over
    what a failure costs more.

    Parameters
    ----------
    life
        Curve of lives, wearing out (shape above 1).
    costs
        What changes cost; a failure costs more.

    Raises
    ------
    NoAnswer
        Waiting is as good as any age: the part does not wear out, or its failure is not dearer.

    Examples
    --------
    >>> known = WeibullLife(shape_ratio=2.5, scale_h=1000.0)
    >>> round(best_age_h(known, ChangeCosts(planned_money=100.0, failed_money=600.0)))
    450

    **Source** Barlow & Proschan 1965 (from memory); checked in tests/worked/test_wear_replacement_numbers.py and
    tests/published/test_wear_replacement.py.
    """
    dearer_money = costs.failed_money - costs.planned_money

    def gain(log_age: float) -> float:
        age_h = life.scale_h * math.exp(log_age)
        hazard_per_h = life.shape_ratio / age_h * math.pow(age_h / life.scale_h, life.shape_ratio)
        failed_fraction = 1 - float(survival_fraction(life, age_h))
        return dearer_money * (hazard_per_h * served_h(life, age_h) - failed_fraction) - costs.planned_money

    # A hazard much further out passes what a float holds.
    latest = min(math.log(MOST_SCALES), 600 / life.shape_ratio)
    if not (life.shape_ratio > 1 and gain(latest) > 0):
        raise NoAnswer(
            "No age is better than waiting for the end: this part does not wear out with age, or its failure costs "
            "no more than a planned change. Change it when it is worn.",
        )
    return life.scale_h * math.exp(float(brentq(gain, -latest, latest, xtol=1e-10)))


def curve_of_life(life: WeibullLife) -> LastingCurve:
    """A known curve of lives at the ages that a change is looked for."""
    ages_h = _ages(life.mean_h)
    return LastingCurve(ages_h=ages_h, lasting_fraction=survival_fraction(life, ages_h), mean_h=life.mean_h)


def curve_of_belief(known: LifeBelief) -> LastingCurve:
    """What is believed of a part's life, over all curves, at the ages that a change is looked for."""
    ages_h = _ages(known.mean_h)
    return LastingCurve(ages_h=ages_h, lasting_fraction=_falling(lasting_fraction(known, ages_h)), mean_h=known.mean_h)


def costs_per_h(curve: LastingCurve, costs: ChangeCosts) -> FloatArray:
    """Mean cost of each hour where the part is changed at each age of a curve but the first, shape (n - 1,).

    **Source** as `cost_per_h`; the hours served are the area under the curve by trapezia.
    """
    steps_h = np.diff(curve.ages_h)
    lasting = curve.lasting_fraction
    served = np.cumsum(steps_h * (lasting[1:] + lasting[:-1]) / 2)
    told: FloatArray = (costs.planned_money * lasting[1:] + costs.failed_money * (1 - lasting[1:])) / served
    return told


def replacement_age(curve: LastingCurve, costs: ChangeCosts) -> ReplacementAge:
    """When to change a part, as a stretch of ages that cost about the same, or never by age.

    With `curve_of_belief` the doubt about the curve is in the answer: the cost is that of the next part over all
    curves that may be true, which asks for an earlier change than the likeliest curve alone.

    Parameters
    ----------
    curve
        How likely the next part lasts to each age.
    costs
        What changes cost.

    Examples
    --------
    >>> known = WeibullLife(shape_ratio=2.5, scale_h=1000.0)
    >>> found = replacement_age(curve_of_life(known), ChangeCosts(planned_money=100.0, failed_money=600.0))
    >>> round(found.best_h, -1), round(found.best_per_h, 3), round(found.run_to_end_per_h, 3)
    (450.0, 0.377, 0.676)

    Notes
    -----
    An age counts only where it saves more than 2 % against waiting; below that nobody's costs are known.

    **Source** Barlow & Proschan 1965 on the mixture of curves, ours; see
    docs/explanation/spares-and-replacement.md.
    """
    wait_per_h = costs.failed_money / curve.mean_h
    per_h = costs_per_h(curve, costs)
    at = int(np.argmin(per_h))
    best_per_h = float(per_h[at])
    if not costs.failure_is_dearer:
        why = Sentence("A failure costs no more than a planned change, so use the part to its end.")
        return ReplacementAge(
            rule=ChangeRule.WHEN_WORN, why=why, run_to_end_per_h=wait_per_h, best_per_h=min(best_per_h, wait_per_h)
        )
    if not best_per_h < wait_per_h * (1 - SAME_COST_FRACTION):
        why = Sentence("No age saves more than 2 in 100 against waiting; look at the part and change it when worn.")
        return ReplacementAge(
            rule=ChangeRule.WHEN_WORN, why=why, run_to_end_per_h=wait_per_h, best_per_h=min(best_per_h, wait_per_h)
        )
    same = per_h <= best_per_h * (1 + SAME_COST_FRACTION)
    from_h, to_h = _stretch(curve.ages_h[1:], same, at)
    why = Sentence(
        "Any age from {same_from_h} to {same_to_h} costs the same within 2 in 100: {best_per_h}, against "
        "{run_to_end_per_h} when you wait for failures.",
        same_from_h=from_h,
        same_to_h=to_h,
        best_per_h=best_per_h,
        run_to_end_per_h=wait_per_h,
    )
    return ReplacementAge(
        rule=ChangeRule.BY_AGE,
        why=why,
        run_to_end_per_h=wait_per_h,
        best_per_h=best_per_h,
        best_h=_lowest_h(curve.ages_h[1:], per_h, at),
        same_from_h=from_h,
        same_to_h=to_h,
    )


def _ages(mean_h: float) -> FloatArray:
    return np.concatenate(([0.0], np.geomspace(YOUNGEST_FRACTION * mean_h, OLDEST_LIVES * mean_h, AGES)))


def _falling(lasting: FloatArray) -> FloatArray:
    """Rounding may let the chance at age 0 miss 1, or a tail rise by a hair."""
    told: FloatArray = np.minimum.accumulate(np.concatenate(([1.0], lasting[1:])))
    return told


def _lowest_h(ages_h: FloatArray, per_h: FloatArray, at: int) -> float:
    """Age at the bottom of the parabola through the lowest cost and its neighbours."""
    if not 0 < at < len(ages_h) - 1:
        return float(ages_h[at])
    curved, sloped, _ = np.polyfit(np.log(ages_h[at - 1 : at + 2] / ages_h[at]), per_h[at - 1 : at + 2], 2)
    return float(ages_h[at] * math.exp(-sloped / (2 * curved)))


def _stretch(ages_h: FloatArray, same: NDArray[np.bool_], at: int) -> tuple[float, float]:
    """First and last age of the unbroken stretch about the best one."""
    breaks = np.flatnonzero(~same)
    before, after = breaks[breaks < at], breaks[breaks > at]
    first = int(before[-1]) + 1 if len(before) else 0
    last = int(after[0]) - 1 if len(after) else len(ages_h) - 1
    return float(ages_h[first]), float(ages_h[last])
