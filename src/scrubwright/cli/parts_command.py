"""`scrubwright parts`: which parts to hold for the coming weeks, and which jobs to do on one trip."""

import argparse
from pathlib import Path

from scrubwright.cli.machines import add_machine_options, asked, tell_refused, typed_ratio
from scrubwright.cli.output import check_files, tell_sections, write_asked
from scrubwright.cli.parsing import Commands
from scrubwright.cli.shares import share_fraction
from scrubwright.paperwork.wording import Teller

DONE = 0


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "parts",
        help="Tell which parts to hold, and which jobs go on one trip.",
        description="Tells for one or several machines of a site which parts the coming weeks take, how many more to "
        "hold against surprises, and with --trip on which days to go.",
        epilog="scrubwright parts narrow.toml wide.toml --battery flooded --readings meters.csv --service 95%\n"
        "scrubwright parts mid.toml --battery flooded --readings meters.csv --days 30 --trip 2",
    )
    parser.add_argument("plates", metavar="PLATE", nargs="+", help="The machines' plates (TOML).")
    add_machine_options(parser)
    parser.add_argument(
        "--service",
        metavar="SHARE",
        default="95%",
        help="No part is missing in this share of such spells; else 95%.",
    )
    parser.add_argument("--shelf", metavar="FILE", help="What is there and how it is sold (CSV or XLSX).")
    parser.add_argument("--trip", metavar="RATIO", help="What a trip costs, in prices of one rear blade: plans trips.")
    parser.add_argument(
        "--failure-costs", metavar="RATIO", default="3", help="What a failure costs, in planned changes; else 3."
    )
    parser.add_argument("--csv", metavar="FILE", help="Write the list as CSV.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Do it; 0 when it is told and written."""
    check_files(
        (*arguments.plates, arguments.pack, arguments.readings, arguments.done, arguments.shelf), (arguments.csv,)
    )
    from scrubwright.jobs.due_visits import due_visits
    from scrubwright.jobs.what_is_due import due_for_many
    from scrubwright.jobs.what_to_carry import what_to_carry
    from scrubwright.paperwork.carry_text import carry_section, carry_table, visits_section
    from scrubwright.paperwork.shelf import read_shelf
    from scrubwright.paperwork.table_writing import table_text

    level_fraction = share_fraction("--service", arguments.service)
    failure_ratio = typed_ratio("--failure-costs", arguments.failure_costs, above=1)
    line = asked(arguments, arguments.plates)
    tell_refused(line.refused, teller)
    answers = due_for_many(line.questions)
    catalogue = line.questions[0].catalogue
    shelf = None if arguments.shelf is None else read_shelf(Path(arguments.shelf), catalogue)
    carried = what_to_carry(answers, line.plates, level_fraction=level_fraction, shelf=shelf)
    sections = [carry_section(carried, teller)]
    if arguments.trip is not None:
        trips = due_visits(
            answers,
            trip_ratio=typed_ratio("--trip", arguments.trip, above=0),
            failure_ratio=failure_ratio,
            weekdays=line.questions[0].weekdays,
        )
        sections.append(visits_section(trips, teller))
    written = write_asked(((arguments.csv, lambda: table_text(carry_table(carried, teller), teller)),))
    tell_sections(sections, written, teller)
    return DONE
