"""Slips in a row of gravities: what is asked to be read again, and what is left alone."""

import numpy as np
import pytest
from numpy.typing import NDArray

from scrubwright.battery.charge_left import FULL_1280
from scrubwright.battery.reading_slips import Exchange, SlipKind, doubtful_cells, exchanged
from scrubwright.measures.errors import BadInput

# Places of eighteen cells in the pack, as real packs show them: a few hundredths from end to end.
PLACES = np.array(
    [4, -6, 2, 9, -3, 0, -11, 5, 1, 7, -24, 3, -8, 6, -1, 10, -5, 2], dtype=np.float64
) / 1000  # fmt: skip


def visits(rng: np.random.Generator, places: NDArray[np.float64], count: int) -> list[tuple[float, ...]]:
    """What visits show of cells at these places, as differences from the median."""
    rows = places + rng.normal(0, 0.005, (count, len(places)))
    rows -= np.median(rows, axis=1, keepdims=True)
    return [tuple(row.tolist()) for row in rows]


def test_a_value_far_off_for_the_first_time_is_read_again() -> None:
    readings = [1.280, 1.275, 1.180, 1.280]
    assert doubtful_cells(readings) == (3,)
    assert doubtful_cells(readings, earlier_ratio=[(0.0, -0.005, 0.0, 0.0)] * 4) == (3,)


def test_the_same_value_at_a_second_visit_is_believed() -> None:
    earlier = [(0.0, -0.005, 0.0, 0.0), (0.002, -0.002, -0.095, 0.002)]
    assert doubtful_cells([1.280, 1.275, 1.180, 1.280], earlier_ratio=earlier) == ()


def test_a_cell_long_known_to_be_low_is_believed() -> None:
    assert doubtful_cells([1.280, 1.275, 1.222, 1.280], earlier_ratio=[(0.0, 0.0, -0.055, 0.0)] * 3) == ()


def test_a_cell_beyond_what_the_acid_can_show_is_read_again() -> None:
    # The whole pack read at 1.325 in a family that is full at 1.280.
    assert doubtful_cells([1.325, 1.325, 1.325], family=FULL_1280) == (1, 2, 3)
    assert doubtful_cells([1.095, 1.120, 1.115], family=FULL_1280) == (1,)
    assert doubtful_cells([1.285, 1.280, 1.275], family=FULL_1280) == ()


def test_cells_not_read_are_not_in_doubt() -> None:
    assert doubtful_cells([None, None]) == ()
    assert doubtful_cells([None, 1.280, 1.275, 1.200], earlier_ratio=[(None, 0.0, 0.0, 0.0)]) == (4,)


def test_two_cells_that_changed_places_are_found() -> None:
    earlier = visits(np.random.default_rng(1), PLACES, 6)
    swapped = PLACES.copy()
    swapped[[10, 3]] = swapped[[3, 10]]
    assert exchanged(tuple(swapped), earlier) == Exchange(kind=SlipKind.CELLS, first=4, second=11)


def test_two_blocks_that_changed_places_are_found() -> None:
    earlier = visits(np.random.default_rng(2), PLACES, 6)
    blocks = PLACES.reshape(6, 3)[[0, 1, 3, 2, 4, 5]]
    assert exchanged(tuple(blocks.ravel()), earlier, cells_per_block=3) == Exchange(
        kind=SlipKind.BLOCKS, first=3, second=4
    )


def test_a_pack_counted_from_the_other_end_is_found() -> None:
    earlier = visits(np.random.default_rng(3), PLACES, 6)
    assert exchanged(tuple(PLACES[::-1]), earlier, cells_per_block=3) == Exchange(
        kind=SlipKind.OTHER_END, first=1, second=18
    )


def test_most_exchanges_are_found_and_few_are_seen_where_there_is_none() -> None:
    rng = np.random.default_rng(4)
    swapped = PLACES.copy()
    swapped[[10, 3]] = swapped[[3, 10]]
    runs = 120
    hits = sum(
        exchanged(visits(rng, swapped, 1)[0], visits(rng, PLACES, 4))
        == Exchange(kind=SlipKind.CELLS, first=4, second=11)
        for _ in range(runs)
    )
    false_alarms = sum(exchanged(visits(rng, PLACES, 1)[0], visits(rng, PLACES, 4)) is not None for _ in range(runs))
    assert hits / runs >= 0.9
    assert false_alarms / runs <= 0.05


def test_a_cell_that_fell_has_not_changed_places() -> None:
    fallen = PLACES.copy()
    fallen[3] -= 0.045
    assert exchanged(tuple(fallen), visits(np.random.default_rng(5), PLACES, 6)) is None


def test_nothing_is_said_of_a_pack_hardly_known_or_half_read() -> None:
    swapped = list(PLACES)
    swapped[10], swapped[3] = swapped[3], swapped[10]
    assert exchanged(swapped, visits(np.random.default_rng(6), PLACES, 2)) is None
    half: list[float | None] = [None, *swapped[1:]]
    found = exchanged(half, visits(np.random.default_rng(7), PLACES, 6))
    assert found == Exchange(kind=SlipKind.CELLS, first=4, second=11)
    half[3] = None
    assert exchanged(half, visits(np.random.default_rng(7), PLACES, 6)) is None


def test_visits_of_another_pack_are_refused() -> None:
    with pytest.raises(BadInput, match="same pack"):
        doubtful_cells([1.28, 1.28, 1.28], earlier_ratio=[(0.0, 0.0)])
    with pytest.raises(BadInput, match="same pack"):
        exchanged([0.0, 0.0, 0.0], [(0.0, 0.0)])


@pytest.mark.parametrize("each", [0, 4])
def test_blocks_that_do_not_share_the_cells_are_refused(each: int) -> None:
    with pytest.raises(BadInput, match="caps of one block"):
        exchanged([0.0] * 18, [], cells_per_block=each)


@pytest.mark.parametrize("bad", [0.0, -0.05, float("nan")])
def test_a_jump_or_deviation_that_is_none_is_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="jump_ratio"):
        doubtful_cells([1.28, 1.28, 1.28], jump_ratio=bad)
    with pytest.raises(BadInput, match="sd_ratio"):
        exchanged([0.0, 0.0, 0.0], [], sd_ratio=bad)
