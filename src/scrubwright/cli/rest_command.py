"""`scrubwright rest`: what is left of a shift, planned anew in the middle of it."""

import argparse
import re
from pathlib import Path

import numpy as np

from scrubwright.cli.clock import end_at
from scrubwright.cli.output import check_files
from scrubwright.cli.parsing import Commands
from scrubwright.cli.planning import progress_bar, site_from
from scrubwright.cli.shares import share_fraction
from scrubwright.cli.shift_command import DONE, describe_output, tell_answer
from scrubwright.cli.typed import whole_number
from scrubwright.jobs.shift_answer import ShiftAnswer
from scrubwright.jobs.shift_question import ShiftQuestion
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.plates import plate_from
from scrubwright.paperwork.shift_plan_file import PlanFile, check_same_lanes, plan_file, question_of
from scrubwright.paperwork.wording import Teller

# The first plan is made again for its lanes alone, not for its chance.
_FEWEST_SAMPLES = 64
_RUN = re.compile(r"(\d{1,6})(?:-(\d{1,6}))?")


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "rest",
        help="Plan the rest of a shift anew in the middle of it.",
        description="Done lanes stay done. Tell where it stands, what is blocked or lost, and by when it must be dry; "
        "the rest is planned from there. Lane numbers are those of the first plan's sheet.",
        epilog="scrubwright rest tonight.json hall.geojson --machine mid.toml --pack pack.toml --now 23:40 --done 1-14 "
        "--charge 62% --blocked 22,23",
    )
    add = parser.add_argument
    add("plan", metavar="SHIFT", help="The shift as it was planned first (JSON), as scrubwright shift --json wrote it.")
    add("site", metavar="SITE", help="The site file that it was planned with.")
    add("--machine", metavar="PLATE", required=True, help="The plate file that it was planned with.")
    add("--pack", metavar="PACK", required=True, help="The pack file that it was planned with.")
    add("--now", metavar="TIME", required=True, help="When it goes on, such as 23:40: the first after the start.")
    add("--charge", metavar="SHARE", required=True, help="Charge left now, such as 62%, in the emptiest of the packs.")
    add(
        "--done",
        metavar="LANES",
        default="",
        help="Lanes that are done, the last one last, such as 1-14,17; else none.",
    )
    add(
        "--blocked",
        metavar="WHAT",
        action="append",
        default=[],
        help="Lanes such as 22,23, or an area, that cannot be driven on. May be repeated.",
    )
    add("--tank", metavar="SHARE", help="How full the solution tank is, such as 40%; else as planned.")
    add("--machines", metavar="N", help="How many machines go on; else as many as began.")
    add("--dry-by", metavar="TIME", help="When the floor must be dry now; else as planned.")
    add("--samples", metavar="N", default="1024", help="How many shifts are drawn; else 1024.")
    add("--seed", metavar="N", default="1", help="The --seed of the first plan; else 1.")
    describe_output(parser)


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Plan the first shift again, check that its lanes are the printed ones, plan its rest; 0 when done."""
    given = (arguments.plan, arguments.site, arguments.machine, arguments.pack)
    check_files(given, (arguments.json, arguments.html, arguments.pdf, arguments.out))
    samples = whole_number("--samples", arguments.samples, 1)
    seed = whole_number("--seed", arguments.seed, 0)
    machines = None if arguments.machines is None else whole_number("--machines", arguments.machines, 1)
    done = lane_numbers("--done", arguments.done)
    charge_fraction = share_fraction("--charge", arguments.charge)
    tank_fraction = None if arguments.tank is None else share_fraction("--tank", arguments.tank)
    plan = plan_file(Path(arguments.plan))
    question = _question(arguments, plan, teller)
    now = end_at("--now", arguments.now, question.start_at)
    dry_by = None if arguments.dry_by is None else end_at("--dry-by", arguments.dry_by, now)
    from scrubwright.jobs.shift_planned import shift_planned
    from scrubwright.jobs.shift_rest import blocked_floor, rest_of_shift

    with progress_bar(teller) as tell_progress:
        first = shift_planned(
            question, rng=np.random.default_rng(seed), samples=_FEWEST_SAMPLES, progress=tell_progress
        ).answer
    check_same_lanes(plan, first.route.lanes, Path(arguments.plan))
    lanes, areas = _blocked(arguments.blocked, first)
    rest = rest_of_shift(
        first,
        done,
        now=now,
        dry_by=dry_by,
        charge_fraction=charge_fraction,
        machines=machines,
        tank_fraction=tank_fraction,
        blocked=blocked_floor(first, lanes, areas) if arguments.blocked else None,
        rng=np.random.default_rng(seed),
        samples=samples,
    )
    tell_answer(arguments, rest.answer, teller)
    return DONE


def lane_numbers(option: str, text: str) -> tuple[int, ...]:
    """Numbers of lanes as typed after an option, in that order: "1-14,17".

    Raises
    ------
    BadInput
        Something else than numbers and runs of them.

    Examples
    --------
    >>> lane_numbers("--done", "1-4, 7")
    (1, 2, 3, 4, 7)
    """
    found: list[int] = []
    for part in re.split(r"[,;\s]+", re.sub(r"\s*-\s*", "-", text.strip())):
        run = _RUN.fullmatch(part)
        if run is None and part:
            raise BadInput(
                '{option} is "{given}"; enter numbers of lanes as they stand on the sheet, such as 1-14,17.',
                option=option,
                given=text,
            )
        if run is not None:
            begin, end = int(run[1]), int(run[2] or run[1])
            found += range(begin, end + 1) if begin <= end else range(begin, end - 1, -1)
    return tuple(dict.fromkeys(found))


def _question(arguments: argparse.Namespace, plan: PlanFile, teller: Teller) -> ShiftQuestion:
    site = site_from(Path(arguments.site), teller)
    return question_of(plan, site, plate_from(Path(arguments.machine)), pack_from(Path(arguments.pack)))


def _blocked(given: list[str], first: ShiftAnswer) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """Blocked lanes and areas; what is no area's name is read as numbers of lanes."""
    known = {area.name.casefold(): area.name for area in first.route.plan.areas}
    areas = tuple(known[text.casefold()] for text in given if text.casefold() in known)
    lanes: list[int] = []
    for text in given:
        if text.casefold() in known:
            continue
        if not any(letter.isdigit() for letter in text):
            raise BadInput(
                'There is no area "{given}" to be blocked; enter numbers of lanes such as 22,23, or one of: {known}.',
                given=text,
                known=", ".join(known.values()) or "-",
            )
        lanes += lane_numbers("--blocked", text)
    return tuple(lanes), areas
