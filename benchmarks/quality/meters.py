"""Simulated machines with mistyped, replaced and rolling meters: what is found, and how often the told band holds.

`python -m benchmarks.quality.meters`; rows go to `meters.csv` here.

- slips, meters: share of the readings set aside that were mistyped by more than a day's work, and of such that were set
  aside; the same for meters found to be new;
- hours off: of all hours run, median and 95th percentile over the machines;
- coverage: share of true due dates inside the told 80 % band (whole days, rounded outward), early and late what came
  before and after it; by how far ahead the date was told;
- each machine is asked at its last reading for eight limits 5 to 120 days of its usual work ahead.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from rich.console import Console

from benchmarks.meter_fleet import KNOWN_DAYS, Fleet, simulated_fleet
from benchmarks.rows import commit, keep
from scrubwright.wear.band_factors import NEUTRAL, BandFactors, learned_factors, past_due
from scrubwright.wear.cleaning import STANDINGS, CleanBatch, Standing, cleaned
from scrubwright.wear.due_date import DueDays, due_days
from scrubwright.wear.hours_left import HoursLeft, sure_left
from scrubwright.wear.meters import Counts, MeterBatch
from scrubwright.wear.open_days import OpenDays
from scrubwright.wear.ratio import USUAL_RATIOS, MachineRatio, left_by_key, machine_ratio, shared_hours
from scrubwright.wear.usage import OPEN_DAYS_PRIOR, Usage, usage_at_each, usage_now

MACHINES, LIMITS, SEED = 500, 8, 7
BRUSH_READ_EVERY = 5
SLIP_H = 8.0
ASIDE = (Standing.DOES_NOT_FIT, Standing.TOO_MANY_DIGITS)
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """Limits that machines are asked for, and when they were really reached.

    Parameters
    ----------
    row
        Which machine, shape (limits,).
    left_h
        Hours from its last reading on [h].
    came_days
        Days from then [days].
    """

    row: NDArray[np.int64]
    left_h: Floats
    came_days: Floats


def asked(rng: np.random.Generator, fleet: Fleet, at_days: Floats, *, ratio: Floats | None = None) -> Asked:
    """Limits of every machine from given times on; a ratio makes them hours of another meter."""
    machines = len(at_days)
    ratio = np.ones(machines) if ratio is None else ratio
    row = np.repeat(np.arange(machines), LIMITS)
    ahead_days = np.exp(rng.uniform(np.log(5), np.log(120), len(row)))
    left_h = np.maximum(fleet.run_h[row, KNOWN_DAYS] / KNOWN_DAYS * ahead_days, 0.5)
    came = [
        fleet.came_days(machine, float(fleet.run_at_h(machine, at_days[machine])) + left) - at_days[machine]
        for machine, left in zip(row.tolist(), left_h.tolist(), strict=True)
    ]
    return Asked(row=row, left_h=left_h * ratio[row], came_days=np.array(came))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BandResult:
    """Told dates against the truth, in days from the last reading, shape (limits,)."""

    told: DueDays
    came_days: Floats

    @property
    def is_inside(self) -> NDArray[np.bool_]:
        """Whether the truth lies in the band."""
        return ~self.is_early & ~self.is_late

    @property
    def is_early(self) -> NDArray[np.bool_]:
        """Whether it came before the band."""
        return np.asarray(self.came_days < np.floor(self.told.low_days))

    @property
    def is_late(self) -> NDArray[np.bool_]:
        """Whether it came after the band."""
        return np.asarray(self.came_days > np.ceil(self.told.high_days))

    def row(self) -> dict[str, float]:
        """The figures kept."""
        ahead = self.told.likely_days
        within = {"0_14": ahead < 14, "14_45": (ahead >= 14) & (ahead < 45), "45": ahead >= 45}
        off = np.abs(self.told.likely_days - self.came_days)
        return {
            "coverage_fraction": float(self.is_inside.mean()),
            "early_fraction": float(self.is_early.mean()),
            "late_fraction": float(self.is_late.mean()),
            **{f"coverage_{name}_fraction": float(self.is_inside[which].mean()) for name, which in within.items()},
            "median_off_days": float(np.median(off)),
            "mean_off_days": float(np.mean(np.minimum(off, 365.0))),
            "median_width_days": float(np.median(self.told.high_days - self.told.low_days)),
        }


def band_result(usage: Usage, left: HoursLeft, limits: Asked, factors: BandFactors = NEUTRAL) -> BandResult:
    """Dates told from the last reading on, each on the usage of its own row."""
    told = due_days(
        usage.of(limits.row),
        left,
        read_days=np.zeros(len(limits.row)),
        today_days=0.0,
        factors=factors,
    )
    return BandResult(told=told, came_days=limits.came_days)


def fleet_result(seed: int, *, machines: int = MACHINES) -> tuple[dict[str, float], dict[str, BandResult]]:
    """What was found in the readings of a fleet, and its bands: neutral, and by factors of the fleet's own past."""
    rng = np.random.default_rng(seed)
    fleet = simulated_fleet(rng, machines)
    clean = cleaned(fleet.batch, now_days=float(KNOWN_DAYS))
    limits = asked(rng, fleet, last_days(fleet.batch, clean))
    usage, left = usage_now(fleet.batch, clean), sure_left(limits.left_h)
    factors = learned_factors(past_due(fleet.batch, clean, usage_at_each(fleet.batch, clean)))
    return found(fleet, clean), {
        "neutral": band_result(usage, left, limits),
        "learned": band_result(usage, left, limits, factors),
    }


def found(fleet: Fleet, clean: CleanBatch) -> dict[str, float]:
    """How well slips and new meters were found, and how far the hours are off."""
    aside = np.isin(
        clean.standing, [STANDINGS.index(each) for each in (Standing.DOES_NOT_FIT, Standing.TOO_MANY_DIGITS)]
    )
    machines = np.arange(len(clean.last))
    first = np.argmax(clean.is_accepted, axis=1)
    true_run = np.array([fleet.run_at_h(machine, fleet.batch.at_days[machine]) for machine in range(len(machines))])
    true_h = true_run[machines, np.maximum(clean.last, 0)] - true_run[machines, first]
    off = np.abs(clean.run_h[:, -1] - true_h) / np.maximum(true_h, 1.0)
    slip = fleet.is_typo & (np.abs(fleet.off_h) > SLIP_H)
    return {
        "slip_precision_fraction": float((aside & fleet.is_typo).sum() / aside.sum()),
        "slip_recall_fraction": float((aside & slip).sum() / slip.sum()),
        "new_meter_precision_fraction": float(
            (clean.is_new_meter & fleet.is_new_meter).sum() / clean.is_new_meter.sum()
        ),
        "new_meter_recall_fraction": float((clean.is_new_meter & fleet.is_new_meter).sum() / fleet.is_new_meter.sum()),
        "median_hours_off_fraction": float(np.median(off)),
        "hours_off_95_fraction": float(np.quantile(off, 0.95)),
    }


def last_days(batch: MeterBatch, clean: CleanBatch) -> Floats:
    """When each meter's last reading that counts was taken [days]."""
    return np.asarray(batch.at_days[np.arange(len(clean.last)), np.maximum(clean.last, 0)])


def calendar_result(seed: int, *, machines: int = MACHINES) -> dict[str, BandResult]:
    """The limits of `fleet_result` told with the days known on which each machine is planned to work."""
    rng = np.random.default_rng(seed)
    fleet = simulated_fleet(rng, machines)
    clean = cleaned(fleet.batch, now_days=float(KNOWN_DAYS))
    last = last_days(fleet.batch, clean)
    limits = asked(rng, fleet, last)
    gone = np.concatenate((np.zeros((machines, 1)), np.cumsum(fleet.is_open, axis=1)), axis=1)
    clocks = [OpenDays(start=date(2026, 1, 1), gone_days=each) for each in gone]
    open_at = np.array([clock.open_at_days(at) for clock, at in zip(clocks, fleet.batch.at_days, strict=True)])
    usage = usage_now(replace(fleet.batch, at_days=open_at), clean, OPEN_DAYS_PRIOR).of(limits.row)
    ends: list[list[Floats]] = [[], [], []]
    for machine, clock in enumerate(clocks):
        items = np.flatnonzero(limits.row == machine)
        read_days = np.full(len(items), last[machine])
        told = due_days(
            usage.of(items), sure_left(limits.left_h[items]), read_days=read_days, today_days=0.0, clock=clock
        )
        for end, days in zip(ends, (told.low_days, told.likely_days, told.high_days), strict=True):
            end.append(days - last[machine])
    low, likely, high = (np.concatenate(end) for end in ends)
    by_open_days = DueDays(low_days=low, likely_days=likely, high_days=high)
    return {"open days known": BandResult(told=by_open_days, came_days=limits.came_days)}


def brush_result(seed: int, *, machines: int = MACHINES) -> dict[str, BandResult]:
    """Limits in brush hours, that meter read at every fifth visit: by itself, by the key meter; and read each time."""
    rng = np.random.default_rng(seed)
    keys = simulated_fleet(rng, machines, is_dirty=False)
    brushes = _brush_meters(rng, keys)
    seldom = _every_fifth(brushes.batch)
    key_row, brush_row, seldom_row = np.arange(3 * machines).reshape(3, machines)
    batch = _together(keys.batch, brushes.batch, seldom)
    clean = cleaned(batch, now_days=float(KNOWN_DAYS))
    usage, last = usage_now(batch, clean), last_days(batch, clean)
    at, read = last[key_row], last[seldom_row]
    limits = asked(rng, brushes, at)
    row = limits.row
    # The limit stands on the brush meter, so the hours to it count from the last time that it was read.
    since_h = [float(brushes.run_at_h(each, at[each]) - brushes.run_at_h(each, read[each])) for each in range(machines)]
    left_seldom = limits.left_h + np.array(since_h)[row]
    own = due_days(usage.of(seldom_row[row]), sure_left(left_seldom), read_days=(read - at)[row], today_days=0.0)
    shared = shared_hours(batch, clean, seldom_row, key_row)
    believed = machine_ratio(shared.other_h, shared.key_h, USUAL_RATIOS[Counts.BRUSH])
    of_item = MachineRatio(mean_ratio=believed.mean_ratio[row], sd_ratio=believed.sd_ratio[row])
    by_key = left_by_key(left_seldom, of_item, key_since_h=shared.key_since_h[row])
    return {
        "brush read every fifth visit": BandResult(told=own, came_days=limits.came_days),
        "brush by the key meter": band_result(usage.of(key_row), by_key, limits),
        "brush read every visit": band_result(usage.of(brush_row), sure_left(limits.left_h), limits),
    }


def _brush_meters(rng: np.random.Generator, keys: Fleet) -> Fleet:
    """Brush meters of machines whose brushes turn for some 70 % of the key hours, read whenever the key meter is."""
    machines, batch = len(keys.run_h), keys.batch
    ratio = np.clip(rng.normal(0.70, 0.10, (machines, 1)), 0.4, 0.98)
    daily = np.clip(ratio * np.exp(rng.normal(0, 0.12, keys.is_open.shape)), 0.0, 1.0)
    run_h = np.cumsum(np.diff(keys.run_h, axis=1) * daily, axis=1)
    brushes = replace(keys, run_h=np.concatenate((np.zeros((machines, 1)), run_h), axis=1))
    value_h = np.array([brushes.run_at_h(machine, batch.at_days[machine]) for machine in range(machines)])
    shown_h = np.floor(value_h / batch.step_h[:, None]) * batch.step_h[:, None]
    return replace(brushes, batch=replace(batch, value_h=shown_h))


def _every_fifth(batch: MeterBatch) -> MeterBatch:
    """One reading in five of each row, the row filled up to its old length."""
    at_days, value_h = np.zeros(batch.at_days.shape), np.zeros(batch.at_days.shape)
    count = len(batch.at_days[0, ::BRUSH_READ_EVERY])
    at_days[:, :count], value_h[:, :count] = (each[:, ::BRUSH_READ_EVERY] for each in (batch.at_days, batch.value_h))
    return replace(batch, at_days=at_days, value_h=value_h, lengths=-(-batch.lengths // BRUSH_READ_EVERY))


def _together(*batches: MeterBatch) -> MeterBatch:
    """Batches of rows of one length as one."""
    return MeterBatch(
        **{field.name: np.concatenate([getattr(each, field.name) for each in batches]) for field in fields(MeterBatch)}
    )


def main() -> None:
    """Measure, print and keep."""
    console, now, rows = Console(width=140), commit(), []
    figures, bands = fleet_result(SEED)
    console.print({name: f"{value:.4f}" for name, value in figures.items()})
    others: tuple[Callable[[int], dict[str, BandResult]], ...] = (calendar_result, brush_result)
    for result in (bands, *(other(SEED) for other in others)):
        for name, band in result.items():
            row = band.row()
            console.print(name, {each: f"{value:.3f}" for each, value in row.items()})
            rows.append({"commit": now, "told": name, **row, **(figures if name == "neutral" else {})})
    keep(Path(__file__).with_name("meters.csv"), rows, key=("commit", "told"))


if __name__ == "__main__":
    main()
