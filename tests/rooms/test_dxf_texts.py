"""Words on a DXF drawing: what names what, and what is no name."""

from pathlib import Path

import pytest
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.layout import Modelspace

from scrubwright.floor.site import FloorPlan
from scrubwright.paperwork.cleaning import cleaned
from scrubwright.paperwork.drawing import LONGEST_NAME, DrawingOptions, Reading, Role
from scrubwright.paperwork.readers.dxf import sketch
from scrubwright.paperwork.readers.dxf_texts import clean
from tests.rooms.shop_drawings import box, outline_dxf, saved, shop_dxf, warned


def read(drawing: Drawing, folder: Path, options: DrawingOptions | None = None) -> Reading:
    path = saved(drawing, folder / "plan.dxf")
    return cleaned(sketch(path, options or DrawingOptions()), options or DrawingOptions(), name="plan", source="")


def floor_of(drawing: Drawing, folder: Path) -> FloorPlan:
    (floor,) = read(drawing, folder).site.floors
    return floor


def shop_without_words() -> Drawing:
    drawing = shop_dxf()
    for entity in list(drawing.modelspace()):
        if entity.dxftype() == "TEXT":
            drawing.modelspace().delete_entity(entity)
    return drawing


def area(model: Modelspace, x: float, y: float, width: float, depth: float, layer: str = "A-AREA") -> None:
    model.add_lwpolyline(box(x, y, width, depth)[:-1], close=True, dxfattribs={"layer": layer})


def says(model: Modelspace, text: str, x: float, y: float, layer: str = "A-AREA", height: float = 0.4) -> None:
    model.add_text(text, height=height, dxfattribs={"layer": layer}).set_placement((x, y))


def test_the_first_line_names_an_area_and_the_second_is_its_surface(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 10, 20)
    text = model.add_mtext(
        r"{\fArial|b1;\C1;\LFish\l}\P\H0.7x;quartz resin", dxfattribs={"layer": "A-AREA", "char_height": 0.5}
    )
    text.set_location((4, 12))
    (found,) = floor_of(drawing, tmp_path).areas
    assert (found.name, found.surface) == ("Fish", "quartz resin")


def test_lines_typed_as_texts_of_their_own_are_put_together_and_measures_are_no_names(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 10, 20)
    for line, height, y in (
        ("101", 0.5, 12.0),
        ("Panadería", 0.5, 11.2),
        ("A: 200,00 m²", 0.4, 10.4),
        ("gres", 0.4, 9.7),
    ):
        says(model, line, 4, y, layer="ROTULOS-TEXTO", height=height)
    (found,) = floor_of(drawing, tmp_path).areas
    assert (found.name, found.surface) == ("Panadería", "gres")


def test_words_on_an_areas_own_layer_go_before_taller_words_of_another(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 10, 20)
    says(model, "EXIT ONLY", 2, 5, layer="A-ANNO-TEXT", height=2.0)
    says(model, "Bakery", 4, 12)
    (found,) = floor_of(drawing, tmp_path).areas
    assert found.name == "Bakery"


def test_of_words_equally_tall_on_other_layers_none_names_the_area(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 10, 20)
    says(model, "Till", 4, 12, layer="TEXT")
    says(model, "Scales", 6, 3, layer="TEXT")
    (found,) = floor_of(drawing, tmp_path).areas
    assert found.name == "area 1"


def test_words_belong_to_the_smallest_outline_around_them(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 30, 20)
    area(model, 5, 5, 4, 4, layer="NOGO")
    says(model, "Cellar hatch", 5.5, 7, layer="TEXT")
    says(model, "Hall", 15, 15, layer="TEXT", height=0.6)
    floor = floor_of(drawing, tmp_path)
    assert [each.name for each in floor.areas] == ["Hall"]
    assert [each.name for each in floor.no_go] == ["Cellar hatch"]


def test_what_is_written_on_a_counter_names_the_counter_and_no_area(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 30, 20)
    area(model, 5, 5, 4, 1, layer="COUNTER")
    says(model, "Till 3", 6, 5.3, layer="COUNTER", height=0.2)
    says(model, "Till 4", 20, 5.3, layer="COUNTER", height=0.2)
    floor = floor_of(drawing, tmp_path)
    assert [each.name for each in floor.obstacles] == ["Till 3"]
    assert [each.name for each in floor.areas] == ["area 1"]


def test_a_room_between_its_door_and_walls_is_called_by_the_words_in_it_and_bounds_no_area(tmp_path: Path) -> None:
    drawing = shop_without_words()
    says(drawing.modelspace(), "Store", 3, 15, layer="A-ANNO-TEXT")
    reading = read(drawing, tmp_path)
    (floor,) = reading.site.floors
    assert floor.areas == ()
    (room,) = floor.rooms
    assert room.name == "Store"
    # 10.0 x 20.0 m; the doorway beyond its line is 0.2 m2.
    assert room.outline.area == pytest.approx(200.0, abs=0.1)


def test_a_door_leaf_that_swings_into_a_room_cuts_nothing_off_it(tmp_path: Path) -> None:
    drawing = shop_without_words()
    model = drawing.modelspace()
    model.add_line((10, 5), (9, 5), dxfattribs={"layer": "A-DOOR"})
    model.add_arc((10, 5), 1.0, 90, 180, dxfattribs={"layer": "A-DOOR"})
    says(model, "Store", 3, 15, layer="A-ANNO-TEXT")
    (room,) = floor_of(drawing, tmp_path).rooms
    assert room.outline.area == pytest.approx(200.0, abs=0.1)


def test_a_room_tag_made_of_a_block_names_its_room(tmp_path: Path) -> None:
    drawing = shop_without_words()
    tag = drawing.blocks.new("ROOM_TAG")
    tag.add_attdef("ROOM_NAME", (0, 0), height=0.3)
    tag.add_attdef("NUMBER", (0, -0.5), height=0.3)
    insert = drawing.modelspace().add_blockref("ROOM_TAG", (4, 10.5), dxfattribs={"layer": "A-AREA-IDEN"})
    insert.add_auto_attribs({"ROOM_NAME": "Cold store", "NUMBER": "12"})
    assert [room.name for room in floor_of(drawing, tmp_path).rooms] == ["Cold store"]


@pytest.mark.parametrize("tag", ["NAME", "Nombre"])
def test_a_drain_is_called_as_its_block_says(tmp_path: Path, tag: str) -> None:
    drawing, model = outline_dxf()
    symbol = drawing.blocks.new("GULLY")
    symbol.add_circle((0, 0), 0.1)
    symbol.add_attdef(tag, (0, 0), height=0.2)
    model.add_blockref("GULLY", (5, 5), dxfattribs={"layer": "P-DRAIN"}).add_auto_attribs({tag: "Desagüe del pescado"})
    (point,) = floor_of(drawing, tmp_path).service_points
    assert point.name == "Desagüe del pescado"


def test_texts_on_hidden_layers_and_on_layers_said_to_be_nothing_name_nothing(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 10, 20)
    drawing.layers.add("OLD-NAMES").off()
    says(model, "Old shop", 4, 12, layer="OLD-NAMES")
    says(model, "Sketch", 4, 5, layer="X")
    options = DrawingOptions(layers=(("X", Role.IGNORE),))
    (floor,) = read(drawing, tmp_path, options).site.floors
    assert floor.areas[0].name == "area 1"


def test_words_that_stand_nowhere_are_counted(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    says(model, "MARKET HALL 1:200", 0, -20, layer="TEXT")
    model.add_hatch(dxfattribs={"layer": "A-AREA"}).paths.add_polyline_path(box(1, 1, 2, 2))
    said = warned(read(drawing, tmp_path))
    assert "1 texts stand in no area, room or ramp" in said
    assert "1 texts, dimensions, hatches and the like were left out" in said


def test_middle_aligned_text_counts_by_its_middle(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 10, 20)
    text = model.add_text("Fish", height=0.5, dxfattribs={"layer": "A-AREA"})
    text.set_placement((5, 10), align=TextEntityAlignment.MIDDLE_CENTER)
    assert floor_of(drawing, tmp_path).areas[0].name == "Fish"


def test_a_line_is_whole_short_and_free_of_codes() -> None:
    assert clean("Caf\\U+00e9\tbar\x07") == "Café bar"
    assert clean("half \udce9 letter") == "half letter"
    assert clean("x" * 500) == "x" * (LONGEST_NAME - 1) + "…"
    assert clean("  \n ") == ""
    assert clean("right\u202eleft") == "right left"


def test_a_file_in_an_old_code_page_gives_names_that_can_be_written(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    area(model, 0, 0, 10, 20)
    says(model, "PANADERIX", 4, 12)
    path = saved(drawing, tmp_path / "plan.dxf")
    # A byte that is no UTF-8, as a program of another code page leaves it.
    path.write_bytes(path.read_bytes().replace(b"PANADERIX", b"PANADER\xcdA"))
    (floor,) = cleaned(sketch(path, DrawingOptions()), DrawingOptions(), name="plan", source="").site.floors
    assert floor.areas[0].name.startswith("PANADER")
    floor.areas[0].name.encode("utf-8")


def test_two_storeys_side_by_side_stay_one_and_are_told(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    model.add_lwpolyline(box(40, 0, 30, 20)[:-1], close=True, dxfattribs={"layer": "FLOOR"})
    reading = read(drawing, tmp_path)
    assert [floor.outline.area for floor in reading.site.floors] == pytest.approx([1200.0])
    assert "2 large parts lie side by side with no door between them; they were read as one storey" in warned(reading)


def test_one_hall_with_a_yard_and_a_shed_is_not_told_as_two_storeys(tmp_path: Path) -> None:
    drawing, model = outline_dxf()
    model.add_lwpolyline(box(40, 0, 5, 5)[:-1], close=True, dxfattribs={"layer": "FLOOR"})
    assert "side by side" not in warned(read(drawing, tmp_path))
