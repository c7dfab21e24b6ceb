"""Water, charge, seconds and metres of a shift agree wherever they are told, on two hundred random nights."""

import json
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from shapely import MultiPolygon, box

from benchmarks.reference_machine import reference_plate
from scrubwright.battery.pack import ChargeProfile, Charger
from scrubwright.battery.voltage import cell_v
from scrubwright.floor.site import Area, FloorPlan, Place, Ramp, ServicePoint, Site, Use
from scrubwright.jobs.route_answer import LegKind
from scrubwright.jobs.shift_answer import Doing
from scrubwright.jobs.shift_course import PackTonight, pack_tonight
from scrubwright.jobs.shift_loads import LegLoads
from scrubwright.jobs.shift_planned import Planned, shift_planned
from scrubwright.jobs.shift_question import MachineTonight, ShiftQuestion, ShiftSettings
from scrubwright.machine.deck import PressureStep
from scrubwright.machine.parts import Currents
from scrubwright.machine.plate import Plate
from scrubwright.paperwork.shift_json import shift_json
from tests.rooms.pack_year import PACK

NIGHTS = 200
START = datetime(2026, 3, 2, 21, 30)


def drawing_current(plate: Plate) -> Plate:
    """The reference machine with what it draws."""
    deck = replace(
        plate.deck, pressure=tuple(PressureStep(name=n, down_force_kg=f, brush_current_a=a) for n, f, a in
                                   (("low", 30.0, 22.0), ("normal", 45.0, 32.0), ("high", 60.0, 41.0)))
    )  # fmt: skip
    currents = Currents(vacuum_a=20.0, traction_level_a=15.0, pump_a=2.0, idle_a=1.0)
    return replace(plate, deck=deck, currents=currents)


PLATE = drawing_current(reference_plate(tank_l=25.0))


def random_question(seed: int) -> ShiftQuestion:
    """A hall of two or three areas, now and then with a ramp, a double scrub, a window, or a second machine."""
    rng = np.random.default_rng(seed)
    wide_m, deep_m = rng.uniform(10, 15), rng.uniform(6.5, 8.5)
    cut_m = rng.uniform(0.35, 0.65) * wide_m
    areas = (
        Area(
            name="West",
            outline=box(0, 0, cut_m, deep_m),
            passes=int(rng.choice([1, 1, 2])),
            people=bool(rng.random() < 0.3),
        ),
        Area(
            name="East",
            outline=box(cut_m, 0, wide_m, deep_m),
            priority=int(rng.integers(1, 4)),
        ),
    )
    if rng.random() < 0.2:
        areas = (areas[0], replace(areas[1], window_from_h=21.75, window_until_h=6.0))
    ramps: tuple[Ramp, ...] = ()
    if rng.random() < 0.25:
        ramps = (Ramp(name="Ramp", outline=box(cut_m - 2, 2, cut_m + 2, 5), slope_fraction=0.03, uphill_rad=0.0),)
    uses = {Use.DRAIN, Use.TAP} | ({Use.SOCKET} if rng.random() < 0.5 else set())
    plan = FloorPlan(
        name="hall",
        outline=MultiPolygon([box(0, 0, wide_m, deep_m)]),
        areas=areas,
        ramps=ramps,
        service_points=(ServicePoint(name="closet", x_m=1.0, y_m=1.0, uses=frozenset(uses)),),
        parking=Place(name="bay", x_m=1.5, y_m=2.0),
    )
    machine = MachineTonight(
        plate=PLATE,
        pack=PACK,
        charge_fraction=float(rng.uniform(0.25, 1.0)),
        health_ratio=float(rng.uniform(0.7, 1.0)),
        charger=Charger(name="C", profile=ChargeProfile.IUIA, main_a=30.0) if rng.random() < 0.5 else None,
    )
    return ShiftQuestion(
        site=Site(name="S", floors=(plan,)),
        machines=(machine,) * int(rng.choice([1, 1, 1, 2])),
        start_at=START,
        dry_by=START + timedelta(hours=float(rng.uniform(1, 8))),
        settings=ShiftSettings(contact_s=float(rng.uniform(60, 300))),
    )


# One test a night, since a night costs more to plan than to check.
@pytest.mark.parametrize("seed", range(NIGHTS))
def test_everything_that_is_told_of_a_night_agrees(seed: int) -> None:
    planned = shift_planned(random_question(seed), rng=np.random.default_rng(seed), samples=64)
    seconds_agree_between_route_course_line_and_report(planned)
    water_agrees_between_route_loads_and_tanks(planned)
    charge_agrees_between_loads_and_pack(planned)
    metres_agree_between_lanes_legs_and_report(planned)
    contact_time_windows_and_sections_are_kept(planned)


def seconds_agree_between_route_course_line_and_report(planned: Planned) -> None:
    answer = planned.answer
    for machine, route, timed in zip(answer.machines, answer.route.routes, planned.timed, strict=True):
        paused_s = sum(
            stretch.end_s - stretch.start_s for stretch in machine.line if stretch.doing in (Doing.WAIT, Doing.CHARGE)
        )
        assert machine.finish_s == pytest.approx(route.total_time_s + paused_s, abs=1e-6)
        assert machine.course.end_s[-1] == pytest.approx(machine.finish_s, abs=1e-6)
        assert timed.loads.duration_s.sum() == pytest.approx(machine.finish_s, abs=1e-6)
        for before, after in zip(machine.line, machine.line[1:], strict=False):
            assert after.doing is Doing.DRYING or after.start_s == pytest.approx(before.end_s, abs=1e-6)
    last_s = max(machine.finish_s for machine in answer.machines)
    assert (answer.finish_at - START).total_seconds() == pytest.approx(last_s, abs=1e-3)
    told = json.loads(shift_json(answer))
    assert told["total_time_s"] == pytest.approx(answer.route.total_time_s, abs=0.01)


def water_agrees_between_route_loads_and_tanks(planned: Planned) -> None:
    answer = planned.answer
    for machine, route, timed in zip(answer.machines, answer.route.routes, planned.timed, strict=True):
        laid_l = float(timed.loads.water_l.sum())
        assert laid_l == pytest.approx(route.water_used_l, abs=1e-6)
        filled_l = sum(stop.filled_l for stop in route.stops)
        assert laid_l == pytest.approx(
            answer.route.solution_tank_l + filled_l - float(machine.course.solution_l[-1]), abs=1e-6
        )
        # What is dumped is what came back: the share of the plate, whichever pass took it up.
        dumped_l = sum(stop.dumped_l for stop in route.stops) + float(machine.course.recovered_l[-1])
        assert dumped_l == pytest.approx(PLATE.tanks.recovered_fraction * laid_l, rel=1e-9, abs=1e-6)
        assert timed.loads.water_l[timed.leg_of < 0].sum() == 0


def charge_agrees_between_loads_and_pack(planned: Planned) -> None:
    answer = planned.answer
    for machine, timed, given in zip(answer.machines, planned.timed, answer.question.machines, strict=True):
        loads = timed.loads
        read_ah = float(np.asarray(pack_tonight(given).wells.read_ah))
        drawn_ah = float((loads.current_a * loads.duration_s).sum() / 3600)
        charged = loads.current_a < 0
        in_ah = -float((loads.current_a * loads.duration_s)[charged].sum() / 3600)
        assert machine.charged_ah == pytest.approx(in_ah, abs=1e-9)
        end = given.charge_fraction - drawn_ah / read_ah
        if not charged.any():
            assert machine.end_charge_fraction == pytest.approx(end, abs=1e-9)
        else:
            # Near full a charger stops before it has given all that was planned.
            assert machine.end_charge_fraction <= end + 1e-9


def metres_agree_between_lanes_legs_and_report(planned: Planned) -> None:
    route = planned.answer.route
    scrubbed_m = sum(
        float(np.linalg.norm(np.diff(leg.points_m, axis=0), axis=1).sum())
        for each in route.routes
        for leg in each.legs
        if leg.kind is LegKind.SCRUB
    )
    assert scrubbed_m == pytest.approx(sum(lane.length_m for lane in route.lanes), rel=1e-9)
    assert scrubbed_m == pytest.approx(route.deck_down_length_m, rel=1e-9)


def contact_time_windows_and_sections_are_kept(planned: Planned) -> None:
    answer = planned.answer
    for timed in planned.timed:
        starts_s = timed.end_s - timed.loads.duration_s
        start_of = {int(leg): float(starts_s[at]) for at, leg in enumerate(timed.leg_of) if leg >= 0}
        for leg, first in enumerate(timed.row.first_of):
            if first is not None:
                assert start_of[leg] - start_of[first] >= answer.question.settings.contact_s - 1e-6
        for leg, area in enumerate(timed.row.area):
            if area == "East" and answer.route.plan.areas[-1].window_from_h == 21.75:
                assert start_of[leg] >= 15 * 60 - 1e-6
    for section in answer.sections:
        assert section.open_s > section.close_s
        assert section.name == "West"


SHARE = range(0, NIGHTS, 10)


def integrated(pack: PackTonight, charge_fraction: float, loads: LegLoads) -> NDArray[np.float64]:
    """Both wells [Ah] and the energy given [Wh] after all loads, by a general solver in small steps."""
    assert pack.curve is not None
    curve, cells, wells = pack.curve, pack.cells, pack.wells
    c, k = float(np.asarray(wells.available_fraction)), float(np.asarray(wells.exchange_per_h))
    full_ah = float(np.asarray(wells.most_ah))
    valve = k * c * (1 - c)

    def flow(_: float, y: NDArray[np.float64], drawn_a: float) -> list[float]:
        through = valve * (y[1] / (1 - c) - y[0] / c)
        emptied = min(max(1 - y[0] / (c * full_ah), 0.0), 0.999)
        return [-drawn_a + through, -through, drawn_a * float(cell_v(curve, emptied, drawn_a)) * cells]

    read_ah = float(np.asarray(wells.read_ah))
    state: NDArray[np.float64] = np.array([c, 1 - c, 0.0]) * (full_ah - (1 - charge_fraction) * read_ah)
    for amperes, seconds in zip(loads.current_a.tolist(), loads.duration_s.tolist(), strict=True):
        if seconds > 0:
            state = solve_ivp(flow, (0, seconds / 3600), state, args=(amperes,), rtol=1e-7, atol=1e-7).y[:, -1]
    return state


@pytest.mark.parametrize("seed", SHARE)
def test_energy_agrees_with_an_independent_integration(seed: int) -> None:
    question = replace(random_question(seed), settings=ShiftSettings(charge_on_the_way=False))
    planned = shift_planned(question, rng=np.random.default_rng(seed), samples=64)
    for timed, given, machine in zip(planned.timed, question.machines, planned.answer.machines, strict=True):
        pack = pack_tonight(given)
        state = integrated(pack, given.charge_fraction, timed.loads)
        if machine.end_charge_fraction > 0.15:
            assert machine.energy_wh == pytest.approx(state[2], rel=0.002)
        full_ah, read_ah = float(np.asarray(pack.wells.most_ah)), float(np.asarray(pack.wells.read_ah))
        assert full_ah - (1 - machine.end_charge_fraction) * read_ah == pytest.approx(state[0] + state[1], abs=1e-3)
