"""State of health: how long a full pack runs this machine, how that falls, and when it no longer does the work."""

import math
from collections import deque
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from scrubwright.battery.health_filter import (
    DOUBTFUL_RATIO,
    Standing,
    chance_fraction,
    doubt_ratio,
    standing_after,
    standing_as_seen,
    standing_at_first,
    standing_later,
    standing_of_new_pack,
)
from scrubwright.battery.health_log import Discharge, DischargeLog
from scrubwright.battery.health_prior import END_OF_LIFE_FRACTION, HealthPrior
from scrubwright.battery.temperature import COLDEST_K, WARMEST_K, capacity_fraction
from scrubwright.battery.trend import BAND_SD, Floats
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.sentence import Sentence

FURTHEST_SHIFTS = 1500
# What it gave on a quarter of the last twenty shifts, a pack can give; slips of the pen do not come so often.
LATELY, OFTEN = 20, 15
# After so many discharges the hours of a new pack count as known.
RUN_IN_DISCHARGES = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftsLeft:
    """How many shifts are left until something happens, with the 80 % band; 1500 means later than is told.

    Parameters
    ----------
    likely_shifts, low_shifts, high_shifts
        The middle and both ends of the band [shifts, 0 to 1500].
    """

    likely_shifts: float
    low_shifts: float
    high_shifts: float

    @property
    def is_told(self) -> bool:
        """Whether the middle lies within what is told."""
        return self.likely_shifts < FURTHEST_SHIFTS


@dataclass(frozen=True, slots=True, kw_only=True)
class HealthStep:
    """What was known after one discharge, or now: hours of a full pack at 25 °C with the 80 % band.

    Parameters
    ----------
    at
        When.
    full_pack_h, low_h, high_h
        Middle and band [h].
    logged_h
        What this discharge alone says [h]; None where the step is none.
    """

    at: datetime
    full_pack_h: float
    low_h: float
    high_h: float
    logged_h: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Health:
    """How a pack stands at one time.

    Parameters
    ----------
    now
        Hours of a full pack, with the band as wide as it is by now.
    standing
        All that is known.
    run_downs
        How many discharges of this pack went to its end. Without one, what the pack gives of a hydrometer's scale is
        no more than what was handed in and what it was seen to do.
    new_h
        Hours of a full pack when it was new, where the scale follows the pack and the log saw it new [h]; else None.
    trend
        One step a discharge of this pack.
    doubtful
        Discharges that do not fit the others.
    """

    now: HealthStep
    standing: Standing
    run_downs: int
    new_h: float | None
    trend: tuple[HealthStep, ...]
    doubtful: tuple[Sentence, ...]

    @property
    def drift_per_shift(self) -> float:
        """By which share the hours of a full pack change in a shift, below zero for falling [per shift]."""
        return float(self.standing.worn.drift_per_shift)

    @property
    def drift_sd_per_shift(self) -> float:
        """Standard deviation of the drift [per shift]."""
        return math.sqrt(float(self.standing.worn.drift_variance_per_shift))

    def of_new_band_fraction(self) -> tuple[float, float, float] | None:
        """Low end, middle and high end of what the pack gives over what a new one gives; None where not measured.

        Not measured: a hydrometer's scale without a run-down, another scale where the log did not see the pack new.

        **Source** 80 % band of a log-normal distribution, ours, see docs/explanation/health-of-a-pack.md.
        """
        if self.standing.given is None:
            if self.new_h is None:
                return None
            return self.now.low_h / self.new_h, self.now.full_pack_h / self.new_h, self.now.high_h / self.new_h
        if not self.run_downs:
            return None
        middle = float(self.standing.given.log_ratio)
        half = BAND_SD * float(self.standing.given.sd_ratio)
        return math.exp(middle - half), math.exp(middle), math.exp(middle + half)

    def chance_of_shift_fraction(self, work_h: float, capacity_fraction: float = 1.0) -> float:
        """Chance that a full pack does the next shift of so many hours [0 to 1].

        Parameters
        ----------
        work_h
            Hours of usual work by the meter [h, > 0].
        capacity_fraction
            What a pack gives at the temperature of that shift over 25 °C [> 0], see `temperature.capacity_fraction`.

        Raises
        ------
        BadInput
            A value outside these ranges.

        **Source** normal distribution of the logarithm, ours, see docs/explanation/health-of-a-pack.md.
        """
        check_above_zero("work_h", work_h)
        check_above_zero("capacity_fraction", capacity_fraction)
        return float(chance_fraction(self.standing, work_h, capacity_fraction))

    def shifts_until(self, work_h: float, capacity_fraction: float = 1.0) -> ShiftsLeft:
        """Shifts until a full pack no longer lasts so many hours.

        Parameters
        ----------
        work_h
            Hours of usual work by the meter [h, > 0].
        capacity_fraction
            What a pack gives at the coldest that it works at over 25 °C [> 0].

        Raises
        ------
        BadInput
            A value outside these ranges.
        """
        check_above_zero("work_h", work_h)
        check_above_zero("capacity_fraction", capacity_fraction)
        ahead = self._ahead()
        return _crossing(ahead.log_ratio, ahead.log_variance_ratio, math.log(work_h / capacity_fraction))

    def shifts_until_worn(self, end_fraction: float = END_OF_LIFE_FRACTION) -> ShiftsLeft | None:
        """Shifts until the pack gives less than this share of what a new one gives; None where not measured.

        Parameters
        ----------
        end_fraction
            The end of life [> 0]; 0.8 by the handbooks.

        Raises
        ------
        BadInput
            A share of zero or less.
        """
        check_above_zero("end_fraction", end_fraction)
        given = self._ahead().given
        if given is None:
            return None if self.new_h is None else self.shifts_until(end_fraction * self.new_h)
        if not self.run_downs:
            return None
        return _crossing(given.log_ratio, given.log_variance_ratio, math.log(end_fraction))

    def _ahead(self) -> Standing:
        return standing_later(self.standing, np.arange(FURTHEST_SHIFTS, dtype=np.float64))


def health(
    log: DischargeLog,
    prior: HealthPrior | None = None,
    *,
    scale_follows: bool = False,
    at: datetime | None = None,
) -> Health:
    """How the pack of a log stands: hours of a full pack, their band and their drift.

    Parameters
    ----------
    log
        Discharges, see `health_log.discharge_log`.
    prior
        What is taken for granted before them; None where nothing is known.
    scale_follows
        Whether the scale follows the pack's present capacity by itself, as the display of a lithium pack does; a
        hydrometer does not.
    at
        When it is asked; None for the time of the last discharge. The longer ago that one, the wider the band.

    Notes
    -----
    A new pack starts anew; the hours of the same machine are kept as a rough first guess.

    **Source** the method is ours, see docs/explanation/health-of-a-pack.md; checked on simulated fleets in
    tests/rooms/test_health_of_fleets.py.
    """
    course = _Course(standing_at_first(prior or HealthPrior(), scale_follows=scale_follows), log.discharges[0])
    for discharge in log.discharges:
        course.take(discharge)
    asked_at = at or log.discharges[-1].at
    course.move_to(log.done_at_shifts(asked_at))
    told = course.told()
    return Health(
        now=_step(told, asked_at, None),
        standing=told,
        run_downs=course.run_downs,
        new_h=course.new_h,
        trend=tuple(course.steps),
        doubtful=tuple(course.doubtful),
    )


class _Course:
    """The discharges of a log, taken one after the other."""

    def __init__(self, standing: Standing, first: Discharge) -> None:
        self.standing = standing
        self.done_shifts = first.done_shifts
        self.steps: list[HealthStep] = []
        self.doubtful: list[Sentence] = []
        self.run_downs = 0
        self.is_new = False
        self.new_h: float | None = None
        # Shares that the pack gave lately without coming to its end, and the error of the newest.
        self.given: deque[float] = deque(maxlen=LATELY)
        self.given_sd = 0.0

    def take(self, discharge: Discharge) -> None:
        """One discharge more."""
        self.move_to(discharge.done_shifts)
        if discharge.is_new_pack:
            self.standing, self.run_downs = standing_of_new_pack(self.standing), 0
            self.is_new, self.new_h = True, None
            self.steps.clear()
            self.given.clear()
        used, used_sd = discharge.used_fraction, discharge.used_sd_fraction
        warm = _capacity_fraction(discharge.electrolyte_k)
        if doubt_ratio(self.standing, discharge.worked_h, used, used_sd, warm) > DOUBTFUL_RATIO:
            self.doubtful.append(_doubt(discharge))
        self.standing = standing_after(
            self.standing,
            worked_h=discharge.worked_h,
            used_fraction=used,
            used_sd_fraction=used_sd,
            capacity_fraction=warm,
            ran_down=discharge.ran_down,
        )
        if discharge.ran_down:
            self.run_downs += 1
        elif self.standing.given is not None:
            self.given.append(used / warm)
            self.given_sd = used_sd
        told = self.told()
        self.steps.append(_step(told, discharge.at, discharge.worked_h / used))
        if self.is_new and told.given is None and len(self.steps) == RUN_IN_DISCHARGES:
            self.new_h = self.steps[-1].full_pack_h

    def move_to(self, done_shifts: float) -> None:
        """A later time, without a reading."""
        self.standing = standing_later(self.standing, done_shifts - self.done_shifts)
        self.done_shifts = done_shifts

    def told(self) -> Standing:
        """What is known, with what the pack was seen to do lately."""
        if len(self.given) < LATELY:
            return self.standing
        return standing_as_seen(self.standing, sorted(self.given)[OFTEN], self.given_sd)


def day_after(at: datetime, shifts: float, shifts_per_h: float) -> date:
    """The day on which so many more shifts will have been worked at the usual pace.

    Parameters
    ----------
    at
        From when on.
    shifts
        How many [shifts, >= 0].
    shifts_per_h
        The pace, see `DischargeLog` [per hour, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.
    """
    check_zero_or_more("shifts", shifts)
    check_above_zero("shifts_per_h", shifts_per_h)
    return (at + timedelta(hours=shifts / shifts_per_h)).date()


def _step(standing: Standing, at: datetime, scale_h: float | None) -> HealthStep:
    low_h, middle_h, high_h = (float(value) for value in standing.band_h())
    # A discharge tells the hours of the scale; what the pack gives of it by then makes them hours of a full pack.
    given_fraction = 1.0 if standing.given is None else math.exp(float(standing.given.log_ratio))
    return HealthStep(
        at=at,
        full_pack_h=middle_h,
        low_h=low_h,
        high_h=high_h,
        logged_h=None if scale_h is None else scale_h * given_fraction,
    )


def _doubt(discharge: Discharge) -> Sentence:
    return Sentence(
        "The shift of {day} does not fit the others: {worked_h} for {used_fraction} of the charge. Look for a slip in "
        "its hours and readings; it counts for little.",
        day=discharge.at.date().isoformat(),
        worked_h=discharge.worked_h,
        used_fraction=discharge.used_fraction,
    )


def _capacity_fraction(electrolyte_k: float | None) -> float:
    """What the pack gave at a temperature over 25 °C; past the ends of the table, and where not read, as near to it."""
    if electrolyte_k is None:
        return 1.0
    return float(capacity_fraction(min(max(electrolyte_k, COLDEST_K), WARMEST_K)))


def _crossing(log_ratio: Floats, log_variance_ratio: Floats, least: float) -> ShiftsLeft:
    """When the middle and the ends of the band first lie under a level, counted in shifts along an array."""
    half = BAND_SD * np.sqrt(log_variance_ratio)
    firsts = []
    for line in (log_ratio - half, log_ratio, log_ratio + half):
        under = np.flatnonzero(line < least)
        firsts.append(float(under[0]) if len(under) else float(FURTHEST_SHIFTS))
    low, likely, high = firsts
    return ShiftsLeft(likely_shifts=likely, low_shifts=low, high_shifts=high)
