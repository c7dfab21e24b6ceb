"""The cells of one visit: noise, spread, limits, and what is refused."""

import numpy as np
import pytest

from scrubwright.battery.cell_drift import cell_drifts
from scrubwright.battery.cells import SpreadLimits, SpreadState, cell_grid
from scrubwright.battery.charge_left import FULL_1280
from scrubwright.battery.noise import expected_range_ratio, low_limit_ratio, range_chance_fraction, range_limit_ratio
from scrubwright.jobs.pack_cells import cell_lines, spread_told
from scrubwright.measures.errors import BadInput

# Eighteen perfect cells as a hydrometer may show them: 0.020 from the highest to the lowest.
PERFECT = [1.280, 1.275, 1.285, 1.280, 1.270, 1.275, 1.280, 1.275, 1.285, 1.280, 1.275, 1.290, 1.280, 1.275, 1.280,
           1.280, 1.275, 1.280]  # fmt: skip


def with_one(cell: int, gravity: float) -> list[float | None]:
    """Eighteen cells at 1.280, one of them elsewhere."""
    return [gravity if number == cell else 1.280 for number in range(1, 19)]


def test_a_range_of_twenty_points_in_eighteen_perfect_cells_is_noise() -> None:
    grid = cell_grid(PERFECT)
    assert grid.range_ratio == pytest.approx(0.020)
    assert grid.is_noise
    assert grid.chance_fraction > 0.2
    assert (grid.state, grid.low, grid.high) == (SpreadState.EVEN, (), ())
    assert "The cells are even" in str(spread_told(grid))


def test_the_same_range_in_three_pilot_cells_is_to_be_watched() -> None:
    assert cell_grid([1.280, 1.275, 1.260]).state is SpreadState.WATCH


def test_perfect_packs_seldom_alarm() -> None:
    rng = np.random.default_rng(20)
    packs = 1.280 + rng.normal(0, 0.005, (1500, 18))
    alarms = sum(cell_grid(pack.tolist()).state is not SpreadState.EVEN for pack in packs)
    # One in twenty for the range, and a cell that stands apart by itself now and then.
    assert alarms / len(packs) < 0.07


@pytest.mark.parametrize(
    ("gravity", "after_equalise", "state"),
    [
        (1.275, False, SpreadState.EVEN),
        (1.262, False, SpreadState.WATCH),
        (1.255, False, SpreadState.WATCH),
        (1.250, False, SpreadState.EQUALISE),
        (1.220, False, SpreadState.EQUALISE),
        (1.240, True, SpreadState.EQUALISE),
        (1.230, True, SpreadState.ASK),
    ],
)
def test_a_low_cell_is_watched_then_equalised_then_replaced(
    gravity: float, after_equalise: bool, state: SpreadState
) -> None:
    grid = cell_grid(with_one(11, gravity), after_equalise=after_equalise)
    assert (grid.weakest, grid.state) == (11, state)


def test_limits_can_be_changed() -> None:
    army = SpreadLimits(watch_ratio=0.015, equalise_ratio=0.025, ask_ratio=0.026)
    assert cell_grid(with_one(3, 1.254), limits=army).state is SpreadState.EQUALISE
    assert cell_grid(with_one(3, 1.254), limits=army, after_equalise=True).state is SpreadState.ASK


def test_a_better_instrument_sees_smaller_differences() -> None:
    assert cell_grid(PERFECT, sd_ratio=0.002).state is SpreadState.WATCH


def test_readings_that_differ_by_thirty_points_on_paper_do_so_in_the_sum() -> None:
    # 1.265 - 1.235 is 0.0299999... in binary.
    assert cell_grid([1.265, 1.265, 1.265, 1.235]).state is SpreadState.EQUALISE


def test_a_cell_that_stands_too_high_is_named() -> None:
    grid = cell_grid(with_one(5, 1.300))
    assert (grid.high, grid.low) == ((5,), ())
    assert str(cell_lines(grid, (), FULL_1280)[4].remark) == "too high for chance: check its level"


def test_cells_not_read_or_in_doubt_do_not_count() -> None:
    readings = with_one(4, 1.180)
    readings[8] = None
    grid = cell_grid(readings, set_aside=[4])
    assert (grid.state, grid.range_ratio) == (SpreadState.EVEN, 0.0)
    assert grid.above_median_ratio[8] is None
    assert grid.above_median_ratio[3] == pytest.approx(-0.100)


def test_lines_say_what_is_wrong_with_each_cell() -> None:
    readings = with_one(11, 1.245)
    readings[0] = None
    grid = cell_grid(readings)
    rows = [tuple(0.0 if cell != 11 else -0.003 * visit for cell in range(1, 19)) for visit in range(10)]
    lines = cell_lines(grid, cell_drifts(rows), FULL_1280)
    assert len(lines) == 18
    assert (lines[0].gravity_ratio, lines[0].charge_fraction, lines[0].remark) == (None, None, None)
    assert lines[1].charge_fraction == 1.0
    # 1.245 lies 25 of 30 points from 1.220 (50 %) to 1.250 (75 %): 70.8 %.
    assert lines[10].charge_fraction == pytest.approx(0.708, abs=0.001)
    assert lines[10].is_weakest
    assert lines[10].drift_per_visit == pytest.approx(-0.003)
    assert str(lines[10].remark) == "falls from visit to visit"
    assert [line.number for line in lines if line.is_weakest] == [11]


def test_no_cell_of_an_even_pack_is_called_the_weakest() -> None:
    lines = cell_lines(cell_grid(PERFECT), (), FULL_1280)
    assert not any(line.is_weakest or line.remark for line in lines)


def test_the_sentence_names_the_lowest_cell_and_the_chance() -> None:
    told = str(spread_told(cell_grid(with_one(11, 1.240))))
    assert "Cell 11 is the lowest, 0.040 under the median" in told
    apart = str(spread_told(cell_grid(with_one(11, 1.262))))
    assert "cell 11 stands apart" in apart


@pytest.mark.parametrize("readings", [[], [1.28], [1.28, 1.27], [1.28, None, 1.27, None]])
def test_fewer_than_three_cells_are_not_compared(readings: list[float | None]) -> None:
    with pytest.raises(BadInput, match="read at least 3"):
        cell_grid(readings)


def test_a_gravity_that_is_no_number_is_refused() -> None:
    with pytest.raises(BadInput, match="is no number"):
        cell_grid([1.28, 1.27, float("nan"), 1.28])


def test_limits_out_of_order_are_refused() -> None:
    with pytest.raises(BadInput, match="three gravities that rise"):
        SpreadLimits(watch_ratio=0.030, equalise_ratio=0.020)


@pytest.mark.parametrize("bad", [0.0, -0.005, float("nan"), float("inf")])
def test_noise_refuses_what_is_no_deviation(bad: float) -> None:
    for refused in (expected_range_ratio, range_limit_ratio, low_limit_ratio):
        with pytest.raises(BadInput, match="sd_ratio"):
            refused(18, bad)


@pytest.mark.parametrize("count", [-1, 0, 1, 121])
def test_noise_refuses_counts_outside_its_range(count: int) -> None:
    with pytest.raises(BadInput, match="read from 2 to 120"):
        expected_range_ratio(count)


@pytest.mark.parametrize("bad", [0.0, 1.0, float("nan")])
def test_noise_refuses_chances_that_are_none(bad: float) -> None:
    for refused in (range_limit_ratio, low_limit_ratio):
        with pytest.raises(BadInput, match="false alarm"):
            refused(18, 0.005, bad)


def test_a_negative_range_is_refused() -> None:
    with pytest.raises(BadInput, match="range_ratio"):
        range_chance_fraction(-0.01, 18)
