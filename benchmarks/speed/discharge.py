"""Run a shift of 200 load steps through 10,000 packs in one call, beside the same loop in plain Python.

`python -m benchmarks.speed.discharge`; the row goes to `discharge.csv` here.
"""

import math
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from rich.console import Console

from benchmarks.rows import commit, keep
from scrubwright.battery.discharge import Guard, Load, discharge
from scrubwright.battery.voltage import VoltageCurve
from scrubwright.battery.wells import Wells, rested

PACKS, STEPS, SHIFT_H = 10_000, 200, 5.0
PLAIN_PACKS = 100
LOCK_V, DELAY_S = 1.75, 10.0
FULL_V, SLOPE_V, BEND_V, RESISTANCE_OHM = 2.12, -0.251, -0.0324, 0.083 / 240


def plain_stop_h(most_ah: float, c: float, k: float, current_a: list[float], step_h: float) -> float:
    """When one pack stops, in plain Python [h]."""
    total_ah, available_ah, below_h, at_h = most_ah, c * most_ah, 0.0, 0.0
    for amperes in current_a:
        level_ah = total_ah * c - amperes * (1 - c) / k
        bent_ah = available_ah - level_ah

        def held_ah(t: float, level: float = level_ah, slope: float = amperes * c, bent: float = bent_ah) -> float:
            return level - slope * t + bent * math.exp(-k * t)

        v = FULL_V - LOCK_V - RESISTANCE_OHM * amperes
        b = -SLOPE_V - BEND_V + v
        lock_ah = (1 - 2 * v / (b + math.sqrt(max(b * b + 4 * SLOPE_V * v, 0.0)))) * c * most_ah
        end_ah = held_ah(step_h)
        began_low, ends_low = available_ah <= lock_ah, end_ah <= lock_ah
        crossing_h = _crossing_h(held_ah, lock_ah, step_h) if began_low != ends_low else step_h
        since_h = -below_h if began_low else crossing_h
        until_h = step_h if ends_low else crossing_h
        if (began_low or ends_low) and since_h + DELAY_S / 3600 <= until_h:
            return at_h + since_h + DELAY_S / 3600
        below_h = step_h - since_h if ends_low else 0.0
        total_ah, available_ah, at_h = total_ah - amperes * step_h, end_ah, at_h + step_h
    return at_h


def _crossing_h(held_ah: Callable[[float], float], level_ah: float, step_h: float) -> float:
    """When the first well meets the level, by bisection [h]."""
    low_h, high_h, was_low = 0.0, step_h, held_ah(0.0) <= level_ah
    for _ in range(45):
        middle_h = (low_h + high_h) / 2
        low_h, high_h = (middle_h, high_h) if (held_ah(middle_h) <= level_ah) == was_low else (low_h, middle_h)
    return high_h


def main() -> None:
    """Measure, print, and keep the row."""
    rng = np.random.default_rng(1)
    current_a = rng.uniform(10, 110, (PACKS, STEPS))
    wells = Wells(
        most_ah=rng.uniform(240, 300, PACKS),
        available_fraction=rng.uniform(0.4, 0.6, PACKS),
        exchange_per_h=rng.uniform(0.3, 0.8, PACKS),
    )
    curve = VoltageCurve(full_v=FULL_V, slope_v=SLOPE_V, bend_v=BEND_V, resistance_ohm=RESISTANCE_OHM)
    guard = Guard(curve=curve, cell_v=LOCK_V, delay_s=DELAY_S)
    load = Load(current_a=current_a, duration_h=np.full(STEPS, SHIFT_H / STEPS))
    begun_s = time.perf_counter()
    found = discharge(wells, rested(wells, 1.0), load, guard)
    ours_s = time.perf_counter() - begun_s

    most_ah, c, k = (np.asarray(each) for each in (wells.most_ah, wells.available_fraction, wells.exchange_per_h))
    steps = [[float(each) for each in row] for row in current_a[:PLAIN_PACKS]]
    begun_s = time.perf_counter()
    plain = [
        plain_stop_h(float(most_ah[i]), float(c[i]), float(k[i]), steps[i], SHIFT_H / STEPS) for i in range(PLAIN_PACKS)
    ]
    plain_s = (time.perf_counter() - begun_s) * PACKS / PLAIN_PACKS
    row: dict[str, object] = {
        "commit": commit(),
        "packs": PACKS,
        "steps": STEPS,
        "seconds": ours_s,
        "packs_per_second": PACKS / ours_s,
        "ratio_to_plain_python": plain_s / ours_s,
        "largest_difference_s": float(np.abs(found.stop_h[:PLAIN_PACKS] - plain).max() * 3600),
    }
    Console().print(row)
    keep(Path(__file__).parent / "discharge.csv", [row], key=("commit",))


if __name__ == "__main__":
    main()
