"""The route page is one closed file: verdict first, numbers with their origin, every name made harmless."""

import re
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from html import unescape
from importlib.resources import files

import pytest

from scrubwright.jobs.route_answer import Bites, Caution
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.closed_page import script_words, template_words
from scrubwright.paperwork.route_lists import held
from scrubwright.paperwork.route_page import SCRIPTS, route_page
from scrubwright.paperwork.wording import Language, Teller, words_of
from tests.rooms.closed_pages import night_of, outline
from tests.rooms.hall_answer import hall_answer


@pytest.fixture(scope="module")
def page() -> str:
    return route_page(hall_answer(), Teller())


def test_every_element_is_closed_and_no_id_is_used_twice(page: str) -> None:
    ids = [attrs["id"] for _, attrs in outline(page).found if "id" in attrs]
    assert len(ids) == len(set(ids))


def test_the_verdict_comes_before_everything_else_and_why_in_one_line_after_it(page: str) -> None:
    texts = outline(page).texts
    texts = texts[texts.index(("a", "To the driving list")) :]
    first = [text for tag, text in texts if tag in ("h1", "p", "span")]
    assert first[1].startswith("Yes: 35 min with 2 machines")
    assert first[2].startswith("Aisle 3.80 m wide takes 5 passes")


def test_every_number_is_followed_by_the_word_for_where_it_comes_from(page: str) -> None:
    origins = {origin.value for origin in Origin}
    found = re.findall(r'<span class="value">(.*?)</span><span class="origin">(.*?)</span>', page)
    assert len(found) == 11 + len(hall_answer().provenance)
    assert {origin for _, origin in found} <= origins
    assert ("24<small> L</small>", "plate") in found


def test_a_number_that_went_in_is_called_by_what_it_is_and_a_tap_tells_where_to_mend_it(page: str) -> None:
    found = re.search(r'<span class="label">Scrubbed width</span>(.*?)</details>', page)
    assert found
    assert '<span class="origin">plate</span>' in found[1]
    assert "From the machine's plate file; correct it there." in unescape(found[1])


def test_the_numbers_in_sight_say_what_is_done_what_is_left_and_how_good_the_order_is(page: str) -> None:
    sight = page[page.index('class="figures"') : page.index("More numbers")]
    assert re.findall(r'<span class="label">(.*?)</span>', sight) == [
        "Time",
        "Scrubbed, of what it can reach",
        "Dump stops; the tanks allow no fewer than 2",
        "No order of these lanes saves more than",
        "Floor out of reach",
        "Strip along walls and racks, by hand",
    ]
    # The bound is 96.8 % of the time.
    assert "3.2<small> %</small>" in sight


def test_a_number_the_planner_sources_itself_keeps_that_origin() -> None:
    sourced = Sourced(
        name="total_time_s",
        value=2100.0,
        origin=Origin.MEASURED,
        detail=Sentence("Timed on {nights} nights.", nights=3),
    )
    answer = hall_answer()
    page = route_page(replace(answer, provenance=(*answer.provenance, sourced)), Teller())
    found = re.search(
        r'<span class="label">Time</span>.*?<span class="origin">(.*?)</span></summary><p>(.*?)</p>', page
    )
    assert found
    assert found[1] == "measured"
    assert "Timed on 3 nights." in found[2]
    assert found[2].endswith("Measured or entered by a person.")


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
    answer = hall_answer()
    route = answer.routes[0]
    blocks = tuple(replace(block, area=evil) for block in route.blocks)
    stops = tuple(replace(stop, drain=evil, tap=evil) for stop in route.stops)
    answer = replace(
        answer,
        site=evil,
        floor=evil,
        machine=evil,
        verdict=Sentence("No: {name}.", name=evil),
        why=(Sentence("Because {name}.", name=evil), Sentence("And {name}.", name=evil)),
        cautions=(Caution(told=Sentence("Mind {area}.", area=evil), bites=Bites.START),),
        plan=replace(
            answer.plan,
            areas=tuple(replace(area, name=evil) for area in answer.plan.areas),
            ramps=tuple(replace(ramp, name=evil) for ramp in answer.plan.ramps),
            no_go=tuple(replace(zone, name=evil) for zone in answer.plan.no_go),
            service_points=tuple(replace(point, name=evil) for point in answer.plan.service_points),
        ),
        routes=(replace(route, blocks=blocks, stops=stops), *answer.routes[1:]),
        missed=tuple(replace(piece, name=evil, reason=Sentence("{name}", name=evil)) for piece in answer.missed),
    )
    found = outline(route_page(answer, Teller()))
    assert [tag for tag, _ in found.found].count("script") == 2
    assert not [tag for tag, _ in found.found if tag == "img"]
    assert [text for tag, text in found.texts if tag == "h1"] == [f"No: {evil}."]


def test_the_playback_holds_every_leg_in_step_with_the_answer(page: str) -> None:
    answer, night = hall_answer(), night_of(page)
    for route, machine in zip(answer.routes, night["machines"], strict=True):
        assert len(machine["legs"]) == len(route.legs)
        assert machine["end"] == pytest.approx(route.total_time_s, abs=0.06)
        for leg, kept in zip(route.legs, machine["legs"], strict=True):
            assert kept[1] == pytest.approx(leg.start_s, abs=0.06)
            assert kept[3:5] == pytest.approx([leg.solution_l, leg.recovered_l], abs=0.06)
            # The picture's origin is the upper left corner of the floor with its margin, y downwards.
            x_m, y_m = leg.points_m[-1]
            assert kept[8][-2:] == pytest.approx([x_m + 1.5, 26 + 1.5 - y_m], abs=0.006)


def test_the_list_follows_each_machine_through_its_night(page: str) -> None:
    found = re.findall(r'class="step"[^>]*data-end="(\d+)"><span class="big">(?:<span class="\w+">)?(\w+)', page)
    assert [number for _, number in found] == list("11239P4516278P")
    ends = [int(end) for end, _ in found]
    assert ends[:6] == sorted(ends[:6])
    assert ends[6:] == sorted(ends[6:])


def test_every_caution_stands_at_the_step_where_it_bites(page: str) -> None:
    steps = page[page.index('class="steps"') : page.index('class="rest"')]
    start = steps[: steps.index("<ol>")]
    assert "Keep people off" in start
    assert "Shut the water off" in start
    assert "Empty only" not in start
    assert steps.count("Keep people off") == steps.count("Shut the water off") == 1
    # Three stops, and two blocks on the ramp.
    assert len(re.findall(r'class="gem">.*?</div><p class="caution">Empty only', steps)) == 3
    assert re.search(r'data-block="2-7".{0,600}</button><p class="caution">Straight up', steps)
    assert steps.count("Straight up or down the ramp.") == 2


def test_the_plan_names_areas_ramp_and_every_service_point_used_or_not(page: str) -> None:
    plan = page[page.index('<svg class="plan"') : page.index('<svg class="north"')]
    names = re.findall(r"<tspan[^>]*>(.*?)</tspan>", plan)
    for name in ("West end", "East end", "Dock ramp", "5.0 %", "Lift pit", "Old drain", "Charger", "Tap at drain east"):
        assert name in names, name
    assert plan.count('class="mark point idle"') == 2
    assert plan.count('class="uphill"') == 1


def test_uphill_points_up_where_the_ramp_climbs_north(page: str) -> None:
    shaft = re.findall(r'<path class="uphill" d="M[\d.]+ [\d.]+l(\S+) (\S+)"', page)
    # On the screen, and on the sheet that is printed.
    assert [(float(x), float(y) < 0) for x, y in shaft] == [(0.0, True)] * 2


def test_pieces_past_the_eighth_are_a_tap_away() -> None:
    answer = hall_answer()
    many = tuple(replace(answer.missed[0], name=f"Strip {index}") for index in range(11))
    page = route_page(replace(answer, missed=many), Teller())
    assert "<summary>3 more</summary>" in page
    assert page.count("<b>Strip ") == 11


def test_an_answer_without_reasons_cautions_or_left_outs_makes_a_page_without_their_headings() -> None:
    bare = replace(hall_answer(), why=(), cautions=(), missed=(), unreachable=(), stays_wet=(), provenance=())
    page = route_page(bare, Teller())
    outline(page)
    assert "Stays unscrubbed" not in page
    assert 'class="reason"' not in page
    assert 'class="cautions"' not in page


def test_the_same_answer_gives_the_same_page(page: str) -> None:
    assert route_page(hall_answer(), Teller()) == page


def test_the_page_is_well_below_a_megabyte(page: str) -> None:
    assert len(page.encode()) < 1_000_000


class Listening(Teller):
    """A Spanish reader that writes down every template it is asked to tell."""

    heard: set[str] = set()  # noqa: RUF012 - one notebook for the whole test

    def tell(self, sentence: Sentence) -> str:
        self.heard.add(sentence.template)
        return super().tell(sentence)


def templates_heard() -> Iterator[str]:
    answer = hall_answer()
    own = {each.template for each in (answer.verdict, *answer.why, *(each.told for each in answer.cautions))}
    own |= {piece.reason.template for piece in (*answer.missed, *answer.unreachable, *answer.stays_wet)}
    own |= {each.detail.template for each in answer.provenance}
    Listening.heard.clear()
    for machines in (1, 2):
        route_page(hall_answer(machines=machines), Listening(language=Language.SPANISH))
    yield from Listening.heard - own


def test_every_word_of_the_page_the_script_and_the_sheet_has_its_spanish() -> None:
    script = "".join((files("scrubwright.paperwork") / name).read_text(encoding="utf-8") for name in SCRIPTS)
    wanted = {*template_words("route_page.html"), *script_words(script), *templates_heard()}
    assert len(wanted) > 90
    assert sorted(wanted - set(words_of(Language.SPANISH))) == []


def test_the_page_speaks_spanish_and_gallons() -> None:
    page = route_page(hall_answer(), Teller(language=Language.SPANISH, system=UnitSystem.US))
    night = night_of(page)
    assert '<html lang="es">' in page
    assert night["litre"] == {"factor": pytest.approx(1 / 3.785411784), "label": "gal", "decimals": 1}
    assert night["words"]["Scrubbing lane {lane}, block {block}"] == "Friega la pasada {lane}, bloque {block}"
    assert "Empiece abajo a la izquierda y termine arriba a la derecha." in page


def test_a_long_list_is_folded_from_dump_stop_to_dump_stop() -> None:
    answer = hall_answer()
    route = answer.routes[1]
    start_s, stop_s = route.blocks[0].start_s, route.stops[0].arrive_s
    crowd = tuple(
        replace(route.blocks[0], number=number, start_s=start_s + number, end_s=start_s + number + 1)
        for number in range(1, 21)
    )
    late = tuple(replace(block, number=block.number + 20, start_s=stop_s + 900 + block.number) for block in crowd)
    page = route_page(
        replace(answer, routes=(replace(route, blocks=(*crowd, *late), stops=route.stops[:1]),)), Teller()
    )
    outline(page)
    folded = re.findall(r'<details( open)? class="more"><summary><time[^>]*>[^<]*</time>&ensp;(.*?)</summary>', page)
    assert [(bool(is_open), title) for is_open, title in folded] == [
        (True, "Blocks 1 to 20, then stop 1"),
        (False, "Blocks 21 to 40, then home"),
    ]


def test_no_line_of_the_verdict_ends_between_a_number_and_its_unit() -> None:
    assert held("99.5 % in 2 h 5 min with 3 machines, 12 m wide") == (
        "99.5\u00a0% in 2\u00a0h 5\u00a0min with 3 machines, 12\u00a0m wide"
    )
