"""The checks that rooms make of numbers."""

import math

import pytest

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput


@pytest.mark.parametrize("given", [0.0, -1.0, math.inf, math.nan])
def test_zero_less_endless_and_no_number_are_not_above_zero(given: float) -> None:
    with pytest.raises(BadInput, match=r"pitch_m is .*; enter a number above zero"):
        check_above_zero("pitch_m", given)


@pytest.mark.parametrize("given", [-1e-9, math.inf, math.nan])
def test_less_than_zero_endless_and_no_number_are_not_zero_or_more(given: float) -> None:
    with pytest.raises(BadInput, match=r"front_m is .*; enter zero or more"):
        check_zero_or_more("front_m", given)


def test_what_may_be_entered_passes() -> None:
    check_above_zero("pitch_m", 1e-9)
    check_zero_or_more("front_m", 0.0)
