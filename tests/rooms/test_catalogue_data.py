"""What ships in the catalogue: complete, decided, readable; all faults of a kind are told at once."""

import re
from collections.abc import Iterator
from functools import cache

import pytest

from scrubwright.catalogue.checks import Occasion, Result
from scrubwright.catalogue.parts import Catalogue
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.catalogues import shipped_catalogue
from scrubwright.paperwork.wording import Language, Teller
from scrubwright.teaching.reading_level import (
    english_size,
    flesch_kincaid_grade_ratio,
    spanish_size,
    szigriszt_ease_ratio,
)

# The usual advice for handouts is grade 8 at most (common practice); 55 is "normal" by Szigriszt (from memory).
HARDEST_GRADE = 8.0
LEAST_EASE = 55.0
# Formulas made for running text swing on a label of a few words.
FEWEST_WORDS = 8
PROMISES = re.compile(r"\b(safe|safely|seguro|segura|seguros|seguras)\b", re.IGNORECASE)


@cache
def catalogue() -> Catalogue:
    return shipped_catalogue()


def texts() -> Iterator[tuple[str, Sentence]]:
    for part in catalogue().parts:
        yield part.identity, part.does
        for caution in part.cautions:
            yield caution.identity, caution.text
        for check in part.checks:
            yield from ((check.identity, text) for text in (check.look, check.good, check.why, check.do))
            yield from ((check.identity, seen.saw) for seen in check.seen)
        for item in part.service:
            yield from ((item.identity, text) for text in (item.name, item.measured))
        for fault in part.faults:
            yield from ((fault.identity, text) for text in (fault.cause, fault.shows))
        for lesson in part.lessons:
            yield lesson.identity, lesson.title
            for step in lesson.steps:
                yield from ((lesson.identity, text) for text in (step.step, step.key, step.reason))


def told(language: Language) -> list[tuple[str, str]]:
    teller = Teller(language=language)
    return [(identity, teller.tell(text)) for identity, text in texts()]


def test_the_catalogue_has_every_kind_of_line() -> None:
    checks = catalogue().checks
    count = len(checks)
    assert count >= 150
    assert {occasion for check in checks for occasion in check.when} == set(Occasion)
    assert {check.if_not for check in checks} == set(Result) - {Result.GOOD}


def test_no_english_text_is_above_grade_8() -> None:
    graded = [
        (identity, round(flesch_kincaid_grade_ratio(size), 1), text)
        for identity, text in told(Language.ENGLISH)
        if (size := english_size(text)).words >= FEWEST_WORDS and flesch_kincaid_grade_ratio(size) > HARDEST_GRADE
    ]
    assert graded == []


def test_no_spanish_text_is_hard() -> None:
    graded = [
        (identity, round(szigriszt_ease_ratio(size), 1), text)
        for identity, text in told(Language.SPANISH)
        if (size := spanish_size(text)).words >= FEWEST_WORDS and szigriszt_ease_ratio(size) < LEAST_EASE
    ]
    assert graded == []


def test_the_catalogue_as_a_whole_reads_at_grade_6() -> None:
    size = english_size(" ".join(text.rstrip(".") + "." for _, text in told(Language.ENGLISH)))
    assert flesch_kincaid_grade_ratio(size) <= 6.0


def test_every_text_is_translated_not_repeated() -> None:
    same = [
        (identity, english)
        for (identity, english), (_, spanish) in zip(told(Language.ENGLISH), told(Language.SPANISH), strict=True)
        if english == spanish and len(english.split()) > 2
    ]
    assert same == []


@pytest.mark.parametrize("language", list(Language))
def test_no_text_promises_safety(language: Language) -> None:
    assert [(identity, text) for identity, text in told(language) if PROMISES.search(text)] == []


def test_every_part_has_something_to_look_at_or_to_look_after() -> None:
    assert [part.identity for part in catalogue().parts if not (part.checks or part.service)] == []
