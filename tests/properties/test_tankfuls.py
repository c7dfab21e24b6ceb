"""Stops along a way: never more than a tankful between them, never fewer than the water needs."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from scrubwright.floor.sequence import tour_of
from scrubwright.floor.trips import split
from scrubwright.measures.tankfuls import fewest_tankfuls
from tests.rooms.plain_floors import chance_links

seeds = st.integers(0, 10_000)


@settings(max_examples=150, deadline=None)
@given(seeds, st.integers(1, 25), st.floats(1.05, 9.0), st.integers(1, 3))
def test_no_stretch_takes_more_than_a_tankful_and_no_way_takes_fewer_than_it_must(
    seed: int, lanes: int, tankfuls: float, stations: int
) -> None:
    links = chance_links(seed, lanes, tankfuls=tankfuls, stations=stations)
    rng = np.random.default_rng(seed)
    entries = 2 * rng.permutation(np.arange(1, lanes + 1)) + rng.integers(0, 2, lanes)
    stops, extra_s = split(entries, links.link_s, links.loads)
    water_l = links.loads.water_l[entries >> 1]
    parts = np.split(water_l, [stop + 1 for stop in stops])
    assert max(float(part.sum()) for part in parts) <= links.loads.capacity_l + 1e-6
    assert all(len(part) for part in parts)
    assert len(stops) + 1 >= fewest_tankfuls(float(water_l.sum()), links.loads.capacity_l)
    # The way straight on may be longer than by way of the drain, but each stop costs its 40 s at the tap.
    longest_s = float(links.link_s.max())
    assert extra_s >= len(stops) * (40.0 - longest_s) - 1e-3


@settings(max_examples=100, deadline=None)
@given(seeds, st.integers(2, 15), st.floats(1.2, 6.0), st.floats(1.0, 3.0))
def test_a_bigger_tank_never_makes_the_same_order_dearer(seed: int, lanes: int, tankfuls: float, more: float) -> None:
    links = chance_links(seed, lanes, tankfuls=tankfuls)
    bigger = replace(links, loads=replace(links.loads, capacity_l=more * links.loads.capacity_l))
    rng = np.random.default_rng(seed)
    entries = 2 * rng.permutation(np.arange(1, lanes + 1)) + rng.integers(0, 2, lanes)
    small_s, big_s = tour_of(entries, links).cost_s, tour_of(entries, bigger).cost_s
    # Within one tankful no stop is looked for, even where it were a short cut.
    slack_s = 0.0 if tour_of(entries, bigger).stops else float(links.link_s.max())
    assert big_s <= small_s + slack_s + 1e-3


@settings(max_examples=60, deadline=None)
@given(seeds, st.integers(1, 12), st.floats(1.2, 5.0))
def test_the_way_back_costs_what_the_way_out_costs(seed: int, lanes: int, tankfuls: float) -> None:
    links = chance_links(seed, lanes, tankfuls=tankfuls)
    rng = np.random.default_rng(seed)
    entries = 2 * rng.permutation(np.arange(1, lanes + 1)) + rng.integers(0, 2, lanes)
    back = entries[::-1] ^ 1
    assert abs(tour_of(entries, links).cost_s - tour_of(back, links).cost_s) < 1e-2


@settings(max_examples=20, deadline=None)
@given(seeds, st.integers(2, 12), st.floats(1.2, 4.0))
def test_the_order_in_which_lanes_are_drawn_changes_no_tours_cost(seed: int, lanes: int, tankfuls: float) -> None:
    links = chance_links(seed, lanes, tankfuls=tankfuls)
    rng = np.random.default_rng(seed)
    moved = np.concatenate([[0], 1 + rng.permutation(lanes)])
    ends = np.stack([2 * moved, 2 * moved + 1], axis=1).ravel()
    loads = replace(
        links.loads,
        water_l=links.loads.water_l[moved],
        to_drain_s=links.loads.to_drain_s[ends],
        to_tap_s=links.loads.to_tap_s[ends],
    )
    renumbered = replace(links, link_s=links.link_s[np.ix_(ends, ends)], loads=loads)
    new_number = np.argsort(ends)
    entries = 2 * (1 + rng.permutation(lanes)) + rng.integers(0, 2, lanes)
    here, there = tour_of(entries, links), tour_of(new_number[entries], renumbered)
    assert abs(here.cost_s - there.cost_s) < 1e-2
    assert here.stops == there.stops
