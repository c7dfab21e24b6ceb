"""What people type as a value after an option."""

import math

import pytest

from scrubwright.cli.typed import length_m, numbers, point_m, whole_number
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UnitSystem


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("0.04", 0.04),
        ("0,04", 0.04),
        ("40 mm", 0.04),
        ("4cm", 0.04),
        (" 1.5 IN ", 0.0381),
        ("2ft", 0.6096),
        (".5", 0.5),
    ],
)
def test_a_length_is_typed_with_or_without_its_unit(text: str, metres: float) -> None:
    assert length_m("--overlap", text) == pytest.approx(metres)


def test_a_bare_length_is_feet_for_whoever_reads_feet() -> None:
    assert length_m("--scale", "10", UnitSystem.US) == pytest.approx(3.048)
    assert length_m("--scale", "10m", UnitSystem.US) == pytest.approx(10)


@pytest.mark.parametrize("text", ["", "wide", "4 km", "1.2.3", "nan", "1e3"])
def test_what_is_no_length_is_refused_with_examples(text: str) -> None:
    with pytest.raises(BadInput, match=r"--overlap is .*40mm"):
        length_m("--overlap", text)


def test_a_point_takes_decimal_points_or_decimal_commas() -> None:
    assert point_m("--drain", "12.5,-3") == (12.5, -3.0)
    assert point_m("--drain", "12,5; -3") == (12.5, -3.0)
    assert point_m("--drain", "10,20", UnitSystem.US) == pytest.approx((3.048, 6.096))


@pytest.mark.parametrize("text", ["12", "1,2,3", "a,b", "nan,1", "1,inf", ""])
def test_what_is_no_point_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(BadInput, match=r"enter 2 numbers .* such as 12\.5,3"):
        point_m("--drain", text)


def test_numbers_come_back_as_many_as_asked_for() -> None:
    assert numbers("--scale", "0,0,850,0", 4, "0,0,850,0") == (0.0, 0.0, 850.0, 0.0)
    assert all(math.isfinite(value) for value in numbers("--scale", "1;2;3;4,5", 4, "0,0,850,0"))


@pytest.mark.parametrize("text", ["0", "-2", "two", "1.5", ""])
def test_a_count_of_machines_is_a_whole_number_from_one(text: str) -> None:
    with pytest.raises(BadInput, match="whole number from 1"):
        whole_number("--machines", text, 1)
