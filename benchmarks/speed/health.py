"""How many discharges a second the health filter takes in, one pack at a time and for many packs at once.

`python -m benchmarks.speed.health`; rows go to `health.csv` here.
"""

import time
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from rich.console import Console

from benchmarks.rows import commit, keep
from scrubwright.battery.health import health
from scrubwright.battery.health_filter import standing_after, standing_at_first, standing_later
from scrubwright.battery.health_log import Discharge, DischargeLog
from scrubwright.battery.health_prior import HealthPrior

SEED = 1
LEAST_PER_S = 1000
DISCHARGES = 2000
PACKS = 1000
BEGIN = datetime(2026, 1, 1)


def invented_log(rng: np.random.Generator, count: int) -> DischargeLog:
    """Discharges of one pack, one a shift, every twentieth down to its end."""
    shares = rng.uniform(0.35, 0.75, count)
    discharges = tuple(
        Discharge(
            at=BEGIN + timedelta(days=number),
            done_shifts=float(number),
            worked_h=4.0 * float(share) * float(np.exp(rng.normal(0, 0.05))),
            used_fraction=float(share),
            used_sd_fraction=0.03,
            electrolyte_k=298.15,
            ran_down=number % 20 == 0,
        )
        for number, share in enumerate(shares)
    )
    return DischargeLog(discharges=discharges, left_out=(), shift_h=2.2, shifts_per_h=1 / 24)


def one_by_one_per_s() -> float:
    """Discharges of one pack taken in for each second, with a step of the trend for each."""
    log = invented_log(np.random.default_rng(SEED), DISCHARGES)
    begun_s = time.perf_counter()
    health(log)
    return DISCHARGES / (time.perf_counter() - begun_s)


def many_at_once_per_s() -> float:
    """Discharges of a thousand packs taken in for each second, one of each pack at a time, without a trend."""
    rng = np.random.default_rng(SEED)
    standing = standing_at_first(HealthPrior(), scale_follows=False)
    shifts = 200
    worked_h, used = rng.uniform(1.5, 3.0, (shifts, PACKS)), rng.uniform(0.35, 0.75, (shifts, PACKS))
    begun_s = time.perf_counter()
    for shift in range(shifts):
        standing = standing_after(
            standing_later(standing, 1.0),
            worked_h=worked_h[shift],
            used_fraction=used[shift],
            used_sd_fraction=0.03,
            ran_down=np.full(PACKS, shift % 20 == 0),
        )
    return shifts * PACKS / (time.perf_counter() - begun_s)


def main() -> None:
    """Measure, print and keep."""
    one, many = one_by_one_per_s(), many_at_once_per_s()
    met = "met" if one >= LEAST_PER_S else "NOT met"
    Console().print(f"One pack: {one:,.0f} discharges a second, {LEAST_PER_S:,} wanted: {met}.")
    Console().print(f"{PACKS:,} packs at once: {many:,.0f} discharges a second.")
    row = {"commit": commit(), "one_by_one_per_s": one, "many_at_once_per_s": many}
    keep(Path(__file__).with_name("health.csv"), [row], key=("commit",))


if __name__ == "__main__":
    main()
