"""The order of lanes against every order there is."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from scrubwright.floor.search import Search, nearest_ends
from scrubwright.floor.sequence import Links, Tour, best_tour, nearest_first, tour_of
from scrubwright.floor.trips import split
from scrubwright.measures.tankfuls import fewest_tankfuls
from tests.rooms.plain_floors import chance_links, every_order, least_s, whole_s

ROUNDS = 300
ORDERS = every_order(6)


def searched(links: Links, seed: int = 0, penalty_s: NDArray[np.float32] | None = None) -> Tour:
    return best_tour(links, penalty_s, ROUNDS, np.random.default_rng(seed))


def told_again_s(tour: Tour, links: Links) -> float:
    return float(whole_s(tour.entries[None, :], links, tour.stops)[0])


@pytest.mark.parametrize("seed", range(8))
def test_no_order_and_direction_costs_less(seed: int) -> None:
    links = chance_links(seed, 6)
    tour = searched(links)
    assert tour.stops == ()
    assert tour.cost_s == pytest.approx(float(whole_s(ORDERS, links, ()).min()), abs=1e-3)


@pytest.mark.parametrize("tankfuls", [1.4, 2.4])
@pytest.mark.parametrize("seed", range(6))
def test_no_order_with_as_many_stops_costs_less(seed: int, tankfuls: float) -> None:
    # Six lanes of nearly half a tankful each pack badly; the search keeps the number of stops it starts with.
    links = chance_links(seed, 6, tankfuls=tankfuls)
    tour = searched(links)
    choices = itertools.combinations(range(5), len(tour.stops))
    best_s = min(float(whole_s(ORDERS, links, stops).min()) for stops in choices)
    assert len(tour.stops) >= 1
    assert tour.cost_s == pytest.approx(best_s, rel=1e-5)


@pytest.mark.parametrize("tankfuls", [1.9, 2.8, 4.7])
@pytest.mark.parametrize("seed", range(3))
def test_lanes_that_are_small_beside_a_tankful_take_the_fewest_stops(seed: int, tankfuls: float) -> None:
    links = chance_links(seed, 50, tankfuls=tankfuls)
    assert len(searched(links).stops) + 1 == fewest_tankfuls(float(links.loads.water_l.sum()), links.loads.capacity_l)


@pytest.mark.parametrize("lanes", [1, 2, 3])
@pytest.mark.parametrize("seed", range(3))
def test_even_a_lane_or_two_are_driven_the_better_way(lanes: int, seed: int) -> None:
    links = chance_links(seed, lanes)
    assert searched(links).cost_s == pytest.approx(float(least_s(every_order(lanes), links).min()), abs=1e-3)


@pytest.mark.parametrize(("lanes", "tankfuls"), [(6, 0.0), (25, 0.0), (25, 4.3), (60, 7.5)])
def test_every_lane_is_driven_once_and_the_cost_is_what_the_tour_costs(lanes: int, tankfuls: float) -> None:
    links = chance_links(9, lanes, tankfuls=tankfuls, stations=2)
    tour = searched(links)
    assert sorted((tour.entries >> 1).tolist()) == list(range(1, lanes + 1))
    assert tour.cost_s == pytest.approx(told_again_s(tour, links), rel=1e-6)
    assert list(tour.stops) == sorted(set(tour.stops))


@pytest.mark.parametrize("tankfuls", [0.0, 3.5])
def test_the_same_seed_gives_the_same_tour(tankfuls: float) -> None:
    links = chance_links(4, 30, tankfuls=tankfuls)
    first, second = searched(links, 7), searched(links, 7)
    assert first.entries.tolist() == second.entries.tolist()
    assert (first.stops, first.cost_s) == (second.stops, second.cost_s)


@pytest.mark.parametrize("tankfuls", [0.0, 3.5])
@pytest.mark.parametrize("seed", range(3))
def test_searching_beats_driving_to_the_nearest(seed: int, tankfuls: float) -> None:
    links = chance_links(seed, 40, tankfuls=tankfuls)
    assert searched(links).cost_s < 0.97 * tour_of(nearest_first(links), links).cost_s


def test_the_nearest_first_order_goes_to_the_nearest_end_left() -> None:
    links = chance_links(3, 12)
    entries = nearest_first(links)
    at = 1
    for position, entry in enumerate(entries):
        left = [end for lane in entries[position:] >> 1 for end in (2 * lane, 2 * lane + 1)]
        assert links.link_s[at, entry] == links.link_s[at, left].min()
        at = entry ^ 1


def test_a_penalty_steers_the_order_and_is_not_in_the_cost() -> None:
    links = chance_links(6, 6)
    free = searched(links)
    penalty_s = np.zeros_like(links.link_s)
    # Make the first link of the best tour dear.
    out, into = int(free.entries[0]) ^ 1, int(free.entries[1])
    penalty_s[out, into] = penalty_s[into, out] = 1000.0
    steered = searched(links, penalty_s=penalty_s)
    driven = list(zip((steered.entries[:-1] ^ 1).tolist(), steered.entries[1:].tolist(), strict=True))
    assert (out, into) not in driven
    assert (into, out) not in driven
    assert steered.cost_s == pytest.approx(told_again_s(steered, links), rel=1e-6)
    assert steered.cost_s >= free.cost_s - 1e-3


def test_progress_goes_up_from_nothing_to_below_the_whole() -> None:
    told: list[float] = []
    best_tour(chance_links(0, 10), None, 200, np.random.default_rng(0), told.append)
    assert told[0] == 0
    assert told == sorted(told)
    assert 0.5 < told[-1] < 1


def test_the_search_keeps_count_of_its_own_length_and_of_every_tankful() -> None:
    links = chance_links(11, 30, tankfuls=5.5)
    entries = nearest_first(links)
    stops, _ = split(entries, links.link_s, links.loads)
    half_s = (links.loads.leave_s + links.loads.return_s) / 2
    search = Search(
        cost_s=links.link_s,
        water_l=links.loads.water_l,
        capacity_l=links.loads.capacity_l,
        stop_s=half_s,
        entries=entries,
        stops=stops,
    )
    rng = np.random.default_rng(1)
    search.settle(list(range(search.size)))
    for turn in range(60):
        kept = search.keep()
        search.settle(search.kick(rng))
        if turn % 3 == 0:
            search.restore((kept[0][:], kept[1]))
            assert search.tour == kept[0]
        tour = search.tour
        length_s = sum(search.cost_s[tour[at]][tour[(at + 1) % search.size]] for at in range(1, search.size, 2))
        assert search.length_s == pytest.approx(length_s, abs=0.01)
        assert tour[:2] == [0, 1]
        assert sorted(tour) == list(range(search.size))
        assert all(tour[at] == tour[at + 1] ^ 1 for at in range(0, search.size, 2))
        assert [search.place[end] for end in tour] == list(range(search.size))
        assert max(_tankfuls_l(tour, search.lane_ends, links)) <= links.loads.capacity_l + 1e-6


def _tankfuls_l(tour: list[int], lane_ends: int, links: Links) -> list[float]:
    found_l = [0.0]
    for end in tour[2::2]:
        if end >= lane_ends:
            found_l.append(0.0)
        else:
            found_l[-1] += float(links.loads.water_l[end >> 1])
    return found_l


def test_the_nearest_ends_are_the_cheapest_of_other_lanes() -> None:
    links = chance_links(2, 8)
    near = nearest_ends(links.link_s, 4)
    for end, found in enumerate(near.tolist()):
        others = [other for other in range(len(links.link_s)) if other >> 1 != end >> 1]
        cheapest = sorted(links.link_s[end, others].tolist())[:4]
        assert links.link_s[end, found].tolist() == cheapest
    assert nearest_ends(links.link_s[:4, :4], 10).shape == (4, 2)


def test_a_tank_without_end_makes_no_stop_and_never_costs_more() -> None:
    links = chance_links(8, 6, tankfuls=2.4)
    endless = replace(links, loads=replace(links.loads, capacity_l=1e6))
    assert searched(endless).stops == ()
    assert searched(endless).cost_s <= searched(links).cost_s
