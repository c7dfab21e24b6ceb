"""Drifting cells: false alarms, detection, gaps in the log, and what is refused."""

import numpy as np
import pytest
from numpy.typing import NDArray

from scrubwright.battery.cell_drift import LEAST_VISITS_FOR_A_VERDICT, cell_drifts
from scrubwright.measures.errors import BadInput

CELLS, VISITS = 18, 14
DRIFT_PER_VISIT = 0.0015


def pack_log(rng: np.random.Generator, drift_per_visit: float, *, step: float | None = None) -> NDArray[np.float64]:
    """Residuals of cells at places of their own, read with a float hydrometer; the first cell falls."""
    rows = 1.280 + rng.normal(0, 0.004, CELLS) + rng.normal(0, 0.005, (VISITS, CELLS))
    rows[:, 0] -= drift_per_visit * np.arange(VISITS)
    if step is not None:
        rows = np.round(rows / step) * step
    return np.asarray(rows - np.median(rows, axis=1, keepdims=True))


def first_alarm(log: NDArray[np.float64], until: int) -> tuple[int, tuple[int, ...]] | None:
    """After which visit a person who looks after each one is first told of a drift, and of which cells."""
    for visits in range(LEAST_VISITS_FOR_A_VERDICT, until + 1):
        falling = tuple(drift.number for drift in cell_drifts(log[:visits].tolist()) if drift.falls)
        if falling:
            return visits, falling
    return None


@pytest.mark.parametrize("step", [None, 0.005], ids=["read finely", "read to 0.005"])
def test_a_dozen_looks_at_noise_alarm_in_at_most_one_pack_of_twenty(step: float | None) -> None:
    rng = np.random.default_rng(7)
    packs = 240
    alarms = sum(first_alarm(pack_log(rng, 0.0, step=step), 12) is not None for _ in range(packs))
    assert alarms / packs <= 0.05


def test_one_look_at_noise_alarms_far_less() -> None:
    rng = np.random.default_rng(8)
    packs = 400
    alarms = sum(any(drift.falls for drift in cell_drifts(pack_log(rng, 0.0)[:12].tolist())) for _ in range(packs))
    assert alarms / packs <= 0.025


def test_a_cell_that_loses_fifteen_points_in_ten_visits_is_named_after_about_a_dozen() -> None:
    rng = np.random.default_rng(9)
    found = [first_alarm(pack_log(rng, DRIFT_PER_VISIT), VISITS) for _ in range(150)]
    named = [alarm for alarm in found if alarm is not None and alarm[1] == (1,)]
    assert len(named) / len(found) >= 0.75
    assert np.median([alarm[0] if alarm is not None else VISITS + 1 for alarm in found]) <= 12


def test_one_wrong_entry_neither_makes_nor_hides_a_drift() -> None:
    rows = [[0.0, 0.001, -0.001, -0.003 * visit, 0.002, -0.002] for visit in range(12)]
    rows[10][1] = -0.100
    rows[5][3] = 0.080
    drifts = cell_drifts(rows)
    assert [drift.number for drift in drifts if drift.falls] == [4]
    assert drifts[3].slope_per_visit == pytest.approx(-0.003)


def test_a_rising_cell_is_not_called_falling() -> None:
    assert not any(drift.falls for drift in cell_drifts([[0.0, 0.0, 0.004 * visit] for visit in range(12)]))


def test_cells_not_read_each_time_count_by_the_visits_that_passed() -> None:
    rows: list[list[float | None]] = [[0.0, None, -0.002 * visit] for visit in range(12)]
    for visit in (1, 2, 6, 7):
        rows[visit][2] = None
    drifts = cell_drifts(rows)
    assert (drifts[1].visits, drifts[1].slope_per_visit, drifts[1].falls) == (0, None, False)
    assert drifts[2].visits == 8
    assert drifts[2].slope_per_visit == pytest.approx(-0.002)


def test_before_the_third_visit_there_is_no_slope_and_before_the_eighth_no_verdict() -> None:
    rows = [[0.0, 0.0, -0.02 * visit] for visit in range(8)]
    assert [drift.slope_per_visit for drift in cell_drifts(rows[:2])] == [None] * 3
    assert not any(drift.falls for drift in cell_drifts(rows[:7]))
    assert cell_drifts(rows)[2].falls


def test_a_pack_that_scatters_more_than_its_hydrometer_is_judged_by_its_own_scatter() -> None:
    rng = np.random.default_rng(10)
    rough = 3 * pack_log(rng, 0.0)
    wide, narrow = (
        drift.high_per_visit - drift.low_per_visit
        for drift in (cell_drifts(rough.tolist())[0], cell_drifts((rough / 3).tolist())[0])
        if drift.high_per_visit is not None and drift.low_per_visit is not None
    )
    assert wide > 2 * narrow


def test_no_visits_give_no_drifts() -> None:
    assert cell_drifts([]) == ()


def test_visits_of_different_packs_are_refused() -> None:
    with pytest.raises(BadInput, match="same pack"):
        cell_drifts([(0.0, 0.0), (0.0,)])


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_deviations_and_chances_that_are_none_are_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="sd_ratio"):
        cell_drifts([(0.0, 0.0)], sd_ratio=bad)
    with pytest.raises(BadInput, match="false alarm"):
        cell_drifts([(0.0, 0.0)], chance_fraction=bad)
