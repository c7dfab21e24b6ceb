"""Several jobs in one visit: each job has its best day, each trip costs money, so some jobs wait and some go early."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.wear.life import FloatArray, WeibullLife
from scrubwright.wear.replacement import ChangeCosts, best_age_h, cost_per_h

# A plan this close to the best is as good: 5 in 1,000 of its cost.
GAP_FRACTION = 5e-3
PATIENCE_S = 20.0
# A job left out costs this many of its dearest day at least, so that it is left out only for want of hours.
LEFT_OUT_RATIO = 10.0
# What the solver says of its search.
_BEST, _TIME_IS_UP, _NO_PLAN_CAN_BE = 0, 1, 2


class Urgency(StrEnum):
    """How badly a job must be in the plan."""

    CAN_WAIT = "can wait"
    SOON = "soon"
    STOPS_MACHINE = "stops the machine"


_URGENCY_RATIO = {Urgency.CAN_WAIT: 1.0, Urgency.SOON: 3.0, Urgency.STOPS_MACHINE: 10.0}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VisitJob:
    """One job that falls due at a site.

    Parameters
    ----------
    name
        What a person calls it; no two jobs have one name.
    site
        Name of its site.
    work_h
        Hours of work [h, >= 0].
    penalty_money
        What it costs to do it on each day of the plan and not on its best day, see `moving_penalty_money`
        [>= 0 or any sign], shape (days,).
    earliest_day, latest_day
        First and last day of the plan on which it may be done, from 0. A safety job's latest day is a hard one.
    urgency
        How badly it must be in the plan.
    is_safety
        Whether the machine must not run past the latest day without it.

    Raises
    ------
    BadInput
        A value outside its range, or days outside the plan.
    """

    name: str
    site: str
    work_h: float
    penalty_money: FloatArray
    earliest_day: int
    latest_day: int
    urgency: Urgency = Urgency.CAN_WAIT
    is_safety: bool = False

    def __post_init__(self) -> None:
        check_zero_or_more("work_h", self.work_h)
        if not (self.penalty_money.ndim == 1 and bool(np.all(np.isfinite(self.penalty_money)))):
            raise BadInput("The job {name} must have a cost for every day of the plan.", name=self.name)
        if not 0 <= self.earliest_day <= self.latest_day < len(self.penalty_money):
            raise BadInput(
                "The job {name} may be done from day {first} to day {last} of a plan of {days} days; enter days of the "
                "plan, the first one first.",
                name=self.name,
                first=self.earliest_day,
                last=self.latest_day,
                days=len(self.penalty_money),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitSite:
    """A site as a destination.

    Parameters
    ----------
    name
        What a person calls it.
    trip_money
        What a trip there costs, work aside [>= 0].
    travel_h
        Hours of travel there and back [h, >= 0].

    Raises
    ------
    BadInput
        A value below zero.
    """

    name: str
    trip_money: float
    travel_h: float = 0.0

    def __post_init__(self) -> None:
        check_zero_or_more("trip_money", self.trip_money)
        check_zero_or_more("travel_h", self.travel_h)


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One trip to one site on one day of the plan, and the jobs done there."""

    site: str
    day: int
    jobs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPlan:
    """Which jobs are done on which trip.

    Parameters
    ----------
    visits
        By day and site.
    not_planned
        Jobs for which no hours were left.
    machine_must_stand
        Safety jobs among them: their machine stands from the latest day until the job is done.
    cost_money
        Trips and moved jobs together, without what is not planned.
    gap_fraction
        How far a better plan may be cheaper, at most.
    """

    visits: tuple[Visit, ...]
    not_planned: tuple[str, ...]
    machine_must_stand: tuple[str, ...]
    cost_money: float
    gap_fraction: float


def moving_penalty_money(
    life: WeibullLife, costs: ChangeCosts, *, best_day: int, days: int, use_h_per_day: float
) -> FloatArray:
    """What it costs to change a part on each day of a plan and not on the day of its best age [money], shape (days,).

    Later, it fails more often; earlier, hours that are paid for are thrown away. About the best day both are even,
    so a day or two cost next to nothing.

    Parameters
    ----------
    life
        Curve of lives, wearing out.
    costs
        What changes cost; a failure costs more.
    best_day
        Day of the plan on which the part reaches its best age; below zero where that is past.
    days
        Days of the plan [>= 1].
    use_h_per_day
        Hours that its meter runs in a day [h/day, > 0].

    Raises
    ------
    BadInput
        A value outside its range.
    NoAnswer
        No age is better than waiting.

    Notes
    -----
    (cf - cp)[((T + d)/η)^β - (T/η)^β] - g d for d hours moved from the best age T, with g the least cost of an hour.
    For changes well inside a life: beyond one failure for each part it counts further failures too.

    **Source** Dekker, Integrating optimisation, priority setting, planning and combining of maintenance activities,
    European Journal of Operational Research 1995 (from memory); checked in
    tests/worked/test_wear_grouping_numbers.py.
    """
    check_above_zero("days", days)
    check_above_zero("use_h_per_day", use_h_per_day)
    best_h = best_age_h(life, costs)
    least_per_h = cost_per_h(life, costs, best_h)
    moved_h = use_h_per_day * (np.arange(days) - best_day)
    # No part is younger than new.
    age_h = np.maximum(best_h + moved_h, 0.0)
    more_failures = (age_h / life.scale_h) ** life.shape_ratio - (best_h / life.scale_h) ** life.shape_ratio
    told: FloatArray = (costs.failed_money - costs.planned_money) * more_failures - least_per_h * moved_h
    return told


def visit_plan(
    jobs: Sequence[VisitJob], sites: Sequence[VisitSite], *, day_h: FloatArray, patience_s: float = PATIENCE_S
) -> VisitPlan:
    """The cheapest days for the jobs, trips and moved jobs together.

    Parameters
    ----------
    jobs
        The jobs, all of one plan.
    sites
        Where they are.
    day_h
        Hours of all technicians on each day, travel included; 0 on a closed day [h, >= 0], shape (days,).
    patience_s
        How long the search may take [s, > 0].

    Raises
    ------
    BadInput
        Jobs, sites and days that do not belong together.
    NoAnswer
        Nothing was found in that time.

    Notes
    -----
    Safety jobs are done by their latest day; only where hours are too few for that, a plan with as few as possible
    of them left out is made, and it says which machine must stand. Others without hours are left out by urgency.

    **Source** mixed-integer programme, ours, solved by HiGHS; see docs/explanation/spares-and-replacement.md (all
    plans of small cases tried one by one in tests/worked/test_wear_grouping_numbers.py).
    """
    days = _checked(jobs, sites, day_h)
    check_above_zero("patience_s", patience_s)
    if not jobs:
        return VisitPlan(visits=(), not_planned=(), machine_must_stand=(), cost_money=0.0, gap_fraction=0.0)
    model = _Model(jobs, sites, day_h, days)
    found = model.solved(patience_s, safety_may_be_left_out=False)
    if found is None:
        found = model.solved(patience_s, safety_may_be_left_out=True)
    if found is None:
        raise NoAnswer("No plan was found for these jobs; check the hours of the technicians and of the jobs.")
    return found


def _checked(jobs: Sequence[VisitJob], sites: Sequence[VisitSite], day_h: FloatArray) -> int:
    if not (day_h.ndim == 1 and len(day_h) > 0 and bool(np.all((day_h >= 0) & np.isfinite(day_h)))):
        raise BadInput("The hours of the technicians must be given for each day, zero or more.")
    known = {site.name for site in sites}
    if len(known) < len(sites) or len({job.name for job in jobs}) < len(jobs):
        raise BadInput("Two jobs or two sites have one name; give each its own.")
    for job in jobs:
        if job.site not in known:
            raise BadInput("The job {name} is at {site}, which is no site of this plan.", name=job.name, site=job.site)
        if len(job.penalty_money) != len(day_h):
            raise BadInput("The job {name} must have a cost for every day of the plan.", name=job.name)
    return len(day_h)


class _Model:
    """Columns: a trip to each site on each day, each job on each day it may be done, each job left out."""

    def __init__(self, jobs: Sequence[VisitJob], sites: Sequence[VisitSite], day_h: FloatArray, days: int) -> None:
        self.jobs, self.sites, self.day_h, self.days = jobs, sites, day_h, days
        self.place = {site.name: number for number, site in enumerate(sites)}
        self.trips = len(sites) * days
        self.choices = [
            (number, day) for number, job in enumerate(jobs) for day in range(job.earliest_day, job.latest_day + 1)
        ]
        self.columns = self.trips + len(self.choices) + len(jobs)
        self._entries: list[tuple[int, int, float]] = []
        self._low: list[float] = []
        self._high: list[float] = []
        self._fill()

    def solved(self, patience_s: float, *, safety_may_be_left_out: bool) -> VisitPlan | None:
        """The plan, or None where no plan can be."""
        least = np.zeros(self.columns)
        most = np.ones(self.columns)
        for number, job in enumerate(self.jobs):
            if job.is_safety and not safety_may_be_left_out:
                most[self._left_out(number)] = 0.0
        rows, columns, values = zip(*self._entries, strict=True)
        matrix = coo_array((values, (rows, columns)), shape=(len(self._low), self.columns))
        found = milp(
            self._costs(),
            integrality=np.ones(self.columns, dtype=np.int64),
            bounds=Bounds(least, most),
            constraints=LinearConstraint(matrix.tocsr(), self._low, self._high),
            options={"time_limit": patience_s, "mip_rel_gap": GAP_FRACTION},
        )
        # Status first: a solver may hand back figures for a plan that it did not find.
        if found.status == _NO_PLAN_CAN_BE:
            return None
        if found.status not in (_BEST, _TIME_IS_UP) or found.x is None:
            raise NoAnswer(
                "No plan was found in {patience_s}; plan fewer days or fewer jobs at once.", patience_s=patience_s
            )
        return self._told(found.x > 0.5, float(found.mip_gap or 0.0))

    def _fill(self) -> None:
        by_job: dict[int, list[int]] = {}
        by_trip: dict[int, list[tuple[int, float]]] = {}
        for number, (job, day) in enumerate(self.choices):
            column = self.trips + number
            trip = self._trip(self.place[self.jobs[job].site], day)
            by_job.setdefault(job, []).append(column)
            by_trip.setdefault(trip, []).append((column, self.jobs[job].work_h))
            self._row([(column, 1.0), (trip, -1.0)], high=0.0)
        for job, chosen in by_job.items():
            self._row([*((column, 1.0) for column in chosen), (self._left_out(job), 1.0)], low=1.0, high=1.0)
        for place, site in enumerate(self.sites):
            for day in range(self.days):
                # Hours for each site and day, and not for the day alone: without it the search takes minutes.
                trip, room_h = self._trip(place, day), float(self.day_h[day]) - site.travel_h
                work = by_trip.get(trip, [])
                self._row([*work, (trip, -max(room_h, 0.0))], high=0.0)
                if room_h < 0:
                    self._row([(trip, 1.0)], high=0.0)
            self._cut(place, site)
        for day in range(self.days):
            row = [(self._trip(place, day), site.travel_h) for place, site in enumerate(self.sites)]
            row += [
                (self.trips + number, self.jobs[job].work_h)
                for number, (job, at) in enumerate(self.choices)
                if at == day
            ]
            self._row(row, high=float(self.day_h[day]))

    def _cut(self, place: int, site: VisitSite) -> None:
        """So many trips at least as the hours of its jobs ask for, those left out counted off."""
        room_h = float(self.day_h.max()) - site.travel_h
        here = [number for number, job in enumerate(self.jobs) if job.site == site.name]
        if room_h <= 0 or not here:
            return
        work_h = sum(self.jobs[number].work_h for number in here)
        trips = math.ceil(work_h / room_h - 1e-9)
        # A job left out frees one whole trip at most for each started trip of its own hours.
        freed = [(self._left_out(number), float(math.ceil(self.jobs[number].work_h / room_h))) for number in here]
        self._row([*((self._trip(place, day), 1.0) for day in range(self.days)), *freed], low=float(trips))

    def _costs(self) -> FloatArray:
        costs = np.zeros(self.columns)
        for place, site in enumerate(self.sites):
            costs[place * self.days : (place + 1) * self.days] = site.trip_money
        for number, (chosen, day) in enumerate(self.choices):
            costs[self.trips + number] = self.jobs[chosen].penalty_money[day]
        dearest = [self._dearest(job) for job in self.jobs]
        for number, job in enumerate(self.jobs):
            left_out = LEFT_OUT_RATIO * dearest[number] * _URGENCY_RATIO[job.urgency]
            # A safety job weighs more than all others together.
            costs[self._left_out(number)] = 100 * LEFT_OUT_RATIO * sum(dearest) if job.is_safety else left_out
        return costs

    def _dearest(self, job: VisitJob) -> float:
        allowed = job.penalty_money[job.earliest_day : job.latest_day + 1]
        return float(np.abs(allowed).max()) + self.sites[self.place[job.site]].trip_money + 1.0

    def _told(self, taken: NDArray[np.bool_], gap_fraction: float) -> VisitPlan:
        done: dict[tuple[int, str], list[str]] = {}
        cost = 0.0
        for number, (job, day) in enumerate(self.choices):
            if taken[self.trips + number]:
                done.setdefault((day, self.jobs[job].site), []).append(self.jobs[job].name)
                cost += float(self.jobs[job].penalty_money[day])
        cost += sum(self.sites[self.place[site]].trip_money for _, site in done)
        left = [job for number, job in enumerate(self.jobs) if taken[self._left_out(number)]]
        return VisitPlan(
            visits=tuple(Visit(site=site, day=day, jobs=tuple(names)) for (day, site), names in sorted(done.items())),
            not_planned=tuple(job.name for job in left),
            machine_must_stand=tuple(job.name for job in left if job.is_safety),
            cost_money=cost,
            gap_fraction=gap_fraction,
        )

    def _row(self, entries: Sequence[tuple[int, float]], *, low: float = -np.inf, high: float = np.inf) -> None:
        self._entries += [(len(self._low), column, value) for column, value in entries]
        self._low.append(low)
        self._high.append(high)

    def _trip(self, place: int, day: int) -> int:
        return place * self.days + day

    def _left_out(self, job: int) -> int:
        return self.trips + len(self.choices) + job
