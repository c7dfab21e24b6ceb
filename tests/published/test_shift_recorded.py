"""A planned shift's current against a recorded run of a physics model; tests/outside runs the model itself."""

import numpy as np
import pytest

from scrubwright.battery.curve_fit import PackModel, fitted_model
from tests.published.recorded_discharges import FITTED_H, NOMINAL_AH, recorded_steady
from tests.published.recorded_shift import SHIFT_FRACTION, TIMES, recorded_shift, shift_errors, shift_load

RUNS = recorded_steady()


@pytest.fixture(scope="module")
def model() -> PackModel:
    return fitted_model([RUNS[hours] for hours in FITTED_H])


@pytest.mark.parametrize("figure", ["moment of the stop", "energy until the stop"])
def test_a_planned_shift_is_foretold(model: PackModel, figure: str) -> None:
    assert abs(shift_errors(model, recorded_shift())[figure]) < SHIFT_FRACTION


def test_the_profile_works_and_stands_and_outlasts_the_block() -> None:
    load = shift_load()
    assert load.current_a.max() > 0.25 * NOMINAL_AH
    assert 0 < load.current_a.min() < 0.02 * NOMINAL_AH
    assert float(np.sum(load.duration_h)) > recorded_shift().runtime_h
    # It needs more than one shift to bring the block down, so the wells recover at its stops.
    assert float(np.sum(load.duration_h)) / TIMES < recorded_shift().runtime_h
