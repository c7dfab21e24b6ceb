"""The sheet is one accessible PDF on either paper, alike each time, and takes every name as text."""

from collections.abc import Callable
from dataclasses import replace

import pypdfium2
import pytest

from scrubwright.jobs.pack_answer import CellLine, PackAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.pack_sheet import pack_sheet
from scrubwright.paperwork.typesetting import Paper
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.pack_answer_example import (
    FLOODED,
    GRAVITIES,
    cell_line,
    flooded_answer,
    lithium_answer,
    sealed_answer,
    unread_answer,
)

MM = 72 / 25.4
ANSWERS = (flooded_answer, sealed_answer, lithium_answer, unread_answer)


def opened(answer: PackAnswer, teller: Teller | None = None, paper: Paper = Paper.A4) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(pack_sheet(answer, teller or Teller(), paper))


def words(pdf: pypdfium2.PdfDocument) -> str:
    return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in pdf).split())


@pytest.mark.parametrize(("paper", "wide_mm", "high_mm"), [(Paper.A4, 210, 297), (Paper.LETTER, 215.9, 279.4)])
def test_the_sheet_has_the_size_of_the_paper_asked_for(paper: Paper, wide_mm: float, high_mm: float) -> None:
    pdf = opened(flooded_answer(), paper=paper)
    assert pdf[0].get_size() == pytest.approx((wide_mm * MM, high_mm * MM), abs=0.1)
    assert len(pdf) == 2  # both sides of one sheet


@pytest.mark.parametrize("answer", ANSWERS)
def test_the_same_answer_gives_the_same_bytes(answer: Callable[[], PackAnswer]) -> None:
    assert pack_sheet(answer(), Teller(), Paper.A4) == pack_sheet(answer(), Teller(), Paper.A4)


@pytest.mark.parametrize("answer", ANSWERS)
@pytest.mark.parametrize("language", Language)
@pytest.mark.parametrize("paper", Paper)
def test_every_sheet_claims_to_be_readable_by_the_blind(
    answer: Callable[[], PackAnswer], language: Language, paper: Paper
) -> None:
    content = pack_sheet(answer(), Teller(language=language, system=UnitSystem.US), paper)
    assert b"pdfuaid:part" in content
    assert f"/Lang ({language})".encode() in content or f"/Lang({language})".encode() in content


def test_single_moves_of_a_step_stand_on_it_with_a_letter_each() -> None:
    first = replace(flooded_answer().steps[0], how=(Sentence("Here first."), Sentence("Then there.")))
    told = words(opened(replace(flooded_answer(), steps=(first,))))
    assert "a. Here first." in told
    assert "b. Then there." in told


def test_verdict_reason_numbers_steps_and_cautions_stand_on_it() -> None:
    answer = flooded_answer()
    told = words(opened(answer))
    assert told.startswith("Run with care")
    for sentence in (answer.why, *answer.cautions, *answer.does_not_apply):
        assert Teller().tell(sentence) in told
    for step in answer.steps:
        assert str(step.told) in told
        assert all(str(caution) in told for caution in step.cautions)
    assert "Take care as in step 1." in told
    for each in answer.figures:
        assert Teller().tell(each.label) in told
        assert Teller().tell(each.number.detail)[1:] in told
    for word in ("Notes", "Read by", "Date", "Signature", "94 to 99 %", "common practice"):
        assert word in told


def test_the_picture_on_it_holds_every_gravity_as_text() -> None:
    told = words(opened(flooded_answer()))
    assert all(f"{gravity:.3f}" in told for gravity in GRAVITIES if gravity is not None)


def test_the_sheet_is_told_in_spanish_and_in_us_units() -> None:
    told = words(opened(flooded_answer(), Teller(language=Language.SPANISH, system=UnitSystem.US), Paper.LETTER))
    for word in ("Trabajar con cuidado", "Qué hacer ahora", "El vaso 11 es el más débil", "1,238", "77 °F", "fl oz"):
        assert word in told


MARKUP = ('#read("/etc/passwd")', "$x^2 + y$", "= heading", "*bold* _slant_", "`raw`", "<label> @label", "\\ // /* */")


@pytest.mark.parametrize("name", [*MARKUP, '"],"why":"x', "#panic()", "https://example.org", "- item", "~ -- ... ''"])
def test_a_name_is_text_and_never_markup(name: str) -> None:
    answer = replace(flooded_answer(), pack=replace(FLOODED, name=name), why=Sentence("Beware of {name}!", name=name))
    told = words(opened(answer))
    assert f"Beware of {name}!" in told
    assert "root:" not in told


def test_a_remark_in_a_picture_is_text_too() -> None:
    line: CellLine = replace(cell_line(1, 1.27), remark=Sentence('</text><image href="x"/>'))
    assert '</text><image href="x"/>' in words(opened(replace(flooded_answer(), cells=(line,))))


@pytest.mark.parametrize("name", ["nul \x00 bell \x07", "turned \u202e round", "half \ud800", "new\nline"])
def test_letters_that_are_none_become_spaces(name: str) -> None:
    told = words(opened(replace(flooded_answer(), pack=replace(FLOODED, name=name))))
    assert " ".join("".join(each if each.isprintable() else " " for each in name).split()) in told


def test_a_name_in_letters_that_no_font_has_still_gives_a_sheet() -> None:
    content = pack_sheet(replace(flooded_answer(), pack=replace(FLOODED, name="倉庫")), Teller(), Paper.A4)
    assert b"pdfuaid:part" not in content
    assert words(pypdfium2.PdfDocument(content)).startswith("Run with care")


def test_a_long_list_runs_on_over_several_pages() -> None:
    answer = flooded_answer()
    assert len(opened(replace(answer, steps=answer.steps * 20, figures=answer.figures * 6))) > 4


def test_a_wide_pack_fits_the_paper() -> None:
    rows = (tuple(range(1, 19)),)
    assert len(opened(replace(flooded_answer(), pack=replace(FLOODED, rows=rows)))) <= 3


def test_it_prints_in_black_and_white() -> None:
    # No mark may be lighter than the grey that a copier still shows.
    page = opened(flooded_answer())[0].render(scale=1, grayscale=True).to_numpy()
    assert page.min() < 60
    assert (page < 180).mean() > 0.02
