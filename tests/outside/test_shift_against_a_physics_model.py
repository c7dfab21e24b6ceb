"""A planned shift's current against a physics model of a lead-acid block, which knows nothing of wells.

The same figures as tests/published/test_shift_recorded.py, with the model itself at work: our pack is fitted to five
of its steady discharges and then bears the shift beside it.
"""

import pytest

from scrubwright.battery.curve_fit import fitted_model
from tests.outside import physics_model
from tests.published.recorded_discharges import FITTED_H
from tests.published.recorded_shift import SHIFT_FRACTION, ShiftRun, recorded_shift, shift_errors, shift_load


@pytest.fixture(scope="module")
def theirs() -> ShiftRun:
    return physics_model.shift_run(shift_load())


def test_energy_and_stop_of_a_planned_shift_are_foretold(theirs: ShiftRun) -> None:
    model = fitted_model([physics_model.steady_discharge(hours) for hours in FITTED_H])
    errors = shift_errors(model, theirs)
    assert {name: error for name, error in errors.items() if not abs(error) < SHIFT_FRACTION} == {}


def test_what_was_recorded_is_what_the_model_gives(theirs: ShiftRun) -> None:
    recorded = recorded_shift()
    assert recorded.runtime_h == pytest.approx(theirs.runtime_h, rel=1e-3)
    assert recorded.energy_wh == pytest.approx(theirs.energy_wh, rel=1e-3)
