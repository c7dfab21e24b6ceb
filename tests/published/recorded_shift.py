"""A planned shift's current, and how a lead-acid block bears it by an open physics model and by ours.

The profile is that of the market hall of the examples with the machine and the pack that stand beside it, in
blocks of two minutes, over the pack's five-hour capacity. The work alone does not empty the pack, so the shift is
driven over and over until the block is down.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.curve_fit import PackModel
from scrubwright.battery.discharge import Guard, Load, StopCause
from scrubwright.jobs.shift_course import PackTonight, spent
from tests.published.recorded_discharges import CELLS, CUT_OFF_V, NOMINAL_AH, recorded_rows

FOLDER = Path(__file__).parent
PROFILE_FILE, SHIFT_FILE = FOLDER / "recorded_shift_profile.csv", FOLDER / "recorded_pybamm_shift.csv"
BLOCK_S = 120.0
# Longer than the block lasts.
TIMES = 3
SHIFT_FRACTION = 0.035


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShiftRun:
    """What a block gives until it is down to its cut-off, and when after the start that is."""

    runtime_h: float
    energy_wh: float


def in_blocks(current_a: NDArray[np.float64], duration_s: NDArray[np.float64]) -> Load:
    """The same charge in blocks of two minutes, the last one longer."""
    ends_s = np.concatenate([[0.0], np.cumsum(duration_s)])
    taken_ah = np.concatenate([[0.0], np.cumsum(current_a * duration_s)]) / 3600
    cuts_s = BLOCK_S * np.arange(ends_s[-1] // BLOCK_S + 1)
    cuts_s[-1] = ends_s[-1]
    duration_h = np.diff(cuts_s) / 3600
    return Load(current_a=np.diff(np.interp(cuts_s, ends_s, taken_ah)) / duration_h, duration_h=duration_h)


def shift_load() -> Load:
    """The recorded profile on the block of the physics model, over and over."""
    rows = recorded_rows(PROFILE_FILE)
    return Load(
        current_a=np.tile([NOMINAL_AH * float(row["rate_per_h"]) for row in rows], TIMES),
        duration_h=np.tile([float(row["minutes"]) / 60 for row in rows], TIMES),
    )


def recorded_shift() -> ShiftRun:
    """What the physics model gave."""
    (row,) = recorded_rows(SHIFT_FILE)
    return ShiftRun(runtime_h=float(row["runtime_h"]), energy_wh=float(row["energy_wh"]))


def our_shift(model: PackModel) -> ShiftRun:
    """What the shift's own account of charge gives, energy up to its own stop."""
    watch = Guard(curve=model.curve, cell_v=CUT_OFF_V, delay_s=0.0)
    pack = PackTonight(wells=model.wells, curve=model.curve, watch=watch, cells=CELLS)
    load = shift_load()
    whole = spent(pack, 1.0, load.current_a, 3600 * load.duration_h)
    if whole.cause is not StopCause.LOCK_OUT:
        raise AssertionError(whole.cause)
    until_s = np.minimum(3600 * np.cumsum(load.duration_h), whole.stop_s)
    went_s = np.diff(until_s, prepend=0.0)
    went = went_s > 0
    energy_wh = spent(pack, 1.0, load.current_a[went], went_s[went]).energy_wh
    return ShiftRun(runtime_h=whole.stop_s / 3600, energy_wh=energy_wh)


def shift_errors(model: PackModel, theirs: ShiftRun) -> dict[str, float]:
    """Ours over theirs, less one."""
    ours = our_shift(model)
    return {
        "moment of the stop": ours.runtime_h / theirs.runtime_h - 1,
        "energy until the stop": ours.energy_wh / theirs.energy_wh - 1,
    }
