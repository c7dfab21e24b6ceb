"""The shift page is one closed file: verdict by word and shape, the night line, the curves, and the lists beside."""

import re
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from hashlib import sha256
from html import unescape

import numpy as np
import pytest

from scrubwright.jobs.route_answer import LegKind
from scrubwright.jobs.shift_answer import Doing, ShiftAnswer, ShiftVerdict, Stretch
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.closed_page import script_of, script_words, template_words
from scrubwright.paperwork.shift_axis import Axis, apart_px, axis_of
from scrubwright.paperwork.shift_curves import charge_levels
from scrubwright.paperwork.shift_line import night_line, runs_of
from scrubwright.paperwork.shift_page import SCRIPTS, shift_page
from scrubwright.paperwork.shift_route import route_in_time, timed_legs
from scrubwright.paperwork.wording import Language, Teller, words_of
from tests.rooms.closed_pages import night_of, outline
from tests.rooms.shift_answer_example import CHARGE_S, CHARGE_STOP, DRY_BY, START_AT, WAIT_S, shift_answer

BOX = re.compile(r'<svg class="part (\w+)" x="([\d.]+)%" width="([\d.]+)%"')
# 04:00 to 05:45.
WINDOW_S = 6300.0


@pytest.fixture(scope="module")
def page() -> str:
    return shift_page(shift_answer(), Teller())


def words_in(page: str, start: str, end: str) -> str:
    """What a reader sees between two places of the page."""
    part = page[page.index(start) :]
    text = re.sub(r"<[^>]+>", "|", part[: part.index(end)])
    return unescape(re.sub(r"\|+", "|", text)).replace("\u00a0", " ")


# --- the page as a file ---


def test_every_element_is_closed_and_no_id_is_used_twice(page: str) -> None:
    ids = [attrs["id"] for _, attrs in outline(page).found if "id" in attrs]
    assert len(ids) == len(set(ids))


def test_the_page_names_no_address_and_allows_nothing_but_itself(page: str) -> None:
    assert set(re.findall(r"https?://[^\"' <>)]+", page)) == {"http://www.w3.org/2000/svg"}
    assert not re.search(r"<link|<img|<iframe|@import|\bfetch\(|XMLHttpRequest|\bimport\(|localStorage", page)
    assert set(re.findall(r"url\((?!#)(\w+):", page)) == {"data"}
    policy = unescape(re.findall(r'Content-Security-Policy" content="(.*?)"', page)[0])
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    for tag in ("style", "script"):
        (inner,) = re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        assert f"'sha256-{b64encode(sha256(inner.encode()).digest()).decode()}'" in policy


def test_no_element_carries_a_style_or_a_handler_of_its_own(page: str) -> None:
    for _, attrs in outline(page).found:
        assert not [name for name in attrs if name == "style" or name.startswith("on")]


@pytest.mark.parametrize(
    "evil", ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "</script><b>", "{{night}} [[Play]]"]
)
def test_a_name_cannot_become_part_of_the_page(evil: str) -> None:
    answer = shift_answer()
    route = answer.route
    blocks = tuple(replace(block, area=evil) for block in route.routes[0].blocks)
    stops = tuple(replace(stop, drain=evil, tap=evil) for stop in route.routes[0].stops)
    answer = replace(
        answer,
        route=replace(
            route,
            site=evil,
            floor=evil,
            machine=evil,
            routes=(replace(route.routes[0], blocks=blocks, stops=stops),),
        ),
        why=Sentence("Because {name}.", name=evil),
        sections=tuple(replace(section, name=evil) for section in answer.sections),
        changes=tuple(replace(change, told=Sentence("Drop {name}.", name=evil)) for change in answer.changes),
        cautions=(Sentence("Mind {name}.", name=evil),),
    )
    found = outline(shift_page(answer, Teller()))
    assert [tag for tag, _ in found.found].count("script") == 2
    assert not [tag for tag, _ in found.found if tag == "img"]
    assert f"Because {evil}." in [text for _, text in found.texts]


def test_the_same_answer_gives_the_same_page(page: str) -> None:
    assert shift_page(shift_answer(), Teller()) == page


def test_the_page_is_well_below_a_megabyte(page: str) -> None:
    assert len(page.encode()) < 1_000_000


# --- the answer ---


@pytest.mark.parametrize(
    ("verdict", "word", "shape"),
    [
        (ShiftVerdict.FITS, "It fits", '<circle class="run"'),
        (ShiftVerdict.TIGHT, "It is tight", '<path class="half"'),
        (ShiftVerdict.DOES_NOT_FIT, "It does not fit", '<path class="stop"'),
    ],
)
def test_the_verdict_is_told_by_word_and_shape(verdict: ShiftVerdict, word: str, shape: str) -> None:
    page = shift_page(shift_answer(verdict), Teller())
    (heading,) = re.findall(r"<h1>(.*?)</h1>", page)
    assert heading.endswith(word)
    assert shape in heading


def test_verdict_why_chance_and_what_helps_come_before_the_other_numbers(page: str) -> None:
    said = words_in(page, "<h1>", '<section class="figures" aria')
    order = [
        "It is tight",
        "what fails first is the charge",
        "10 Mar 2026: start at 04:00, dry by 05:45.",
        "Chance of finishing",
        "78| %| ± 2",
        "What would make it fit",
    ]
    places = [said.index(each) for each in order]
    assert places == sorted(places)


def test_the_chance_says_how_many_shifts_were_drawn_and_what_fails_first(page: str) -> None:
    said = words_in(page, "Chance of finishing", "</details>")
    assert "4096 shifts drawn" in said
    assert "charge 20 %, clock 1 %" in said


def test_a_pack_that_gives_out_above_its_reserve_is_told_beside_the_reason() -> None:
    answer = shift_answer()
    chance = replace(answer.chance, end_charge_fraction=(0.39, 0.41, 0.5))
    page = shift_page(replace(answer, chance=chance), Teller())
    assert "The charge fails with more than the reserve left" in words_in(
        page, '<p class="reason">', '<p class="when">'
    )
    assert "The charge fails with more" not in shift_page(answer, Teller())


def test_every_number_is_followed_by_the_word_for_where_it_comes_from(page: str) -> None:
    rows = re.findall(r"<details class=\"figure.*?</summary>", page)
    origins = [re.search(r'<span class="origin">(.*?)</span>', row) for row in rows]
    assert len(rows) > 25
    assert {found[1] for found in origins if found} == {
        Origin.ESTIMATE,
        Origin.MEASURED,
        Origin.PLATE,
        Origin.PUBLISHED,
        Origin.COMMON_PRACTICE,
    }
    assert all(origins)


def test_the_times_stand_beside_what_is_wanted_with_their_range(page: str) -> None:
    said = words_in(page, '<section class="figures" aria', "More numbers")
    # Back 80 min 13 s after 04:00, dry 7 min 10 s later, as the example counts it.
    assert "Floor is dry; wanted by 05:45|05:28|8 in 10: 05:22 to 05:35|estimate" in said
    assert "Last machine is back|05:20|8 in 10: 05:16 to 05:27|estimate" in said
    assert "Charge at the end; keep 20 %|24| %|8 in 10: 18 % to 29 %|estimate" in said
    assert "Stops to dump and fill|4|" in said


def test_what_went_in_is_named_and_has_its_range_behind_a_tap(page: str) -> None:
    said = words_in(page, "What the plan was made with", "</section>")
    assert "A wet lane dries in: evaporation" in said
    assert "8 times in 10 between 4 min 50 s and 11 min." in said
    assert "Charge at the start: as given for tonight|35.0| %|measured" in said


def test_each_change_has_its_rank_its_chance_and_what_it_costs(page: str) -> None:
    rows = re.findall(r'<li class="change">.*?</li>', page)
    assert [row[row.index("<b>") + 3 : row.index("</b>")].split(":")[0] for row in rows] == [
        "Scrub at pressure &quot;low&quot;",
        "Leave out West end tonight",
        "Start 30\u00a0min earlier, at 03",
    ]
    first, second, _ = (words_in(row, "<li", "</li>") for row in rows)
    assert first.startswith("|1|")
    assert "16 more shifts in 100 work. Back at 05:20, dry at 05:28." in first
    assert "94 %| ± 1" in first
    assert "156 m²." in second
    # From 78.4 to 94.2 of 100 on the scale.
    assert 'd="M78.4 0H94.2"' in rows[0]


def test_a_shift_that_fits_needs_no_change_and_one_that_nothing_helps_says_so() -> None:
    assert "What would make it" not in shift_page(shift_answer(ShiftVerdict.FITS), Teller())
    hopeless = replace(shift_answer(ShiftVerdict.DOES_NOT_FIT), changes=())
    assert "Nothing that was tried makes it fit." in shift_page(hopeless, Teller())


def test_changes_to_a_shift_that_fits_are_told_as_such() -> None:
    answer = replace(shift_answer(ShiftVerdict.FITS), changes=shift_answer().changes)
    assert "What would make it surer" in shift_page(answer, Teller())


# --- the night line ---


def boxes(answer: ShiftAnswer) -> list[tuple[str, float, float]]:
    """Kind, beginning and end of each box of the line, in seconds."""
    axis = axis_of(answer)
    drawn = night_line(answer, Teller(), axis)
    scale = axis.span_s / 100
    return [(kind, float(x) * scale, (float(x) + float(wide)) * scale) for kind, x, wide in BOX.findall(drawn)]


def test_every_stop_charge_wait_and_drying_is_a_box_at_its_time() -> None:
    answer = shift_answer()
    found = boxes(answer)
    kinds = {
        Doing.SERVICE: "service",
        Doing.CHARGE: "charge",
        Doing.WAIT: "wait",
        Doing.DRYING: "drying",
    }
    for doing, kind in kinds.items():
        wanted = [(each.start_s, each.end_s) for each in answer.machines[0].line if each.doing is doing]
        drawn = [(start_s, end_s) for each, start_s, end_s in found if each == kind]
        assert len(drawn) == len(wanted) > 0, kind
        # Percent are told to two decimals: 0.63 s of 6,300.
        assert np.array(drawn) == pytest.approx(np.array(wanted), abs=1.3), kind


def test_boxes_of_scrubbing_cover_the_time_of_all_blocks() -> None:
    answer = shift_answer()
    scrubbed = [each for each in answer.machines[0].line if each.doing is Doing.SCRUB]
    for stretch in scrubbed:
        assert any(
            kind == "scrub" and start_s <= stretch.start_s + 1.3 and end_s >= stretch.end_s - 1.3
            for kind, start_s, end_s in boxes(answer)
        )


def test_the_axis_ends_at_the_hour_it_must_be_dry() -> None:
    axis = axis_of(shift_answer())
    assert axis.span_s == axis.dry_by_s == WINDOW_S
    assert axis.x(WINDOW_S) == "100.00%"
    assert axis.ticks()[0] == (0.0, "04:00")


def test_a_shift_that_is_late_shows_what_comes_too_late() -> None:
    answer = shift_answer(ShiftVerdict.DOES_NOT_FIT)
    late = replace(answer, question=replace(answer.question, dry_by=DRY_BY - timedelta(minutes=40)))
    axis = axis_of(late)
    assert axis.dry_by_s == 3900.0
    # The last shift of ten is dry 900 s after the machine is back.
    assert axis.span_s == pytest.approx(1.02 * (answer.machines[0].finish_s + 900))
    assert "too late" in night_line(late, Teller(), axis)
    assert "too late" not in night_line(answer, Teller(), axis_of(answer))


def test_clock_times_on_the_axis_are_round_and_at_their_place() -> None:
    axis = Axis(start_at=datetime(2026, 3, 9, 21, 40), span_s=28_200.0, dry_by_s=28_200.0)
    assert axis.ticks() == (
        (1200.0, "22:00"),
        (8400.0, "00:00"),
        (15_600.0, "02:00"),
        (22_800.0, "04:00"),
    )


def test_short_blocks_are_drawn_as_one_run_but_never_over_a_stop() -> None:
    axis = Axis(start_at=START_AT, span_s=10_000.0, dry_by_s=10_000.0)

    def scrub(block: int, start_s: float, end_s: float) -> Stretch:
        return Stretch(doing=Doing.SCRUB, start_s=start_s, end_s=end_s, block=block)

    line = (
        scrub(1, 0, 1000),
        scrub(2, 1000, 1100),
        Stretch(doing=Doing.MOVE, start_s=1100, end_s=1150),
        scrub(3, 1150, 1200),
        Stretch(doing=Doing.SERVICE, start_s=1200, end_s=1800, stop=1),
        scrub(4, 1800, 1900),
        scrub(6, 1900, 1950),
        scrub(7, 1950, 4000),
        scrub(8, 4000, 6000),
    )
    assert [(run.first, run.last, run.start_s, run.end_s) for run in runs_of(line, axis)] == [
        (1, 3, 0, 1200),
        (4, 4, 1800, 1900),
        (6, 7, 1900, 4000),
        (8, 8, 4000, 6000),
    ]


def test_a_stop_at_two_places_has_its_number_once() -> None:
    answer = shift_answer()
    shift = answer.machines[0]
    at = next(index for index, each in enumerate(shift.line) if each.stop == 1)
    whole = shift.line[at]
    middle_s = (whole.start_s + whole.end_s) / 2
    halves = (replace(whole, end_s=middle_s), replace(whole, start_s=middle_s))
    split = replace(shift, line=(*shift.line[:at], *halves, *shift.line[at + 1 :]))
    drawn = night_line(replace(answer, machines=(split,)), Teller(), axis_of(answer))
    assert drawn.count('y="5">1</text>') == 1


def test_the_chance_and_the_hour_stand_at_the_lines_end(page: str) -> None:
    line = page[page.index('<svg class="row line"') :]
    line = line[: line.index('<svg class="row hours"')]
    assert re.search(r'class="chance" x="100%" dx="12" y="[\d.]+">78 %</text>', line)
    assert re.search(r'class="give" x="100%" dx="12" y="[\d.]+">± 2</text>', line)
    assert re.search(r'class="must" x="100.00%" dx="-6" y="13">must be dry 05:45</text>', line)


def test_who_does_not_see_the_drawings_hears_what_they_say(page: str) -> None:
    labels = [unescape(each) for each in re.findall(r'class="row[^>]*aria-label="(.*?)"', page)]
    assert labels == [
        "The night line. From 04:00 until it must be dry at 05:45; back at 05:20, dry at 05:28; chance 78 % ± 2.",
        "Charge through the shift: 35 % at the start, 24 % at the end, 8 times in 10 between 18 % and 29 %.",
        "Tanks of machine 1: emptied and filled 4 times.",
    ]


def test_two_machines_have_a_strip_each_under_their_names_and_one_chance() -> None:
    answer = shift_answer(machines=2)
    drawn = night_line(answer, Teller(), axis_of(answer))
    assert re.findall(r'class="machine"[^>]*>(M\d)<', drawn) == ["M1", "M2"]
    assert drawn.count('class="chance"') == 1


# --- charge, tanks and pauses ---


def test_legs_follow_each_other_without_a_gap_and_end_with_the_shift() -> None:
    for machines in (1, 2):
        answer = shift_answer(machines=machines)
        for shift in answer.machines:
            legs = timed_legs(answer, shift)
            ends_s = np.array([leg.end_s for leg in legs])
            starts_s = np.array([leg.leg.start_s for leg in legs])
            assert starts_s[0] == 0.0
            assert starts_s[1:] == pytest.approx(ends_s[:-1], abs=0.06)
            assert ends_s[-1] == pytest.approx(shift.finish_s)
            assert len([leg for leg in legs if leg.pause is None]) == len(shift.course.end_s)


def test_a_machine_stands_while_it_waits_and_while_it_is_plugged_in() -> None:
    answer = shift_answer()
    legs = timed_legs(answer, answer.machines[0])
    pauses = {leg.pause: (index, leg) for index, leg in enumerate(legs) if leg.pause is not None}
    assert pauses[Doing.CHARGE][1].leg.duration_s == pytest.approx(CHARGE_S)
    assert pauses[Doing.WAIT][1].leg.duration_s == pytest.approx(WAIT_S)
    assert all(len(leg.leg.points_m) == 1 for _, leg in pauses.values())
    # It waits where the next leg begins, and charges where the stop was.
    index, wait = pauses[Doing.WAIT]
    assert wait.leg.points_m[0].tolist() == legs[index + 1].leg.points_m[0].tolist()
    index, charge = pauses[Doing.CHARGE]
    assert legs[index - 1].leg.stop == CHARGE_STOP
    assert charge.leg.points_m[0].tolist() == legs[index - 1].leg.points_m[-1].tolist()


def test_the_charge_falls_while_it_works_and_rises_only_on_the_plug() -> None:
    answer = shift_answer()
    shift = answer.machines[0]
    legs = timed_legs(answer, shift)
    levels = charge_levels(answer, 1, legs)
    assert levels[0].full_fraction == 0.35
    assert levels[-1].full_fraction == pytest.approx(shift.end_charge_fraction)
    for leg, before, after in zip(legs, levels, levels[1:], strict=False):
        if leg.pause is Doing.CHARGE:
            assert after.full_fraction > before.full_fraction + 0.02
        else:
            assert after.full_fraction <= before.full_fraction


def test_at_the_end_of_every_leg_the_page_holds_what_the_course_says(page: str) -> None:
    answer, night = shift_answer(), night_of(page)
    course = answer.machines[0].course
    charge = dict(night["charges"][0])
    for end_s, share in zip(course.end_s, course.charge_fraction, strict=True):
        assert charge[round(float(end_s), 1)] == pytest.approx(share, abs=6e-5)
    works = [leg for leg in night["machines"][0]["legs"] if leg[0] < 4]
    assert [leg[3] for leg in works] == pytest.approx(course.solution_l, abs=0.06)
    assert [leg[4] for leg in works] == pytest.approx(course.recovered_l, abs=0.06)
    assert night["drying"] == answer.dry_s[1]
    assert night["startsAt"] == 4 * 60


def test_the_route_in_time_adds_up_to_the_shift() -> None:
    answer = shift_answer()
    (route,) = route_in_time(answer).routes
    assert route.total_time_s == pytest.approx(answer.machines[0].finish_s)
    # The wait and the charge are time in which it stands.
    assert route.stop_time_s == pytest.approx(answer.route.routes[0].stop_time_s + CHARGE_S + WAIT_S, abs=0.01)
    assert route.scrub_time_s == pytest.approx(answer.route.routes[0].scrub_time_s)


def test_floor_of_a_first_pass_stays_wet_until_the_second_has_ended() -> None:
    answer = shift_answer()
    shift = answer.machines[0]
    route = answer.route.routes[0]
    first, second = (index for index, leg in enumerate(route.legs) if leg.lane in (1, 5))
    # The fifth lane goes over the first once more, the other way.
    again = replace(route.legs[second], points_m=route.legs[first].points_m[::-1])
    legs = tuple(again if index == second else leg for index, leg in enumerate(route.legs))
    squeegee_down = np.ones(len(legs), dtype=np.bool_)
    squeegee_down[first] = False
    shift = replace(shift, course=replace(shift.course, squeegee_down=squeegee_down))
    answer = replace(answer, route=replace(answer.route, routes=(replace(route, legs=legs),)), machines=(shift,))
    timed = [leg for leg in timed_legs(answer, shift) if leg.leg.kind is LegKind.SCRUB]
    by_lane = {leg.leg.lane: leg for leg in timed}
    assert by_lane[1].wet_until_s == by_lane[5].end_s > by_lane[1].end_s
    assert by_lane[2].wet_until_s == by_lane[2].end_s


def test_labels_that_would_cover_each_other_move_apart_as_little_as_need_be() -> None:
    assert apart_px([30.0, 30.0], 14.0) == pytest.approx([23.0, 37.0])
    assert apart_px([40.0, 10.0], 14.0) == [40.0, 10.0]
    assert apart_px([24.0, 20.0, 22.0, 90.0], 15.0) == pytest.approx([37.0, 7.0, 22.0, 90.0])


# --- the lists ---


def test_blocks_and_stops_stand_in_driving_order_with_clock_times(page: str) -> None:
    steps = page[page.index('id="steps"') : page.index('class="rest"')]
    times = re.findall(r'<time data-s="(\d+)">(\d\d:\d\d)</time>', steps)
    assert [time for _, time in times] == sorted(time for _, time in times)
    for since_s, time in times:
        at = START_AT + timedelta(seconds=int(since_s) + 30)
        assert time == at.strftime("%H:%M")
    found = re.findall(r'class="step"[^>]*data-end="\d+"><span class="big">(?:<span class="\w+">)?(\w+)', steps)
    assert "".join(found) == "1123245364789P"


def test_a_stop_says_the_charge_left_on_arrival_and_how_long_to_charge(page: str) -> None:
    said = words_in(page, '<section class="steps"', '<section class="rest"')
    assert said.count("Charge left on arrival:") == 4
    assert said.count("Charge for 15 min.") == 1


def test_closed_sections_are_listed_with_their_times_and_outlined_on_the_plan(page: str) -> None:
    answer = shift_answer()
    rows = re.findall(r'<li class="closing" data-close="(\d+)" data-open="(\d+)">(.*?)</li>', page)
    assert [(int(close), int(until)) for close, until, _ in rows] == [
        (round(each.close_s), round(each.open_s)) for each in answer.sections
    ]
    assert words_in(rows[0][2] + "<end>", "<b>", "<end>").strip("|") == "West end|04:00–04:15|block 1"
    plan = page[page.index('<svg class="plan"') : page.index('<svg class="north"')]
    assert plan.count('<path class="section"') == 3


def test_a_shift_without_closed_sections_says_nothing_of_them() -> None:
    page = shift_page(replace(shift_answer(), sections=()), Teller())
    assert "Put signs and chains up" not in page
    assert '<path class="section"' not in page


def test_cautions_of_the_whole_shift_stand_before_the_way_and_none_twice(page: str) -> None:
    head = page[page.index('<section class="steps"') : page.index('<div class="closed">')]
    assert "Never bridge the low-voltage lock-out" in head
    assert "Charging on the way" in head
    told = re.findall(r'<p class="caution">(.*?)</p>', head)
    assert len(told) == len(set(told))


def test_the_reasons_of_the_route_are_kept(page: str) -> None:
    assert "Aisle 3.80\u00a0m wide takes 5 passes" in words_in(
        page, "Why, and what would change it", "</section>"
    ).replace(" m", "\u00a0m")


def test_the_sheet_that_is_printed_carries_the_shifts_verdict(page: str) -> None:
    sheet = page[page.index('class="sheet"') : page.index("<noscript>")]
    assert "It is tight. As planned it is dry" in sheet
    assert "Yes: " not in sheet


class Listening(Teller):
    """A Spanish reader that writes down every template it is asked to tell."""

    heard: set[str] = set()  # noqa: RUF012 - one notebook for the whole test

    def tell(self, sentence: Sentence) -> str:
        self.heard.add(sentence.template)
        return super().tell(sentence)


def templates_heard() -> Iterator[str]:
    Listening.heard.clear()
    for verdict in ShiftVerdict:
        for machines in (1, 2):
            shift_page(shift_answer(verdict, machines=machines), Listening(language=Language.SPANISH))
    route = shift_answer().route
    # Made up for the example hall, and told by nobody else.
    own = {each.template for each in route.why} | {each.detail.template for each in route.provenance}
    own |= {piece.reason.template for piece in (*route.missed, *route.unreachable, *route.stays_wet)}
    yield from Listening.heard - own


def test_every_word_of_the_page_and_its_script_has_its_spanish() -> None:
    wanted = {*template_words("shift_page.html"), *script_words(script_of(SCRIPTS)), *templates_heard()}
    wanted = {each for each in wanted if re.search(r"[a-zA-Z]", re.sub(r"\{\w+\}", "", each))}
    assert len(wanted) > 150
    assert sorted(wanted - set(words_of(Language.SPANISH))) == []


def test_the_page_speaks_spanish_and_gallons() -> None:
    page = shift_page(shift_answer(), Teller(language=Language.SPANISH, system=UnitSystem.US))
    assert '<html lang="es">' in page
    assert re.search(r"<h1>.*Va justo</h1>", page)
    assert "debe estar seco 05:45" in page
    assert night_of(page)["litre"]["label"] == "gal"
    assert night_of(page)["words"]["Charge {now} %"] == "Carga {now} %"
