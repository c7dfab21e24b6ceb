"""Blocks beside each other by their volts."""

import pytest

from scrubwright.battery.block_volts import block_limit_v, block_spread
from scrubwright.battery.cells import SpreadState
from scrubwright.measures.errors import BadInput


def test_even_blocks_are_left_alone() -> None:
    spread = block_spread([6.38, 6.40, 6.39, 6.37, 6.40, 6.38], cells_per_block=3)
    assert (spread.state, spread.weakest, spread.dead) == (SpreadState.EVEN, 4, ())


def test_a_block_behind_is_watched_and_named() -> None:
    spread = block_spread([6.38, 6.40, 6.22, 6.37, 6.40, 6.38], cells_per_block=3)
    assert (spread.state, spread.weakest) == (SpreadState.WATCH, 3)
    assert spread.above_usual_v[2] == pytest.approx(-0.16)


def test_under_load_a_tenth_of_a_volt_is_enough() -> None:
    volts = [5.92, 5.90, 5.80, 5.91]
    assert block_spread(volts, cells_per_block=3).state is SpreadState.EVEN
    assert block_spread(volts, cells_per_block=3, under_load=True).state is SpreadState.WATCH


def test_a_block_that_lost_a_cell_is_to_be_replaced() -> None:
    spread = block_spread([12.8, 10.7, 12.7], cells_per_block=6)
    assert (spread.state, spread.dead) == (SpreadState.ASK, (2,))


def test_of_two_blocks_the_lower_one_is_behind_the_better_one() -> None:
    spread = block_spread([12.8, 10.9], cells_per_block=6)
    assert (spread.usual_v, spread.dead) == (12.8, (2,))


def test_the_limit_can_be_changed() -> None:
    assert block_spread([12.80, 12.70], cells_per_block=6, limit_v=0.05).state is SpreadState.WATCH


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_volts_and_limits_that_are_none_are_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="blocks_v"):
        block_spread([12.8, bad], cells_per_block=6)
    with pytest.raises(BadInput, match="limit_v"):
        block_spread([12.8, 12.7], cells_per_block=6, limit_v=bad)


def test_one_block_alone_is_refused() -> None:
    with pytest.raises(BadInput, match="at least two"):
        block_spread([12.8], cells_per_block=6)


@pytest.mark.parametrize("cells", [0, 25])
def test_a_block_of_no_or_too_many_cells_is_refused(cells: int) -> None:
    with pytest.raises(BadInput, match="from 1 to 24"):
        block_limit_v(cells)
