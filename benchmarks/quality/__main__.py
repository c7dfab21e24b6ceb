"""Plan the four buildings with the reference machine and print each figure beside its target.

`python -m benchmarks.quality [store warehouse school free_form]`; rows go to `plans.csv` here.
"""

import sys
import time
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from benchmarks import floors
from benchmarks.lane_problem import lawn_mower_tour, night_in_order, night_well_cut, problem_of, sets_of
from benchmarks.quality.targets import AIMS, TARGETS, Targets
from benchmarks.raster import covered_fraction
from benchmarks.reference_machine import (
    DOSE_L_PER_M2,
    EMPTY_S,
    FILL_S,
    TANK_L,
    reference_floor,
    reference_plate,
    reference_service,
    reference_vehicle,
)
from benchmarks.rows import commit, keep
from benchmarks.solvers import routed_tour
from scrubwright.floor.coverage import measured_coverage
from scrubwright.floor.edges import with_edges
from scrubwright.floor.frame import wall_frame
from scrubwright.floor.lane_plan import cut_for_tankfuls
from scrubwright.floor.lanes import swept_lanes
from scrubwright.floor.links import network
from scrubwright.floor.night import night
from scrubwright.floor.site import FloorPlan, Site
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.route_plan import route_plan

SEED = 1
ROUTING_S = 20
PLANS = {"store": floors.store, "warehouse": floors.warehouse, "school": floors.school, "free_form": floors.free_form}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One plan, measured; times are those of the whole night."""

    commit: str
    plan: str
    lanes: int
    free_m2: float
    reachable_m2: float
    coverage_fraction: float
    counted_coverage_fraction: float
    overlap_fraction: float
    length_bound_ratio: float
    total_s: float
    over_ideal_ratio: float
    bound_s: float
    answer_gap_fraction: float
    bound_gap_fraction: float
    free_order_s: float
    readable_over_free_ratio: float
    trips: int
    least_trips: int
    naive_s: float
    one_way_s: float
    one_way_coverage_fraction: float
    gain_over_one_way_fraction: float
    gain_over_naive_fraction: float
    routing_s: float
    over_routing_ratio: float
    blocks: int
    planning_s: float


def measured(name: str) -> Row:
    """Plan one building and let the rivals order the same lanes."""
    plan = PLANS[name](np.random.default_rng(SEED))
    answer = route_plan(
        Site(name=name, floors=(plan,)),
        reference_plate(),
        rng=np.random.default_rng(SEED),
        clock=time.perf_counter,
    )
    naive_s, free_s, routing_s = _rivals_s(plan)
    one_way_s, one_way_coverage_fraction = _one_way_night(plan)
    return Row(
        commit=commit(),
        plan=name,
        lanes=len(answer.lanes),
        free_m2=answer.floor_area_m2,
        reachable_m2=answer.reachable_area_m2,
        coverage_fraction=answer.coverage_fraction,
        counted_coverage_fraction=_counted_fraction(answer),
        overlap_fraction=answer.overlap_fraction,
        length_bound_ratio=answer.length_bound_ratio,
        total_s=answer.total_time_s,
        over_ideal_ratio=answer.total_time_s / ideal_s(answer.reachable_area_m2),
        bound_s=answer.lower_bound_s,
        answer_gap_fraction=answer.bound_gap_fraction,
        bound_gap_fraction=free_s / answer.lower_bound_s - 1,
        free_order_s=free_s,
        readable_over_free_ratio=answer.total_time_s / free_s,
        trips=answer.dump_trips,
        least_trips=answer.dump_trips_bound,
        naive_s=naive_s,
        one_way_s=one_way_s,
        one_way_coverage_fraction=one_way_coverage_fraction,
        gain_over_one_way_fraction=1 - answer.total_time_s / one_way_s,
        gain_over_naive_fraction=1 - answer.total_time_s / naive_s,
        routing_s=routing_s,
        over_routing_ratio=answer.total_time_s / routing_s,
        blocks=len(answer.routes[0].blocks),
        planning_s=answer.planning_time_s,
    )


def ideal_s(reachable_m2: float) -> float:
    """Time if every square metre were driven once and nothing else but the stops that the water asks for [s]."""
    vehicle = reference_vehicle()
    stops = max(0, int(np.ceil(reachable_m2 * DOSE_L_PER_M2 / TANK_L)) - 1)
    return reachable_m2 / (vehicle.pitch_m * vehicle.working_speed_m_per_s) + stops * (EMPTY_S + FILL_S)


def _counted_fraction(answer: RouteAnswer) -> float:
    lanes_m = [lane.points_m for lane in answer.lanes]
    return covered_fraction(answer.reachable, lanes_m, deck_width_m=answer.deck_width_m)


def _rivals_s(plan: FloorPlan) -> tuple[float, float, float]:
    """Whole nights by the naive lawn-mower, by the planner in free order, and by the routing solver [s]."""
    vehicle = reference_vehicle()
    free = night(
        plan, reference_floor(plan), vehicle, reference_service(plan), readable=False, rng=np.random.default_rng(SEED)
    )
    problem = problem_of(free.net, working_speed_m_per_s=vehicle.working_speed_m_per_s)
    naive = night_in_order(problem, lawn_mower_tour(problem, sets_of(free.net, pitch_m=vehicle.pitch_m)))
    routed = night_well_cut(problem, routed_tour(problem, limit_s=ROUTING_S))
    return naive.total_s, free.work_s + free.tours[0].cost_s, routed.total_s


def _one_way_night(plan: FloorPlan) -> tuple[float, float]:
    """The classical lawn-mower: all lanes one way, wall passes, set by set: its night [s] and coverage.

    Of the two ways along the walls the quicker is taken.
    """
    vehicle, floor, service = reference_vehicle(), reference_floor(plan), reference_service(plan)
    frame = wall_frame(floor.centre)
    nights = []
    for look in frame.looks()[:2]:
        lanes, _ = swept_lanes(floor.centre, floor.centre, look, vehicle, number=0, one_way=True)
        lanes = with_edges(lanes, floor.centre, floor.reachable, vehicle.deck_width_m, walls=True, number=0)
        cut = cut_for_tankfuls(lanes, service.dose_l_per_m2, vehicle.pitch_m, service.capacity_l)
        net = network(cut, floor.free, floor.centre, vehicle, service)
        problem = problem_of(net, working_speed_m_per_s=vehicle.working_speed_m_per_s)
        found = night_in_order(problem, lawn_mower_tour(problem, sets_of(net, pitch_m=vehicle.pitch_m)))
        covered = measured_coverage(cut, floor.reachable, vehicle.deck_width_m).coverage_fraction
        nights.append((found.total_s, covered))
    return min(nights)


def _told(row: Row, target: Targets) -> list[tuple[str, str, str, bool | None]]:
    """Figure, value, target and whether it is met; None where no target is set."""

    def most(name: str, decimals: int = 3) -> tuple[str, str, str, bool]:
        value, limit = getattr(row, name), getattr(target, name)
        aim = f" (aim {AIMS[name]:g})" if name in AIMS and (name != "length_bound_ratio" or row.plan == "store") else ""
        return name, f"{value:.{decimals}f}", f"<= {limit:g}{aim}", value <= limit

    def least(name: str, decimals: int = 3) -> tuple[str, str, str, bool]:
        value, limit = getattr(row, name), getattr(target, name)
        return name, f"{value:.{decimals}f}", f">= {limit:g}", value >= limit

    apart = abs(row.coverage_fraction - row.counted_coverage_fraction)
    return [
        ("free / reachable m2", f"{row.free_m2:,.0f} / {row.reachable_m2:,.0f}", "", None),
        ("lanes, blocks", f"{row.lanes}, {row.blocks}", "", None),
        least("coverage_fraction", 4),
        ("counted on a raster", f"{row.counted_coverage_fraction:.4f}", "within 0.002", apart <= 0.002),
        ("overlap_fraction", f"{row.overlap_fraction:.3f}", "", None),
        most("length_bound_ratio"),
        ("total", f"{row.total_s:,.0f} s", "", None),
        most("over_ideal_ratio"),
        most("bound_gap_fraction", 4),
        ("gap of the readable order", f"{row.answer_gap_fraction:.4f}", "", None),
        most("readable_over_free_ratio"),
        (
            "trips",
            f"{row.trips} of {row.least_trips}",
            f"<= +{target.spare_trips}",
            row.trips - row.least_trips <= target.spare_trips,
        ),
        ("set by set on the same lanes", f"{row.naive_s:,.0f} s", "", None),
        ("gain over it", f"{row.gain_over_naive_fraction:.3f}", "", None),
        ("one-way lawn-mower", f"{row.one_way_s:,.0f} s at {row.one_way_coverage_fraction:.4f}", "", None),
        least("gain_over_one_way_fraction"),
        (f"routing solver, {ROUTING_S} s", f"{row.routing_s:,.0f} s", "", None),
        ("total / routing solver", f"{row.over_routing_ratio:.4f}", "", None),
        most("planning_s", 1),
    ]


def main(names: list[str]) -> None:
    """Measure, print and keep."""
    rows = []
    table = Table("figure", title="Plans of the reference machine, measured against targets", expand=False)
    columns = []
    for name in names or list(PLANS):
        row = measured(name)
        rows.append(row)
        table.add_column(name)
        columns.append(_told(row, TARGETS[name]))
    mark = {True: "met", False: "NOT met", None: ""}
    for lines in zip(*columns, strict=True):
        cells = [" ".join(filter(None, (value, limit, mark[met]))) for _, value, limit, met in lines]
        table.add_row(lines[0][0], *cells)
    Console(width=200).print(table)
    keep(Path(__file__).with_name("plans.csv"), [asdict(row) for row in rows], key=("commit", "plan"))


if __name__ == "__main__":
    main(sys.argv[1:])
