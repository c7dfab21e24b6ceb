"""The chance that a planned shift is done, dry in time, with the reserve kept, and what fails first."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.shift_answer import Chance, Limit
from scrubwright.jobs.shift_draws import (
    SCRAMBLES,
    USUAL_HINDRANCES,
    Hindrances,
    ShiftDraws,
    even_points_fraction,
    shift_draws,
)
from scrubwright.jobs.shift_loads import LegLoads
from scrubwright.jobs.shift_run_many import MachineRuns, machine_runs
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput

# Drawn shifts that are run at once; more would not fit a processor's cache.
_AT_ONCE = 4096
_BAND = (0.1, 0.5, 0.9)
LIMITS = tuple(Limit)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outcomes:
    """How drawn shifts went, all machines together; one entry a shift, shape (n,).

    Parameters
    ----------
    first_limit
        What failed first, as its place in `LIMITS`; `Limit.NONE` where all went well.
    finish_s, dry_s
        When the last machine was back and the last floor dry, had the packs lasted [s].
    end_charge_fraction
        Charge left at the end, or when it gave out; the lowest of the machines.
    """

    first_limit: NDArray[np.intp]
    finish_s: NDArray[np.float64]
    dry_s: NDArray[np.float64]
    end_charge_fraction: NDArray[np.float64]

    @property
    def fits(self) -> NDArray[np.bool_]:
        """Which shifts went well."""
        return np.asarray(self.first_limit == LIMITS.index(Limit.NONE))


def chance_of(
    loads: Sequence[LegLoads],
    *,
    window_s: float,
    dry_s: tuple[float, float, float],
    reserve_fraction: float,
    rng: np.random.Generator,
    samples: int = 4096,
    hindrances: Hindrances = USUAL_HINDRANCES,
) -> Chance:
    """How likely the shift fits, and what ends it where it does not.

    Many shifts are drawn from evenly spread points; in each, the pack, the driver, the floor and what
    stands in the way are a little different, and every leg is run through the pack.

    Parameters
    ----------
    loads
        The legs of each machine, at least one.
    window_s
        From the start until the floor must be dry [s, > 0].
    dry_s
        10 %, 50 % and 90 % points of the time that a wet lane takes to dry [s, > 0].
    reserve_fraction
        Charge that each machine must bring home [0 to below 1].
    rng
        Scrambles the points; the same one gives the same answer.
    samples
        How many shifts, a power of two [64 to 1,048,576].
    hindrances
        How often and for how long something stands in the way.

    Returns
    -------
    Chance
        Finish and dry time are those of packs that last. A share of 1 or 0 carries the error of one drawn shift.

    Raises
    ------
    BadInput
        A figure outside these ranges, or a rate table that cannot be.
    NoAnswer
        A pack would stand below its cut-off from the start.

    Notes
    -----
    **Source** Method ours, docs/explanation/chance-of-finishing.md; checked against six million plainly drawn shifts
    in tests/worked/test_shift_chance_by_plain_draws.py.
    """
    if not loads:
        raise BadInput("No machine is named; name at least one.")
    check_above_zero("window_s", window_s)
    if not 0 <= reserve_fraction < 1:
        raise BadInput(
            "The charge to keep is {given}; enter a share from 0 to below 1, such as 0.2.", given=str(reserve_fraction)
        )
    points = even_points_fraction(len(loads), samples, rng)
    parts = [
        outcomes(
            loads,
            shift_draws(points[first : first + _AT_ONCE], loads, dry_s=dry_s, hindrances=hindrances),
            window_s=window_s,
            reserve_fraction=reserve_fraction,
        )
        for first in range(0, samples, _AT_ONCE)
    ]
    return _chance(_joined(parts))


def outcomes(loads: Sequence[LegLoads], draws: ShiftDraws, *, window_s: float, reserve_fraction: float) -> Outcomes:
    """Run drawn shifts and tell what failed first in each.

    A pack fails when it gives out, and a machine that is back below its reserve fails then; the clock
    fails at the hour when the floor, or an area of set hours, must be dry. The first of these moments counts.

    Parameters
    ----------
    loads, draws
        One of each for every machine.
    window_s, reserve_fraction
        As in `chance_of`.
    """
    runs = [
        machine_runs(each, drawn, drying_s=draws.drying_s) for each, drawn in zip(loads, draws.machines, strict=True)
    ]
    moments_s = np.stack(
        [
            _first_moments_s(run, each, draws.drying_s, window_s, reserve_fraction)
            for run, each in zip(runs, loads, strict=True)
        ]
    ).min(axis=0)
    first_limit = np.argmin(moments_s, axis=0)
    return Outcomes(
        first_limit=np.where(np.isinf(moments_s.min(axis=0)), LIMITS.index(Limit.NONE), first_limit),
        finish_s=np.max([each.finish_s for each in runs], axis=0),
        dry_s=np.max([each.wet_s for each in runs], axis=0) + draws.drying_s,
        end_charge_fraction=np.min([each.end_charge_fraction for each in runs], axis=0),
    )


def _first_moments_s(
    runs: MachineRuns, loads: LegLoads, drying_s: NDArray[np.float64], window_s: float, reserve_fraction: float
) -> NDArray[np.float64]:
    """When each limit fails one machine, never being infinite; one row a limit [s]."""
    dry_by_s = np.array([window_s, *(each.dry_by_s for each in loads.closings)])[:, None]
    dry_s = np.vstack([runs.wet_s, runs.areas_wet_s]) + drying_s
    late_anyway = dry_s - np.vstack([runs.late_by_tank_s, runs.areas_late_by_tank_s]) > dry_by_s
    late = dry_s > dry_by_s
    short = runs.end_charge_fraction < reserve_fraction
    charge_s = np.where(runs.gives_out_on_ramp, np.inf, runs.gives_out_s)
    moments_s = {
        Limit.NONE: np.full_like(drying_s, np.inf),
        Limit.CHARGE: np.minimum(charge_s, np.where(short, runs.finish_s, np.inf)),
        Limit.CLOCK: np.where(late_anyway, dry_by_s, np.inf).min(axis=0),
        Limit.TANK: np.where(late & ~late_anyway, dry_by_s, np.inf).min(axis=0),
        Limit.RAMP: np.where(runs.gives_out_on_ramp, runs.gives_out_s, np.inf),
    }
    return np.stack([moments_s[limit] for limit in LIMITS])


def _joined(parts: Sequence[Outcomes]) -> Outcomes:
    return Outcomes(
        first_limit=np.concatenate([each.first_limit for each in parts]),
        finish_s=np.concatenate([each.finish_s for each in parts]),
        dry_s=np.concatenate([each.dry_s for each in parts]),
        end_charge_fraction=np.concatenate([each.end_charge_fraction for each in parts]),
    )


def _chance(found: Outcomes) -> Chance:
    samples = len(found.first_limit)
    shares = {limit: float(np.mean(found.first_limit == place)) for place, limit in enumerate(LIMITS)}
    chance_fraction = shares.pop(Limit.NONE)
    limits = tuple(sorted(((each, share) for each, share in shares.items() if share > 0), key=lambda each: -each[1]))
    apart = found.fits.reshape(SCRAMBLES, -1).mean(axis=1)
    return Chance(
        chance_fraction=chance_fraction,
        error_fraction=max(float(np.std(apart, ddof=1)) / math.sqrt(SCRAMBLES), 1 / samples),
        samples=samples,
        first_limit=limits[0][0] if limits else Limit.NONE,
        limits=limits,
        finish_s=_band(found.finish_s),
        dry_s=_band(found.dry_s),
        end_charge_fraction=_band(found.end_charge_fraction),
    )


def _band(values: NDArray[np.float64]) -> tuple[float, float, float]:
    low, middle, high = np.quantile(values, _BAND)
    return float(low), float(middle), float(high)
