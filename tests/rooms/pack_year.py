"""A flooded pack of our own over months of shifts: readings as a careful shop would take them, with known truth."""

from datetime import datetime, timedelta

import numpy as np

from scrubwright.battery.charge_left import own_family
from scrubwright.battery.pack import ChargeProfile, Charger, Chemistry, LockOut, Pack, RatedCapacity
from scrubwright.battery.visit import Moment, Visit, VoltsUnderLoad

PACK = Pack(
    name="Hall, 36 V",
    chemistry=Chemistry.FLOODED,
    cells=18,
    cells_per_block=3,
    capacities=tuple(
        RatedCapacity(capacity_ah=ah, over_h=hours)
        for ah, hours in ((203.0, 3.0), (221.0, 5.0), (245.0, 10.0), (270.0, 20.0))
    ),
    rated_k=298.15,
    cut_off_v=1.75,
    family=own_family(1.275, 1.120),
    reference_k=298.15,
    lock_out=LockOut(voltage_v=31.5, delay_s=10.0),
    reserve_l=0.22,
    mark_m=0.003,
)
CHARGER = Charger(name="36 V 30 A", profile=ChargeProfile.IUIA, main_a=30.0, mains_v=115.0)
FIRST = datetime(2026, 1, 5, 6, 0)
FULL_RATIO, FLAT_RATIO = 1.275, 1.120
FULL_PACK_H, LOAD_A = 3.4, 65.0


def year(
    rng: np.random.Generator,
    *,
    weeks: int = 40,
    low_cell: int | None = None,
    low_ratio: float = 0.0,
    drift_ratio: float = 0.0,
) -> tuple[Visit, ...]:
    """A reading after charge and one after the next shift each week; the meter runs five shifts a week.

    `low_cell` lags by `low_ratio` from the first day and loses `drift_ratio` more each week.
    """
    visits: list[Visit] = []
    meter_h = 1000.0
    for week in range(weeks):
        at = FIRST + timedelta(weeks=week)
        own = rng.normal(0.0, 0.001, PACK.cells)
        if low_cell is not None:
            own[low_cell - 1] -= low_ratio + drift_ratio * week
        depth = rng.uniform(0.4, 0.7)
        full_pack_h = FULL_PACK_H * (1 - 0.001 * week)
        work_h = depth * full_pack_h * np.exp(rng.normal(0, 0.04))
        visits.append(_read(rng, at, Moment.CHARGED, FULL_RATIO + own, meter_h))
        meter_h += work_h
        after = FULL_RATIO - depth * (FULL_RATIO - FLAT_RATIO) + own
        visits.append(_read(rng, at + timedelta(hours=16), Moment.WORKED, after, meter_h))
        meter_h += 4 * 0.55 * full_pack_h
    return tuple(visits)


def _read(rng: np.random.Generator, at: datetime, moment: Moment, true_ratio: np.ndarray, meter_h: float) -> Visit:
    read = np.round((true_ratio + rng.normal(0, 0.003, PACK.cells)) / 0.0025) * 0.0025
    return Visit(
        at=at,
        moment=moment,
        meter_h=round(meter_h, 1),
        rested_h=8.0,
        gravities_ratio=tuple(float(each) for each in read),
        electrolyte_k=(298.15,),
        rested_v=round(float(np.sum(true_ratio + 0.849)), 1),
        under_load=VoltsUnderLoad(idle_v=37.6, idle_a=1.2, load_v=37.2, load_a=66.0)
        if moment is Moment.CHARGED
        else None,
    )
