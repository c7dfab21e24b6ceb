"""Where a long way is broken into tankfuls: every choice of stops tried."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from scrubwright.floor.sequence import Links, tour_of
from scrubwright.floor.trips import split
from scrubwright.measures.errors import BadInput
from scrubwright.measures.tankfuls import fewest_tankfuls
from tests.rooms.plain_floors import chance_links, least_s, whole_s


def chance_order(links: Links, seed: int) -> NDArray[np.intp]:
    rng = np.random.default_rng(seed)
    lanes = rng.permutation(np.arange(1, links.lanes))
    return 2 * lanes + rng.integers(0, 2, len(lanes))


@pytest.mark.parametrize(
    ("water_l", "capacity_l", "trips"), [(0.0, 100, 1), (99.9, 100, 1), (100.0, 100, 1), (100.1, 100, 2), (250, 60, 5)]
)
def test_the_fewest_trips_are_water_over_tankful_rounded_up(water_l: float, capacity_l: float, trips: int) -> None:
    assert fewest_tankfuls(water_l, capacity_l) == trips


@pytest.mark.parametrize("stations", [1, 3])
@pytest.mark.parametrize("tankfuls", [1.3, 2.5, 5.0])
@pytest.mark.parametrize("seed", range(8))
def test_no_other_stops_cost_less(seed: int, tankfuls: float, stations: int) -> None:
    links = chance_links(seed, 9, tankfuls=tankfuls, stations=stations)
    entries = chance_order(links, seed + 100)
    stops, extra_s = split(entries, links.link_s, links.loads)
    order = entries[None, :]
    assert tour_of(entries, links).cost_s == pytest.approx(float(least_s(order, links)[0]), abs=1e-3)
    assert float(whole_s(order, links, stops)[0]) == pytest.approx(float(least_s(order, links)[0]), abs=1e-3)
    assert extra_s == pytest.approx(float(whole_s(order, links, stops)[0]) - _unbroken_s(entries, links), abs=1e-3)


def _unbroken_s(entries: NDArray[np.intp], links: Links) -> float:
    endless = replace(links, loads=replace(links.loads, capacity_l=1e9))
    return float(whole_s(entries[None, :], endless, ())[0])


def test_a_night_within_one_tankful_has_no_stop() -> None:
    links = chance_links(1, 6)
    assert split(chance_order(links, 1), links.link_s, links.loads) == ((), 0.0)


def test_a_tankful_for_each_lane_stops_after_all_but_the_last() -> None:
    links = chance_links(2, 5)
    full = replace(links.loads, water_l=np.array([0.0, 10, 10, 10, 10, 10]), capacity_l=10.0)
    assert split(chance_order(links, 2), links.link_s, full)[0] == (0, 1, 2, 3)


def test_a_stop_takes_the_drain_and_tap_of_least_sum() -> None:
    loads = chance_links(5, 4, tankfuls=2, stations=3).loads
    ends = np.array(list(itertools.product(range(2, 10), repeat=2)), dtype=np.intp)
    found_s, via = loads.stop_s(ends[:, 0], ends[:, 1])
    for (out, into), stop_s, (drain, tap) in zip(ends, found_s, via, strict=True):
        tried_s = {
            (d, t): loads.to_drain_s[out, d] + loads.between_s[d, t] + loads.to_tap_s[into, t]
            for d, t in itertools.product(range(3), repeat=2)
        }
        assert stop_s == pytest.approx(min(tried_s.values()))
        assert tried_s[(int(drain), int(tap))] == pytest.approx(min(tried_s.values()))
    # Half stops, which the search reckons with, are never dearer than whole ones.
    assert (loads.leave_s[ends[:, 0]] + loads.return_s[ends[:, 1]] <= found_s + 1e-9).all()


@pytest.mark.parametrize("capacity_l", [0.0, -1.0, float("nan")])
def test_a_tankful_of_nothing_is_refused(capacity_l: float) -> None:
    with pytest.raises(BadInput, match="enter a tank that holds more than zero"):
        replace(chance_links(0, 3).loads, capacity_l=capacity_l)


def test_a_lane_that_takes_more_than_a_tankful_is_refused() -> None:
    with pytest.raises(BadInput, match="the lane must be cut"):
        replace(chance_links(0, 3).loads, capacity_l=1.0)
