"""`scrubwright due`: what falls due on a machine, by calendar, meters and measured wear."""

import argparse
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from scrubwright.cli.machines import add_machine_options, asked, typed_ratio
from scrubwright.cli.parsing import Commands
from scrubwright.cli.planning import STANDARD_OUTPUT, check_files, tell_sections
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.wording import Teller
from scrubwright.paperwork.writing import write_bytes, write_text

if TYPE_CHECKING:
    from scrubwright.jobs.due_answer import DueAnswer

DONE = 0
CSV, WORKBOOK = ".csv", ".xlsx"


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
    parser.add_argument(
        "--json",
        metavar="FILE",
        nargs="?",
        const=STANDARD_OUTPUT,
        help="Write the answer as JSON; without FILE, instead of the text.",
    )
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
    written = _write(arguments, answer, line.questions[0].at, teller)
    if arguments.json == STANDARD_OUTPUT:
        sys.stdout.write(due_json((answer,), line.refused))
        return DONE
    if arguments.json is not None:
        write_text(Path(arguments.json), due_json((answer,), line.refused))
        written.append(Path(arguments.json))
    tell_sections(due_sections(answer, line.refused, teller, tells_all=arguments.all), written, teller)
    return DONE


def _write(arguments: argparse.Namespace, answer: "DueAnswer", now: datetime, teller: Teller) -> list[Path]:
    written = []
    if arguments.ics is not None:
        from scrubwright.paperwork.due_calendar import due_calendar, read_calendar

        path = Path(arguments.ics)
        write_bytes(path, due_calendar((answer,), read_calendar(path), now, teller))
        written.append(path)
    if arguments.svg is not None:
        from scrubwright.paperwork.due_svg import due_svg

        write_text(Path(arguments.svg), due_svg(answer, teller))
        written.append(Path(arguments.svg))
    if arguments.csv is not None or arguments.xlsx is not None:
        from scrubwright.paperwork.due_lists import due_table
        from scrubwright.paperwork.table_writing import table_text, table_workbook

        rows = due_table((answer,), teller)
        if arguments.csv is not None:
            write_text(Path(arguments.csv), table_text(rows, teller))
            written.append(Path(arguments.csv))
        if arguments.xlsx is not None:
            write_bytes(Path(arguments.xlsx), table_workbook(rows, teller.words("due")))
            written.append(Path(arguments.xlsx))
    return written


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
        if path.suffix.lower() not in (CSV, WORKBOOK):
            raise BadInput(
                "{path} is neither a .csv nor an .xlsx; give the table of readings one of these endings.",
                path=str(path),
            )
        if path.suffix.lower() == WORKBOOK:
            write_bytes(path, table_workbook(rows, teller.words("readings")))
        else:
            write_text(path, table_text(rows, teller))
        print(teller.words("Written: {path}", path=str(path)))
    return DONE
