"""The weakest cell: what is refused."""

import pytest

from scrubwright.battery.charge_left import FULL_1280
from scrubwright.battery.weak_cell import reversal_charge_fraction, weakest_charge_fraction
from scrubwright.measures.errors import BadInput


@pytest.mark.parametrize("bad", [-0.1, 1.1, float("nan")])
def test_a_charge_that_is_no_share_is_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="share from 0 to 1"):
        weakest_charge_fraction(FULL_1280, bad, 0.02)


@pytest.mark.parametrize("bad", [-0.01, float("nan"), float("inf")])
def test_a_cell_above_the_mean_is_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="below_ratio"):
        weakest_charge_fraction(FULL_1280, 0.5, bad)
    with pytest.raises(BadInput, match="below_ratio"):
        reversal_charge_fraction(FULL_1280, bad)


def test_a_dead_cell_holds_nothing_and_stops_the_pack_at_once() -> None:
    assert weakest_charge_fraction(FULL_1280, 1.0, 0.20) == 0
    assert reversal_charge_fraction(FULL_1280, 0.20) == 1
