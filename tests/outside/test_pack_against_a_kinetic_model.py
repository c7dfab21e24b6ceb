"""Our two wells, in one exact step for each current, against another program's that goes minute by minute."""

import numpy as np
import pytest

from scrubwright.battery.discharge import Load, discharge
from scrubwright.battery.wells import (
    most_charging_current_a,
    most_current_a,
    rested,
    stepped,
)
from tests.outside.kinetic_cell import KineticCell
from tests.published.recorded_profile import (
    RATED_AH,
    WELLS_FRACTION,
    random_profile,
    rated_wells,
    recorded_profile,
)

# The program's own test, its defaults of a sealed pack, and one made up whose hourly row is lower still.
RATE_TABLES = [RATED_AH, (100.0, 93.2, 58.12), (100.0, 92.1, 55.0)]


@pytest.mark.parametrize("rated_ah", RATE_TABLES)
def test_the_whole_that_follows_from_a_rate_table_is_the_same(rated_ah: tuple[float, float, float]) -> None:
    cell = KineticCell(rated_ah)
    assert float(rated_wells(rated_ah).most_ah) == pytest.approx(cell.total_ah, rel=1e-4)


@pytest.mark.parametrize("seed", range(2, 6))
def test_both_wells_follow_a_random_day(seed: int) -> None:
    wells, cell = rated_wells(), KineticCell(RATED_AH)
    charge = rested(wells, 1.0)
    for minutes, current_a in random_profile(np.random.default_rng(seed)):
        given_a = [cell.step(current_a) for _ in range(minutes)]
        assert given_a == [pytest.approx(current_a, abs=1e-9)] * minutes
        charge = stepped(wells, charge, current_a, minutes / 60)
        assert float(charge.total_ah) == pytest.approx(cell.total_ah, rel=WELLS_FRACTION)
        assert float(charge.available_ah) == pytest.approx(cell.available_ah, rel=WELLS_FRACTION)


def test_what_was_recorded_is_what_the_program_gives() -> None:
    cell = KineticCell(RATED_AH)
    for step in recorded_profile():
        for _ in range(step.minutes):
            cell.step(step.current_a)
        assert step.total_ah == pytest.approx(cell.total_ah, abs=1e-5)
        assert step.available_ah == pytest.approx(cell.available_ah, abs=1e-5)


def test_sixty_amperes_last_sixty_minutes_in_both() -> None:
    cell, minutes = KineticCell(RATED_AH), 0
    while cell.step(60.0) == pytest.approx(60.0, abs=1e-9):
        minutes += 1
    wells = rated_wells()
    ours = discharge(wells, rested(wells, 1.0), Load(current_a=np.array([60.0]), duration_h=np.array([5.0])))
    assert minutes == 60
    assert ours.stop_h[0] * 60 == pytest.approx(minutes, abs=1)


def test_asking_for_too_much_is_cut_to_the_same_current() -> None:
    wells, cell = rated_wells(), KineticCell(RATED_AH, charge_percent=50.0, step_h=1.0)
    charge = rested(wells, 0.5)
    for current_a in (1.5, 3.0, 490.0, 490.0):
        ours_a = min(current_a, float(most_current_a(wells, charge, 1.0)))
        assert ours_a == pytest.approx(cell.step(current_a), rel=1e-3)
        charge = stepped(wells, charge, ours_a, 1.0)


def test_charging_too_fast_is_cut_to_the_same_current() -> None:
    wells, cell = rated_wells(), KineticCell(RATED_AH, charge_percent=50.0, step_h=1.0)
    charge = rested(wells, 0.5)
    for current_a in (30.0, -30.0, -490.0, -490.0):
        ours_a = max(current_a, -float(most_charging_current_a(wells, charge, 1.0)))
        assert ours_a == pytest.approx(cell.step(current_a), rel=1e-3)
        charge = stepped(wells, charge, ours_a, 1.0)
