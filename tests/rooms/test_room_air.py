"""Air of a charging room: an ordinary closet, and what is refused."""

import math

import pytest

from scrubwright.battery.room_air import (
    GassingPack,
    concentration_fraction,
    hydrogen_m3_per_h,
    opening_m2,
    until_share_h,
    ventilation_m3_per_h,
)
from scrubwright.measures.errors import BadInput

LITHIUM = GassingPack(cells=12, capacity_ah=150.0, gassing_a_per_ah=0.0)


def test_a_pack_that_does_not_gas_asks_for_no_air() -> None:
    assert ventilation_m3_per_h([LITHIUM]) == 0
    assert concentration_fraction(hydrogen_m3_per_h([LITHIUM]), 20.0, over_h=10.0) == 0
    assert math.isinf(until_share_h(0.01, 0.0, 20.0))


def test_an_empty_room_asks_for_no_air() -> None:
    assert ventilation_m3_per_h([]) == 0


def test_a_room_that_is_already_past_the_share_needs_no_hours() -> None:
    assert until_share_h(0.01, 0.1, 20.0, start_fraction=0.02) == 0


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_what_is_no_room_is_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="enter a number above zero"):
        concentration_fraction(0.1, bad, over_h=1.0)


@pytest.mark.parametrize("bad", [-0.1, 1.5, float("nan")])
def test_what_is_no_share_is_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="share of hydrogen at the start"):
        concentration_fraction(0.1, 20.0, over_h=1.0, start_fraction=bad)
    with pytest.raises(BadInput, match="share of hydrogen to wait for"):
        until_share_h(bad, 0.1, 20.0)


def test_what_is_no_pack_is_refused() -> None:
    with pytest.raises(BadInput, match="0 cells cannot gas"):
        GassingPack(cells=0, capacity_ah=200.0, gassing_a_per_ah=0.06)
    with pytest.raises(BadInput, match="capacity_ah is 0"):
        GassingPack(cells=18, capacity_ah=0.0, gassing_a_per_ah=0.06)
    with pytest.raises(BadInput, match="gassing_a_per_ah is -"):
        GassingPack(cells=18, capacity_ah=200.0, gassing_a_per_ah=-0.06)
    with pytest.raises(BadInput):
        opening_m2(-1.0)
