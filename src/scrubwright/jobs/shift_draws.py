"""One shift as chance may draw it: the pack, the driver, the floor and who stands in the way."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaincinv, ndtri
from scipy.stats import poisson, qmc

from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_question import Rate
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.constants import SECONDS_PER_H
from scrubwright.measures.errors import BadInput

# Independent scramblings of the points; how far they lie apart tells the error of their mean.
SCRAMBLES = 8
LEAST_SAMPLES, MOST_SAMPLES = 64, 2**20
_OF_SITE, _OF_MACHINE = 3, 8
_NORMAL_AT_90 = float(ndtri(0.9))
_LEAST, _MOST = 1e-12, 1 - 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Hindrances:
    """What stands in the way: people, pallets, doors; common practice until shifts were logged.

    Parameters
    ----------
    usual_per_h
        In one hour of scrubbing and driving, on a usual night [1/h, >= 0].
    mean_s
        How long one holds the machine up, on average [s, > 0].
    night_sd_ratio
        How much one night differs from the next, as a share; the same for all machines of a night [>= 0].
    """

    usual_per_h: float = 1.0
    mean_s: float = 60.0
    night_sd_ratio: float = 0.5

    def __post_init__(self) -> None:
        check_zero_or_more("usual_per_h", self.usual_per_h)
        check_above_zero("mean_s", self.mean_s)
        check_zero_or_more("night_sd_ratio", self.night_sd_ratio)


USUAL_HINDRANCES = Hindrances()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MachineDraws:
    """What one machine meets; every array has one entry a drawn shift, shape (n,).

    Parameters
    ----------
    health_ratio, charge_fraction
        What the pack holds over its rating, and its charge at the start.
    scrubbing_ratio, driving_ratio, stops_ratio, current_ratio, water_ratio
        What really happens over the plate's.
    hindered_ratio
        Time that hindrances take over that of scrubbing and driving.
    """

    health_ratio: NDArray[np.float64]
    charge_fraction: NDArray[np.float64]
    scrubbing_ratio: NDArray[np.float64]
    driving_ratio: NDArray[np.float64]
    stops_ratio: NDArray[np.float64]
    current_ratio: NDArray[np.float64]
    water_ratio: NDArray[np.float64]
    hindered_ratio: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.health_ratio)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShiftDraws:
    """Drawn shifts: each machine's, and how long the floor takes to dry [s], shape (n,)."""

    machines: tuple[MachineDraws, ...]
    drying_s: NDArray[np.float64]


def even_points_fraction(machines: int, samples: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Points that fill the unit cube evenly, one coordinate for each thing that chance decides.

    Parameters
    ----------
    machines
        How many machines work.
    samples
        How many points, a power of two [64 to 1,048,576].

    Returns
    -------
    ndarray
        Shape (samples, coordinates): the independent scramblings one after the other, all of one length.

    Raises
    ------
    BadInput
        The number of points is no such power of two.

    Notes
    -----
    **Source** Sobol I M, On the distribution of points in a cube and the approximate evaluation of integrals, 1967;
    scrambling of Matoušek 1998, by scipy.
    """
    if not (LEAST_SAMPLES <= samples <= MOST_SAMPLES and samples & (samples - 1) == 0):
        raise BadInput(
            "The shift is to be drawn {samples} times; enter a power of two from {least} to {most}, such as 4096.",
            samples=samples,
            least=LEAST_SAMPLES,
            most=MOST_SAMPLES,
        )
    each = int(math.log2(samples // SCRAMBLES))
    coordinates = _OF_SITE + _OF_MACHINE * machines
    return np.concatenate([qmc.Sobol(coordinates, rng=rng).random_base2(each) for _ in range(SCRAMBLES)])


def shift_draws(
    points_fraction: NDArray[np.float64],
    loads: Sequence[LegLoads],
    *,
    dry_s: tuple[float, float, float],
    hindrances: Hindrances = USUAL_HINDRANCES,
) -> ShiftDraws:
    """Points of the unit cube as shifts.

    What a driver does is drawn for each machine; water, how busy the night is and how the floor dries
    belong to the site and are the same for all its machines. Of one shift the part of a rate that is
    badly known and the part that changes from shift to shift cannot be told apart, so they are drawn as one.

    Parameters
    ----------
    points_fraction
        Between 0 and 1, shape (n, 3 + 8 for each machine); see `even_points_fraction`.
    loads
        One for each machine.
    dry_s
        10 %, 50 % and 90 % points of the time that a wet lane takes to dry [s].
    hindrances
        How often and for how long something stands in the way.

    Raises
    ------
    BadInput
        The three drying times are not above zero or not in order.

    Notes
    -----
    **Source** ours, docs/explanation/chance-of-finishing.md; checked in tests/rooms/test_shift_draws.py.
    """
    u = np.clip(points_fraction, _LEAST, _MOST)
    dry, water, busy = u[:, 0], ndtri(u[:, 1]), ndtri(u[:, 2])
    per_h = hindrances.usual_per_h * np.exp(hindrances.night_sd_ratio * busy)
    machines = tuple(
        _machine_draws(each, u[:, first : first + _OF_MACHINE], water, per_h, hindrances.mean_s)
        for first, each in zip(range(_OF_SITE, u.shape[1], _OF_MACHINE), loads, strict=True)
    )
    return ShiftDraws(machines=machines, drying_s=_through_band(dry, dry_s))


def _machine_draws(
    loads: LegLoads,
    u: NDArray[np.float64],
    water: NDArray[np.float64],
    hindrances_per_h: NDArray[np.float64],
    mean_s: float,
) -> MachineDraws:
    machine = loads.machine
    rates = machine.rates
    current, health, scrubbing, charge, driving, stops = ndtri(u[:, :6].T)
    scrubbing_ratio = _ratio(rates.scrubbing, scrubbing)
    driving_ratio = _ratio(rates.driving, driving)
    work_s = _planned_s(loads, LoadKind.SCRUB) * scrubbing_ratio + _planned_s(loads, LoadKind.DRIVE) * driving_ratio
    times = poisson.ppf(u[:, 6], hindrances_per_h * work_s / SECONDS_PER_H)
    # So many lengths, each exponential, add up to a gamma-distributed one.
    hindered_s = np.where(times > 0, mean_s * gammaincinv(np.maximum(times, 1.0), u[:, 7]), 0.0)
    return MachineDraws(
        health_ratio=machine.health_ratio * np.exp(machine.health_sd_ratio / machine.health_ratio * health),
        charge_fraction=np.clip(machine.charge_fraction + machine.charge_sd_fraction * charge, 0.0, 1.0),
        scrubbing_ratio=scrubbing_ratio,
        driving_ratio=driving_ratio,
        stops_ratio=_ratio(rates.stops, stops),
        current_ratio=_ratio(rates.current, current),
        water_ratio=_ratio(rates.water, water),
        hindered_ratio=np.divide(hindered_s, work_s, out=np.zeros_like(work_s), where=work_s > 0),
    )


def _planned_s(loads: LegLoads, kind: LoadKind) -> float:
    return float(loads.duration_s[loads.kind == kind].sum())


def _ratio(rate: Rate, normal: NDArray[np.float64]) -> NDArray[np.float64]:
    """Log-normal about the rate; its middle is the rate itself."""
    return rate.factor_ratio * np.exp(math.hypot(rate.sd_ratio, rate.shift_sd_ratio) * normal)


def _through_band(u: NDArray[np.float64], band_s: tuple[float, float, float]) -> NDArray[np.float64]:
    """Log-normal on each side of the middle, so that it meets all three points [s]."""
    low_s, middle_s, high_s = band_s
    if not 0 < low_s <= middle_s <= high_s < math.inf:
        raise BadInput(
            "The floor dries in {low_s} to {high_s}, most likely in {middle_s}; enter three times above zero, the "
            "shortest first.",
            low_s=float(low_s),
            middle_s=float(middle_s),
            high_s=float(high_s),
        )
    z = ndtri(u) / _NORMAL_AT_90
    step = np.where(z < 0, math.log(middle_s / low_s), math.log(high_s / middle_s))
    return np.asarray(middle_s * np.exp(step * z))
