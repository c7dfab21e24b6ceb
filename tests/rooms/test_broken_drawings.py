"""Defects of what is drawn, each in a file named after it, and the sentence it gets."""

import math
import time
from pathlib import Path

import pytest
from ezdxf.filemanagement import new
from shapely import LineString

from scrubwright.paperwork.drawing import DrawingOptions, DrawingUnit, KnownDistance, Role, read_drawing
from tests.rooms.shop_drawings import (
    HALL,
    SHOP_M2,
    box,
    feature,
    floor_m2,
    geojson,
    refusal,
    saved,
    shop_dxf,
    spot,
    warned,
)


def test_a_bow_tie_is_mended_and_told_with_its_area(tmp_path: Path) -> None:
    crossed = feature("room", [[(0, 0), (10, 10), (10, 0), (0, 10), (0, 0)]], name="Lobby")
    reading = read_drawing(geojson(tmp_path / "bow_tie.geojson", [crossed]))
    # Two triangles of 10 m by 5 m.
    assert floor_m2(reading) == pytest.approx(50.0)
    assert "Lobby (feature 1) crosses itself near 5.00 m, 5.00 m" in warned(reading)
    assert "50 m² now" in warned(reading)


def test_a_ring_of_200_000_corners_is_smoothed(tmp_path: Path) -> None:
    turn = [2 * math.pi * step / 200_000 for step in range(200_000)]
    ring = [(30 + 20 * math.cos(angle), 30 + 20 * math.sin(angle)) for angle in turn]
    began = time.monotonic()
    reading = read_drawing(geojson(tmp_path / "ring_of_200_000.geojson", [feature("room", [[*ring, ring[0]]])]))
    assert time.monotonic() - began < 20
    assert floor_m2(reading) == pytest.approx(math.pi * 20**2, rel=1e-3)
    assert "200001 corners" in warned(reading)


def test_a_jagged_ring_of_200_000_corners_is_refused_by_name(tmp_path: Path) -> None:
    ring = [(step * 0.001, 0.5 * (step % 2)) for step in range(200_000)]
    saw = feature("room", [[*ring, (200.0, 30.0), (0.0, 30.0), ring[0]]], name="Saw hall")
    said = refusal(geojson(tmp_path / "jagged_ring_of_200_000.geojson", [saw]))
    assert "Saw hall" in said
    assert "20000" in said


def test_gaps_of_millimetres_between_wall_lines_lose_no_floor(tmp_path: Path) -> None:
    reading = read_drawing(saved(shop_dxf(gap_m=0.004), tmp_path / "gaps_of_millimetres.dxf"))
    assert floor_m2(reading) == pytest.approx(SHOP_M2, abs=0.5)
    assert len(reading.site.floors[0].outline.geoms) == 1


@pytest.mark.parametrize(("scale", "unit"), [(1.0, "metres"), (1000.0, "millimetres"), (1 / 0.3048, "feet")])
def test_a_drawing_without_units_gets_the_unit_that_its_sizes_speak_of(tmp_path: Path, scale: float, unit: str) -> None:
    path = saved(shop_dxf(scale=scale, insunits=0), tmp_path / "units_missing.dxf")
    reading = read_drawing(path)
    assert floor_m2(reading) == pytest.approx(SHOP_M2, rel=1e-3)
    assert f"names no unit. By its sizes it is drawn in {unit}" in warned(reading)


def test_a_plan_in_feet_read_as_metres_is_caught_by_its_doors_and_racks(tmp_path: Path) -> None:
    path = saved(shop_dxf(scale=1 / 0.3048, insunits=6), tmp_path / "feet_read_as_metres.dxf")
    said = refusal(path)
    assert "look like feet" in said
    assert "known distance" in said
    # Somebody measured the doorway: 1.0 m.
    measured = KnownDistance(line=LineString([(0, 5 / 0.3048), (0, 6 / 0.3048)]), distance_m=1.0)
    reading = read_drawing(path, DrawingOptions(known_distance=measured))
    assert floor_m2(reading) == pytest.approx(SHOP_M2, rel=1e-3)
    assert "0.3048 times" in warned(reading)


def test_a_plan_in_feet_as_geojson_metres_is_caught_too(tmp_path: Path) -> None:
    foot = 1 / 0.3048
    racks = [feature("rack", [box(14 * foot, (3 + 3 * n) * foot, 8 * foot, 0.9 * foot)]) for n in range(4)]
    door = feature("door", [box(0, 5 * foot, 0.2 * foot, 0.95 * foot)])
    hall = feature("room", [box(0, 0, 30 * foot, 20 * foot)])
    path = geojson(tmp_path / "feet_as_metres.geojson", [hall, door, *racks])
    assert "look like feet" in refusal(path)
    assert floor_m2(read_drawing(path, DrawingOptions(unit=DrawingUnit.FOOT))) == pytest.approx(600, abs=1)


def test_a_plan_smaller_than_a_room_asks_for_a_known_distance(tmp_path: Path) -> None:
    said = refusal(geojson(tmp_path / "plan_of_a_hand.geojson", [feature("room", [box(0, 0, 0.9, 0.6)])]))
    assert "known distance" in said


def test_latitude_first_beyond_90_degrees_is_swapped(tmp_path: Path) -> None:
    ring = [(y * 1e-5 + 35.0, x * 1e-5 + 139.0) for x, y in box(0, 0, 40, 30)]
    path = geojson(tmp_path / "latitude_first.geojson", [feature("room", [ring])])
    reading = read_drawing(path)
    assert "latitude first" in warned(reading)
    # 40e-5 degrees of longitude at latitude 35 (91.29 km a degree) by 30e-5 of latitude (110.94 km).
    assert floor_m2(reading) == pytest.approx(36.52 * 33.28, rel=1e-3)


def test_latitude_first_is_seen_by_walls_that_are_square_only_when_swapped(tmp_path: Path) -> None:
    # A hall of 40 x 20 m at longitude -3, latitude 56, turned by 30 degrees.
    east, north = 62_400.0, 111_300.0
    turn = math.radians(30)
    turned = [
        (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)) for x, y in box(0, 0, 40, 20)
    ]
    ring = [(56 + y / north, -3 + x / east) for x, y in turned]
    reading = read_drawing(geojson(tmp_path / "latitude_first_turned.geojson", [feature("room", [ring])]))
    assert "latitude first" in warned(reading)
    assert floor_m2(reading) == pytest.approx(800, rel=0.01)


def test_levels_mixed_in_one_file_become_floors(tmp_path: Path) -> None:
    features = [
        feature("room", [box(0, 0, 30, 20)], level=0),
        feature("room", [box(0, 0, 20, 20)], level="1"),
        feature("rack", [box(5, 5, 8, 1)], level=1.0),
        feature("wall", [box(10, 0, 0.2, 10)]),
    ]
    path = geojson(tmp_path / "levels_mixed.geojson", features)
    reading = read_drawing(path)
    assert [floor.name for floor in reading.site.floors] == ["0", "1"]
    assert [floor.outline.area for floor in reading.site.floors] == pytest.approx([598.0, 398.0])
    assert [len(floor.obstacles) for floor in reading.site.floors] == [0, 1]
    assert "1 shapes name no storey" in warned(reading)
    assert [floor.name for floor in read_drawing(path, DrawingOptions(storey="1")).site.floors] == ["1"]
    assert "it has: 0, 1" in refusal(path, DrawingOptions(storey="roof"))


def test_holes_drawn_as_separate_shapes_are_cut_out(tmp_path: Path) -> None:
    features = [feature("outline", [box(0, 0, 30, 20)]), feature("courtyard", [box(10, 5, 5, 4)])]
    assert floor_m2(read_drawing(geojson(tmp_path / "holes_apart.geojson", features))) == pytest.approx(580)


def test_rooms_drawn_inside_the_outline_stay_floor(tmp_path: Path) -> None:
    features = [feature("outline", [box(0, 0, 30, 20)]), feature("kitchen", [box(10, 5, 5, 4)])]
    assert floor_m2(read_drawing(geojson(tmp_path / "rooms_inside.geojson", features))) == pytest.approx(600)


def test_shapes_that_say_nothing_are_taken_by_how_they_lie(tmp_path: Path) -> None:
    plain = [feature("", [box(0, 0, 30, 20)]), feature("", [box(10, 5, 5, 4)])]
    reading = read_drawing(geojson(tmp_path / "shapes_without_kind.geojson", plain))
    assert [thing.outline.area for thing in reading.site.floors[0].obstacles] == pytest.approx([20.0])
    assert "No shape says what it is" in warned(reading)


def test_an_area_outside_the_floor_is_refused_by_name_and_size(tmp_path: Path) -> None:
    path = geojson(tmp_path / "area_outside.geojson", [HALL, feature("area", [box(50, 0, 5, 5)], name="Annex")])
    said = refusal(path)
    assert "Annex" in said
    assert "25 m²" in said


def test_an_area_that_overhangs_is_cut_and_told(tmp_path: Path) -> None:
    path = geojson(tmp_path / "area_overhangs.geojson", [HALL, feature("area", [box(25, 0, 10, 5)], name="Bay")])
    reading = read_drawing(path)
    assert [area.outline.area for area in reading.site.floors[0].areas] == pytest.approx([25.0])
    assert "25 m² of area Bay (50 m²) lie off the floor" in warned(reading)


def test_of_overlapping_areas_the_earlier_one_keeps_the_floor(tmp_path: Path) -> None:
    areas = [
        feature("area", [box(0, 0, 12, 20)], name="Late", priority=2),
        feature("area", [box(10, 0, 10, 20)], name="First", priority=1),
    ]
    reading = read_drawing(geojson(tmp_path / "areas_overlap.geojson", [HALL, *areas]))
    assert {area.name: area.outline.area for area in reading.site.floors[0].areas} == pytest.approx(
        {"Late": 200.0, "First": 200.0}
    )
    assert "Areas First and Late share 40 m²" in warned(reading)


def test_a_drain_inside_a_rack_is_moved_to_the_floor_beside_it(tmp_path: Path) -> None:
    features = [HALL, feature("rack", [box(5, 5, 8, 1)]), spot("drain", 9.0, 5.9, name="Gully")]
    reading = read_drawing(geojson(tmp_path / "drain_in_rack.geojson", features))
    (drain,) = reading.site.floors[0].service_points
    assert (drain.x_m, drain.y_m) == pytest.approx((9.0, 6.0))
    assert "Gully lies off the floor or inside something" in warned(reading)


def test_a_tap_far_off_the_floor_is_left_out_with_the_nearest_floor(tmp_path: Path) -> None:
    reading = read_drawing(geojson(tmp_path / "tap_outside.geojson", [HALL, spot("tap", 40.0, 5.0, name="Yard tap")]))
    assert reading.site.floors[0].service_points == ()
    assert "Yard tap lies 10.00 m off the floor" in warned(reading)


def test_a_drain_given_by_hand_off_the_floor_is_refused(tmp_path: Path) -> None:
    path = geojson(tmp_path / "drain_given_outside.geojson", [HALL])
    said = refusal(path, DrawingOptions(drains_m=((40.0, 5.0),)))
    assert "no floor at 40.00 m, 5.00 m" in said
    assert "30.00 m, 5.00 m" in said


def test_slivers_and_doubled_corners_fall_away(tmp_path: Path) -> None:
    doubled = [corner for corner in box(0, 0, 30, 20) for _ in range(3)]
    features = [feature("room", [doubled]), feature("room", [box(40, 0, 0.01, 20)], name="Sliver")]
    reading = read_drawing(geojson(tmp_path / "slivers_and_doubled_corners.geojson", features))
    (part,) = reading.site.floors[0].outline.geoms
    assert len(part.exterior.coords) == 5
    assert "Sliver" in warned(reading)


def test_a_floor_in_two_parts_names_the_one_without_a_door(tmp_path: Path) -> None:
    features = [HALL, feature("room", [box(31, 0, 5, 5)]), feature("area", [box(31, 0, 5, 5)], name="Vault")]
    reading = read_drawing(geojson(tmp_path / "room_without_door.geojson", features))
    assert "Vault of 25 m²" in warned(reading)
    assert "cut off" in warned(reading)


def test_one_stray_line_far_away_is_left_out_by_its_layer(tmp_path: Path) -> None:
    drawing = shop_dxf()
    drawing.modelspace().add_line((9e5, 0), (9e5, 1), dxfattribs={"layer": "A-WALL-OLD"})
    reading = read_drawing(saved(drawing, tmp_path / "stray_line.dxf"))
    assert floor_m2(reading) == pytest.approx(SHOP_M2, abs=0.01)
    assert "A-WALL-OLD" in warned(reading)


def test_a_drawing_far_from_its_origin_is_moved_near_it(tmp_path: Path) -> None:
    path = saved(shop_dxf(moved=(512_345.0, 4_180_321.0)), tmp_path / "far_from_origin.dxf")
    reading = read_drawing(path, DrawingOptions(parking_m=(512_346.0, 4_180_323.0)))
    floor = reading.site.floors[0]
    assert floor.outline.area == pytest.approx(SHOP_M2, abs=0.01)
    assert max(floor.outline.bounds) < 1000
    assert floor.parking is not None
    assert floor.parking.x_m - floor.outline.bounds[0] == pytest.approx(1.0)
    assert "moved by -512300.0, -4180300.0 m" in reading.site.source


def test_a_drawing_without_layer_names_is_taken_as_walls(tmp_path: Path) -> None:
    drawing = shop_dxf(wall_layer="0", door_layer="X1")
    reading = read_drawing(saved(drawing, tmp_path / "layers_without_names.dxf"))
    assert floor_m2(reading) == pytest.approx(SHOP_M2, abs=2.0)
    assert "No layer is named for floor or walls" in warned(reading)
    doors = DrawingOptions(layers=(("0", Role.WALL), ("x1", Role.DOOR)))
    assert floor_m2(read_drawing(tmp_path / "layers_without_names.dxf", doors)) == pytest.approx(SHOP_M2, abs=0.01)


def test_hidden_layers_are_left_out_and_named(tmp_path: Path) -> None:
    drawing = shop_dxf()
    drawing.layers.add("A-WALL-DEMO").off()
    drawing.modelspace().add_line((5, 0), (5, 20), dxfattribs={"layer": "A-WALL-DEMO"})
    reading = read_drawing(saved(drawing, tmp_path / "hidden_layer.dxf"))
    assert floor_m2(reading) == pytest.approx(SHOP_M2, abs=0.01)
    assert "A-WALL-DEMO" in warned(reading)


def test_walls_that_enclose_nothing_say_what_to_draw(tmp_path: Path) -> None:
    drawing = new(units=6)
    for number in range(3):
        drawing.modelspace().add_line((0, number * 5), (20, number * 5), dxfattribs={"layer": "A-WALL"})
    assert "encloses no floor" in refusal(saved(drawing, tmp_path / "walls_enclose_nothing.dxf"))
