"""What holds for every gravity: corrections add up and turn back, acid is kept, flatter is never fuller."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.battery.acid import (
    acid_fraction,
    drawn_ah,
    electrolyte_by_ah_l,
    gravity_after_ah_ratio,
    gravity_after_topping_up_ratio,
    gravity_of_acid_ratio,
)
from scrubwright.battery.charge_left import (
    FULL_1265,
    FULL_1280,
    GravityFamily,
    below_flat,
    charge_left_fraction,
    charge_left_sd_fraction,
    own_family,
)
from scrubwright.battery.freezing import freezing_k, may_freeze
from scrubwright.battery.gravity import (
    corrected_gravity_ratio,
    density_of_gravity_kg_per_l,
    gravity_of_density_ratio,
)
from scrubwright.battery.rested_voltage import (
    gravity_by_rested_ratio,
    rested_cell_v,
    rested_charge_left_fraction,
    rule_bias_v,
    rule_cell_v,
    rule_gravity_ratio,
)
from scrubwright.battery.spill import spill

# Corrections move a reading by up to 0.055 and must stay among gravities.
gravities = st.floats(1.11, 1.29)
temperatures = st.floats(254, 332)
litres = st.floats(0.3, 20)
families = st.sampled_from([FULL_1265, FULL_1280, own_family(1.290, 1.130, 0.2), own_family(1.270, 1.140)])


@given(gravities, temperatures, temperatures, temperatures)
def test_two_corrections_are_one(gravity: float, read_k: float, first_k: float, second_k: float) -> None:
    # What would show at the first reference is a reading at that temperature.
    by_way = corrected_gravity_ratio(corrected_gravity_ratio(gravity, read_k, first_k), first_k, second_k)
    assert by_way == pytest.approx(corrected_gravity_ratio(gravity, read_k, second_k), abs=1e-12)


@given(gravities, temperatures, temperatures)
def test_a_correction_turns_back(gravity: float, read_k: float, reference_k: float) -> None:
    there = corrected_gravity_ratio(gravity, read_k, reference_k)
    assert corrected_gravity_ratio(there, reference_k, read_k) == pytest.approx(gravity, abs=1e-12)


@given(gravities, temperatures, temperatures, temperatures)
def test_the_warmer_the_electrolyte_the_more_is_added(
    gravity: float, one_k: float, other_k: float, reference_k: float
) -> None:
    cool_k, warm_k = sorted((one_k, other_k))
    cool, warm = (corrected_gravity_ratio(gravity, each_k, reference_k) for each_k in (cool_k, warm_k))
    assert warm >= cool


@given(st.lists(gravities, min_size=1, max_size=24), temperatures, families)
def test_cells_together_are_as_one_by_one(cells: list[float], electrolyte_k: float, family: GravityFamily) -> None:
    together = charge_left_fraction(family, corrected_gravity_ratio(np.array(cells), electrolyte_k, 298.15))
    for cell, charge in zip(cells, together, strict=True):
        alone = charge_left_fraction(family, corrected_gravity_ratio(cell, electrolyte_k, 298.15))
        assert charge == pytest.approx(alone, abs=1e-12)


@given(gravities)
def test_density_and_gravity_turn_back(gravity: float) -> None:
    assert gravity_of_density_ratio(density_of_gravity_kg_per_l(gravity)) == pytest.approx(gravity, abs=1e-12)


@given(families, gravities, gravities)
def test_a_heavier_cell_is_never_emptier(family: GravityFamily, one: float, other: float) -> None:
    light, heavy = (charge_left_fraction(family, gravity) for gravity in sorted((one, other)))
    assert 0 <= light <= heavy <= 1


@given(families, gravities)
def test_a_cell_below_flat_holds_nothing(family: GravityFamily, gravity: float) -> None:
    assert (charge_left_fraction(family, gravity) == 0) or not below_flat(family, gravity)


@given(st.floats(1.2, 1.33), st.floats(0.05, 0.15), st.just(0.0) | st.floats(0.01, 0.5), st.floats(0, 1))
def test_an_own_family_is_straight_and_meets_its_ends(full: float, span: float, left: float, share: float) -> None:
    family = own_family(full, full - span * (1 - left), left)
    assert charge_left_fraction(family, full) == 1
    assert charge_left_fraction(family, full - span * (1 - left)) == pytest.approx(left, abs=1e-9)
    assert charge_left_fraction(family, full - span * share) == pytest.approx(1 - share, abs=1e-9)


@given(families, st.integers(1, 60))
def test_one_more_cell_never_makes_it_less_sure(family: GravityFamily, cells: int) -> None:
    assert charge_left_sd_fraction(family, cells + 1) < charge_left_sd_fraction(family, cells)
    assert charge_left_sd_fraction(family, cells) > charge_left_sd_fraction(family, 10**9)


@given(st.floats(1.05, 1.31), temperatures)
def test_rested_volts_and_gravity_turn_back(gravity: float, electrolyte_k: float) -> None:
    # The ends of the range may be missed by rounding.
    inside = min(max(gravity, 1.0501), 1.3099)
    cell_v = float(rested_cell_v(inside, electrolyte_k))
    assert gravity_by_rested_ratio(cell_v, electrolyte_k) == pytest.approx(inside, abs=1e-5)


@given(st.floats(1.05, 1.31), st.floats(1.05, 1.31))
def test_a_heavier_cell_rests_at_more_volts(one: float, other: float) -> None:
    light, heavy = sorted((one, other))
    assert float(rested_cell_v(light)) <= float(rested_cell_v(heavy))
    assert rule_bias_v(light) > 0


@given(families, st.floats(1.06, 1.30), st.floats(1.06, 1.30))
def test_more_volts_are_never_less_charge(family: GravityFamily, one: float, other: float) -> None:
    low_v, high_v = sorted(float(rested_cell_v(gravity)) for gravity in (one, other))
    assert rested_charge_left_fraction(family, low_v) <= rested_charge_left_fraction(family, high_v)


@given(gravities)
def test_the_rule_of_thumb_turns_back(gravity: float) -> None:
    assert rule_gravity_ratio(rule_cell_v(gravity)) == pytest.approx(gravity, abs=1e-12)


@given(st.floats(1.01, 1.38))
def test_share_of_acid_and_gravity_turn_back(gravity: float) -> None:
    assert gravity_of_acid_ratio(float(acid_fraction(gravity))) == pytest.approx(gravity, abs=1e-9)


@given(st.floats(1.15, 1.31), litres, st.floats(0, 40))
def test_ampere_hours_and_gravity_turn_back(start: float, cell_l: float, for_each_litre: float) -> None:
    ah = cell_l * for_each_litre
    end = gravity_after_ah_ratio(start, cell_l, ah)
    assert end <= start + 1e-12
    assert drawn_ah(start, end, cell_l) == pytest.approx(ah, abs=1e-6 * cell_l)
    if for_each_litre > 0.1:
        assert electrolyte_by_ah_l(start, end, ah) == pytest.approx(cell_l, rel=1e-5)


@given(st.floats(1.15, 1.31), litres, st.floats(0.001, 0.3), st.floats(0.001, 0.3))
def test_water_in_two_goes_is_water_in_one(start: float, cell_l: float, first: float, second: float) -> None:
    once = gravity_after_topping_up_ratio(start, cell_l, cell_l * (first + second))
    middle = gravity_after_topping_up_ratio(start, cell_l, cell_l * first)
    # Masses add up, litres do not: the cell now holds its mass over its new density.
    now_l = (cell_l * start + cell_l * first) / middle
    assert gravity_after_topping_up_ratio(middle, now_l, cell_l * second) == pytest.approx(once, abs=1e-9)
    assert 1 < once < middle < start


@given(st.floats(1.0, 1.4), st.floats(1.0, 1.4))
def test_a_heavier_cell_never_freezes_sooner(one: float, other: float) -> None:
    light, heavy = sorted((one, other))
    assert freezing_k(heavy) <= freezing_k(light) <= 273.15 + 1e-9


@given(st.floats(1.0, 1.4), st.floats(190, 310), st.floats(190, 310))
def test_a_pack_that_may_freeze_may_freeze_in_a_colder_night(gravity: float, one_k: float, other_k: float) -> None:
    cold_k, mild_k = sorted((one_k, other_k))
    assert may_freeze(gravity, cold_k) or not may_freeze(gravity, mild_k)


@given(st.floats(0.01, 90), st.floats(1.05, 1.35))
def test_twice_the_spill_takes_twice_the_soda(acid_l: float, gravity: float) -> None:
    once, twice = spill(acid_l, gravity), spill(2 * acid_l, gravity)
    assert twice.bicarbonate_kg == pytest.approx(2 * once.bicarbonate_kg)
    assert twice.soda_ash_kg == pytest.approx(2 * once.soda_ash_kg)
    assert twice.co2_l == pytest.approx(2 * once.co2_l)


@given(st.floats(1.05, 1.35), st.floats(1.05, 1.35))
def test_stronger_acid_takes_more_soda(one: float, other: float) -> None:
    weak, strong = (spill(1.0, gravity) for gravity in sorted((one, other)))
    assert weak.bicarbonate_kg <= strong.bicarbonate_kg
    assert weak.soda_ash_kg < weak.bicarbonate_kg
