"""The stages in a row: free floor, lanes, links, order, bound."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from scrubwright.floor.blocks import Neighbours, neighbours
from scrubwright.floor.bound import least_links_s
from scrubwright.floor.free_floor import FreeFloor, as_multipolygon
from scrubwright.floor.lane_plan import LanePlan, cut_for_tankfuls, lane_plans
from scrubwright.floor.lanes import LaneLine, dry_floor_worth_s
from scrubwright.floor.links import Network, Service, network
from scrubwright.floor.sequence import Tour, best_tour, tour_of
from scrubwright.floor.sharing import part_of, shared_tours
from scrubwright.floor.site import FloorPlan, Ramp
from scrubwright.floor.stages import Stages, firsts, staged, with_second_passes
from scrubwright.floor.tracks import Tracks
from scrubwright.floor.vehicle import Vehicle
from scrubwright.floor.wet_order import MOST_TRIALS, WetNight, drier_tour

ROUNDS_A_LANE = 40
FEWEST_ROUNDS = 600
MOST_ROUNDS = 60_000
TRIAL_ROUNDS = 150


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Night:
    """Everything planned for one floor and one night.

    Parameters
    ----------
    floor, lanes, net
        The stages' records.
    beside
        Which lanes a driver finds from which without a look at the sheet.
    tours
        One a machine.
    work_s
        Deck-down time of all lanes [s].
    least_s
        No order of these lanes lets the last machine finish sooner [s].
    """

    floor: FreeFloor
    lanes: LanePlan
    net: Network
    beside: Neighbours
    tours: tuple[Tour, ...]
    work_s: float
    least_s: float


def night(
    plan: FloorPlan,
    floor: FreeFloor,
    vehicle: Vehicle,
    service: Service,
    *,
    scrubbed_ramps: Sequence[Ramp] = (),
    machines: int = 1,
    readable: bool = True,
    stages: Stages | None = None,
    rng: np.random.Generator,
    progress: Callable[[float], None] | None = None,
) -> Night:
    """Plan the night on one floor.

    Parameters
    ----------
    plan, floor, vehicle, service
        The floor, what of it the machine comes to, the machine, and where it is parked, emptied and filled.
    scrubbed_ramps
        Ramps that the machine may scrub; the others are only crossed.
    machines
        How many of them work at once, all from the same parking place [>= 1].
    readable
        Whether to prefer orders that a driver can follow.
    stages
        Which areas come before which, and how long solution acts between two passes; None: no order, no time.
    rng
        Where chance comes from; the same generator gives the same night.
    progress
        Called now and then with the share done, 0 to 1.

    Raises
    ------
    BadInput, NoAnswer
        From the stages.

    **Source** ours, see docs/explanation/free-floor.md and its neighbours.
    """
    tell = progress or (lambda _: None)
    tell(0.0)
    # Nothing turns round on a ramp.
    slopes = shapely.union_all([ramp.outline for ramp in plan.ramps])
    level = as_multipolygon(shapely.difference(floor.free, slopes)) if plan.ramps else floor.free
    plans = lane_plans(plan, floor, vehicle, scrubbed_ramps=scrubbed_ramps)
    tried = [_joined(each, level, floor.centre, vehicle, service) for each in plans]
    tell(0.2)
    lanes, net = tried[0] if len(tried) == 1 else min(tried, key=lambda each: _trial_s(each[0], each[1], vehicle, rng))
    tell(0.25)
    beside = neighbours(lanes.lanes, vehicle.pitch_m)
    penalty_s = beside.penalty_s() if readable else None
    rounds = min(MOST_ROUNDS, FEWEST_ROUNDS + ROUNDS_A_LANE * len(lanes.lanes))
    work_s = deck_down_s(lanes.lanes, vehicle)
    tours = _tours(
        net,
        lanes,
        vehicle,
        beside,
        penalty_s,
        work_s,
        machines,
        rounds,
        rng,
        stages or Stages(),
        lambda part: tell(0.25 + 0.6 * part),
    )
    tell(0.85)
    least_s = (float(work_s.sum()) + least_links_s(net.links, machines)) / machines
    tell(1.0)
    return Night(
        floor=floor, lanes=lanes, net=net, beside=beside, tours=tours, work_s=float(work_s.sum()), least_s=least_s
    )


def _tours(
    net: Network,
    lanes: LanePlan,
    vehicle: Vehicle,
    beside: Neighbours,
    penalty_s: NDArray[np.float32] | None,
    work_s: NDArray[np.float64],
    machines: int,
    rounds: int,
    rng: np.random.Generator,
    stages: Stages,
    tell: Callable[[float], None],
) -> tuple[Tour, ...]:
    """One tour a machine: first passes in the best order, put into stages, second passes put in."""
    first = firsts(lanes.lanes)
    is_plain = len(first) == len(lanes.lanes)
    links, ends = (net.links, np.arange(len(net.links.link_s))) if is_plain else part_of(net.links, first)
    penalty = penalty_s if is_plain or penalty_s is None else penalty_s[np.ix_(ends, ends)]
    one = best_tour(links, penalty, rounds if machines == 1 else rounds // 2, rng, tell)
    tours = (
        (one,) if machines == 1 else shared_tours(one, links, penalty, work_s[ends[::2] >> 1], machines, rounds, rng)
    )
    found = []
    for tour in tours:
        whole = tour if is_plain else tour_of(ends[tour.entries], net.links)
        whole = staged(
            whole,
            lanes.lanes,
            net.links,
            stages.numbers(lanes.areas),
            rounds=rounds if machines == 1 else 0,
            penalty_s=penalty_s,
            rng=rng,
        )
        if not is_plain:
            whole = with_second_passes(whole, lanes.lanes, net.links, work_s, stages.contact_s)
        found.append(whole)
    return kept_dry(found, net, lanes.areas, beside, vehicle, stages)


def kept_dry(
    tours: Sequence[Tour],
    net: Network,
    areas: tuple[str, ...],
    beside: Neighbours,
    vehicle: Vehicle,
    stages: Stages,
    *,
    start: int = 1,
    used_l: float = 0.0,
    trials: int = MOST_TRIALS,
) -> tuple[Tour, ...]:
    """The tours bent so that they cross less wet floor and wait less, where floor stays wet at all.

    Parameters
    ----------
    tours, net, areas, beside
        The orders, what they run on, the names of areas, and which lanes lie beside which.
    vehicle, stages
        The machine, and how long floor stays wet and where people are.
    start, used_l
        As in `tour_of`.
    trials
        How many orders are tried out for each tour at most.
    """
    if not stages.dry_s > 0:
        return tuple(tours)
    weighed = WetNight(
        net=net,
        tracks=Tracks(net, vehicle.deck_width_m, stages.dry_s),
        areas=areas,
        stages=stages,
        penalty_s=beside.penalty_s(),
        lane_s=deck_down_s(net.lanes, vehicle),
        start=start,
        used_l=used_l,
    )
    return tuple(drier_tour(tour, weighed, trials=trials) for tour in tours)


def deck_down_s(lanes: Sequence[LaneLine], vehicle: Vehicle) -> NDArray[np.float64]:
    """Time that each lane takes with the deck down, the parking place's (zero) first [s], shape (lanes + 1,).

    **Source** identity.
    """
    return np.array([0.0, *(lane.line.length / vehicle.working_speed_m_per_s for lane in lanes)])


def _joined(
    lanes: LanePlan, level: MultiPolygon, centre: Polygon, vehicle: Vehicle, service: Service
) -> tuple[LanePlan, Network]:
    """Lanes cut for the tank, and what joins them; the machine turns round on `level` floor alone."""
    pieces = cut_for_tankfuls(lanes.lanes, service.dose_l_per_m2, vehicle.pitch_m, service.capacity_l)
    return replace(lanes, lanes=pieces), network(pieces, level, centre, vehicle, service)


def _trial_s(lanes: LanePlan, net: Network, vehicle: Vehicle, rng: np.random.Generator) -> float:
    """Time of a night over these lanes after a short search [s]; what stays dry counts as in `lane_plan`."""
    driven_s = sum(lane.line.length for lane in lanes.lanes) / vehicle.working_speed_m_per_s
    missed_s = dry_floor_worth_s(lanes.coverage.dry.area, vehicle)
    return float(driven_s + missed_s + best_tour(net.links, None, TRIAL_ROUNDS, rng).cost_s)
