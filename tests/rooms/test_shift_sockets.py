"""Stops where the tank and the pack are filled at once, and breaks no longer than the charge asks for."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from shapely import box

from benchmarks.reference_machine import reference_plate
from benchmarks.shift_scenarios import lead_pack, machine_tonight
from scrubwright.battery.pack import ChargeProfile, Charger
from scrubwright.floor.site import ServicePoint, Site, Use
from scrubwright.jobs.shift_course import pack_tonight
from scrubwright.jobs.shift_loads import LoadKind
from scrubwright.jobs.shift_planned import Planned, shift_planned
from scrubwright.jobs.shift_question import ShiftQuestion
from tests.rooms.plain_floors import floor_plan

START = datetime(2026, 3, 2, 21, 30)
RESERVE = 0.2


def question(charge_fraction: float) -> ShiftQuestion:
    """A hall with a drain and tap at its far corner, and a drain with a socket at the near one."""
    points = (
        ServicePoint(name="closet", x_m=1.0, y_m=1.0, uses=frozenset({Use.DRAIN, Use.SOCKET})),
        ServicePoint(name="dock", x_m=59.0, y_m=29.0, uses=frozenset({Use.DRAIN, Use.TAP})),
    )
    racks = tuple(box(x, 6, x + 4, 24) for x in range(8, 56, 12))
    plan = floor_plan(box(0, 0, 60, 30), racks=racks, service_points=points)
    tonight = machine_tonight(pack=lead_pack(size_ratio=0.3), charge_fraction=charge_fraction)
    machine = replace(
        tonight,
        plate=replace(tonight.plate, tanks=reference_plate(tank_l=30.0).tanks),
        charger=Charger(name="charger", profile=ChargeProfile.IUIA, main_a=30.0),
    )
    return ShiftQuestion(
        site=Site(name="S", floors=(plan,)), machines=(machine,), start_at=START, dry_by=START + timedelta(hours=8)
    )


@pytest.fixture(scope="module")
def full() -> Planned:
    return shift_planned(question(0.95), rng=np.random.default_rng(1), samples=64)


def planned_at(charge_fraction: float, full: Planned) -> Planned:
    route = full.answer.route
    return shift_planned(question(charge_fraction), rng=np.random.default_rng(1), route=route, samples=64)


def drains_on_the_way(planned: Planned) -> set[str]:
    return {stop.drain for stop in planned.answer.route.routes[0].stops[:-1]}


def test_a_full_pack_lets_the_machine_empty_at_the_nearest_drain(full: Planned) -> None:
    assert drains_on_the_way(full) == {"dock"}
    assert full.answer.machines[0].charged_ah == 0


def test_a_low_pack_sends_it_to_the_drain_with_a_socket(full: Planned) -> None:
    low = planned_at(0.4, full)
    assert drains_on_the_way(low) == {"closet"}
    assert low.answer.machines[0].end_charge_fraction >= RESERVE - 1e-9
    driven = [sorted(lane.length_m for lane in each.answer.route.lanes) for each in (low, full)]
    assert driven[0] == driven[1]


@pytest.mark.parametrize("charge_fraction", [0.6, 0.5, 0.4, 0.35])
def test_no_placement_of_breaks_is_quicker_by_one_percent(charge_fraction: float, full: Planned) -> None:
    planned = planned_at(charge_fraction, full)
    loads, machine = planned.timed[0].loads, planned.answer.question.machines[0]
    # Whenever it charges, what this order of lanes lacks takes so long at the charger's full current.
    amperes = loads.current_a[loads.kind == LoadKind.CHARGE]
    assert np.all(amperes == -30.0)
    used_ah = float((loads.current_a * loads.duration_s)[loads.kind != LoadKind.CHARGE].sum()) / 3600
    lacks_ah = used_ah + (RESERVE - machine.charge_fraction) * float(pack_tonight(machine).wells.read_ah)
    other_s = float(loads.duration_s[loads.kind != LoadKind.CHARGE].sum())
    bound_s = other_s + max(lacks_ah, 0.0) / 30.0 * 3600
    assert bound_s - 1e-3 <= planned.answer.machines[0].finish_s <= 1.01 * bound_s


def test_without_charging_on_the_way_the_stops_stay_where_they_are(full: Planned) -> None:
    asked = question(0.4)
    never = replace(asked, settings=replace(asked.settings, charge_on_the_way=False))
    planned = shift_planned(never, rng=np.random.default_rng(1), route=full.answer.route, samples=64)
    assert drains_on_the_way(planned) == {"dock"}
