"""Files that no reader may trust: bombs, broken and misnamed ones, each named after its defect."""

import json
import math
import time
from pathlib import Path

import pytest
from ezdxf.filemanagement import new

from scrubwright.measures.errors import UnreadablePaper
from scrubwright.paperwork.child import Limits
from scrubwright.paperwork.drawing import read_drawing
from tests.rooms.shop_drawings import (
    HALL,
    SHOP_M2,
    box,
    feature,
    floor_m2,
    geojson,
    outline_dxf,
    refusal,
    saved,
    shop_dxf,
    warned,
)


def test_a_block_that_stands_for_a_thousand_million_things_is_refused_at_once(tmp_path: Path) -> None:
    drawing, inner = shop_dxf(), "RACK"
    for depth in range(9):
        block = drawing.blocks.new(f"DEPTH{depth}")
        for number in range(10):
            block.add_blockref(inner, (number, 0))
        inner = block.name
    drawing.modelspace().add_blockref(inner, (0, 0))
    path = saved(drawing, tmp_path / "block_bomb.dxf")
    began = time.monotonic()
    said = refusal(path)
    assert time.monotonic() - began < 10
    assert "1,000,000,0" in said
    assert "DEPTH8" in said


def test_an_array_of_blocks_of_a_thousand_million_is_refused_at_once(tmp_path: Path) -> None:
    drawing = shop_dxf()
    array = {"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1}
    drawing.modelspace().add_blockref("RACK", (1, 1), dxfattribs=array)
    said = refusal(saved(drawing, tmp_path / "insert_array_bomb.dxf"))
    assert "900,000,0" in said
    assert "RACK" in said


def test_a_block_that_holds_itself_ends_at_the_fifth_depth(tmp_path: Path) -> None:
    drawing = shop_dxf()
    drawing.blocks.new("SELF").add_blockref("SELF", (0, 0))
    drawing.modelspace().add_blockref("SELF", (0, 0), dxfattribs={"layer": "A-FURN"})
    reading = read_drawing(saved(drawing, tmp_path / "block_holds_itself.dxf"))
    assert floor_m2(reading) == pytest.approx(SHOP_M2, abs=0.01)
    assert "SELF" in warned(reading)


@pytest.mark.parametrize("coordinate", [math.nan, math.inf, 1e300])
def test_a_dxf_coordinate_that_is_no_number_names_its_layer_and_handle(tmp_path: Path, coordinate: float) -> None:
    drawing, model = outline_dxf()
    line = model.add_line((0, 0), (coordinate, 1), dxfattribs={"layer": "A-WALL"})
    said = refusal(saved(drawing, tmp_path / f"coordinate_{coordinate}.dxf"))
    assert "A-WALL" in said
    assert line.dxf.handle in said


@pytest.mark.parametrize("coordinate", ["NaN", "Infinity", "1e300", "1e999"])
def test_a_geojson_coordinate_that_is_no_number_is_refused(tmp_path: Path, coordinate: str) -> None:
    path = geojson(tmp_path / f"coordinate_{coordinate}.geojson", [feature("room", [box(0, 0, 12345, 20)])])
    path.write_text(path.read_text().replace("12345", coordinate))
    assert "number" in refusal(path)


def test_an_external_reference_is_named(tmp_path: Path) -> None:
    drawing = shop_dxf()
    drawing.add_xref_def("other.dwg", "OTHER_STOREY")
    drawing.modelspace().add_blockref("OTHER_STOREY", (0, 0))
    assert "OTHER_STOREY" in warned(read_drawing(saved(drawing, tmp_path / "xref.dxf")))


def test_a_drawing_that_is_only_external_references_says_to_bind_them(tmp_path: Path) -> None:
    drawing = new()
    drawing.add_xref_def("other.dwg", "OTHER_STOREY")
    drawing.modelspace().add_blockref("OTHER_STOREY", (0, 0))
    said = refusal(saved(drawing, tmp_path / "xref_only.dxf"))
    assert "OTHER_STOREY" in said
    assert "Bind" in said


def test_an_empty_drawing_is_refused(tmp_path: Path) -> None:
    assert "shows no lines" in refusal(saved(new(), tmp_path / "empty_drawing.dxf"))
    assert "holds no shapes" in refusal(geojson(tmp_path / "empty_drawing.geojson", []))


def test_an_empty_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "empty_file.dxf"
    path.write_bytes(b"")
    assert "is empty" in refusal(path)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    assert "nowhere.dxf" in refusal(tmp_path / "nowhere.dxf")


def test_a_drawing_of_100_megabytes_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "hundred_megabytes.dxf"
    with path.open("wb") as file:
        file.truncate(100_000_000)
    began = time.monotonic()
    said = refusal(path)
    assert time.monotonic() - began < 1
    assert "100.0 MB" in said
    assert "64.0 MB" in said


def test_a_truncated_dxf_says_that_it_breaks_off(tmp_path: Path) -> None:
    text = saved(shop_dxf(), tmp_path / "whole.dxf").read_text()
    early, late = tmp_path / "truncated_early.dxf", tmp_path / "truncated_late.dxf"
    early.write_text(text[: len(text) // 2])
    late.write_text(text[:-200])
    assert "breaks off" in refusal(early)
    assert "breaks off" in warned(read_drawing(late))


def test_a_truncated_geojson_says_where_it_breaks_off(tmp_path: Path) -> None:
    path = geojson(tmp_path / "truncated.geojson", [HALL])
    path.write_text(path.read_text()[:-40])
    assert "line 1, column" in refusal(path)


def test_json_that_is_nested_without_end_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "nested_without_end.geojson"
    path.write_text('{"type":' + "[" * 200_000)
    assert "nested too deep" in refusal(path)


def test_a_wrong_suffix_is_told_and_the_content_read(tmp_path: Path) -> None:
    reading = read_drawing(saved(shop_dxf(), tmp_path / "wrong_suffix.geojson"))
    assert floor_m2(reading) == pytest.approx(SHOP_M2, abs=0.01)
    assert "is DXF inside" in warned(reading)


def test_a_dwg_says_to_save_it_as_dxf(tmp_path: Path) -> None:
    path = tmp_path / "dwg_named.dxf"
    path.write_bytes(b"AC1032\x00\x00\x00\x00")
    assert "Save it as DXF" in refusal(path)


@pytest.mark.parametrize("start", [b"PK\x03\x04", b"<svg>", b"GIF89a", b"II*\x00", b"\x00\x01\x02"])
def test_what_is_no_drawing_says_what_to_use_instead(tmp_path: Path, start: bytes) -> None:
    path = tmp_path / "no_drawing.dxf"
    path.write_bytes(start)
    said = refusal(path)
    assert "DXF" in said or "PNG" in said or "unpacked" in said


def test_a_plan_in_paper_space_only_says_to_copy_it_to_model_space(tmp_path: Path) -> None:
    drawing = new()
    drawing.layout("Layout1").add_lwpolyline(box(0, 0, 30, 20)[:-1], close=True)
    assert "paper space only" in refusal(saved(drawing, tmp_path / "paper_space_only.dxf"))


def test_things_in_paper_space_beside_a_plan_are_counted(tmp_path: Path) -> None:
    drawing = shop_dxf()
    drawing.layout("Layout1").add_line((0, 0), (1, 1))
    assert "1 things in paper space" in warned(read_drawing(saved(drawing, tmp_path / "paper_space_too.dxf")))


def test_a_reader_that_takes_too_long_is_stopped(tmp_path: Path) -> None:
    path = saved(shop_dxf(), tmp_path / "takes_too_long.dxf")
    with pytest.raises(UnreadablePaper, match="was not read within"):
        read_drawing(path, limits=Limits(wall_s=0.05))


def test_a_site_file_with_a_broken_feature_is_named(tmp_path: Path) -> None:
    path = tmp_path / "site_without_role.geojson"
    content = {"type": "FeatureCollection", "scrubwright_site": {"version": 1}, "features": [HALL]}
    path.write_text(json.dumps(content))
    assert "Feature 1" in refusal(path)
