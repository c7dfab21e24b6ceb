"""Simulated fleets of known truth: how often the 80 % bands of lives and wear lines hold, how far their middle is off.

`python -m benchmarks.quality.lives`; rows go to `lives.csv` here.

- B10: age at which a tenth of the parts is gone, by the usual prior alone or pooled over the fleet; fleets of 30 groups
  of 1 to 6 parts, shapes about 2.2 and scales about 350 h where the prior says 2.0 and 400 h; some parts changed while
  good, some still running. Off: root of the mean square of ln(told/true).
- likeliest curve: share of groups for which it is absent or absurd (shape above 15), the reason for the prior.
- wear line: two to ten measurements of a brush, tape good to 0.7 mm, wear of the hours ahead 12 % uneven.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from benchmarks.rows import commit, keep
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.provenance import Origin
from scrubwright.wear.life import Ending, PartLife, WeibullLife, gone_by_h
from scrubwright.wear.life_belief import LifePrior, belief
from scrubwright.wear.life_pooling import PartGroup, pooled_prior
from scrubwright.wear.likelihood import likeliest_life
from scrubwright.wear.wear_line import Measured, wear_line

FLEETS = 25
GROUPS = 30
LINES = 3000
SEED = 7
MOST_SANE_SHAPE = 15.0
PRIOR = LifePrior(life_h=400.0, origin=Origin.COMMON_PRACTICE)
# A catalogue whose usual life is off by more than a third, as a shop may find.
POOR_PRIOR = LifePrior(life_h=650.0, origin=Origin.COMMON_PRACTICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """How often a band held, how wide it was, and how far its middle lay off, over so many cases."""

    cases: int
    coverage_fraction: float
    off_ratio: float
    width_ratio: float


def simulated_fleet(rng: np.random.Generator, groups: int) -> list[tuple[WeibullLife, PartGroup]]:
    """Groups with their true curves; a part is followed for some hours, and one in five is changed while good."""
    fleet = []
    for number in range(groups):
        truth = WeibullLife(
            shape_ratio=float(2.2 * math.exp(rng.normal(0, 0.25))),
            scale_h=float(350 * math.exp(rng.normal(0, 0.35))),
        )
        lives = tuple(_simulated_life(rng, truth) for _ in range(int(rng.integers(1, 7))))
        fleet.append((truth, PartGroup(name=f"site {number}", lives=lives)))
    return fleet


def _simulated_life(rng: np.random.Generator, truth: WeibullLife) -> PartLife:
    ends_h = float(truth.scale_h * rng.weibull(truth.shape_ratio)) + 0.1
    followed_h = float(rng.uniform(0.4, 2.0) * truth.scale_h)
    changed_h = float(rng.uniform(0.3, 1.0) * truth.scale_h) if rng.random() < 0.2 else math.inf
    if ends_h <= min(followed_h, changed_h):
        return PartLife(run_h=ends_h, ending=Ending.FAILED)
    if changed_h < followed_h:
        return PartLife(run_h=changed_h, ending=Ending.CHANGED_WHILE_GOOD)
    return PartLife(run_h=followed_h, ending=Ending.STILL_RUNNING)


def tenths(
    seed: int, prior_for: Callable[[list[PartGroup]], LifePrior], *, fleets: int = FLEETS, groups: int = GROUPS
) -> Told:
    """B10 of every group of simulated fleets, told and true."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(fleets):
        fleet = simulated_fleet(rng, groups)
        prior = prior_for([group for _, group in fleet])
        for truth, group in fleet:
            known, true_h = belief(group.lives, prior), gone_by_h(truth, 0.1)
            low_h, told_h, high_h = (known.gone_by_at_h(0.1, chance) for chance in (0.1, 0.5, 0.9))
            rows.append((low_h <= true_h <= high_h, math.log(told_h / true_h), math.log(high_h / low_h)))
    return _told(rows)


def absurd_fraction(seed: int, *, fleets: int = FLEETS) -> float:
    """Share of groups whose likeliest curve is absent or absurd."""
    rng = np.random.default_rng(seed)
    groups = [group for _ in range(fleets) for _, group in simulated_fleet(rng, GROUPS)]
    return sum(_is_absurd(group) for group in groups) / len(groups)


def _is_absurd(group: PartGroup) -> bool:
    try:
        return likeliest_life(group.lives).shape_ratio > MOST_SANE_SHAPE
    except NoAnswer:
        return True


def wear_lines(seed: int, points: int, *, lines: int = LINES) -> Told:
    """Hours left of simulated brushes, told and true."""
    rng = np.random.default_rng(seed)
    rows: list[tuple[bool, float, float]] = []
    while len(rows) < lines:
        wear_m_per_h = 6e-5 * math.exp(rng.normal(0, 0.3))
        at_h = np.sort(np.append(0.0, rng.uniform(30, 350, points - 1)))
        left_m = 0.060 - wear_m_per_h * at_h
        if np.diff(at_h).min() < 5 or left_m[-1] < 0.027:
            continue
        true_h = (left_m[-1] - 0.025) / (wear_m_per_h * max(0.1, 1 + rng.normal(0, 0.12)))
        read_m = left_m + rng.normal(0, 0.0007, points)
        measured = [Measured(at_h=float(at), left_m=float(left)) for at, left in zip(at_h, read_m, strict=True)]
        try:
            line = wear_line(measured, limit_m=0.025)
        except NoAnswer:
            continue
        low_h, high_h = line.band_h
        rows.append((low_h <= true_h <= high_h, math.log(max(line.left_h, 1.0) / true_h), (high_h - low_h) / true_h))
    return _told(rows)


def _told(rows: list[tuple[bool, float, float]]) -> Told:
    held, off, width = (np.array(column) for column in zip(*rows, strict=True))
    return Told(
        cases=len(rows),
        coverage_fraction=float(np.mean(held)),
        off_ratio=float(np.sqrt(np.mean(off**2))),
        width_ratio=float(np.median(width)),
    )


def main() -> None:
    """Measure, print and keep."""
    results = {
        "B10, usual prior": tenths(SEED, lambda _: PRIOR),
        "B10, pooled over the fleet": tenths(SEED, lambda groups: pooled_prior(groups, PRIOR)),
        "B10, usual life 650 h": tenths(SEED, lambda _: POOR_PRIOR),
        "B10, usual life 650 h, pooled": tenths(SEED, lambda groups: pooled_prior(groups, POOR_PRIOR)),
        **{f"wear line, {points} points": wear_lines(SEED, points) for points in (2, 3, 4, 6, 10)},
    }
    table = Table(title="80 % bands on simulated parts")
    for name in ("what", "cases", "held", "off", "width"):
        table.add_column(name, justify="left" if name == "what" else "right")
    for name, told in results.items():
        figures = (f"{told.coverage_fraction:.1%}", f"{told.off_ratio:.3f}", f"{told.width_ratio:.2f}")
        table.add_row(name, str(told.cases), *figures)
    console = Console(width=120)
    console.print(table)
    console.print(f"Likeliest curve absent or absurd in {absurd_fraction(SEED):.0%} of the groups.")
    now = commit()
    rows = [
        {
            "commit": now,
            "what": name,
            "cases": told.cases,
            "coverage_fraction": told.coverage_fraction,
            "off_ratio": told.off_ratio,
            "width_ratio": told.width_ratio,
        }
        for name, told in results.items()
    ]
    keep(Path(__file__).with_name("lives.csv"), rows, key=("commit", "what"))


if __name__ == "__main__":
    main()
