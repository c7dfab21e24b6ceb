"""The shift's answer on the terminal, word for word, as a person has read it."""

from pathlib import Path

import pytest

from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.shift_text import shift_text
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.shift_answer_example import shift_answer

HERE = Path(__file__).parent


@pytest.mark.parametrize(
    ("language", "system"),
    [(Language.ENGLISH, UnitSystem.SI), (Language.ENGLISH, UnitSystem.US), (Language.SPANISH, UnitSystem.SI)],
)
def test_the_shift_reads_as_it_was_read(language: Language, system: UnitSystem) -> None:
    read = (HERE / f"shift_{language}_{system}.txt").read_text(encoding="utf-8")
    assert shift_text(shift_answer(), Teller(language=language, system=system)) + "\n" == read
