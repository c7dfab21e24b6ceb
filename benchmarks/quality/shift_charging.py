"""Charging on the way beside what no plan can undercut, on nights that begin with less and less charge.

`python -m benchmarks.quality.shift_charging`; rows go to `shift_charging.csv` here. Stores with a drain that has a
socket and another that has none. Two bounds stand beside the time planned. For the order of lanes as it is: its route,
waits, and the ampere-hours that it lacks, at the charger's full current. For any order: the proved least of the route,
and what scrubbing and the least driving lack. Where a night is not done, the first
bound tells whether it could have been. Where the lock-out acts before the reserve is touched, a break is longer than
the ampere-hours ask for.
"""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from benchmarks.floors import store_of
from benchmarks.rows import commit, keep
from benchmarks.shift_scenarios import lead_pack, machine_tonight
from scrubwright.battery.pack import ChargeProfile, Charger
from scrubwright.floor.site import ServicePoint, Site, Use
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.shift_answer import Doing
from scrubwright.jobs.shift_course import pack_tonight
from scrubwright.jobs.shift_loads import LoadKind
from scrubwright.jobs.shift_planned import Planned, shift_planned
from scrubwright.jobs.shift_question import ShiftQuestion

AREAS_M2 = (3_000, 6_000)
CHARGES_FRACTION = (0.95, 0.7, 0.6, 0.5, 0.4, 0.3)
START, WINDOW_H = datetime(2026, 4, 9, 20, 0), 10.0
_SECONDS_PER_H = 3600.0


def question_of(area_m2: int, charge_fraction: float) -> ShiftQuestion:
    """A night in a store of that size, its pack grown with the floor."""
    plan = store_of(np.random.default_rng(1), area_m2=float(area_m2))
    closet = plan.service_points[0]
    _, _, far_m, _ = plan.outline.bounds
    points = (
        replace(closet, uses=frozenset({Use.DRAIN, Use.TAP, Use.SOCKET})),
        ServicePoint(name="dock", x_m=far_m - 0.8, y_m=0.8, uses=frozenset({Use.DRAIN, Use.TAP})),
    )
    machine = machine_tonight(pack=lead_pack(size_ratio=1.1 * area_m2 / 10_000), charge_fraction=charge_fraction)
    return ShiftQuestion(
        site=Site(name=plan.name, floors=(replace(plan, service_points=points),)),
        machines=(replace(machine, charger=Charger(name="charger", profile=ChargeProfile.IUIA, main_a=30.0)),),
        start_at=START,
        dry_by=START + timedelta(hours=WINDOW_H),
    )


def row_of(area_m2: int, planned: Planned) -> dict[str, object]:
    """The night planned, and both bounds."""
    answer, timed = planned.answer, planned.timed[0]
    machine, shift = answer.question.machines[0], answer.machines[0]
    read_ah = float(np.asarray(pack_tonight(machine).wells.read_ah))
    amperes = machine.charger.main_a if machine.charger is not None else 0.0
    drawn_ah = timed.loads.current_a * timed.loads.duration_s / _SECONDS_PER_H
    lacks_ah = (answer.question.settings.reserve_fraction - machine.charge_fraction) * read_ah
    waits_s = sum(each.end_s - each.start_s for each in shift.line if each.doing is Doing.WAIT)
    order_s = answer.route.total_time_s + waits_s
    order_s += _charging_s(lacks_ah + float(drawn_ah[timed.loads.kind != LoadKind.CHARGE].sum()), amperes)
    scrub, drive = timed.loads.kind == LoadKind.SCRUB, timed.loads.kind == LoadKind.DRIVE
    route = answer.route.routes[0]
    # Whatever the order, so long is driven with the deck up, at no less than the current on level floor.
    drive_s = max(0.0, answer.route.lower_bound_s - route.scrub_time_s - route.stop_time_s)
    least_ah = float(drawn_ah[scrub].sum() + drive_s * timed.loads.current_a[drive].min() / _SECONDS_PER_H)
    least_s = answer.route.lower_bound_s + _charging_s(lacks_ah + least_ah, amperes)
    is_done = shift.end_charge_fraction >= answer.question.settings.reserve_fraction - 1e-6
    return {
        "commit": commit(),
        "area_m2": area_m2,
        "charge_fraction": machine.charge_fraction,
        "charged_ah": shift.charged_ah,
        "finish_s": shift.finish_s,
        "order_bound_s": order_s,
        "least_s": least_s,
        "over_order_fraction": shift.finish_s / order_s - 1 if is_done else float("nan"),
        "over_least_fraction": shift.finish_s / least_s - 1 if is_done else float("nan"),
        "done": is_done,
        "could_be_done": order_s + answer.dry_s[1] <= answer.question.window_s,
        "command": "python -m benchmarks.quality.shift_charging",
    }


def _charging_s(lacks_ah: float, amperes: float) -> float:
    return max(lacks_ah, 0.0) / amperes * _SECONDS_PER_H


def main() -> None:
    """Measure, print and keep."""
    table = Table(title="Charging on the way against bounds")
    for name in ("floor m2", "charge", "Ah charged", "over the order's bound", "over any order's", "done", "could be"):
        table.add_column(name, justify="right")
    rows = []
    for area_m2 in AREAS_M2:
        route: RouteAnswer | None = None
        for charge_fraction in CHARGES_FRACTION:
            question = question_of(area_m2, charge_fraction)
            planned = shift_planned(question, rng=np.random.default_rng(1), route=route, samples=64)
            # The fullest night needs no charging: its route is the quickest, and the others begin with it.
            route = route or planned.answer.route
            row = row_of(area_m2, planned)
            rows.append(row)
            over = (f"{row[name]:.4f}" for name in ("over_order_fraction", "over_least_fraction"))
            done = (str(row[name]) for name in ("done", "could_be_done"))
            table.add_row(f"{area_m2:,}", f"{charge_fraction:.2f}", f"{row['charged_ah']:.0f}", *over, *done)
    console = Console(width=120)
    console.print(table)
    keep(Path(__file__).with_name("shift_charging.csv"), rows, key=("commit", "area_m2", "charge_fraction"))


if __name__ == "__main__":
    main()
