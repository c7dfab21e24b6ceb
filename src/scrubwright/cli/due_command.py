"""`scrubwright due`: what falls due on a machine, by calendar, meters and measured wear."""

import argparse
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from scrubwright.cli.machines import add_machine_options, asked, typed_ratio
from scrubwright.cli.output import (
    STANDARD_OUTPUT,
    WORKBOOK,
    check_files,
    check_table,
    describe_json,
    tell_sections,
    write_asked,
)
from scrubwright.cli.parsing import Commands
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.wording import Teller
from scrubwright.paperwork.writing import write_bytes, write_text

if TYPE_CHECKING:
    from scrubwright.jobs.due_answer import DueAnswer

DONE = 0


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "due",
        help="Tell what falls due on a machine, and when.",
        description="Reads the machine's plate, its hour meters and what was done, and tells which parts, cleanings "
        "and checks fall due when: by the calendar, by hours, or by what was measured, whichever comes first.",
        epilog="scrubwright due mid.toml --battery flooded --readings meters.csv --done changes.csv\n"
        "scrubwright due mid.toml --pack pack.toml --readings meters.csv --closed sunday --ics due.ics\n"
        "scrubwright due --blank-readings meters.csv",
    )
    parser.add_argument("plate", metavar="PLATE", nargs="?", help="The machine's plate (TOML).")
    add_machine_options(parser)
    parser.add_argument(
        "--failure-costs",
        metavar="RATIO",
        help="What a failure costs, in prices of a planned change, such as 3: tells at which age to change a part, "
        "once your own parts show how long they last.",
    )
    parser.add_argument("--all", action="store_true", help="Also what is due later, and each check by its name.")
    parser.add_argument("--ics", metavar="FILE", help="Write or update a calendar file (.ics).")
    parser.add_argument("--svg", metavar="FILE", help="Write the horizon as a picture.")
    parser.add_argument("--csv", metavar="FILE", help="Write the list as CSV.")
    parser.add_argument("--xlsx", metavar="FILE", help="Write the list as a workbook.")
    describe_json(parser)
    parser.add_argument("--blank-readings", metavar="FILE", help="Write an empty table of meter readings and stop.")
    parser.add_argument("--blank-done", metavar="FILE", help="Write an empty table of changes and stop.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Do it; 0 when it is told and written."""
    if arguments.blank_readings is not None or arguments.blank_done is not None:
        return _write_blanks(arguments, teller)
    if arguments.plate is None:
        raise BadInput("Name the machine's plate, or ask for an empty table with --blank-readings or --blank-done.")
    check_files(
        (arguments.plate, arguments.pack, arguments.readings, arguments.done),
        (arguments.ics, arguments.svg, arguments.csv, arguments.xlsx, arguments.json),
    )
    from scrubwright.jobs.what_is_due import what_is_due
    from scrubwright.paperwork.due_json import due_json
    from scrubwright.paperwork.due_text import due_sections

    costs = arguments.failure_costs
    failure_ratio = None if costs is None else typed_ratio("--failure-costs", costs, above=1)
    line = asked(arguments, (arguments.plate,), failure_ratio)
    answer = what_is_due(line.questions[0])
    written = write_asked(
        (
            (arguments.ics, lambda: _calendar(arguments, answer, line.questions[0].at, teller)),
            (arguments.svg, lambda: _picture(answer, teller)),
            (arguments.csv, lambda: _table(answer, teller, is_workbook=False)),
            (arguments.xlsx, lambda: _table(answer, teller, is_workbook=True)),
            (arguments.json, lambda: due_json((answer,), line.refused)),
        )
    )
    if arguments.json == STANDARD_OUTPUT:
        sys.stdout.write(due_json((answer,), line.refused))
    else:
        tell_sections(due_sections(answer, line.refused, teller, tells_all=arguments.all), written, teller)
    return DONE


def _calendar(arguments: argparse.Namespace, answer: "DueAnswer", now: datetime, teller: Teller) -> bytes:
    from scrubwright.paperwork.due_calendar import due_calendar, read_calendar

    return due_calendar((answer,), read_calendar(Path(arguments.ics)), now, teller)


def _picture(answer: "DueAnswer", teller: Teller) -> str:
    from scrubwright.paperwork.due_svg import due_svg

    return due_svg(answer, teller)


def _table(answer: "DueAnswer", teller: Teller, *, is_workbook: bool) -> str | bytes:
    from scrubwright.paperwork.due_lists import due_table
    from scrubwright.paperwork.table_writing import table_text, table_workbook

    rows = due_table((answer,), teller)
    return table_workbook(rows, teller.words("due")) if is_workbook else table_text(rows, teller)


def _write_blanks(arguments: argparse.Namespace, teller: Teller) -> int:
    from scrubwright.paperwork.changes_log import change_rows
    from scrubwright.paperwork.meter_readings import meter_rows
    from scrubwright.paperwork.table_writing import table_text, table_workbook

    check_files((), (arguments.blank_readings, arguments.blank_done))
    for name, rows in (
        (arguments.blank_readings, meter_rows((), teller)),
        (arguments.blank_done, change_rows((), teller)),
    ):
        if name is None:
            continue
        path = Path(name)
        if path.exists():
            raise BadInput("{path} is there already; a blank would wipe it out. Name another file.", path=str(path))
        check_table(path)
        if path.suffix.lower() == WORKBOOK:
            write_bytes(path, table_workbook(rows, teller.words("readings")))
        else:
            write_text(path, table_text(rows, teller))
        print(teller.words("Written: {path}", path=str(path)))
    return DONE
