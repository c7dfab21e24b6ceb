"""Rested voltage, and acid without a hydrometer: ordinary packs and what is refused."""

import math

import numpy as np
import pytest

from scrubwright.battery.acid import (
    electrolyte_by_ah_l,
    gravity_after_ah_ratio,
    gravity_after_topping_up_ratio,
    gravity_of_acid_ratio,
)
from scrubwright.battery.charge_left import FULL_1265, own_family
from scrubwright.battery.pack import Chemistry
from scrubwright.battery.rested_voltage import (
    SEALED_REST_H,
    gravity_by_rested_ratio,
    is_rested,
    rested_cell_v,
    rested_charge_left_fraction,
    rested_charge_left_sd_fraction,
    sealed_charge_left_fraction,
    sealed_charge_left_sd_fraction,
)
from scrubwright.measures.errors import BadInput, NoAnswer, OutOfRange


def test_a_36_v_pack_in_the_morning() -> None:
    # 37.1 V over 18 cells are 2.061 V: between the half (2.041 V) and three quarters (2.073 V).
    assert 0.6 < rested_charge_left_fraction(FULL_1265, 37.1 / 18) < 0.7


def test_a_traction_pack_is_compared_at_its_own_reference() -> None:
    family = own_family(1.290, 1.130, 0.2)
    at_25, at_30 = (rested_charge_left_fraction(family, 2.10, 298.15, each_k) for each_k in (298.15, 303.15))
    # The same acid shows 0.0035 less at 30 °C, 0.0035 / 0.200 = 1.75 points.
    assert at_25 - at_30 == pytest.approx(0.0175, abs=0.0001)


def test_six_hours_are_a_rest_and_a_day_for_sealed_packs() -> None:
    assert is_rested(6.0)
    assert not is_rested(5.9)
    assert not is_rested(6.0, SEALED_REST_H)
    assert is_rested(24.0, SEALED_REST_H)


@pytest.mark.parametrize("cell_v", [2.30, 1.80])
def test_a_cell_that_did_not_rest_is_asked_to(cell_v: float) -> None:
    with pytest.raises(OutOfRange, match=r"Let it stand .* for 6\.00 h, then measure again"):
        gravity_by_rested_ratio(cell_v)


@pytest.mark.parametrize("cell_v", [38.1, 12.7, 6.35, 0.0, -2.1, math.nan])
def test_volts_of_a_block_or_a_pack_are_no_cell(cell_v: float) -> None:
    with pytest.raises(BadInput, match="Divide the volts of the block or of the pack"):
        gravity_by_rested_ratio(cell_v)
    with pytest.raises(BadInput, match="Divide the volts of the block or of the pack"):
        sealed_charge_left_fraction(Chemistry.GEL, np.array([2.10, cell_v]))


@pytest.mark.parametrize("gravity", [1.04, 1.33, math.nan])
def test_acid_beyond_the_source_has_no_rested_voltage(gravity: float) -> None:
    with pytest.raises(OutOfRange, match=r"from 1\.050 to 1\.310"):
        rested_cell_v(gravity)


@pytest.mark.parametrize("chemistry", [Chemistry.FLOODED, Chemistry.LITHIUM])
def test_the_table_of_sealed_packs_is_for_sealed_packs(chemistry: Chemistry) -> None:
    with pytest.raises(BadInput, match="is for AGM and gel"):
        sealed_charge_left_fraction(chemistry, 2.1)
    with pytest.raises(BadInput, match="is for AGM and gel"):
        sealed_charge_left_sd_fraction(chemistry)


def test_a_sealed_pack_strays_by_six_points() -> None:
    # Gel 12.85 - 11.80 = 1.05 V, AGM 1.00 V for all of it; 6 x 0.010 = 0.06 V.
    assert sealed_charge_left_sd_fraction(Chemistry.GEL) == pytest.approx(0.057, abs=0.001)
    assert sealed_charge_left_sd_fraction(Chemistry.AGM) == pytest.approx(0.060, abs=0.001)


def test_a_meter_that_strays_by_nothing_is_refused() -> None:
    with pytest.raises(BadInput, match="cell_sd_v"):
        rested_charge_left_sd_fraction(FULL_1265, 0.0)


def test_more_ampere_hours_than_the_acid_lasts_for_are_refused() -> None:
    with pytest.raises(NoAnswer, match="check how much one cell holds"):
        gravity_after_ah_ratio(1.280, 1.0, 225)


def test_a_gravity_that_rose_while_discharging_is_refused() -> None:
    with pytest.raises(BadInput, match="the lower one last for a discharge"):
        electrolyte_by_ah_l(1.120, 1.277, 225)
    with pytest.raises(BadInput, match="the lower one last for a discharge"):
        electrolyte_by_ah_l(1.277, 1.277, 225)


@pytest.mark.parametrize("share", [-0.01, 0.51, math.nan, 37.0])
def test_a_share_of_acid_beyond_the_table_is_refused(share: float) -> None:
    with pytest.raises(BadInput, match=r"a share by mass from 0 to 0\.5"):
        gravity_of_acid_ratio(share)


def test_an_empty_cell_and_water_taken_out_are_refused() -> None:
    with pytest.raises(BadInput, match="electrolyte_l"):
        gravity_after_topping_up_ratio(1.277, 0.0, 0.1)
    with pytest.raises(BadInput, match="water_l"):
        gravity_after_topping_up_ratio(1.277, 2.4, -0.1)
