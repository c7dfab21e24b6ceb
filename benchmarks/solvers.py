"""Other people's solvers on the same lanes: OR-tools routing within a time, CP-SAT with a proof."""

import itertools
from dataclasses import dataclass

import numpy as np
from ortools.constraint_solver import pywrapcp, routing_enums_pb2
from ortools.sat.python import cp_model

from benchmarks.lane_problem import LaneProblem, Tour

# The solvers count in whole numbers; a millisecond a step is far below what a driver could tell.
STEPS_PER_S = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """The best tour that CP-SAT found, what it costs without stops, and the bound it proved [s]."""

    tour: Tour
    driven_s: float
    bound_s: float


def driven_s(problem: LaneProblem, tour: Tour) -> float:
    """Links of a tour from the parking place and back, stops left out [s]."""
    links_s = sum(float(problem.link_s[a ^ 1, b]) for a, b in itertools.pairwise(tour))
    return links_s + float(problem.start_s[tour[0]] + problem.home_s[tour[-1] ^ 1])


def _arcs(problem: LaneProblem) -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
    """Cost of each directed lane after each other, the parking place last [ms], shape (2N + 1, 2N + 1)."""
    ends = 2 * problem.lanes
    leave = np.arange(ends) ^ 1
    costs_s = np.zeros((ends + 1, ends + 1))
    costs_s[:ends, :ends] = problem.link_s[leave]
    costs_s[ends, :ends] = problem.start_s
    costs_s[:ends, ends] = problem.home_s[leave]
    return np.rint(costs_s * STEPS_PER_S).astype(np.int64)


def routed_tour(problem: LaneProblem, *, limit_s: int) -> Tour:
    """What OR-tools routing makes of the lanes: a generalised salesman, each lane in one of two directions.

    Guided local search from the cheapest arcs; the tank is left out and the tour cut afterwards.
    """
    arcs = _arcs(problem)
    home = len(arcs) - 1
    manager = pywrapcp.RoutingIndexManager(len(arcs), 1, home)
    routing = pywrapcp.RoutingModel(manager)
    transit = routing.RegisterTransitMatrix(arcs.tolist())
    routing.SetArcCostEvaluatorOfAllVehicles(transit)
    left_out = int(arcs.max()) * len(arcs)
    for lane in range(problem.lanes):
        routing.AddDisjunction([manager.NodeToIndex(2 * lane), manager.NodeToIndex(2 * lane + 1)], left_out, 1)
    wish = pywrapcp.DefaultRoutingSearchParameters()
    wish.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    wish.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    wish.time_limit.FromSeconds(limit_s)
    answer = routing.SolveWithParameters(wish)
    tour: list[int] = []
    at = answer.Value(routing.NextVar(routing.Start(0)))
    while not routing.IsEnd(at):
        tour.append(manager.IndexToNode(at))
        at = answer.Value(routing.NextVar(at))
    if sorted(entry // 2 for entry in tour) != list(range(problem.lanes)):
        raise RuntimeError("the routing solver left a lane out")
    return tuple(tour)


def proved_tour(problem: LaneProblem, *, limit_s: float, start: Tour = (), workers: int = 8) -> Proof:
    """The order of lanes that CP-SAT proves best, or how far it came within the time; the tank is left out.

    Eight workers even on two cores: among them are those whose linear relaxation carries the proof.
    """
    arcs = _arcs(problem)
    home = len(arcs) - 1
    model = cp_model.CpModel()
    taken = {}
    for before in range(home + 1):
        for after in range(home + 1):
            same_lane = before < home and after < home and before // 2 == after // 2
            if before != after and not same_lane:
                taken[before, after] = model.new_bool_var("")
    idle = [model.new_bool_var("") for _ in range(home)]
    for lane in range(problem.lanes):
        model.add_exactly_one(idle[2 * lane], idle[2 * lane + 1])
    model.add_circuit([(a, b, use) for (a, b), use in taken.items()] + [(a, a, use) for a, use in enumerate(idle)])
    model.minimize(sum(int(arcs[a, b]) * use for (a, b), use in taken.items()))
    if start:
        used = set(zip((home, *start), (*start, home), strict=True))
        for arc, use in taken.items():
            model.add_hint(use, arc in used)
        for end, use in enumerate(idle):
            model.add_hint(use, end not in start)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    solver.parameters.linearization_level = 2
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise RuntimeError("CP-SAT found no tour")
    after_of = {a: b for (a, b), use in taken.items() if solver.value(use)}
    tour, at = [], after_of[home]
    while at != home:
        tour.append(at)
        at = after_of[at]
    return Proof(
        tour=tuple(tour),
        driven_s=driven_s(problem, tuple(tour)),
        bound_s=solver.best_objective_bound / STEPS_PER_S,
    )
