"""The run sheet is one accessible PDF on either paper: what to do, when, and what to write down, all of it as text."""

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pypdfium2
import pytest

from scrubwright.jobs.route_answer import Bites
from scrubwright.jobs.shift_answer import Doing, Section, ShiftAnswer, ShiftVerdict
from scrubwright.jobs.shift_checkpoints import checkpoints
from scrubwright.jobs.shift_logged import Reset
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.shift_form import form_fields
from scrubwright.paperwork.shift_log_columns import IN_US, LogField, log_header
from scrubwright.paperwork.shift_print import MAP_AREAS, printed_map, printed_night
from scrubwright.paperwork.shift_route import route_in_time
from scrubwright.paperwork.shift_sheet import shift_sheet
from scrubwright.paperwork.shift_way import RowKind, WayRow, way_rows
from scrubwright.paperwork.shift_words import at, clock_words, stop_times
from scrubwright.paperwork.typesetting import Paper
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.shift_answer_example import shift_answer

MM = 72 / 25.4
SIDES_MM = {Paper.A4: (210, 297), Paper.LETTER: (215.9, 279.4)}
TIGHT = shift_answer(ShiftVerdict.TIGHT)
SPANISH = Teller(language=Language.SPANISH, system=UnitSystem.US)


@cache
def told(answer: ShiftAnswer, teller: Teller | None = None, paper: Paper = Paper.A4) -> str:
    """Every word of the sheet, lines put together."""
    pages = opened(answer, teller, paper)
    return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in pages).split())


def opened(answer: ShiftAnswer, teller: Teller | None = None, paper: Paper = Paper.A4) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(shift_sheet(answer, teller or Teller(), paper))


def rows(answer: ShiftAnswer, teller: Teller | None = None, *, machine: int = 1) -> tuple[WayRow, ...]:
    shift = answer.machines[machine - 1]
    return way_rows(answer, route_in_time(answer), shift, teller or Teller(), with_lanes=True)


@pytest.mark.parametrize("paper", Paper)
def test_every_page_has_the_size_of_the_paper_and_the_map_may_lie(paper: Paper) -> None:
    wide, high = (side * MM for side in SIDES_MM[paper])
    sizes = [page.get_size() for page in opened(TIGHT, paper=paper)]
    standing, lying = pytest.approx((wide, high), abs=0.1), pytest.approx((high, wide), abs=0.1)
    assert [size == standing for size in sizes].count(False) == 1
    assert [size == lying for size in sizes].count(True) == 1


@pytest.mark.parametrize("verdict", ShiftVerdict)
def test_the_same_answer_gives_the_same_bytes(verdict: ShiftVerdict) -> None:
    answer = shift_answer(verdict)
    assert shift_sheet(answer, Teller(), Paper.A4) == shift_sheet(answer, Teller(), Paper.A4)


@pytest.mark.parametrize("verdict", ShiftVerdict)
@pytest.mark.parametrize("language", Language)
@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("machines", [1, 2])
def test_every_sheet_claims_to_be_readable_by_the_blind(
    verdict: ShiftVerdict, language: Language, paper: Paper, machines: int
) -> None:
    answer = shift_answer(verdict, machines=machines)
    content = shift_sheet(answer, Teller(language=language, system=UnitSystem.US), paper)
    assert b"pdfuaid:part" in content
    assert f"/Lang ({language})".encode() in content or f"/Lang({language})".encode() in content


def test_the_verdict_its_chance_and_why_come_first() -> None:
    text = told(TIGHT)
    assert text.startswith("It is tight")
    assert "78 % ± 2" in text
    assert Teller().tell(TIGHT.why) in text
    assert text.index("It is tight") < text.index("Numbers") < text.index("The floor: blocks") < text.index("The way")


def test_every_block_stands_in_driving_order_with_its_clock_time() -> None:
    blocks = [row for row in rows(TIGHT) if row.kind is RowKind.BLOCK]
    route = route_in_time(TIGHT).routes[0]
    assert [row.number for row in blocks] == [str(block.number) for block in route.blocks]
    assert [row.clock for row in blocks] == [clock_words(at(TIGHT, block.start_s)) for block in route.blocks]
    text = told(TIGHT)
    for row in blocks:
        assert f"{row.title} · {row.told}" in text
    assert "Wait until 05:14 before you begin." in text
    assert "8 lanes: every second one out, the others on the way back. Lanes 37-44." in text


def test_every_stop_stands_with_place_clock_time_and_litres() -> None:
    stops = [row for row in rows(TIGHT) if row.kind is RowKind.STOP]
    times = stop_times(TIGHT, TIGHT.machines[0])
    assert [row.clock for row in stops] == [clock_words(at(TIGHT, each.arrive_s)) for each in times]
    number = Teller().number
    for row, each in zip(stops, times, strict=True):
        assert row.title == f"Dump and fill at {each.stop.drain}"
        assert number("dumped_l", each.stop.dumped_l) in row.told
        assert number("filled_l", each.stop.filled_l) in row.told
        assert f"{row.clock} {row.number} {row.title}" in told(TIGHT)
    assert stops[1].takes == "8 min"


@pytest.mark.parametrize("is_told_of_the_stop", [True, False])
def test_a_planned_charge_stands_in_a_row_of_its_own(is_told_of_the_stop: bool) -> None:
    shift = TIGHT.machines[0]
    line = tuple(
        each if is_told_of_the_stop or each.doing is not Doing.CHARGE else replace(each, stop=None)
        for each in shift.line
    )
    answer = replace(TIGHT, machines=(replace(shift, line=line),))
    kinds = [row.kind for row in rows(answer)]
    charging = rows(answer)[kinds.index(RowKind.CHARGE)]
    assert kinds.count(RowKind.CHARGE) == 1
    assert rows(answer)[kinds.index(RowKind.CHARGE) - 1].number == "2"
    assert (charging.clock, charging.title, charging.takes) == ("04:27", "Charge until 04:42.", "15 min")
    assert "Charge until 04:42." in told(answer)


def test_rows_stand_in_the_order_of_the_night() -> None:
    kinds = [row.kind for row in rows(TIGHT)]
    assert (kinds[0], kinds[-1]) == (RowKind.START, RowKind.HOME)
    clocks = [row.clock for row in rows(TIGHT)]
    assert all(before <= after for before, after in pairwise(clocks))


def test_the_least_charge_stands_at_the_start_and_at_each_stop() -> None:
    checks = checkpoints(TIGHT, TIGHT.machines[0])
    first, *at_stops = (row for row in rows(TIGHT) if row.kind in (RowKind.START, RowKind.STOP))
    assert f"Less than {checks[0].all_fraction:.0%}".replace("%", " %") in first.charge[1]
    assert "do not start" in first.charge[1]
    for check, row in zip(checks[1:], at_stops, strict=True):
        assert row.charge[0].startswith("Charge as planned: ")
        assert any(f"Less than {100 * check.all_fraction:.0f} %" in line for line in row.charge)
        assert all(line in told(TIGHT) for line in row.charge)
    assert "plug in here until it shows that, or scrub on to stop 2 and end there" in at_stops[0].charge[1]
    (only,) = at_stops[-1].charge[1:]
    assert only == f"Less than {100 * checks[-1].all_fraction:.0f} %: plug in here until it shows that, or end here."


def test_a_pack_that_never_lasts_is_not_sent_out() -> None:
    weak = replace(TIGHT.question.machines[0], health_ratio=0.05)
    answer = replace(TIGHT, question=replace(TIGHT.question, machines=(weak,)))
    assert "do not start, plan again" in rows(answer)[0].charge[1]


def test_what_is_closed_stands_with_its_times_rounded_to_the_careful_side() -> None:
    text = told(TIGHT)
    for section in TIGHT.sections:
        assert section.name in text
    # Wet 13 min 40 s after four o'clock, dry 71 min 5 s after it.
    aisles = replace(TIGHT.sections[1], close_s=13 * 60.0 + 40, open_s=71 * 60.0 + 5)
    assert f"04:13 05:12 {aisles.name} 2, 3, 4, 5, 6, 9" in told(replace(TIGHT, sections=(aisles,)))


def test_cautions_stand_where_they_bite() -> None:
    by_block = {row.number: row for row in rows(TIGHT) if row.kind is RowKind.BLOCK}
    ramp = next(each for each in TIGHT.route.cautions if each.bites is Bites.BLOCKS)
    first, *later = sorted(ramp.blocks)
    assert by_block[str(first)].cautions == (str(ramp.told),)
    assert all(by_block[str(each)].cautions == (f"Take care as at block {first}.",) for each in later)
    text = told(TIGHT)
    for each in (*TIGHT.cautions, *(caution.told for caution in TIGHT.route.cautions)):
        assert Teller().tell(each) in text


def test_each_number_says_where_it_comes_from() -> None:
    text = told(TIGHT)
    for line in (
        "Last machine is back 05:20 05:16 to 05:27 estimate",
        "Charge at the end; keep 20 % 24 % 18 to 29 % estimate",
        "Charge at the start: as given for tonight: 35.0 %, measured",
        "air that was given: 7 min 10 s (4 min 50 s to 11 min), published",
        "normal normal 50 mm 5.0 km/h 6.5 km/h 2.4 L/min · plate 45 kg · plate plate plate plate",
        "Clock times, litres and charges are estimates.",
    ):
        assert line in text


def test_what_helps_stands_on_a_sheet_that_does_not_fit_and_on_no_other() -> None:
    text = told(shift_answer(ShiftVerdict.DOES_NOT_FIT))
    assert "Scrub at pressure" in text
    assert "94 % ± 1" in text
    assert "What would make it fit" not in told(shift_answer(ShiftVerdict.FITS))
    helpless = replace(shift_answer(ShiftVerdict.DOES_NOT_FIT), changes=())
    assert "Nothing that was tried makes it fit" in told(helpless)


@pytest.mark.parametrize("system", UnitSystem)
def test_the_form_asks_for_every_column_that_the_log_has_of_a_done_shift(system: UnitSystem) -> None:
    teller = Teller(system=system)
    asked = {field.column for field in form_fields(TIGHT, TIGHT.machines[0], teller)}
    elsewhere = {LogField.DATE, LogField.MACHINE, LogField.SITE, LogField.RESET, LogField.NOTE}
    # From start and finish the minutes in all are known.
    elsewhere.add(LogField.TOTAL)
    done = {name for name in log_header(teller) if not name.startswith("plan_")}
    assert asked == done - {str(each) for each in elsewhere}
    text = told(TIGHT, teller)
    assert all(each in text for each in asked)
    assert all(str(each) in text for each in Reset)
    assert str(IN_US[LogField.FILLED_LITRES]) in text or system is UnitSystem.SI


def test_the_form_has_what_was_planned_beside_it() -> None:
    planned = {field.column: field.planned for field in form_fields(TIGHT, TIGHT.machines[0], Teller())}
    assert (planned["start_time"], planned["finish_time"], planned["stops"]) == ("04:00", "05:20", "4")
    assert (planned["charge_before_percent"], planned["charge_after_percent"]) == ("35 %", "24 %")
    route = TIGHT.route.routes[0]
    # All that comes back is let out in the end.
    let_out_l = sum(stop.dumped_l for stop in route.stops) + route.legs[-1].recovered_l
    assert planned["dumped_l"] == Teller().number("dumped_l", let_out_l)
    assert planned["filled_l"] == Teller().number("filled_l", route.water_used_l)


def test_meters_that_the_plate_does_not_name_are_not_asked_for() -> None:
    plate = TIGHT.question.machines[0].plate
    meters = tuple(each for each in plate.meters if each.name == "brush")
    assert meters
    one = replace(TIGHT.question.machines[0], plate=replace(plate, meters=meters))
    answer = replace(TIGHT, question=replace(TIGHT.question, machines=(one,)))
    columns = {field.column for field in form_fields(answer, answer.machines[0], Teller())}
    assert {"brush_before_h", "brush_after_h"} <= columns
    assert not columns & {"key_before_h", "traction_before_h"}


def test_two_machines_have_a_way_and_a_form_each() -> None:
    answer = shift_answer(ShiftVerdict.TIGHT, machines=2)
    text = told(answer)
    for number in (1, 2):
        assert f"The way of machine {number}" in text
        assert f"What really happened: Machine {number}" in text
    numbers = [[row.number for row in rows(answer, machine=machine) if row.kind is RowKind.BLOCK] for machine in (1, 2)]
    route = route_in_time(answer)
    assert numbers == [[str(block.number) for block in each.blocks] for each in route.routes]


def test_the_sheet_is_told_in_spanish_and_in_us_units() -> None:
    text = told(TIGHT, SPANISH, Paper.LETTER)
    for word in (
        "Va justo",
        "El recorrido",
        "Menos de",
        "Pasadas 37-44",
        "en carta",
        "gal",
        "mi/h",
        "Operador",
        "10 mar",
    ):
        assert word in text
    for english in ("Less than", "Lanes ", "Display", "Signature"):
        assert english not in text


def test_the_map_holds_every_number_and_fits_either_paper() -> None:
    route = route_in_time(TIGHT)
    for paper, (short, long) in SIDES_MM.items():
        drawn = printed_map(route, Teller(), paper)
        assert all(f">{block.number}</text>" in drawn.svg for block in route.routes[0].blocks)
        sides = MAP_AREAS[paper]
        grown = [drawn.wide_mm - sides.long_mm, drawn.high_mm - sides.short_mm]
        # Lying and upright alike, between margins of 12 mm at the sides, 8 above and 12 below.
        assert sides.long_mm + grown[0] <= long - 24
        assert sides.short_mm + grown[1] <= short - 20
        assert sides.short_mm + grown[0] <= short - 24
        assert sides.long_mm + grown[1] <= long - 20


def test_the_map_is_to_the_scale_that_it_tells() -> None:
    # Without any scaling of its own, a millimetre of the drawing is one of the paper.
    drawn = printed_map(route_in_time(TIGHT), Teller(), Paper.A4)
    assert f'width="{drawn.wide_mm:g}mm" height="{drawn.high_mm:g}mm"' in drawn.svg
    assert f'{drawn.wide_mm:g} {drawn.high_mm:g}"' in drawn.svg
    assert "Scale 1:250 on A4" in drawn.svg


def test_pictures_say_in_words_what_they_show() -> None:
    assert "chance 78 % ± 2" in printed_night(TIGHT, Teller()).alt
    assert "numbered blocks" in printed_map(route_in_time(TIGHT), Teller(), Paper.A4).alt


MARKUP = ('#read("/etc/passwd")', "$x^2 + y$", "= heading", "*bold* _slant_", "`raw`", "<label> @label", "\\ // /* */")


@pytest.mark.parametrize("name", [*MARKUP, '"],"why":"x', "#panic()", "https://example.org", "- item", "</svg><b>"])
def test_a_name_is_text_and_never_markup(name: str) -> None:
    section = replace(TIGHT.sections[0], name=name)
    route = replace(TIGHT.route, site=name)
    answer = replace(TIGHT, sections=(section,), route=route, why=Sentence("Beware of {name}!", name=name))
    text = told(answer)
    assert f"Beware of {name}!" in text
    assert text.count(name) >= 3
    assert "root:" not in text


@pytest.mark.parametrize("name", ["nul \x00 bell \x07", "turned \u202e round", "half \ud800", "new\nline"])
def test_letters_that_are_none_become_spaces(name: str) -> None:
    text = told(replace(TIGHT, route=replace(TIGHT.route, site=name)))
    assert " ".join("".join(each if each.isprintable() else " " for each in name).split()) in text


def test_a_name_in_letters_that_no_font_has_still_gives_a_sheet() -> None:
    answer = replace(TIGHT, route=replace(TIGHT.route, site="倉庫"))
    content = shift_sheet(answer, Teller(), Paper.A4)
    assert b"pdfuaid:part" not in content
    assert pypdfium2.PdfDocument(content)[0].get_textpage().get_text_bounded().startswith("It is tight")


def test_many_sections_run_on_over_several_pages() -> None:
    sections: tuple[Section, ...] = TIGHT.sections * 30
    assert len(opened(replace(TIGHT, sections=sections))) > len(opened(TIGHT))


def test_it_prints_in_black_and_white() -> None:
    for page in opened(TIGHT):
        grey = page.render(scale=1, grayscale=True).to_numpy()
        # Marks are dark enough for a copier, and the paper stays white.
        assert grey.min() < 60
        assert (grey > 240).mean() > 0.6
