"""Draws `market_hall.dxf`: a market hall of about 9,000 m2 of our own making, as an architect would hand it over.

Run `python examples/draw_market_hall.py` to draw it anew; the same code writes the same file. Drawn in millimetres:
walls as two faces of loose lines with an arc and a few gaps of some millimetres, stalls as blocks, columns with
hatches, column axes, dimensions and a title that have nothing to do with the floor.

The building: a hall of 120 x 70 m with a round foyer in the west and a wing turned by 18 degrees in the east;
fish, produce, bakery and dry goods, each on a surface of its own; goods-in with a loading ramp, a hatch to keep
off, a store room behind a door of 0.90 m and a cleaning closet behind one of 1.60 m; a second drain with a tap
beside the fish stalls.
"""

import itertools
import math
import sys
from pathlib import Path

from ezdxf import units
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.blocklayout import BlockLayout
from ezdxf.layouts.layout import Modelspace
from shapely import LineString, Point, Polygon, affinity, box, unary_union
from shapely.ops import substring

MM_PER_M = 1000.0
OUTER_WALL_M = 0.30
INNER_WALL_M = 0.20
HALL = box(0.0, 0.0, 120.0, 70.0)
WING = affinity.rotate(box(112.0, 26.0, 145.0, 46.0), 18.0, origin=(120.0, 36.0))
FOYER_CENTRE_M = (11.1944, 35.0)
FOYER_RADIUS_M = 15.6944
FOYER_RAD = math.asin(11.0 / FOYER_RADIUS_M)

LAYERS = (
    ("A-WALL", 7),
    ("A-DOOR", 3),
    ("A-COLS", 8),
    ("A-COUNTER", 30),
    ("A-RACK", 40),
    ("A-FURN", 33),
    ("A-EQPM", 34),
    ("A-AREA", 5),
    ("A-NOGO", 1),
    ("A-RAMP", 6),
    ("P-DRAIN", 4),
    ("P-TAP", 4),
    ("E-SOCKET", 2),
    ("PARKING", 3),
    ("S-GRID", 9),
    ("A-DIMS", 9),
    ("A-ANNO-TEXT", 9),
    ("A-HATCH", 9),
)

# Name, surface, outline [m]: what the market keeps clean as one piece of work each.
AREAS = (
    ("Fish", "quartz resin", [(0, 0), (36, 0), (36, 28), (0, 28)]),
    ("Produce", "terrazzo", [(36, 0), (84, 0), (84, 28), (36, 28)]),
    ("Bakery", "quarry tile", [(84, 0), (120, 0), (120, 28), (84, 28)]),
    ("Dry goods", "sealed concrete", [(0, 42), (72, 42), (72, 70), (0, 70)]),
    ("Goods-in", "sealed concrete", [(72, 42), (120, 42), (120, 70), (72, 70)]),
)

# Where walls open to the outside [m along the face from the west or south], closed at night by a door.
SOUTH_EXIT_M = (58.0, 60.4)
DOCK_M = (85.0, 91.0)
ENTRANCE_RAD = 0.16


def main(path: Path) -> None:
    """Draw the hall and write it to `path`."""
    options.write_fixed_meta_data_for_testing = True
    document = new("R2010", units=units.MM)
    document.header["$INSUNITS"] = units.MM
    document.header["$MEASUREMENT"] = 1
    for name, color in LAYERS:
        document.layers.add(name, color=color)
    space = document.modelspace()
    _define_blocks(document)
    _outer_walls(space)
    _inner_walls(space)
    _columns_and_axes(space)
    _stalls(space)
    _racks(space)
    _goods_in(space)
    _areas(space)
    _service_points(space)
    _room_names(space)
    _paper_matter(space)
    # The library writes these in the order of a set; named here, they come in one order.
    for kind in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(kind)
    document.saveas(path)


def _mm(points_m: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Metres as the whole millimetres that the drawing is made in."""
    return [(round(x * MM_PER_M, 1), round(y * MM_PER_M, 1)) for x, y in points_m]


def _ring(space: Modelspace | BlockLayout, layer: str, points_m: list[tuple[float, float]]) -> None:
    space.add_lwpolyline(_mm(points_m), close=True, dxfattribs={"layer": layer})


def _box(space: Modelspace | BlockLayout, layer: str, x0: float, y0: float, x1: float, y1: float) -> None:
    _ring(space, layer, [(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def _line(space: Modelspace | BlockLayout, layer: str, *points_m: tuple[float, float]) -> None:
    for start, end in itertools.pairwise(_mm(list(points_m))):
        space.add_line(start, end, dxfattribs={"layer": layer})


def _insert(
    space: Modelspace, block: str, layer: str, at_m: tuple[float, float], rotation_deg: float = 0.0, name: str = ""
) -> None:
    insert = space.add_blockref(block, _mm([at_m])[0], dxfattribs={"layer": layer, "rotation": rotation_deg})
    if name:
        insert.add_auto_attribs({"NAME": name})


def _define_blocks(document: Drawing) -> None:
    """Stalls, symbols and doors, drawn once on layer 0 so that each takes the layer it is inserted on."""
    fish = document.blocks.new("FISH_STALL")
    _ring(fish, "0", [(0, 0), (7, 0), (7, 4.4), (5.9, 4.4), (5.9, 1.2), (1.1, 1.2), (1.1, 4.4), (0, 4.4)])
    _ring(fish, "0", [(2.0, 3.4), (5.0, 3.4), (5.0, 4.4), (2.0, 4.4)])
    produce = document.blocks.new("PRODUCE_TABLE")
    _box(produce, "0", 0.0, 0.0, 5.0, 2.0)
    _line(produce, "0", (0.0, 1.0), (5.0, 1.0))
    bread = document.blocks.new("BREAD_TABLE")
    bread.add_circle((0.0, 0.0), 0.9 * MM_PER_M, dxfattribs={"layer": "0"})
    counter = document.blocks.new("COUNTER")
    counter.add_lwpolyline(
        [
            (*point, 0.0, 0.0, bulge)
            for point, bulge in zip(_mm([(0, 0), (8, 0), (8, 1.2), (0, 1.2)]), (0, 0.4, 0, 0.4), strict=True)
        ],
        close=True,
        dxfattribs={"layer": "0"},
    )
    pallet = document.blocks.new("PALLET_RACK")
    _box(pallet, "0", 0.0, 0.0, 8.1, 1.1)
    seat = document.blocks.new("CAFE_TABLE")
    _box(seat, "0", -0.4, -0.4, 0.4, 0.4)
    for side in (-1.0, 1.0):
        _box(seat, "0", -0.22, side * 0.75 - 0.22, 0.22, side * 0.75 + 0.22)
    for name in ("FLOOR_DRAIN", "TAP", "SOCKET", "SCRUBBER_PLACE"):
        symbol = document.blocks.new(name)
        symbol.add_circle((0.0, 0.0), 0.15 * MM_PER_M, dxfattribs={"layer": "0"})
        symbol.add_line((-150.0, 0.0), (150.0, 0.0), dxfattribs={"layer": "0"})
        symbol.add_attdef("NAME", (0.0, -500.0), height=250.0, dxfattribs={"layer": "0"})
    for name, width_m in (("DOOR_900", 0.9), ("DOOR_1600", 1.6)):
        door = document.blocks.new(name)
        door.add_line((0.0, 0.0), (0.0, width_m * MM_PER_M), dxfattribs={"layer": "0"})
        door.add_arc((0.0, 0.0), width_m * MM_PER_M, 0.0, 90.0, dxfattribs={"layer": "0"})
        door.add_line((0.0, 0.0), (width_m * MM_PER_M, 0.0), dxfattribs={"layer": "0"})


def _outer_walls(space: Modelspace) -> None:
    """Both faces as loose lines and arcs; doors to the outside close them; three ends stop some millimetres short."""
    straight = unary_union([HALL, WING])
    for from_face_m, gap_m in ((0.0, 0.004), (OUTER_WALL_M, 0.0)):
        face = straight.buffer(from_face_m, join_style="mitre") if from_face_m else straight
        corners = [(float(x), float(y)) for x, y in face.exterior.coords]
        for start, end in itertools.pairwise(corners):
            for piece in _without_openings(start, end, from_face_m):
                _line(space, "A-WALL", piece[0], _short_of(piece, gap_m))
        _foyer_face(space, from_face_m)
    for y0, y1, at_m in ((-OUTER_WALL_M, 0.0, SOUTH_EXIT_M), (70.0, 70.0 + OUTER_WALL_M, DOCK_M)):
        inner = 0.0 if y0 < 0 else 70.0
        for x in at_m:
            _line(space, "A-WALL", (x, y0), (x, y1))
        _line(space, "A-DOOR", (at_m[0], inner), (at_m[1], inner))


def _without_openings(
    start: tuple[float, float], end: tuple[float, float], face_m: float
) -> list[list[tuple[float, float]]]:
    """What is left of a wall face between two corners once the doors and the foyer are taken out."""
    line = LineString([start, end])
    openings = unary_union(
        [
            box(SOUTH_EXIT_M[0], -1.0, SOUTH_EXIT_M[1], 1.0),
            box(DOCK_M[0], 69.0, DOCK_M[1], 71.0),
            box(-1.0, 24.0 - face_m, 1.0, 46.0 + face_m),
        ]
    )
    rest = line.difference(openings)
    parts = rest.geoms if rest.geom_type == "MultiLineString" else [rest]
    return [[(float(x), float(y)) for x, y in part.coords] for part in parts if part.length > 0]


def _short_of(piece: list[tuple[float, float]], gap_m: float) -> tuple[float, float]:
    """The end of a wall face; long faces on the south and east stop some millimetres early, as hand-drawn ones do."""
    line = LineString(piece)
    if not (gap_m and 26.0 < line.length < 60.0):
        return piece[-1]
    end = substring(line, 0.0, line.length - gap_m).coords[-1]
    return float(end[0]), float(end[1])


def _foyer_face(space: Modelspace, face_m: float) -> None:
    """The round wall of the foyer as two arcs with the entrance between them."""
    radius_m = FOYER_RADIUS_M + face_m
    half_deg = math.degrees(math.asin((11.0 + face_m) / radius_m))
    door_deg = math.degrees(ENTRANCE_RAD)
    for start_deg, end_deg in ((180.0 - half_deg, 180.0 - door_deg), (180.0 + door_deg, 180.0 + half_deg)):
        space.add_arc(_mm([FOYER_CENTRE_M])[0], radius_m * MM_PER_M, start_deg, end_deg, dxfattribs={"layer": "A-WALL"})
    if face_m:
        return
    jambs = []
    for turn in (math.pi - ENTRANCE_RAD, math.pi + ENTRANCE_RAD):
        inner, outer = (
            (FOYER_CENTRE_M[0] + r * math.cos(turn), FOYER_CENTRE_M[1] + r * math.sin(turn))
            for r in (FOYER_RADIUS_M, FOYER_RADIUS_M + OUTER_WALL_M)
        )
        _line(space, "A-WALL", inner, outer)
        jambs.append(inner)
    _line(space, "A-DOOR", *jambs)
    # Where the arc meets the west wall its outer face is bridged by hand.
    for y in (24.0, 46.0):
        outer_y = y - OUTER_WALL_M if y < 35 else y + OUTER_WALL_M
        end = FOYER_CENTRE_M[0] - (FOYER_RADIUS_M + OUTER_WALL_M) * math.cos(
            math.asin((11.0 + OUTER_WALL_M) / (FOYER_RADIUS_M + OUTER_WALL_M))
        )
        _line(space, "A-WALL", (-OUTER_WALL_M, outer_y), (end, outer_y))


def _inner_walls(space: Modelspace) -> None:
    """Walls between rooms as closed outlines; the openings between them carry door symbols."""
    wall = INNER_WALL_M
    # Store room 16 x 12 m in the north-east corner, door of 0.90 m in its west wall.
    _box(space, "A-WALL", 104.0 - wall, 58.0, 104.0, 63.0)
    _box(space, "A-WALL", 104.0 - wall, 63.9, 104.0, 70.0)
    _box(space, "A-WALL", 104.0 - wall, 58.0 - wall, 120.0, 58.0)
    _insert(space, "DOOR_900", "A-DOOR", (104.0, 63.0), 90.0)
    # Cleaning closet 7 x 5 m at the north wall, door of 1.60 m in its south wall.
    _box(space, "A-WALL", 73.0 - wall, 65.0, 73.0, 70.0)
    _box(space, "A-WALL", 80.0, 65.0, 80.0 + wall, 70.0)
    _box(space, "A-WALL", 73.0 - wall, 65.0 - wall, 75.6, 65.0)
    _box(space, "A-WALL", 77.2, 65.0 - wall, 80.0 + wall, 65.0)
    _insert(space, "DOOR_1600", "A-DOOR", (75.6, 65.0))
    # Half-height walls leave 9 m open between the hall and the wing.
    _box(space, "A-WALL", 120.0, 24.0, 120.25, 31.5)
    _box(space, "A-WALL", 120.0, 40.5, 120.25, 48.0)


def _columns_and_axes(space: Modelspace) -> None:
    """Columns of 0.50 m every 12 x 14 m, hatched, on axes that run past the walls."""
    for number, x in enumerate(range(12, 120, 12), start=1):
        _line(space, "S-GRID", (float(x), -4.0), (float(x), 74.0))
        space.add_circle((x * MM_PER_M, -5.0 * MM_PER_M), MM_PER_M, dxfattribs={"layer": "S-GRID"})
        space.add_text(str(number), height=700, dxfattribs={"layer": "S-GRID"}).set_placement(
            (x * MM_PER_M, -5.0 * MM_PER_M), align=TextEntityAlignment.MIDDLE_CENTER
        )
    for y in (14, 28, 42, 56):
        _line(space, "S-GRID", (-8.0, float(y)), (124.0, float(y)))
        for x in range(12, 120, 12):
            corners = [(x - 0.25, y - 0.25), (x + 0.25, y - 0.25), (x + 0.25, y + 0.25), (x - 0.25, y + 0.25)]
            _ring(space, "A-COLS", corners)
            hatch = space.add_hatch(color=8, dxfattribs={"layer": "A-HATCH"})
            hatch.paths.add_polyline_path(_mm(corners), is_closed=True)


def _stalls(space: Modelspace) -> None:
    """Fish stalls, produce tables, bakery counters and the cafe in the wing."""
    for x, y, turn_deg in (
        (4.0, 4.0, 0.0),
        (14.5, 4.0, 0.0),
        (25.0, 4.0, 0.0),
        (11.0, 24.0, 180.0),
        (21.5, 24.0, 180.0),
        (32.0, 24.0, 180.0),
    ):
        _insert(space, "FISH_STALL", "A-COUNTER", (x, y), turn_deg)
    for y in (3.2, 8.4, 17.6, 22.8):
        for column in range(6):
            _insert(space, "PRODUCE_TABLE", "A-COUNTER", (38.5 + 7.6 * column, y))
    for x, y, turn_deg in ((88.0, 7.0, 0.0), (100.0, 7.0, 0.0), (89.0, 17.0, 30.0), (102.0, 17.0, 30.0)):
        _insert(space, "COUNTER", "A-COUNTER", (x, y), turn_deg)
    _box(space, "A-EQPM", 100.0, 0.0, 110.0, 3.0)
    _box(space, "A-EQPM", 118.6, 5.0, 120.0, 17.0)
    for x, y in ((114.0, 8.0), (114.0, 12.0), (114.0, 16.0), (98.5, 13.0), (112.5, 24.0), (87.5, 13.0)):
        _insert(space, "BREAD_TABLE", "A-FURN", (x, y))
    for x, y in ((30.0, 33.5), (54.0, 33.5), (78.0, 33.5), (42.0, 36.5), (66.0, 36.5), (90.0, 36.5)):
        _insert(space, "PRODUCE_TABLE", "A-COUNTER", (x - 2.5, y - 1.0))
    for along_m in (128.0, 131.4, 134.8, 138.2):
        for across_m in (29.5, 33.0):
            seat = affinity.rotate(Point(along_m, across_m), 18.0, origin=(120.0, 36.0))
            _insert(space, "CAFE_TABLE", "A-FURN", (seat.x, seat.y), 18.0)
    bar = affinity.rotate(box(126.0, 42.6, 140.0, 44.0), 18.0, origin=(120.0, 36.0))
    _ring(space, "A-COUNTER", [(float(x), float(y)) for x, y in bar.exterior.coords[:-1]])


def _racks(space: Modelspace) -> None:
    """Shelf racks of dry goods: three by six, aisles of 2.40 m, and a run of shelves along the north wall."""
    for x in (3.0, 26.5, 50.0):
        for y in (44.6, 48.2, 51.8, 58.6, 62.2, 65.8):
            _box(space, "A-RACK", x, y, x + 20.0, y + 1.2)
    _box(space, "A-RACK", 6.0, 69.4, 66.0, 70.0)


def _goods_in(space: Modelspace) -> None:
    """Pallet racks, the loading ramp between its kerbs, and the hatch that no machine may cross."""
    for y in (45.0, 48.9, 52.8):
        _insert(space, "PALLET_RACK", "A-RACK", (75.0, y))
    _box(space, "A-RAMP", 84.0, 58.0, 92.0, 70.0)
    for barb_m in (87.5, 88.5):
        _line(space, "A-ANNO-TEXT", (88.0, 69.0), (barb_m, 68.0))
    _line(space, "A-ANNO-TEXT", (88.0, 59.0), (88.0, 69.0))
    space.add_mtext("Loading ramp\\P6 %\\Pup", dxfattribs={"layer": "A-RAMP", "char_height": 450}).set_location(
        (85_000, 62_000)
    )
    for x in (83.75, 92.0):
        _box(space, "A-WALL", x, 58.0, x + 0.25, 70.0)
    _box(space, "A-NOGO", 96.0, 44.5, 101.0, 48.5)
    space.add_mtext("Cellar hatch, keep off", dxfattribs={"layer": "A-NOGO", "char_height": 350}).set_location(
        (96_200, 47_000)
    )


def _areas(space: Modelspace) -> None:
    """Each piece of work with its name and its surface inside, plus the avenue and the wing."""
    foyer = Point(FOYER_CENTRE_M).buffer(FOYER_RADIUS_M, quad_segs=16).intersection(box(-6.0, 24.0, 0.0, 46.0))
    avenue = unary_union([box(0.0, 28.0, 120.0, 42.0), foyer])
    shapes = [(name, surface, Polygon(corners)) for name, surface, corners in AREAS]
    shapes += [("Avenue", "terrazzo", avenue.buffer(0)), ("Cafe wing", "vinyl", WING.difference(HALL))]
    taken = unary_union([shape for name, _, shape in shapes if name in {"Fish", "Dry goods"}])
    for name, surface, shape in shapes:
        outline = shape.difference(taken) if name == "Avenue" else shape
        _ring(space, "A-AREA", [(float(x), float(y)) for x, y in outline.exterior.coords[:-1]])
        spot = outline.representative_point()
        text = space.add_mtext(f"{name}\\P{surface}", dxfattribs={"layer": "A-AREA", "char_height": 600})
        text.set_location(_mm([(spot.x, spot.y)])[0])


def _service_points(space: Modelspace) -> None:
    """Closet in goods-in: drain, tap, socket and the place where the machine sleeps; drain and tap by the fish."""
    _insert(space, "FLOOR_DRAIN", "P-DRAIN", (76.4, 67.6), name="closet drain")
    _insert(space, "TAP", "P-TAP", (76.8, 67.6), name="closet tap")
    _insert(space, "SOCKET", "E-SOCKET", (78.8, 66.4), name="closet socket")
    _insert(space, "SCRUBBER_PLACE", "PARKING", (78.0, 62.6), name="scrubber place")
    _insert(space, "FLOOR_DRAIN", "P-DRAIN", (0.9, 14.0), name="fish drain")
    _insert(space, "TAP", "P-TAP", (0.9, 14.4), name="fish tap")


def _room_names(space: Modelspace) -> None:
    """Rooms that have no outline of their own: a name and a size inside the walls, as text of their own each."""
    for name, size, at_m in (
        ("Store room", "192 m\u00b2", (109.0, 64.5)),
        ("Cleaning closet", "35 m\u00b2", (76.9, 68.6)),
    ):
        for line, height_m, down_m in ((name, 0.4, 0.0), (size, 0.3, 0.7)):
            space.add_text(line, height=height_m * MM_PER_M, dxfattribs={"layer": "A-ANNO-TEXT"}).set_placement(
                _mm([(at_m[0], at_m[1] - down_m)])[0]
            )


def _paper_matter(space: Modelspace) -> None:
    """Dimensions, north arrow and title: what every sheet carries and no floor needs."""
    for start, end, base in (((0, 0), (120, 0), (0, -9)), ((0, 0), (0, 70), (-12, 0))):
        angle_deg = 0 if start[1] == end[1] else 90
        space.add_linear_dim(
            base=_mm([base])[0], p1=_mm([start])[0], p2=_mm([end])[0], angle=angle_deg, dxfattribs={"layer": "A-DIMS"}
        ).render()
    space.add_text("MARKET HALL - GROUND FLOOR 1:200", height=1500, dxfattribs={"layer": "A-ANNO-TEXT"}).set_placement(
        (0, -16_000)
    )
    _line(space, "A-ANNO-TEXT", (130.0, 66.0), (130.0, 72.0), (129.2, 70.4))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("market_hall.dxf"))
