"""A small hall with racks, two machines and three dump stops, as a planner would answer it; built by hand."""

import itertools
import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon, box, union_all

from scrubwright.jobs.route_answer import (
    Bites,
    Block,
    Caution,
    Lane,
    LaneKind,
    LeftOut,
    Leg,
    LegKind,
    MachineRoute,
    Pattern,
    RouteAnswer,
    Stop,
)
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from tests.rooms.hall_plan import DRAINS, PARKING, hall_plan

DECK_M, OVERLAP_M, GAUGE_M = 0.75, 0.05, 0.4
SCRUB_M_PER_S, DRIVE_M_PER_S = 1.2, 1.5
DOSE_L_PER_M2, TANK_L, STOP_S = 0.08, 24.0, 480.0
HALL = union_all([box(0, 0, 42, 26), box(42, 22, 42.4, 22.88), box(42.4, 19, 48, 26)])
RACKS = [box(6, y, 36, y + 1.2) for y in (4.4, 9.4, 14.4, 19.4)] + [box(20.2, 7.1, 20.8, 7.7)]

Point = tuple[float, float]


@dataclass
class Night:
    """The way of one machine while it is being written down."""

    machine: int
    here: Point = PARKING
    now_s: float = 0.0
    solution_l: float = TANK_L
    recovered_l: float = 0.0
    used_l: float = 0.0
    legs: list[Leg] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    stops: list[Stop] = field(default_factory=list)

    def leg(
        self,
        kind: LegKind,
        points: list[Point],
        duration_s: float,
        *,
        lane: int | None = None,
        block: int | None = None,
        stop: int | None = None,
    ) -> None:
        self.legs.append(
            Leg(
                kind=kind,
                points_m=np.array(points, dtype=float),
                start_s=self.now_s,
                duration_s=duration_s,
                solution_l=self.solution_l,
                recovered_l=self.recovered_l,
                lane=lane,
                block=block,
                stop=stop,
            )
        )
        self.now_s += duration_s
        self.here = points[-1]

    def drive(self, there: Point, *, block: int | None = None, kind: LegKind = LegKind.DRIVE) -> None:
        way = way_between(self.here, there)
        if length_m(way) > 0:
            speed = DRIVE_M_PER_S if kind is LegKind.DRIVE else 0.6
            self.leg(kind, way, length_m(way) / speed + 2.0, block=block)

    def scrub(self, lane: Lane) -> None:
        points = [(float(x), float(y)) for x, y in lane.points_m]
        water_l = lane.length_m * DECK_M * DOSE_L_PER_M2
        self.solution_l -= water_l
        self.recovered_l += 0.95 * water_l
        self.used_l += water_l
        self.leg(LegKind.SCRUB, points, lane.length_m / SCRUB_M_PER_S, lane=lane.number, block=lane.block)

    def dump(self, drain: str) -> None:
        self.drive(DRAINS[drain])
        number = len(self.stops) + 1
        dumped_l, filled_l = self.recovered_l, TANK_L - self.solution_l
        arrive_s = self.now_s
        self.solution_l, self.recovered_l = TANK_L, 0.0
        self.leg(LegKind.STOP, [DRAINS[drain]], STOP_S, stop=number)
        self.stops.append(
            Stop(
                number=number,
                drain=drain,
                tap="Tap at " + drain.lower(),
                x_m=DRAINS[drain][0],
                y_m=DRAINS[drain][1],
                arrive_s=arrive_s,
                duration_s=STOP_S,
                dumped_l=dumped_l,
                filled_l=filled_l,
            )
        )

    def route(self, lanes: list[Lane]) -> MachineRoute:
        self.drive(PARKING)
        times = {kind: math.fsum(leg.duration_s for leg in self.legs if leg.kind is kind) for kind in LegKind}
        driven = [leg for leg in self.legs if leg.kind in (LegKind.DRIVE, LegKind.REVERSE)]
        return MachineRoute(
            machine=self.machine,
            legs=tuple(self.legs),
            blocks=tuple(self.blocks),
            stops=tuple(self.stops),
            scrub_time_s=times[LegKind.SCRUB],
            drive_time_s=times[LegKind.DRIVE] + times[LegKind.REVERSE],
            stop_time_s=times[LegKind.STOP],
            deck_down_length_m=math.fsum(lane.length_m for lane in lanes if lane.machine == self.machine),
            drive_length_m=math.fsum(length_m([(x, y) for x, y in leg.points_m]) for leg in driven),
            water_used_l=self.used_l,
        )


def length_m(points: list[Point]) -> float:
    return math.fsum(math.dist(a, b) for a, b in itertools.pairwise(points))


def way_between(here: Point, there: Point) -> list[Point]:
    """Straight, or round the racks by the nearer head of the hall."""
    if not any(LineString([here, there]).crosses(rack) for rack in RACKS) or here == there:
        return [here, there]
    head = 4.0 if here[0] + there[0] < 42 else 38.0
    return [here, (head, here[1]), (head, there[1]), there]


def spread(low: float, high: float) -> list[float]:
    count = math.ceil((high - low - 2 * GAUGE_M) / (DECK_M - OVERLAP_M)) + 1
    return [float(y) for y in np.linspace(low + GAUGE_M, high - GAUGE_M, count)]


def straight_lanes(across: list[float], low: float, high: float, *, upright: bool) -> list[NDArray[np.float64]]:
    lines = []
    for index, value in enumerate(across):
        ends = [(value, low), (value, high)] if upright else [(low, value), (high, value)]
        lines.append(np.array(ends if index % 2 == 0 else ends[::-1], dtype=float))
    return lines


def round_the_column(line: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    if not LineString(line).buffer(GAUGE_M).intersects(RACKS[-1]):
        return [line]
    before, behind = (19.6, 21.4) if line[0, 0] < line[1, 0] else (21.4, 19.6)
    return [np.array([line[0], (before, line[0, 1])]), np.array([(behind, line[1, 1]), line[1]])]


def pieces(shape: Polygon | MultiPolygon) -> MultiPolygon:
    parts = [part for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon) and part.area > 1e-9]
    return MultiPolygon(parts)


def hall_answer(*, machines: int = 2) -> RouteAnswer:
    """The answer for the small hall; with one machine, that one drives every block."""
    aisles = [(0.0, 4.4), (5.6, 9.4), (10.6, 14.4), (15.6, 19.4), (20.6, 26.0)]
    work: list[tuple[int, str, LaneKind, Pattern, list[NDArray[np.float64]]]] = [
        (1, "West end", LaneKind.LANE, Pattern.IN_ORDER, straight_lanes(spread(0, 6), 0.5, 25.5, upright=True))
    ]
    for number, (low, high) in enumerate(aisles, start=1):
        lines = straight_lanes(spread(low, high), 6.0, 36.0, upright=False)
        pattern = Pattern.EVERY_SECOND if number == 5 else Pattern.IN_ORDER
        if number == 2:
            lines = [part for line in lines for part in round_the_column(line)]
            pattern = Pattern.AS_LISTED
        work.append((1 if number < 3 else 2, f"Aisle {number}", LaneKind.LANE, pattern, lines))
    east = straight_lanes(spread(36, 42), 0.5, 25.5, upright=True)
    work.append((2, "East end", LaneKind.LANE, Pattern.IN_ORDER, east))
    corner = np.array([(6.0, 0.5), (36.0, 0.5), (41.5, 0.5), (41.5, 6.0), (41.5, 25.5)])
    work.append((2, "East end", LaneKind.EDGE, Pattern.SINGLE, [corner]))
    work.append((1, "Aisle 2", LaneKind.PATCH, Pattern.SINGLE, [np.array([(17.0, 6.2), (24.0, 6.2)])]))
    nights = {machine: Night(machine) for machine in range(1, machines + 1)}
    lanes: list[Lane] = []
    for block_number, (wanted, area, kind, pattern, lines) in enumerate(work, start=1):
        block_of(nights[min(wanted, machines)], lanes, block_number, area, kind, pattern, lines)
    routes = tuple(night.route(lanes) for night in nights.values())
    return answer_of(tuple(lanes), routes)


def block_of(
    night: Night,
    lanes: list[Lane],
    number: int,
    area: str,
    kind: LaneKind,
    pattern: Pattern,
    lines: list[NDArray[np.float64]],
) -> None:
    if pattern is Pattern.EVERY_SECOND:
        lines = lines[::2] + lines[1::2][::-1]
    need_l = math.fsum(LineString(line).length for line in lines) * DECK_M * DOSE_L_PER_M2
    if need_l > night.solution_l:
        night.dump("Drain west" if night.machine == 1 else "Drain east")
    start_s = math.nan
    made: list[Lane] = []
    for line in lines:
        lane = Lane(
            number=len(lanes) + 1,
            area=area,
            kind=kind,
            points_m=line,
            length_m=LineString(line).length,
            machine=night.machine,
            block=number,
        )
        first = (float(line[0, 0]), float(line[0, 1]))
        if not made:
            night.drive(first)
            start_s = night.now_s
        else:
            night.drive(first, block=number, kind=LegKind.REVERSE if len(made) == 2 else LegKind.DRIVE)
        night.scrub(lane)
        made.append(lane)
        lanes.append(lane)
    night.blocks.append(
        Block(
            number=number,
            area=area,
            kind=kind,
            pattern=pattern,
            lanes=tuple(lane.number for lane in made),
            entry_m=(float(made[0].points_m[0, 0]), float(made[0].points_m[0, 1])),
            exit_m=night.here,
            start_s=start_s,
            end_s=night.now_s,
            deck_down_length_m=math.fsum(lane.length_m for lane in made),
        )
    )


def answer_of(lanes: tuple[Lane, ...], routes: tuple[MachineRoute, ...]) -> RouteAnswer:
    free = HALL.difference(union_all(RACKS))
    cold = box(42.4, 19, 48, 26)
    reachable = free.intersection(box(0, 0, 42, 26))
    swept = [LineString(lane.points_m).buffer(DECK_M / 2, cap_style="flat", join_style="mitre") for lane in lanes]
    covered = union_all(swept).intersection(reachable)
    wide_enough = reachable.difference(covered).buffer(-0.1).buffer(0.1, join_style="mitre")
    left = [part for part in pieces(wide_enough).geoms if part.area > 0.05]
    deck_down_m = math.fsum(lane.length_m for lane in lanes)
    total_s = max(route.total_time_s for route in routes)
    trips = sum(len(route.stops) for route in routes)
    return RouteAnswer(
        site="Harbour market",
        floor="Ground floor",
        plan=hall_plan(pieces(free)),
        machine="Mid cylindrical, 0.75 m",
        verdict=Sentence(
            "Yes: {time_s} with {machines} machines and {trips} dump stops.",
            time_s=total_s,
            machines=len(routes),
            trips=trips,
        ),
        why=(
            Sentence(
                "Aisle {aisle_m} wide takes {passes} passes with this deck; {fewer} with {less_m} less overlap: "
                "saves {saving_s}.",
                aisle_m=3.8,
                passes=5,
                fewer=4,
                less_m=0.03,
                saving_s=420.0,
            ),
            Sentence("One tank of {tank_l} wets {wetted_m2}.", tank_l=TANK_L, wetted_m2=TANK_L / DOSE_L_PER_M2),
        ),
        cautions=(
            Caution(
                told=Sentence("Keep people off until the floor is dry; put signs at every way in before you wet it."),
                bites=Bites.START,
            ),
            Caution(told=Sentence("Shut the water off {run_out_m} before the wall.", run_out_m=1.2), bites=Bites.LANES),
            Caution(told=Sentence("Empty only into a drain that goes to the sewer."), bites=Bites.STOPS),
            Caution(told=Sentence("Straight up or down the ramp."), bites=Bites.BLOCKS, blocks=(7, 8)),
        ),
        free=pieces(free),
        reachable=pieces(reachable),
        covered=pieces(covered),
        lanes=lanes,
        routes=routes,
        missed=tuple(
            LeftOut(
                name=f"Strip {index}",
                area_m2=part.area,
                x_m=part.representative_point().x,
                y_m=part.representative_point().y,
                reason=Sentence(
                    "It is {narrow_m} wide beside a column; mop it by hand.", narrow_m=round(part.area**0.5, 2)
                ),
                outline=MultiPolygon([part]),
            )
            for index, part in enumerate(sorted(left, key=lambda part: -part.area), start=1)
        ),
        unreachable=(
            LeftOut(
                name="Cold room",
                area_m2=cold.area,
                x_m=45.2,
                y_m=22.5,
                reason=Sentence(
                    "The way in is {gap_m} wide; the machine needs {need_m}.", gap_m=0.88, need_m=2 * GAUGE_M
                ),
                outline=MultiPolygon([cold]),
            ),
        ),
        stays_wet=(
            LeftOut(
                name="Turn at the east end of aisle 3",
                area_m2=0.6,
                x_m=36.8,
                y_m=11.4,
                reason=Sentence("The squeegee swings out in the turn; wipe it by hand or turn wider."),
                outline=MultiPolygon([box(36.4, 11.0, 37.3, 11.7)]),
            ),
        ),
        deck_width_m=DECK_M,
        overlap_m=OVERLAP_M,
        solution_tank_l=TANK_L,
        recovery_tank_l=TANK_L * 1.1,
        floor_area_m2=free.area,
        reachable_area_m2=reachable.area,
        out_of_reach_m2=cold.area,
        hand_strip_m2=free.area - reachable.area - cold.area,
        coverage_fraction=covered.area / reachable.area,
        raster_coverage_fraction=covered.area / reachable.area - 0.0006,
        overlap_fraction=sum(part.area for part in swept) / covered.area - 1,
        deck_down_length_m=deck_down_m,
        length_bound_ratio=deck_down_m / (reachable.area / (DECK_M - OVERLAP_M)),
        total_time_s=total_s,
        lower_bound_s=total_s * 0.968,
        bound_gap_fraction=1 / 0.968 - 1,
        dump_trips=trips,
        dump_trips_bound=max(trips - 1, 0),
        planning_time_s=0.42,
        provenance=(
            Sourced(
                name="deck_width_m",
                value=DECK_M,
                origin=Origin.PLATE,
                detail=Sentence("Scrubbed width"),
            ),
            Sourced(
                name="solution_tank_l",
                value=TANK_L,
                origin=Origin.PLATE,
                detail=Sentence("Solution tank"),
            ),
            Sourced(
                name="dose_l_per_m2",
                value=DOSE_L_PER_M2,
                origin=Origin.COMMON_PRACTICE,
                detail=Sentence(
                    "Solution on the floor, usually {low_l_per_m2} to {high_l_per_m2}",
                    low_l_per_m2=0.04,
                    high_l_per_m2=0.08,
                ),
            ),
            Sourced(
                name="dump_time_s",
                value=STOP_S,
                origin=Origin.COMMON_PRACTICE,
                detail=Sentence("Time beside the drain"),
            ),
        ),
    )
