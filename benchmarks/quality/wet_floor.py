"""Wet floor crossed on a night, before and after its order is bent for it, and what that costs.

`python -m benchmarks.quality.wet_floor [PLAN ...]`; rows go to `wet_floor.csv` here. Floor stays wet for five minutes.
"""

import sys
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from benchmarks.quality.__main__ import PLANS, SEED
from benchmarks.reference_machine import reference_floor, reference_service, reference_vehicle
from benchmarks.rows import commit, keep
from scrubwright.floor.night import night
from scrubwright.floor.stages import Stages
from scrubwright.floor.way import way_of
from scrubwright.floor.wet import wet_crossed_m

DRY_S = 300.0


def night_of(name: str, stages: Stages) -> tuple[float, float]:
    """Length of the night [s] and wet floor crossed on it [m]."""
    plan, vehicle = PLANS[name](np.random.default_rng(SEED)), reference_vehicle()
    service = reference_service(plan)
    found = night(plan, reference_floor(plan), vehicle, service, stages=stages, rng=np.random.default_rng(SEED))
    legs = way_of(found.tours[0], found.net, vehicle, service)
    return found.work_s + found.tours[0].cost_s, wet_crossed_m(legs, vehicle.deck_width_m, DRY_S)


def main(names: list[str]) -> None:
    """Measure, print and keep."""
    table = Table(title="Wet floor crossed")
    for title in ("plan", "before", "after", "night before", "night after"):
        table.add_column(title, justify="right")
    rows = []
    for name in names or list(PLANS):
        before_s, before_m = night_of(name, Stages())
        after_s, after_m = night_of(name, Stages(dry_s=DRY_S))
        table.add_row(name, f"{before_m:.1f} m", f"{after_m:.1f} m", f"{before_s:,.0f} s", f"{after_s:,.0f} s")
        rows.append(
            {
                "commit": commit(),
                "plan": name,
                "wet_before_m": before_m,
                "wet_after_m": after_m,
                "before_s": before_s,
                "after_s": after_s,
            }
        )
    Console(width=100).print(table)
    keep(Path(__file__).with_name("wet_floor.csv"), rows, key=("commit", "plan"))


if __name__ == "__main__":
    main(sys.argv[1:])
