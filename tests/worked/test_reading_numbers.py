"""Reading levels, worked by hand from the formulas as they are remembered (constants from memory)."""

import pytest

from scrubwright.measures.errors import BadInput
from scrubwright.teaching.reading_level import (
    TextSize,
    english_size,
    flesch_kincaid_grade_ratio,
    spanish_size,
    spanish_syllables,
    szigriszt_ease_ratio,
)


def test_eight_words_a_sentence_of_1_4_syllables_are_read_in_grade_4() -> None:
    # 0.39 x 8 + 11.8 x 1.4 - 15.59 = 3.12 + 16.52 - 15.59 = 4.05
    size = TextSize(sentences=5, words=40, syllables=56)
    assert flesch_kincaid_grade_ratio(size) == pytest.approx(4.05, abs=0.005)


def test_ten_spanish_words_a_sentence_of_two_syllables_are_easy() -> None:
    # 206.835 - 62.3 x 2 - 10 = 72.235
    size = TextSize(sentences=3, words=30, syllables=60)
    assert szigriszt_ease_ratio(size) == pytest.approx(72.235, abs=0.0005)


def test_a_text_is_counted_as_a_person_counts_it() -> None:
    # Lift | the | float. It | must | move | 1 | to | 2.5 | times: 3 + 7 words; all of one syllable.
    size = english_size("Lift the float. It must move 1 to 2.5 times.")
    assert size == TextSize(sentences=2, words=10, syllables=10)


def test_spanish_is_counted_as_a_person_counts_it() -> None:
    # Le-van-te | el | flo-ta-dor. De-be | mo-ver-se: 3+1+3 and 2+3.
    size = spanish_size("Levante el flotador. Debe moverse")
    assert size == TextSize(sentences=2, words=5, syllables=12)


# Divided by the rules of the Spanish academy's Ortografía, 2010: two strong vowels part, an accented
# weak vowel parts from a strong one (from memory).
DIVIDED = (
    "ba-te-rí-a", "a-gua", "qui-ta", "as-pi-ra-ción", "bo-qui-lla", "cau-cho", "re-cu-pe-ra-ción", "o-í-do",
    "vál-vu-la", "con-ti-nú-e", "yo", "ca-er", "des-a-güe",
)  # fmt: skip


@pytest.mark.parametrize("divided", DIVIDED)
def test_spanish_words_are_divided_by_rule(divided: str) -> None:
    assert spanish_syllables(divided.replace("-", "")) == len(divided.split("-"))


def test_a_text_without_words_has_no_level() -> None:
    with pytest.raises(BadInput, match="no word"):
        english_size("... !")
