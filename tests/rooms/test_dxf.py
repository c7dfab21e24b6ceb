"""DXF drawings as they come: curves, blocks, fills and layers."""

import math
from itertools import pairwise
from pathlib import Path

import pytest
from ezdxf.document import Drawing
from shapely import Polygon

from scrubwright.floor.site import Use
from scrubwright.paperwork.block_count import block_counts
from scrubwright.paperwork.cleaning import cleaned
from scrubwright.paperwork.drawing import DrawingOptions, Reading, Role
from scrubwright.paperwork.readers.dxf import sketch
from tests.rooms.shop_drawings import RACK_M2, SHOP_M2, box, floor_m2, outline_dxf, saved, shop_dxf


def read(drawing: Drawing, tmp_path: Path, options: DrawingOptions | None = None) -> Reading:
    path = saved(drawing, tmp_path / "plan.dxf")
    return cleaned(sketch(path, options or DrawingOptions()), options or DrawingOptions(), name="plan", source="")


def test_walls_of_two_faces_a_doorway_racks_a_column_and_a_drain_become_a_site(tmp_path: Path) -> None:
    reading = read(shop_dxf(), tmp_path)
    (floor,) = reading.site.floors
    assert floor_m2(reading) == pytest.approx(SHOP_M2, abs=0.01)
    assert len(floor.outline.geoms) == 1
    areas = sorted(thing.outline.area for thing in floor.obstacles)
    assert areas[1:] == pytest.approx([RACK_M2] * 4, abs=1e-3)
    # A circle of 0.3 m, cut by chords within 5 mm.
    assert areas[0] == pytest.approx(math.pi * 0.3**2, rel=0.03)
    (drain,) = floor.service_points
    assert (drain.x_m, drain.y_m, drain.uses) == (29.0, 1.0, frozenset({Use.DRAIN}))
    assert {thing.name for thing in floor.obstacles} >= {"RACK"}


@pytest.mark.parametrize(("insunits", "scale"), [(4, 1000.0), (5, 100.0), (6, 1.0), (1, 12 / 0.3048), (2, 1 / 0.3048)])
def test_the_unit_that_the_file_names_is_taken(tmp_path: Path, insunits: int, scale: float) -> None:
    reading = read(shop_dxf(insunits=insunits, scale=scale), tmp_path)
    assert floor_m2(reading) == pytest.approx(SHOP_M2, rel=1e-3)


def test_a_bulging_wall_is_cut_within_5_mm(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    model.delete_all_entities()
    # The right side bulges as a half circle of radius 10 m.
    corners = [(0, 0, 0), (30, 0, 1), (30, 20, 0), (0, 20, 0)]
    model.add_lwpolyline(corners, close=True, format="xyb", dxfattribs={"layer": "FLOOR"})
    reading = read(drawing, tmp_path)
    exact_m2 = 600 + math.pi * 10**2 / 2
    assert exact_m2 - math.pi * 10 * 0.005 <= floor_m2(reading) <= exact_m2


def test_a_block_turned_mirrored_and_stretched_lands_where_it_is_drawn(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    block = drawing.blocks.new("L")
    block.add_lwpolyline([(0, 0), (2, 0), (2, 1), (0, 1)], close=True)
    place = {"layer": "A-FURN", "rotation": 90, "xscale": -1, "yscale": 2}
    model.add_blockref("L", (10, 10), dxfattribs=place)
    (floor,) = read(drawing, tmp_path).site.floors
    (thing,) = floor.obstacles
    # x goes to -2..0 and y to 0..2; turned by 90 degrees, x to -2..0 and y to -2..0.
    assert thing.outline.bounds == pytest.approx((8.0, 8.0, 10.0, 10.0))


def test_an_array_of_blocks_within_the_limit_is_laid_out(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    drawing.blocks.new("PILLAR").add_circle((0, 0), 0.2)
    array = {"layer": "S-COLS", "row_count": 3, "column_count": 5, "row_spacing": 5, "column_spacing": 5}
    model.add_blockref("PILLAR", (3, 3), dxfattribs=array)
    (floor,) = read(drawing, tmp_path).site.floors
    assert len(floor.obstacles) == 15


def test_fills_and_multiple_lines_count_as_what_their_layer_is(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    model.add_solid([(5, 5), (6, 5), (5, 6), (6, 6)], dxfattribs={"layer": "A-WALL"})
    model.add_spline([(20, 5), (22, 6), (24, 5), (22, 4), (20, 5)], dxfattribs={"layer": "RACKS"})
    reading = read(drawing, tmp_path)
    assert floor_m2(reading) == pytest.approx(599)
    assert len(reading.site.floors[0].obstacles) == 1


def test_loose_lines_of_a_rack_are_closed_to_one(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    corners = box(5, 5, 8, 1)
    for start, end in pairwise(corners):
        model.add_line(start, end, dxfattribs={"layer": "ESTANTERÍAS"})
    model.add_line((5, 5), (13, 6), dxfattribs={"layer": "ESTANTERÍAS"})
    (floor,) = read(drawing, tmp_path).site.floors
    (rack,) = floor.obstacles
    assert rack.outline.area == pytest.approx(8.0)


def test_a_layer_that_a_person_names_goes_before_the_table(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    model.add_lwpolyline(box(5, 5, 4, 4)[:-1], close=True, dxfattribs={"layer": "A-WALL"})
    options = DrawingOptions(layers=(("a-wall", Role.NO_GO),))
    (floor,) = read(drawing, tmp_path, options).site.floors
    assert [zone.outline.area for zone in floor.no_go] == pytest.approx([16.0])


def test_blocks_are_counted_without_being_taken_apart() -> None:
    drawing = shop_dxf()
    outer = drawing.blocks.new("OUTER")
    outer.add_blockref("RACK", (0, 0), dxfattribs={"row_count": 100, "column_count": 100})
    outer.add_line((0, 0), (1, 1))
    farm = drawing.blocks.new("FARM")
    farm.add_blockref("outer", (0, 0), dxfattribs={"row_count": 1000, "column_count": 1000})
    counts = block_counts(drawing)
    assert counts["rack"] == 1
    assert counts["outer"] == 10_001
    assert counts["farm"] == 10_001_000_000


def test_closed_walls_stay_lines_and_closed_racks_become_polygons(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    model.add_lwpolyline(box(0, 0, 9, 9)[:-1], close=True, dxfattribs={"layer": "A-WALL"})
    model.add_lwpolyline(box(1, 1, 2, 1)[:-1], close=True, dxfattribs={"layer": "RACK"})
    (storey,) = sketch(saved(drawing, tmp_path / "plan.dxf"), DrawingOptions()).storeys
    kinds = {piece.role: isinstance(piece.shape, Polygon) for piece in storey.pieces}
    assert kinds == {Role.FLOOR: True, Role.WALL: False, Role.OBSTACLE: True}
