"""The picture of the pack is sound XML, alike each time, and shows each cell where it sits with its number."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from xml.etree import ElementTree

import pytest

from scrubwright.jobs.pack_answer import PackAnswer
from scrubwright.paperwork.pack_svg import cells_drawing, pack_svg
from scrubwright.paperwork.pack_trend import trend_drawing
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.pack_answer_example import (
    FLOODED,
    flooded_answer,
    lithium_answer,
    sealed_answer,
    trend,
    unread_answer,
)

SVG = "{http://www.w3.org/2000/svg}"
WIDE = 440


def picture(answer: PackAnswer, teller: Teller | None = None) -> ElementTree.Element:
    return ElementTree.fromstring(pack_svg(answer, teller or Teller()))


def texts(root: ElementTree.Element) -> list[str]:
    return [each.text or "" for each in root.iter(f"{SVG}text")]


def of_kind(root: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    return [each for each in root.iter() if kind in (each.get("class") or "").split()]


def at(root: ElementTree.Element, told: str) -> tuple[int, int]:
    (found,) = [each for each in root.iter(f"{SVG}text") if each.text == told]
    return int(found.get("x", "")), int(found.get("y", ""))


def test_every_cell_shows_its_number_its_gravity_and_its_points() -> None:
    told = texts(picture(flooded_answer()))
    for number in range(1, 19):
        assert str(number) in told
    assert told.count("1.270") == 6
    assert "1.238" in told
    assert "\u221232" in told


def test_cells_stand_where_they_sit() -> None:
    root = picture(flooded_answer())
    assert at(root, "1")[1] == at(root, "16")[1] < at(root, "11")[1] == at(root, "9")[1]
    assert at(root, "1")[0] == at(root, "7")[0] < at(root, "18")[0] < at(root, "16")[0]


def test_the_weakest_alone_is_ringed_and_named() -> None:
    root = picture(flooded_answer())
    rings = of_kind(root, "ring")
    assert len(rings) == 2  # around its gravity, and before its name
    around, x, (_, y) = rings[0], at(root, "1.238")[0], at(root, "1.238")
    assert int(around.get("cx", "")) == x
    assert abs(int(around.get("cy", "")) - y) < 10
    assert any(each.startswith("Cell 11 is the weakest: 1.238") for each in texts(root))


def test_a_tick_goes_up_above_the_median_and_down_below_it() -> None:
    body = ElementTree.tostring(picture(flooded_answer()), encoding="unicode")
    ticks = [int(each) for each in re.findall(r'class="tick" d="M\d+ \d+v(-?\d+)"', body)]
    # Eleven cells off the median: +1, +2, +1, +1, +3 go up; -2, -1, -4, -1, -2 and -32 go down.
    assert sum(each < 0 for each in ticks) == 5
    assert sum(each > 0 for each in ticks) == 6
    assert max(ticks) == 29


def test_a_pack_that_was_never_read_has_a_line_in_each_cell_to_write_on() -> None:
    root = picture(unread_answer())
    assert len(of_kind(root, "median")) == 18
    assert of_kind(root, "tick") == []
    assert "Not read yet." in texts(root)


@pytest.mark.parametrize("answer", [sealed_answer, lithium_answer])
def test_a_pack_without_cells_to_read_keeps_its_name(answer: Callable[[], PackAnswer]) -> None:
    assert cells_drawing(answer(), Teller()) is None
    assert answer().pack.name in texts(picture(answer()))


def test_every_picture_holds_its_words_for_whoever_does_not_see_it() -> None:
    root = picture(flooded_answer())
    (title,) = root.iter(f"{SVG}title")
    assert root.get("role") == "img"
    assert "Cell 11 is the weakest" in (title.text or "")
    assert "A full pack ran 4.4 h" in (title.text or "")


def test_the_picture_asks_nobody_for_anything_and_is_the_same_each_time() -> None:
    text = pack_svg(flooded_answer(), Teller())
    assert re.findall(r"(?:href|src)\s*=|url\((?!data:)|@import", text) == []
    assert text == pack_svg(flooded_answer(), Teller())


@pytest.mark.parametrize(
    "name", ["<script>alert(1)</script>", "a & b", 'x" onload="y', "nul \x00\x0b", "]]>", "\ud800"]
)
def test_a_name_stays_text(name: str) -> None:
    root = picture(replace(flooded_answer(), pack=replace(FLOODED, name=name)))
    assert list(root.iter(f"{SVG}script")) == []
    assert all(each.get("onload") is None for each in root.iter())
    assert " ".join(texts(root)[0].split()) == " ".join("".join(c if c.isprintable() else " " for c in name).split())


def test_a_spanish_reader_gets_spanish_words_and_commas() -> None:
    told = texts(picture(flooded_answer(), Teller(language=Language.SPANISH)))
    assert "1,238" in told
    assert "Frente de la máquina" in told
    assert "nov 2025" in told


def test_the_trend_shows_each_logged_shift_and_the_line_of_the_work() -> None:
    root = picture(flooded_answer())
    assert len(of_kind(root, "logged")) == sum(point.logged_h is not None for point in trend())
    assert len(of_kind(root, "work")) == len(of_kind(root, "bar")) == len(of_kind(root, "likely")) == 1
    assert "work 3 h" in texts(root)
    assert "3 May 2026" in texts(root)
    assert "3.4 h" in texts(root)


def test_the_days_stand_in_order_along_the_axis() -> None:
    root = picture(flooded_answer())
    assert at(root, "Oct 2024")[0] < at(root, "Nov 2025")[0] < at(root, "Aug 2026")[0]


def test_the_likely_day_lies_on_the_work_within_its_range() -> None:
    root = picture(flooded_answer())
    (bar,), (likely,) = of_kind(root, "bar"), of_kind(root, "likely")
    left, y, right = map(float, re.findall(r"[\d.]+", bar.get("d", "")))
    assert left < float(likely.get("cx", "")) < right
    assert float(likely.get("cy", "")) == y


def test_a_day_beyond_the_paper_is_told_in_words_alone() -> None:
    far = replace(flooded_answer(), replace_by=(date(2041, 5, 3), date(2035, 2, 20), date(2049, 8, 9)))
    root = picture(far)
    assert of_kind(root, "likely") == of_kind(root, "bar") == []
    assert any("3 May 2041" in each for each in texts(root))


def test_nothing_is_forecast_for_a_pack_that_is_below_the_work_already() -> None:
    points = trend()
    spent = replace(points[-1], full_pack_h=2.6, low_h=2.4, high_h=2.8)
    root = picture(replace(flooded_answer(), trend=(*points[:-1], spent)))
    assert of_kind(root, "forecast") == of_kind(root, "likely") == of_kind(root, "bar") == []
    assert any(each.startswith("By its log a full pack no longer does 3 h of work.") for each in texts(root))
    assert len(of_kind(picture(flooded_answer()), "forecast")) == 1


def test_the_hours_of_today_keep_clear_of_the_line_of_the_work() -> None:
    points = trend()
    for full_pack_h in (2.5, 2.7, 2.9, 3.0, 3.1, 3.4):
        last = replace(points[-1], full_pack_h=full_pack_h, low_h=full_pack_h - 0.2, high_h=full_pack_h + 0.2)
        root = picture(replace(flooded_answer(), trend=(*points[:-1], last)))
        (work,) = of_kind(root, "work")
        line_y = float(re.findall(r"[\d.]+", work.get("d", ""))[1])
        label_y = next(int(each.get("y", "")) for each in root.iter(f"{SVG}text") if each.text == f"{full_pack_h:g} h")
        assert not label_y - 12 < line_y < label_y + 2


def test_a_shift_far_off_the_rest_stands_at_the_edge_and_squeezes_nothing() -> None:
    points = trend()
    odd = replace(flooded_answer(), trend=(*points[:3], replace(points[3], logged_h=40.0), *points[4:]))
    drawn, usual = (trend_drawing(each, Teller(), WIDE) for each in (odd, flooded_answer()))
    assert drawn is not None
    assert usual is not None
    line = re.compile(r'class="health" d="[^"]+"')
    assert line.findall(drawn.body) == line.findall(usual.body)


def test_a_trend_needs_two_points_and_does_without_work_and_end() -> None:
    answer = flooded_answer()
    assert trend_drawing(replace(answer, trend=trend()[:1]), Teller(), WIDE) is None
    alone = replace(answer, trend=trend()[:2], replace_by=(), figures=())
    drawn = trend_drawing(alone, Teller(), WIDE)
    assert drawn is not None
    assert 'class="work"' not in drawn.body


def test_all_of_a_drawing_lies_within_its_sides() -> None:
    for answer in (flooded_answer(), unread_answer(), sealed_answer()):
        root = picture(answer)
        wide = int(root.get("width", "0"))
        assert all(0 <= int(each.get("x", "")) <= wide for each in root.iter(f"{SVG}text"))
