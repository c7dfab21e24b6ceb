"""`scrubwright shift`: does this machine finish this floor on this charge, and is it dry in time."""

import argparse
import sys
import time
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import numpy as np

from scrubwright.cli.amounts import duration_h, temperature_k
from scrubwright.cli.clock import day_of, end_at, start_at
from scrubwright.cli.output import (
    STANDARD_OUTPUT,
    check_files,
    describe_json,
    describe_paper,
    paper_of,
    tell_sections,
    write_asked,
)
from scrubwright.cli.parsing import Commands, Parser
from scrubwright.cli.planning import progress_bar, site_from
from scrubwright.cli.shares import share_fraction
from scrubwright.cli.typed import length_m, whole_number
from scrubwright.floor.site import Site
from scrubwright.jobs.shift_answer import ShiftAnswer
from scrubwright.jobs.shift_question import Air, MachineTonight, Rates, ShiftQuestion, ShiftSettings
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.plates import plate_from
from scrubwright.paperwork.readings import Readings, read_readings
from scrubwright.paperwork.shift_json import shift_json
from scrubwright.paperwork.shift_text import shift_sections, shift_text
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

DONE = 0
_SECONDS_PER_H = 3600.0


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "shift",
        help="Tell whether a floor gets done on this charge and dry in time.",
        description="Joins floor, water, charge, people and the clock: whether the machine finishes and the floor is "
        "dry in time, how likely, what fails first, and what would make it fit.",
        epilog="scrubwright shift hall.geojson --machine mid.toml --pack pack.toml --charge 85% --start 21:30 "
        "--dry-by 05:30",
    )
    parser.add_argument("site", metavar="SITE", help="A site file, as scrubwright floor writes it.")
    parser.add_argument("--machine", metavar="PLATE", required=True, help="The machine's plate file (TOML).")
    parser.add_argument("--start", metavar="TIME", required=True, help="When it may leave, such as 21:30: the next.")
    parser.add_argument(
        "--dry-by", metavar="TIME", required=True, help="When the floor must be dry, such as 05:30: the first after."
    )
    parser.add_argument("--pack", metavar="PACK", help="The pack's file (TOML); it must be named.")
    parser.add_argument("--charge", metavar="SHARE", help="Charge left at the start, such as 0.85 or 85%.")
    parser.add_argument("--readings", metavar="READINGS", help="The pack's readings (CSV or XLSX).")
    parser.add_argument(
        "--charge-from-readings", action="store_true", help="Take the charge from the newest of the readings."
    )
    parser.add_argument("--log", metavar="LOG", help="Its log of shifts at this site: the rates come from there.")
    parser.add_argument("--day", metavar="DATE", help="Day of the start, such as 2026-01-31; else the next such time.")
    parser.add_argument("--machines", metavar="N", default="1", help="How many such machines work at once; else 1.")
    parser.add_argument("--floor", metavar="NAME", help="The floor to plan, where the site has several.")
    _describe_settings(parser.add_argument)
    parser.add_argument("--samples", metavar="N", default="4096", help="How many shifts are drawn; else 4096.")
    parser.add_argument("--seed", metavar="N", default="1", help="The same number gives the same plan; else 1.")
    describe_output(parser)


def describe_output(parser: Parser) -> None:
    """In which forms the answer may be had."""
    parser.add_argument("--html", metavar="FILE", help="Write a page that plays the night.")
    parser.add_argument("--pdf", metavar="FILE", help="Write the run sheet to print.")
    describe_paper(parser)
    describe_json(parser)
    parser.add_argument("-o", "--out", metavar="FILE", help="Write the text to this file, not to the terminal.")


def _describe_settings(add: Callable[..., object]) -> None:
    """What a person may choose for one shift."""
    add("--air", metavar="DEGREES", help="Air over the floor, such as 18C; else 20 °C.")
    add("--humidity", metavar="SHARE", help="Relative humidity of the air, such as 0.6 or 60%; else 50 %.")
    add("--overlap", metavar="LENGTH", help="Least overlap of lanes, such as 40mm; else the plate's.")
    add("--flow", metavar="NAME", help="The flow setting of the plate to use.")
    add("--pressure", metavar="NAME", help="The pressure step of the plate to use; else the middle one.")
    add(
        "--leave-out",
        metavar="AREA",
        action="append",
        default=[],
        help="An area that is not cleaned tonight. May be repeated.",
    )
    add("--no-edges", action="store_true", help="No passes along walls and racks tonight.")
    add("--important-first", action="store_true", help="Areas in order of their priority.")
    add("--contact", metavar="TIME", help="How long the solution acts in a double scrub, such as 5min; else 5 min.")
    add("--reserve", metavar="SHARE", help="Charge that must be left at the end, such as 20%; else 20 %.")
    add("--no-charging", action="store_true", help="Never plug in on the way.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Plan, write what is asked for, tell the answer; 0 when done."""
    given = (arguments.site, arguments.machine, arguments.pack, arguments.readings, arguments.log)
    check_files(given, (arguments.json, arguments.html, arguments.pdf, arguments.out))
    samples = whole_number("--samples", arguments.samples, 1)
    seed = whole_number("--seed", arguments.seed, 0)
    question = question_from(arguments, teller, now=datetime.now())
    # The statistics behind a shift take half a second to load, so only who asks for one waits for them.
    from scrubwright.jobs.shift_plan import shift_plan

    with progress_bar(teller) as tell_progress:
        answer = shift_plan(
            question,
            rng=np.random.default_rng(seed),
            samples=samples,
            progress=tell_progress,
            clock=time.perf_counter,
        )
    tell_answer(arguments, answer, teller)
    return DONE


def tell_answer(arguments: argparse.Namespace, answer: ShiftAnswer, teller: Teller) -> None:
    """Write what is asked for, and tell the answer where it is not written instead."""
    written = write_asked(
        (
            (arguments.json, lambda: shift_json(answer)),
            (arguments.html, lambda: _page(answer, teller)),
            (arguments.pdf, lambda: _sheet(answer, teller, arguments.paper)),
            (arguments.out, lambda: shift_text(answer, teller) + "\n"),
        )
    )
    if arguments.json == STANDARD_OUTPUT:
        sys.stdout.write(shift_json(answer))
    elif arguments.out is None:
        tell_sections(shift_sections(answer, teller), written, teller)


def question_from(arguments: argparse.Namespace, teller: Teller, *, now: datetime) -> ShiftQuestion:
    """The question as typed, its files read.

    Raises
    ------
    BadInput, UnreadablePaper
        Something that cannot be used, in one sentence.
    """
    day = None if arguments.day is None else day_of("--day", arguments.day)
    begun = start_at("--start", arguments.start, now, day)
    dry_by = end_at("--dry-by", arguments.dry_by, begun)
    machines = whole_number("--machines", arguments.machines, 1)
    settings = _settings(arguments, teller)
    air = _air(arguments, teller)
    charge = _charge(arguments)
    if arguments.pack is None:
        raise BadInput(
            "Which pack is in it? The plate does not say what it holds. Name its file with --pack; a blank one to fill "
            "in comes from: scrubwright pack --blank -o pack.toml"
        )
    plate = plate_from(Path(arguments.machine))
    site = site_from(Path(arguments.site), teller)
    tonight = _tonight(arguments, plate, site, begun, charge, teller)
    return ShiftQuestion(
        site=site,
        machines=(tonight,) * machines,
        start_at=begun,
        dry_by=dry_by,
        floor_name=arguments.floor,
        air=air,
        settings=settings,
    )


def _charge(arguments: argparse.Namespace) -> float | None:
    """The charge as typed; None where the readings are to tell it."""
    if arguments.charge is not None and arguments.charge_from_readings:
        raise BadInput("The charge is given twice; keep --charge or --charge-from-readings, not both.")
    if arguments.charge is not None:
        return share_fraction("--charge", arguments.charge)
    if not arguments.charge_from_readings:
        raise BadInput(
            "How much charge is left at the start? Enter it, such as --charge 85%, or let the readings tell it with "
            "--readings FILE --charge-from-readings."
        )
    if arguments.readings is None:
        raise BadInput("--charge-from-readings needs the readings; name their file with --readings.")
    return None


def _settings(arguments: argparse.Namespace, teller: Teller) -> ShiftSettings:
    usual = ShiftSettings()
    contact, reserve = arguments.contact, arguments.reserve
    return ShiftSettings(
        overlap_m=None if arguments.overlap is None else length_m("--overlap", arguments.overlap, teller.system),
        flow=arguments.flow,
        pressure=arguments.pressure,
        leave_out=tuple(arguments.leave_out),
        contact_s=usual.contact_s if contact is None else _SECONDS_PER_H * duration_h("--contact", contact),
        reserve_fraction=usual.reserve_fraction if reserve is None else share_fraction("--reserve", reserve),
        charge_on_the_way=not arguments.no_charging,
        important_first=arguments.important_first,
        edges=not arguments.no_edges,
    )


def _air(arguments: argparse.Namespace, teller: Teller) -> Air:
    usual, air, humidity = Air(), arguments.air, arguments.humidity
    return Air(
        air_k=usual.air_k if air is None else temperature_k("--air", air, teller.system),
        humidity_fraction=usual.humidity_fraction if humidity is None else share_fraction("--humidity", humidity),
    )


def _tonight(
    arguments: argparse.Namespace, plate: Plate, site: Site, begun: datetime, charge: float | None, teller: Teller
) -> MachineTonight:
    """The machine by its papers; what its readings warn of is told on stderr, beside the answer."""
    from scrubwright.jobs.shift_tonight import tonight

    paper = pack_from(Path(arguments.pack))
    readings = Readings(visits=())
    if arguments.readings is not None:
        readings = read_readings(Path(arguments.readings), paper, today=begun.date())
    found = tonight(
        plate,
        paper.pack,
        paper.charger,
        readings.visits,
        at=begun,
        charge_fraction=charge,
        rates=None if arguments.log is None else _rates(Path(arguments.log), plate, site, begun.date(), teller),
    )
    for warning in (*readings.warnings, *found.told):
        print(wrapped(teller.tell(warning)), file=sys.stderr)
    return found.machine


def _page(answer: ShiftAnswer, teller: Teller) -> str:
    from scrubwright.paperwork.shift_page import shift_page

    return shift_page(answer, teller)


def _sheet(answer: ShiftAnswer, teller: Teller, paper: str | None) -> bytes:
    from scrubwright.paperwork.shift_sheet import shift_sheet

    return shift_sheet(answer, teller, paper_of(paper, teller))


def _rates(path: Path, plate: Plate, site: Site, now: date, teller: Teller) -> Rates:
    """What the machine and its driver really do at this site, by its log."""
    from scrubwright.jobs.shift_learning import learned_rates
    from scrubwright.paperwork.shift_log import read_shift_log

    log = read_shift_log(path)
    for warning in log.warnings:
        print(wrapped(teller.tell(warning)), file=sys.stderr)
    own = [each for each in log.shifts if each.machine == plate.name and each.site == site.name]
    if not own:
        raise BadInput(
            "{file} has no shift of {machine} at {site}; check both names in the log, or leave --log out.",
            file=path.name,
            machine=plate.name,
            site=site.name,
        )
    return learned_rates(Rates(), own, now)
