"""The rest of a shift in the middle of it, what cannot be asked, and wet floor."""

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, box

from scrubwright.floor.site import Area, FloorPlan, Place, ServicePoint, Site, Use
from scrubwright.floor.wet import wet_crossed_m
from scrubwright.jobs.route_answer import LegKind
from scrubwright.jobs.shift_planned import Planned, shift_planned
from scrubwright.jobs.shift_question import Air, MachineTonight, ShiftQuestion, ShiftSettings
from scrubwright.jobs.shift_rest import rest_of_shift
from scrubwright.measures.errors import BadInput, NoAnswer
from tests.properties.test_shift_balance import PLATE, START
from tests.rooms.pack_year import PACK

HALL = box(0, 0, 24, 12)


def question(*areas: Area, machines: int = 1, **changes: object) -> ShiftQuestion:
    plan = FloorPlan(
        name="hall",
        outline=MultiPolygon([HALL]),
        areas=areas or (Area(name="All", outline=HALL),),
        service_points=(ServicePoint(name="closet", x_m=1.0, y_m=1.0, uses=frozenset({Use.DRAIN, Use.TAP})),),
        parking=Place(name="bay", x_m=1.5, y_m=2.0),
    )
    machine = MachineTonight(plate=PLATE, pack=PACK, charge_fraction=0.9)
    asked = ShiftQuestion(
        site=Site(name="S", floors=(plan,)),
        machines=(machine,) * machines,
        start_at=START,
        dry_by=START + timedelta(hours=6),
    )
    return replace(asked, **changes)  # type: ignore[arg-type]


def planned(asked: ShiftQuestion) -> Planned:
    return shift_planned(asked, rng=np.random.default_rng(1), samples=64)


def rest(whole: Planned, done: list[int], **changes: object) -> Planned:
    now = START + timedelta(minutes=10)
    return rest_of_shift(
        whole.answer,
        done,
        now=now,
        charge_fraction=0.8,
        rng=np.random.default_rng(2),
        samples=64,
        **changes,  # type: ignore[arg-type]
    )


def shapes(found: Planned) -> list[bytes]:
    lines = [np.round(lane.points_m, 4) for lane in found.answer.route.lanes]
    return sorted(line[np.lexsort(line.T)].tobytes() for line in lines)


@pytest.fixture(scope="module")
def whole() -> Planned:
    return planned(question())


def test_done_lanes_stay_done_and_all_others_are_driven(whole: Planned) -> None:
    lanes = whole.answer.route.lanes
    done = [lane.number for lane in lanes[: len(lanes) // 2]]
    after = rest(whole, done)
    left = [np.round(lane.points_m, 4) for lane in lanes if lane.number not in done]
    assert shapes(after) == sorted(line[np.lexsort(line.T)].tobytes() for line in left)


def test_it_goes_on_from_where_it_stands_with_what_is_in_the_tank(whole: Planned) -> None:
    lanes = whole.answer.route.lanes
    done = [lane.number for lane in lanes[:5]]
    after = rest(whole, done)
    leg = next(leg for leg in whole.answer.route.routes[0].legs if leg.lane == done[-1])
    first = after.answer.route.routes[0].legs[0]
    assert first.points_m[0] == pytest.approx(leg.points_m[-1], abs=0.6)
    water_l = float(after.timed[0].loads.water_l[0])
    assert first.solution_l == pytest.approx(leg.solution_l - water_l, abs=1e-6)
    assert after.answer.question.start_at == START + timedelta(minutes=10)


def test_a_blocked_aisle_is_neither_scrubbed_nor_driven_through(whole: Planned) -> None:
    blocked = box(10, 5, 13, 8)
    after = rest(whole, [lane.number for lane in whole.answer.route.lanes[:3]], blocked=blocked)
    assert len(after.answer.route.lanes) < len(whole.answer.route.lanes) - 3
    for leg in after.answer.route.routes[0].legs:
        if len(leg.points_m) > 1:
            assert shapely.LineString(leg.points_m).distance(blocked) > 0.2


def test_the_lanes_of_a_lost_machine_are_taken_over() -> None:
    two = planned(question(machines=2))
    done = [lane.number for lane in two.answer.route.lanes[:4]]
    after = rest(two, done, machines=1)
    assert len(after.answer.route.routes) == 1
    assert len(after.answer.route.lanes) == len(two.answer.route.lanes) - 4


def test_a_double_scrub_that_is_half_done_is_done_again() -> None:
    twice = Area(name="All", outline=HALL, passes=2)
    double = planned(question(twice, settings=ShiftSettings(contact_s=60.0)))
    lanes = double.answer.route.lanes
    second = next(place for place, lane in enumerate(lanes) if lane.second)
    after = rest(double, [lane.number for lane in lanes[:second]])
    assert len(after.answer.route.lanes) == len(lanes)
    both = [lane.number for lane in lanes[: 2 * second]]
    assert all(lane.second for lane in lanes[second : 2 * second])
    assert len(rest(double, both).answer.route.lanes) == len(lanes) - 2 * second


def test_what_is_left_of_nothing_is_told(whole: Planned) -> None:
    with pytest.raises(NoAnswer, match="can go home"):
        rest(whole, [lane.number for lane in whole.answer.route.lanes])


def test_a_lane_that_is_not_there_and_too_many_machines_are_refused(whole: Planned) -> None:
    with pytest.raises(BadInput, match="no lane 999"):
        rest(whole, [999])
    with pytest.raises(BadInput, match="from 1 to that"):
        rest(whole, [1], machines=3)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda: question(dry_by=START), "enter a start before that"),
        (lambda: question(dry_by=START + timedelta(hours=25)), "more than a day"),
        (lambda: question(machines=0), "No machine"),
        (lambda: MachineTonight(plate=PLATE, pack=PACK, charge_fraction=1.4), "0.85 for 85 %"),
        (lambda: MachineTonight(plate=replace(PLATE, currents=None), pack=PACK, charge_fraction=0.9), "what it draws"),
        (lambda: Air(humidity_fraction=1.0), "from 0 to below 1"),
        (lambda: Air(air_k=20.0), "thermometer"),
        (lambda: ShiftSettings(reserve_fraction=1.0), "from 0 to below 1"),
        (lambda: planned(question(settings=ShiftSettings(leave_out=("Nowhere",)))), "has no area Nowhere"),
        (lambda: planned(question(settings=ShiftSettings(flow="flood"))), "flood"),
        (lambda: planned(question(settings=ShiftSettings(pressure="brutal"))), "brutal"),
        (
            lambda: planned(question(Area(name="Day", outline=HALL, window_from_h=12.0, window_until_h=14.0))),
            "may not be wet at any time",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(change: object, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        change()  # type: ignore[operator]


def test_an_area_waits_for_its_hours_and_is_told_when_it_stays_wet_too_long() -> None:
    late = Area(name="Late", outline=HALL, window_from_h=22.0, window_until_h=22.05)
    answer = planned(question(late)).answer
    starts_s = [leg.duration_s for leg in answer.route.routes[0].legs if leg.kind is LegKind.SCRUB]
    assert starts_s
    assert "Late is still wet when its hours end" in str(answer.why)


@dataclass(frozen=True)
class Piece:
    kind: str
    points_m: NDArray[np.float64]
    duration_s: float


def piece(kind: str, *points_m: tuple[float, float], seconds: float = 10.0) -> Piece:
    return Piece(kind=kind, points_m=np.array(points_m, dtype=np.float64), duration_s=seconds)


def test_driving_across_a_wet_lane_counts_and_across_a_dry_one_does_not() -> None:
    lane = piece("scrub", (0, 0), (20, 0))
    away = piece("drive", (20, 0), (20, -8), (10, -8))
    across = piece("drive", (10, -8), (10, 8))
    # The lane is 0.8 m wide and is crossed at a right angle.
    assert wet_crossed_m([lane, away, across], 0.8, dry_s=300.0) == pytest.approx(0.8, abs=1e-6)
    assert wet_crossed_m([lane, piece("stop", (20, 0), seconds=400.0), away, across], 0.8, dry_s=300.0) == 0.0
    assert wet_crossed_m([away, across], 0.8, dry_s=300.0) == 0.0


def test_a_turn_at_the_end_of_a_lane_is_no_crossing() -> None:
    turn = piece("drive", (20, 0), (21, 0.35), (20, 0.7))
    assert (
        wet_crossed_m([piece("scrub", (0, 0), (20, 0)), turn, piece("scrub", (20, 0.7), (0, 0.7))], 0.8, 300.0) == 0.0
    )
