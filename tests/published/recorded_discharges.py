"""Discharges of a lead-acid block as an open physics model runs them, and how far our pack lies from them.

The runs and the measures of distance stand here once; the recorded numbers are judged in every
test run, the live model in tests/outside, by the same figures.
"""

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from scrubwright.battery.curve_fit import PackModel, SteadyDischarge
from scrubwright.battery.discharge import Guard, Load, discharge
from scrubwright.battery.wells import rested

FOLDER = Path(__file__).parent
STEADY_FILE, PULSED_FILE = FOLDER / "recorded_pybamm_steady.csv", FOLDER / "recorded_pybamm_pulsed.csv"

NOMINAL_AH = 17.0
CELLS = 6
# 10.5 V of the block.
CUT_OFF_V = 1.75
# C/20 to 1C, by their nominal hours. Five are fitted; C/6 and C/3 are only judged.
STEADY_H = (20, 10, 6, 5, 3, 2, 1)
FITTED_H = (20, 10, 5, 2, 1)

STEADY_RMS_FRACTION = 0.010
PULSED_FRACTION = 0.035
MISFIT_V = 0.006


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulses:
    """A load that repeats: (amperes over the nominal capacity [1/h], minutes), again and again."""

    name: str
    steps: tuple[tuple[float, int], ...]

    @property
    def load(self) -> Load:
        """For twelve hours, longer than the block lasts under any of them."""
        times = -(-12 * 60 // sum(minutes for _, minutes in self.steps))
        return Load(
            current_a=np.tile([NOMINAL_AH * rate for rate, _ in self.steps], times),
            duration_h=np.tile([minutes / 60 for _, minutes in self.steps], times),
        )

    @property
    def mean_a(self) -> float:
        return NOMINAL_AH * sum(r * minutes for r, minutes in self.steps) / sum(minutes for _, minutes in self.steps)


PULSES = (
    Pulses(name="scrub 20 min at 0.3C, drive 10 min at 0.12C", steps=((0.3, 20), (0.12, 10))),
    Pulses(name="5 min at 0.5C, rest 5 min", steps=((0.5, 5), (0.0, 5))),
    Pulses(name="6 min at 0.8C, 6 min at 0.2C, rest 3 min", steps=((0.8, 6), (0.2, 6), (0.0, 3))),
    Pulses(name="15 min at 1C, rest 60 min", steps=((1.0, 15), (0.0, 60))),
)


def recorded_rows(path: Path) -> list[dict[str, str]]:
    """Rows of a recorded file, without the lines that say what made it."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def recorded_steady() -> dict[int, SteadyDischarge]:
    """The recorded steady discharges, by nominal hours."""
    rows = recorded_rows(STEADY_FILE)
    return {
        hours: SteadyDischarge(
            current_a=NOMINAL_AH / hours,
            at_h=np.array([float(row["at_h"]) for row in rows if row["nominal_h"] == str(hours)]),
            cell_v=np.array([float(row["block_v"]) / CELLS for row in rows if row["nominal_h"] == str(hours)]),
        )
        for hours in STEADY_H
    }


def recorded_pulsed_h() -> dict[str, float]:
    """The recorded runtimes under the pulsed loads [h]."""
    return {row["load"]: float(row["runtime_h"]) for row in recorded_rows(PULSED_FILE)}


def root_mean_square(values: Iterable[float]) -> float:
    return float(np.sqrt(np.mean(np.square(list(values)))))


def steady_errors(model: PackModel, runs: Iterable[SteadyDischarge]) -> list[float]:
    """Our runtime over the recorded one, less one, for each steady discharge."""
    return [
        _runtime_h(model, Load(current_a=np.array([run.current_a]), duration_h=np.array([60.0]))) / run.rated.over_h - 1
        for run in runs
    ]


def pulsed_errors(model: PackModel, runtimes_h: Mapping[str, float]) -> dict[str, float]:
    """Our runtime over the recorded one, less one, for each pulsed load."""
    return {pulses.name: _runtime_h(model, pulses.load) / runtimes_h[pulses.name] - 1 for pulses in PULSES}


def _runtime_h(model: PackModel, load: Load) -> float:
    guard = Guard(curve=model.curve, cell_v=CUT_OFF_V, delay_s=0.0)
    return float(discharge(model.wells, rested(model.wells, 1.0), load, guard).stop_h[0])
