"""Areas one after the other, double scrubs with time between, areas left out."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from shapely import box

from scrubwright.floor.site import Area
from scrubwright.floor.stages import Stages
from scrubwright.jobs.route_answer import LegKind, MachineRoute, RouteAnswer
from scrubwright.jobs.route_plan import RouteSettings
from scrubwright.measures.errors import BadInput
from tests.rooms.plain_floors import CLOSET, floor_plan
from tests.rooms.test_route_plan import answered

HALL = box(0, 0, 24, 12)
WEST = Area(name="West", outline=box(0, 0, 8, 12))
MIDDLE = Area(name="Middle", outline=box(8, 0, 16, 12))
EAST = Area(name="East", outline=box(16, 0, 24, 12))
DOUBLE = replace(MIDDLE, passes=2)


def planned(*areas: Area, machines: int = 1, settings: RouteSettings | None = None) -> RouteAnswer:
    plan = floor_plan(HALL, areas=areas, service_points=(CLOSET,))
    return answered(plan, machines=machines, settings=settings)


def areas_in_order(answer: RouteAnswer, route: MachineRoute) -> list[str]:
    area_of = {lane.number: lane.area for lane in answer.lanes}
    order = [area_of[leg.lane] for leg in route.legs if leg.kind is LegKind.SCRUB and leg.lane is not None]
    return [area for place, area in enumerate(order) if not place or area != order[place - 1]]


@pytest.mark.parametrize("order", [("East", "West", "Middle"), ("Middle", "East", "West")])
def test_stages_come_one_after_the_other(order: tuple[str, ...]) -> None:
    stages = Stages(stage_of=tuple((name, place) for place, name in enumerate(order)))
    answer = planned(WEST, MIDDLE, EAST, settings=RouteSettings(stages=stages))
    assert tuple(areas_in_order(answer, answer.routes[0])) == order


def test_stages_hold_for_each_of_two_machines() -> None:
    stages = Stages(stage_of=(("West", 1), ("Middle", 0), ("East", 1)))
    answer = planned(WEST, MIDDLE, EAST, machines=2, settings=RouteSettings(stages=stages))
    for route in answer.routes:
        order = areas_in_order(answer, route)
        assert "Middle" not in order[1:]


def test_one_stage_is_no_stage() -> None:
    one = planned(WEST, EAST)
    same = planned(WEST, EAST, settings=RouteSettings(stages=Stages(stage_of=(("West", 0), ("East", 0)))))
    assert same.total_time_s == one.total_time_s


@pytest.fixture(scope="module")
def double() -> RouteAnswer:
    return planned(WEST, DOUBLE, settings=RouteSettings(stages=Stages(contact_s=180.0)))


def test_every_lane_of_a_double_scrub_waits_for_its_second_pass(double: RouteAnswer) -> None:
    first_s: dict[frozenset[tuple[float, ...]], float] = {}
    waits_s = []
    lane_of = {lane.number: lane for lane in double.lanes}
    for leg in double.routes[0].legs:
        if leg.kind is not LegKind.SCRUB or leg.lane is None:
            continue
        lane = lane_of[leg.lane]
        shape = frozenset(map(tuple, np.round(lane.points_m, 6).tolist()))
        if lane.second:
            waits_s.append(leg.start_s - first_s[shape])
        elif lane.area == "Middle":
            first_s[shape] = leg.start_s
    assert len(waits_s) == len(first_s) > 3
    # Parts are of whole lanes, so that a lane may wait a little less; the shift puts a pause there.
    assert min(waits_s) >= 180.0 - 30.0
    # And none of them waits so long that it dries: no more than twice the time asked for.
    assert max(waits_s) < 2 * 180.0


def test_only_the_first_pass_lays_water_and_only_the_second_takes_it_up(double: RouteAnswer) -> None:
    second = {lane.number for lane in double.lanes if lane.second}
    twice = {lane.number for lane in double.lanes if lane.area == "Middle"} - second
    legs = double.routes[0].legs
    for before, leg in pairwise(legs):
        if leg.lane in second:
            assert leg.solution_l == pytest.approx(before.solution_l)
            assert leg.recovered_l > before.recovered_l
        if leg.lane in twice:
            assert leg.solution_l < before.solution_l
            assert leg.recovered_l == pytest.approx(before.recovered_l)


def test_an_area_left_out_is_not_scrubbed() -> None:
    answer = planned(WEST, MIDDLE, EAST, settings=RouteSettings(leave_out=("Middle",)))
    assert {lane.area for lane in answer.lanes} == {"West", "East"}


def test_edges_left_out_save_time() -> None:
    askew = Area(name="All", outline=box(0, 0, 24, 12))
    whole, inner = planned(askew), planned(askew, settings=RouteSettings(edges=False))
    assert inner.total_time_s <= whole.total_time_s


@pytest.mark.parametrize(
    ("leave_out", "said"), [(("Nowhere",), "has no area Nowhere"), (("West", "East"), "Every area of")]
)
def test_leaving_out_what_is_not_there_or_everything_is_refused(leave_out: tuple[str, ...], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        planned(WEST, EAST, settings=RouteSettings(leave_out=leave_out))


def test_a_contact_time_below_zero_is_refused() -> None:
    with pytest.raises(BadInput, match="zero or more"):
        Stages(contact_s=-1.0)
