"""What is known of a pack's health after each discharge, for one pack or for many at once."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from scrubwright.battery.charge_read import AT_END_SD_FRACTION
from scrubwright.battery.health_prior import GROWTH_PER_SHIFT, NEW_FRACTION, NEW_SD_FRACTION, HealthPrior
from scrubwright.battery.trend import (
    BAND_SD,
    Floats,
    Trend,
    Wander,
    begun,
    doubted_sd_ratio,
    held_between,
    misfit_ratio,
    moved_on,
    updated,
)

# Wear of plates speeds up; its unrest is what the bands of benchmarks/quality/health.py need.
WEARING = Wander(growth_per_shift=GROWTH_PER_SHIFT, drift_unrest_per_shift=2.5e-5, level_unrest_ratio=0.0)
# What the work takes changes with brushes, floors and drivers, without a direction.
WORKING = Wander(growth_per_shift=GROWTH_PER_SHIFT, drift_unrest_per_shift=0.0, level_unrest_ratio=0.001)

# The same shift takes a little more or less each time (common practice).
WORK_SD_FRACTION = 0.05
# With hours less sure than this, what a shift uses is taken from its own reading.
ROUGH_SD_RATIO = 0.2
EXPECTED_FRACTIONS = (0.15, 1.2)
# Hours of a new pack in the same machine may differ by as much from those of the old one.
OTHER_PACK_SD_FRACTION = 0.3
# Beyond this many standard deviations a discharge is shown to be looked at again.
DOUBTFUL_RATIO = 3.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standing:
    """What is known at one time.

    Parameters
    ----------
    scale
        Hours of usual work for the whole scale that is read.
    given
        Share of that scale that the pack gives at 25 °C before it is at its end; None where the scale follows the
        pack by itself, so that the share is always 1.
    """

    scale: Trend
    given: Trend | None

    @property
    def worn(self) -> Trend:
        """The one of the two that falls as the pack wears."""
        return self.scale if self.given is None else self.given

    @property
    def log_ratio(self) -> Floats:
        """Natural logarithm of the hours of a full pack at 25 °C, over one hour."""
        return self.scale.log_ratio if self.given is None else self.scale.log_ratio + self.given.log_ratio

    @property
    def log_variance_ratio(self) -> Floats:
        """Its variance."""
        both = self.scale.log_variance_ratio
        return both if self.given is None else both + self.given.log_variance_ratio

    def band_h(self) -> tuple[Floats, Floats, Floats]:
        """Low end, middle and high end of the 80 % band of the hours of a full pack at 25 °C [h].

        **Source** log-normal distribution, ours, see docs/explanation/health-of-a-pack.md.
        """
        half = BAND_SD * np.sqrt(self.log_variance_ratio)
        return np.exp(self.log_ratio - half), np.exp(self.log_ratio), np.exp(self.log_ratio + half)


def standing_at_first(prior: HealthPrior, *, scale_follows: bool) -> Standing:
    """What is known before the first discharge.

    Parameters
    ----------
    prior
        What is taken for granted.
    scale_follows
        Whether the scale follows the pack's present capacity by itself, as the display of a lithium pack does; a
        hydrometer does not.
    """
    drift, drift_sd = prior.drift_per_shift, prior.drift_sd_per_shift
    log_h = math.log(prior.scale_h)
    if scale_follows:
        return Standing(scale=begun(log_h, prior.scale_sd_fraction, drift, drift_sd), given=None)
    return Standing(
        scale=begun(log_h, prior.scale_sd_fraction, 0.0, 0.0),
        given=begun(math.log(prior.given_fraction), prior.given_sd_fraction, drift, drift_sd),
    )


def standing_of_new_pack(old: Standing) -> Standing:
    """What is known when another pack is put in: the work is the same, the pack starts anew."""
    first = standing_at_first(HealthPrior(), scale_follows=old.given is None)
    kept = begun(
        old.scale.log_ratio,
        np.hypot(old.scale.sd_ratio, OTHER_PACK_SD_FRACTION),
        first.scale.drift_per_shift,
        np.sqrt(first.scale.drift_variance_per_shift),
    )
    return Standing(scale=kept, given=first.given)


def standing_later(standing: Standing, passed_shifts: Floats) -> Standing:
    """What is known some shifts later without a reading.

    Parameters
    ----------
    standing
        What was known.
    passed_shifts
        Since then [shifts, >= 0].

    Raises
    ------
    BadInput
        Less than no shifts have passed.
    """
    if standing.given is None:
        return Standing(scale=moved_on(standing.scale, passed_shifts, WEARING), given=None)
    return Standing(
        scale=moved_on(standing.scale, passed_shifts, WORKING),
        given=moved_on(standing.given, passed_shifts, WEARING),
    )


def standing_after(
    standing: Standing,
    *,
    worked_h: Floats,
    used_fraction: Floats,
    used_sd_fraction: Floats,
    capacity_fraction: Floats = 1.0,
    ran_down: bool | NDArray[np.bool_] = False,
) -> Standing:
    """What is known after one discharge of each pack.

    The hours over the charge used tell the hours of the whole scale. How much of the scale the pack gives is told by
    a discharge down to its end; one that stopped before says that it gives at least what was used.

    Parameters
    ----------
    standing
        What was known at that time.
    worked_h
        By the hour meter [h, > 0].
    used_fraction
        Charge used by the scale that was read [> 0].
    used_sd_fraction
        Its standard deviation [> 0]; infinite for packs of an array that have no discharge now.
    capacity_fraction
        What a pack gives at the temperature of this discharge over 25 °C [> 0].
    ran_down
        Whether the pack was at its end.

    Notes
    -----
    Errors are taken over the charge that the hours let expect, not over the charge that was read: a reading that is
    low by chance would else count less than one that is high by chance, and tilt the mean.
    """
    sd_ratio = used_sd_fraction / _expected_fraction(standing.scale, worked_h, used_fraction)
    told, told_sd = _scale_told(standing, worked_h, used_fraction, capacity_fraction, sd_ratio)
    scale = updated(standing.scale, told, doubted_sd_ratio(standing.scale, told, told_sd))
    if standing.given is None:
        return Standing(scale=scale, given=None)
    share = np.log(used_fraction / capacity_fraction) + _low_by(sd_ratio)
    share_sd = np.hypot(sd_ratio, AT_END_SD_FRACTION)
    ended_sd = np.where(ran_down, doubted_sd_ratio(standing.given, share, share_sd), np.inf)
    return Standing(scale=scale, given=updated(standing.given, share, ended_sd))


def standing_as_seen(standing: Standing, least_fraction: float, least_sd_fraction: float) -> Standing:
    """What is known of one pack that lately gave so much of its scale, and cannot give more than a new one.

    For telling, not for following on: counted again after each discharge, the same knowledge would seem to grow.

    Parameters
    ----------
    standing
        What is known by what was handed in and by run-downs.
    least_fraction
        What the pack gave at 25 °C without coming to its end [> 0].
    least_sd_fraction
        Standard deviation of that [> 0].
    """
    if standing.given is None:
        return standing
    given = held_between(
        standing.given,
        math.log(least_fraction),
        least_sd_fraction / least_fraction,
        math.log(NEW_FRACTION),
        NEW_SD_FRACTION,
    )
    return Standing(scale=standing.scale, given=given)


def doubt_ratio(
    standing: Standing, worked_h: float, used_fraction: float, used_sd_fraction: float, capacity_fraction: float
) -> float:
    """How far the hours and the charge of a discharge lie from what was expected, in standard deviations.

    **Source** identity, see `trend.misfit_ratio`.
    """
    sd_ratio = used_sd_fraction / _expected_fraction(standing.scale, worked_h, used_fraction)
    told, told_sd = _scale_told(standing, worked_h, used_fraction, capacity_fraction, sd_ratio)
    return float(misfit_ratio(standing.scale, told, told_sd))


def chance_fraction(standing: Standing, work_h: float, capacity_fraction: float) -> Floats:
    """Chance that a full pack does a shift [0 to 1].

    Parameters
    ----------
    standing
        What is known.
    work_h
        Hours of usual work by the meter [h, > 0].
    capacity_fraction
        What a pack gives at the temperature of that shift over 25 °C [> 0].

    **Source** normal distribution of the logarithm, ours, see docs/explanation/health-of-a-pack.md.
    """
    spread = np.sqrt(standing.log_variance_ratio + WORK_SD_FRACTION**2)
    return np.asarray(ndtr((standing.log_ratio + math.log(capacity_fraction / work_h)) / spread))


def _scale_told(
    standing: Standing, worked_h: Floats, used_fraction: Floats, capacity_fraction: Floats, sd_ratio: Floats
) -> tuple[Floats, Floats]:
    """Logarithm of the hours of the whole scale by one discharge, and its standard deviation."""
    told = np.log(worked_h / used_fraction) - _low_by(sd_ratio)
    # A scale that follows the pack is shorter in the cold; acid is not.
    if standing.given is None:
        told = told - np.log(capacity_fraction)
    return told, np.hypot(sd_ratio, WORK_SD_FRACTION)


def _low_by(sd_ratio: Floats) -> Floats:
    """How far the mean of a reading's logarithm lies under the logarithm of its mean: half its variance."""
    return np.where(np.isfinite(sd_ratio), np.square(sd_ratio) / 2, 0.0)


def _expected_fraction(scale: Trend, worked_h: Floats, used_fraction: Floats) -> Floats:
    by_hours = worked_h / np.exp(scale.log_ratio)
    expected = np.where(scale.sd_ratio < ROUGH_SD_RATIO, by_hours, used_fraction)
    return np.clip(expected, *EXPECTED_FRACTIONS)
