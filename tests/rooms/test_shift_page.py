"""The shift page is one closed file: verdict by word and shape, numbers with their origin, the lists."""

import re
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from hashlib import sha256
from html import unescape

import numpy as np
import pytest

from scrubwright.jobs.shift_answer import ShiftVerdict
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.closed_page import script_of, script_words, template_words
from scrubwright.paperwork.shift_page import SCRIPTS, shift_page
from scrubwright.paperwork.wording import Language, Teller, words_of
from tests.rooms.closed_pages import night_of, outline
from tests.rooms.shift_answer_example import START_AT, shift_answer


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


def test_a_block_says_how_long_to_wait_before_it(page: str) -> None:
    steps = page[page.index('id="steps"') : page.index('class="rest"')]
    said = [words_in(row, "<li>", "</li>") for row in re.findall(r"<li><button.*?</li>", steps)]
    # The wait of four minutes ends 75 min after the start.
    assert [row.split("|")[1] for row in said if "Wait until 05:14 before you begin." in row] == ["7"]


def test_the_two_passes_of_a_double_scrub_are_told_apart() -> None:
    answer = shift_answer()
    route, shift = answer.route, answer.machines[0]
    first, second = (route.routes[0].blocks[at].number for at in (1, 2))
    is_first = [leg.block == first for leg in route.routes[0].legs]
    course = replace(shift.course, squeegee_down=~np.array(is_first))
    lanes = tuple(replace(lane, second=lane.block == second) for lane in route.lanes)
    page = shift_page(
        replace(answer, route=replace(route, lanes=lanes), machines=(replace(shift, course=course),)), Teller()
    )
    steps = dict(re.findall(r'data-block="1-(\d+)" data-end.*?<span>(.*?)</span>', page))
    assert steps[str(first)].startswith("First of two passes: squeegee up")
    assert steps[str(second)] == "Second of two passes: squeegee down, suction on."
    assert page.count("of two passes:") == 2


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
