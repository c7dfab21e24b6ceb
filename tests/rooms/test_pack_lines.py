"""Numbers of the pack's answer are told no finer than their range allows, days so that nobody swaps them."""

from dataclasses import replace
from datetime import date

import pytest

from scrubwright.jobs.pack_answer import PackPart
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.pack_lines import (
    day_words,
    has_cells,
    median_words,
    part_lines,
    printable,
    replace_words,
    signed,
    trend_words,
    value_and_band,
    verdict_words,
    weakest_words,
    work_of_h,
)
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.pack_answer_example import flooded_answer, lithium_answer, sealed_answer, unread_answer

SPANISH = Teller(language=Language.SPANISH)


def number(name: str, value: float, low: float | None = None, high: float | None = None) -> Sourced:
    return Sourced(name=name, value=value, origin=Origin.ESTIMATE, detail=Sentence("Here."), low=low, high=high)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (number("left_h", 3.314, 3.02, 3.58), ("3.3 h", "3.0 to 3.6 h")),
        (number("charge_fraction", 0.9671, 0.941, 0.993), ("97 %", "94 to 99 %")),
        (number("gravity_ratio", 1.2704, 1.2684, 1.2724), ("1.270", "1.268 to 1.272")),
        (number("main_a", 36.25), ("36.2 A", "")),
        (number("left_h", 2.24, 1.1, 3.6), ("2.2 h", "1.1 to 3.6 h")),
        (number("left_h", 3.4, 3.2, 3.6), ("3.4 h", "3.2 to 3.6 h")),
        (number("left_h", 0.36, 0.29, 0.44), ("22 min", "17 to 26 min")),
        (number("left_h", 1.2, 0.9, 1.4), ("1.2 h", "54 min to 1.4 h")),
        (number("left_h", 3.10, 2.94, 3.10), ("3.1 h", "2.9 to 3.1 h")),
        (number("interval_cycles", 14.0, 11.0, 18.0), ("14 cycles", "11 to 18 cycles")),
        (number("interval_cycles", 29.0, 28.0, 30.0), ("29 cycles", "28 to 30 cycles")),
        (number("left_shifts", 1.0, 0.0, 2.0), ("1 shift", "0 to 2 shifts")),
        (number("water_l", 0.31, 0.24, 0.4), ("310 mL", "240 to 400 mL")),
        (number("water_l", 1.31, 0.9, 1.4), ("1.3 L", "900 mL to 1.4 L")),
        (number("wait_s", 3700.0, 3600.0, 7200.0), ("1 h 2 min", "1 to 2 h")),
        (number("freezing_k", 250.15, 248.15, 253.15), ("-23 °C", "-25 to -20 °C")),
        (number("left_h", 3.3, 3.3, 3.3), ("3.3 h", "")),
        (number("left_h", 3.3, low=3.0), ("3.3 h", "at least 3 h")),
        (number("left_h", 3.3, high=4.5), ("3.3 h", "at most 4.5 h")),
    ],
)
def test_a_number_is_no_finer_than_half_its_range(given: Sourced, told: tuple[str, str]) -> None:
    assert value_and_band(given, Teller()) == told


def test_a_number_and_its_range_are_told_in_the_readers_units() -> None:
    cold = number("freezing_k", 250.15, 248.15, 253.15)
    assert value_and_band(cold, Teller(system=UnitSystem.US)) == ("-9 °F", "-13 to -4 °F")
    assert value_and_band(number("left_h", 3.314, 3.02, 3.58), SPANISH) == ("3,3 h", "3,0 a 3,6 h")


def test_a_day_is_told_with_the_name_of_its_month() -> None:
    assert day_words(date(2026, 4, 3), Teller(system=UnitSystem.US)) == "3 Apr 2026"
    assert day_words(date(2026, 1, 3), SPANISH) == "3 ene 2026"


def test_the_weakest_cell_is_told_by_number_gravity_and_distance() -> None:
    told = weakest_words(flooded_answer(), Teller())
    assert told == "Cell 11 is the weakest: 1.238, 0.032 below the median. Charge left in it: 76 %."
    assert weakest_words(sealed_answer(), Teller()) == ""


def test_the_median_is_told_with_its_temperature_in_the_readers_degrees() -> None:
    assert "1.270" in median_words(flooded_answer(), Teller())
    assert "25.0 °C" in median_words(flooded_answer(), Teller())
    assert "77 °F" in median_words(flooded_answer(), Teller(system=UnitSystem.US))
    assert median_words(unread_answer(), Teller()) == ""


def test_parts_keep_their_order_and_silent_parts_are_left_out() -> None:
    assert [each.part for each in part_lines(flooded_answer(), Teller())] == list(PackPart)
    assert [each.part for each in part_lines(lithium_answer(), Teller())] == [PackPart.CHARGE]
    shuffled = replace(flooded_answer(), figures=flooded_answer().figures[::-1])
    assert [each.part for each in part_lines(shuffled, Teller())] == list(PackPart)


def test_every_number_keeps_the_word_for_where_it_comes_from() -> None:
    answer = flooded_answer()
    lines = [line for part in part_lines(answer, Teller()) for line in part.lines]
    assert [line.origin for line in lines] == [each.number.origin.value for each in answer.figures]
    assert [line.label for line in lines] == [Teller().tell(each.label) for each in answer.figures]
    assert all(line.detail[0].isupper() or line.detail[0].isdigit() for line in lines)


def test_health_is_told_from_its_first_to_its_last_point_and_then_the_day_it_ends() -> None:
    health = part_lines(flooded_answer(), Teller())[-1]
    assert health.remarks == (
        "A full pack ran 4.4 h on 2 Oct 2024, and 3.4 h on 12 Nov 2025.",
        "Likely no longer does the work from 3 May 2026. Four times in five between 20 Feb 2026 and 9 Aug 2026.",
    )
    one = replace(flooded_answer(), trend=flooded_answer().trend[:1], replace_by=(date(2026, 5, 3),))
    assert trend_words(one, Teller()) == []
    assert replace_words(one, Teller()) == ["Likely no longer does the work from 3 May 2026."]


def test_verdicts_are_told_as_headings_in_both_languages() -> None:
    assert verdict_words(flooded_answer(), Teller()) == "Run with care"
    assert verdict_words(lithium_answer(), SPANISH) == "No trabajar"


def test_only_packs_that_a_hydrometer_can_read_have_cells_to_draw() -> None:
    assert [has_cells(each()) for each in (flooded_answer, unread_answer, sealed_answer, lithium_answer)] == [
        True,
        True,
        False,
        False,
    ]


def test_the_work_is_that_of_the_chance() -> None:
    assert work_of_h(flooded_answer()) == 3.0
    assert work_of_h(lithium_answer()) is None


def test_points_carry_their_sign() -> None:
    assert [signed(points) for points in (2, 0, -32)] == ["+2", "0", "-32"]


def test_letters_that_steer_a_terminal_or_turn_the_writing_become_spaces() -> None:
    assert printable("a\x1b[31mb\u202ec\nd\ud800") == "a [31mb c d "
    assert printable("Año 3 · ≥ 5 %") == "Año 3 · ≥ 5 %"
