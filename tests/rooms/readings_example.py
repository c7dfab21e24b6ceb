"""Small tables of readings for the tests, one row under another, and what is said of them."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.readings import Readings, readings_of_sheet
from scrubwright.paperwork.readings_sheet import sheet_of_csv

ROOT = Path(__file__).parents[2]
PACKS = ROOT / "examples" / "packs"
HALL = pack_from(PACKS / "market_hall_36v.toml")
TRACTION = pack_from(PACKS / "wide_traction_24v.toml")
AGM = pack_from(PACKS / "narrow_agm_24v.toml")
LITHIUM = pack_from(PACKS / "mid_lithium_36v.toml")
TODAY = date(2026, 5, 1)
CELLS = {f"cell_{number}": "1.265" for number in range(1, 19)}
CHARGED = {"date": "2026-04-03", "time": "06:30", "moment": "after charge", "temperature_c": "21.5", **CELLS}


def table(*rows: Mapping[str, str], separator: str = ",") -> str:
    """A CSV text of some rows; its columns are those of all rows, in the order in which they come."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    lines = [names, *([row.get(name, "") for name in names] for row in rows)]
    return "".join(separator.join(line) + "\n" for line in lines)


def read(text: str | bytes, paper: PackPaper = HALL, today: date = TODAY) -> Readings:
    """The visits in a CSV text."""
    content = text.encode() if isinstance(text, str) else text
    return readings_of_sheet(sheet_of_csv(content, "pack.csv"), paper, today=today)


def refused(text: str | bytes, paper: PackPaper = HALL) -> list[str]:
    """Each problem of a CSV text, without its bullet."""
    with pytest.raises(UnreadablePaper) as refusal:
        read(text, paper)
    return [line.strip().removeprefix("- ") for line in str(refusal.value).splitlines()]


def only_problem(text: str | bytes, paper: PackPaper = HALL) -> str:
    """The one problem of a CSV text."""
    first, problem = refused(text, paper)
    assert first == "pack.csv cannot be used yet. Things to mend: 1."
    return problem


def one_row(changes: Mapping[str, str], without: tuple[str, ...] = ()) -> str:
    """A table of one visit after charge with some cells changed or left out."""
    row = {name: value for name, value in {**CHARGED, **changes}.items() if name not in without}
    return table(row)
