"""Ramps on DXF drawings: how steep, which way up, and when to ask."""

import math
from pathlib import Path

import pytest
from ezdxf.document import Drawing
from ezdxf.layouts.layout import Modelspace

from scrubwright.floor.site import FloorPlan
from scrubwright.paperwork.cleaning import cleaned
from scrubwright.paperwork.drawing import DrawingOptions, Reading
from scrubwright.paperwork.readers.dxf import sketch
from tests.rooms.shop_drawings import box, outline_dxf, saved, warned

# From the foot at y = 4 to the head at y = 9, on a ramp of 4 x 6 m.
TAIL, HEAD = (12.0, 4.0), (12.0, 9.0)


def ramp_drawing(*words: str, layer: str = "A-RAMP") -> tuple[Drawing, Modelspace]:
    drawing, model = outline_dxf()
    model.add_lwpolyline(box(10, 3.5, 4, 6)[:-1], close=True, dxfattribs={"layer": "A-RAMP"})
    for number, line in enumerate(words):
        model.add_text(line, height=0.2, dxfattribs={"layer": layer}).set_placement((10.5, 8.0 - number))
    return drawing, model


def lines(model: Modelspace, *ends: tuple[tuple[float, float], tuple[float, float]], layer: str = "A-ANNO") -> None:
    for start, end in ends:
        model.add_line(start, end, dxfattribs={"layer": layer})


def barbed(model: Modelspace, layer: str = "A-ANNO") -> None:
    lines(model, (TAIL, HEAD), (HEAD, (11.7, 8.4)), ((12.3, 8.4), HEAD), layer=layer)


def read(drawing: Drawing, folder: Path) -> tuple[FloorPlan, Reading]:
    path = saved(drawing, folder / "plan.dxf")
    reading = cleaned(sketch(path, DrawingOptions()), DrawingOptions(), name="plan", source="")
    return reading.site.floors[0], reading


def test_slope_and_arrow_make_a_ramp_and_its_way_up_is_told(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("Loading ramp", "8,33 %")
    barbed(model)
    floor, reading = read(drawing, tmp_path)
    (ramp,) = floor.ramps
    assert ramp.name == "Loading ramp"
    assert ramp.slope_fraction == pytest.approx(0.0833)
    assert ramp.uphill_rad == pytest.approx(math.pi / 2)
    assert floor.no_go == ()
    assert "climbs 8.3 % towards 12.00 m, 9.50 m" in warned(reading)


@pytest.mark.parametrize("layer", ["A-RAMP", "TEXTOS"])
def test_the_arrow_counts_on_the_ramps_layer_and_on_one_for_notes(tmp_path: Path, layer: str) -> None:
    drawing, model = ramp_drawing("1:12")
    barbed(model, layer)
    floor, _ = read(drawing, tmp_path)
    assert [ramp.slope_fraction for ramp in floor.ramps] == pytest.approx([1 / 12])


def test_an_open_polyline_with_barbs_points_to_its_barbs(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("1:12")
    corners = [(11.7, 4.6), TAIL, (12.3, 4.6), TAIL, HEAD]
    model.add_lwpolyline(corners, dxfattribs={"layer": "A-RAMP"})
    floor, _ = read(drawing, tmp_path)
    assert floor.ramps[0].uphill_rad == pytest.approx(-math.pi / 2)


def test_a_polyline_that_narrows_to_a_point_is_an_arrow(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("1:12")
    shaft = [(*TAIL, 0.0, 0.0), (12.0, 8.4, 0.4, 0.0), (*HEAD, 0.0, 0.0)]
    model.add_lwpolyline(shaft, format="xyse", dxfattribs={"layer": "A-RAMP"})
    floor, _ = read(drawing, tmp_path)
    assert floor.ramps[0].uphill_rad == pytest.approx(math.pi / 2)


def test_a_filled_head_on_a_shaft_is_an_arrow_and_no_ramp_of_its_own(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("1:12")
    lines(model, (TAIL, (12.0, 8.4)), layer="A-RAMP")
    model.add_solid([(11.8, 8.4), (12.2, 8.4), HEAD], dxfattribs={"layer": "A-RAMP"})
    floor, _ = read(drawing, tmp_path)
    assert [ramp.uphill_rad for ramp in floor.ramps] == pytest.approx([math.pi / 2])
    assert floor.no_go == ()


def test_a_leader_without_words_is_an_arrow(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("1:12")
    model.add_leader([HEAD, TAIL], dxfattribs={"layer": "A-RAMP"})
    floor, _ = read(drawing, tmp_path)
    assert floor.ramps[0].uphill_rad == pytest.approx(math.pi / 2)


def test_a_leader_that_carries_a_note_is_no_arrow(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("1:12")
    model.add_leader([HEAD, TAIL], dxfattribs={"layer": "A-RAMP", "annotation_type": 0})
    floor, _ = read(drawing, tmp_path)
    assert floor.ramps == ()


@pytest.mark.parametrize("word", ["DN", "BAJA"])
def test_an_arrow_with_a_word_for_down_points_down(tmp_path: Path, word: str) -> None:
    drawing, model = ramp_drawing("8 %", word)
    barbed(model)
    floor, _ = read(drawing, tmp_path)
    assert floor.ramps[0].uphill_rad == pytest.approx(-math.pi / 2)


def test_an_arrow_drawn_a_little_askew_is_laid_along_the_ramp(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("8 %")
    head = (12.2, 9.0)
    lines(model, (TAIL, head), (head, (11.9, 8.4)), (head, (12.5, 8.4)))
    floor, _ = read(drawing, tmp_path)
    assert floor.ramps[0].uphill_rad == pytest.approx(math.pi / 2)


@pytest.mark.parametrize("word", ["UP", "SUBE"])
def test_a_word_without_an_arrow_is_asked_about_and_the_ramp_kept_off(tmp_path: Path, word: str) -> None:
    # UP is written at the foot in some offices and at the top in others.
    drawing, model = ramp_drawing("8 %")
    model.add_text(word, height=0.2, dxfattribs={"layer": "A-RAMP"}).set_placement((11.8, 9.0))
    floor, reading = read(drawing, tmp_path)
    assert floor.ramps == ()
    assert len(floor.no_go) == 1
    assert "Nobody says which way ramp 1 of 24 m² climbs" in warned(reading)


def test_an_arrow_without_a_slope_is_asked_about(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("Loading ramp")
    barbed(model)
    floor, reading = read(drawing, tmp_path)
    assert floor.ramps == ()
    assert "Nobody says how steep Loading ramp of 24 m² is" in warned(reading)


def test_two_slopes_are_asked_about_unless_they_are_one(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("8 %", "10 %")
    barbed(model)
    floor, reading = read(drawing, tmp_path)
    assert floor.ramps == ()
    assert "Two slopes are written on ramp 1: 8.0 % and 10.0 %" in warned(reading)
    drawing, model = ramp_drawing("1:12 (8.33 %)")
    barbed(model)
    assert len(read(drawing, tmp_path)[0].ramps) == 1


def test_two_arrows_that_point_apart_are_asked_about(tmp_path: Path) -> None:
    drawing, model = ramp_drawing("8 %")
    barbed(model)
    lines(model, ((13.5, 9.0), (13.5, 5.0)), ((13.5, 5.0), (13.3, 5.5)), ((13.5, 5.0), (13.7, 5.5)))
    floor, reading = read(drawing, tmp_path)
    assert floor.ramps == ()
    assert "contradict each other" in warned(reading)


@pytest.mark.parametrize(
    "ends",
    [
        [(TAIL, HEAD)],
        [(TAIL, HEAD), (HEAD, (11.7, 8.4)), (HEAD, (12.3, 8.4)), (TAIL, (11.7, 4.6)), (TAIL, (12.3, 4.6))],
        [(TAIL, HEAD), (HEAD, (13.0, 9.0)), (HEAD, (11.0, 9.0))],
        [((10.2, y), (13.8, y)) for y in (4.0, 5.0, 6.0, 7.0, 8.0)],
        [
            ((10.5, 6.0), (11.8, 6.0)),
            ((11.8, 6.0), (12.1, 6.4)),
            ((12.1, 6.4), (12.0, 5.6)),
            ((12.0, 5.6), (13.5, 6.0)),
        ],
    ],
    ids=["no head", "two heads", "a T", "treads", "a break line"],
)
def test_lines_that_are_no_clear_arrow_leave_the_ramp_closed(
    tmp_path: Path, ends: list[tuple[tuple[float, float], tuple[float, float]]]
) -> None:
    drawing, model = ramp_drawing("8 %")
    lines(model, *ends)
    floor, _ = read(drawing, tmp_path)
    assert floor.ramps == ()
    assert len(floor.no_go) == 1
