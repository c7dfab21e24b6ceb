"""Slopes and ways up as people write them."""

import math

import pytest

from scrubwright.paperwork.slopes import is_about_slope, says_up_down, slopes_fraction


@pytest.mark.parametrize(
    ("text", "slope"),
    [
        ("8 %", 0.08),
        ("slope 8,33%", 0.0833),
        ("Pte. 12.5 %", 0.125),
        ("1:12", 1 / 12),
        ("1/20", 1 / 20),
        ("1 in 12", 1 / 12),
        ("rampa 1 en 12,5", 0.08),
        ("4.6°", math.tan(math.radians(4.6))),
        ("4,6º", math.tan(math.radians(4.6))),
        ("5 grados", math.tan(math.radians(5))),
    ],
)
def test_a_slope_is_read_in_every_way_that_people_write_it(text: str, slope: float) -> None:
    assert slopes_fraction(text) == pytest.approx((slope,))


@pytest.mark.parametrize("text", ["1:200", "11:12", "1/12/2026", "100 %", "12", "DN 110", "%", "Ramp", "1:12:30"])
def test_what_is_no_slope_is_not_taken_for_one(text: str) -> None:
    assert slopes_fraction(text) == ()


def test_words_for_up_and_down_are_known_in_both_languages() -> None:
    assert says_up_down(["UP"]) == (True, False)
    assert says_up_down(["Sube al almacén"]) == (True, False)
    assert says_up_down(["DN"]) == (False, True)
    assert says_up_down(["BAJA", "sube"]) == (True, True)
    assert says_up_down(["Supply", "update"]) == (False, False)


def test_a_line_about_the_slope_is_no_name() -> None:
    assert is_about_slope("8 %")
    assert is_about_slope("up north")
    assert not is_about_slope("Loading ramp")
    assert not is_about_slope("Makeup counter")
