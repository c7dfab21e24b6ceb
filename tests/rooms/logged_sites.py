"""Invented sites whose truth is known, and the logs that their people keep.

A shift is played stretch by stretch, by other laws than the ones it is learned with: lanes and drives differ one by
one, drivers have slow nights and quick ones, stops queue at the tap, hindrances come as they like. What is written
down is rounded as people and meters round it, and some of it is not written down at all.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from scrubwright.jobs.shift_logged import DoneShift, LoggedShift, MeterRun, PlannedShift

FIRST_DAY = date(2026, 1, 5)
TODAY = date(2026, 12, 31)
MACHINE, SITE = "Mid cylindrical, 0.80 m", "Market hall"


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedSite:
    """What is true of one machine with its driver at one site, over the plate."""

    scrubbing_ratio: float
    driving_ratio: float
    water_ratio: float
    current_ratio: float
    stops_ratio: float
    night_sd_ratio: float
    hindrances_per_h: float

    def expected_s(self, planned: PlannedShift) -> float:
        """What a plan takes here on average."""
        work_s = planned.scrub_s * self.scrubbing_ratio + planned.drive_s * self.driving_ratio
        return work_s + planned.stop_s * self.stops_ratio + 60 * self.hindrances_per_h * work_s / 3600


def site(rng: np.random.Generator, off_ratio: float) -> SimulatedSite:
    """A site where all times lie about so far off the plate."""

    def near(centre: float, sd: float) -> float:
        return float(centre * np.exp(rng.normal(0, sd)))

    return SimulatedSite(
        scrubbing_ratio=near(off_ratio, 0.04),
        driving_ratio=near(off_ratio, 0.10),
        water_ratio=near(1.0, 0.12),
        current_ratio=near(1.0, 0.12),
        stops_ratio=near(off_ratio, 0.15),
        night_sd_ratio=float(rng.uniform(0.02, 0.06)),
        hindrances_per_h=float(rng.uniform(0.0, 2.0)),
    )


def plan(rng: np.random.Generator) -> PlannedShift:
    """A shift of two to five hours by the plate."""
    lanes = int(rng.integers(60, 160))
    scrub_s, stops = lanes * 72.0, max(1, round(lanes / 40))
    return PlannedShift(
        scrub_s=scrub_s,
        drive_s=scrub_s * float(rng.uniform(0.12, 0.3)),
        stops=stops,
        stop_s=stops * 720.0,
        water_l=lanes * 2.4,
        charge_used_fraction=min(0.75, 0.5 * lanes / 100),
        area_m2=lanes * 58.0,
    )


def played(rng: np.random.Generator, where: SimulatedSite, planned: PlannedShift, day: date) -> LoggedShift:
    """One shift as it goes, with everything written down."""
    night = float(np.exp(rng.normal(0, where.night_sd_ratio)))
    stretches = 60
    lane_s = planned.scrub_s / stretches * np.exp(rng.normal(0, 0.15, stretches)) / np.exp(0.15**2 / 2)
    drive_s = planned.drive_s / stretches * np.exp(rng.normal(0, 0.3, stretches)) / np.exp(0.3**2 / 2)
    scrubbed_s = where.scrubbing_ratio * night * float(lane_s.sum())
    driven_s = where.driving_ratio * night * float(np.exp(rng.normal(0, 0.05))) * float(drive_s.sum())
    one_stop_s = planned.stop_s / max(1, planned.stops) * where.stops_ratio
    stop_s = float((one_stop_s * (0.8 + rng.gamma(2, 0.1, planned.stops))).sum())
    hindrances = int(rng.poisson(where.hindrances_per_h * (scrubbed_s + driven_s) / 3600))
    hindered_s = float(rng.exponential(60, hindrances).sum())
    total_s = scrubbed_s + driven_s + stop_s + hindered_s
    water_l = (planned.water_l or 0) * where.water_ratio * float(np.exp(rng.normal(0, 0.05)))
    work_ratio = (scrubbed_s + 0.25 * driven_s) / (planned.scrub_s + 0.25 * planned.drive_s)
    used = (planned.charge_used_fraction or 0) * where.current_ratio * work_ratio * float(np.exp(rng.normal(0, 0.04)))
    before_h = [round(float(rng.uniform(300, 2000)), 1) for _ in range(3)]
    runs_h = (scrubbed_s / 3600, (scrubbed_s + driven_s) / 3600, (total_s - 0.6 * stop_s) / 3600)
    brush, traction, key = (
        MeterRun(before_h=before, after_h=round(before + run, 1)) for before, run in zip(before_h, runs_h, strict=True)
    )
    return LoggedShift(
        day=day,
        machine=MACHINE,
        site=SITE,
        planned=planned,
        done=DoneShift(
            total_s=300.0 * round(total_s / 300),
            brush=brush,
            traction=traction,
            key=key,
            stops=planned.stops,
            stop_s=300.0 * round(stop_s / 300),
            filled_l=5.0 * round(water_l / 5),
            dumped_l=5.0 * round(float(rng.uniform(0.86, 0.97)) * water_l / 5),
            charge_before_fraction=1.0,
            charge_after_fraction=round(1 - used + float(rng.normal(0, 0.03)), 2),
            area_m2=planned.area_m2,
            hindrances=hindrances,
        ),
    )


def nights(rng: np.random.Generator, where: SimulatedSite, count: int, *, kept_fraction: float) -> list[LoggedShift]:
    """A log of so many shifts, with so much of each written down; time in all always is."""
    log = []
    for number in range(count):
        shift = played(rng, where, plan(rng), FIRST_DAY + timedelta(days=number))
        names = ("brush", "traction", "key", "stop_s", "filled_l", "dumped_l", "charge_after_fraction", "hindrances")
        gone = {name: None for name in names if rng.random() > kept_fraction}
        log.append(replace(shift, done=replace(shift.done, **gone)))
    return log
