"""`scrubwright route`: a site and a plate become the route for tonight."""

import argparse
import shlex
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn
from rich.text import Text

from scrubwright.cli.parsing import Commands
from scrubwright.cli.typed import length_m, whole_number
from scrubwright.floor.site import Site
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.route_plan import RouteSettings, route_plan
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.plates import plate_from
from scrubwright.paperwork.route_geojson import route_geojson
from scrubwright.paperwork.route_json import route_json
from scrubwright.paperwork.route_page import route_page
from scrubwright.paperwork.route_svg import route_svg
from scrubwright.paperwork.route_text import route_sections
from scrubwright.paperwork.sites import read_site
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller
from scrubwright.paperwork.writing import write_text

STANDARD_OUTPUT = "-"
SITE_SUFFIXES = (".geojson", ".json")


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
    parser.add_argument(
        "--json",
        metavar="FILE",
        nargs="?",
        const=STANDARD_OUTPUT,
        help="Write the answer as JSON; without FILE, instead of the text.",
    )
    parser.add_argument("--geojson", metavar="FILE", help="Write lanes, stops and leftovers as GeoJSON.")
    parser.add_argument("--svg", metavar="FILE", help="Write the plan as a picture.")
    parser.add_argument("--html", metavar="FILE", help="Write a page that plays the night.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Plan, write what is asked for, tell the answer; 0 when done."""
    files = _files(arguments)
    answer = _answer(arguments, teller)
    # All texts stand ready before the first file is touched.
    texts = [(path, write(answer, teller)) for path, write in files]
    for path, text in texts:
        write_text(path, text)
    if arguments.json == STANDARD_OUTPUT:
        sys.stdout.write(route_json(answer))
    else:
        _tell(answer, [path for path, _ in texts], teller)
    return 0


def _files(arguments: argparse.Namespace) -> list[tuple[Path, Callable[[RouteAnswer, Teller], str]]]:
    """The files asked for and what writes each, checked before any work is done."""
    writers: tuple[tuple[str | None, Callable[[RouteAnswer, Teller], str]], ...] = (
        (arguments.json, lambda answer, _: route_json(answer)),
        (arguments.geojson, lambda answer, _: route_geojson(answer)),
        (arguments.svg, route_svg),
        (arguments.html, route_page),
    )
    files = [(Path(name), write) for name, write in writers if name not in (None, STANDARD_OUTPUT)]
    taken = {Path(arguments.site).resolve(), Path(arguments.machine).resolve()}
    for path, _ in files:
        if path.resolve() in taken:
            raise BadInput("{path} is named twice on the line; give each file a name of its own.", path=str(path))
        taken.add(path.resolve())
        if not path.resolve().parent.is_dir():
            raise BadInput(
                "There is no folder {folder}; make it first, or name a file in a folder that exists.",
                folder=str(path.parent),
            )
    return files


def _answer(arguments: argparse.Namespace, teller: Teller) -> RouteAnswer:
    machines = whole_number("--machines", arguments.machines, 1)
    seed = whole_number("--seed", arguments.seed, 0)
    settings = RouteSettings(
        overlap_m=None if arguments.overlap is None else length_m("--overlap", arguments.overlap, teller.system),
        flow=arguments.flow,
    )
    plate = plate_from(Path(arguments.machine))
    site = _site(Path(arguments.site), teller)
    with _progress(teller) as tell_progress:
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


def _site(path: Path, teller: Teller) -> Site:
    """The site in a file; what is doubtful in it is told on stderr, beside the answer."""
    if path.suffix.lower() not in SITE_SUFFIXES and path.is_file():
        raise BadInput(
            "{file} is no site file. Make one first: {command}",
            file=path.name,
            command=f"scrubwright floor {shlex.quote(str(path))} -o {shlex.quote(str(path.with_suffix('.geojson')))}",
        )
    reading = read_site(path)
    for warning in reading.warnings:
        print(wrapped(teller.tell(warning)), file=sys.stderr)
    return reading.site


@contextmanager
def _progress(teller: Teller) -> Iterator[Callable[[float], None]]:
    """A bar with the time left on a terminal; nothing where nobody watches."""
    console = Console(stderr=True)
    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(compact=True),
        console=console,
        transient=True,
        disable=not console.is_terminal,
    )
    with bar:
        task = bar.add_task(teller.words("Planning"), total=1.0)
        yield lambda fraction: bar.update(task, completed=fraction)


def _tell(answer: RouteAnswer, written: list[Path], teller: Teller) -> None:
    """The answer on stdout, headings in bold where the terminal can and may."""
    console = Console(file=sys.stdout, highlight=False, soft_wrap=True)
    for number, section in enumerate(route_sections(answer, teller)):
        if number:
            console.print()
        console.print(Text(section.heading, style="bold"))
        console.print(Text(section.body))
    if written:
        console.print()
    for path in written:
        console.print(Text(teller.words("Written: {path}", path=str(path))))
