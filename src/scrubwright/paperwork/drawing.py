"""A floor drawing of any kind becomes a site: pick the reader by content, run it within limits.

How a reader joins in
---------------------
A reader is one module in `scrubwright.paperwork.readers` with one public function::

    def sketch(path: Path, options: DrawingOptions) -> Sketch

It hands over what is drawn, in drawing units with y up, each `Piece` with its role, and neither
scales nor mends: `scrubwright.paperwork.cleaning` does that for every kind of drawing alike. What
the reader dropped or could not follow it says in `Sketch.warnings`. It runs in a child process
within `scrubwright.paperwork.child.Limits`, without network; it may raise `UnreadablePaper` or
`BadInput`. Rings may be open, crossed or invalid, but their coordinates must be finite.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from shapely import LineString
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.site import Edges, Site
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import METRES_PER_FOOT
from scrubwright.paperwork import child

LARGEST_FILE_BYTES = 64_000_000
# Longer names would not fit on any sheet; readers cut them.
LONGEST_NAME = 60
VECTOR_TOLERANCE_M = 0.01
RASTER_TOLERANCE_M = 0.04


class Role(StrEnum):
    """What a drawn thing is to the person who cleans the floor.

    floor: a room or the outline of the building, floor unless something else says not
    wall: a polygon is solid; lines, closed or not, are the faces of walls, and a lone line is a thin wall
    obstacle: stands on the floor and is driven round (rack, counter, column)
    door: floor between two walls, or the line across an opening
    area: floor cleaned as one piece of work
    no_go: floor that the machine keeps off
    ramp: sloping floor
    drain, tap, socket, parking: points
    ignore: nothing to do with the floor
    """

    FLOOR = "floor"
    WALL = "wall"
    OBSTACLE = "obstacle"
    DOOR = "door"
    AREA = "area"
    NO_GO = "no_go"
    RAMP = "ramp"
    DRAIN = "drain"
    TAP = "tap"
    SOCKET = "socket"
    PARKING = "parking"
    IGNORE = "ignore"


class DrawingUnit(StrEnum):
    """A unit that a drawing may be drawn in."""

    MILLIMETRE = "mm"
    CENTIMETRE = "cm"
    METRE = "m"
    INCH = "in"
    FOOT = "ft"

    @property
    def length_m(self) -> float:
        """One of it [m]; exact by definition."""
        return _UNIT_LENGTHS_M[self]


_UNIT_LENGTHS_M = {
    DrawingUnit.MILLIMETRE: 0.001,
    DrawingUnit.CENTIMETRE: 0.01,
    DrawingUnit.METRE: 1.0,
    DrawingUnit.INCH: METRES_PER_FOOT / 12,
    DrawingUnit.FOOT: METRES_PER_FOOT,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownDistance:
    """A distance somebody measured on the real floor, and the same one on the drawing.

    Parameters
    ----------
    line
        From one point of the drawing to the other, in drawing units (pixels of a picture).
    distance_m
        The real distance between the two [m, > 0].
    """

    line: LineString
    distance_m: float

    def __post_init__(self) -> None:
        if not 0 < self.distance_m < math.inf:
            raise BadInput(
                "The known distance is {given}; enter the metres between two points, such as 12.5.",
                given=str(self.distance_m),
            )
        if not 0 < self.line.length < math.inf:
            raise BadInput("The two points of the known distance are the same; choose two that lie far apart.")

    @property
    def unit_m(self) -> float:
        """One drawing unit [m]."""
        return self.distance_m / float(self.line.length)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingOptions:
    """What a person may say about a drawing that it does not say itself.

    Parameters
    ----------
    unit
        The unit it is drawn in; None takes what the file says, or a guess by sizes.
    known_distance
        One measured distance; settles the scale whatever else is said.
    storey
        The storey to read, or the page of a PDF; None reads all storeys, or the only page.
    layers
        Layer or kind names and their roles, where the usual table is wrong.
    drains_m, taps_m, sockets_m, parking_m
        Points (x, y) in metres of the scaled drawing. A drain and a tap in one spot are one service point.
    """

    unit: DrawingUnit | None = None
    known_distance: KnownDistance | None = None
    storey: str | None = None
    layers: tuple[tuple[str, Role], ...] = ()
    drains_m: tuple[tuple[float, float], ...] = ()
    taps_m: tuple[tuple[float, float], ...] = ()
    sockets_m: tuple[tuple[float, float], ...] = ()
    parking_m: tuple[float, float] | None = None

    def role_of(self, layer: str) -> Role | None:
        """The role that the person gave to a layer, whatever its case; None where they gave none."""
        for name, role in self.layers:
            if name.casefold() == layer.casefold():
                return role
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One drawn thing.

    Parameters
    ----------
    shape
        Polygon or MultiPolygon for what has an area, LineString for loose lines, Point for points;
        drawing units, y up; may be invalid.
    name
        What the drawing calls it, or "".
    where
        Where in the file, for the person who mends it, such as "#120 IfcWall" or "layer A-WALL" as a sentence.
    surface, priority, passes, edges, people, window_from_h, window_until_h
        Of an area, where the drawing says.
    slope_fraction, uphill_rad
        Of a ramp, where the drawing says: rise over run, and the climbing direction anticlockwise from x.
    """

    role: Role
    shape: BaseGeometry
    name: str = ""
    where: str | Sentence = ""
    surface: str = ""
    priority: int = 1
    passes: int = 1
    edges: Edges = Edges.EVERY_TIME
    people: bool = False
    window_from_h: float | None = None
    window_until_h: float | None = None
    slope_fraction: float | None = None
    uphill_rad: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words written on the drawing, which name or describe the outline that they stand in.

    Parameters
    ----------
    lines
        What is written, line by line, without formatting codes; at least one.
    upright
        A line through the middle of the first written line, from the foot of its letters to their head.
    where
        As of a piece: words on the layer of an outline belong to it before all others.
    role
        What else is on that layer: words among obstacles name obstacles only. None or IGNORE may name anything.
    """

    lines: tuple[str, ...]
    upright: LineString
    where: str | Sentence = ""
    role: Role | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Storey:
    """What one storey or page shows.

    Parameters
    ----------
    rooms
        Rooms that have names of their own, whatever the floor is made of; role FLOOR.
    labels
        Words that name or describe what they stand in.
    arrows
        Lines from tail to head that lie on ramps.
    """

    name: str
    pieces: tuple[Piece, ...]
    rooms: tuple[Piece, ...] = ()
    labels: tuple[Label, ...] = ()
    arrows: tuple[LineString, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """What a reader hands over, before anything is scaled or mended.

    Parameters
    ----------
    kind
        What the file is: "GeoJSON", "DXF", "IFC", "picture", "occupancy grid".
    unit_m
        One drawing unit [m] as the file says; None where it does not, so that cleaning guesses or asks.
    tolerance_m
        How far cleaning may move a line [m]: VECTOR_TOLERANCE_M, or RASTER_TOLERANCE_M for traced pixels.
    warnings
        What was dropped, capped or not followed.
    """

    kind: str
    storeys: tuple[Storey, ...]
    unit_m: float | None
    tolerance_m: float = VECTOR_TOLERANCE_M
    warnings: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A site as read, and what was repaired, dropped or doubtful on the way."""

    site: Site
    warnings: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of drawing: what it is called, its reader's module and the suffixes it usually has."""

    name: str | Sentence
    module: str
    suffixes: tuple[str, ...]


_READERS = "scrubwright.paperwork.readers."
GEOJSON = Kind(name="GeoJSON", module=_READERS + "geojson", suffixes=(".geojson", ".json"))
DXF = Kind(name="DXF", module=_READERS + "dxf", suffixes=(".dxf",))
IFC = Kind(name="IFC", module=_READERS + "ifc", suffixes=(".ifc",))
PICTURE = Kind(name=Sentence("picture"), module=_READERS + "picture", suffixes=(".png", ".jpg", ".jpeg", ".pdf"))
GRID = Kind(name=Sentence("occupancy grid"), module=_READERS + "grid", suffixes=(".yaml", ".yml", ".pgm"))

_SIGNS = (
    (b"\x89PNG\r\n\x1a\n", PICTURE),
    (b"\xff\xd8\xff", PICTURE),
    (b"%PDF", PICTURE),
    (b"P5", GRID),
    (b"P2", GRID),
    (b"ISO-10303-21", IFC),
    (b"AutoCAD Binary DXF", DXF),
    (b"{", GEOJSON),
)
_REFUSED: tuple[tuple[bytes, str | Sentence, str | Sentence], ...] = (
    (b"AC1", "DWG", "DXF"),
    (b"PK", "ZIP", Sentence("the drawing inside, unpacked,")),
    (b"<", Sentence("XML or SVG"), Sentence("DXF, GeoJSON or PNG")),
    (b"GIF8", "GIF", "PNG"),
    (b"BM", "BMP", "PNG"),
    (b"II*\x00", "TIFF", "PNG"),
    (b"MM\x00*", "TIFF", "PNG"),
)


def read_drawing(path: Path, options: DrawingOptions | None = None, *, limits: child.Limits | None = None) -> Reading:
    """The site that a drawing shows, with a warning for whatever was repaired, dropped or doubtful.

    The reader is picked by what the file holds, not by its suffix, and runs in a child process.

    Raises
    ------
    UnreadablePaper
        No such file, too large, of no known kind, damaged, or past a limit of the child process.
    BadInput
        The drawing shows no floor, or what was said about it cannot be.
    """
    kind = kind_of(path)
    reading = child.result_of(
        "scrubwright.paperwork.cleaning:reading_of_file",
        (kind.module, path, options or DrawingOptions()),
        limits or child.Limits(),
        file=path.name,
    )
    if not isinstance(reading, Reading):
        raise TypeError("a reader returned something that is no Reading")
    if path.suffix.lower() in kind.suffixes:
        return reading
    wrong = Sentence(
        "{file} is {kind} inside, whatever its name says; it was read as that.", file=path.name, kind=kind.name
    )
    return Reading(site=reading.site, warnings=(wrong, *reading.warnings))


def kind_of(path: Path) -> Kind:
    """The kind of drawing that a file is, by its first bytes.

    Raises
    ------
    UnreadablePaper
        No such file, empty, larger than 64 MB, or of no kind that can be read.
    """
    start = _first_bytes(path)
    for sign, name, instead in _REFUSED:
        if start.startswith(sign):
            raise UnreadablePaper(
                "{file} is a {kind} file, which cannot be read here. Save it as {instead} and read that.",
                file=path.name,
                kind=name,
                instead=instead,
            )
    for sign, kind in _SIGNS:
        if start.startswith(sign):
            return kind
    words = start.split(maxsplit=2)
    if words[:1] in ([b"0"], [b"999"]):
        return DXF
    if b"image:" in start:
        return GRID
    raise UnreadablePaper(
        "{file} holds no drawing that can be read. Use DXF, GeoJSON, IFC, PNG, JPEG, PDF, or a grid map with its YAML.",
        file=path.name,
    )


def _first_bytes(path: Path) -> bytes:
    """The beginning of a file without byte order mark and blanks, once its size is allowed."""
    if not path.is_file():
        raise UnreadablePaper("There is no file {file}. Check the name and the folder.", file=str(path))
    size_bytes = path.stat().st_size
    if size_bytes > LARGEST_FILE_BYTES:
        raise UnreadablePaper(
            "{file} is {size_bytes}; a drawing may be {limit_bytes}. Save only the storey you need, without pictures.",
            file=path.name,
            size_bytes=float(size_bytes),
            limit_bytes=float(LARGEST_FILE_BYTES),
        )
    with path.open("rb") as file:
        start = file.read(4096)
    start = start.removeprefix(b"\xef\xbb\xbf").lstrip()
    if not start:
        raise UnreadablePaper("{file} is empty. Save the drawing again.", file=path.name)
    return start
