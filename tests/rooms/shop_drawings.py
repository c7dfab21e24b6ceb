"""Drawings that the tests read: a shop of two rooms, drawn well or with one defect."""

import json
import random
from collections.abc import Iterable, Sequence
from itertools import pairwise
from pathlib import Path

import pytest
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from scrubwright.measures.errors import BadInput, ScrubwrightError, UnreadablePaper
from scrubwright.paperwork.drawing import DrawingOptions, Reading, read_drawing

Ring = Sequence[tuple[float, float]]

# Rooms of 10.0 x 20.0 m and 19.8 x 20.0 m, and a doorway of 1.0 x 0.2 m between them.
SHOP_M2 = 200.0 + 396.0 + 0.2
RACK_M2 = 8.0 * 0.9


def box(x: float, y: float, width: float, depth: float) -> list[tuple[float, float]]:
    return [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth), (x, y)]


_WALLS = (
    box(-0.2, -0.2, 30.4, 20.4),
    [(10.0, 6.0), (10.0, 20.0), (0.0, 20.0), (0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (10.2, 5.0), (10.2, 0.0)],
    [(10.2, 0.0), (30.0, 0.0), (30.0, 20.0), (10.2, 20.0), (10.2, 6.0), (10.0, 6.0)],
)
_DOORS = ([(10.0, 5.0), (10.0, 6.0)], [(10.2, 5.0), (10.2, 6.0)])


def shop_dxf(
    *,
    scale: float = 1.0,
    insunits: int = 6,
    gap_m: float = 0.0,
    moved: tuple[float, float] = (0.0, 0.0),
    wall_layer: str = "A-WALL",
    door_layer: str = "A-DOOR",
) -> Drawing:
    """The shop as walls of two faces, four racks as blocks, a round column and a drain."""
    drawing = new(units=insunits)
    model = drawing.modelspace()
    rng = random.Random(3)

    def placed(corner: tuple[float, float]) -> tuple[float, float]:
        x, y = (value + rng.uniform(-gap_m, gap_m) for value in corner)
        return x * scale + moved[0], y * scale + moved[1]

    for layer, chains in ((wall_layer, _WALLS), (door_layer, _DOORS)):
        for chain in chains:
            for start, end in pairwise(chain):
                model.add_line(placed(start), placed(end), dxfattribs={"layer": layer})
    rack = drawing.blocks.new("RACK")
    rack.add_lwpolyline([(x * scale, y * scale) for x, y in box(0, 0, 8.0, 0.9)[:-1]], close=True)
    for number in range(4):
        model.add_blockref("RACK", placed((14.0, 3.0 + 3.5 * number)), dxfattribs={"layer": "A-FURN"})
    model.add_circle(placed((5.0, 10.0)), 0.3 * scale, dxfattribs={"layer": "S-COLS"})
    model.add_point(placed((29.0, 1.0)), dxfattribs={"layer": "P-DRAIN"})
    model.add_text("HALL", dxfattribs={"layer": "A-ANNO-TEXT"})
    return drawing


def saved(drawing: Drawing, path: Path) -> Path:
    drawing.saveas(path)
    return path


def outline_dxf() -> tuple[Drawing, Modelspace]:
    """A plain floor of 30 x 20 m on a floor layer, in metres."""
    drawing = new(units=6)
    model = drawing.modelspace()
    model.add_lwpolyline(box(0, 0, 30, 20)[:-1], close=True, dxfattribs={"layer": "FLOOR"})
    return drawing, model


def feature(kind: str, rings: Sequence[Ring], **more: object) -> dict[str, object]:
    """A GeoJSON polygon with a type."""
    return {
        "type": "Feature",
        "properties": {"type": kind, **more},
        "geometry": {"type": "Polygon", "coordinates": [[list(corner) for corner in ring] for ring in rings]},
    }


def spot(kind: str, x: float, y: float, **more: object) -> dict[str, object]:
    """A GeoJSON point with a type."""
    return {
        "type": "Feature",
        "properties": {"type": kind, **more},
        "geometry": {"type": "Point", "coordinates": [x, y]},
    }


def geojson(path: Path, features: Iterable[dict[str, object]], **more: object) -> Path:
    path.write_text(json.dumps({"type": "FeatureCollection", **more, "features": list(features)}), encoding="utf-8")
    return path


HALL = feature("room", [box(0, 0, 30, 20)], name="Hall")


def refusal(path: Path, options: DrawingOptions | None = None) -> str:
    with pytest.raises(ScrubwrightError) as refused:
        read_drawing(path, options)
    assert isinstance(refused.value, BadInput | UnreadablePaper)
    return str(refused.value)


def warned(reading: Reading) -> str:
    return "\n".join(map(str, reading.warnings))


def floor_m2(reading: Reading) -> float:
    return float(sum(floor.outline.area for floor in reading.site.floors))
