"""Simulated fleets of known truth: how far the told health lies off, whether its band holds, and when it says replace.

`python -m benchmarks.quality.health`; rows go to `health.csv` here.

- bias: mean of told hours of a full pack over true ones, less one, over all packs and all readings from the 31st shift
  to the last one that the pack does;
- coverage: share of those where the truth lies in the told 80 % band;
- date: a pack is to be replaced from the first shift on in which a full pack no longer lasts 80 % of its first hours.
  Found: the first reading at which the told hours are fewer, less that shift. Ahead: so many shifts before it, the
  middle of the shifts that are told to be left, less the true ones. Not asked 35 shifts before or later, where "now"
  would always be near enough.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table

from benchmarks.pack_fleet import BEGIN, DAYS_PER_SHIFT, Reading, SimulatedPack, fleet_pack, shift_at, simulated_pack
from benchmarks.rows import commit, keep
from scrubwright.battery.charge_read import charge_read, was_run_down
from scrubwright.battery.health import Health, health
from scrubwright.battery.health_log import DischargeLog, discharge_log

PACKS = 60
LEADS_SHIFTS = (40, 60)
NEAR_SHIFTS = 35
FIRST_SHIFT = 31
SEED = 7
FLEETS = {
    "display, every shift": Reading(every=1, run_down_every=None, is_display=True),
    "display, every other shift": Reading(every=2, run_down_every=None, is_display=True),
    "gravity once a week, run down once a month": Reading(every=5, run_down_every=20),
    "gravity once a week, run down every two months": Reading(every=5, run_down_every=40),
    "run down once a month, flat end a fifth too low": Reading(every=5, run_down_every=20, first_fraction=0.8),
    "run down once a month, thin acid up to 0.012": Reading(every=5, run_down_every=20, stratified_ratio=0.012),
    "gravity once a week, never run down": Reading(every=5, run_down_every=None),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FleetResult:
    """What was told of a fleet against the truth.

    Parameters
    ----------
    told_over_true_ratio
        Hours of a full pack, for every reading that counts, shape (n,).
    is_inside
        Whether the truth lies in the band, shape (n,).
    late_ratio
        The first again, for the last 60 shifts of each pack alone, shape (m,).
    found_off_shifts
        Shift in which it was first told that the pack is to be replaced, less the true one, one a pack,
        shape (packs,); infinite where it never was.
    off_shifts
        By lead: told less true shifts until replacement, one a pack, shape (packs,).
    is_date_inside
        By lead: whether the true date lies in the told band, shape (packs,).
    """

    told_over_true_ratio: NDArray[np.float64]
    is_inside: NDArray[np.bool_]
    late_ratio: NDArray[np.float64]
    found_off_shifts: NDArray[np.float64]
    off_shifts: dict[int, NDArray[np.float64]]
    is_date_inside: dict[int, NDArray[np.bool_]]

    @property
    def bias_fraction(self) -> float:
        """Mean of told over true, less one."""
        return float(np.mean(self.told_over_true_ratio)) - 1

    @property
    def late_bias_fraction(self) -> float:
        """The same in the last 60 shifts."""
        return float(np.mean(self.late_ratio)) - 1

    @property
    def coverage_fraction(self) -> float:
        """Share of readings whose band holds the truth."""
        return float(np.mean(self.is_inside))

    @property
    def found_fraction(self) -> float:
        """Share of packs whose replacement was told within 35 shifts of the truth."""
        return float(np.mean(np.abs(self.found_off_shifts) <= NEAR_SHIFTS))

    def ahead_fraction(self, lead_shifts: int) -> float:
        """Share of packs whose replacement was told within 35 shifts, so many shifts ahead."""
        return float(np.mean(np.abs(self.off_shifts[lead_shifts]) <= NEAR_SHIFTS))


def fleet_result(
    seed: int,
    reading: Reading,
    *,
    packs: int = PACKS,
    leads_shifts: Sequence[int] = LEADS_SHIFTS,
    scale_follows: bool | None = None,
) -> FleetResult:
    """Simulate a fleet and tell it; `scale_follows` other than as the fleet is read is what must not be done."""
    rng = np.random.default_rng(seed)
    follows = reading.is_display if scale_follows is None else scale_follows
    steps: list[tuple[float, bool, bool]] = []
    found: list[float] = []
    off: dict[int, list[float]] = {lead: [] for lead in leads_shifts}
    inside: dict[int, list[bool]] = {lead: [] for lead in leads_shifts}
    for _ in range(packs):
        pack = simulated_pack(rng, reading)
        log = log_of(pack, reading)
        told = [(shift_at(step.at), step) for step in health(log, scale_follows=follows).trend]
        ended = [shift for shift, step in told if shift >= FIRST_SHIFT and step.full_pack_h < pack.work_h]
        found.append(ended[0] - pack.last_shift if ended else np.inf)
        for shift, step in told:
            if FIRST_SHIFT <= shift < pack.last_shift:
                true_h = float(pack.full_pack_h[shift])
                is_late = shift >= pack.last_shift - 60
                steps.append((step.full_pack_h / true_h, step.low_h <= true_h <= step.high_h, is_late))
        for lead in leads_shifts:
            left = _told_before(pack, log, lead, scale_follows=follows).shifts_until(pack.work_h)
            off[lead].append(left.likely_shifts - lead)
            inside[lead].append(left.low_shifts <= lead <= left.high_shifts)
    ratios = np.array([ratio for ratio, _, _ in steps])
    return FleetResult(
        told_over_true_ratio=ratios,
        is_inside=np.array([is_inside for _, is_inside, _ in steps]),
        late_ratio=ratios[np.array([is_late for _, _, is_late in steps])],
        found_off_shifts=np.array(found),
        off_shifts={lead: np.array(values) for lead, values in off.items()},
        is_date_inside={lead: np.array(values) for lead, values in inside.items()},
    )


def log_of(pack: SimulatedPack, reading: Reading) -> DischargeLog:
    """The discharges of a simulated pack, as the tool reads them."""
    paper = fleet_pack(reading)
    return discharge_log(pack.visits, lambda visit: charge_read(paper, visit), lambda visit: was_run_down(paper, visit))


def _told_before(pack: SimulatedPack, log: DischargeLog, lead: int, *, scale_follows: bool) -> Health:
    """What is told so many shifts before a pack no longer does its work, from what was written down by then."""
    at = BEGIN + timedelta(days=DAYS_PER_SHIFT * (pack.last_shift - lead) + 0.5)
    known = tuple(discharge for discharge in log.discharges if discharge.at <= at)
    return health(replace(log, discharges=known), scale_follows=scale_follows, at=at)


def main() -> None:
    """Measure, print and keep."""
    table = Table(title=f"{PACKS} packs a fleet, 5 % wrong entries")
    for name in (
        "fleet",
        "bias",
        "in the last 60",
        "80 % band",
        "found ±35",
        *(f"{lead} ahead" for lead in LEADS_SHIFTS),
    ):
        table.add_column(name, justify="left" if name == "fleet" else "right")
    results = {name: fleet_result(SEED, reading) for name, reading in FLEETS.items()}
    blind = "gravity never run down, taken for capacity"
    results[blind] = fleet_result(SEED, Reading(every=5, run_down_every=None), scale_follows=True)
    now = commit()
    rows = []
    for name, result in results.items():
        row = {
            "bias_fraction": result.bias_fraction,
            "late_bias_fraction": result.late_bias_fraction,
            "coverage_fraction": result.coverage_fraction,
            "found_fraction": result.found_fraction,
            **{f"ahead_{lead}_fraction": result.ahead_fraction(lead) for lead in LEADS_SHIFTS},
        }
        table.add_row(name, *(f"{value:.1%}" for value in row.values()))
        dated = {f"date_coverage_{lead}_fraction": float(np.mean(result.is_date_inside[lead])) for lead in LEADS_SHIFTS}
        rows.append({"commit": now, "fleet": name, **row, **dated})
    Console(width=140).print(table)
    keep(Path(__file__).with_name("health.csv"), rows, key=("commit", "fleet"))


if __name__ == "__main__":
    main()
