"""What is due of 10,000 machines with 25 items each, four meters a machine, cleaning of all readings included.

`python -m benchmarks.speed.due`; rows go to `due.csv` here. One process; processor time. The plain way, one machine
after the other, is timed on some of them.
"""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from rich.console import Console

from benchmarks.meter_fleet import KNOWN_DAYS, simulated_fleet
from benchmarks.rows import commit, keep
from scrubwright.wear.cleaning import cleaned
from scrubwright.wear.due_date import DueDays, due_days
from scrubwright.wear.hours_left import HoursLeft
from scrubwright.wear.meters import MeterBatch
from scrubwright.wear.usage import usage_now

MACHINES, METERS, ITEMS = 10_000, 4, 25
PLAIN_MACHINES = 200
READINGS = 100
VALUES = 15
SPREAD_FRACTION = 0.2
MOST_S = 20.0
SEED = 1
KINDS = 500


def fleet_batch(meters: int) -> MeterBatch:
    """So many meters with about a hundred readings each, 500 simulated ones over and over."""
    one = simulated_fleet(np.random.default_rng(SEED), KINDS).batch
    kind = np.argsort(-one.lengths)[: KINDS // 3]
    rows = kind[np.arange(meters) % len(kind)]
    longest = min(READINGS, one.at_days.shape[1])
    return MeterBatch(
        at_days=one.at_days[rows, :longest],
        value_h=one.value_h[rows, :longest],
        rulings=one.rulings[rows, :longest],
        lengths=np.minimum(one.lengths[rows], longest),
        rolls_at_h=one.rolls_at_h[rows],
        step_h=one.step_h[rows],
    )


def items_of(rng: np.random.Generator, machines: int) -> tuple[NDArray[np.int64], HoursLeft, NDArray[np.float64]]:
    """Meter, hours left and date of the calendar of every item; one in five with measured wear."""
    count = machines * ITEMS
    row = np.repeat(np.arange(machines) * METERS, ITEMS) + rng.integers(0, METERS, count)
    left_h = np.exp(rng.uniform(np.log(2), np.log(800), (count, 1))) * np.exp(rng.normal(0, 0.3, (count, VALUES)))
    share = np.full((count, VALUES), 1.0 / VALUES)
    sure = rng.random(count) > SPREAD_FRACTION
    share[sure] = np.eye(VALUES)[0]
    calendar = np.where(rng.random(count) < 0.5, KNOWN_DAYS + rng.uniform(-30, 700, count), np.inf)
    return row, HoursLeft(left_h=left_h, share_fraction=share), calendar


def due_of(batch: MeterBatch, row: NDArray[np.int64], left: HoursLeft, calendar: NDArray[np.float64]) -> DueDays:
    """The whole way from readings to due dates."""
    clean = cleaned(batch, now_days=float(KNOWN_DAYS))
    last = batch.at_days[np.arange(len(clean.last)), np.maximum(clean.last, 0)]
    return due_days(
        usage_now(batch, clean).of(row),
        left,
        read_days=last[row],
        today_days=float(KNOWN_DAYS),
        calendar_due_days=calendar,
    )


def one_machine(batch: MeterBatch, machine: int) -> MeterBatch:
    """The meters of one machine alone."""
    rows = slice(machine * METERS, (machine + 1) * METERS)
    return replace(
        batch,
        at_days=batch.at_days[rows],
        value_h=batch.value_h[rows],
        rulings=batch.rulings[rows],
        lengths=batch.lengths[rows],
        rolls_at_h=batch.rolls_at_h[rows],
        step_h=batch.step_h[rows],
    )


def main() -> None:
    """Measure, print and keep."""
    batch = fleet_batch(MACHINES * METERS)
    row, left, calendar = items_of(np.random.default_rng(SEED), MACHINES)
    begun_s = time.process_time()
    together = due_of(batch, row, left, calendar)
    ours_s = time.process_time() - begun_s
    begun_s = time.process_time()
    for machine in range(PLAIN_MACHINES):
        items = slice(machine * ITEMS, (machine + 1) * ITEMS)
        mine = HoursLeft(left_h=left.left_h[items], share_fraction=left.share_fraction[items])
        alone = due_of(one_machine(batch, machine), row[items] - machine * METERS, mine, calendar[items])
        if not np.allclose(alone.likely_days, together.likely_days[items], atol=0.02):
            raise SystemExit(f"Machine {machine} is due on other days alone than together.")
    plain_s = (time.process_time() - begun_s) * MACHINES / PLAIN_MACHINES
    figures: dict[str, object] = {
        "commit": commit(),
        "machines": MACHINES,
        "items": MACHINES * ITEMS,
        "readings": int(batch.lengths.sum()),
        "seconds": ours_s,
        "ratio_to_machine_by_machine": plain_s / ours_s,
        "target": f"<= {MOST_S:g} s {'met' if ours_s <= MOST_S else 'NOT met'}",
    }
    Console().print(figures)
    keep(Path(__file__).with_name("due.csv"), [figures], key=("commit",))


if __name__ == "__main__":
    main()
