"""People in an area, and the hours between which it may be wet: what is kept, what is refused, what a file says."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from shapely import MultiPolygon, box

from scrubwright.floor.site import Area, FloorPlan, Site
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.drawing import read_drawing
from scrubwright.paperwork.sites import read_site, site_text, write_site

HALL = Area(name="Hall", outline=box(0, 0, 30, 20))
BY_NIGHT = replace(HALL, people=True, window_from_h=22.0, window_until_h=5.5)


def site(area: Area) -> Site:
    return Site(
        name="Market", floors=(FloorPlan(name="main", outline=MultiPolygon([box(0, 0, 30, 20)]), areas=(area,)),)
    )


def file_saying(folder: Path, said: dict[str, object], *, is_marked: bool = True) -> Path:
    """A site file whose area has these properties, perhaps saved by an editor that drops the mark."""
    content = json.loads(site_text(site(HALL)))
    content["features"][1]["properties"] |= said
    if not is_marked:
        del content["scrubwright_site"]
    path = folder / "site.geojson"
    path.write_text(json.dumps(content))
    return path


def area_in(path: Path) -> Area:
    (area,) = read_drawing(path).site.floors[0].areas
    return area


def test_nobody_walks_in_an_area_that_may_be_wet_at_any_hour() -> None:
    assert (HALL.people, HALL.window_from_h, HALL.window_until_h) == (False, None, None)


@pytest.mark.parametrize(("from_h", "until_h"), [(22.0, 5.5), (5.5, 22.0), (0.0, 24.0), (24.0, 6.0), (20.0, 0.0)])
def test_a_window_may_run_over_midnight_or_all_day(from_h: float, until_h: float) -> None:
    area = replace(HALL, window_from_h=from_h, window_until_h=until_h)
    assert (area.window_from_h, area.window_until_h) == (from_h, until_h)


@pytest.mark.parametrize(
    ("from_h", "until_h", "said"),
    [
        (22.0, 22.0, "The window of Hall ends as it begins"),
        (0.0, 0.0, "The window of Hall ends as it begins"),
        (24.0, 0.0, "The window of Hall ends as it begins"),
        (24.0, 24.0, "The window of Hall ends as it begins"),
        (22.0, None, "Hall has one end of its window only"),
        (None, 5.5, "Hall has one end of its window only"),
        (22.0, 29.5, "The window of Hall has the hour 29.5; enter hours of the clock from 0 to 24"),
        (-2.0, 5.5, "The window of Hall has the hour -2.0"),
        (float("nan"), 5.5, "The window of Hall has the hour nan"),
    ],
)
def test_a_window_in_which_nothing_may_be_wet_is_refused(
    from_h: float | None, until_h: float | None, said: str
) -> None:
    with pytest.raises(BadInput) as refused:
        replace(HALL, window_from_h=from_h, window_until_h=until_h)
    assert said in str(refused.value)


def test_people_and_hours_come_back_from_the_site_file(tmp_path: Path) -> None:
    write_site(site(BY_NIGHT), tmp_path / "site.geojson")
    assert read_site(tmp_path / "site.geojson").site == site(BY_NIGHT)


def test_an_area_without_hours_writes_none(tmp_path: Path) -> None:
    area = json.loads(site_text(site(HALL)))["features"][1]["properties"]
    assert area["people"] is False
    assert not {"window_from_h", "window_until_h"} & area.keys()


@pytest.mark.parametrize("is_marked", [True, False])
@pytest.mark.parametrize(
    ("given", "hour_h"), [(22, 22.0), (5.5, 5.5), ("22:30", 22.5), (" 5:45", 5.75), ("24:00", 24.0)]
)
def test_an_hour_is_a_number_or_a_time_of_day(tmp_path: Path, given: object, hour_h: float, is_marked: bool) -> None:
    said = {"people": True, "window_from_h": given, "window_until_h": 7}
    path = file_saying(tmp_path, said, is_marked=is_marked)
    area = area_in(path)
    assert (area.people, area.window_from_h, area.window_until_h) == (True, hour_h, 7.0)


@pytest.mark.parametrize("is_marked", [True, False])
@pytest.mark.parametrize("given", ["evening", "22:75", "22.30 h", True, [22]])
def test_an_hour_in_other_words_is_refused_not_lost(tmp_path: Path, given: object, is_marked: bool) -> None:
    path = file_saying(tmp_path, {"window_from_h": given, "window_until_h": 6}, is_marked=is_marked)
    with pytest.raises(BadInput) as refused:
        read_drawing(path)
    assert "has window_from_h" in str(refused.value)
    assert 'enter an hour of the clock such as 22, 5.5 or "05:30"' in str(refused.value)


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"window_from_h": 22}, "Feature 2 (area Hall): Hall has one end of its window only"),
        ({"window_from_h": 6, "window_until_h": 6}, "Feature 2 (area Hall): The window of Hall ends as it begins"),
        ({"people": "some"}, 'Feature 2 (area Hall) has people "some"; enter true where people walk'),
    ],
)
def test_a_mistake_in_people_or_hours_names_its_feature(tmp_path: Path, said: dict[str, object], expected: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_site(file_saying(tmp_path, said))
    assert expected in str(refused.value)
