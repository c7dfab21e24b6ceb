"""Figures as people write them, and as they must not."""

import pytest

from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.figures import figure


@pytest.mark.parametrize(
    ("name", "written", "value"),
    [
        ("a_m", "0.55 m", 0.55),
        ("a_m", "0,55 m", 0.55),
        ("a_m", " 55 cm ", 0.55),
        ("a_m", "550mm", 0.55),
        ("a_m", '32"', 0.8128),
        ("a_m", "32 1/2 in", 0.8255),
        ("a_m", "2 ft", 0.6096),
        ("a_m", "-0.2 m", -0.2),
        ("a_m", "\u22120.2 m", -0.2),
        ("a_l", "12 gal", 45.424941),
        ("a_l", "45 L", 45.0),
        ("a_l_per_min", "0.5 gpm", 1.892706),
        ("a_m_per_s", "5 km/h", 1.388889),
        ("a_m_per_s", "3 mph", 1.34112),
        ("a_fraction", "8 %", 0.08),
        ("a_fraction", "1:12", 1 / 12),
        ("a_fraction", "1 in 20", 0.05),
        ("a_kg", "90 lb", 40.823313),
        ("a_kg", "90 lbs", 40.823313),
        ("a_a", "28 A", 28.0),
        ("a_min", "90 s", 1.5),
        ("a_s", "6 s", 6.0),
        ("a_rad", "12°", 0.20944),
    ],
)
def test_a_text_brings_its_own_unit(name: str, written: str, value: float) -> None:
    assert figure("a", name, written, 1.0).value == pytest.approx(value, abs=1e-6)


def test_a_plain_number_or_a_text_without_a_unit_is_in_the_unit_of_its_key() -> None:
    assert figure("a_percent", "a_fraction", 8, 0.01).value == pytest.approx(0.08)
    assert figure("a_percent", "a_fraction", "8", 0.01).value == pytest.approx(0.08)


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("a_m", "5 kg"),
        ("a_m", "9**9**9 m"),
        ("a_m", "__import__"),
        ("a_m", "1 1/0 in"),
        ("a_m", "0.5 m 3"),
        ("a_m", "five"),
        ("a_m", "1" * 50 + " m"),
        ("a_m", "3 parsecondos"),
        ("a_m_per_s", "5 m"),
        ("a_fraction", "5°"),
        ("a_fraction", "1:0"),
        ("a_rad", "5 %"),
        ("a_m", "1,200 mm"),
    ],
)
def test_what_is_no_figure_of_its_kind_is_refused(name: str, written: str) -> None:
    with pytest.raises(BadInput):
        figure("a", name, written, 1.0)


def test_a_refusal_tells_the_units_that_may_be_written() -> None:
    with pytest.raises(BadInput, match=r"units here: m, cm, mm, in, ft\."):
        figure("deck.scrub_width_m", "scrub_width_m", "5 gal", 1.0)
