"""Runs of lanes that a driver takes as one piece of work."""

import numpy as np
import pytest

from scrubwright.floor.blocks import (
    AS_LISTED,
    EVERY_SECOND,
    IN_ORDER,
    LOOK_UP_S,
    NOT_BESIDE,
    SINGLE,
    Run,
    neighbours,
    runs,
)
from tests.rooms.plain_floors import lane

PITCH_M = 0.7
# Six lanes of 10 m side by side, numbered upwards.
SIX = [lane((0, PITCH_M * n), (10, PITCH_M * n)) for n in range(6)]


def there_and_back(*order: int) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """Entries that take lanes of `SIX` in this order, each the other way round."""
    return np.array([2 * number + 2 + turn % 2 for turn, number in enumerate(order)], dtype=np.intp)


def pattern_of(*order: int) -> list[str]:
    return [each.pattern for each in runs(there_and_back(*order), (), neighbours(SIX, PITCH_M))]


@pytest.mark.parametrize(
    ("order", "patterns"),
    [
        ((0, 1, 2, 3, 4, 5), [IN_ORDER]),
        ((5, 4, 3, 2, 1, 0), [IN_ORDER]),
        ((0, 2, 4, 5, 3, 1), [EVERY_SECOND]),
        ((5, 3, 1, 0, 2, 4), [EVERY_SECOND]),
        ((1, 3, 5, 4, 2, 0), [EVERY_SECOND]),
        ((0, 2, 4), [EVERY_SECOND]),
        ((0, 1, 3, 2, 4, 5), [AS_LISTED]),
        ((0, 2, 1, 3), [AS_LISTED]),
        ((0,), [SINGLE]),
        ((0, 4, 5), [SINGLE, IN_ORDER]),
        ((0, 1, 5, 4), [IN_ORDER, IN_ORDER]),
    ],
)
def test_the_pattern_is_what_a_driver_would_call_it(order: tuple[int, ...], patterns: list[str]) -> None:
    assert pattern_of(*order) == patterns


def test_a_stop_ends_a_run() -> None:
    found = runs(there_and_back(0, 1, 2, 3), (1,), neighbours(SIX, PITCH_M))
    assert found == (Run(first=0, last=1, pattern=IN_ORDER), Run(first=2, last=3, pattern=IN_ORDER))


def test_steps_are_lanes_aside_with_a_side() -> None:
    steps = neighbours(SIX, PITCH_M).steps
    assert {second: steps.get((2, second), NOT_BESIDE) for second in (0, 1, 3, 4, 5)} == {
        0: -2,
        1: -1,
        3: 1,
        4: 2,
        5: NOT_BESIDE,
    }
    assert all(steps[(second, first)] == -step for (first, second), step in steps.items())


def test_lanes_drawn_the_other_way_round_step_the_same() -> None:
    turned = [lane(each.line.coords[-1], each.line.coords[0]) for each in SIX[:2]]
    assert neighbours([SIX[0], turned[1]], PITCH_M).steps == neighbours(SIX[:2], PITCH_M).steps


@pytest.mark.parametrize(
    ("other", "step"),
    [
        (lane((13, 0.1), (25, 0.1)), 0),  # straight on across a column
        (lane((19, 0), (30, 0)), NOT_BESIDE),  # straight on, but 9 m off
        (lane((0, 0.3), (10, 0.3)), 1),  # squeezed in
        (lane((10.4, 0.7), (20, 0.7)), 1),  # beside, nearly overlapping
        (lane((12, 0.7), (20, 0.7)), NOT_BESIDE),  # beside, past the end
        (lane((5, 1), (5, 9)), NOT_BESIDE),  # across
        (lane((0, 0.7), (10, 0.7), area=1), NOT_BESIDE),  # in another area
    ],
)
def test_a_lane_counts_as_beside_where_a_driver_sees_it_so(other: object, step: int) -> None:
    found = neighbours([SIX[0], other], PITCH_M)  # type: ignore[list-item]
    assert found.steps.get((0, 1), NOT_BESIDE) == step


def test_a_short_piece_at_the_end_of_a_lane_is_at_hand() -> None:
    corner = lane((11, 1), (11, 3))
    found = neighbours([SIX[0], corner, lane((20, 20), (22, 20))], PITCH_M)
    # From the lane's right end (3) into the piece's lower end (4), both ways; not from the left end.
    assert (3, 4) in found.at_hand
    assert (4, 3) in found.at_hand
    assert (2, 4) not in found.at_hand
    assert found.step(3, 4) == 0
    assert found.step(2, 4) == NOT_BESIDE
    assert found.step(3, 6) == NOT_BESIDE
    order = np.array([2, 4], dtype=np.intp)
    assert runs(order, (), found) == (Run(first=0, last=1, pattern=IN_ORDER),)


def test_the_search_pays_a_look_at_the_sheet_for_all_else() -> None:
    penalty_s = neighbours(SIX, PITCH_M).penalty_s()
    assert penalty_s.shape == (14, 14)
    assert np.array_equal(penalty_s, penalty_s.T)
    assert not penalty_s[:2].any()
    assert penalty_s[2 * 0 + 3, 2 * 1 + 2] == 0
    assert penalty_s[2 * 0 + 3, 2 * 2 + 2] == 0
    assert penalty_s[2 * 0 + 3, 2 * 5 + 2] == LOOK_UP_S
