"""Lengths of ways round obstacles against a path library of its own."""

import numpy as np
import pytest
import shapely
from extremitypathfinder import PolygonEnvironment
from shapely import Point, Polygon

from benchmarks.floors import free_form, random_plan
from benchmarks.reference_machine import reference_vehicle
from scrubwright.floor.free_floor import free_floor
from scrubwright.floor.site import FloorPlan
from scrubwright.floor.travel import travel_between

POINTS = 24


def machine_floor(plan: FloorPlan) -> Polygon:
    start = plan.service_points[0]
    return free_floor(plan, reference_vehicle(), ((start.x_m, start.y_m),)).centre


def points_inside_m(floor: Polygon, rng: np.random.Generator) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Points well inside, so that both sides judge sight alike."""
    room = shapely.buffer(floor, -0.1)
    low_x, low_y, high_x, high_y = floor.bounds
    found: list[tuple[float, float]] = []
    while len(found) < POINTS:
        x_m, y_m = rng.uniform(low_x, high_x), rng.uniform(low_y, high_y)
        if room.contains(Point(x_m, y_m)):
            found.append((float(x_m), float(y_m)))
    return np.array(found)


def library_for(floor: Polygon) -> PolygonEnvironment:
    """The library's own map of the same floor: outline anticlockwise, holes clockwise."""
    floor = shapely.orient_polygons(shapely.simplify(floor, 0.002), exterior_cw=False)
    environment = PolygonEnvironment()
    outline, *holes = (np.asarray(ring.coords)[:-1].astype(np.float64) for ring in (floor.exterior, *floor.interiors))
    environment.store(outline, holes, validate=False)
    environment.prepare()
    return environment


PLANS = [("free form", free_form(np.random.default_rng(1)))]
PLANS += [(f"random floor {seed}", random_plan(np.random.default_rng(seed))) for seed in (2, 9, 20, 23)]


@pytest.mark.parametrize("plan", [plan for _, plan in PLANS], ids=[name for name, _ in PLANS])
def test_ways_are_as_short_as_a_path_library_finds_them(plan: FloorPlan) -> None:
    floor = machine_floor(plan)
    points_m = points_inside_m(floor, np.random.default_rng(5))
    ours = travel_between(points_m, floor)
    library = library_for(floor)
    ratios = []
    for start in range(0, POINTS - 1, 2):
        _, length_m = library.find_shortest_path(*(tuple(point) for point in points_m[start : start + 2].tolist()))
        ratios.append(float(ours.distance_m[start, start + 1]) / length_m)
    # Ours may cut a corner by the slack of its sight test, and bends at corners moved by up to a centimetre.
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.002)
    assert 0.99 < min(ratios)
    assert max(ratios) < 1.01


@pytest.mark.parametrize("plan", [plan for _, plan in PLANS], ids=[name for name, _ in PLANS])
def test_the_way_itself_is_as_long_as_it_says_and_stays_on_the_floor(plan: FloorPlan) -> None:
    floor = machine_floor(plan)
    points_m = points_inside_m(floor, np.random.default_rng(6))
    travel = travel_between(points_m, floor)
    room = shapely.buffer(floor, 0.05, join_style="mitre")
    for start in range(POINTS):
        for goal in range(POINTS):
            if start != goal:
                way = shapely.LineString(travel.way_m(start, goal))
                assert way.length == pytest.approx(float(travel.distance_m[start, goal]), abs=0.01)
                assert room.covers(way)
