"""The US side of the units table against what the United States print of it."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from scrubwright.measures.units import (
    KILOGRAMS_PER_POUND,
    LITRES_PER_GALLON,
    METRES_PER_FOOT,
    METRES_PER_MILE,
    unit_of,
)

ROWS = list(csv.DictReader((Path(__file__).parent / "us_units.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['suffix']} {row['printed']}")
def test_a_us_unit_is_what_is_printed_of_it(row: dict[str, str]) -> None:
    unit = unit_of(row["suffix"])
    assert unit is not None
    # Half of the last printed digit; an exact row has no digits after its 1 and is held to rounding error.
    digits = Decimal(row["printed"]).as_tuple().exponent
    half_digit = 0.5 * 10.0 ** int(digits) if digits else 1e-12
    assert float(row["value"]) * unit.us.factor == pytest.approx(float(row["printed"]), abs=half_digit)


def test_foot_pound_and_mile_are_those_of_1959() -> None:
    # Refinement of values for the yard and the pound, 24 Federal Register 5348, 1 July 1959:
    # 1 yard = 0.9144 metre and 1 pound = 0.453 592 37 kilogram, both exact; a mile is 1760 yards.
    assert METRES_PER_FOOT * 3 == pytest.approx(0.9144, rel=1e-15)
    assert KILOGRAMS_PER_POUND == 0.45359237
    assert METRES_PER_MILE == pytest.approx(1760 * 0.9144, rel=1e-15)


def test_a_us_gallon_is_231_cubic_inches() -> None:
    # NIST Handbook 44, Appendix C, section 5, gallon: 231 cubic inches, exact; an inch is 2.54 cm, exact.
    assert LITRES_PER_GALLON == pytest.approx(231 * 2.54**3 / 1000, rel=1e-15)
