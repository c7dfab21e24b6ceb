"""Two real buildings in longitude and latitude against areas worked out in another way."""

import json
import math
from collections.abc import Sequence
from pathlib import Path

import pytest
import shapely

from scrubwright.floor.site import FloorPlan
from scrubwright.paperwork.drawing import DrawingOptions, read_drawing
from scrubwright.paperwork.sites import read_site, write_site

PLANS = Path(__file__).parents[1] / "data" / "plans" / "indoor_geojson"
HOUSE = PLANS / "westport-house-floor-2.geojson"
OFFICE = PLANS / "example-office-floor-g.geojson"


def area_on_the_ellipsoid_m2(ring: Sequence[Sequence[float]]) -> float:
    """Area of a ring of longitude and latitude, by the equal-area cylinder instead of a tangent plane.

    Steps: x = a * longitude; y = a * q(latitude) / 2 with
    q = (1 - e2) * (sin / (1 - e2 sin2) - ln((1 - e sin) / (1 + e sin)) / (2 e)), which keeps every
    area of the ellipsoid (J. P. Snyder, Map Projections: A Working Manual, 1987, eq. 3-12 and 10-14, 10-15
    with the equator as standard parallel); then the shoelace sum, from the first corner to keep digits.
    """
    major_m, flattening = 6_378_137.0, 1 / 298.257223563
    e2 = flattening * (2 - flattening)
    e = math.sqrt(e2)

    def height_m(latitude: float) -> float:
        s = math.sin(math.radians(latitude))
        q = (1 - e2) * (s / (1 - e2 * s * s) - math.log((1 - e * s) / (1 + e * s)) / (2 * e))
        return major_m * q / 2

    west, south_m = ring[0][0], height_m(ring[0][1])
    corners = [(major_m * math.radians(x - west), height_m(y) - south_m) for x, y in ring]
    turns = zip(corners, [*corners[1:], corners[0]], strict=True)
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in turns)) / 2


def drawn_m2(path: Path, kind: str) -> float:
    """Area of all shapes of a kind, holes taken off."""
    total_m2 = 0.0
    for feature in json.loads(path.read_text())["features"]:
        if feature["properties"]["type"] == kind:
            shell, *holes = feature["geometry"]["coordinates"]
            total_m2 += area_on_the_ellipsoid_m2(shell) - sum(map(area_on_the_ellipsoid_m2, holes))
    return total_m2


def test_the_office_outline_has_its_area_on_the_ellipsoid() -> None:
    (floor,) = read_drawing(OFFICE).site.floors
    assert floor.outline.area == pytest.approx(drawn_m2(OFFICE, "building_outline"), rel=1e-4)
    # Worked out once by the steps above.
    assert floor.outline.area == pytest.approx(733.9, abs=0.1)


def house() -> FloorPlan:
    (floor,) = read_drawing(HOUSE).site.floors
    return floor


def test_the_house_floor_is_its_outline_less_walls_windows_and_closed_rooms() -> None:
    # 2381.1 - 155.2 - 20.5 - 21.6 = 2183.8 m2; walls and windows overlap a little, and bits of floor
    # between columns and facade are too small for a machine.
    solid = sum(drawn_m2(HOUSE, kind) for kind in ("wall", "window", "inaccessible_space"))
    expected_m2 = drawn_m2(HOUSE, "building_outline") - solid
    assert expected_m2 == pytest.approx(2183.8, abs=0.1)
    assert house().outline.area == pytest.approx(expected_m2, rel=0.01)


def test_the_house_keeps_off_its_four_stairs_and_its_lift() -> None:
    no_go = house().no_go
    assert len(no_go) == 5
    total_m2 = sum(zone.outline.area for zone in no_go)
    assert total_m2 == pytest.approx(drawn_m2(HOUSE, "stairs") + drawn_m2(HOUSE, "elevator"), rel=1e-3)


def test_every_room_of_the_house_opens_onto_the_largest_part_but_the_balcony() -> None:
    parts = sorted((part.area for part in house().outline.geoms), reverse=True)
    assert parts[0] > 2140
    # The balcony is drawn as 28.7 m2, without a door.
    assert parts[1:] == pytest.approx([28.7], abs=0.5)


def test_the_warnings_name_what_was_laid_flat_left_out_and_cut_off() -> None:
    said = "\n".join(map(str, read_drawing(HOUSE).warnings))
    assert "-2.97" in said
    assert "56.4" in said
    assert "5 shapes of kind no_geometry were left out" in said
    assert "cut off" in said


@pytest.mark.parametrize("path", [HOUSE, OFFICE], ids=["house", "office"])
def test_the_cleaned_site_comes_back_exactly(path: Path, tmp_path: Path) -> None:
    site = read_drawing(path).site
    write_site(site, tmp_path / "site.geojson")
    back = read_site(tmp_path / "site.geojson").site
    assert back == site
    for floor, same in zip(site.floors, back.floors, strict=True):
        assert (shapely.get_coordinates(floor.outline) == shapely.get_coordinates(same.outline)).all()


def test_a_drain_put_on_the_house_is_where_it_was_put() -> None:
    middle = house().outline.representative_point()
    spot_m = (round(middle.x, 3), round(middle.y, 3))
    (floor,) = read_drawing(HOUSE, DrawingOptions(drains_m=(spot_m,))).site.floors
    assert [(point.x_m, point.y_m) for point in floor.service_points] == [spot_m]
