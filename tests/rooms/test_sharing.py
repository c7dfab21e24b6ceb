"""One tour shared out among several machines."""

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray

from scrubwright.floor.bound import least_links_s
from scrubwright.floor.sequence import Links, Tour, best_tour, tour_of
from scrubwright.floor.sharing import part_of, shared_tours, shares
from tests.rooms.plain_floors import chance_links

LANES = 24


def work_s(seed: int, lanes: int = LANES) -> NDArray[np.float64]:
    return np.concatenate([[0.0], np.random.default_rng(seed).uniform(10, 60, lanes)])


def whole_s(tour: Tour, own_work_s: NDArray[np.float64]) -> float:
    return tour.cost_s + float(own_work_s[tour.entries >> 1].sum())


def long_tour(links: Links) -> Tour:
    return best_tour(links, None, 300, np.random.default_rng(0))


@pytest.mark.parametrize("machines", [2, 3])
@pytest.mark.parametrize("tankfuls", [0.0, 2.7])
@pytest.mark.parametrize("seed", range(4))
def test_no_other_cuts_of_the_tour_let_the_last_machine_finish_sooner(
    seed: int, tankfuls: float, machines: int
) -> None:
    links, own_work_s = chance_links(seed, 8, tankfuls=tankfuls), work_s(seed, 8)
    tour = long_tour(links)

    def last_s(cuts: tuple[int, ...]) -> float:
        parts = [tour.entries[a:b] for a, b in itertools.pairwise((0, *cuts, 8))]
        return max(whole_s(tour_of(part, links), own_work_s) for part in parts)

    found = shares(tour, links, own_work_s, machines)
    assert np.concatenate(found).tolist() == tour.entries.tolist()
    cuts = tuple(np.cumsum([len(part) for part in found])[:-1].tolist())
    best_s = min(last_s(each) for each in itertools.combinations(range(1, 8), machines - 1))
    # Cutting at the best places needs times that grow along the tour; where a stop falls they may not, by a little.
    assert last_s(cuts) <= 1.02 * best_s


@pytest.mark.parametrize("machines", [2, 3, 4])
@pytest.mark.parametrize("tankfuls", [0.0, 5.5])
def test_every_lane_is_driven_by_one_machine_and_all_finish_sooner_than_one(tankfuls: float, machines: int) -> None:
    links, own_work_s = chance_links(3, LANES, tankfuls=tankfuls), work_s(3)
    one = long_tour(links)
    penalty_s = np.zeros_like(links.link_s)
    tours = shared_tours(one, links, penalty_s, own_work_s, machines, 300, np.random.default_rng(1))
    assert len(tours) == machines
    assert sorted(int(entry) >> 1 for tour in tours for entry in tour.entries) == list(range(1, LANES + 1))
    last_s = max(whole_s(tour, own_work_s) for tour in tours)
    bound_s = (float(own_work_s.sum()) + least_links_s(links, machines)) / machines
    assert bound_s <= last_s < whole_s(one, own_work_s)
    assert last_s < 1.4 * bound_s
    for tour in tours:
        assert tour.cost_s == pytest.approx(tour_of(tour.entries, links).cost_s)


def test_one_machine_drives_the_whole_tour() -> None:
    links = chance_links(5, 10)
    tour = long_tour(links)
    (only,) = shares(tour, links, work_s(5, 10), 1)
    assert only.tolist() == tour.entries.tolist()


def test_more_machines_than_lanes_leave_some_at_home() -> None:
    links = chance_links(5, 3)
    found = shares(long_tour(links), links, work_s(5, 3), 7)
    assert [len(part) for part in found] == [1, 1, 1]


def test_a_part_of_the_links_keeps_what_its_lanes_cost() -> None:
    links = chance_links(2, 9, tankfuls=3.0, stations=2)
    kept = np.array([2, 5, 6])
    part, ends = part_of(links, kept)
    assert ends.tolist() == [0, 1, 4, 5, 10, 11, 12, 13]
    entries = np.array([5, 2, 6])
    whole = tour_of(ends[entries], links)
    assert tour_of(entries, part).cost_s == pytest.approx(whole.cost_s)
    assert tour_of(entries, part).stops == whole.stops


def test_progress_is_told_for_each_machine() -> None:
    links = chance_links(4, 9)
    told: list[float] = []
    shared_tours(
        long_tour(links), links, np.zeros_like(links.link_s), work_s(4, 9), 3, 30, np.random.default_rng(0), told.append
    )
    assert told == pytest.approx([1 / 3, 2 / 3, 1])
