"""Our pack against recorded runs of a physics model and of another program's kinetic model.

What made the recorded files stands in their first lines; tests/outside runs the programs themselves.
"""

import numpy as np
import pytest

from scrubwright.battery.curve_fit import PackModel, fitted_model
from scrubwright.battery.discharge import Load, discharge
from scrubwright.battery.peukert import runtime_by_peukert_h, steady_runtime_by_peukert_h
from scrubwright.battery.rate_table import exponent_ratio
from scrubwright.battery.wells import fitted_wells, rested, stepped
from tests.published.recorded_discharges import (
    FITTED_H,
    MISFIT_V,
    NOMINAL_AH,
    PULSED_FRACTION,
    PULSES,
    STEADY_RMS_FRACTION,
    Pulses,
    pulsed_errors,
    recorded_pulsed_h,
    recorded_steady,
    root_mean_square,
    steady_errors,
)
from tests.published.recorded_profile import WELLS_FRACTION, rated_wells, recorded_profile

RUNS, RUNTIMES_H = recorded_steady(), recorded_pulsed_h()
ROWS = [run.rated for run in RUNS.values()]
# How far the capacities of wells fitted to seven rows may lie from them.
ROWS_RMS_FRACTION = 0.0045
BY_NAME = [pytest.param(pulses, id=pulses.name) for pulses in PULSES]


@pytest.fixture(scope="module")
def model() -> PackModel:
    return fitted_model([RUNS[hours] for hours in FITTED_H])


def test_five_steady_discharges_are_followed_and_two_more_foretold(model: PackModel) -> None:
    assert model.misfit_v < MISFIT_V
    assert root_mean_square(steady_errors(model, RUNS.values())) < STEADY_RMS_FRACTION


@pytest.mark.parametrize("pulses", BY_NAME)
def test_a_pulsed_load_is_foretold(model: PackModel, pulses: Pulses) -> None:
    assert abs(pulsed_errors(model, RUNTIMES_H)[pulses.name]) < PULSED_FRACTION


def test_the_resistance_found_is_that_of_a_separate_fit(model: PackModel) -> None:
    # 4.88 mΩ a cell, by an earlier, separate fit of the same equation to five discharges of the same model.
    assert float(model.curve.resistance_ohm) * NOMINAL_AH == pytest.approx(0.083, abs=0.01)


def test_three_figures_of_the_wells_tell_seven_capacities() -> None:
    wells = fitted_wells(ROWS)
    ours = [
        discharge(wells, rested(wells, 1.0), Load(current_a=np.array([row.current_a]), duration_h=np.array([60.0])))
        for row in ROWS
    ]
    errors = [float(run.stop_h[0]) / row.over_h - 1 for run, row in zip(ours, ROWS, strict=True)]
    assert root_mean_square(errors) < ROWS_RMS_FRACTION


def test_no_single_exponent_tells_the_seven_capacities() -> None:
    exponent = exponent_ratio(ROWS)
    # Whichever of the seven rows it is anchored to, the misses are four times those of the wells.
    for anchor in ROWS:
        errors = [steady_runtime_by_peukert_h(anchor, exponent, row.current_a) / row.over_h - 1 for row in ROWS]
        assert root_mean_square(errors) > 4 * ROWS_RMS_FRACTION


@pytest.mark.parametrize("pulses", BY_NAME)
def test_counting_by_exponent_step_by_step_is_within_five_per_cent(pulses: Pulses) -> None:
    load = pulses.load
    runtime_h = runtime_by_peukert_h(RUNS[10].rated, exponent_ratio(ROWS), load.current_a, load.duration_h)
    assert runtime_h is not None
    assert runtime_h == pytest.approx(RUNTIMES_H[pulses.name], rel=0.05)


def test_counting_by_exponent_with_the_mean_current_is_far_too_hopeful_where_there_are_long_rests() -> None:
    pulses = PULSES[-1]
    runtime_h = steady_runtime_by_peukert_h(RUNS[10].rated, exponent_ratio(ROWS), pulses.mean_a)
    assert runtime_h > 1.15 * RUNTIMES_H[pulses.name]


def test_both_wells_follow_a_random_day_as_another_program_steps_it() -> None:
    wells, steps = rated_wells(), recorded_profile()
    kinds = {np.sign(step.current_a) for step in steps}
    assert kinds == {-1.0, 0.0, 1.0}
    charge = rested(wells, 1.0)
    for step in steps:
        charge = stepped(wells, charge, step.current_a, step.minutes / 60)
        assert float(charge.total_ah) == pytest.approx(step.total_ah, rel=WELLS_FRACTION)
        assert float(charge.available_ah) == pytest.approx(step.available_ah, rel=WELLS_FRACTION)
