"""Meters that are seldom read, through their ratio to the key meter; and whether the meters of a machine agree."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.cleaning import CleanBatch
from scrubwright.wear.hours_left import HoursLeft
from scrubwright.wear.meters import Counts, FloatArray, MeterBatch

# Variance of the ratio seen over one key hour, and what the hours ahead differ by in any case (ours).
_VARIANCE_OF_1_H = 0.25
_AHEAD_SD = 0.03
_LEAST_RATIO = 0.05
_NODES = 7
LEAST_MACHINES = 8
# What two meters may differ by for rounding and for the moment at which each was read.
SLACK_H, SLACK_FRACTION = 1.0, 0.02
TRACTION_OVER_KEY = (0.6, 0.9)


@dataclass(frozen=True, slots=True, kw_only=True)
class FleetRatio:
    """Hours of a meter for each key hour, as they are over the machines of a fleet.

    Parameters
    ----------
    mean_ratio, sd_ratio
        Mean and standard deviation from machine to machine [> 0].
    """

    mean_ratio: float
    sd_ratio: float

    def __post_init__(self) -> None:
        check_above_zero("mean_ratio", self.mean_ratio)
        check_above_zero("sd_ratio", self.sd_ratio)


# Common practice, before a fleet has said more.
USUAL_RATIOS: Mapping[Counts, FleetRatio] = MappingProxyType(
    {
        Counts.TRACTION: FleetRatio(mean_ratio=0.75, sd_ratio=0.10),
        Counts.BRUSH: FleetRatio(mean_ratio=0.70, sd_ratio=0.10),
        Counts.VACUUM: FleetRatio(mean_ratio=0.75, sd_ratio=0.10),
    }
)
_NAMES: Mapping[Counts, Sentence] = MappingProxyType(
    {
        Counts.KEY: Sentence("key meter"),
        Counts.TRACTION: Sentence("traction meter"),
        Counts.BRUSH: Sentence("brush meter"),
        Counts.VACUUM: Sentence("vacuum meter"),
    }
)
# The first never runs longer than the second.
_NEVER_LONGER = (
    (Counts.TRACTION, Counts.KEY),
    (Counts.BRUSH, Counts.KEY),
    (Counts.VACUUM, Counts.KEY),
    (Counts.BRUSH, Counts.VACUUM),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MachineRatio:
    """Hours of a meter for each key hour, machine by machine.

    Parameters
    ----------
    mean_ratio, sd_ratio
        What is believed of each, shape (machines,).
    """

    mean_ratio: FloatArray
    sd_ratio: FloatArray


def machine_ratio(other_h: FloatArray, key_h: FloatArray, fleet: FleetRatio) -> MachineRatio:
    """The ratio of each machine, from its own hours as far as they go and from the fleet for the rest.

    Parameters
    ----------
    other_h, key_h
        Hours that both meters ran over the same time [h, >= 0], shape (machines,); zero where nothing was read.
    fleet
        What holds over the fleet.

    Notes
    -----
    The fewer key hours were seen, the more the fleet counts.

    **Source** mean of two normal distributions, textbook; the variance of an hour is ours, see
    docs/explanation/meters-and-forecasts.md (checked in tests/worked/test_ratio_numbers.py).
    """
    key = np.asarray(key_h, dtype=np.float64)
    own_weight, fleet_weight = key / _VARIANCE_OF_1_H, 1.0 / fleet.sd_ratio**2
    own = np.divide(other_h, key, out=np.full(key.shape, fleet.mean_ratio), where=key > 0)
    together = own_weight + fleet_weight
    return MachineRatio(
        mean_ratio=(own * own_weight + fleet.mean_ratio * fleet_weight) / together,
        sd_ratio=np.sqrt(1.0 / together + _AHEAD_SD**2),
    )


def fleet_ratio(other_h: FloatArray, key_h: FloatArray, usual: FleetRatio) -> FleetRatio:
    """The ratio over a fleet, from its machines once there are eight of them.

    Parameters
    ----------
    other_h, key_h
        Hours that both meters ran over the same time [h, >= 0], shape (machines,).
    usual
        What is taken until then; the spread never falls below a third of it.

    **Source** method of moments, textbook; the floor is ours.
    """
    counts = np.asarray(key_h) > 0
    if np.count_nonzero(counts) < LEAST_MACHINES:
        return usual
    key, other = np.asarray(key_h)[counts], np.asarray(other_h)[counts]
    ratios = other / key
    mean_ratio = max(float(other.sum() / key.sum()), _LEAST_RATIO)
    between = float(np.var(ratios, ddof=1) - np.mean(_VARIANCE_OF_1_H / key))
    return FleetRatio(mean_ratio=mean_ratio, sd_ratio=max(math.sqrt(max(between, 0.0)), usual.sd_ratio / 3.0))


def left_by_key(left_h: FloatArray, ratio: MachineRatio, *, key_since_h: FloatArray) -> HoursLeft:
    """Hours of another meter that are left, as key hours from the last reading of the key meter.

    Parameters
    ----------
    left_h
        Hours of the other meter from its own last reading to the limit [h], shape (items,).
    ratio
        Hours of that meter for each key hour, item by item.
    key_since_h
        Key hours from the last reading of the other meter to that of the key meter [h, >= 0], shape (items,).

    Notes
    -----
    A part is due when ratio × key hours passes the limit. The ratio is spread over seven values.

    **Source** Gauss-Hermite quadrature, textbook; that the ratio does as well as reading the meter each time stands in
    benchmarks/quality/meters.csv.
    """
    nodes, weights = np.polynomial.hermite.hermgauss(_NODES)
    ratios = ratio.mean_ratio[:, None] + math.sqrt(2.0) * ratio.sd_ratio[:, None] * nodes
    left = np.asarray(left_h, dtype=np.float64)[:, None]
    key = left / np.maximum(ratios, _LEAST_RATIO) - np.asarray(key_since_h, dtype=np.float64)[:, None]
    share = np.broadcast_to(weights / math.sqrt(math.pi), key.shape)
    # What is due already is so by any ratio.
    return HoursLeft(left_h=np.where(left <= 0, left, key), share_fraction=share)


def run_at_h(batch: MeterBatch, clean: CleanBatch, row: NDArray[np.int64], at_days: FloatArray) -> FloatArray:
    """Hours that some meters had run at given times, on the straight line between readings [h].

    Parameters
    ----------
    batch, clean
        The meters and what is believed of them.
    row
        Which meters, shape (n,).
    at_days
        One time for each [days], shape (n,).

    **Source** straight line between readings that count.
    """
    accepted = clean.is_accepted
    found = np.zeros(len(row))
    for number, (meter, at) in enumerate(zip(row.tolist(), np.asarray(at_days).tolist(), strict=True)):
        counts = accepted[meter]
        if counts.any():
            found[number] = np.interp(at, batch.at_days[meter][counts], clean.run_h[meter][counts])
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SharedHours:
    """Hours of a meter and of the key meter over the time that both were read, machine by machine.

    Parameters
    ----------
    other_h, key_h
        Hours of both [h], shape (machines,); zero where they share no time.
    key_since_h
        Key hours from the last reading of the other meter to the last of the key meter [h], shape (machines,).
    """

    other_h: FloatArray
    key_h: FloatArray
    key_since_h: FloatArray


def shared_hours(batch: MeterBatch, clean: CleanBatch, other: NDArray[np.int64], key: NDArray[np.int64]) -> SharedHours:
    """Hours of some meters and of the key meters of the same machines over the time that both were read.

    Parameters
    ----------
    batch, clean
        The meters and what is believed of them.
    other, key
        Rows of the meters and of the key meters, shape (machines,).
    """
    accepted = clean.is_accepted
    first_days = np.where(accepted, batch.at_days, np.inf).min(axis=1, initial=np.inf)
    last_days = np.where(accepted, batch.at_days, -np.inf).max(axis=1, initial=-np.inf)
    begin, end = np.maximum(first_days[other], first_days[key]), np.minimum(last_days[other], last_days[key])
    begin = np.minimum(begin, end)

    def ran_h(rows: NDArray[np.int64]) -> FloatArray:
        return run_at_h(batch, clean, rows, end) - run_at_h(batch, clean, rows, begin)

    at_last = run_at_h(batch, clean, key, last_days[other])
    return SharedHours(
        other_h=ran_h(other), key_h=ran_h(key), key_since_h=run_at_h(batch, clean, key, last_days[key]) - at_last
    )


def meter_findings(ran_h: Mapping[Counts, float]) -> tuple[Sentence, ...]:
    """Where the meters of one machine contradict each other.

    Parameters
    ----------
    ran_h
        Hours that each ran over the same time [h, >= 0].

    Returns
    -------
    tuple of Sentence
        One for each contradiction; empty where they agree.

    Notes
    -----
    With the key off nothing runs; the vacuum runs on after the brushes, to pick up the drips. Traction is usually 60
    to 90 % of the key hours (common practice).

    Examples
    --------
    >>> [str(each) for each in meter_findings({Counts.KEY: 100.0, Counts.BRUSH: 120.0})][0][:70]
    'Over the same time the brush meter ran 120.00 h and the key meter 100.'
    """
    findings = []
    for first, second in _NEVER_LONGER:
        if first in ran_h and second in ran_h and ran_h[first] > ran_h[second] * (1 + SLACK_FRACTION) + SLACK_H:
            findings.append(
                Sentence(
                    "Over the same time the {first} ran {first_h} and the {second} {second_h}. The first cannot run "
                    "longer. Check both readings, and whether a meter was changed.",
                    first=_NAMES[first],
                    first_h=ran_h[first],
                    second=_NAMES[second],
                    second_h=ran_h[second],
                )
            )
    return (*findings, *_idle_or_driving(ran_h))


def _idle_or_driving(ran_h: Mapping[Counts, float]) -> tuple[Sentence, ...]:
    """What the share of driving in the key hours says, where it is not the usual one."""
    key_h, traction_h = ran_h.get(Counts.KEY, 0.0), ran_h.get(Counts.TRACTION)
    if traction_h is None or traction_h > key_h * (1 + SLACK_FRACTION) + SLACK_H:
        return ()
    low, high = TRACTION_OVER_KEY
    if low * key_h - SLACK_H <= traction_h <= high * key_h + SLACK_H:
        return ()
    return (
        Sentence(
            "The machine drove for {driven_fraction} of its key hours; {low_fraction} to {high_fraction} is usual. "
            "Look whether the key stays on while it stands, and whether both meters count.",
            driven_fraction=traction_h / key_h,
            low_fraction=low,
            high_fraction=high,
        ),
    )
