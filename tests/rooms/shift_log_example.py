"""Small logs of shifts for the tests, one row under another, and what is said of them."""

from collections.abc import Mapping

import pytest

from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.readings_sheet import sheet_of_csv
from scrubwright.paperwork.shift_log import ShiftLog, shift_log_of_sheet

ROW = {"date": "2026-03-04", "machine": "Mid", "site": "Hall", "plan_scrub_min": "150"}


def table(*rows: Mapping[str, str], separator: str = ",") -> str:
    """A CSV text of some rows; its columns are those of all rows, in the order in which they come."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    lines = [names, *([row.get(name, "") for name in names] for row in rows)]
    return "".join(separator.join(line) + "\n" for line in lines)


def read(text: str | bytes) -> ShiftLog:
    """The shifts in a CSV text."""
    return shift_log_of_sheet(sheet_of_csv(text.encode() if isinstance(text, str) else text, "log.csv", least_rows=0))


def refused(text: str) -> list[str]:
    """Each problem of a CSV text, without its bullet."""
    with pytest.raises(UnreadablePaper) as refusal:
        read(text)
    return [line.strip().removeprefix("- ") for line in str(refusal.value).splitlines()[1:]]
