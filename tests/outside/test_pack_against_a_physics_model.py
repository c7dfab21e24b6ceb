"""Our pack against a physics model of a lead-acid block, which knows nothing of wells.

The same figures as tests/published/test_battery_recorded.py, with the model itself at work.
"""

import numpy as np
import pytest

from scrubwright.battery.curve_fit import PackModel, SteadyDischarge, fitted_model
from tests.outside import physics_model
from tests.published.recorded_discharges import (
    FITTED_H,
    MISFIT_V,
    PULSED_FRACTION,
    PULSES,
    STEADY_H,
    STEADY_RMS_FRACTION,
    pulsed_errors,
    recorded_pulsed_h,
    recorded_steady,
    root_mean_square,
    steady_errors,
)


@pytest.fixture(scope="module")
def runs() -> dict[int, SteadyDischarge]:
    return {hours: physics_model.steady_discharge(hours) for hours in STEADY_H}


@pytest.fixture(scope="module")
def runtimes_h() -> dict[str, float]:
    return {pulses.name: physics_model.pulsed_runtime_h(pulses) for pulses in PULSES}


@pytest.fixture(scope="module")
def model(runs: dict[int, SteadyDischarge]) -> PackModel:
    return fitted_model([runs[hours] for hours in FITTED_H])


def test_five_steady_discharges_are_followed_and_two_more_foretold(
    model: PackModel, runs: dict[int, SteadyDischarge]
) -> None:
    assert model.misfit_v < MISFIT_V
    assert root_mean_square(steady_errors(model, runs.values())) < STEADY_RMS_FRACTION


def test_four_pulsed_loads_are_foretold(model: PackModel, runtimes_h: dict[str, float]) -> None:
    errors = pulsed_errors(model, runtimes_h)
    assert {name: error for name, error in errors.items() if not abs(error) < PULSED_FRACTION} == {}


def test_what_was_recorded_is_what_the_model_gives(
    runs: dict[int, SteadyDischarge], runtimes_h: dict[str, float]
) -> None:
    for hours, recorded in recorded_steady().items():
        assert recorded.at_h == pytest.approx(runs[hours].at_h, rel=1e-3)
        assert np.max(np.abs(recorded.cell_v - runs[hours].cell_v)) < 1e-3
    assert recorded_pulsed_h() == pytest.approx(runtimes_h, rel=1e-3)
