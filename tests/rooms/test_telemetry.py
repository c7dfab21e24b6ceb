"""Seven measured discharges that tell nothing about other currents: the block was not the same each day."""

import numpy as np
import pytest

from scrubwright.battery.curve_fit import fitted_model
from scrubwright.battery.pack import RatedCapacity
from scrubwright.battery.rate_table import check_rates, exponent_ratio
from scrubwright.battery.voltage import VoltageCurve, cell_v, sag_resistance_ohm
from scrubwright.battery.wells import Wells, fitted_wells, rested, stepped
from scrubwright.measures.errors import BadInput
from tests.rooms.telemetry import CELLS, NOMINAL_AH, Log, all_logs

LOGS = all_logs()
ROWS = [log.discharge.rated for log in LOGS.values()]
FASTEST, SLOWEST = "2017-03-25", "2017-04-02"


# Amperes and ampere-hours as they were read off the same files by an earlier, separate calculation; 0.05 Ah is one
# minute of the largest current, the least that the logger tells apart.
@pytest.mark.parametrize(
    ("day", "current_a", "drawn_ah"),
    [
        ("2017-03-25", 3.04, 19.74),
        ("2017-03-26", 2.54, 19.80),
        ("2017-03-27", 2.04, 19.67),
        ("2017-03-28", 1.54, 19.28),
        ("2017-03-30", 1.03, 18.97),
        ("2017-03-31", 1.03, 18.29),
        ("2017-04-02", 0.53, 18.45),
    ],
)
def test_a_log_tells_what_was_drawn(day: str, current_a: float, drawn_ah: float) -> None:
    assert LOGS[day].discharge.current_a == pytest.approx(current_a, abs=0.01)
    assert LOGS[day].discharge.rated.capacity_ah == pytest.approx(drawn_ah, abs=0.05)


def test_every_discharge_ran_down_to_ten_and_a_half_volts() -> None:
    # Within 0.08 V, which is how much the block falls from one reading to the next at the end.
    assert [float(log.block_v.min()) for log in LOGS.values()] == [pytest.approx(10.5, abs=0.08)] * 7


def test_the_exponent_these_days_would_give_is_impossible() -> None:
    # 0.957 by an earlier, separate calculation, which left out the day that began at another current.
    others = [log.discharge.rated for day, log in LOGS.items() if day != "2017-03-31"]
    assert exponent_ratio(others) == pytest.approx(0.957, abs=0.001)
    assert exponent_ratio(ROWS) < 1


def test_the_refusal_says_that_capacity_falls_with_lower_current_and_which_rows_and_what_to_do() -> None:
    with pytest.raises(BadInput) as refused:
        check_rates(ROWS)
    assert "capacity falls with lower current" in str(refused.value)
    assert "Charge it fully before each test and measure again" in str(refused.value)
    fast, slow = ROWS[0], ROWS[-1]
    assert dict(refused.value.sentence.values) == {
        "slow_ah": slow.capacity_ah,
        "slow_h": slow.over_h,
        "fast_ah": fast.capacity_ah,
        "fast_h": fast.over_h,
    }


@pytest.mark.parametrize("rows", [ROWS, ROWS[:5], [ROWS[0], ROWS[-1]]])
def test_no_wells_are_fitted_to_capacities_that_fall_with_lower_current(rows: list[RatedCapacity]) -> None:
    with pytest.raises(BadInput, match="capacity falls with lower current"):
        fitted_wells(rows)


def test_no_voltage_curve_is_fitted_to_them_together() -> None:
    with pytest.raises(BadInput, match="capacity falls with lower current"):
        fitted_model([log.discharge for log in LOGS.values()])


# Share and rate from the physics model of this block, tests/published/test_battery_recorded.py.
AVAILABLE_FRACTION, EXCHANGE_PER_H = 0.81, 0.55


@pytest.mark.parametrize("log", LOGS.values(), ids=LOGS)
def test_the_form_of_the_curve_follows_each_single_day_within_five_millivolts_a_cell(log: Log) -> None:
    assert min(misfit_v(log, most_ah) for most_ah in np.linspace(19.0, 24.0, 51)) < 0.005


def misfit_v(log: Log, most_ah: float) -> float:
    """How far the curve that fits best lies from the readings of one day, for wells of this size [V a cell]."""
    end = int(np.argmin(log.block_v)) + 1
    volts, hours = log.block_v[1:end] / CELLS, log.at_h[1:end]
    wells = Wells(most_ah=most_ah, available_fraction=AVAILABLE_FRACTION, exchange_per_h=EXCHANGE_PER_H)
    left_ah = stepped(wells, rested(wells, 1.0), log.discharge.current_a, hours).available_ah
    emptied = 1 - np.asarray(left_ah) / (AVAILABLE_FRACTION * most_ah)
    if not np.all(emptied < 1):
        return np.inf
    shapes = np.column_stack([np.ones_like(emptied), emptied, emptied / (1 - emptied)])
    (full_v, slope_v, bend_v), *_ = np.linalg.lstsq(shapes, volts)
    curve = VoltageCurve(full_v=full_v, slope_v=slope_v, bend_v=bend_v, resistance_ohm=0.0)
    return float(np.sqrt(np.mean((cell_v(curve, emptied, 0.0) - volts) ** 2)))


def resistance_ohm_ah(slow: str, fast: str) -> float:
    """Of one cell times the nominal capacity, from two days' volts when 10 Ah were drawn."""
    at_10_ah = {day: float(np.interp(10.0, LOGS[day].drawn_ah, LOGS[day].block_v)) for day in (slow, fast)}
    block_ohm = sag_resistance_ohm(
        at_10_ah[slow], LOGS[slow].discharge.current_a, at_10_ah[fast], LOGS[fast].discharge.current_a
    )
    return block_ohm / CELLS * NOMINAL_AH


def test_the_slowest_and_the_fastest_day_give_the_resistance_worked_out_before() -> None:
    # 0.05 to 0.07 by an earlier, separate calculation on the same files.
    assert resistance_ohm_ah(SLOWEST, FASTEST) == pytest.approx(0.06, abs=0.02)


def test_other_days_give_nearly_twice_that_so_resistance_must_be_read_within_seconds() -> None:
    assert resistance_ohm_ah("2017-03-28", FASTEST) > 1.7 * resistance_ohm_ah(SLOWEST, FASTEST)
