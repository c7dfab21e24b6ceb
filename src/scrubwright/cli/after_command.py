"""`scrubwright after`: what the log of shifts teaches, and which of its entries cannot be right."""

import argparse
import sys
from datetime import datetime
from pathlib import Path

from scrubwright.cli.clock import day_of
from scrubwright.cli.parsing import Commands
from scrubwright.jobs.shift_logged import LoggedShift
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller
from scrubwright.paperwork.writing import write_bytes

DONE = 0


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "after",
        help="Tell what the log of shifts teaches about machine and site.",
        description="Reads a log of shifts, planned and done, and tells how far this machine at this site lies from "
        "its plate, from how many shifts, and which entries cannot be right. The next plan takes its rates from there.",
        epilog="scrubwright after log.csv --plan tonight.json\n"
        "scrubwright after log.csv\n"
        "scrubwright shift hall.geojson ... --log log.csv",
    )
    parser.add_argument("log", metavar="LOG", help="The log of shifts (CSV or XLSX).")
    parser.add_argument(
        "--plan",
        metavar="SHIFT",
        help="Add a planned shift (JSON) to LOG as a row to fill in afterwards; a LOG that is not there is made.",
    )
    parser.add_argument("--blank", action="store_true", help="Make LOG with nothing but the names of its columns.")
    parser.add_argument("--machine", metavar="NAME", help="Tell of this machine alone.")
    parser.add_argument("--site", metavar="NAME", help="Tell of this site alone.")
    parser.add_argument("--day", metavar="DATE", help="Look as on that day, such as 2026-01-31; else today.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Do it; 0 when it is told or written."""
    path = Path(arguments.log)
    tells = any(each is not None for each in (arguments.machine, arguments.site, arguments.day))
    if (arguments.plan is not None) + arguments.blank + tells > 1:
        raise BadInput("Ask for one thing: what the log teaches, or --plan, or --blank.")
    if arguments.blank:
        return _make_blank(path, teller)
    if arguments.plan is not None:
        return _add(path, Path(arguments.plan), teller)
    _tell(path, arguments, teller)
    return DONE


def _make_blank(path: Path, teller: Teller) -> int:
    from scrubwright.paperwork.shift_log_writing import log_with

    if path.exists():
        raise BadInput("{path} is there already; a blank would wipe it out. Name another file.", path=str(path))
    write_bytes(path, log_with(path, (), teller))
    print(teller.words("Written: {path}", path=str(path)))
    return DONE


def _add(path: Path, plan: Path, teller: Teller) -> int:
    from scrubwright.paperwork.shift_log_plan import planned_shifts
    from scrubwright.paperwork.shift_log_writing import log_with

    write_bytes(path, log_with(path, planned_shifts(plan), teller))
    print(teller.words("Added to {path}. Fill the row in after the shift.", path=str(path)))
    return DONE


def _tell(path: Path, arguments: argparse.Namespace, teller: Teller) -> None:
    from scrubwright.jobs.shift_learning import lesson, looked_back
    from scrubwright.jobs.shift_question import Rates
    from scrubwright.paperwork.shift_learning_text import lesson_text
    from scrubwright.paperwork.shift_log import read_shift_log

    now = datetime.now().date() if arguments.day is None else day_of("--day", arguments.day)
    log = read_shift_log(path)
    for warning in log.warnings:
        print(wrapped(teller.tell(warning)), file=sys.stderr)
    prior = Rates()
    told = [
        lesson_text(lesson(prior, shifts, now), shifts, prior, looked_back(prior, shifts, now), teller)
        for shifts in _asked_for(log.shifts, arguments, path)
    ]
    print("\n\n".join(told), end="")


def _asked_for(shifts: tuple[LoggedShift, ...], arguments: argparse.Namespace, path: Path) -> list[list[LoggedShift]]:
    """The shifts of each machine at each site that are asked for, in the order in which they first come."""
    groups: dict[tuple[str, str], list[LoggedShift]] = {}
    for shift in shifts:
        if arguments.machine in (None, shift.machine) and arguments.site in (None, shift.site):
            groups.setdefault((shift.machine, shift.site), []).append(shift)
    if not groups:
        known = dict.fromkeys(f"{shift.machine}, {shift.site}" for shift in shifts)
        raise BadInput("{file} has no such shift. It holds shifts of: {known}.", file=path.name, known="; ".join(known))
    return list(groups.values())
