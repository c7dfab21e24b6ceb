"""Writes `meters/market_hall.csv` and `changes/market_hall.csv`: what the market hall's people wrote down.

Run `python examples/write_meter_readings.py` to write them anew; the same code writes the same files. All of it is
invented. The key meter of the mid machine is old: in January it passes 99999.9 h, for somebody once set it, and begins
again at zero. In February one reading loses its point. In March the brush meter breaks and a new one begins at 0.4 h.
The traction meter is read once a month at best. Nobody has ever read the vacuum meter, for the plate names none.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from scrubwright.jobs.due_question import Change, Happened
from scrubwright.paperwork.changes_log import ChangeEntry, change_rows
from scrubwright.paperwork.meter_readings import MeterEntry, meter_rows
from scrubwright.paperwork.table_writing import table_text
from scrubwright.paperwork.wording import Teller
from scrubwright.paperwork.writing import write_text
from scrubwright.wear.meters import Counts, MeterReading

HERE = Path(__file__).parent
MACHINE = "Mid cylindrical, 0.80 m"
FIRST = datetime(2025, 11, 3, 21, 0)
NIGHTS = 67
SLIP_NIGHT, NEW_METER_NIGHT, TRACTION_EVERY = 44, 57, 14


@dataclass(slots=True, kw_only=True)
class Hall:
    """The machine's meters from night to night."""

    rng: np.random.Generator
    key_h: float = 99890.0
    brush_h: float = 1070.0
    traction_h: float = 2120.0
    entries: list[MeterEntry]

    def night(self, number: int, at: datetime) -> None:
        """One night's work, and what was written down before it."""
        self.read(Counts.KEY, at, self.key_h % 100_000)
        shown = round(10 * self.brush_h) if number == SLIP_NIGHT else self.brush_h
        if number == NEW_METER_NIGHT:
            self.brush_h = 0.4
            shown = self.brush_h
        self.read(Counts.BRUSH, at, shown, "new meter fitted" if number == NEW_METER_NIGHT else "")
        if number % TRACTION_EVERY == 0:
            self.read(Counts.TRACTION, at, self.traction_h)
        pace = float(np.exp(self.rng.normal(0, 0.15)))
        self.key_h += 4.6 * pace
        self.brush_h += 2.35 * pace
        self.traction_h += 4.1 * pace

    def read(self, counts: Counts, at: datetime, shown_h: float, note: str = "") -> None:
        """One reading."""
        reading = MeterReading(at=at, value_h=round(shown_h, 1))
        self.entries.append(MeterEntry(machine=MACHINE, counts=counts, reading=reading, who="L. Ortiz", note=note))


def meters() -> list[MeterEntry]:
    """Three nights a week, slips of the pen and all."""
    hall = Hall(rng=np.random.default_rng(11), entries=[])
    at = FIRST
    for number in range(NIGHTS):
        hall.night(number, at)
        at += timedelta(days=(2, 3, 2)[number % 3])
    return hall.entries


def changes() -> list[ChangeEntry]:
    """What was done and measured."""
    worn, done = Happened.WORN_OUT, Happened.DONE
    told: list[tuple[str, str, Happened, float | None]] = [
        ("2025-11-05", "rear-blade", worn, None),
        ("2025-11-05", "cylindrical-brushes", Happened.CHANGED_WHILE_GOOD, None),
        ("2025-11-05", "cylindrical-brushes", Happened.MEASURED, 0.058),
        ("2025-11-29", "monthly", done, None),
        ("2025-12-20", "rear-blade", worn, None),
        ("2026-01-10", "cylindrical-brushes", Happened.MEASURED, 0.0505),
        ("2026-02-07", "rear-blade", Happened.FAILED, None),
        ("2026-02-14", "steering-grease", done, None),
        ("2026-02-28", "cylindrical-brushes", Happened.MEASURED, 0.0425),
        ("2026-03-14", "monthly", done, None),
        ("2026-03-28", "rear-blade", worn, None),
        ("2026-03-28", "battery-water", done, None),
        ("2026-04-04", "weekly", done, None),
        ("2026-04-04", "cylindrical-brush-swap", done, None),
        ("2026-04-04", "battery-water", done, None),
        ("2026-04-04", "cylindrical-brushes", Happened.MEASURED, 0.036),
    ]
    return [
        ChangeEntry(
            machine=MACHINE,
            change=Change(
                line=line, at=datetime.fromisoformat(f"{day} 20:00"), happened=happened, measured_m=measured_m
            ),
            who="L. Ortiz",
        )
        for day, line, happened, measured_m in told
    ]


def texts() -> dict[str, str]:
    """Both files."""
    teller = Teller()
    return {
        "meters/market_hall.csv": table_text(meter_rows(meters(), teller), teller),
        "changes/market_hall.csv": table_text(change_rows(changes(), teller), teller),
    }


if __name__ == "__main__":
    for name, text in texts().items():
        write_text(HERE / name, text)
