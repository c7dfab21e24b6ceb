"""The route page in a real browser: it plays, fits a phone, can be read, and asks nobody for anything."""

from dataclasses import replace
from statistics import median

import numpy as np
import pypdfium2
import pytest
from shapely import MultiPolygon, box

from scrubwright.jobs.route_answer import Block, Lane, LaneKind, Pattern, RouteAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.route_page import route_page
from scrubwright.paperwork.wording import Language, Teller
from tests.browser.conftest import Opened
from tests.browser.night_pages import DARK, GROUND, TINT, faults, seek, shown_time, sticks_out, unfold, until_time
from tests.rooms.hall_answer import Night, hall_answer

SPANISH = Teller(language=Language.SPANISH, system=UnitSystem.US)


def english_page(answer: RouteAnswer | None = None) -> str:
    return route_page(answer or hall_answer(), Teller())


def lane_end_s(answer: RouteAnswer, number: int) -> float:
    legs = [leg for route in answer.routes for leg in route.legs if leg.lane == number]
    return legs[0].start_s + legs[0].duration_s


def test_playing_moves_machine_tank_and_time_and_pausing_stops_them(opened: Opened) -> None:
    page = opened(english_page())
    machine = page.locator(".mark.machine").first
    before = (machine.get_attribute("transform"), page.locator(".tank").first.inner_text())
    page.select_option("#speed", "900")
    page.click("#play")
    until_time(page, 300)
    page.click("#play")
    after = (machine.get_attribute("transform"), page.locator(".tank").first.inner_text())
    assert before[0] != after[0]
    assert before[1] != after[1]
    stopped = shown_time(page)
    page.wait_for_timeout(200)
    assert shown_time(page) == stopped
    assert page.locator("#play").inner_text() == "Play"


def test_playing_to_the_end_stops_there_and_ticks_every_step(opened: Opened) -> None:
    page = opened(english_page())
    page.select_option("#speed", "900")
    page.click("#play")
    until_time(page, float(page.evaluate("Number(document.getElementById('time').max)")) - 1)
    page.wait_for_timeout(100)
    assert page.locator("#play").inner_text() == "Play"
    assert page.locator(".step[data-end]:not(.done)").count() == 0
    assert "Back at its place" in page.locator(".states").inner_text()


def test_the_floor_is_tinted_where_it_was_scrubbed_and_fades_as_it_dries(opened: Opened) -> None:
    answer = hall_answer()
    page = opened(english_page(), wide=1440, high=900)
    # Lane 12 lies in block 2, y = 1.0 m; beside its middle line, clear of numbers and ticks.
    lane = next(lane for lane in answer.lanes if lane.number == 12)
    spot = [12.3, float(lane.points_m[0, 1]) + 0.2]
    end_s = lane_end_s(answer, 12)
    seen = []
    for time_s in (end_s - 60, end_s + 1, end_s + 300, end_s + 601, end_s + 1):
        seek(page, time_s)
        seen.append(page.evaluate(TINT, spot))
    before, wet, drying, dry, again = seen
    assert before[3] == 0
    assert wet == again
    assert sum(wet[:3]) < sum(drying[:3]) < sum(dry[:3])
    assert dry[3] == 255


def test_the_drying_time_is_an_input_that_changes_tint_strip_and_its_origin_word(opened: Opened) -> None:
    answer = hall_answer()
    page = opened(english_page(), wide=1440, high=900)
    assert page.locator("#drying-origin").inner_text() == "common practice"
    assert page.locator(".hours .end").inner_text().startswith("dry 0:4")
    seek(page, lane_end_s(answer, 1) + 700)
    dry = page.evaluate(TINT, [0.6, 12.0])
    page.fill("#drying", "60")
    assert page.locator("#drying-origin").inner_text() == "entered by you"
    assert page.locator(".hours .end").inner_text().startswith("dry 1:3")
    assert sum(page.evaluate(TINT, [0.6, 12.0])[:3]) < sum(dry[:3])
    page.fill("#drying", "0")
    assert page.locator(".hours .end").inner_text().startswith("dry 1:3")


def test_a_start_time_turns_every_time_into_clock_time(opened: Opened) -> None:
    page = opened(english_page())
    first = page.locator("time[data-s]").first
    assert first.inner_text() == "0:00"
    page.fill("#start", "22:30")
    assert first.inner_text() == "22:30"
    assert page.locator(".hours span").first.inner_text() == "22:30"


def test_a_tapped_block_is_shown_on_the_floor_and_tapped_again_let_go(opened: Opened) -> None:
    page = opened(english_page())
    step = page.locator("button.step[data-block='2-6']")
    step.click()
    assert step.get_attribute("aria-pressed") == "true"
    assert page.locator(".plan .swept.here").get_attribute("data-block") == "2-6"
    assert page.locator(".approach").get_attribute("d")
    assert page.locator("#picture").evaluate("each => each.getBoundingClientRect().top") >= 0
    block = next(block for route in hall_answer().routes for block in route.blocks if block.number == 6)
    assert shown_time(page) == pytest.approx(block.start_s, abs=1)
    step.click()
    assert step.get_attribute("aria-pressed") == "false"
    assert page.locator(".plan .swept.here").count() == 0


def test_a_block_tapped_on_the_floor_is_marked_in_the_list(opened: Opened) -> None:
    page = opened(english_page(), wide=1440, high=900)
    page.locator(".plan .mark.block[data-block='2-5'] .number").click()
    assert page.locator("button.step[data-block='2-5']").get_attribute("aria-pressed") == "true"


def test_a_piece_in_the_list_is_ringed_on_the_floor(opened: Opened) -> None:
    page = opened(english_page())
    page.locator("button.out").first.click()
    assert (page.locator(".ring").get_attribute("d") or "").count("M") == 1
    page.click("#whole")
    assert not page.locator(".ring").get_attribute("d")


def test_pieces_of_one_line_are_ringed_together(opened: Opened) -> None:
    answer = hall_answer()
    missed = tuple(replace(piece, name="Aisle 2") for piece in answer.missed)
    page = opened(english_page(replace(answer, missed=missed)), wide=1440, high=900)
    page.locator("button.out", has_text="Aisle 2").click()
    assert (page.locator(".ring").get_attribute("d") or "").count("M") == len(missed) > 1


def test_names_of_areas_and_a_slope_stand_where_they_cover_no_number(opened: Opened) -> None:
    page = opened(english_page(hall_answer(machines=1)), wide=1440, high=900)
    covered = page.evaluate(
        """() => {
          const seen = [...document.querySelectorAll('.plan .mark')].filter(
            each => each.getAttribute('display') !== 'none');
          const boxes = kind => seen.filter(each => each.classList.contains(kind))
            .map(each => each.getBoundingClientRect());
          const meets = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
          const numbers = boxes('block');
          return [...boxes('called'), ...boxes('slope')]
            .filter(name => numbers.some(number => meets(name, number))).length;
        }"""
    )
    assert covered == 0
    shown = page.locator(".plan .mark.called:visible, .plan .mark.slope:visible").all_text_contents()
    assert {"West end", "East end"} <= {text.strip() for text in shown}
    assert any("5.0" in text for text in shown)


def test_the_keyboard_plays_seeks_and_zooms(opened: Opened) -> None:
    page = opened(english_page(), wide=1440, high=900)
    page.focus("#time")
    page.keyboard.press("PageUp")
    page.keyboard.press("ArrowRight")
    assert shown_time(page) == 660
    page.keyboard.press("Home")
    assert shown_time(page) == 0
    whole = page.locator(".plan").get_attribute("viewBox")
    page.keyboard.press("+")
    assert page.locator(".plan").get_attribute("viewBox") != whole
    page.keyboard.press("Escape")
    assert page.locator(".plan").get_attribute("viewBox") == whole
    page.keyboard.press("Space")
    assert page.locator("#play").inner_text() == "Pause"


def test_the_slider_tells_a_listener_what_happens(opened: Opened) -> None:
    page = opened(english_page())
    seek(page, lane_end_s(hall_answer(), 1) - 2)
    said = page.locator("#time").get_attribute("aria-valuetext") or ""
    assert said.startswith("0:00. Machine 1: Scrubbing lane 1, block 1.")


def test_where_motion_is_unwelcome_time_moves_in_steps(opened: Opened) -> None:
    page = opened(english_page(), motion="reduce")
    page.click("#play")
    page.wait_for_timeout(500)
    assert shown_time(page) == 0
    until_time(page, 60)


@pytest.mark.parametrize("teller", [Teller(), SPANISH], ids=["en", "es"])
@pytest.mark.parametrize("wide", [360, 390, 768, 1440])
def test_nothing_sticks_out_sideways_and_every_target_fits_a_glove(opened: Opened, teller: Teller, wide: int) -> None:
    page = opened(route_page(hall_answer(), teller), wide=wide)
    unfold(page)
    assert sticks_out(page, wide) == []


@pytest.mark.parametrize(
    ("teller", "scheme", "wide"),
    [(Teller(), "light", 390), (SPANISH, "dark", 390), (SPANISH, "light", 1440), (Teller(), "dark", 1440)],
)
def test_the_page_can_be_read_by_everybody(opened: Opened, teller: Teller, scheme: str, wide: int) -> None:
    page = opened(route_page(hall_answer(), teller), wide=wide, high=900, scheme=scheme)
    assert faults(page) == []


def test_the_theme_button_turns_the_page_dark_and_back(opened: Opened) -> None:
    page = opened(english_page())
    light = page.evaluate(GROUND)
    page.click("#theme")
    assert page.evaluate(GROUND) == DARK
    assert page.locator("#theme").inner_text() == "Light"
    page.click("#theme")
    assert page.evaluate(GROUND) == light


def test_a_name_with_a_script_in_it_runs_nothing(opened: Opened) -> None:
    answer = hall_answer()
    evil = "<script>alert(1)</script><img src=x onerror=alert(2)>"
    blocks = tuple(replace(block, area=evil) for block in answer.routes[0].blocks)
    routes = (replace(answer.routes[0], blocks=blocks), *answer.routes[1:])
    page = opened(english_page(replace(answer, site=evil, routes=routes, verdict=Sentence("No: {name}.", name=evil))))
    assert evil in page.locator("h1").inner_text()


def test_on_paper_it_is_a_run_sheet_with_the_plan_to_scale(opened: Opened) -> None:
    page = opened(english_page(), wide=1440, high=900, scheme="dark")
    pdf = pypdfium2.PdfDocument(page.pdf(prefer_css_page_size=True))
    sizes = [pdf.get_page_size(index) for index in range(len(pdf))]
    assert len(sizes) <= 4
    # One lying A4 sheet (842 x 595 points) among upright ones.
    assert sum(wide > high for wide, high in sizes) == 1
    text = "".join(pdf[index].get_textpage().get_text_range() for index in range(len(pdf)))
    assert "Dump and fill at Drain west" in text
    # Small letters are placed one by one, so a reader of the file sees gaps between them.
    assert "Scale1:250" in "".join(text.split())
    assert "Play" not in text
    (lying,) = (index for index, (wide, high) in enumerate(sizes) if wide > high)
    picture = pdf[lying].render(scale=1).to_numpy()
    # Black on white although the screen was dark.
    assert np.median(picture) > 250
    pdf.close()
    page.emulate_media(media="print")
    # 297 mm at 96 steps an inch.
    wide = page.locator(".paper svg").evaluate("each => each.getBoundingClientRect().width")
    assert wide == pytest.approx(297 / 25.4 * 96, abs=0.1)


def many_lanes(count: int) -> RouteAnswer:
    """A bare hall with a given number of 20 m lanes in blocks of 25."""
    night = Night(1)
    lanes: list[Lane] = []
    for index in range(count):
        column, row = divmod(index, 150)
        ends = [(20.5 * column + 0.5, 0.7 * row + 0.5), (20.5 * column + 20.5, 0.7 * row + 0.5)]
        points = ends if index % 2 == 0 else ends[::-1]
        lane = Lane(
            number=index + 1,
            area="Hall",
            kind=LaneKind.LANE,
            points_m=np.array(points),
            length_m=20.0,
            machine=1,
            block=index // 25 + 1,
        )
        lanes.append(lane)
        night.solution_l = 24.0
        night.drive(points[0], block=lane.block)
        night.scrub(lane)
    for number in range(1, count // 25 + 1):
        own = tuple(lane.number for lane in lanes if lane.block == number)
        first, last = (lanes[own[at] - 1].points_m[at] for at in (0, -1))
        legs = [leg for leg in night.legs if leg.block == number]
        night.blocks.append(
            Block(
                number=number,
                area="Hall",
                kind=LaneKind.LANE,
                pattern=Pattern.IN_ORDER,
                lanes=own,
                entry_m=(float(first[0]), float(first[1])),
                exit_m=(float(last[0]), float(last[1])),
                start_s=legs[0].start_s,
                end_s=legs[-1].start_s + legs[-1].duration_s,
                deck_down_length_m=20.0 * len(own),
            )
        )
    hall = MultiPolygon([box(0, 0, 20.5 * (1 + (count - 1) // 150) + 1, 106)])
    return replace(
        hall_answer(),
        free=hall,
        reachable=hall,
        lanes=tuple(lanes),
        routes=(night.route(lanes),),
        missed=(),
        unreachable=(),
        stays_wet=(),
    )


def test_fifteen_hundred_lanes_stay_fluid_and_the_page_small(opened: Opened) -> None:
    text = english_page(many_lanes(1500))
    assert len(text.encode()) < 2_000_000
    page = opened(text, wide=1440, high=900)
    taken: list[float] = page.evaluate(
        """() => { const slider = document.getElementById('time'); const taken = [];
          for (let index = 0; index < 60; index += 1) {
            slider.value = slider.max * (0.5 + index / 300);
            const before = performance.now();
            slider.dispatchEvent(new Event('input'));
            document.getElementById('tint').getContext('2d').getImageData(0, 0, 1, 1);
            taken.push(performance.now() - before);
          } return taken; }"""
    )
    # A frame at 30 a second has 33 ms; twice that leaves room for a busy computer.
    assert median(taken) < 66
