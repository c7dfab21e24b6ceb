"""The chance of finishing beside six million plainly drawn shifts, on three planned shifts.

`python -m benchmarks.quality.shift_chance [SAMPLES]`; rows go to `shift_chance.csv` here. The plain shifts are drawn
and run by a simulation of its own (benchmarks/plain_shifts.py). The error of the usual 4,096 shifts is that of many
generators, and beside it stands the one that the answer itself tells.
"""

import sys
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from benchmarks.plain_shifts import plain_chance
from benchmarks.rows import commit, keep
from benchmarks.shift_scenarios import SCENARIOS, Scenario
from scrubwright.jobs.shift_answer import Chance
from scrubwright.jobs.shift_chance import chance_of

PLAIN_SAMPLES, PLAIN_SEED = 6_000_000, 2026
GENERATORS = 40
MOST_FRACTION = 0.01
FIGURES = ("plain_fraction", "plain_error_fraction", "chance_fraction", "error_fraction")


def chance_in(scenario: Scenario, seed: int) -> Chance:
    """The usual answer for a scenario."""
    return chance_of(
        scenario.loads,
        window_s=scenario.window_s,
        dry_s=scenario.dry_s,
        reserve_fraction=scenario.reserve_fraction,
        rng=np.random.default_rng(seed),
    )


def row_of(scenario: Scenario, samples: int) -> dict[str, object]:
    """Both chances, and how far the usual answer strays from the plain one over many generators."""
    plain = plain_chance(scenario, samples, PLAIN_SEED)
    found = [chance_in(scenario, seed) for seed in range(GENERATORS)]
    off = np.array([each.chance_fraction for each in found]) - plain.fits_fraction
    told = np.array([each.error_fraction for each in found])
    return {
        "scenario": scenario.name,
        "legs": sum(len(loads.kind) for loads in scenario.loads),
        "seed": PLAIN_SEED,
        "plain_samples": samples,
        "plain_fraction": plain.fits_fraction,
        "plain_error_fraction": plain.error_fraction,
        "plain_charge_fraction": plain.charge_fraction,
        "plain_clock_fraction": plain.clock_fraction,
        "plain_tank_fraction": plain.tank_fraction,
        "plain_ramp_fraction": plain.ramp_fraction,
        "chance_fraction": found[0].chance_fraction,
        "error_fraction": found[0].error_fraction,
        "rms_off_fraction": float(np.sqrt(np.mean(off**2))),
        "rms_told_fraction": float(np.sqrt(np.mean(told**2))),
        "most_off_fraction": float(np.abs(off).max()),
        "command": "python -m benchmarks.quality.shift_chance",
    }


def main(samples: int) -> None:
    """Measure, print and keep."""
    columns = (*FIGURES, "rms_off_fraction", "rms_told_fraction", "most_off_fraction")
    table = Table(title=f"Chance of finishing beside {samples:,} plain shifts; within {MOST_FRACTION} is asked for")
    for name in ("scenario", *columns):
        table.add_column(name.removesuffix("_fraction"), justify="left" if name == "scenario" else "right")
    now = commit()
    rows = []
    for make in SCENARIOS:
        row = row_of(make(), samples)
        rows.append({"commit": now, **row})
        table.add_row(str(row["scenario"]), *(f"{row[name]:.4f}" for name in columns))
    Console(width=140).print(table)
    keep(Path(__file__).with_name("shift_chance.csv"), rows, key=("commit", "scenario", "plain_samples"))


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else PLAIN_SAMPLES)
