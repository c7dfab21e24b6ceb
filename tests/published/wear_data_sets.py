"""The printed records of lives, data set by data set."""

import csv
from pathlib import Path

from scrubwright.wear.life import Ending, PartLife


def rows_of(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((Path(__file__).parent / name).read_text(encoding="utf-8").splitlines()))


def lives_of(data_set: str) -> list[PartLife]:
    """Records in the data set's own unit: hours, months, revolutions and miles share the sums."""
    return [
        PartLife(
            run_h=float(row["run"]),
            ending=Ending(row["how"]),
            last_good_h=float(row["last_good"]) if row["last_good"] else None,
        )
        for row in rows_of("wear_lives.csv")
        if row["data_set"] == data_set
        for _ in range(int(row["count"]))
    ]
