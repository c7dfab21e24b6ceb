"""A 17 Ah lead-acid block as PyBaMM's full model runs it: porous electrodes, diffusion of the acid, kinetics."""

import os

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.curve_fit import SteadyDischarge
from scrubwright.battery.discharge import Load
from tests.published.recorded_discharges import CELLS, NOMINAL_AH, Pulses
from tests.published.recorded_shift import ShiftRun

# Before the import, which reads it.
os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"
import pybamm

VERSION = pybamm.__version__
READINGS = 40
# A jump of the current is spread over this long, since the solver needs a slope.
JUMP_S = 1.0


def steady_discharge(nominal_h: int) -> SteadyDischarge:
    """From full to 10.5 V of the block at C / hours, read more often towards its end, where the voltage falls fast."""
    solution = _solved(NOMINAL_AH / nominal_h, np.linspace(0, 1.3 * nominal_h * 3600, 2000))
    hours = np.asarray(solution["Time [h]"].entries)
    at_h = hours[-1] * (1 - np.linspace(1, 0, READINGS) ** 2)
    block_v = np.interp(at_h, hours, np.asarray(solution["Battery voltage [V]"].entries))
    return SteadyDischarge(current_a=NOMINAL_AH / nominal_h, at_h=at_h, cell_v=block_v / CELLS)


def pulsed_runtime_h(pulses: Pulses) -> float:
    """From full to 10.5 V of the block under a load that repeats [h]."""
    current, at_s = _stepped(pulses.load)
    return float(_solved(current, at_s)["Time [h]"].entries[-1])


def shift_run(load: Load) -> ShiftRun:
    """From full to 10.5 V of the block under a shift's load, its energy by the trapezium rule over half minutes."""
    current, jumps_s = _stepped(load)
    solution = _solved(current, np.union1d(jumps_s, np.arange(0.0, jumps_s[-1], 30.0)))
    hours, block_v, amperes = (
        np.asarray(solution[name].entries) for name in ("Time [h]", "Battery voltage [V]", "Current [A]")
    )
    return ShiftRun(runtime_h=float(hours[-1]), energy_wh=float(np.trapezoid(block_v * amperes, hours)))


def _stepped(load: Load) -> tuple[pybamm.Interpolant, NDArray[np.float64]]:
    """The current of a row of steps, and when it jumps [s]."""
    ends_s = 3600 * np.cumsum(load.duration_h)
    begins_s = np.concatenate([[0.0], ends_s[:-1] + JUMP_S])
    at_s = np.column_stack([begins_s, ends_s]).ravel()
    return pybamm.Interpolant(at_s, np.repeat(load.current_a, 2), pybamm.t), at_s


def _solved(current: float | pybamm.Interpolant, at_s: NDArray[np.float64]) -> pybamm.Solution:
    """Until the voltage of a cell falls to 1.75 V, the cut-off of the parameter set."""
    values = pybamm.ParameterValues("Sulzer2019")
    values["Current function [A]"] = current
    solution = pybamm.Simulation(pybamm.lead_acid.Full(), parameter_values=values).solve(at_s)
    if solution.termination != "event: Minimum voltage [V]":
        raise AssertionError(solution.termination)
    return solution
