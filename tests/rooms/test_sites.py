"""Site files mended by hand: what is wrong is told by feature, what is right stays as it is."""

import copy
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import shapely
from shapely import MultiPolygon, box

from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, ServicePoint, Site, Use
from scrubwright.measures.errors import BadInput, ScrubwrightError, UnreadablePaper
from scrubwright.paperwork.drawing import DrawingOptions, read_drawing
from scrubwright.paperwork.sites import read_site, site_text, write_site

HALL = Site(
    name="Market hall",
    source="hall.dxf",
    floors=(
        FloorPlan(
            name="Ground",
            outline=MultiPolygon([box(0, 0, 30, 20)]),
            obstacles=(NamedOutline(name="Rack", outline=box(5, 5, 13, 6)),),
            areas=(Area(name="West", outline=box(0, 0, 15, 20), surface="stone"),),
            service_points=(
                ServicePoint(name="Gully", x_m=1.5, y_m=0.5, uses=frozenset({Use.DRAIN, Use.TAP})),
                ServicePoint(name="Socket", x_m=29.0, y_m=0.5, uses=frozenset({Use.SOCKET})),
            ),
            parking=Place(name="Bay", x_m=28.0, y_m=1.0),
        ),
    ),
)


def written(tmp_path: Path, mistake: Callable[[Any], None]) -> Path:
    content = copy.deepcopy(json.loads(site_text(HALL)))
    mistake(content)
    path = tmp_path / "site.geojson"
    path.write_text(json.dumps(content))
    return path


def at(number: int, key: str, value: object) -> Callable[[Any], None]:
    """A mistake in one property of one feature, counted from 1."""

    def change(content: Any) -> None:
        content["features"][number - 1]["properties"][key] = value

    return change


def drawn(number: int, geometry: object) -> Callable[[Any], None]:
    def change(content: Any) -> None:
        content["features"][number - 1]["geometry"] = geometry

    return change


MISTAKES = {
    "unknown_role": (at(2, "role", "zone"), 'Feature 2 (zone West) has role "zone"; use one of: floor, obstacle'),
    "unknown_level": (at(3, "level", "Attic"), "Feature 3 (obstacle Rack) is on level Attic"),
    "three_passes": (at(2, "passes", 3), "Feature 2 (area West): West asks for 3 passes"),
    "passes_in_words": (at(2, "passes", "two"), 'Feature 2 (area West) has passes "two"'),
    "priority_zero": (at(2, "priority", 0), "West has priority 0"),
    "edges_weekly": (at(2, "edges", "weekly"), 'has edges "weekly"; use one of: every time, skip'),
    "unknown_use": (at(4, "uses", ["sink"]), "Feature 4 (service_point Gully) has uses"),
    "no_use": (at(4, "uses", []), "give a list of one or more of: drain, tap, socket"),
    "two_parkings": (at(5, "role", "parking"), "Level Ground has 2 features of role parking"),
    "point_for_an_area": (drawn(2, {"type": "Point", "coordinates": [1, 1]}), "Feature 2 (area West) is a Point"),
    "area_for_a_point": (drawn(4, {"type": "Polygon", "coordinates": []}), "needs a Point with [x, y]"),
    "point_in_words": (drawn(4, {"type": "Point", "coordinates": ["1.5", "0.5"]}), "needs a Point with [x, y]"),
    "no_geometry": (drawn(3, None), "Feature 3 (obstacle Rack) has no geometry"),
    "ring_of_two": (
        drawn(3, {"type": "Polygon", "coordinates": [[[0, 0], [1, 1]]]}),
        "Feature 3 (obstacle Rack) has a ring that cannot be drawn",
    ),
    "bow_tie": (
        drawn(3, {"type": "Polygon", "coordinates": [[[0, 0], [2, 2], [2, 0], [0, 2], [0, 0]]]}),
        "Feature 3 (obstacle Rack) is empty or crosses itself near 1.00 m, 1.00 m",
    ),
    "beyond_ten_kilometres": (
        drawn(3, {"type": "Polygon", "coordinates": [[[0, 0], [2e4, 0], [2e4, 1], [0, 0]]]}),
        "more than 10,000.00 m from the origin",
    ),
    "area_outside": (
        drawn(2, {"type": "Polygon", "coordinates": [[[50, 0], [55, 0], [55, 5], [50, 5], [50, 0]]]}),
        "Area West of 25 m² lies outside floor Ground",
    ),
}


@pytest.mark.parametrize("defect", MISTAKES)
def test_a_mistake_made_by_hand_names_its_feature(tmp_path: Path, defect: str) -> None:
    mistake, said = MISTAKES[defect]
    with pytest.raises(BadInput) as refused:
        read_site(written(tmp_path, mistake))
    assert said in str(refused.value)


def test_a_ramp_without_its_slope_asks_for_it(tmp_path: Path) -> None:
    def add(content: Any) -> None:
        ramp = copy.deepcopy(content["features"][2])
        ramp["properties"] = {"role": "ramp", "level": "Ground", "name": "Dock", "slope_fraction": "8 %"}
        content["features"].append(ramp)

    with pytest.raises(BadInput) as refused:
        read_site(written(tmp_path, add))
    assert 'Feature 7 (ramp Dock) has slope_fraction "8 %"; enter a number such as 0.08' in str(refused.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('{"type": "FeatureCollection", "features": []}', "is no site file"),
        ('{"scrubwright_site": {"version": 2}, "features": []}', "version 2; this program reads version 1"),
        ('{"scrubwright_site": {"version": 1}, "features": [}', "line 1, column"),
        ("[]", "is no site file"),
    ],
)
def test_what_is_no_site_file_is_refused(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "site.geojson"
    path.write_text(text)
    with pytest.raises(ScrubwrightError) as refused:
        read_site(path)
    assert said in str(refused.value)


def test_a_site_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePaper, match=r"site\.geojson"):
        read_site(tmp_path / "site.geojson")


def test_a_site_reads_back_the_same_by_either_door(tmp_path: Path) -> None:
    path = tmp_path / "site.geojson"
    write_site(HALL, path)
    assert read_site(path).site == HALL
    assert read_drawing(path).site == HALL


def test_a_site_whose_mark_an_editor_dropped_is_read_by_its_roles(tmp_path: Path) -> None:
    reading = read_drawing(written(tmp_path, lambda content: content.pop("scrubwright_site")))
    (floor,) = reading.site.floors
    (was,) = HALL.floors
    assert floor.name == "Ground"
    assert floor.outline.equals(was.outline)
    assert [(area.name, area.surface) for area in floor.areas] == [("West", "stone")]
    assert floor.service_points == was.service_points
    assert floor.parking == was.parking


def test_a_drain_given_beside_a_site_is_added_to_it(tmp_path: Path) -> None:
    path = tmp_path / "site.geojson"
    write_site(HALL, path)
    options = DrawingOptions(drains_m=((20.0, 10.0),), sockets_m=((20.0, 10.0),), parking_m=(2.0, 2.0))
    (floor,) = read_drawing(path, options).site.floors
    assert floor.service_points[:2] == HALL.floors[0].service_points
    assert floor.service_points[2].uses == {Use.DRAIN, Use.SOCKET}
    assert floor.service_points[2].name == "drain + socket"
    assert floor.parking == Place(name="parking", x_m=2.0, y_m=2.0)


def test_nothing_is_left_behind_where_a_site_cannot_be_written(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no folder"):
        write_site(HALL, tmp_path / "nowhere" / "site.geojson")
    assert list(tmp_path.iterdir()) == []


def test_names_of_rooms_are_kept_and_part_no_work(tmp_path: Path) -> None:
    named = replace(HALL.floors[0], rooms=(NamedOutline(name="Store", outline=box(20, 10, 30, 20)),))
    site = replace(HALL, floors=(named,))
    write_site(site, tmp_path / "site.geojson")
    again = read_site(tmp_path / "site.geojson").site
    assert again == site
    assert [area.name for area in again.floors[0].areas] == ["West"]


def test_rooms_keep_their_names_where_an_editor_dropped_the_mark(tmp_path: Path) -> None:
    named = replace(HALL.floors[0], rooms=(NamedOutline(name="Store", outline=box(20, 10, 30, 20)),))
    content = json.loads(site_text(replace(HALL, floors=(named,))))
    del content["scrubwright_site"]
    path = tmp_path / "plain.geojson"
    path.write_text(json.dumps(content))
    (floor,) = read_drawing(path).site.floors
    assert "Store" in {room.name for room in floor.rooms}
    assert floor.outline.area == pytest.approx(600)


@pytest.mark.parametrize(
    ("slope", "is_ramp"), [("8 %", True), ("1:12", True), (0.08, True), ("steep", False), (8, False)]
)
def test_a_slope_in_geojson_is_read_as_people_write_it(tmp_path: Path, slope: object, is_ramp: bool) -> None:
    hall = {"type": "room", "name": "Hall"}
    ramp = {"type": "ramp", "name": "Dock", "slope": slope, "uphill_rad": 0.0}
    shapes = ((hall, box(0, 0, 30, 20)), (ramp, box(5, 5, 11, 9)))
    features = [
        {"type": "Feature", "properties": said, "geometry": json.loads(shapely.to_geojson(shape))}
        for said, shape in shapes
    ]
    path = tmp_path / "plan.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    (floor,) = read_drawing(path).site.floors
    assert [found.name for found in (floor.ramps if is_ramp else floor.no_go)] == ["Dock"]
