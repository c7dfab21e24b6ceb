"""Syllables of words of the trade against a pronouncing dictionary.

Counts: vowels with a stress mark in each word's first pronunciation, CMU Pronouncing Dictionary,
Carnegie Mellon University, version 0.7b, 2014 (public domain in the United States, BSD licence).
"""

import pytest

from scrubwright.teaching.reading_level import english_syllables

COUNTED = {
    "battery": 3, "squeegee": 2, "valve": 1, "solution": 3, "vacuum": 2, "scrubber": 2, "debris": 2, "terminals": 3,
    "electrolyte": 4, "charger": 2, "gauge": 1, "nozzle": 2, "brushes": 2, "pressure": 2, "rinse": 1, "tightened": 2,
    "drained": 1, "leaking": 2, "blade": 1, "edges": 2, "hoses": 2, "wheels": 1, "handle": 2, "tumbled": 2,
    "cables": 2, "wheel": 1, "tested": 2,
}  # fmt: skip


@pytest.mark.parametrize(("word", "syllables"), COUNTED.items())
def test_words_of_the_trade_have_the_syllables_of_the_dictionary(word: str, syllables: int) -> None:
    assert english_syllables(word) == syllables
