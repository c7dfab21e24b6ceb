"""The order of lanes against what CP-SAT proves and what OR-tools routing finds on the same lanes."""

import numpy as np
import pytest

from benchmarks.floors import free_form, random_plan
from benchmarks.lane_problem import LaneProblem, night_well_cut, problem_of
from benchmarks.reference_machine import reference_floor, reference_service, reference_vehicle
from benchmarks.solvers import driven_s, proved_tour, routed_tour
from scrubwright.floor.bound import least_links_s
from scrubwright.floor.night import Night, night
from scrubwright.floor.site import FloorPlan

PROOF_S = 60.0
# Small enough for a proof within the minute, large enough to go wrong: 20 to 60 lanes.
PROVED_FLOORS = (0, 12, 16, 24)


def in_free_order(plan: FloorPlan) -> tuple[Night, LaneProblem]:
    vehicle = reference_vehicle()
    found = night(
        plan, reference_floor(plan), vehicle, reference_service(plan), readable=False, rng=np.random.default_rng(1)
    )
    return found, problem_of(found.net, working_speed_m_per_s=vehicle.working_speed_m_per_s)


@pytest.mark.parametrize("seed", PROVED_FLOORS)
def test_the_planners_order_is_within_half_a_per_cent_of_the_proved_optimum(seed: int) -> None:
    found, problem = in_free_order(random_plan(np.random.default_rng(seed)))
    assert problem.lanes <= 100
    assert problem.least_trips == 1
    ours = tuple(int(entry) - 2 for entry in found.tours[0].entries)
    proof = proved_tour(problem, limit_s=PROOF_S, start=ours)
    work_s = float(problem.work_s.sum())
    assert work_s + driven_s(problem, ours) <= 1.005 * (work_s + proof.driven_s)
    # Our own bound is a bound, and CP-SAT's as well: none lies above the best tour that anybody found.
    best_s = min(proof.driven_s, driven_s(problem, ours))
    assert least_links_s(found.net.links) <= best_s + 0.01
    assert proof.bound_s <= best_s + 0.01 * problem.lanes


def test_the_planners_order_is_no_worse_than_general_routing_in_twenty_seconds() -> None:
    found, problem = in_free_order(free_form(np.random.default_rng(1)))
    routed = night_well_cut(problem, routed_tour(problem, limit_s=20))
    ours_s = found.work_s + found.tours[0].cost_s
    assert ours_s <= 1.005 * routed.total_s


def test_both_ways_of_cutting_a_tour_into_tankfuls_agree() -> None:
    found, problem = in_free_order(free_form(np.random.default_rng(2)))
    ours = tuple(int(entry) - 2 for entry in found.tours[0].entries)
    again = night_well_cut(problem, ours)
    assert again.total_s == pytest.approx(found.work_s + found.tours[0].cost_s, abs=0.1)
    assert again.trips == len(found.tours[0].stops) + 1
