"""`scrubwright equalising`: whether an equalising charge that runs must stop now."""

import argparse
from datetime import datetime
from pathlib import Path

from scrubwright.cli.parsing import Commands
from scrubwright.jobs import pack_cautions
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.readings import read_readings
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

DONE = 0


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "equalising",
        help="Tell whether an equalising charge that runs must stop now.",
        description="Reads the hourly readings of an equalising charge, the first from before it began (moment «after "
        "charge»), the others with the moment «in between», and tells whether to stop or to go on, and by which cells. "
        "It switches nothing.",
        epilog="scrubwright equalising pack.toml tonight.csv",
    )
    parser.add_argument("pack", metavar="PACK", help="The pack's file (TOML).")
    parser.add_argument("readings", metavar="READINGS", help="Its hourly readings (CSV or XLSX).")
    parser.add_argument("--boils", action="store_true", help="A cell boils hard now.")
    parser.add_argument("--hot-cell", action="store_true", help="One cell is hotter than the others now.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Tell it; 0 when it is told."""
    # As for a look, the statistics behind it take a moment to load.
    from scrubwright.jobs.pack_equalising import equalising_call

    paper = pack_from(Path(arguments.pack))
    readings = read_readings(Path(arguments.readings), paper, today=datetime.now().date())
    call = equalising_call(paper.pack, readings.visits, boils=arguments.boils, hot_cell=arguments.hot_cell)
    print(teller.words("STOP NOW") if call.stop else teller.words("GO ON"))
    print(wrapped(teller.tell(call.reason)))
    print()
    for caution in pack_cautions.equalising():
        print(wrapped(teller.tell(caution), mark="! "))
    return DONE
