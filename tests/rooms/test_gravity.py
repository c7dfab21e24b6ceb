"""Gravity and charge left: an ordinary reading, and what is refused with which words."""

import math

import numpy as np
import pytest

from scrubwright.battery.charge_left import (
    FULL_1265,
    PUBLISHED_AT_K,
    below_flat,
    charge_left_fraction,
    charge_left_sd_fraction,
    own_family,
)
from scrubwright.battery.gravity import corrected_gravity_ratio, gravity_of_density_ratio
from scrubwright.measures.errors import BadInput, OutOfRange
from scrubwright.measures.provenance import Origin


def test_a_cold_reading_after_work() -> None:
    # 1.205 at 10 °C for a table at 25 °C: 15 x 0.0007 = 0.0105 less is 1.1945, (1.1945 - 1.190) / 0.035 = 0.129 of a
    # quarter above a half.
    corrected = corrected_gravity_ratio(1.205, 283.15, 298.15)
    assert corrected == pytest.approx(1.1945)
    assert charge_left_fraction(FULL_1265, corrected) == pytest.approx(0.532, abs=0.001)


def test_a_pack_of_cells_with_a_temperature_each() -> None:
    corrected = corrected_gravity_ratio(np.array([1.260, 1.255]), np.array([298.15, 308.15]), 298.15)
    assert corrected.tolist() == pytest.approx([1.260, 1.262])


def test_140_fahrenheit_is_still_in_range() -> None:
    # 60 °C to the last digit, a hair above it in floating point.
    assert corrected_gravity_ratio(1.250, (140 + 459.67) / 1.8, 298.15) == pytest.approx(1.2745)


@pytest.mark.parametrize("given", [1265.0, 1100.0])
def test_a_gravity_without_its_point_is_asked_for_with_it(given: float) -> None:
    with pytest.raises(
        BadInput, match=rf"The gravity is {given:g}; enter it with its decimal point, {given / 1000:.3f}\."
    ):
        corrected_gravity_ratio(given, 298.15, 298.15)
    with pytest.raises(BadInput, match="decimal point"):
        gravity_of_density_ratio(given)
    with pytest.raises(BadInput, match="decimal point"):
        charge_left_fraction(FULL_1265, np.array([1.250, given]))


@pytest.mark.parametrize("given", [0.0, 0.85, 1.5, 12.65, -1.2, math.nan, math.inf])
def test_what_no_cell_ever_was_is_refused(given: float) -> None:
    with pytest.raises(BadInput, match=r"heavier than water.*such as 1\.265"):
        corrected_gravity_ratio(given, 298.15, 298.15)


@pytest.mark.parametrize("given", [1.02, 1.38])
def test_a_float_that_sticks_is_asked_to_be_read_again(given: float) -> None:
    with pytest.raises(OutOfRange, match=r"between 1\.050 and 1\.350\. Check that the float swims free"):
        corrected_gravity_ratio(given, 298.15, 298.15)


def test_celsius_given_as_kelvin_is_named() -> None:
    with pytest.raises(BadInput, match=r"at 25 kelvin.*degrees Celsius, it is 25\.0 °C"):
        corrected_gravity_ratio(1.250, 25.0, 298.15)
    with pytest.raises(BadInput, match=r"at 30 kelvin"):
        corrected_gravity_ratio(1.250, 298.15, 30.0)


def test_kelvin_given_as_celsius_is_named() -> None:
    with pytest.raises(BadInput, match=r"at 298\.0 °C.*read in kelvin, it is 24\.9 °C"):
        corrected_gravity_ratio(1.250, 298.0 + 273.15, 298.15)


@pytest.mark.parametrize("celsius", [-30.0, 77.0])
def test_a_pack_too_cold_or_degrees_fahrenheit_are_out_of_range(celsius: float) -> None:
    with pytest.raises(OutOfRange, match=r"from -20\.0 °C to 60\.0 °C\. Measure the electrolyte again"):
        corrected_gravity_ratio(1.250, celsius + 273.15, 298.15)


def test_a_temperature_that_is_no_number_is_refused() -> None:
    with pytest.raises(OutOfRange):
        corrected_gravity_ratio(1.250, math.nan, 298.15)


def test_an_own_family_says_where_it_comes_from() -> None:
    family = own_family(1.290, 1.130, 0.2, Origin.MEASURED)
    assert family.origin is Origin.MEASURED
    assert str(family.source) == "1.290 full, 1.130 with 20.0 % left, straight between"
    assert [point.charge_fraction for point in family.points] == [0, 0.2, 1]
    assert [point.charge_fraction for point in own_family(1.265, 1.120).points] == [0, 1]


@pytest.mark.parametrize(
    ("full", "flat", "left", "said"),
    [
        (1.130, 1.290, 0.0, "the full one must be higher"),
        (1.265, 1.265, 0.0, "the full one must be higher"),
        (1265.0, 1.120, 0.0, "decimal point"),
        (1.290, 1.130, 1.0, "a share from 0 up to below 1"),
        (1.290, 1.130, -0.1, "a share from 0 up to below 1"),
        (1.290, 1.130, 20.0, "a share from 0 up to below 1"),
        (1.280, 1.100, 0.5, "would hold plain water"),
    ],
)
def test_ends_that_cannot_be_are_refused(full: float, flat: float, left: float, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        own_family(full, flat, left)


def test_no_cell_read_has_no_gravity() -> None:
    with pytest.raises(BadInput, match="read one cell or more"):
        charge_left_sd_fraction(FULL_1265, 0)
    with pytest.raises(BadInput, match="stratification_ratio"):
        charge_left_sd_fraction(FULL_1265, 3, -0.001)


def test_a_cell_below_flat_is_told() -> None:
    assert below_flat(FULL_1265, 1.119)
    assert not below_flat(FULL_1265, 1.120)


def test_the_published_tables_hold_at_80_fahrenheit() -> None:
    # (80 - 32) / 1.8 = 26.67 °C.
    assert PUBLISHED_AT_K - 273.15 == pytest.approx(26.667, abs=0.001)
    assert str(FULL_1265.source).endswith("at 26.7 °C")
