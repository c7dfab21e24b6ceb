"""Writes `shift_log.csv`: what the market hall's people wrote down after their shifts, of our own making.

Run `python examples/write_shift_log.py` to write it anew; the same code writes the same file.

They scrub the hall with the mid machine from 21:30 on. Beside its plate their driver takes 12 % longer with the deck
down and 20 % longer with it up, since the stalls stand closer than drawn; a stop takes a third longer, since the tap is
slow. In one night the afternoon was written for the night, in one a meter lost its point, in one half of the hall was
closed. In February the machine got new squeegee blades, and fewer lanes are driven twice.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path

import numpy as np

from scrubwright.paperwork.readings_blank import csv_text
from scrubwright.paperwork.shift_log_columns import log_header
from scrubwright.paperwork.wording import Teller
from scrubwright.paperwork.writing import write_text

HERE = Path(__file__).parent
FIRST_DAY = date(2026, 1, 7)
DAYS_BETWEEN = (2, 3, 2)
NIGHTS = 18
# As `scrubwright shift` plans this hall for this machine by its plate.
PLAN: dict[str, str | float] = {
    "machine": "Mid cylindrical, 0.80 m",
    "site": "market_hall",
    "plan_scrub_min": 127.8,
    "plan_drive_min": 88.2,
    "plan_stops": 3,
    "plan_stop_min": 28.1,
    "plan_water_l": 306.8,
    "plan_charge_percent": 49.2,
    "plan_area_m2": 7163,
}
AFTERNOON_NIGHT, POINT_NIGHT, CLOSED_NIGHT, BLADES_NIGHT = 5, 8, 11, 15

Row = dict[str, str | float]


@dataclass(slots=True, kw_only=True)
class Hall:
    """The market hall's machine and its meters from night to night."""

    rng: np.random.Generator
    brush_h: float = 1204.3
    traction_h: float = 2311.8

    def night(self, number: int, day: date) -> Row:
        """One night as it was written down."""
        share = 0.55 if number == CLOSED_NIGHT else 1.0
        pace = float(np.exp(self.rng.normal(0, 0.03)))
        scrub_min = 127.8 * share * pace * (1.12 if number < BLADES_NIGHT else 1.06)
        drive_min = 88.2 * share * pace * 1.20 * float(np.exp(self.rng.normal(0, 0.04)))
        stops = 3 if share == 1 else 2
        stop_min = stops * 9.37 * 1.33 * float(np.exp(self.rng.normal(0, 0.08)))
        hindrances = int(self.rng.poisson(4 * share))
        minutes = scrub_min + drive_min + stop_min + float(self.rng.exponential(1.0, hindrances).sum())
        filled_l = 306.8 * share * 1.07 * float(np.exp(self.rng.normal(0, 0.04)))
        used = 49.2 * share * pace * 1.17 * float(np.exp(self.rng.normal(0, 0.05)))
        before: Row = {"brush_before_h": round(self.brush_h, 1), "traction_before_h": round(self.traction_h, 1)}
        self.brush_h += scrub_min / 60
        self.traction_h += (scrub_min + drive_min) / 60
        finish = datetime.combine(day, time(21, 30)) + timedelta(minutes=5 * round(minutes / 5))
        return PLAN | {
            "date": day.isoformat(),
            "start_time": "21:30",
            "finish_time": f"{finish:%H:%M}",
            **before,
            "brush_after_h": round(self.brush_h, 1),
            "traction_after_h": round(self.traction_h, 1),
            "stops": stops,
            "stop_min": 5 * round(stop_min / 5),
            "filled_l": 5 * round(filled_l / 5),
            "dumped_l": 5 * round(0.92 * filled_l / 5),
            "charge_before_percent": 100,
            "charge_after_percent": round(100 - used),
            "area_m2": 10 * round(716.3 * share),
            "hindrances": hindrances,
        }


def rows() -> list[Row]:
    """One row a night, slips of the pen and all."""
    hall = Hall(rng=np.random.default_rng(7))
    day = FIRST_DAY
    written = []
    for number in range(NIGHTS):
        row = hall.night(number, day)
        if number == AFTERNOON_NIGHT:
            row["finish_time"] = f"{int(str(row['finish_time'])[:2]) + 12}{str(row['finish_time'])[2:]}"
        if number == POINT_NIGHT:
            row["brush_after_h"] = round(10 * float(row["brush_after_h"]))
        if number == CLOSED_NIGHT:
            row["note"] = "east end closed for repairs"
        if number == BLADES_NIGHT:
            row |= {"reset": "squeegee", "note": "new blades front and rear"}
        written.append(row)
        day += timedelta(days=DAYS_BETWEEN[number % len(DAYS_BETWEEN)])
    return written


def text() -> str:
    """The log as a CSV file."""
    header = log_header(Teller())
    return csv_text([header, *([row.get(name) for name in header] for row in rows())], ",")


if __name__ == "__main__":
    write_text(HERE / "shift_log.csv", text())
