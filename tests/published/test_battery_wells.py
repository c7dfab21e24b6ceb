"""The two wells against what open programs and papers print of the same model."""

import csv
from pathlib import Path

import numpy as np
import pytest

from scrubwright.battery.discharge import Load, discharge
from scrubwright.battery.pack import RatedCapacity
from scrubwright.battery.wells import (
    Charge,
    Wells,
    capacity_ah,
    fitted_wells,
    most_current_a,
    rested,
    stepped,
)

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_wells.csv").read_text(encoding="utf-8").splitlines()))


def rate_table(text: str) -> list[RatedCapacity]:
    pairs = [pair.split(":") for pair in text.split()]
    return [RatedCapacity(capacity_ah=float(ah), over_h=float(hours)) for hours, ah in pairs]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['quantity']} of {row['inputs']}")
def test_three_rated_capacities_give_the_printed_wells(row: dict[str, str]) -> None:
    wells = fitted_wells(rate_table(row["inputs"]))
    found = {"c": wells.available_fraction, "k": wells.exchange_per_h, "most": wells.most_ah}[row["quantity"]]
    assert float(found) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


WELLS = fitted_wells(rate_table("20:100 10:93 1:60"))


# System Advisor Model source (open, BSD-3), battery capacity test: half full q1 is 25.6938 of 54.08 Ah; an hour of 30 A
# leaves q0 24.07, an hour of charging with 30 A brings 54.07 back. Its charge starts from 54.07 rather than 54.08.
def test_a_half_full_pack_is_stepped_as_printed() -> None:
    start = rested(WELLS, 0.5)
    assert float(start.available_ah) == pytest.approx(25.6938, abs=0.0005)
    drawn = stepped(WELLS, start, 30.0, 1.0)
    back = stepped(WELLS, drawn, -30.0, 1.0)
    assert float(drawn.total_ah) == pytest.approx(24.07, abs=0.015)
    assert float(back.total_ah) == pytest.approx(54.07, abs=0.015)


# The same test: after an hour of 1.5 A and one of 3 A, 490 A are asked for an hour; 26.65 A are given, then 6.25 A.
def test_what_is_asked_beyond_the_first_well_is_limited_as_printed() -> None:
    charge = stepped(WELLS, stepped(WELLS, rested(WELLS, 0.5), 1.5, 1.0), 3.0, 1.0)
    assert float(charge.total_ah) == pytest.approx(49.58, abs=0.01)
    first_a = float(most_current_a(WELLS, charge, 1.0))
    assert first_a == pytest.approx(26.65, abs=0.01)
    charge = stepped(WELLS, charge, first_a, 1.0)
    assert float(most_current_a(WELLS, charge, 1.0)) == pytest.approx(6.25, abs=0.01)


# System Advisor Model, NREL-PySAM 7.1.1, BatteryStateful with the same three capacities: from full, 60 A last 60 min.
def test_sixty_amperes_last_an_hour_as_in_another_program() -> None:
    run = discharge(WELLS, rested(WELLS, 1.0), Load(current_a=np.array([60.0]), duration_h=np.array([5.0])))
    assert 60 * run.stop_h[0] == pytest.approx(60, abs=1)


def test_the_rated_capacities_come_back_from_the_fit() -> None:
    assert capacity_ah(WELLS, np.array([20.0, 10.0, 1.0])) == pytest.approx([100, 93, 60], rel=1e-9)


# Parameters: Kim et al. as used by Jongerden M R, Haverkort B R, Which battery model to use?, IET Software 3 (2009)
# 445-457, cell of 7200 As, c 0.625, valve 4.5e-5 /s; their lifetimes, 91 min steady and 203 min for 1 s pulses at
# 0.96 A, are from memory.
VALVE_PER_H = 4.5e-5 * 3600
PHONE = Wells(most_ah=2.0, available_fraction=0.625, exchange_per_h=VALVE_PER_H / (0.625 * 0.375))


def test_a_small_cell_lasts_as_long_as_the_paper_says_under_a_steady_current() -> None:
    run = discharge(PHONE, rested(PHONE, 1.0), Load(current_a=np.array([0.96]), duration_h=np.array([5.0])))
    assert run.stop_h[0] * 60 == pytest.approx(91, abs=0.5)


@pytest.mark.parametrize("pulse_s", [0.5, 2.5])
def test_a_small_cell_lasts_as_long_as_the_paper_says_under_pulses(pulse_s: float) -> None:
    pulses = int(4 * 3600 / (2 * pulse_s))
    load = Load(current_a=np.tile([0.96, 0.0], pulses), duration_h=np.full(2 * pulses, pulse_s / 3600))
    assert discharge(PHONE, rested(PHONE, 1.0), load).stop_h[0] * 60 == pytest.approx(203, abs=0.5)


def test_charge_may_be_handed_in_as_arrays() -> None:
    many = Charge(total_ah=np.array([50.0, 100.0]), available_ah=np.array([20.0, 45.0]))
    one = Charge(total_ah=100.0, available_ah=45.0)
    assert np.asarray(stepped(WELLS, many, 10.0, 0.5).available_ah)[1] == pytest.approx(
        float(stepped(WELLS, one, 10.0, 0.5).available_ah)
    )
