"""How far the told hours of a full pack can be trusted after few logged shifts, on packs taken up in mid-life.

`python -m benchmarks.quality.short_logs`; rows go to `short_logs.csv` here. The packs are those of `health`, run down
once a month; each log begins at four places of a pack's life, with the prior of a pack of unknown age.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
from rich.console import Console

from benchmarks.pack_fleet import shift_at, simulated_pack
from benchmarks.quality.health import FLEETS, PACKS, log_of
from benchmarks.rows import commit, keep
from scrubwright.battery.ageing import prior_drift_per_shift, prior_drift_sd_per_shift
from scrubwright.battery.health import health
from scrubwright.battery.health_prior import prior_by_age

FLEET = "gravity once a week, run down once a month"
LOGGED = (1, 2, 3, 5, 8, 10, 15, 20, 30)
BEGINNINGS, SEED = 4, 3
USED_FRACTION, AGE_FRACTION = 0.55, 0.25


def short_logs() -> list[dict[str, object]]:
    """A row for each length of the log."""
    rng = np.random.default_rng(SEED)
    drift = prior_drift_per_shift(USED_FRACTION)
    prior = prior_by_age(AGE_FRACTION, drift, prior_drift_sd_per_shift(drift), scale_h=None)
    told: dict[int, list[tuple[float, bool]]] = {logged: [] for logged in LOGGED}
    for _ in range(PACKS):
        pack = simulated_pack(rng, FLEETS[FLEET])
        log = log_of(pack, FLEETS[FLEET])
        for first in rng.integers(0, max(1, len(log.discharges) - LOGGED[-1] - 5), BEGINNINGS):
            for logged in LOGGED:
                known = log.discharges[first : first + logged]
                shift = shift_at(known[-1].at)
                if len(known) == logged and shift < pack.last_shift:
                    now = health(replace(log, discharges=known), prior, at=known[-1].at).now
                    true_h = float(pack.full_pack_h[shift])
                    told[logged].append((now.full_pack_h / true_h, now.low_h <= true_h <= now.high_h))
    return [
        {
            "commit": commit(),
            "logged_shifts": logged,
            "logs": len(pairs),
            "bias": float(np.mean([ratio for ratio, _ in pairs])) - 1,
            "coverage": float(np.mean([is_inside for _, is_inside in pairs])),
        }
        for logged, pairs in told.items()
    ]


def main() -> None:
    """Measure and keep the rows."""
    rows = short_logs()
    for row in rows:
        Console().print(row)
    keep(Path(__file__).parent / "short_logs.csv", rows, key=("commit", "logged_shifts"))


if __name__ == "__main__":
    main()
