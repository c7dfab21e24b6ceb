"""`scrubwright charging`: which machine charges when, on which circuit, and whether the room can take it."""

import argparse
import json
import sys
from datetime import datetime
from pathlib import Path

from rich.console import Console

from scrubwright.cli.clock import day_of
from scrubwright.cli.output import STANDARD_OUTPUT, check_files, describe_json, hand_out, tell_sections, write_asked
from scrubwright.cli.parsing import Commands
from scrubwright.jobs.charging_answer import ChargingAnswer, ChargingNight
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.charging_json import charging_json
from scrubwright.paperwork.charging_paper import blank_charging, charging_file_schema
from scrubwright.paperwork.charging_reading import read_charging
from scrubwright.paperwork.charging_text import charging_sections, charging_text
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.toml_paper import problems_text
from scrubwright.paperwork.wording import Teller

DONE = 0
REFUSED = 2


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "charging",
        help="Tell which machine charges when, on which circuit.",
        description="Reads machines, circuits and prices of one night from a file, and tells who charges when and "
        "where, so that all are ready in time and no breaker trips; or why they are not, and the least changes that "
        "help. Air of the room beside it, as screening. It switches nothing.",
        epilog="scrubwright charging tonight.toml\nscrubwright charging --blank -o tonight.toml",
    )
    parser.add_argument("tonight", metavar="TONIGHT", nargs="?", help="The charging file (TOML).")
    parser.add_argument(
        "--day",
        metavar="DATE",
        help="Day on which the night begins, such as 2026-01-31; else the next to end.",
    )
    describe_json(parser)
    parser.add_argument("-o", "--out", metavar="PAPER", help="Write to this file; without it, to the terminal.")
    parser.add_argument("--blank", action="store_true", help="Write a blank charging file with every key explained.")
    parser.add_argument("--schema", action="store_true", help="Write the JSON Schema of the charging file.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Do it; 0 when the night is answered or the paper is written, 2 when the file must be mended."""
    _check(arguments)
    if arguments.blank:
        hand_out(blank_charging(teller.tell), arguments.out)
        return DONE
    if arguments.schema:
        hand_out(json.dumps(charging_file_schema(), indent=2, ensure_ascii=False) + "\n", arguments.out)
        return DONE
    path = Path(arguments.tonight)
    day = None if arguments.day is None else day_of("--day", arguments.day)
    reading = read_charging(path, now=datetime.now(), day=day)
    if reading.night is None:
        sys.stdout.write(problems_text(path.name, reading.wrong, reading.missing, teller))
        return REFUSED
    for remark in reading.remarks:
        print(wrapped(teller.tell(remark)), file=sys.stderr)
    answer = _answer(reading.night, teller)
    written = write_asked(
        (
            (arguments.json, lambda: charging_json(answer)),
            (arguments.out, lambda: charging_text(answer, teller) + "\n"),
        )
    )
    if arguments.json == STANDARD_OUTPUT:
        sys.stdout.write(charging_json(answer))
    elif arguments.out is None:
        tell_sections(charging_sections(answer, teller), written, teller)
    return DONE


def _check(arguments: argparse.Namespace) -> None:
    """Refuse a line that asks for nothing, for too much, or for two things in one file."""
    asked = [name for name in ("tonight", "blank", "schema") if getattr(arguments, name)]
    if len(asked) != 1:
        raise BadInput("Ask for one thing: a charging file to plan, or --blank, or --schema.")
    if arguments.tonight is None and (arguments.json or arguments.day):
        raise BadInput("--json and --day belong to a charging file; name it, or leave them out.")
    check_files((arguments.tonight,), (arguments.json, arguments.out))


def _answer(night: ChargingNight, teller: Teller) -> ChargingAnswer:
    # The solver takes a good part of a second to load, so only who asks for a plan waits for it.
    from scrubwright.jobs.charging_tonight import charging_tonight

    with Console(stderr=True).status(teller.words("Planning")):
        return charging_tonight(night)
