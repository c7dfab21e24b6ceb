"""The picture of a pack in a real browser: its own face, contrast by day and night, no word on another."""

from dataclasses import replace
from typing import Any

import pytest
from playwright.sync_api import Page

from scrubwright.jobs.pack_answer import PackAnswer
from scrubwright.paperwork.pack_svg import pack_svg
from scrubwright.paperwork.wording import Language, Teller
from tests.browser.conftest import Opened
from tests.rooms.pack_answer_example import flooded_answer, sealed_answer, unread_answer

FACE = '16px "Atkinson Hyperlegible Next"'
BOXES = """() => {
  const svg = document.querySelector('svg').getBoundingClientRect();
  return [...document.querySelectorAll('svg text')].map(each => {
    const box = each.getBoundingClientRect();
    return {told: each.textContent, left: box.left - svg.left, right: box.right - svg.left,
            top: box.top - svg.top, bottom: box.bottom - svg.top, wide: svg.width, high: svg.height};
  });
}"""
CONTRASTS = """() => {
  const light = colour => {
    const [r, g, b] = colour.match(/[\\d.]+/g).slice(0, 3).map(each => each / 255)
      .map(each => each <= 0.04045 ? each / 12.92 : ((each + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const over = (a, b) => (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  const paper = light(getComputedStyle(document.querySelector('svg')).backgroundColor);
  const of = (selector, part) => [...document.querySelectorAll(selector)]
    .map(each => over(paper, light(getComputedStyle(each)[part])));
  return {text: of('svg text', 'fill'), mark: of('.tick, .ring, .block, .health, .work, .bar, .logged', 'stroke')};
}"""


def shown(opened: Opened, answer: PackAnswer, *, scheme: str = "light", teller: Teller | None = None) -> Page:
    svg = pack_svg(answer, teller or Teller()).partition("?>")[2]
    page = opened(f'<!doctype html><meta charset="utf-8"><body style="margin:0">{svg}', scheme=scheme)
    page.evaluate("document.fonts.ready")
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_and_marks_stand_out_by_day_and_by_night(opened: Opened, scheme: str) -> None:
    contrasts = shown(opened, flooded_answer(), scheme=scheme).evaluate(CONTRASTS)
    assert min(contrasts["text"]) >= 7
    assert min(contrasts["mark"]) >= 3


def test_the_picture_brings_its_own_face(opened: Opened) -> None:
    assert shown(opened, flooded_answer()).evaluate(f"document.fonts.check('{FACE}')")
    assert shown(opened, flooded_answer()).evaluate("[...document.fonts].every(each => each.status === 'loaded')")


def overlapping(boxes: list[dict[str, Any]]) -> list[tuple[str, str]]:
    # Boxes of letters hold room above and below; two pixels of it may meet.
    return [
        (one["told"], two["told"])
        for number, one in enumerate(boxes)
        for two in boxes[:number]
        if min(one["right"], two["right"]) - max(one["left"], two["left"]) > 1
        and min(one["bottom"], two["bottom"]) - max(one["top"], two["top"]) > 3
    ]


@pytest.mark.parametrize("language", Language)
@pytest.mark.parametrize("answer", [flooded_answer(), sealed_answer(), unread_answer()])
def test_no_word_covers_another_or_leaves_the_picture(opened: Opened, language: Language, answer: PackAnswer) -> None:
    boxes = shown(opened, answer, teller=Teller(language=language)).evaluate(BOXES)
    assert overlapping(boxes) == []
    assert [each["told"] for each in boxes if each["left"] < 0 or each["right"] > each["wide"]] == []
    assert [each["told"] for each in boxes if each["top"] < 0 or each["bottom"] > each["high"]] == []


def test_a_hundred_and_twenty_cells_keep_their_words_apart(opened: Opened) -> None:
    answer = flooded_answer()
    rows = tuple(tuple(range(first, first + 12)) for first in range(1, 121, 12))
    cells = tuple(replace(answer.cells[(number - 1) % 15], number=number) for number in range(1, 121))
    large = replace(answer, pack=replace(answer.pack, cells=120, cells_per_block=2, rows=rows), cells=cells)
    assert overlapping(shown(opened, large).evaluate(BOXES)) == []
