"""`scrubwright route`: a site and a plate become the route for tonight."""

import argparse
import sys
import time
from pathlib import Path

import numpy as np

from scrubwright.cli.output import STANDARD_OUTPUT, check_files, describe_json, tell_sections, write_asked
from scrubwright.cli.parsing import Commands
from scrubwright.cli.planning import progress_bar, site_from
from scrubwright.cli.typed import length_m, whole_number
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.route_plan import RouteSettings, route_plan
from scrubwright.paperwork.plates import plate_from
from scrubwright.paperwork.route_geojson import route_geojson
from scrubwright.paperwork.route_json import route_json
from scrubwright.paperwork.route_page import route_page
from scrubwright.paperwork.route_svg import route_svg
from scrubwright.paperwork.route_text import route_sections
from scrubwright.paperwork.wording import Teller


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "route",
        help="Plan the route for tonight.",
        description="Plans by which way the machine scrubs a floor, in what time, with how many stops to dump and "
        "fill, and tells what it leaves and why.",
        epilog="scrubwright route hall.geojson --machine mid-cylindrical.toml --html tonight.html",
    )
    parser.add_argument("site", metavar="SITE", help="A site file, as scrubwright floor writes it.")
    parser.add_argument("--machine", metavar="PLATE", required=True, help="The machine's plate file (TOML).")
    parser.add_argument("--machines", metavar="N", default="1", help="How many such machines work at once; else 1.")
    parser.add_argument("--floor", metavar="NAME", help="The floor to plan, where the site has several.")
    parser.add_argument("--overlap", metavar="LENGTH", help="Least overlap of lanes, such as 40mm; else the plate's.")
    parser.add_argument("--flow", metavar="NAME", help="The flow setting of the plate to use.")
    parser.add_argument("--seed", metavar="N", default="1", help="The same number gives the same plan; else 1.")
    describe_json(parser)
    parser.add_argument("--geojson", metavar="FILE", help="Write lanes, stops and leftovers as GeoJSON.")
    parser.add_argument("--svg", metavar="FILE", help="Write the plan as a picture.")
    parser.add_argument("--html", metavar="FILE", help="Write a page that plays the night.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Plan, write what is asked for, tell the answer; 0 when done."""
    names = (arguments.json, arguments.geojson, arguments.svg, arguments.html)
    check_files((arguments.site, arguments.machine), names)
    answer = _answer(arguments, teller)
    makers = (
        lambda: route_json(answer),
        lambda: route_geojson(answer),
        lambda: route_svg(answer, teller),
        lambda: route_page(answer, teller),
    )
    written = write_asked(zip(names, makers, strict=True))
    if arguments.json == STANDARD_OUTPUT:
        sys.stdout.write(route_json(answer))
    else:
        tell_sections(route_sections(answer, teller), written, teller)
    return 0


def _answer(arguments: argparse.Namespace, teller: Teller) -> RouteAnswer:
    machines = whole_number("--machines", arguments.machines, 1)
    seed = whole_number("--seed", arguments.seed, 0)
    settings = RouteSettings(
        overlap_m=None if arguments.overlap is None else length_m("--overlap", arguments.overlap, teller.system),
        flow=arguments.flow,
    )
    plate = plate_from(Path(arguments.machine))
    site = site_from(Path(arguments.site), teller)
    with progress_bar(teller) as tell_progress:
        return route_plan(
            site,
            plate,
            floor_name=arguments.floor,
            machines=machines,
            settings=settings,
            rng=np.random.default_rng(seed),
            progress=tell_progress,
            clock=time.perf_counter,
        )
