"""The sheet is sound XML, to scale, the same each time, and holds every sign that a driver needs."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from shapely import MultiPolygon, box

from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.face import lines_that_fit
from scrubwright.paperwork.left_groups import LEAST_WITH_LETTER_M2
from scrubwright.paperwork.route_svg import route_svg
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.hall_answer import hall_answer

SVG = "{http://www.w3.org/2000/svg}"


def sheet(answer: RouteAnswer | None = None, teller: Teller | None = None) -> ElementTree.Element:
    return ElementTree.fromstring(route_svg(answer or hall_answer(), teller or Teller()))


def texts(root: ElementTree.Element) -> list[str]:
    return [each.text or "" for name in ("text", "tspan") for each in root.iter(f"{SVG}{name}")]


def paths(root: ElementTree.Element) -> list[ElementTree.Element]:
    return list(root.iter(f"{SVG}path"))


def test_the_sheet_is_xml_of_an_a4_paper_in_millimetres() -> None:
    root = sheet()
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("297mm", "210mm", "0 0 297 210")


def test_a_high_floor_gets_an_upright_sheet() -> None:
    floor = MultiPolygon([box(0, 0, 30, 90)])
    high = replace(hall_answer(), free=floor, reachable=floor, missed=(), unreachable=())
    assert sheet(high).get("width") == "210mm"


def test_the_plan_is_drawn_to_the_scale_it_names() -> None:
    root = sheet()
    (scale,) = [text for text in texts(root) if text.startswith("Scale 1:")]
    ratio = 1 / int(re.findall(r"1:(\d+)", scale)[0])
    lanes = {each.get("data-block"): each.get("d", "") for each in paths(root) if each.get("class") == "lane by2"}
    # The first stretch of the edge pass is 30 m along the south wall.
    step_mm = float(re.findall(r"l([\d.]+) ", lanes["2-8"])[0])
    assert step_mm == pytest.approx(30_000 * ratio, abs=0.01)


def test_the_scale_bar_is_as_long_as_it_says_in_metres_and_in_feet() -> None:
    for system, unit_m in ((UnitSystem.SI, 1.0), (UnitSystem.US, 0.3048)):
        root = sheet(teller=Teller(system=system))
        scale = int(next(re.findall(r"1:(\d+)", text)[0] for text in texts(root) if text.startswith("Scale")))
        long = next(int(text.split()[0]) for text in texts(root) if re.fullmatch(r"\d+ (m|ft)", text))
        bar = next(each.get("d", "") for each in paths(root) if "h" in each.get("d", "") and not each.get("class"))
        assert float(re.findall(r"h([\d.]+)", bar)[0]) == pytest.approx(long * unit_m * 1000 / scale, abs=0.01)


def test_every_block_stop_letter_and_reason_is_on_the_sheet() -> None:
    answer, found = hall_answer(), texts(sheet())
    for number in range(1, 10):
        assert str(number) in found
    assert found.count("M2") >= 5
    joined = " ".join(found)
    assert "The way in is 0.88 m wide" in joined
    assert "Drain west" in found
    for letter in "ABCDEF"[: len(answer.missed) + 2]:
        assert found.count(letter) == 2


def test_pieces_of_one_place_and_reason_share_a_letter() -> None:
    answer = hall_answer()
    missed = tuple(replace(piece, name="Aisle 2") for piece in answer.missed)
    found = texts(sheet(replace(answer, missed=missed)))
    large = sum(1 for piece in missed if piece.area_m2 >= LEAST_WITH_LETTER_M2)
    # Once in the key, once on each piece.
    assert found.count("B") == 1 + large > 2
    assert f"And {len(missed) - 1} more like it." in " ".join(found)


def test_areas_ramp_and_unused_points_are_named_on_the_sheet() -> None:
    found = texts(sheet())
    for name in ("West end", "East end", "Dock ramp", "5.0 %", "Lift pit", "Old drain", "Charger"):
        assert name in found, name


def test_one_machine_needs_no_machine_marks() -> None:
    assert not [text for text in texts(sheet(hall_answer(machines=1))) if re.fullmatch(r"M\d", text)]


def test_the_same_answer_gives_the_same_sheet() -> None:
    assert route_svg(hall_answer(), Teller()) == route_svg(hall_answer(), Teller())


def test_a_name_cannot_break_the_sheet() -> None:
    answer = hall_answer()
    evil = '<script>alert("1")</script>&\x00\x1b'
    piece = replace(answer.unreachable[0], name=evil)
    root = sheet(replace(answer, site=evil, unreachable=(piece,)))
    assert not list(root.iter(f"{SVG}script"))
    assert any("alert" in text for text in texts(root))


def test_a_long_list_of_pieces_ends_in_how_much_more_there_is() -> None:
    answer = hall_answer()
    many = tuple(replace(answer.missed[0], name=f"Strip {index}", area_m2=1.0) for index in range(300))
    root = sheet(replace(answer, missed=many))
    (more,) = [text for text in texts(root) if text.startswith("And ")]
    count = int(more.split()[1])
    listed = sum(1 for text in texts(root) if re.match(r"Strip \d+,", text))
    assert listed + count + 1 == 300 + len(answer.stays_wet) + len(answer.unreachable)
    assert all(float(each.get("y", "0")) <= 210 for each in root.iter(f"{SVG}text"))


def test_the_sheet_speaks_spanish() -> None:
    found = texts(sheet(teller=Teller(language=Language.SPANISH)))
    assert "Desagüe, agua, corriente" in found
    assert "Lane of machine 1" not in found


def test_the_sheet_asks_the_network_for_nothing() -> None:
    text = route_svg(hall_answer(), Teller())
    addresses = set(re.findall(r"https?://[^\"' )]+", text))
    assert addresses == {"http://www.w3.org/2000/svg"}
    assert set(re.findall(r"url\((\w+)[:)]", text)) == {"data"}


def test_the_words_of_the_key_fit_beside_their_signs_in_both_languages() -> None:
    for language in Language:
        root = sheet(teller=Teller(language=language))
        # 49 mm for letters of 2.9 mm.
        signs = [text for text in texts(root) if len(text) > 3 and not text.startswith(("Scale", "Escala"))]
        first = signs.index(next(text for text in signs if "1" in text and ("Lane of" in text or "Pasada de" in text)))
        for label in signs[first : first + 9]:
            assert len(lines_that_fit(label, str(49 / 2.9))) == 1, label


def test_blocks_without_room_for_their_number_are_counted_on_the_sheet() -> None:
    answer = hall_answer()
    route = answer.routes[0]
    crowd = tuple(replace(route.blocks[0], number=number) for number in range(100, 400))
    root = sheet(replace(answer, routes=(replace(route, blocks=crowd), *answer.routes[1:])))
    written = sum(1 for text in texts(root) if re.fullmatch(r"[123]\d\d", text))
    told = " ".join(texts(root))
    (count,) = re.findall(r"(\d+) small blocks have no room", told)
    assert written + int(count) == 300
    assert written > 3
