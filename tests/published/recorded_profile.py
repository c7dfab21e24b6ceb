"""A random day of one cell: work, rests and charging, with the wells that an open program says it has then."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from scrubwright.battery.pack import RatedCapacity
from scrubwright.battery.wells import Wells, fitted_wells, rested, stepped
from tests.published.recorded_discharges import recorded_rows

PROFILE_FILE = Path(__file__).parent / "recorded_pysam_profile.csv"
# Rated over 20, 10 and 1 h, as in the program's own test.
RATED_AH = (100.0, 93.0, 60.0)
STEPS = 100
# Nearer to its ends the program cuts the current that is asked for.
LEAST_FRACTION, MOST_FRACTION = 0.03, 0.97
# How far our wells may lie from the program's, of what is in them.
WELLS_FRACTION = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A steady current for some minutes, and both wells and the first one after it."""

    minutes: int
    current_a: float
    total_ah: float
    available_ah: float


def recorded_profile() -> tuple[Step, ...]:
    return tuple(
        Step(
            minutes=int(row["minutes"]),
            current_a=float(row["current_a"]),
            total_ah=float(row["total_ah"]),
            available_ah=float(row["available_ah"]),
        )
        for row in recorded_rows(PROFILE_FILE)
    )


def rated_wells(rated_ah: tuple[float, float, float] = RATED_AH) -> Wells:
    return fitted_wells(
        [RatedCapacity(capacity_ah=ah, over_h=h) for ah, h in zip(rated_ah, (20.0, 10.0, 1.0), strict=True)]
    )


def random_profile(rng: np.random.Generator) -> list[tuple[int, float]]:
    """Minutes and amperes, half of them work, a quarter rests and a quarter charging, that keep off both ends."""
    wells = rated_wells()
    charge = rested(wells, 1.0)
    profile: list[tuple[int, float]] = []
    full_ah = wells.available_fraction * wells.most_ah
    while len(profile) < STEPS:
        minutes = int(rng.integers(1, 31))
        current_a = round(float(rng.choice([rng.uniform(8, 70), rng.uniform(8, 70), 0.0, -rng.uniform(4, 25)])), 3)
        after = stepped(wells, charge, current_a, minutes / 60)
        if LEAST_FRACTION * full_ah < after.available_ah < MOST_FRACTION * full_ah:
            profile.append((minutes, current_a))
            charge = after
    return profile
