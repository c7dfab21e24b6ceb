"""Building models: every storey a floor, doors open, windows shut, a sentence for what cannot be read."""

import sys
import zipfile
from pathlib import Path

import pytest
from shapely import Point

from scrubwright.floor.site import FloorPlan
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.paperwork import child
from scrubwright.paperwork.drawing import DrawingOptions, Reading, Role, read_drawing
from scrubwright.paperwork.readers import ifc
from tests.rooms.small_building import SmallBuilding

pytest.importorskip("ifcopenshell")

PLANS = Path(__file__).parents[1] / "data" / "plans"


def told(reading: Reading) -> str:
    return " ".join(map(str, reading.warnings))


def only_floor(building: SmallBuilding, folder: Path) -> FloorPlan:
    return read_drawing(building.saved(folder)).site.floor()


def hall(height: float | None = 0.0) -> tuple[SmallBuilding, list[str], str]:
    """A hall of 10 m x 8 m between its walls."""
    building = SmallBuilding()
    storey = building.storey("Ground", height)
    return building, list(building.shell(storey, height or 0.0, (10_400, 8_400))), storey


def test_a_slab_between_four_walls_is_the_floor(tmp_path: Path) -> None:
    building, _, _ = hall()
    floor = only_floor(building, tmp_path)
    assert floor.name == "Ground"
    assert floor.outline.area == pytest.approx(80.0, abs=0.01)


def test_every_storey_becomes_a_floor_at_its_own_height(tmp_path: Path) -> None:
    building, _, _ = hall()
    upper = building.storey("Upper", 3500)
    building.shell(upper, 3500, (6_400, 5_400))
    site = read_drawing(building.saved(tmp_path)).site
    assert {floor.name: round(floor.outline.area, 2) for floor in site.floors} == {"Ground": 80.0, "Upper": 30.0}


def test_only_the_storey_that_is_asked_for_is_read(tmp_path: Path) -> None:
    building, _, _ = hall()
    building.shell(building.storey("Upper", 3500), 3500, (6_400, 5_400))
    reading = read_drawing(building.saved(tmp_path), DrawingOptions(storey="upper"))
    assert reading.site.floor().outline.area == pytest.approx(30.0, abs=0.01)


def test_a_door_whose_own_axis_runs_through_the_wall_still_joins_two_rooms(tmp_path: Path) -> None:
    building, _, storey = hall()
    wall = building.box("IFCWALL", "middle wall", (5_000, 200, 0, 100, 8_000, 3_000), storey=storey)
    door = building.box("IFCDOOR", "door 1", (5_000, 4_000, 0, 100, 1_000, 2_100), storey=storey)
    building.opening(wall, (5_000, 4_000, 0, 100, 1_000, 2_100), door)
    drawn = ifc.sketch(building.saved(tmp_path), DrawingOptions())
    (doorway,) = [piece for piece in drawn.storeys[0].pieces if piece.role is Role.DOOR]
    floor = only_floor(building, tmp_path)
    assert len(floor.outline.geoms) == 1
    assert doorway.name == "door 1"
    _, south, _, north = doorway.shape.bounds
    assert north - south == pytest.approx(0.94, abs=0.001)


def test_a_door_clears_less_than_it_is_wide(tmp_path: Path) -> None:
    building, _, storey = hall()
    wall = building.box("IFCWALL", "middle wall", (200, 4_000, 0, 10_000, 100, 3_000), storey=storey)
    door = building.box("IFCDOOR", "door", (3_000, 4_000, 0, 1_000, 100, 2_100), storey=storey)
    building.opening(wall, (3_000, 4_000, 0, 1_000, 100, 2_100), door)
    drawn = ifc.sketch(building.saved(tmp_path), DrawingOptions())
    (doorway,) = [piece for piece in drawn.storeys[0].pieces if piece.role is Role.DOOR]
    west, south, east, north = doorway.shape.bounds
    assert east - west == pytest.approx(0.94, abs=0.001)
    assert (west + east) / 2 == pytest.approx(3.5, abs=0.001)
    assert south <= 4.0
    assert north >= 4.1


def test_a_window_keeps_its_wall_closed(tmp_path: Path) -> None:
    building, walls, storey = hall()
    window = building.box("IFCWINDOW", "window", (3_000, 0, 300, 1_500, 200, 1_800), storey=storey)
    building.opening(walls[0], (3_000, 0, 300, 1_500, 200, 1_800), window)
    assert only_floor(building, tmp_path).outline.area == pytest.approx(80.0, abs=0.01)


def test_an_opening_without_a_door_is_a_passage(tmp_path: Path) -> None:
    building, _, storey = hall()
    wall = building.box("IFCWALL", "middle wall", (200, 4_000, 0, 10_000, 100, 3_000), storey=storey)
    building.opening(wall, (3_000, 3_900, 0, 2_000, 300, 2_500))
    assert len(only_floor(building, tmp_path).outline.geoms) == 1


def test_a_hole_in_the_slab_is_no_floor(tmp_path: Path) -> None:
    building = SmallBuilding()
    storey = building.storey("Ground", 0.0)
    slab = building.box("IFCSLAB", "slab", (0, 0, -200, 10_000, 8_000, 200), storey=storey)
    building.opening(slab, (4_000, 3_000, -300, 2_000, 1_000, 400))
    floor = only_floor(building, tmp_path)
    assert floor.outline.area == pytest.approx(78.0, abs=0.01)
    assert not floor.outline.contains(Point(5.0, 3.5))


def test_a_table_counts_by_its_top_and_a_lamp_not_at_all(tmp_path: Path) -> None:
    building, _, storey = hall()
    building.box("IFCFURNITURE", "table", (2_000, 2_000, 720, 1_800, 900, 30), storey=storey)
    building.box("IFCFURNITURE", "lamp", (6_000, 2_000, 2_400, 1_800, 900, 30), storey=storey)
    (table,) = only_floor(building, tmp_path).obstacles
    assert table.name == "table"
    assert table.outline.area == pytest.approx(1.62, abs=0.01)


def test_a_stair_and_a_column_stand_in_the_way(tmp_path: Path) -> None:
    building, _, storey = hall()
    building.box("IFCSTAIR", "main stair", (1_000, 1_000, 0, 3_000, 1_200, 1_500), storey=storey)
    building.box("IFCCOLUMN", "column", (7_000, 4_000, 0, 400, 400, 3_000), storey=storey)
    floor = only_floor(building, tmp_path)
    assert [obstacle.name for obstacle in floor.obstacles] == ["main stair"]
    assert floor.outline.area == pytest.approx(80.0 - 0.16, abs=0.01)


def test_a_pane_of_glass_parts_two_rooms(tmp_path: Path) -> None:
    building, _, storey = hall()
    building.box("IFCPLATE", "glass", (200, 4_000, 0, 10_000, 12, 3_000), storey=storey)
    assert len(only_floor(building, tmp_path).outline.geoms) == 2


def test_rooms_are_the_floor_where_no_slab_is_drawn(tmp_path: Path) -> None:
    building = SmallBuilding()
    storey = building.storey("Ground", 0.0)
    building.box("IFCSPACE", "hall", (0, 0, 0, 9_000, 7_000, 2_800))
    building.box("IFCWALL", "screen", (3_000, 3_000, 0, 2_000, 100, 2_000), storey=storey)
    assert only_floor(building, tmp_path).outline.area == pytest.approx(63.0 - 0.2, abs=0.01)


def test_closed_walls_are_enough_for_a_floor(tmp_path: Path) -> None:
    building = SmallBuilding()
    storey = building.storey("Ground", 0.0)
    for number, box in enumerate(
        [
            (0, 0, 0, 10_400, 200, 3_000),
            (0, 8_200, 0, 10_400, 200, 3_000),
            (0, 0, 0, 200, 8_400, 3_000),
            (10_200, 0, 0, 200, 8_400, 3_000),
        ]
    ):
        building.box("IFCWALL", f"wall {number}", box, storey=storey)
    assert only_floor(building, tmp_path).outline.area == pytest.approx(80.0, abs=0.01)


def test_a_ramp_keeps_its_slope_and_the_way_it_climbs(tmp_path: Path) -> None:
    building, _, storey = hall()
    corners = [(2.0, 2.0, 0.0), (7.0, 2.0, 0.0), (7.0, 4.0, 0.0), (2.0, 4.0, 0.0), (7.0, 2.0, 0.4), (7.0, 4.0, 0.4)]
    points = ",".join(str(tuple(1000 * value for value in corner)) for corner in corners)
    listed = building.add(f"IFCCARTESIANPOINTLIST3D(({points}))")
    faces = "((1,5,6),(1,6,4),(1,2,5),(4,6,3),(2,3,6),(2,6,5),(1,4,3),(1,3,2))"
    solid = building.add(f"IFCTRIANGULATEDFACESET({listed},$,$,{faces},$)")
    building.shaped("IFCRAMP", "ramp", building.placed_at(0, 0, 0), solid, storey=storey)
    (ramp,) = only_floor(building, tmp_path).ramps
    assert ramp.slope_fraction == pytest.approx(0.08, abs=1e-6)
    assert ramp.uphill_rad == pytest.approx(0.0, abs=1e-6)
    assert ramp.outline.area == pytest.approx(10.0, abs=0.01)


def test_a_storey_without_height_takes_that_of_its_walls(tmp_path: Path) -> None:
    building = SmallBuilding()
    storey = building.storey("Mezzanine", None)
    building.shell(storey, 2_500, (10_400, 8_400))
    reading = read_drawing(building.saved(tmp_path))
    assert reading.site.floor("Mezzanine").outline.area == pytest.approx(80.0, abs=0.01)
    assert "Storey Mezzanine has no height" in told(reading)


def test_a_storey_without_floor_is_left_out_by_name(tmp_path: Path) -> None:
    building, _, _ = hall()
    building.storey("Top of steel", 9_000)
    reading = read_drawing(building.saved(tmp_path))
    assert [floor.name for floor in reading.site.floors] == ["Ground"]
    assert "Storey Top of steel has no slab, no rooms and no closed walls" in told(reading)


def test_a_model_in_feet_is_read_in_metres(tmp_path: Path) -> None:
    foot = (
        "#6=IFCDIMENSIONALEXPONENTS(1,0,0,0,0,0,0);\n#7=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);\n"
        "#8=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(0.3048),#7);\n#2=IFCCONVERSIONBASEDUNIT(#6,.LENGTHUNIT.,'FOOT',#8);"
    )
    building = SmallBuilding(unit=foot)
    storey = building.storey("Ground", 10.0)
    building.box("IFCSLAB", "slab", (0, 0, 9.5, 100, 50, 0.5), storey=storey)
    assert only_floor(building, tmp_path).outline.area == pytest.approx(5_000 * 0.3048**2, abs=0.1)


def test_a_building_on_survey_coordinates_is_moved_near(tmp_path: Path) -> None:
    building = SmallBuilding()
    storey = building.storey("Ground", 0.0)
    building.box("IFCSLAB", "slab", (455_000_000, 5_310_000_000, -200, 20_000, 10_000, 200), storey=storey)
    reading = read_drawing(building.saved(tmp_path))
    assert reading.site.floor().outline.area == pytest.approx(200.0, abs=0.1)
    assert "far from its origin" in told(reading)


def test_a_model_without_units_is_refused(tmp_path: Path) -> None:
    building = SmallBuilding(unit="")
    building.box("IFCSLAB", "slab", (0, 0, 0, 10, 8, 0.2), storey=building.storey("Ground", 0.0))
    with pytest.raises(BadInput, match="names no unit of length"):
        read_drawing(building.saved(tmp_path))


def test_a_model_without_storeys_is_refused(tmp_path: Path) -> None:
    building = SmallBuilding()
    building.box("IFCSLAB", "slab", (0, 0, 0, 10_000, 8_000, 200))
    with pytest.raises(BadInput, match="no storeys with a height"):
        read_drawing(building.saved(tmp_path))


def test_one_wall_alone_is_refused_by_the_storeys_name() -> None:
    with pytest.raises(BadInput, match="shows no floor on Level 1"):
        read_drawing(PLANS / "bim_whale" / "SimpleWall.ifc")


def test_a_model_cut_short_is_refused(tmp_path: Path) -> None:
    building, _, _ = hall()
    whole = building.saved(tmp_path).read_text(encoding="utf-8")
    (tmp_path / "half.ifc").write_text(whole[: len(whole) // 2], encoding="utf-8")
    with pytest.raises(UnreadablePaper, match=r"half\.ifc is cut short"):
        read_drawing(tmp_path / "half.ifc")


def test_a_schema_that_nobody_knows_is_refused(tmp_path: Path) -> None:
    building, _, _ = hall()
    odd = building.text().replace("'IFC4'", "'IFC9'")
    (tmp_path / "odd.ifc").write_text(odd, encoding="utf-8")
    with pytest.raises(UnreadablePaper, match="no building model that can be read"):
        read_drawing(tmp_path / "odd.ifc")


def test_a_zip_with_a_way_out_of_its_folder_is_never_unpacked(tmp_path: Path) -> None:
    path = tmp_path / "model.ifczip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("../../outside.ifc", hall()[0].text())
    with pytest.raises(UnreadablePaper, match=r"(?i)zip file"):
        read_drawing(path)
    assert not (tmp_path.parent.parent / "outside.ifc").exists()


def test_a_thing_beyond_any_building_is_left_out_by_name(tmp_path: Path) -> None:
    building, _, storey = hall()
    building.box("IFCFURNITURE", "endless rack", (1e300, 2_000, 0, 1_000, 1_000, 1_000), storey=storey)
    reading = read_drawing(building.saved(tmp_path))
    assert reading.site.floor().outline.area == pytest.approx(80.0, abs=0.01)
    assert "endless rack" in told(reading)


def test_a_tree_in_the_car_park_does_not_change_the_scale(tmp_path: Path) -> None:
    building, _, storey = hall()
    building.box("IFCFURNITURE", "tree", (900_000_000, 2_000, 0, 1_000, 1_000, 1_000), storey=storey)
    floor = only_floor(building, tmp_path)
    assert floor.outline.area == pytest.approx(80.0, abs=0.01)
    assert floor.obstacles == ()


def test_a_placement_that_stands_on_itself_is_refused(tmp_path: Path) -> None:
    building, _, storey = hall()
    axis = building.add("IFCAXIS2PLACEMENT3D(#4,$,$)")
    own = f"#{building.number + 1}"
    placement = building.add(f"IFCLOCALPLACEMENT({own},{axis})")
    building.box("IFCFURNITURE", "rack", (1_000, 1_000, 0, 1_000, 1_000, 1_000), storey=storey)
    building.add(f"IFCBUILDINGSTOREY({building.identity()},'Loop',$,$,{placement},$,$,$,0.)")
    with pytest.raises(UnreadablePaper, match=r"save it again|Export it"):
        read_drawing(building.saved(tmp_path))


def test_a_bomb_of_things_within_things_is_stopped(tmp_path: Path) -> None:
    building, _, storey = hall()
    corner = building.add("IFCCARTESIANPOINT((0.,0.))")
    flat = building.add(f"IFCAXIS2PLACEMENT2D({corner},$)")
    profile = building.add(f"IFCRECTANGLEPROFILEDEF(.AREA.,$,{flat},100.,100.)")
    up = building.add("IFCDIRECTION((0.,0.,1.))")
    item = building.add(f"IFCEXTRUDEDAREASOLID({profile},$,{up},100.)")
    for _ in range(9):
        body = building.add(f"IFCSHAPEREPRESENTATION(#10,'Body','MappedRepresentation',({','.join([item] * 10)}))")
        source = building.add(f"IFCREPRESENTATIONMAP(#5,{body})")
        target = building.add("IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#4,$,$)")
        item = building.add(f"IFCMAPPEDITEM({source},{target})")
    building.shaped("IFCFURNITURE", "bomb", building.placed_at(0, 0, 0), item, storey=storey)
    path = building.saved(tmp_path)
    assert path.stat().st_size < 20_000
    with pytest.raises(UnreadablePaper, match=r"of computing|of memory|stopped at|not read within"):
        read_drawing(path, limits=child.Limits(memory_bytes=1_500_000_000, cpu_s=3, wall_s=20))


def test_without_the_extra_a_sentence_says_how_to_install_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ifcopenshell", None)
    with pytest.raises(UnreadablePaper, match="pip install ifcopenshell"):
        ifc.sketch(hall()[0].saved(tmp_path), DrawingOptions())
