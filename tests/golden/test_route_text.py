"""The answer on the terminal, word for word, as a person has read it."""

from pathlib import Path

import pytest

from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.route_text import route_text
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.hall_answer import hall_answer

HERE = Path(__file__).parent


@pytest.mark.parametrize(
    ("language", "system", "machines"),
    [(Language.ENGLISH, UnitSystem.SI, 2), (Language.ENGLISH, UnitSystem.US, 1), (Language.SPANISH, UnitSystem.SI, 1)],
)
def test_the_answer_reads_as_it_was_read(language: Language, system: UnitSystem, machines: int) -> None:
    read = (HERE / f"route_{language}_{system}.txt").read_text(encoding="utf-8")
    teller = Teller(language=language, system=system)
    assert route_text(hall_answer(machines=machines), teller) + "\n" == read
