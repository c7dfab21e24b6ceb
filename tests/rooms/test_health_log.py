"""From visits to discharges: what is taken, what is left out, and the sentence that says why."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scrubwright.battery.charge_left import GravityFamily, GravityPoint
from scrubwright.battery.charge_read import (
    ChargeRead,
    charge_read,
    scale_follows,
    unclipped_charge_fraction,
    was_run_down,
)
from scrubwright.battery.health import health
from scrubwright.battery.health_log import DischargeLog, discharge_log
from scrubwright.battery.pack import Chemistry, LockOut, Pack, RatedCapacity
from scrubwright.battery.visit import Event, Moment, Visit, VoltsUnderLoad
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence

MORNING = datetime(2026, 2, 2, 6)
AT_25_C_K = 298.15
# 0.150 from full to flat: 0.015 are a tenth of the charge.
FAMILY = GravityFamily(
    name=Sentence("own"),
    points=(
        GravityPoint(gravity_ratio=1.120, charge_fraction=0.0),
        GravityPoint(gravity_ratio=1.270, charge_fraction=1.0),
    ),
    origin=Origin.PLATE,
    source=Sentence("label"),
)
FLOODED = Pack(
    name="wide disc",
    chemistry=Chemistry.FLOODED,
    cells=3,
    capacities=(RatedCapacity(capacity_ah=225.0, over_h=5.0),),
    rated_k=AT_25_C_K,
    cut_off_v=1.75,
    family=FAMILY,
    reference_k=AT_25_C_K,
)
SEALED = replace(
    FLOODED, chemistry=Chemistry.AGM, family=None, reference_k=None, lock_out=LockOut(voltage_v=5.4, delay_s=5.0)
)
LITHIUM = replace(FLOODED, chemistry=Chemistry.LITHIUM, family=None, reference_k=None, cut_off_v=None)


def charged(day: int = 0, **changes: object) -> Visit:
    plain = Visit(
        at=MORNING + timedelta(days=day),
        moment=Moment.CHARGED,
        meter_h=100.0 + 2 * day,
        gravities_ratio=(1.270, 1.270, 1.270),
        electrolyte_k=(AT_25_C_K,),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def worked(day: int = 0, **changes: object) -> Visit:
    """Two hours of work that took half of the charge."""
    plain = Visit(
        at=MORNING + timedelta(days=day, hours=8),
        moment=Moment.WORKED,
        meter_h=102.0 + 2 * day,
        gravities_ratio=(1.195, 1.195, 1.195),
        electrolyte_k=(AT_25_C_K,),
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def unread(visit: Visit) -> Visit:
    return replace(visit, gravities_ratio=(), electrolyte_k=())


def log_of(visits: Sequence[Visit], pack: Pack = FLOODED) -> DischargeLog:
    return discharge_log(visits, lambda visit: charge_read(pack, visit), lambda visit: was_run_down(pack, visit))


def why_left_out(*visits: Visit) -> str:
    """What is said of work that is left out, beside a day that is not."""
    (said,) = log_of([*visits, charged(10), worked(10)]).left_out
    return str(said)


def test_a_day_with_both_readings_is_a_discharge() -> None:
    log = log_of([charged(), worked()])
    (discharge,) = log.discharges
    assert discharge.worked_h == 2.0
    # Half of the scale by the gravities; after a charge they read 0 to 0.004 low, 0.002 / 0.150 on average.
    assert discharge.used_fraction == pytest.approx(0.5 + 0.002 / 0.150)
    # 0.005 twice over three cells, and the width of 0.004 evenly: sqrt(2 x 0.005²/3 + 0.004²/12) / 0.150.
    assert discharge.used_sd_fraction == pytest.approx(math.sqrt(2 * 0.005**2 / 3 + 0.004**2 / 12) / 0.150)
    assert discharge.electrolyte_k == AT_25_C_K
    assert not discharge.ran_down
    assert log.left_out == ()
    assert log.shift_h == 2.0


def test_only_cells_that_were_read_both_times_count() -> None:
    # Cell 1 and 2 fell by half, cell 3 was read in the morning only.
    (discharge,) = log_of([charged(), worked(gravities_ratio=(1.195, 1.195, None))]).discharges
    assert discharge.used_fraction == pytest.approx(0.5 + 0.002 / 0.150)
    assert discharge.used_sd_fraction > 0.03


def test_a_gravity_above_full_counts_as_more_than_full() -> None:
    assert float(unclipped_charge_fraction(FAMILY, 1.285)) == pytest.approx(1.1)
    assert float(unclipped_charge_fraction(FAMILY, 1.105)) == pytest.approx(-0.1)
    both = charged(gravities_ratio=(1.285,) * 3), worked(gravities_ratio=(1.210,) * 3)
    assert log_of(both).discharges[0].used_fraction == pytest.approx(0.5 + 0.002 / 0.150)


def test_gravities_are_compared_at_one_temperature() -> None:
    # 10 °C warmer after work makes the acid 0.007 thinner, which is no charge used.
    (discharge,) = log_of([charged(), worked(gravities_ratio=(1.188,) * 3, electrolyte_k=(308.15,))]).discharges
    assert discharge.used_fraction == pytest.approx(0.5 + 0.002 / 0.150)
    assert discharge.electrolyte_k == pytest.approx(303.15)


def test_a_charger_that_finished_is_taken_as_where_the_pack_usually_stands() -> None:
    evening, next_evening = (
        worked(0),
        worked(1, meter_h=104.0, finished_at=MORNING + timedelta(days=1), plugged_in_at=MORNING + timedelta(hours=9)),
    )
    log = log_of([charged(), evening, next_evening])
    read, taken = log.discharges
    assert taken.worked_h == 2.0
    assert taken.used_fraction == pytest.approx(read.used_fraction)
    assert taken.used_sd_fraction > read.used_sd_fraction
    # Where no full reading is known, it is the full end of the table.
    (taken,) = log_of([evening, next_evening]).discharges
    assert taken.used_fraction == pytest.approx(0.5)
    # The first one has nothing before it.
    assert len(log_of([evening, next_evening]).left_out) == 1


def test_visits_may_come_in_any_order() -> None:
    visits = [charged(0), worked(0), charged(1), worked(1)]
    assert log_of(visits[::-1]) == log_of(visits)


def test_shifts_are_counted_by_the_meter_and_not_by_what_was_read() -> None:
    # Read on day 0 and on day 5; by the meter five usual shifts of 2 h lie between.
    log = log_of([charged(0), worked(0), charged(5), worked(5)])
    first, second = log.discharges
    assert second.done_shifts - first.done_shifts == pytest.approx(5)
    # 2 h of work in 5 days and 8 hours at 12 h in all: 12 h / 128 h, in shifts of 2 h.
    assert log.shifts_per_h == pytest.approx(12 / 128 / 2)
    assert log.done_at_shifts(second.at + timedelta(hours=128)) == pytest.approx(second.done_shifts + 6)
    assert log.done_at_shifts(first.at) == second.done_shifts


def test_a_mistyped_meter_costs_one_shift_and_not_the_clock() -> None:
    visits = [charged(day) for day in range(6)] + [worked(day) for day in range(6)]
    wrong = [replace(visit, meter_h=1106.0) if visit == worked(2) else visit for visit in visits]
    right_log, log = log_of(visits), log_of(wrong)
    assert len(log.discharges) == 5
    assert log.discharges[-1].done_shifts == pytest.approx(right_log.discharges[-1].done_shifts, abs=1.0)
    assert str(log.left_out[0]).startswith(
        "The work before 2026-02-04 is left out: the hour meter went from 104.00 h to 1,106.00 h."
    )


def test_what_is_left_out_says_why() -> None:
    assert "the hour meter is missing" in why_left_out(charged(meter_h=None), worked())
    assert "went from 100.00 h to 98.00 h" in why_left_out(charged(), worked(meter_h=98.0))
    assert "went from 100.00 h to 120.00 h" in why_left_out(charged(), worked(meter_h=120.0))
    assert "fell by 1.3 %" in why_left_out(charged(), worked(gravities_ratio=(1.270,) * 3))
    assert "not one cell was read both times" in why_left_out(
        charged(gravities_ratio=(1.270, None, None)), worked(gravities_ratio=(None, 1.195, 1.195))
    )
    assert "read the charge after the charger is done" in why_left_out(
        charged(), worked(gravities_ratio=(), electrolyte_k=())
    )
    assert "water was added" in why_left_out(charged(event=Event.WATERED), worked())
    assert "water was added" in why_left_out(charged(), worked(water_l=1.5))
    assert "it is not clear when the pack was charged last" in why_left_out(charged(-7), worked())
    assert "it is not clear when the pack was charged last" in why_left_out(
        charged(), worked(finished_at=MORNING + timedelta(hours=5))
    )
    assert "it is not clear when the pack was charged last" in why_left_out(
        charged(),
        Visit(at=MORNING + timedelta(hours=4), moment=Moment.BETWEEN, plugged_in_at=MORNING + timedelta(hours=3)),
        worked(),
    )


def test_a_reading_that_no_battery_has_is_left_out_with_its_own_sentence() -> None:
    log = log_of([charged(), worked(gravities_ratio=(1195.0,) * 3), charged(1), worked(1)])
    assert len(log.discharges) == 1
    assert len(log.left_out) == 2
    assert "1195" in str(log.left_out[0])


def test_a_log_without_a_shift_is_no_log() -> None:
    with pytest.raises(NoAnswer, match="Read the same cells after a charge and after the work"):
        log_of([charged(), charged(1)])
    with pytest.raises(NoAnswer, match="holds no shift"):
        log_of([])


def test_another_pack_is_marked_on_its_first_discharge() -> None:
    log = log_of([charged(0), worked(0, event=Event.NEW_PACK), worked(1, finished_at=MORNING), charged(2), worked(2)])
    assert [discharge.is_new_pack for discharge in log.discharges] == [False, True]
    # The evening after the change has no reading of the new pack before it.
    assert len(log.left_out) == 1


def test_a_pack_is_at_its_end_by_its_volts_under_load() -> None:
    def sag(volts: float) -> Visit:
        return worked(under_load=VoltsUnderLoad(idle_v=6.2, idle_a=2.0, load_v=volts, load_a=70.0))

    # Three cells at 1.75 V each: 5.25 V; with a lock-out at 5.4 V the machine stops before.
    assert was_run_down(FLOODED, sag(5.25))
    assert not was_run_down(FLOODED, sag(5.3))
    assert was_run_down(SEALED, sag(5.4))
    assert not was_run_down(LITHIUM, sag(3.0))
    assert not was_run_down(FLOODED, replace(sag(5.0), moment=Moment.BETWEEN))
    assert not was_run_down(FLOODED, worked())
    assert log_of([charged(), sag(5.2)]).discharges[0].ran_down


def test_a_pack_is_at_its_end_where_somebody_says_that_it_ran_out() -> None:
    out = worked(event=Event.RAN_OUT)
    assert was_run_down(FLOODED, out)
    # It changes nothing in the pack, so the next day counts as well.
    log = log_of([charged(), out, charged(1), worked(1)])
    assert [discharge.ran_down for discharge in log.discharges] == [True, False]
    assert log.left_out == ()


def test_a_sealed_pack_that_ran_out_needs_no_volts() -> None:
    visits = [unread(visit) for day in range(3) for visit in (charged(day), worked(day, event=Event.RAN_OUT))]
    assert [discharge.used_fraction for discharge in log_of(visits, SEALED).discharges] == [1.0] * 3


@pytest.mark.parametrize("moment", [Moment.CHARGED, Moment.BETWEEN])
def test_a_pack_runs_out_at_work_only(moment: Moment) -> None:
    with pytest.raises(BadInput, match="runs out at work"):
        worked(event=Event.RAN_OUT, moment=moment)


def test_a_sealed_pack_is_read_by_running_it_down() -> None:
    end = VoltsUnderLoad(idle_v=6.0, idle_a=2.0, load_v=5.3, load_a=70.0)
    visits = []
    for day in range(8):
        visits += [unread(charged(day)), unread(worked(day, under_load=end))]
    log = log_of(visits, SEALED)
    assert len(log.discharges) == 8
    assert scale_follows(SEALED)
    assert not scale_follows(FLOODED)
    told = health(log, scale_follows=True)
    # Two hours from full to the end.
    assert told.now.full_pack_h == pytest.approx(2.0, rel=0.02)


def test_a_lithium_pack_is_read_by_its_display() -> None:
    both = unread(charged(charge_fraction=1.0)), unread(worked(charge_fraction=0.4))
    (discharge,) = log_of(both, LITHIUM).discharges
    assert discharge.used_fraction == pytest.approx(0.6)
    assert discharge.electrolyte_k is None


def test_what_no_reading_can_be_is_refused() -> None:
    with pytest.raises(BadInput, match="above zero"):
        ChargeRead(charges_fraction=(0.5,), sd_fraction=0.0)
    with pytest.raises(BadInput, match="zero or more"):
        ChargeRead(charges_fraction=(0.5,), sd_fraction=0.03, low_by_fraction=-0.01)
