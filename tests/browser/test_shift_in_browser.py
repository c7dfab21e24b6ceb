"""The shift page in a real browser: one time moves floor, night line, tanks and charge; keyboard, glove, paper."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest

from scrubwright.jobs.shift_answer import Doing, ShiftAnswer, ShiftVerdict
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.shift_page import shift_page
from scrubwright.paperwork.wording import Language, Teller
from tests.browser.conftest import Opened
from tests.browser.night_pages import DARK, GROUND, TINT, faults, seek, shown_time, sticks_out, unfold, until_time
from tests.rooms.shift_answer_example import shift_answer

SPANISH = Teller(language=Language.SPANISH)
SPAN_S = 6300.0
# Places in percent of the axis: every line of the time that is shown, and every dot on a curve.
LINES = "[...document.querySelectorAll('.row .now')].map(each => parseFloat(each.getAttribute('x1')))"
DOTS = """Object.fromEntries([...document.querySelectorAll('.row .at')].map(each => [
  each.dataset.of + each.dataset.machine,
  [parseFloat(each.getAttribute('cx')), Number(each.getAttribute('cy'))],
]))"""


def english_page(answer: ShiftAnswer | None = None) -> str:
    return shift_page(answer or shift_answer(), Teller())


def charge_at(answer: ShiftAnswer, time_s: float) -> float:
    """Between the ends of two legs, of which neither holds the plug."""
    course = answer.machines[0].course
    times_s = [0.0, *course.end_s]
    return float(np.interp(time_s, times_s, [answer.question.machines[0].charge_fraction, *course.charge_fraction]))


def test_moving_the_slider_moves_floor_night_line_tanks_and_charge_together(opened: Opened) -> None:
    answer = shift_answer()
    page = opened(english_page(), wide=1440, high=900)
    machine = page.locator(".mark.machine")
    seen = []
    for time_s in (1000.0, 2700.0):
        seek(page, time_s)
        course = answer.machines[0].course
        solution_l = float(np.interp(time_s, [0.0, *course.end_s], [24.0, *course.solution_l]))
        recovered_l = float(np.interp(time_s, [0.0, *course.end_s], [0.0, *course.recovered_l]))
        dots: dict[str, list[float]] = page.evaluate(DOTS)
        # One place along the axis for every line and dot.
        across = 100 * time_s / SPAN_S
        assert page.evaluate(LINES) == pytest.approx([across] * 3, abs=0.01)
        assert [dot[0] for dot in dots.values()] == pytest.approx([across] * 3, abs=0.01)
        # 80 px of charge below an edge of 7, 48 px of tanks up to the larger one's 26.4 L.
        charge = charge_at(answer, time_s)
        assert dots["charge0"][1] == pytest.approx(87 - 80 * charge, abs=0.6)
        assert dots["solution0"][1] == pytest.approx(55 - 48 * solution_l / 26.4, abs=0.6)
        assert dots["recovered0"][1] == pytest.approx(55 - 48 * recovered_l / 26.4, abs=0.6)
        texts = page.locator(".tank").all_inner_texts()
        assert texts[0] == f"Solution tank: {solution_l:.0f} of 24 L"
        assert texts[1] == f"Recovery tank: {recovered_l:.0f} of 26 L"
        assert texts[2] == f"Charge {100 * charge:.0f} %"
        seen.append((machine.get_attribute("transform"), tuple(texts), page.evaluate(TINT, [12.3, 11.13])))
    assert seen[0][0] != seen[1][0]
    assert all(one != other for one, other in zip(seen[0][1], seen[1][1], strict=True))
    # The third aisle is scrubbed between the two times.
    assert seen[0][2][3] == 0 < seen[1][2][3]


def test_scrubbed_floor_fades_over_the_drying_time_of_the_answer(opened: Opened) -> None:
    answer = shift_answer()
    page = opened(english_page(), wide=2000, high=1600)
    lane = next(lane for lane in answer.route.lanes if lane.number == 12)
    spot = [12.3, float(lane.points_m[0, 1]) + 0.13]
    index = next(index for index, leg in enumerate(answer.route.routes[0].legs) if leg.lane == 12)
    end_s = float(answer.machines[0].course.end_s[index])
    seen = []
    for time_s in (end_s - 60, end_s + 1, end_s + 215, end_s + 431, end_s + 2000):
        seek(page, time_s)
        seen.append(page.evaluate(TINT, spot))
    before, wet, drying, dry, later = seen
    assert before[3] == 0
    assert sum(wet[:3]) < sum(drying[:3]) < sum(dry[:3])
    assert dry == later


def test_what_is_closed_to_people_is_outlined_and_named_while_it_is_closed(opened: Opened) -> None:
    answer = shift_answer()
    page = opened(english_page(), wide=1440, high=900)
    west = next(section for section in answer.sections if section.name == "West end")
    shown = page.locator(".plan .section:visible")
    for time_s, is_closed in ((west.close_s + 1, True), (west.open_s - 1, True), (west.open_s + 1, False)):
        seek(page, time_s)
        names = [each.get_attribute("data-name") for each in shown.all()]
        assert ("West end" in names) == is_closed
        assert ("West end, block 1, until 04:15" in page.locator("#closed").inner_text()) == is_closed
        assert (page.locator(".closing.now-closed", has_text="West end").count() == 1) == is_closed
    seek(page, SPAN_S)
    assert page.locator("#closed").inner_text() == "Nothing is closed to people now."


def test_sections_of_one_name_are_told_together_until_the_last_is_dry(opened: Opened) -> None:
    answer = shift_answer()
    first = answer.sections[0]
    second = replace(first, blocks=(2,), open_s=first.open_s + 300)
    page = opened(english_page(replace(answer, sections=(first, second))))
    seek(page, first.close_s + 1)
    assert page.locator("#closed").inner_text() == "Closed to people now: West end, blocks 1, 2, until 04:20."


def test_slider_and_play_stay_in_reach_below_many_lines(opened: Opened) -> None:
    page = opened(english_page(shift_answer(machines=2)), wide=1440, high=700)
    for control in ("#time", "#play"):
        box = page.locator(control).bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= 700


def test_a_machine_says_when_it_waits_and_when_it_is_charged(opened: Opened) -> None:
    answer = shift_answer()
    page = opened(english_page())
    for doing, word in ((Doing.WAIT, "Waiting"), (Doing.CHARGE, "Charging")):
        stretch = next(each for each in answer.machines[0].line if each.doing is doing)
        seek(page, (stretch.start_s + stretch.end_s) / 2)
        before = page.locator(".mark.machine").get_attribute("transform")
        assert page.locator(".state .says span").inner_text() == word
        assert word in (page.locator("#time").get_attribute("aria-valuetext") or "")
        seek(page, stretch.end_s - 5)
        assert page.locator(".mark.machine").get_attribute("transform") == before


def test_playing_goes_on_to_the_hour_and_stops_there(opened: Opened) -> None:
    page = opened(english_page())
    seek(page, SPAN_S - 1500)
    page.select_option("#speed", "900")
    page.click("#play")
    until_time(page, SPAN_S - 1)
    page.wait_for_timeout(100)
    assert shown_time(page) == SPAN_S
    assert page.locator("#play").inner_text() == "Play"
    assert page.locator(".step[data-end]:not(.done)").count() == 0
    assert "Back at its place" in page.locator(".states").inner_text()


def test_the_keyboard_plays_seeks_and_zooms(opened: Opened) -> None:
    page = opened(english_page(), wide=1440, high=900)
    page.focus("#time")
    page.keyboard.press("PageUp")
    page.keyboard.press("ArrowRight")
    assert shown_time(page) == 660
    page.keyboard.press("End")
    assert shown_time(page) == SPAN_S
    page.keyboard.press("Home")
    whole = page.locator(".plan").get_attribute("viewBox")
    page.keyboard.press("+")
    assert page.locator(".plan").get_attribute("viewBox") != whole
    page.keyboard.press("Escape")
    assert page.locator(".plan").get_attribute("viewBox") == whole
    page.keyboard.press("Space")
    assert page.locator("#play").inner_text() == "Pause"


def test_the_slider_tells_a_listener_the_time_the_work_and_the_charge(opened: Opened) -> None:
    page = opened(english_page(shift_answer(machines=2)))
    seek(page, 60)
    said = page.locator("#time").get_attribute("aria-valuetext") or ""
    assert said.startswith("04:01. Machine 1: Scrubbing lane")
    assert said.count("Charge 3") == 2


def test_where_motion_is_unwelcome_time_moves_in_steps(opened: Opened) -> None:
    page = opened(english_page(), motion="reduce")
    page.click("#play")
    page.wait_for_timeout(500)
    assert shown_time(page) == 0


def test_a_tapped_block_jumps_to_its_time_in_the_shift(opened: Opened) -> None:
    answer = shift_answer()
    page = opened(english_page())
    page.locator("button.step[data-block='1-7']").click()
    start_s = min(each.start_s for each in answer.machines[0].line if each.block == 7 and each.doing is Doing.SCRUB)
    assert shown_time(page) == pytest.approx(start_s, abs=1)
    assert page.locator(".plan .swept.here").get_attribute("data-block") == "1-7"


@pytest.mark.parametrize("machines", [1, 2])
@pytest.mark.parametrize("teller", [Teller(), SPANISH], ids=["en", "es"])
@pytest.mark.parametrize("wide", [390, 768, 1440])
def test_words_of_the_night_line_cover_neither_each_other_nor_their_boxes(
    opened: Opened, wide: int, teller: Teller, machines: int
) -> None:
    page = opened(shift_page(shift_answer(machines=machines), teller), wide=wide, high=900)
    covered = page.evaluate(
        """() => {
          const meets = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
          const box = each => each.getBoundingClientRect();
          const calls = [...document.querySelectorAll('.call:not([visibility=hidden])')];
          const pairs = calls.flatMap((one, at) => calls.slice(at + 1).filter(other => meets(box(one), box(other))));
          const words = [...document.querySelectorAll('.part text')].filter(each => each.textContent);
          const out = words.filter(each => box(each).width > box(each.parentElement.querySelector('rect')).width);
          const ends = [...document.querySelectorAll('.curve')].flatMap(curve => {
            const names = [...curve.querySelectorAll('.name, .top')];
            return names.flatMap((one, at) => names.slice(at + 1).filter(other =>
              Math.abs(box(one).top - box(other).top) < 10 && box(one).left < box(other).right
              && box(other).left < box(one).right));
          });
          return [...pairs, ...out, ...ends].map(each => each.textContent);
        }"""
    )
    assert covered == []
    assert page.locator(".call:not([visibility=hidden])").count() >= 2


@pytest.mark.parametrize("teller", [Teller(), SPANISH], ids=["en", "es"])
@pytest.mark.parametrize("wide", [360, 390, 768, 1440])
def test_nothing_sticks_out_sideways_and_every_target_fits_a_glove(opened: Opened, teller: Teller, wide: int) -> None:
    answer = shift_answer(ShiftVerdict.DOES_NOT_FIT, machines=2)
    # The widest chance that is told: ">99 %".
    answer = replace(answer, chance=replace(answer.chance, chance_fraction=0.999))
    page = opened(shift_page(answer, teller), wide=wide)
    unfold(page)
    assert sticks_out(page, wide) == []
    # Nor does a word of a drawing leave the screen.
    outside = page.evaluate(
        """wide => [...document.querySelectorAll('.row text')].filter(each =>
          each.textContent && each.getAttribute('visibility') !== 'hidden'
          && (each.getBoundingClientRect().right > wide || each.getBoundingClientRect().left < 0)
        ).map(each => each.textContent)""",
        wide,
    )
    assert outside == []


@pytest.mark.parametrize(
    ("teller", "scheme", "wide", "verdict", "machines"),
    [
        (Teller(), "light", 390, ShiftVerdict.TIGHT, 1),
        (SPANISH, "dark", 390, ShiftVerdict.DOES_NOT_FIT, 2),
        (SPANISH, "light", 1440, ShiftVerdict.FITS, 2),
        (Teller(), "dark", 1440, ShiftVerdict.TIGHT, 1),
    ],
)
def test_the_page_can_be_read_by_everybody(
    opened: Opened, teller: Teller, scheme: str, wide: int, verdict: ShiftVerdict, machines: int
) -> None:
    page = opened(shift_page(shift_answer(verdict, machines=machines), teller), wide=wide, high=900, scheme=scheme)
    assert faults(page) == []


def test_the_theme_button_turns_the_page_dark_and_back(opened: Opened) -> None:
    page = opened(english_page())
    light = page.evaluate(GROUND)
    page.click("#theme")
    assert page.evaluate(GROUND) == DARK
    page.click("#theme")
    assert page.evaluate(GROUND) == light


def test_a_name_with_a_script_in_it_runs_nothing(opened: Opened) -> None:
    answer = shift_answer()
    evil = "<script>alert(1)</script><img src=x onerror=alert(2)>"
    sections = tuple(replace(section, name=evil) for section in answer.sections)
    page = opened(english_page(replace(answer, why=Sentence("Because {name}.", name=evil), sections=sections)))
    assert evil in page.locator(".reason").inner_text()
    seek(page, answer.sections[0].close_s + 1)
    assert evil in page.locator("#closed").inner_text()


def test_on_paper_it_is_a_run_sheet_with_the_night_line_and_the_plan(opened: Opened) -> None:
    page = opened(english_page(), wide=1440, high=900, scheme="dark")
    pdf = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))
    sizes = [pdf.get_page_size(index) for index in range(len(pdf))]
    assert len(sizes) <= 5
    # One lying A4 sheet (842 x 595 points) among upright ones.
    assert sum(wide > high for wide, high in sizes) == 1
    text = "".join(pdf[index].get_textpage().get_text_range() for index in range(len(pdf)))
    # Small letters are placed one by one, so a reader of the file sees gaps between them.
    text = "".join(text.split())
    for said in ("It is tight", "must be dry 05:45", "keep 20 %", "Dump and fill at Drain west", "Charge for 15 min"):
        assert said.replace(" ", "") in text, said
    for silent in ("Play", "Nothing is closed", "Solution tank:"):
        assert silent.replace(" ", "") not in text, silent
    picture = pdf[0].render(scale=1).to_numpy()
    # Black on white although the screen was dark.
    assert np.median(picture) > 250
    pdf.close()


def test_without_a_script_the_line_the_curves_and_the_clock_times_stand(chromium: Any, tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    path.write_text(english_page(), encoding="utf-8")
    context = chromium.new_context(java_script_enabled=False, viewport={"width": 1440, "height": 900})
    page = context.new_page()
    page.goto(path.as_uri())
    assert page.locator(".row.line .part").count() > 8
    assert page.locator(".row.curve path").count() >= 3
    assert page.locator("time[data-s]").first.inner_text() == "04:00"
    context.close()
