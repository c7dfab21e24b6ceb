"""The night of charging on the terminal, word for word, as a person has read it."""

from pathlib import Path

import pytest

from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.charging_text import charging_text
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.charging_answer_example import fitting_answer, misfit_answer

HERE = Path(__file__).parent


@pytest.mark.parametrize(
    ("language", "system"),
    [(Language.ENGLISH, UnitSystem.SI), (Language.ENGLISH, UnitSystem.US), (Language.SPANISH, UnitSystem.SI)],
)
def test_a_night_that_fits_reads_as_it_was_read(language: Language, system: UnitSystem) -> None:
    read = (HERE / f"charging_{language}_{system}.txt").read_text(encoding="utf-8")
    assert charging_text(fitting_answer(), Teller(language=language, system=system)) + "\n" == read


@pytest.mark.parametrize("language", Language)
def test_a_night_that_does_not_fit_reads_as_it_was_read(language: Language) -> None:
    read = (HERE / f"charging_misfit_{language}_si.txt").read_text(encoding="utf-8")
    assert charging_text(misfit_answer(), Teller(language=language)) + "\n" == read
