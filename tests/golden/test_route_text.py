"""The answer on the terminal, word for word, as a person has read it."""

from dataclasses import replace
from pathlib import Path

import pytest

from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.route_text import route_text
from scrubwright.paperwork.wording import Language, Teller
from tests.golden.corner_shop_answer import corner_shop_answer

HERE = Path(__file__).parent


@pytest.mark.parametrize(
    ("language", "system"),
    [(Language.ENGLISH, UnitSystem.SI), (Language.ENGLISH, UnitSystem.US), (Language.SPANISH, UnitSystem.SI)],
)
def test_the_answer_reads_as_it_was_read(language: Language, system: UnitSystem) -> None:
    read = (HERE / f"route_{language}_{system}.txt").read_text(encoding="utf-8")
    assert route_text(corner_shop_answer(), Teller(language=language, system=system)) + "\n" == read


def test_no_line_is_wider_than_eighty_letters() -> None:
    for language in Language:
        for system in UnitSystem:
            told = route_text(corner_shop_answer(), Teller(language=language, system=system))
            assert max(map(len, told.splitlines())) <= 80


def test_each_of_two_machines_gets_a_list_of_its_own() -> None:
    answer = corner_shop_answer()
    second = replace(answer.routes[0], machine=2)
    told = route_text(replace(answer, routes=(answer.routes[0], second)), Teller())
    assert "The way of machine 1: 2 h 14 min\n" in told
    assert "The way of machine 2: 2 h 14 min\n" in told


def test_parts_with_nothing_to_say_are_left_out() -> None:
    bare = replace(corner_shop_answer(), missed=(), unreachable=(), cautions=(), why=(), provenance=())
    told = route_text(bare, Teller())
    for heading in ("Stays unscrubbed", "Stays wet", "Cannot be reached", "Take care", "Why", "Made with"):
        assert heading not in told
