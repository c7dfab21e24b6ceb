"""What is taken for granted about a pack before its first discharge; every measurement overrules it."""

import math
from dataclasses import dataclass, replace

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput

# By which share wear speeds up in each shift; set on the simulated fleets of benchmarks/quality/health.py.
GROWTH_PER_SHIFT = 0.003
# Share of its scale that a new pack gives, and how packs differ in it (common practice).
NEW_FRACTION, NEW_SD_FRACTION = 1.0, 0.06
END_OF_LIFE_FRACTION = 0.8
# A plate's ampere-hours over a guess at the amperes of the work (common practice).
USUAL_SD_FRACTION = 0.25
# Beyond this a table of lives says no more about what is left.
MOST_LIVES = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class HealthPrior:
    """What is taken for granted before the first discharge; every measurement overrules it.

    Parameters
    ----------
    scale_h
        Hours of usual work while the charge falls from full to flat on the scale that is read [h, > 0].
    scale_sd_fraction
        How far that may be off [> 0].
    given_fraction
        Share of that scale that the pack gives before it is at its end [above 0, at most 1.2]; 1 when new.
    given_sd_fraction
        How far that may be off [> 0].
    drift_per_shift
        By which share the pack changes in a shift at the beginning of the log [per shift, at most 0].
    drift_sd_per_shift
        How far that may be off [per shift, >= 0].
    """

    scale_h: float = 4.0
    scale_sd_fraction: float = 0.8
    given_fraction: float = NEW_FRACTION
    given_sd_fraction: float = NEW_SD_FRACTION
    drift_per_shift: float = -1.5e-4
    drift_sd_per_shift: float = 1.5e-4

    def __post_init__(self) -> None:
        for name in ("scale_h", "scale_sd_fraction", "given_fraction", "given_sd_fraction"):
            check_above_zero(name, getattr(self, name))
        check_zero_or_more("drift_sd_per_shift", self.drift_sd_per_shift)
        if not (self.given_fraction <= 1.2 and -math.inf < self.drift_per_shift <= 0):
            raise BadInput(
                "A pack is said to give {given_fraction} of its charge and to change by {drift} in a shift; enter at "
                "most 1.2, and a change of zero or below.",
                given_fraction=self.given_fraction,
                drift=str(self.drift_per_shift),
            )


def prior_by_age(
    life_used_fraction: float, mean_drift_per_shift: float, mean_drift_sd_per_shift: float, *, scale_h: float | None
) -> HealthPrior:
    """What is taken for granted of a pack of which only the age is known.

    Wear speeds up by 0.3 % in each shift, on a course from 1 when new to 0.8 when its life by the table is used up.

    Parameters
    ----------
    life_used_fraction
        When the log begins: share of the life by the maker's curve or the table [>= 0]; counted as 1.5 above that.
    mean_drift_per_shift
        Drift of the logarithm of what the pack gives, over its whole life [per shift, < 0], see
        `ageing.prior_drift_per_shift`.
    mean_drift_sd_per_shift
        How far that may be off [per shift, >= 0].
    scale_h
        Hours of usual work for the whole charge scale, see `usual_scale_h` [h, > 0]; None where not known.

    Raises
    ------
    BadInput
        A value outside these ranges.
    """
    check_zero_or_more("life_used_fraction", life_used_fraction)
    check_zero_or_more("mean_drift_sd_per_shift", mean_drift_sd_per_shift)
    if not -math.inf < mean_drift_per_shift < 0:
        raise BadInput("The wear of a shift is {drift}; enter a change below zero.", drift=str(mean_drift_per_shift))
    life = math.log(END_OF_LIFE_FRACTION) / mean_drift_per_shift
    grown = GROWTH_PER_SHIFT * life
    aged = grown * min(life_used_fraction, MOST_LIVES)
    worn = math.log(END_OF_LIFE_FRACTION) * math.expm1(aged) / math.expm1(grown)
    drift = math.log(END_OF_LIFE_FRACTION) * GROWTH_PER_SHIFT * math.exp(aged) / math.expm1(grown)
    unsure = mean_drift_sd_per_shift / -mean_drift_per_shift
    start = HealthPrior() if scale_h is None else HealthPrior(scale_h=scale_h, scale_sd_fraction=USUAL_SD_FRACTION)
    return replace(
        start,
        given_fraction=math.exp(worn),
        given_sd_fraction=math.hypot(NEW_SD_FRACTION, unsure * worn),
        drift_per_shift=drift,
        drift_sd_per_shift=unsure * -drift,
    )


def usual_scale_h(capacity_ah: float, usual_a: float) -> float:
    """Hours of usual work for the whole charge scale, for a start: rated ampere-hours over amperes [h].

    Parameters
    ----------
    capacity_ah
        Rated over about five hours [Ah, > 0].
    usual_a
        Mean current of the work [A, > 0].

    Raises
    ------
    BadInput
        A value of zero or less.

    Examples
    --------
    >>> usual_scale_h(225.0, 50.0)
    4.5

    **Source** identity.
    """
    check_above_zero("capacity_ah", capacity_ah)
    check_above_zero("usual_a", usual_a)
    return capacity_ah / usual_a
