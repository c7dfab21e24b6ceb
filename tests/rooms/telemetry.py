"""Reads the logged discharges of tests/data/lead_acid_telemetry."""

import csv
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.curve_fit import SteadyDischarge

FOLDER = Path(__file__).resolve().parents[1] / "data" / "lead_acid_telemetry"
CELLS, NOMINAL_AH = 6, 17.0
# The load is on above this; the logger shows up to 0.03 A without it.
ON_A = 0.3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Log:
    """The readings of one file while the load was on, in time order, arrays of shape (m,)."""

    at_h: NDArray[np.float64]
    block_v: NDArray[np.float64]
    current_a: NDArray[np.float64]

    @property
    def drawn_ah(self) -> NDArray[np.float64]:
        """Out of the block until each reading."""
        each_ah = np.diff(self.at_h) * (self.current_a[1:] + self.current_a[:-1]) / 2
        return np.concatenate([[0.0], np.cumsum(each_ah)])

    @property
    def discharge(self) -> SteadyDischarge:
        """At its mean current."""
        return SteadyDischarge(
            current_a=float(self.drawn_ah[-1] / self.at_h[-1]), at_h=self.at_h, cell_v=self.block_v / CELLS
        )


def read_log(path: Path) -> Log:
    rows = csv.DictReader(path.read_text(encoding="utf-8").splitlines())
    readings = sorted(
        (datetime.fromisoformat(row["time"]), float(row["voltage"]), float(row["current"]))
        for row in rows
        if row["voltage"] and row["current"]
    )
    on = [n for n, (_, _, current_a) in enumerate(readings) if current_a > ON_A]
    readings = readings[on[0] : on[-1] + 1]
    times, volts, amperes = zip(*readings, strict=True)
    return Log(
        at_h=np.array([(time - times[0]).total_seconds() / 3600 for time in times]),
        block_v=np.array(volts),
        current_a=np.array(amperes),
    )


def all_logs() -> dict[str, Log]:
    """By the day each began."""
    return {path.stem[:10]: read_log(path) for path in sorted(FOLDER.glob("*.csv"))}
