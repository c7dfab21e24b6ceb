"""The pack's answer on the terminal: verdict first, cautions under their step, nothing said twice or left over."""

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from scrubwright.jobs.pack_answer import PackAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.pack_text import pack_sections, pack_text
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.pack_answer_example import FLOODED, flooded_answer, lithium_answer, sealed_answer, unread_answer

ANSWERS = (flooded_answer, sealed_answer, lithium_answer, unread_answer)


@pytest.mark.parametrize("answer", ANSWERS)
def test_no_line_is_wider_than_eighty_letters(answer: Callable[[], PackAnswer]) -> None:
    for language in Language:
        for system in UnitSystem:
            told = pack_text(answer(), Teller(language=language, system=system))
            assert max(map(len, told.splitlines())) <= 80


@pytest.mark.parametrize("answer", ANSWERS)
def test_the_verdict_stands_first_and_why_below_it(answer: Callable[[], PackAnswer]) -> None:
    first = pack_sections(answer(), Teller())[0]
    assert first.heading == answer().verdict.value.upper()
    assert " ".join(first.body.split()).startswith(Teller().tell(answer().why))


def test_cautions_stand_under_the_step_they_belong_to() -> None:
    lines = pack_text(flooded_answer(), Teller()).splitlines()
    starts = [number for number, line in enumerate(lines) if re.match(r"  \d\. ", line)]
    assert [lines[number][:8] for number in starts] == ["  1. Rea", "  2. Fil", "  3. Rea"]
    first = " ".join(" ".join(lines[starts[0] : starts[1]]).split())
    for caution in flooded_answer().steps[0].cautions:
        assert f"! {caution}" in first


def test_cautions_told_before_are_told_by_the_number_of_their_step() -> None:
    lines = pack_text(flooded_answer(), Teller()).splitlines()
    second = next(number for number, line in enumerate(lines) if line.startswith("  2. "))
    assert lines[second + 1] == "     ! Take care as in step 1."
    assert lines[second + 2].startswith("     ! Distilled or deionised water only.")
    assert sum("face shield" in line for line in lines) == 1


def test_single_moves_stand_under_their_step_with_a_letter_each() -> None:
    first = replace(flooded_answer().steps[0], how=(Sentence("Here first."), Sentence("Then there.")))
    lines = pack_text(replace(flooded_answer(), steps=(first,)), Teller()).splitlines()
    begins = lines.index("     a. Here first.")
    assert lines[begins + 1] == "     b. Then there."
    assert lines[begins - 1].startswith("       ")


def test_parts_with_nothing_to_say_are_left_out() -> None:
    bare = replace(lithium_answer(), figures=(), steps=(), does_not_apply=(), cautions=())
    assert [section.heading for section in pack_sections(bare, Teller())] == ["DO NOT RUN"]


def test_every_number_has_its_origin_and_its_detail() -> None:
    told = pack_text(flooded_answer(), Teller())
    assert re.search(r"Charge left by gravity +97 % +94 to 99 % +measured\n", told)
    assert re.search(r"Drawn from the wall +The charger's plate\n", told)
    assert told.count("A range holds the true number four times in five.") == 1
    assert "four times in five" not in pack_text(lithium_answer(), Teller())


def test_the_weakest_cell_and_what_is_wrong_with_it_are_told_in_words() -> None:
    told = " ".join(pack_text(flooded_answer(), Teller()).split())
    assert "Cell 11 is the weakest: 1.238, 0.032 below the median." in told
    assert "Cell 11: falls from visit to visit" in told


def test_a_name_cannot_steer_the_terminal() -> None:
    told = pack_text(replace(flooded_answer(), pack=replace(FLOODED, name="x\x1b[2Jy\x07")), Teller())
    assert "\x1b" not in told
    assert "\x07" not in told
