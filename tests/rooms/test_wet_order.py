"""Less wet floor crossed: hand-made cases, what is told of the rest, and sections of areas with people."""

from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from shapely import LineString, MultiPolygon, Polygon, box

from benchmarks.shift_scenarios import machine_tonight
from scrubwright.floor.blocks import neighbours
from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.links import Service, network
from scrubwright.floor.sections import LEAST_SECTION_S, section_starts
from scrubwright.floor.sequence import Tour, tour_of
from scrubwright.floor.site import Area, FloorPlan, Site
from scrubwright.floor.stages import Stages
from scrubwright.floor.tracks import Tracks
from scrubwright.floor.way import way_of
from scrubwright.floor.wet import wet_crossed_m, wet_crossings
from scrubwright.floor.wet_order import WetNight, drier_tour
from scrubwright.jobs.route_answer import Bites
from scrubwright.jobs.shift_answer import Doing
from scrubwright.jobs.shift_planned import Planned, shift_planned
from scrubwright.jobs.shift_question import ShiftQuestion
from scrubwright.jobs.shift_wet import wet_cautions
from scrubwright.measures.errors import BadInput
from tests.rooms.hall_answer import hall_answer
from tests.rooms.plain_floors import CLOSET, floor_plan, joined, one_polygon, plain_machine

MACHINE = plain_machine(deck_cycle_s=4.0)
START = datetime(2026, 3, 2, 21, 30)


SERVICE = Service(
    drains_m=((1.0, 1.0),),
    taps_m=((1.0, 1.0),),
    parking_m=(1.5, 2.0),
    empty_s=60.0,
    fill_s=60.0,
    capacity_l=1e6,
    dose_l_per_m2=0.1,
)


def weighed(
    lines: list[LineString],
    floor: Polygon,
    *,
    dry_s: float,
    stages: Stages | None = None,
    areas: list[int] | None = None,
) -> WetNight:
    """Lanes on a floor with closet and parking place in its corner."""
    numbers = areas or [0] * len(lines)
    lanes = tuple(LaneLine(line=line, area=area, kind="lane") for line, area in zip(lines, numbers, strict=True))
    net = network(lanes, MultiPolygon([floor]), floor.buffer(-0.55), MACHINE, SERVICE)
    return WetNight(
        net=net,
        tracks=Tracks(net, MACHINE.deck_width_m, dry_s),
        areas=("Hall", "Store"),
        stages=stages or Stages(dry_s=dry_s),
        penalty_s=neighbours(lanes, MACHINE.pitch_m).penalty_s(),
        lane_s=np.array([0.0, *(line.length / MACHINE.working_speed_m_per_s for line in lines)]),
    )


def driven_m(night: WetNight, tour: Tour) -> float:
    legs = way_of(tour, night.net, MACHINE, SERVICE)
    return wet_crossed_m(legs, MACHINE.deck_width_m, night.tracks.dry_s)


def upright(*x_low_high: tuple[float, float, float]) -> list[LineString]:
    return [LineString([(x, low), (x, high)]) for x, low, high in x_low_high]


def test_the_middle_one_of_three_lanes_is_not_driven_first() -> None:
    night = weighed(upright((10, 6, 14), (20, 2, 18), (30, 6, 14)), box(0, 0, 40, 20), dry_s=300.0)
    # Long middle lane up, left one down, right one up: the way from left to right at y = 6 crosses one deck's width.
    middle_first = tour_of(np.array([4, 3, 6]), night.net.links)
    assert driven_m(night, middle_first) >= 0.75 - 1e-6
    mended = drier_tour(middle_first, night)
    assert driven_m(night, mended) == 0.0
    assert sorted(mended.entries >> 1) == [1, 2, 3]


def test_out_of_a_dead_end_the_machine_scrubs_and_does_not_back_over_its_own_track() -> None:
    floor = joined(box(0, 0, 20, 6), box(8, 5.9, 9.2, 18))
    night = weighed(upright((8.6, 6.5, 17.4)), one_polygon(floor.geoms[0]), dry_s=300.0)
    inwards = tour_of(np.array([2]), night.net.links)
    # It backs out the whole lane of 10.9 m, of which a turn's length at each end does not count.
    assert driven_m(night, inwards) == pytest.approx(10.9 - 5.0, abs=0.6)
    outwards = drier_tour(inwards, night)
    assert outwards.entries.tolist() == [3]
    assert driven_m(night, outwards) == 0.0


def test_the_quick_sum_of_wet_floor_is_that_of_the_whole_way() -> None:
    rng = np.random.default_rng(4)
    lines = [LineString(rng.uniform(1.0, 29.0, (2, 2))) for _ in range(8)]
    night = weighed(lines, box(0, 0, 30, 30), dry_s=60.0)
    for _ in range(20):
        entries = 2 * rng.permutation(np.arange(1, 9)) + rng.integers(0, 2, 8)
        trial = night.trial(entries)
        assert trial.wet_m.sum() == pytest.approx(driven_m(night, trial.tour), abs=1e-6)
        assert trial.time_s == pytest.approx(trial.tour.cost_s, rel=1e-6)


def test_other_work_is_done_while_a_section_dries() -> None:
    hall = [(float(x), 2.0, 122.0) for x in np.arange(10) * 0.7 + 5] + [
        (float(x), 2.0, 122.0) for x in np.arange(10) * 0.7 + 25
    ]
    store = [(float(x), 2.0, 122.0) for x in np.arange(5) * 0.7 + 45]
    stages = Stages(dry_s=300.0, people=("Hall",), opens_s=400.0)
    night = weighed(upright(*hall, *store), box(0, 0, 60, 124), dry_s=300.0, stages=stages, areas=[0] * 20 + [1] * 5)
    up_and_down = np.array([2 * lane + lane % 2 for lane in range(1, 26)])
    before = night.trial(up_and_down)
    # Ten lanes of 96 s are a section; the eleventh must wait until the tenth has dried, less the way there.
    assert 380.0 < before.wait_s.sum() < 400.0
    after = night.trial(drier_tour(before.tour, night).entries)
    assert after.wait_s.sum() < 5.0
    assert after.time_s < before.time_s - 200.0


@pytest.mark.parametrize(
    ("areas", "begin_s", "starts"),
    [
        (["Hall", "Hall"], [0.0, LEAST_SECTION_S - 1], (0,)),
        (["Hall", "Hall"], [0.0, LEAST_SECTION_S], (0, 1)),
        (["Store", "Hall", "Store", "Hall"], [0.0, 1.0, 2.0, 3.0], (1, 3)),
        (["Double", "Double"], [0.0, 2 * LEAST_SECTION_S], (0,)),
        (["Store"], [0.0], ()),
    ],
)
def test_a_section_ends_with_its_area_or_after_a_time(
    areas: list[str], begin_s: list[float], starts: tuple[int, ...]
) -> None:
    assert section_starts(areas, begin_s, ["Hall", "Double"], ["Double"]) == starts


def test_wet_floor_that_is_left_is_told_at_its_block() -> None:
    answer = hall_answer()
    assert wet_cautions(answer, dry_s=0.0) == ()
    told = wet_cautions(answer, dry_s=1e6)
    crossings = [at for each in answer.routes for at in wet_crossings(each.legs, answer.deck_width_m, 1e6)]
    told_m = sum(float(str(dict(each.told.values)["wet_m"])) for each in told)
    assert told_m == pytest.approx(sum(each.crossed_m for each in crossings), abs=0.3 * len(crossings))
    assert {each.bites for each in told} == {Bites.BLOCKS}
    assert {block for each in told for block in each.blocks} <= {
        block.number for each in answer.routes for block in each.blocks
    }


@pytest.fixture(scope="module")
def market_day() -> Planned:
    """A hall with people and a store without, more work in the hall than in two sections."""
    hall = Area(name="Hall", outline=box(0, 0, 60, 36), people=True)
    store = Area(name="Store", outline=box(60, 0, 72, 36))
    racks = tuple(box(x, 6, x + 4, 30) for x in range(8, 56, 12))
    plan: FloorPlan = floor_plan(box(0, 0, 72, 36), racks=racks, areas=(hall, store), service_points=(CLOSET,))
    question = ShiftQuestion(
        site=Site(name="S", floors=(plan,)),
        machines=(machine_tonight(),),
        start_at=START,
        dry_by=START + timedelta(hours=8),
    )
    return shift_planned(question, rng=np.random.default_rng(1), samples=64)


def test_each_section_is_dry_before_the_next_one_of_its_area_is_begun(market_day: Planned) -> None:
    answer = market_day.answer
    sections = [each for each in answer.sections if each.name == "Hall"]
    assert len(sections) > 1
    for before, after in pairwise(sections):
        assert after.close_s >= before.open_s - 1e-6
    blocks = [number for each in sections for number in each.blocks]
    assert sorted(blocks) == [block.number for block in answer.route.routes[0].blocks if block.area == "Hall"]


def test_waits_for_sections_are_part_of_the_time(market_day: Planned) -> None:
    machine, route = market_day.answer.machines[0], market_day.answer.route.routes[0]
    waited_s = sum(each.end_s - each.start_s for each in machine.line if each.doing is Doing.WAIT)
    assert machine.finish_s == pytest.approx(route.total_time_s + waited_s, abs=1e-6)


def test_a_section_that_opens_before_it_is_wet_is_refused() -> None:
    with pytest.raises(BadInput, match="zero or more"):
        Stages(opens_s=-1.0)
