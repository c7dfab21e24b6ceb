"""Plan stores of 1,000 to 100,000 m2, each in a process of its own, and print time and memory beside the targets.

`python -m benchmarks.speed [AREA ...]`; rows go to `growth.csv` here. `--one AREA` plans one and prints its figures.
"""

import json
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from benchmarks.floors import store_of
from benchmarks.reference_machine import reference_plate
from benchmarks.rows import ROOT, commit, keep
from scrubwright.floor.site import Site
from scrubwright.jobs.route_plan import route_plan

AREAS_M2 = (1_000, 3_000, 10_000, 30_000, 60_000, 100_000)
MOST_S = {10_000: 5.0, 30_000: 15.0, 100_000: 90.0}
MOST_BYTES = {100_000: 1.5e9}
SEED = 1
MEGABYTE = 1e6


def planned(area_m2: int) -> dict[str, float]:
    """Figures of one plan, measured in this process; its peak memory counts from the start of Python."""
    plan = store_of(np.random.default_rng(SEED), area_m2=float(area_m2))
    begun_s = time.perf_counter()
    answer = route_plan(Site(name=plan.name, floors=(plan,)), reference_plate(), rng=np.random.default_rng(SEED))
    return {
        "area_m2": area_m2,
        "lanes": len(answer.lanes),
        "planning_s": time.perf_counter() - begun_s,
        "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024 / MEGABYTE,
        "coverage_fraction": answer.coverage_fraction,
        "length_bound_ratio": answer.length_bound_ratio,
        "bound_gap_fraction": answer.bound_gap_fraction,
        "trips": answer.dump_trips,
        "least_trips": answer.dump_trips_bound,
    }


def in_own_process(area_m2: int) -> dict[str, float]:
    """The same, measured in a fresh process."""
    words = [sys.executable, "-m", "benchmarks.speed", "--one", str(area_m2)]
    told = subprocess.run(words, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    figures: dict[str, float] = json.loads(told)
    return figures


def growth_exponent(rows: list[dict[str, float]]) -> float:
    """The power of the area that planning time grows with: slope of the line through the logarithms."""
    area_m2 = np.array([row["area_m2"] for row in rows])
    planning_s = np.array([row["planning_s"] for row in rows])
    return float(np.polyfit(np.log(area_m2), np.log(planning_s), 1)[0])


def main(areas_m2: list[int]) -> None:
    """Measure, print and keep."""
    table = Table(title="Planning a store, reference machine")
    for name in ("floor m2", "lanes", "seconds", "peak MB", "coverage", "length ratio", "gap", "trips"):
        table.add_column(name, justify="right")
    rows = []
    for area_m2 in areas_m2 or list(AREAS_M2):
        row = in_own_process(area_m2)
        rows.append(row)
        table.add_row(
            f"{area_m2:,}",
            f"{row['lanes']}",
            _against(f"{row['planning_s']:.1f}", row["planning_s"], MOST_S.get(area_m2)),
            _against(f"{row['peak_mb']:.0f}", row["peak_mb"], MOST_BYTES.get(area_m2, 0) / MEGABYTE or None),
            f"{row['coverage_fraction']:.4f}",
            f"{row['length_bound_ratio']:.3f}",
            f"{row['bound_gap_fraction']:.4f}",
            f"{row['trips']} of {row['least_trips']}",
        )
    console = Console(width=140)
    console.print(table)
    if len(rows) > 2:
        console.print(f"Planning time grows with the area to the power of {growth_exponent(rows):.2f}.")
    now = commit()
    keep(
        Path(__file__).with_name("growth.csv"),
        [{"commit": now, **row} for row in rows],
        key=("commit", "area_m2"),
    )


def _against(said: str, value: float, limit: float | None) -> str:
    """A value with its target and whether it is met."""
    return said if limit is None else f"{said} <= {limit:g} {'met' if value <= limit else 'NOT met'}"


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(planned(int(sys.argv[2]))))
    else:
        main([int(word) for word in sys.argv[1:]])
