"""`scrubwright floor`: a drawing of any kind becomes a clean site file."""

import argparse
import shlex
from pathlib import Path

from shapely import LineString

from scrubwright.cli.parsing import Commands
from scrubwright.cli.typed import length_m, numbers, point_m, whole_number
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.drawing import DrawingOptions, DrawingUnit, KnownDistance, Role, read_drawing
from scrubwright.paperwork.floor_text import floor_text, missing_for_a_plan
from scrubwright.paperwork.sites import site_text
from scrubwright.paperwork.wording import Teller
from scrubwright.paperwork.writing import write_text


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "floor",
        help="Clean a floor drawing into a site file.",
        description="Reads a floor drawing (DXF, IFC, GeoJSON, PNG, JPEG, PDF, grid map), mends it, tells what it "
        "holds and what a plan still needs, and writes a site file. Coordinates are metres, or feet with --units us.",
        epilog="scrubwright floor hall.dxf -o hall.geojson --unit mm --drain 2,3 --tap 2,3 --park 5,3",
    )
    parser.add_argument("drawing", metavar="FILE", help="The drawing.")
    parser.add_argument("-o", "--out", metavar="SITE", help="Write the site here (GeoJSON); without it, only tell.")
    parser.add_argument("--unit", metavar="mm|cm|m|ft|in", help="The unit the drawing is drawn in.")
    parser.add_argument(
        "--scale",
        metavar="X1,Y1,X2,Y2,DISTANCE",
        help="Two points of the drawing (pixels of a picture) and the real distance between them.",
    )
    parser.add_argument("--page", metavar="N", help="The page of a PDF.")
    parser.add_argument("--storey", metavar="NAME", help="The storey to read; without it, all of them.")
    parser.add_argument(
        "--layer",
        metavar="NAME=ROLE",
        action="append",
        default=[],
        help="What a layer holds: floor, wall, obstacle, door, area, no_go, ramp, drain, tap, socket, parking or "
        "ignore. May be repeated.",
    )
    parser.add_argument("--drain", metavar="X,Y", action="append", default=[], help="A drain. May be repeated.")
    parser.add_argument("--tap", metavar="X,Y", action="append", default=[], help="A water tap. May be repeated.")
    parser.add_argument(
        "--socket", metavar="X,Y", action="append", default=[], help="A charging socket. May be repeated."
    )
    parser.add_argument("--park", metavar="X,Y", help="Where the machine starts and ends.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Read the drawing, tell about it, write the site; 0 when done."""
    options = drawing_options(arguments, teller.system)
    drawing = Path(arguments.drawing)
    out = Path(arguments.out) if arguments.out else None
    if out is not None and out.resolve() == drawing.resolve():
        raise BadInput("{path} is the drawing itself; write the site to another file.", path=arguments.out)
    reading = read_drawing(drawing, options)
    report = floor_text(reading.site, reading.warnings, teller)
    if out is not None:
        write_text(out, site_text(reading.site))
        report += "\n\n" + teller.words("Written: {path}", path=str(out))
        if not any(missing_for_a_plan(floor, teller) for floor in reading.site.floors):
            command = f"scrubwright route {shlex.quote(str(out))} --machine PLATE"
            report += "\n" + teller.words("Next: {command}", command=command)
    print(report)
    return 0


def drawing_options(arguments: argparse.Namespace, system: UnitSystem) -> DrawingOptions:
    """What was typed about the drawing.

    Raises
    ------
    BadInput
        Something typed cannot be understood.
    """
    if arguments.page is not None and arguments.storey is not None:
        raise BadInput("Both --page and --storey are given; a PDF has pages, other drawings have storeys: give one.")
    page = None if arguments.page is None else str(whole_number("--page", arguments.page, 1))
    return DrawingOptions(
        unit=None if arguments.unit is None else _unit(arguments.unit),
        known_distance=None if arguments.scale is None else _known_distance(arguments.scale, system),
        storey=page or arguments.storey,
        layers=tuple(_layer(text) for text in arguments.layer),
        drains_m=tuple(point_m("--drain", text, system) for text in arguments.drain),
        taps_m=tuple(point_m("--tap", text, system) for text in arguments.tap),
        sockets_m=tuple(point_m("--socket", text, system) for text in arguments.socket),
        parking_m=None if arguments.park is None else point_m("--park", arguments.park, system),
    )


def _unit(text: str) -> DrawingUnit:
    known = [unit.value for unit in DrawingUnit]
    if text.lower() not in known:
        raise BadInput('--unit is "{given}"; choose one of: {known}.', given=text, known=", ".join(known))
    return DrawingUnit(text.lower())


def _known_distance(text: str, system: UnitSystem) -> KnownDistance:
    separator = ";" if ";" in text else ","
    ends, _, distance = text.rpartition(separator)
    if ends.count(separator) != 3:
        raise BadInput(
            '--scale is "{given}"; enter two points of the drawing and the real distance between them: '
            "X1,Y1,X2,Y2,DISTANCE, such as 0,0,850,0,12.5m.",
            given=text,
        )
    x1, y1, x2, y2 = numbers("--scale", ends, 4, "0,0,850,0")
    return KnownDistance(line=LineString([(x1, y1), (x2, y2)]), distance_m=length_m("--scale", distance, system))


def _layer(text: str) -> tuple[str, Role]:
    name, equals, role = text.rpartition("=")
    wanted = role.strip().lower().replace("-", "_").replace(" ", "_")
    known = [each.value for each in Role]
    if not equals or not name or wanted not in known:
        raise BadInput(
            '--layer is "{given}"; enter the layer, = and what it holds, such as A-WALL=wall. It may hold: {known}.',
            given=text,
            known=", ".join(known),
        )
    return name, Role(wanted)
