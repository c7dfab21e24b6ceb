"""Amounts as people type them, with a point or a comma, with or without their unit."""

import pytest

from scrubwright.cli.amounts import current_a, duration_h, temperature_k
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UnitSystem


@pytest.mark.parametrize(
    ("typed", "amperes"), [("68", 68.0), ("68A", 68.0), ("67.5 a", 67.5), ("67,5A", 67.5), ("70 amps", 70.0)]
)
def test_a_current_is_read(typed: str, amperes: float) -> None:
    assert current_a("--load", typed) == amperes


@pytest.mark.parametrize(
    ("typed", "hours"),
    [("3", 3.0), ("3h", 3.0), ("2,5 h", 2.5), ("3:30", 3.5), ("3h30min", 3.5), ("90 min", 1.5), ("1.5 hours", 1.5)],
)
def test_a_time_is_read(typed: str, hours: float) -> None:
    assert duration_h("--work", typed) == hours


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [("-5C", -5.0), ("-5 °C", -5.0), ("23F", -5.0), ("\u22125", -5.0), ("0", 0.0), ("14°f", -10.0), ("2,5", 2.5)],
)
def test_a_temperature_is_read(typed: str, celsius: float) -> None:
    assert temperature_k("--coldest", typed) == pytest.approx(celsius + 273.15)


def test_a_bare_temperature_is_in_the_readers_degrees() -> None:
    assert temperature_k("--coldest", "23", UnitSystem.US) == pytest.approx(268.15)
    assert temperature_k("--coldest", "-5C", UnitSystem.US) == pytest.approx(268.15)


@pytest.mark.parametrize("typed", ["", "much", "0", "-68A", "68V", "nan", "6 8"])
def test_what_is_no_current_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(BadInput, match="68A"):
        current_a("--load", typed)


@pytest.mark.parametrize("typed", ["", "h", "0", "3:75", "-3h", "three", "inf"])
def test_what_is_no_time_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(BadInput, match="3:30"):
        duration_h("--work", typed)


@pytest.mark.parametrize("typed", ["", "cold", "268K", "-200C", "120C", "--5", "5 5"])
def test_what_is_no_temperature_of_a_place_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(BadInput, match="-5C or 23F"):
        temperature_k("--coldest", typed)
