"""How many beliefs, changes and likeliest curves of parts a second, against a belief by plain sums; a plan of visits.

`python -m benchmarks.speed.lives`; rows go to `lives.csv` here.
"""

import math
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from rich.console import Console

from benchmarks.quality.lives import PRIOR, simulated_fleet
from benchmarks.rows import commit, keep
from scrubwright.wear.grouping import VisitJob, VisitSite, moving_penalty_money, visit_plan
from scrubwright.wear.life import PartLife, WeibullLife
from scrubwright.wear.life_belief import belief, log_prior_ratio, prior_grid
from scrubwright.wear.likelihood import likeliest_life
from scrubwright.wear.replacement import ChangeCosts, curve_of_belief, replacement_age

SEED = 1
GROUPS = 60
LEAST_BELIEFS_PER_S = 500


def plain_belief(lives: tuple[PartLife, ...]) -> float:
    """The same weights curve by curve and part by part, summed up."""
    grid = prior_grid(PRIOR, lives)
    shapes, scales_h = grid.shapes_ratio, grid.scales_h
    total = 0.0
    before = log_prior_ratio(PRIOR, shapes, scales_h)
    for row, shape in enumerate(shapes):
        for column, scale_h in enumerate(scales_h):
            told = before[row, column]
            for life in lives:
                told -= (life.run_h / scale_h) ** shape
                if life.ending.is_end_of_life:
                    told += math.log(shape / life.run_h) + shape * math.log(life.run_h / scale_h)
            total += math.exp(max(told, -700.0))
    return total


def per_s(of: Callable[[tuple[PartLife, ...]], object], groups: list[tuple[PartLife, ...]]) -> float:
    """How many groups a second of processor time."""
    begun_s = time.process_time()
    for lives in groups:
        of(lives)
    return len(groups) / (time.process_time() - begun_s)


def change(lives: tuple[PartLife, ...]) -> object:
    """The age at which to change a part, over all curves."""
    return replacement_age(curve_of_belief(belief(lives, PRIOR)), ChangeCosts(planned_money=1.0, failed_money=5.0))


def visits_s(rng: np.random.Generator) -> float:
    """Seconds of processor time for a plan of 240 jobs at 15 sites over 60 days, two technicians."""
    days, sites = 60, [VisitSite(name=f"site {number}", trip_money=30.0, travel_h=1.0) for number in range(15)]
    jobs = []
    for number in range(240):
        best_day = int(rng.integers(0, days))
        penalty_money = moving_penalty_money(
            WeibullLife(shape_ratio=2.5, scale_h=float(rng.uniform(200, 800))),
            ChangeCosts(planned_money=40.0, failed_money=200.0),
            best_day=best_day,
            days=days,
            use_h_per_day=5.0,
        )
        jobs.append(
            VisitJob(
                name=f"job {number}",
                site=sites[int(rng.integers(len(sites)))].name,
                work_h=float(rng.uniform(0.3, 1.5)),
                penalty_money=penalty_money,
                earliest_day=max(0, best_day - 14),
                latest_day=min(days - 1, best_day + 10),
            )
        )
    begun_s = time.process_time()
    visit_plan(jobs, sites, day_h=np.full(days, 14.0))
    return time.process_time() - begun_s


def main() -> None:
    """Measure, print and keep."""
    fleet = simulated_fleet(np.random.default_rng(SEED), 10 * GROUPS)
    groups = [group.lives for _, group in fleet]
    # One group alone often leaves the likeliest curve open; five together do not.
    five = [sum(groups[first : first + 5], ()) for first in range(0, len(groups), 5)]
    beliefs_per_s = per_s(lambda lives: belief(lives, PRIOR), groups)
    row = {
        "commit": commit(),
        "beliefs_per_s": beliefs_per_s,
        "changes_per_s": per_s(change, groups[:GROUPS]),
        "likeliest_curves_per_s": per_s(likeliest_life, five[:GROUPS]),
        "visits_s": visits_s(np.random.default_rng(SEED)),
        "beliefs_over_plain_ratio": beliefs_per_s / per_s(plain_belief, groups[:5]),
    }
    console = Console(width=120)
    console.print(", ".join(f"{name} {value:,.4g}" for name, value in row.items() if isinstance(value, float)))
    met = "met" if beliefs_per_s >= LEAST_BELIEFS_PER_S else "NOT met"
    console.print(f"At least {LEAST_BELIEFS_PER_S} beliefs a second: {met}.")
    keep(Path(__file__).with_name("lives.csv"), [row], key=("commit",))


if __name__ == "__main__":
    main()
