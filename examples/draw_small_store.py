"""Draws `small_store.dxf`: a store of our own making, for the first tutorial.

Run `python examples/draw_small_store.py` to draw it anew. Drawn in millimetres: a sales floor of 56 x 34 m with
two rows of shelves, four checkouts and four columns, a cleaning closet in the north-west behind a door of
1.20 m, and a cold store in the north-east behind a door of 0.70 m, which no ride-on passes.
"""

import sys
from pathlib import Path

from ezdxf import units
from ezdxf._options import options
from ezdxf.filemanagement import new
from shapely import Polygon, box, union_all
from shapely.geometry.polygon import orient

MM_PER_M = 1000.0
LAYERS = (("WALL", 7), ("DOOR", 3), ("SHELF", 40), ("COUNTER", 30), ("COLUMN", 8), ("TEXT", 9))
OUTSIDE = box(0.0, 0.0, 56.0, 34.0)
SALES_FLOOR = union_all([box(0.2, 0.2, 55.8, 25.8), box(5.2, 0.2, 45.8, 33.8), box(0.2, 0.2, 5.2, 27.8)])
CLOSET = box(0.2, 28.0, 5.0, 33.8)
COLD_STORE = box(46.0, 26.0, 55.8, 33.8)
DOORS = (box(5.0, 30.0, 5.2, 31.2), box(50.0, 25.8, 50.7, 26.0))
ROWS_M = (4.0, 7.6, 11.2, 14.8, 18.4, 22.0)
SHELVES = (*(box(x, y, x + 16.0, y + 1.2) for y in ROWS_M for x in (8.0, 28.0)), box(8.0, 32.8, 44.0, 33.8))
COUNTERS = tuple(box(48.5, y, 49.5, y + 3.0) for y in (3.0, 8.0, 13.0, 18.0))
COLUMNS = tuple(box(x, y, x + 0.5, y + 0.5) for x in (16.0, 36.0) for y in (1.6, 28.0))


def main(path: Path) -> None:
    """Draw the store and write it to `path`."""
    options.write_fixed_meta_data_for_testing = True
    document = new("R2010", units=units.MM)
    for name, color in LAYERS:
        document.layers.add(name, color=color)
    space = document.modelspace()

    def ring(layer: str, shape: Polygon) -> None:
        corners = [(x * MM_PER_M, y * MM_PER_M) for x, y in orient(shape).exterior.coords[:-1]]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})

    # The faces of the walls go round each door, as a wall with an opening is drawn.
    inside = union_all([SALES_FLOOR, CLOSET, COLD_STORE, *DOORS])
    for shape in (OUTSIDE, inside):
        ring("WALL", shape)
    for hole in inside.interiors:
        ring("WALL", Polygon(hole))
    for layer, shapes in (("DOOR", DOORS), ("SHELF", SHELVES), ("COUNTER", COUNTERS), ("COLUMN", COLUMNS)):
        for shape in shapes:
            ring(layer, shape)
    for text, x, y in (("Sales floor", 20.0, 30.0), ("Closet", 1.0, 29.0), ("Cold store", 49.0, 30.0)):
        space.add_text(text, height=300, dxfattribs={"layer": "TEXT"}).set_placement((x * MM_PER_M, y * MM_PER_M))
    document.saveas(path)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if sys.argv[1:] else Path(__file__).with_name("small_store.dxf"))
