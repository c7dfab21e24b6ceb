"""The proof of how good an order can be, against the best of all orders."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from scrubwright.floor.bound import least_links_s
from scrubwright.floor.sequence import Links, best_tour
from tests.rooms.plain_floors import chance_links, every_order, least_s, whole_s

SIX, FIVE = every_order(6), every_order(5)


@pytest.mark.parametrize("seed", range(10))
def test_the_bound_is_never_above_the_best_order_and_near_it(seed: int) -> None:
    links = chance_links(seed, 6)
    best_s = float(whole_s(SIX, links, ()).min())
    bound_s = least_links_s(links)
    assert bound_s <= best_s + 1e-3
    assert bound_s >= 0.8 * best_s


@pytest.mark.parametrize("stations", [1, 3])
@pytest.mark.parametrize("tankfuls", [1.4, 2.4, 3.2])
@pytest.mark.parametrize("seed", range(5))
def test_with_stops_the_bound_is_never_above_the_best_order(seed: int, tankfuls: float, stations: int) -> None:
    links = chance_links(seed, 5, tankfuls=tankfuls, stations=stations)
    best_s = float(least_s(FIVE, links).min())
    bound_s = least_links_s(links)
    assert bound_s <= best_s + 1e-3
    # A stop takes 40 s and more; a bound without any would lie far lower.
    assert bound_s >= 0.6 * best_s


@pytest.mark.parametrize("lanes", [1, 2])
def test_for_a_lane_or_two_the_bound_is_the_answer_or_below(lanes: int) -> None:
    links = chance_links(0, lanes)
    best_s = float(least_s(every_order(lanes), links).min())
    assert least_links_s(links) <= best_s + 1e-3
    if lanes == 1:
        assert least_links_s(links) == pytest.approx(best_s)


def shared_s(links: Links, lanes: int, machines: int) -> float:
    """Least seconds of links and stops of all machines together, each with a lane at least and a full tank."""
    orders = every_order(lanes)
    best_s = np.inf
    for cuts in itertools.combinations(range(1, lanes), machines - 1):
        parts = itertools.pairwise((0, *cuts, lanes))
        all_s = np.sum([least_s(orders[:, a:b], links) for a, b in parts], axis=0)
        best_s = min(best_s, float(all_s.min()))
    return best_s


@pytest.mark.parametrize("tankfuls", [0.0, 2.6])
@pytest.mark.parametrize("machines", [2, 3])
@pytest.mark.parametrize("seed", range(4))
def test_for_several_machines_the_bound_is_never_above_the_best_sharing(
    seed: int, machines: int, tankfuls: float
) -> None:
    links = chance_links(seed, 5, tankfuls=tankfuls)
    best_s = shared_s(links, 5, machines)
    bound_s = least_links_s(links, machines)
    assert bound_s <= best_s + 1e-3
    assert bound_s >= 0.6 * best_s


@pytest.mark.parametrize("tankfuls", [0.0, 4.5])
def test_on_forty_lanes_the_bound_lies_close_below_the_search(tankfuls: float) -> None:
    links = chance_links(1, 40, tankfuls=tankfuls)
    found_s = best_tour(links, None, 1500, np.random.default_rng(0)).cost_s
    bound_s = least_links_s(links)
    assert bound_s <= found_s + 1e-3
    assert bound_s >= 0.9 * found_s


def test_machines_that_go_opposite_ways_are_not_asked_to_meet() -> None:
    # Two lanes far to the east, three far to the west, the parking place between: with two machines the best is one to
    # each side, and a bound that asks for a link between the sides would lie above it.
    at_m = np.array([(0, 0), (0, 0), *((x, y) for x in (500, 510, -500, -510, -520) for y in (0, 5))], dtype=float)
    span_m = at_m[:, None] - at_m[None, :]
    link_s = np.hypot(span_m[..., 0], span_m[..., 1]).astype(np.float32)
    links = replace(chance_links(0, 5), link_s=link_s)
    best_s = shared_s(links, 5, 2)
    assert best_s == pytest.approx(4 * 500, rel=0.05)
    assert least_links_s(links, 2) == pytest.approx(best_s, abs=0.1)
    assert least_links_s(links) == pytest.approx(float(whole_s(FIVE, links, ()).min()), abs=0.1)


def test_more_machines_than_lanes_are_as_many_as_lanes() -> None:
    links = chance_links(3, 3)
    assert least_links_s(links, 9) == pytest.approx(least_links_s(links, 3))
