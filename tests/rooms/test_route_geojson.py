"""The GeoJSON answer is in floor metres, says so, and holds every lane, drive, block, stop and left-out piece."""

import json
from collections import Counter
from typing import Any

import pytest
from shapely.geometry import shape

from scrubwright.paperwork.route_geojson import route_geojson
from tests.rooms.hall_answer import hall_answer


@pytest.fixture(scope="module")
def page() -> dict[str, Any]:
    written: dict[str, Any] = json.loads(route_geojson(hall_answer()))
    return written


def of_layer(page: dict[str, Any], layer: str) -> list[dict[str, Any]]:
    return [each for each in page["features"] if each["properties"]["layer"] == layer]


def test_it_says_that_its_coordinates_are_metres_on_the_floor(page: dict[str, Any]) -> None:
    assert page["type"] == "FeatureCollection"
    assert "metres" in page["coordinates"]
    assert "not longitude and latitude" in page["coordinates"]


def test_every_feature_is_valid_geometry_with_properties(page: dict[str, Any]) -> None:
    for feature in page["features"]:
        assert feature["type"] == "Feature"
        assert shape(feature["geometry"]).is_valid


def test_there_is_one_feature_for_each_thing_in_the_answer(page: dict[str, Any]) -> None:
    answer = hall_answer()
    counted = Counter(each["properties"]["layer"] for each in page["features"])
    assert counted["lane"] == len(answer.lanes)
    assert counted["block"] == 9
    assert counted["stop"] == 3
    assert counted["missed"] == len(answer.missed)
    assert counted["unreachable"] == counted["stays wet"] == counted["free"] == 1
    assert counted["area"] == 2
    assert counted["ramp"] == counted["no go"] == counted["parking"] == 1
    assert counted["service point"] == 6
    assert counted["drive"] > counted["reverse"] > 0


def test_a_block_is_the_length_of_its_lanes(page: dict[str, Any]) -> None:
    for block in of_layer(page, "block"):
        assert shape(block["geometry"]).length == pytest.approx(block["properties"]["deck_down_length_m"])


def test_the_left_out_room_keeps_its_place_area_and_reason(page: dict[str, Any]) -> None:
    (room,) = of_layer(page, "unreachable")
    assert shape(room["geometry"]).area == pytest.approx(5.6 * 7)
    assert room["properties"]["reason"]["text"].startswith("The way in is 0.88 m wide")
