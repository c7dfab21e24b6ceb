"""The answer on the terminal, word for word, as a person has read it."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from scrubwright.jobs.route_answer import Bites, Pattern
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.route_text import MOST_BLOCKS, route_text
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
    for heading in ("Stays unscrubbed", "Stays wet", "Cannot be reached", "Before you start", "Why", "Made with"):
        assert heading not in told


def test_a_long_way_is_folded_into_one_line_for_each_stretch_in_one_area() -> None:
    answer = corner_shop_answer()
    route = answer.routes[0]
    blocks = tuple(
        replace(
            route.blocks[1],
            number=number,
            area="Sales floor" if number % 10 else "Yard",
            pattern=Pattern.IN_ORDER,
            lanes=(2 * number, 2 * number + 1),
            start_s=10.0 * number,
            end_s=10.0 * number + 9,
        )
        for number in range(1, MOST_BLOCKS + 2)
    )
    ramp = replace(answer.cautions[-1], blocks=(12, 14))
    cautions = (*answer.cautions[:-1], ramp)
    told = route_text(replace(answer, routes=(replace(route, blocks=blocks),), cautions=cautions), Teller())
    lines = told.splitlines()
    assert [line.split()[0] for line in lines if "Sales floor" in line][:3] == ["1-9", "11-19", "21"]
    assert sum("Yard   " in line for line in lines) == 2
    assert "    ! Block 12, 14: Ramp: straight up or down, never across, never turn on it;" in lines


def test_every_caution_stands_where_it_bites() -> None:
    lines = route_text(corner_shop_answer(), Teller()).splitlines()
    after = {line.strip(): before.strip() for before, line in pairwise(lines)}
    cautions = corner_shop_answer().cautions
    (stop,) = (each.told.template for each in cautions if each.bites is Bites.STOPS)
    assert all(
        lines[index + 1].strip() == f"! {stop}" for index, line in enumerate(lines) if line.startswith("    Stop ")
    )
    assert after["! Take care as at block 3."].startswith("4  Sales floor")
    assert lines.index("Before you start") < lines.index("The way")
    assert after["! Shut the solution off 0.82 m before a lane ends at a wall: the squeegee"].startswith("Scrubbing")
