"""Writes the readings in `readings/`: what people wrote down about the packs in `packs/`, of our own making.

Run `python examples/write_pack_readings.py` to write them anew; the same code writes the same files. With the name
of a file, such as `market_hall.xlsx`, it writes the readings of the market hall there as an Excel workbook instead.

The market hall: worked six nights a week for fourteen months and read every Wednesday, after charge and after work,
with a float hydrometer of 0.005 steps. Cell 11 falls behind from the summer on, is brought back by an equalising
charge, and falls again; the pack itself loses an eighth of its running time, most of it at the end.
"""

import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path

import numpy as np
from openpyxl import Workbook

from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.readings_blank import csv_text, separator_of
from scrubwright.paperwork.readings_columns import header_for
from scrubwright.paperwork.wording import Language, Teller
from scrubwright.paperwork.writing import write_text

HERE = Path(__file__).parent
WEEKS = 62
NIGHTS_A_WEEK = 6
FIRST_WEDNESDAY = date(2025, 2, 5)
HOLIDAY = (25, 26)
EQUALISED = 42
PILOTS = (2, 8, 11, 17)
FULL, FLAT = 1.275, 1.120

Entry = str | float | date | time | datetime | None
Entries = dict[str, Entry]


@dataclass(slots=True, kw_only=True)
class Hall:
    """The pack of the market hall from week to week."""

    rng: np.random.Generator
    meter_h: float = 812.4
    lag: float = 0.0
    offsets: np.ndarray = field(default_factory=lambda: np.zeros(18))

    def nights(self, count: int) -> None:
        """So many nights of work that nobody read."""
        self.meter_h += float(np.sum(self.rng.normal(1.72, 0.15, count)))

    def read(self, charge: float, cells: Sequence[int], degrees: float) -> Entries:
        """Gravities of some cells as a float hydrometer shows them."""
        true = FLAT + (FULL - FLAT) * charge + self.offsets
        true[10] -= self.lag
        seen = true - 0.0007 * (degrees - 25) + self.rng.normal(0, 0.003, 18)
        return {f"cell_{cell}": round(round(seen[cell - 1] / 0.005) * 0.005, 3) for cell in cells}


def market_hall() -> list[Entries]:
    """Every Wednesday of the market hall, two rows each."""
    hall = Hall(rng=np.random.default_rng(36))
    hall.offsets = hall.rng.normal(0, 0.0015, 18)
    rows: list[Entries] = []
    for week in range(WEEKS):
        day = FIRST_WEDNESDAY + timedelta(weeks=week)
        hall.lag += 0.0012 if week >= 20 else 0.0
        if week not in HOLIDAY:
            rows += wednesday(hall, week, day)
        if week == EQUALISED:
            hall.lag *= 0.25
        hall.nights(NIGHTS_A_WEEK - 1)
    return rows


def wednesday(hall: Hall, week: int, day: date) -> list[Entries]:
    """One Wednesday: read at two in the afternoon after the night's charge, worked, and read again."""
    rng, age = hall.rng, week / WEEKS
    degrees = round(20.5 - 5.5 * math.cos(2 * math.pi * (week - 1) / 52) + rng.normal(0, 0.7), 1)
    finished = datetime.combine(day, time(5, 20)) + timedelta(minutes=int(rng.integers(0, 50)))
    charged: Entries = {
        "date": day,
        "time": time(14, 0),
        "moment": "after charge",
        "meter_h": round(hall.meter_h, 1),
        "rested_h": round((datetime.combine(day, time(14)) - finished).seconds / 3600, 1),
        "temperature_c": degrees,
        **hall.read(1.0, range(1, 19), degrees),
        "rested_v": round(18 * (FULL + 0.845) - hall.lag + rng.normal(0, 0.03), 2),
        "plugged_in": time(21, int(rng.integers(5, 25))),
        "finished": finished.time(),
    }
    if week % 8 == 2:
        volts = 3 * (FULL + 0.845) + rng.normal(0, 0.006, 6)
        volts[3] -= hall.lag
        charged |= {f"block_{block}_v": round(float(volt), 2) for block, volt in enumerate(volts, 1)}
    if week % 4 == 0:
        ampere, idle = round(float(rng.normal(67.5, 0.8)), 1), round(38.05 + float(rng.normal(0, 0.03)), 2)
        lost = (0.014 + 0.002 * age**2) * (ampere - 1.2)
        charged |= {"idle_v": idle, "idle_a": 1.2, "load_v": round(idle - lost, 2), "load_a": ampere}
    if week % 4 == 3:
        charged |= {"event": "watered", "water_ml": float(50 * round((2450 + 500 * age + rng.normal(0, 80)) / 50))}
    if week == EQUALISED:
        charged |= {"event": "equalised", "note": "cell 11 stayed low; 3 h, stopped when it no longer rose"}
    work_h = float(rng.normal(1.72, 0.12))
    hall.meter_h += work_h
    full_h = 2.95 * (1 - 0.02 * age - 0.105 * age**3) * (1 + 0.008 * (degrees + 4 - 25))
    left = 1 - work_h / full_h * math.exp(rng.normal(0, 0.04))
    worked: Entries = {
        "date": day,
        "time": time(21, 0),
        "moment": "after work",
        "meter_h": round(hall.meter_h, 1),
        "rested_h": 0.3,
        "temperature_c": round(degrees + 4, 1),
        **hall.read(left, PILOTS, degrees + 4),
    }
    return [charged, worked]


def traction() -> list[Entries]:
    """The traction pack of the wide machine, read by a workshop once in five weeks with a hydrometer in kg/L."""
    rng = np.random.default_rng(24)
    rows: list[Entries] = []
    for visit in range(9):
        degrees = round(24 + 4 * math.sin(visit) + rng.normal(0, 0.5), 1)
        seen = 1.290 - 0.0007 * (degrees - 30) + rng.normal(0, 0.003, 12)
        rows.append(
            {
                "date": date(2025, 5, 6) + timedelta(weeks=5 * visit),
                "time": time(9, 30),
                "moment": "after charge",
                "meter_h": round(2140.0 + 92.3 * visit + float(rng.normal(0, 6)), 1),
                "rested_h": 3.0,
                "temperature_c": degrees,
                **{f"cell_{cell}": round(round(seen[cell - 1] / 0.005) * 0.005, 3) for cell in range(1, 13)},
                "rested_v": round(25.62 + float(rng.normal(0, 0.03)), 2),
                "event": "watered" if visit % 2 else None,
                "water_ml": 3600.0 + 100 * visit if visit % 2 else None,
            }
        )
    return rows


def agm() -> list[Entries]:
    """The sealed pack of the narrow machine: volts of pack and blocks at rest, once a month; block 3 falls behind."""
    rng = np.random.default_rng(6)
    rows: list[Entries] = []
    for month in range(12):
        volts = 6.46 + rng.normal(0, 0.008, 4) - np.array([0, 0, 0.012 * month, 0])
        idle = round(float(volts.sum()) - 0.1, 2)
        rows.append(
            {
                "date": date(2025, 3, 4) + timedelta(days=28 * month),
                "time": time(7, 15),
                "moment": "after charge",
                "meter_h": round(431.0 + 38.6 * month + float(rng.normal(0, 2)), 1),
                "rested_h": 9.0,
                "temperature_f": float(round(68 + 6 * math.sin(month / 2))),
                "rested_v": round(float(volts.sum()), 2),
                **{f"block_{block}_v": round(float(volt), 2) for block, volt in enumerate(volts, 1)},
                "idle_v": idle,
                "idle_a": 0.8,
                "load_v": round(idle - (0.0065 + 0.0004 * month) * 46.0, 2),
                "load_a": 46.8,
            }
        )
    return rows


def lithium() -> list[Entries]:
    """The lithium pack: its display after charge and after work, once a fortnight."""
    rng = np.random.default_rng(12)
    rows: list[Entries] = []
    for visit in range(12):
        day, meter_h = date(2025, 9, 2) + timedelta(weeks=2 * visit), 96.0 + 31.4 * visit
        work_h = float(rng.normal(2.3, 0.15))
        charged: Entries = {"moment": "after charge", "time": time(6, 0), "charge_percent": 100.0, "rested_v": 40.1}
        left = float(round(100 - 31 * work_h))
        worked: Entries = {"moment": "after work", "time": time(9, 30), "charge_percent": left, "rested_v": 39.3}
        for entries, shown_h in ((charged, meter_h), (worked, meter_h + work_h)):
            rows.append({"date": day, "meter_h": round(shown_h, 1), **entries})
    return rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Notebook:
    """The readings of one pack, and how its people write."""

    pack: str
    rows: Callable[[], list[Entries]]
    teller: Teller

    def paper(self) -> PackPaper:
        """The pack."""
        return pack_from(HERE / "packs" / f"{self.pack}.toml")

    def table(self) -> list[list[Entry]]:
        """The rows below the names of their columns, both in the reader's language."""
        is_us = self.teller.system is UnitSystem.US
        english = header_for(self.paper().pack, Teller(), is_us=is_us)
        own = header_for(self.paper().pack, self.teller, is_us=is_us)
        return [list(own), *([self.told(row.get(name)) for name in english] for row in self.rows())]

    def told(self, entry: Entry) -> Entry:
        """A word in the reader's language; what is no word as it is."""
        return self.teller.words(entry) if isinstance(entry, str) else entry

    def text(self) -> str:
        """The table as a CSV file."""
        header, *rows = self.table()
        gravities = [isinstance(name, str) and name.startswith(("cell_", "vaso_")) for name in header]
        lines = [[self.written(*each) for each in zip(row, gravities, strict=True)] for row in rows]
        return csv_text([[str(name) for name in header], *lines], separator_of(self.teller))

    def written(self, entry: Entry, is_gravity: bool) -> str | None:
        """An entry as its people write it."""
        if isinstance(entry, time):
            return f"{entry:%H:%M}"
        if isinstance(entry, float):
            number = f"{entry:.3f}" if is_gravity else f"{entry:g}"
            return number if self.teller.language is Language.ENGLISH else number.replace(".", ",")
        return None if entry is None else str(entry)


NOTEBOOKS = (
    Notebook(pack="market_hall_36v", rows=market_hall, teller=Teller()),
    Notebook(pack="wide_traction_24v", rows=traction, teller=Teller(language=Language.SPANISH)),
    Notebook(pack="narrow_agm_24v", rows=agm, teller=Teller(system=UnitSystem.US)),
    Notebook(pack="mid_lithium_36v", rows=lithium, teller=Teller()),
)


def write_workbook(table: Sequence[Sequence[Entry]], path: Path) -> None:
    """A table as an Excel workbook, its sheet called "readings"; texts stay texts, whatever they begin with."""
    workbook = Workbook()
    sheet = workbook.create_sheet("readings", 0)
    for number, row in enumerate(table, 1):
        for column, entry in enumerate(row, 1):
            cell = sheet.cell(number, column, entry)
            if isinstance(entry, str):
                cell.data_type = "s"
    sheet.freeze_panes = "D2"
    workbook.save(path)


def main(arguments: Sequence[str]) -> None:
    """Write every table, or the market hall's as a workbook."""
    if arguments:
        write_workbook(NOTEBOOKS[0].table(), Path(arguments[0]))
        return
    for notebook in NOTEBOOKS:
        write_text(HERE / "readings" / f"{notebook.pack}.csv", notebook.text())


if __name__ == "__main__":
    main(sys.argv[1:])
