"""The whole due list of many machines: 25 lines and four meters each, from readings to days, bands and reasons.

`python -m benchmarks.speed.due_lists`; rows go to `due_lists.csv` here. One process; processor time, brought to 10,000
machines. One machine after the other is timed on some of them.
"""

import time
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from rich.console import Console

from benchmarks.rows import commit, keep
from scrubwright.catalogue.terms import Term
from scrubwright.jobs.due_question import Change, DueQuestion, Machine, MachineMeter
from scrubwright.jobs.what_is_due import due_for_many, what_is_due
from scrubwright.paperwork.catalogues import shipped_catalogue
from scrubwright.wear.meters import Counts, MeterDefinition, MeterReading

MACHINES, PLAIN_MACHINES, BROUGHT_TO = 500, 20, 10_000
READINGS, DAYS_BETWEEN = 100, 3
LINES = 25
MOST_S = 20.0
SEED = 1
NOW = datetime(2026, 4, 9, 23, 59)
FACTS = frozenset({Term.CYLINDRICAL_DECK, Term.FLOODED_BATTERY, Term.SWEEP_HOPPER})


def machine_of(rng: np.random.Generator, number: int) -> Machine:
    """One machine, read every third day on four meters, with half of its service items written down."""
    first = NOW - timedelta(days=READINGS * DAYS_BETWEEN)
    pace = rng.uniform(0.5, 4.0)
    meters = []
    for counts in Counts:
        run_h = rng.uniform(0, 9000) + np.cumsum(rng.gamma(0.5 * DAYS_BETWEEN, 2 * pace, READINGS))
        readings = tuple(
            MeterReading(at=first + timedelta(days=DAYS_BETWEEN * place), value_h=round(float(value_h), 1))
            for place, value_h in enumerate(run_h)
        )
        meters.append(MachineMeter(meter=MeterDefinition(counts=counts), readings=readings))
    changes = tuple(
        Change(line=item.identity, at=NOW - timedelta(days=float(rng.uniform(1, 250))))
        for item in shipped_catalogue().service
        if rng.random() < 0.5
    )
    return Machine(name=str(number), facts=FACTS, meters=tuple(meters), changes=changes)


def main() -> None:
    """Measure, print and keep."""
    rng = np.random.default_rng(SEED)
    asked = [
        DueQuestion(machine=machine_of(rng, number), catalogue=shipped_catalogue(), at=NOW)
        for number in range(MACHINES)
    ]
    begun_s = time.process_time()
    together = due_for_many(asked)
    ours_s = time.process_time() - begun_s
    begun_s = time.process_time()
    for number in range(PLAIN_MACHINES):
        alone = what_is_due(asked[number])
        if [item.line.identity for item in alone.items] != [item.line.identity for item in together[number].items]:
            raise SystemExit(f"Machine {number} is due otherwise alone than together.")
    plain_s = (time.process_time() - begun_s) * MACHINES / PLAIN_MACHINES
    lines = sum(len(answer.items) for answer in together)
    # A machine has far more than 25 lines; what counts is the time of a line with its share of the cleaning.
    brought_s = ours_s / lines * BROUGHT_TO * LINES
    figures: dict[str, object] = {
        "commit": commit(),
        "machines": MACHINES,
        "lines": lines,
        "readings": MACHINES * len(Counts) * READINGS,
        "seconds": ours_s,
        "seconds_for_250000_lines": brought_s,
        "ratio_to_machine_by_machine": plain_s / ours_s,
        "target": f"<= {MOST_S:g} s {'met' if brought_s <= MOST_S else 'NOT met'}",
    }
    Console().print(figures)
    keep(Path(__file__).with_name("due_lists.csv"), [figures], key=("commit",))


if __name__ == "__main__":
    main()
