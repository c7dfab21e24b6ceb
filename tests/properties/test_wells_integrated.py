"""The exact steps of the two wells against a fine-step integration of their two differential equations."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from scrubwright.battery.discharge import CAUSES, Guard, Load, StopCause, discharge
from scrubwright.battery.voltage import VoltageCurve, cell_v
from scrubwright.battery.wells import Charge, Wells, rested, stepped

WELLS = st.builds(
    Wells,
    most_ah=st.floats(20, 400),
    available_fraction=st.floats(0.1, 0.9),
    exchange_per_h=st.floats(0.05, 5),
)
CURVE = VoltageCurve(full_v=2.17, slope_v=-0.25, bend_v=-0.032, resistance_ohm=3e-4)
LOCKED_V = 1.75


def integrated(
    wells: Wells, held_ah: NDArray[np.float64], current_a: float, duration_h: float, ends: Callable[..., float] | None
) -> tuple[float, NDArray[np.float64]]:
    """How long it went on, and what the well at hand and the bound one hold then [h, Ah].

    The bound well sinks towards the level of the one at hand, which gives the current.
    """
    c = float(wells.available_fraction)
    valve_per_h = float(wells.exchange_per_h) * c * (1 - c)

    def flow_a(_: float, held_ah: NDArray[np.float64]) -> NDArray[np.float64]:
        available_ah, bound_ah = held_ah
        across_a = valve_per_h * (bound_ah / (1 - c) - available_ah / c)
        return np.array([across_a - current_a, -across_a])

    run = solve_ivp(
        flow_a,
        (0.0, float(duration_h)),
        held_ah,
        method="DOP853",
        rtol=1e-10,
        atol=1e-10,
        max_step=0.1,
        events=ends,
    )
    return float(run.t[-1]), np.asarray(run.y[:, -1])


@given(
    wells=WELLS,
    full_fraction=st.floats(0, 1),
    tilt_fraction=st.floats(0, 1),
    current_c_per_h=st.floats(-0.5, 1.0),
    duration_h=st.floats(0.01, 12),
)
@settings(max_examples=60, deadline=None)
def test_one_exact_step_is_what_many_fine_ones_come_to(
    wells: Wells, full_fraction: float, tilt_fraction: float, current_c_per_h: float, duration_h: float
) -> None:
    total_ah = full_fraction * float(wells.most_ah)
    charge = Charge(total_ah=total_ah, available_ah=tilt_fraction * total_ah)
    current_a = current_c_per_h * float(wells.most_ah)
    held_ah = np.array([charge.available_ah, total_ah - float(charge.available_ah)])
    _, (available_ah, bound_ah) = integrated(wells, held_ah, current_a, duration_h, ends=None)
    after = stepped(wells, charge, current_a, duration_h)
    close = 1e-8 * float(wells.most_ah)
    assert float(after.available_ah) == pytest.approx(available_ah, rel=1e-8, abs=close)
    assert float(after.total_ah) == pytest.approx(available_ah + bound_ah, rel=1e-8, abs=close)


def stop_by_fine_steps_h(wells: Wells, load: Load) -> float:
    """When the voltage first falls to the lock-out [h]."""
    full_ah = float(wells.available_fraction * wells.most_ah)
    held_ah, gone_h = np.array([full_ah, float(wells.most_ah) - full_ah]), 0.0
    for current_a, duration_h in zip(load.current_a, load.duration_h, strict=True):

        def above_v(_: float, held_ah: NDArray[np.float64], current_a: float = current_a) -> float:
            emptied = min(1 - held_ah[0] / full_ah, 1 - 1e-9)
            return float(cell_v(CURVE, emptied, current_a)) - LOCKED_V

        if above_v(0.0, held_ah) <= 0:
            return gone_h
        above_v.terminal = True  # type: ignore[attr-defined]
        went_h, held_ah = integrated(wells, held_ah, current_a, duration_h, ends=above_v)
        gone_h += went_h
        if went_h < duration_h:
            return gone_h
    raise AssertionError("the load was too small to stop the pack")


@given(wells=WELLS, seed=st.integers(0, 10_000))
@settings(max_examples=25, deadline=None)
def test_the_lock_out_acts_when_fine_steps_say(wells: Wells, seed: int) -> None:
    rng = np.random.default_rng(seed)
    rates_per_h = rng.uniform(0.05, 0.6, 30) * rng.choice([0.0, 1.0, 1.0], 30)
    load = Load(
        current_a=np.append(rates_per_h, 0.5) * float(wells.most_ah),
        duration_h=np.append(rng.uniform(0.05, 0.5, 30), 9.0),
    )
    stopped = discharge(wells, rested(wells, 1.0), load, Guard(curve=CURVE, cell_v=LOCKED_V, delay_s=0.0))
    assert CAUSES[int(stopped.cause[0])] is StopCause.LOCK_OUT
    assert float(stopped.stop_h[0]) == pytest.approx(stop_by_fine_steps_h(wells, load), abs=1e-6)
