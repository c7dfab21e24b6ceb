"""The report on a drawing: what is there, and what a plan still needs."""

from dataclasses import replace

from shapely import MultiPolygon, box

from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, ServicePoint, Site, Use
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.floor_text import MOST_WARNINGS, floor_text, missing_for_a_plan
from scrubwright.paperwork.wording import Language, Teller

ENGLISH = Teller()
HALL = FloorPlan(
    name="Ground floor",
    outline=MultiPolygon([box(0, 0, 42, 26)]),
    obstacles=(NamedOutline(name="Rack 1", outline=box(6, 4, 36, 6)),),
    areas=(Area(name="Fish counters", outline=box(0, 0, 10, 26), surface="epoxy", passes=2),),
    service_points=(ServicePoint(name="Closet", x_m=40.9, y_m=13.0, uses=frozenset({Use.TAP, Use.DRAIN})),),
    parking=Place(name="Charger bay", x_m=2.0, y_m=13.0),
)


def test_a_floor_is_told_with_its_size_its_areas_and_its_points() -> None:
    assert floor_text(Site(name="Market", floors=(HALL,)), (), ENGLISH).splitlines() == [
        "Ground floor: 1,092 m² between the walls, 42.00 m by 26.00 m. Obstacles: 1,",
        "ramps: 0, no-go zones: 0.",
        "  Fish counters                   260 m²  epoxy, double scrub",
        "  Closet                      drain, tap                      x 40.9, y 13.0",
        "  Charger bay                 parking place                   x 2.0, y 13.0",
    ]


def test_what_a_plan_still_needs_is_told_with_a_line_to_type() -> None:
    bare = replace(HALL, service_points=(), parking=None)
    told = [ENGLISH.tell(sentence) for sentence in missing_for_a_plan(bare, ENGLISH)]
    assert [text.rpartition(" such as ")[2].split()[0] for text in told] == ["--drain", "--tap", "--park"]
    x, y = (float(value) for value in told[0].rpartition(" ")[2].split(","))
    free = bare.outline.difference(bare.obstacles[0].outline)
    assert free.contains(box(x - 1, y - 1, x + 1, y + 1))


def test_an_example_is_typed_with_points_and_in_the_readers_feet() -> None:
    bare = replace(HALL, outline=MultiPolygon([box(600, 600, 610, 610)]), parking=None, obstacles=())
    spanish = Teller(language=Language.SPANISH, system=UnitSystem.US)
    (sentence,) = missing_for_a_plan(bare, spanish)
    x, y = (float(value) for value in spanish.tell(sentence).rpartition(" ")[2].split(","))
    assert 600 < x * 0.3048 < 610
    assert 600 < y * 0.3048 < 610


def test_nothing_is_missing_where_all_is_there() -> None:
    assert missing_for_a_plan(HALL, ENGLISH) == ()


def test_many_warnings_are_cut_and_counted() -> None:
    warnings = [Sentence("A gap of {gap_m} was closed.", gap_m=0.001 * n) for n in range(1, MOST_WARNINGS + 8)]
    told = floor_text(Site(name="Market", floors=(HALL,)), warnings, ENGLISH)
    assert told.count("was closed") == MOST_WARNINGS
    assert "And 7 more of the kind." in told
