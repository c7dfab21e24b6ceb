"""Hydrogen in a room: what must hold whatever the numbers."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.battery.room_air import (
    GassingPack,
    air_through_m3_per_h,
    concentration_fraction,
    hydrogen_m3_per_h,
    opening_m2,
    steady_concentration_fraction,
    until_share_h,
    ventilation_m3_per_h,
)

gases = st.floats(1e-3, 2.0)
airs = st.floats(0.0, 200.0)
rooms = st.floats(5.0, 2000.0)
shares = st.floats(0.0, 0.2)
packs = st.lists(
    st.builds(
        GassingPack, cells=st.integers(6, 40), capacity_ah=st.floats(50, 1000), gassing_a_per_ah=st.floats(0, 0.07)
    ),
    max_size=8,
)


@given(packs, packs)
def test_flows_add_up_and_are_never_averaged(some: list[GassingPack], others: list[GassingPack]) -> None:
    together = ventilation_m3_per_h([*some, *others])
    assert together == pytest.approx(ventilation_m3_per_h(some) + ventilation_m3_per_h(others))


@given(packs)
def test_the_air_asked_for_keeps_the_mixed_room_below_a_fifth_of_what_burns(some: list[GassingPack]) -> None:
    gas = hydrogen_m3_per_h(some)
    assert steady_concentration_fraction(gas, ventilation_m3_per_h(some)) <= 0.0084


@given(gases, rooms, airs, shares, st.floats(0, 20), st.floats(0, 20))
def test_two_stretches_of_time_are_one(
    gas: float, free: float, air: float, start: float, first: float, second: float
) -> None:
    half = concentration_fraction(gas, free, over_h=first, air_m3_per_h=air, start_fraction=start)
    whole = concentration_fraction(gas, free, over_h=first + second, air_m3_per_h=air, start_fraction=start)
    twice = concentration_fraction(gas, free, over_h=second, air_m3_per_h=air, start_fraction=half)
    assert twice == pytest.approx(whole, rel=1e-9, abs=1e-12)


@given(gases, rooms, airs, shares)
def test_a_room_settles_at_its_steady_share(gas: float, free: float, air: float, start: float) -> None:
    long_h = 60 * free / (gas + air)
    settled = concentration_fraction(gas, free, over_h=long_h, air_m3_per_h=air, start_fraction=start)
    assert settled == pytest.approx(steady_concentration_fraction(gas, air), rel=1e-9)


@given(gases, rooms, airs, st.floats(0, 10), st.floats(0.1, 100))
def test_more_air_is_never_more_hydrogen(gas: float, free: float, air: float, hours: float, more: float) -> None:
    little = concentration_fraction(gas, free, over_h=hours, air_m3_per_h=air)
    much = concentration_fraction(gas, free, over_h=hours, air_m3_per_h=air + more)
    assert much <= little + 1e-12


@given(gases, rooms, airs, st.floats(0.001, 0.2))
def test_the_share_at_the_hour_told_is_the_share_asked_for(gas: float, free: float, air: float, limit: float) -> None:
    hours = until_share_h(limit, gas, free, air_m3_per_h=air)
    if math.isinf(hours):
        assert steady_concentration_fraction(gas, air) <= limit
    else:
        reached = concentration_fraction(gas, free, over_h=hours, air_m3_per_h=air)
        assert reached == pytest.approx(limit, rel=1e-6)


@given(st.floats(0, 500))
def test_the_opening_lets_through_the_air_that_it_is_for(air: float) -> None:
    assert air_through_m3_per_h(opening_m2(air)) == pytest.approx(air)
