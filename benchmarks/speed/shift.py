"""Plan a whole shift in stores of 3,000 to 30,000 m2, plan its rest anew, and look for changes where it does not fit.

`python -m benchmarks.speed.shift [AREA ...]`; rows go to `shift.csv` here. Each store is measured in a process of its
own. Beside the time by the clock stands the processor's, of all threads, which other work disturbs less: a target is
judged by it, and the clock's stands in brackets. `--one AREA` measures one and prints its figures.
"""

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TypeVar

import numpy as np
from rich.console import Console
from rich.table import Table
from shapely import LineString, Polygon

from benchmarks.floors import store_of
from benchmarks.rows import ROOT, commit, keep
from benchmarks.shift_scenarios import lead_pack, machine_tonight
from scrubwright.floor.site import Site
from scrubwright.jobs.route_answer import LegKind
from scrubwright.jobs.shift_answer import ShiftAnswer
from scrubwright.jobs.shift_plan import shift_plan
from scrubwright.jobs.shift_planned import shift_planned
from scrubwright.jobs.shift_question import ShiftQuestion
from scrubwright.jobs.shift_rest import rest_of_shift

AREAS_M2 = (3_000, 10_000, 30_000)
MOST_S = {("planned", 10_000): 8.0, ("rest", 10_000): 1.0, ("rest_blocked", 10_000): 1.0}
WORK = ("planned", "rest", "rest_blocked", "with_changes")
SEED = 1
START = datetime(2026, 4, 9, 20, 0)
SHORT_CHARGE_FRACTION = 0.45
BLOCKED_M = 1.5

Result = TypeVar("Result")


def question_of(area_m2: int) -> ShiftQuestion:
    """A night in a store of that size with the reference machine, its pack grown with the floor."""
    plan = store_of(np.random.default_rng(SEED), area_m2=float(area_m2))
    pack = lead_pack(size_ratio=max(1.0, 1.35 * area_m2 / 10_000))
    return ShiftQuestion(
        site=Site(name=plan.name, floors=(plan,)),
        machines=(machine_tonight(pack=pack, charge_fraction=0.97),),
        start_at=START,
        dry_by=START + timedelta(hours=20),
    )


def figures(area_m2: int) -> dict[str, float]:
    """Times of one store, measured in this process."""
    question, found = question_of(area_m2), {"area_m2": float(area_m2)}
    planned = _timed(found, "planned", lambda: shift_planned(question, rng=np.random.default_rng(SEED)))
    answer = planned.answer
    numbers = [lane.number for lane in answer.route.lanes]
    done = numbers[: len(numbers) // 2]

    def rest(blocked: Polygon | None) -> object:
        now, rng = START + timedelta(hours=2), np.random.default_rng(SEED)
        return rest_of_shift(answer, done, now=now, charge_fraction=0.6, rng=rng, blocked=blocked)

    _timed(found, "rest", lambda: rest(None))
    _timed(found, "rest_blocked", lambda: rest(_aisle(answer)))
    short = replace(question, machines=(replace(question.machines[0], charge_fraction=SHORT_CHARGE_FRACTION),))
    with_changes = _timed(found, "with_changes", lambda: shift_plan(short, rng=np.random.default_rng(SEED)))
    return {"lanes": len(numbers), "changes": len(with_changes.changes), **found}


def _timed(found: dict[str, float], name: str, run: Callable[[], Result]) -> Result:
    """Run and note the time by the clock and the processor's [s]."""
    wall_s, cpu_s = time.perf_counter(), time.process_time()
    result = run()
    found[f"{name}_cpu_s"] = time.process_time() - cpu_s
    found[f"{name}_wall_s"] = time.perf_counter() - wall_s
    return result


def _aisle(answer: ShiftAnswer) -> Polygon:
    """Floor about the middle of the last long lane, as a pallet would block it."""
    lanes = [leg for leg in answer.route.routes[0].legs if leg.kind is LegKind.SCRUB]
    longest = max(lanes[len(lanes) // 2 :], key=lambda leg: leg.duration_s)
    blocked: Polygon = LineString(longest.points_m).interpolate(0.5, normalized=True).buffer(BLOCKED_M)
    return blocked


def in_own_process(area_m2: int) -> dict[str, float]:
    """The same, measured in a fresh process."""
    words = [sys.executable, "-m", "benchmarks.speed.shift", "--one", str(area_m2)]
    told: dict[str, float] = json.loads(subprocess.run(words, cwd=ROOT, check=True, capture_output=True).stdout)
    return told


def main(areas_m2: list[int]) -> None:
    """Measure, print and keep."""
    table = Table(title="A shift, reference machine: processor's seconds (seconds by the clock)")
    for name in ("floor m2", "lanes", *WORK, "changes", "load"):
        table.add_column(name, justify="right")
    rows: list[dict[str, object]] = []
    now = commit()
    for area_m2 in areas_m2 or list(AREAS_M2):
        row = in_own_process(area_m2)
        load = os.getloadavg()[0]
        said = [_against(row, name, MOST_S.get((name, area_m2))) for name in WORK]
        table.add_row(f"{area_m2:,}", f"{row['lanes']}", *said, f"{row['changes']}", f"{load:.1f}")
        rows.append({"commit": now, **row, "area_m2": area_m2, "load_on_machine": load})
    console = Console(width=150)
    console.print(table)
    if len(rows) > 2:
        area_logs = np.log([float(str(row["area_m2"])) for row in rows])
        for name in WORK:
            power = np.polyfit(area_logs, np.log([float(str(row[f"{name}_cpu_s"])) for row in rows]), 1)[0]
            console.print(f"{name}: grows with the area to the power of {power:.2f}")
    keep(Path(__file__).with_name("shift.csv"), rows, key=("commit", "area_m2"))


def _against(row: dict[str, float], name: str, limit_s: float | None) -> str:
    cpu_s = row[f"{name}_cpu_s"]
    said = f"{cpu_s:.2f} ({row[f'{name}_wall_s']:.2f})"
    return said if limit_s is None else f"{said} <= {limit_s:g} {'met' if cpu_s <= limit_s else 'NOT met'}"


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(figures(int(sys.argv[2]))))
    else:
        main([int(word) for word in sys.argv[1:]])
