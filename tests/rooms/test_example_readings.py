"""The example packs and their readings: read without a word of complaint, and written by their script."""

import math
from datetime import date, datetime
from pathlib import Path
from statistics import fmean, median

import pytest
from openpyxl import load_workbook

from examples.write_pack_readings import NOTEBOOKS, Notebook, write_workbook
from scrubwright.battery.visit import Event, Moment
from scrubwright.paperwork.readings import Readings, read_readings
from tests.rooms.readings_example import HALL, ROOT, TODAY

FOLDER = ROOT / "examples" / "readings"


def readings_of(notebook: Notebook) -> Readings:
    return read_readings(FOLDER / f"{notebook.pack}.csv", notebook.paper(), today=TODAY)


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda each: each.pack)
def test_the_example_is_what_its_script_writes(notebook: Notebook) -> None:
    assert (FOLDER / f"{notebook.pack}.csv").read_text(encoding="utf-8") == notebook.text()


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda each: each.pack)
def test_every_example_is_read_without_a_warning(notebook: Notebook) -> None:
    readings = readings_of(notebook)
    assert readings.warnings == ()
    assert len(readings.visits) >= 9
    assert max(visit.at for visit in readings.visits) < datetime(2026, 5, 1)


def test_the_market_hall_holds_fourteen_months_with_all_that_is_read_on_a_pack() -> None:
    visits = readings_of(NOTEBOOKS[0]).visits
    assert (visits[-1].at - visits[0].at).days > 14 * 30
    assert {visit.event for visit in visits} == {None, Event.EQUALISED, Event.WATERED}
    assert {visit.moment for visit in visits} == {Moment.CHARGED, Moment.WORKED}
    for name in ("meter_h", "rested_h", "rested_v", "under_load", "water_l", "plugged_in_at", "finished_at"):
        assert any(getattr(visit, name) is not None for visit in visits), name
    assert any(visit.blocks_v for visit in visits)


def test_cell_11_of_the_market_hall_falls_comes_back_and_falls_again() -> None:
    charged = [visit for visit in readings_of(NOTEBOOKS[0]).visits if visit.moment is Moment.CHARGED]

    def below(first: date, last: date) -> float:
        """How far cell 11 stands below the median of the pack, on the mean of some visits."""
        some = [
            [gravity or math.nan for gravity in visit.gravities_ratio]
            for visit in charged
            if first <= visit.at.date() <= last
        ]
        return fmean(median(row) - row[10] for row in some)

    at_first, before, after, at_last = (
        below(date(2025, 2, 1), date(2025, 5, 31)),
        below(date(2025, 10, 29), date(2025, 11, 26)),
        below(date(2025, 12, 3), date(2025, 12, 31)),
        below(date(2026, 3, 11), date(2026, 4, 8)),
    )
    assert abs(at_first) < 0.003
    assert before > 0.020
    assert after < before - 0.008
    assert at_last > 0.020


def test_a_workbook_of_the_example_says_the_same(tmp_path: Path) -> None:
    path = tmp_path / "market_hall.xlsx"
    write_workbook(NOTEBOOKS[0].table(), path)
    assert read_readings(path, HALL, today=TODAY) == readings_of(NOTEBOOKS[0])


def test_a_note_that_begins_like_a_formula_is_text_in_the_workbook(tmp_path: Path) -> None:
    path = tmp_path / "note.xlsx"
    write_workbook([["note"], ['=HYPERLINK("x")']], path)
    cell = load_workbook(path).active["A2"]  # type: ignore[index]
    assert (cell.data_type, cell.value) == ("s", '=HYPERLINK("x")')
