"""Legs on the clock: what holds them, breaks at the charger, the night line."""

from dataclasses import replace

import numpy as np
import pytest

from scrubwright.battery.pack import ChargeProfile, Charger
from scrubwright.jobs.shift_answer import Doing
from scrubwright.jobs.shift_course import pack_tonight
from scrubwright.jobs.shift_legs import LegRow
from scrubwright.jobs.shift_loads import Closing, Hold, LoadKind
from scrubwright.jobs.shift_time import Timed, contact_holds, machine_shift, stops_early, timed
from tests.rooms.test_shift_rest import planned, question

CHARGER = Charger(name="C", profile=ChargeProfile.IUIA, main_a=30.0)


@pytest.fixture(scope="module")
def row() -> LegRow:
    return planned(question()).timed[0].row


def on_clock(row: LegRow, **more: object) -> Timed:
    return timed(row, pack_tonight(row.loads.machine), **more)  # type: ignore[arg-type]


def begin_s(found: Timed, leg: int) -> float:
    at = int(np.flatnonzero(found.leg_of == leg)[0])
    return float(found.end_s[at] - found.loads.duration_s[at])


def test_without_holds_legs_follow_each_other(row: LegRow) -> None:
    found = on_clock(row)
    assert found.end_s == pytest.approx(np.cumsum(row.loads.duration_s))
    assert (found.loads.kind == row.loads.kind).all()


def test_a_leg_waits_for_the_hours_of_its_area_and_idles(row: LegRow) -> None:
    found = on_clock(row, holds=(Hold(leg=3, not_before_s=5000.0),))
    assert begin_s(found, 3) == pytest.approx(5000.0)
    wait = found.loads.kind == LoadKind.WAIT
    assert found.loads.current_a[wait] == pytest.approx([1.0])
    assert found.loads.water_l[wait] == pytest.approx([0.0])


def test_an_hour_that_is_past_holds_nobody(row: LegRow) -> None:
    assert not (on_clock(row, holds=(Hold(leg=8, not_before_s=1.0),)).loads.kind == LoadKind.WAIT).any()


def test_solution_acts_from_the_beginning_of_a_leg_and_floor_dries_from_its_end(row: LegRow) -> None:
    acted = on_clock(row, holds=(Hold(leg=6, acts_from=2, contact_s=900.0),))
    assert begin_s(acted, 6) == pytest.approx(begin_s(acted, 2) + 900)
    dried = on_clock(row, holds=(Hold(leg=6, dries_from=2),), dry_s=900.0)
    assert begin_s(dried, 6) == pytest.approx(begin_s(dried, 2) + float(row.loads.duration_s[2]) + 900)


def test_of_several_holds_the_latest_counts_and_places_move_with_the_waits(row: LegRow) -> None:
    holds = (Hold(leg=6, not_before_s=3000.0), Hold(leg=6, not_before_s=4000.0), Hold(leg=3, not_before_s=2000.0))
    found = on_clock(row, holds=holds, closings=(Closing(leg=6, dry_by_s=9000.0),))
    assert begin_s(found, 6) == pytest.approx(4000.0)
    assert [int(found.leg_of[hold.leg]) for hold in found.loads.holds] == [3, 6, 6]
    assert int(found.leg_of[found.loads.closings[0].leg]) == 6


def test_a_break_follows_its_leg_and_is_told_on_the_line(row: LegRow) -> None:
    charged = replace(row, loads=replace(row.loads, machine=replace(row.loads.machine, charger=CHARGER)))
    found = on_clock(charged, break_after=4, break_s=600.0)
    shift = machine_shift(1, found, 300.0)
    assert begin_s(found, 5) == pytest.approx(begin_s(found, 4) + float(row.loads.duration_s[4]) + 600)
    assert shift.charged_ah == pytest.approx(30 * 600 / 3600)
    assert sum(each.end_s - each.start_s for each in shift.line if each.doing is Doing.CHARGE) == pytest.approx(600)
    assert shift.line[-1].doing is Doing.DRYING


def test_a_machine_without_a_charger_takes_no_break(row: LegRow) -> None:
    assert on_clock(row, break_after=4, break_s=600.0).end_s[-1] == pytest.approx(row.loads.duration_s.sum())


def test_a_pack_that_is_worn_out_stops_early(row: LegRow) -> None:
    # 2 % of 270 Ah, less a tenth that is gone, for seven minutes of up to 70 A, some 6 Ah.
    worn = replace(row, loads=replace(row.loads, machine=replace(row.loads.machine, health_ratio=0.02)))
    assert stops_early(worn.loads.machine, on_clock(worn))
    assert not stops_early(row.loads.machine, on_clock(row))


def test_only_second_passes_wait_for_contact(row: LegRow) -> None:
    assert contact_holds(row, 300.0) == ()
    double = replace(row, first_of=(None, None, None, 1, *row.first_of[4:]))
    assert contact_holds(double, 300.0) == (Hold(leg=3, acts_from=1, contact_s=300.0),)
