"""Soda and gas of a spilled litre, worked by hand."""

import pytest

from scrubwright.battery.spill import spill

# 1 L at 1.280: 1.27622 kg at 37.352 % (test_acid_numbers.py) = 0.47670 kg of acid, 4.8604 mol.
LITRE = spill(1.0, 1.280)


def test_a_litre_of_full_strength_acid_holds_477_grams() -> None:
    # Handbooks: 37.4 to 37.8 % by mass, 478 to 484 g/L, 4.88 to 4.93 mol/L, all from memory and within 1 %.
    assert 1000 * LITRE.acid_kg == pytest.approx(476.7, abs=0.5)
    assert 1000 * LITRE.acid_kg == pytest.approx(481, rel=0.015)
    assert LITRE.acid_kg / 0.098079 == pytest.approx(4.905, rel=0.015)


def test_two_of_baking_soda_for_each_acid_and_a_fifth_to_spare() -> None:
    # 2 x 84.007 x 4.8604 = 816.6 g; x 1.2 = 979.9 g. Handbooks, from memory: 820 to 829 g without the fifth.
    assert 1000 * LITRE.bicarbonate_kg == pytest.approx(979.9, abs=1)
    assert 1000 * LITRE.bicarbonate_kg / 1.2 == pytest.approx(824.5, rel=0.02)


def test_one_of_soda_ash_for_each_acid_and_a_fifth_to_spare() -> None:
    # 105.988 x 4.8604 = 515.1 g; x 1.2 = 618.2 g. Handbooks, from memory: 517 to 523 g without the fifth.
    assert 1000 * LITRE.soda_ash_kg == pytest.approx(618.2, abs=1)
    assert 1000 * LITRE.soda_ash_kg / 1.2 == pytest.approx(520, rel=0.02)


def test_the_gas_of_a_litre() -> None:
    # 2 x 4.8604 x 24.465 = 237.8 L with baking soda, half with soda ash, whatever is to spare.
    assert LITRE.co2_l == pytest.approx(237.8, abs=0.3)
    assert LITRE.soda_ash_co2_l == pytest.approx(118.9, abs=0.2)


def test_the_weak_soda_water_of_the_rules_takes_seven_litres_for_each_litre() -> None:
    # "One pound of baking soda to one gallon of water": 453.59 g / 3.7854 L = 119.8 g/L; 816.6 / 119.8 = 6.8 L.
    per_litre_kg = 0.45359237 / 3.785411784
    assert LITRE.bicarbonate_kg / 1.2 / per_litre_kg == pytest.approx(6.8, abs=0.1)


def test_it_says_when_it_is_done() -> None:
    # As safety trainers quote OSHA: when it stops fizzing, pH between 6 and 8.
    told = [step for step in map(str, LITRE.steps) if "no longer fizzes" in step]
    assert len(told) == 1
    assert "pH 6 to 8" in told[0]
