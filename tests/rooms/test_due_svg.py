"""The horizon drawn: one mark a row, today on the left, well-formed, and the same each time."""

from xml.etree import ElementTree

from scrubwright.catalogue.checks import Occasion, WornBy
from scrubwright.jobs.what_is_due import what_is_due
from scrubwright.paperwork.due_svg import WIDE, due_svg
from scrubwright.paperwork.pack_drawing import MARGIN
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.due_example import catalogue, check, item, machine, meter, question

SPACE = {"svg": "http://www.w3.org/2000/svg"}
BY = catalogue(
    item("brush & <blade>", life_h=(200.0, 260.0)),
    item("past", meter=WornBy.CALENDAR, life_h=None, life_days=(60, 60)),
    item("late", meter=WornBy.CALENDAR, life_h=None, life_days=(800, 800)),
    item("half", meter=WornBy.CALENDAR, life_h=None, life_days=(145, 145)),
    checks=[check("a", Occasion.BY_HOURS, every_h=250.0)],
)
ANSWER = what_is_due(question(machine(meter()), BY))


def drawn(teller: Teller) -> ElementTree.Element:
    return ElementTree.fromstring(due_svg(ANSWER, teller))


def test_each_row_within_the_horizon_has_its_mark() -> None:
    page = drawn(Teller())
    marks = page.findall(".//svg:circle", SPACE)
    past = page.findall(".//svg:path[@class='front']", SPACE)
    assert (len(marks), len(past)) == (3, 1)
    texts = [each.text for each in page.findall(".//svg:text", SPACE)]
    assert "Brush & <blade> (replace)" in texts
    assert "Late (replace)" not in texts


def test_half_the_horizon_stands_in_the_middle() -> None:
    # 145 days counted from 100 days ago lie 45 days ahead, half of 90.
    places = {int(each.attrib["cx"]) for each in drawn(Teller()).findall(".//svg:circle", SPACE)}
    assert (WIDE - 2 * MARGIN) // 2 + MARGIN in places


def test_it_is_told_in_spanish_and_the_same_each_time() -> None:
    teller = Teller(language=Language.SPANISH)
    assert "Próximamente" in due_svg(ANSWER, teller)
    assert due_svg(ANSWER, teller) == due_svg(ANSWER, teller)
