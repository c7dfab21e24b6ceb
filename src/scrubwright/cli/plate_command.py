"""`scrubwright plate`: check a plate file, or hand out a blank one or its schema."""

import argparse
import json
from pathlib import Path

from scrubwright.cli.output import hand_out
from scrubwright.cli.parsing import Commands
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.plate_paper import blank_plate, plate_schema
from scrubwright.paperwork.plate_text import plate_text
from scrubwright.paperwork.plates import read_plate
from scrubwright.paperwork.wording import Teller

DONE = 0
REFUSED = 2


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "plate",
        help="Check the numbers of one machine, or make a blank to fill in.",
        description="Check a plate file: say what is missing, wrong or assumed, and show the machine's main figures.",
        epilog="scrubwright plate --blank -o my_machine.toml\nscrubwright plate my_machine.toml",
    )
    parser.add_argument("file", metavar="FILE", nargs="?", help="The plate file (TOML) to check.")
    parser.add_argument("--blank", action="store_true", help="Write a blank plate with every key explained.")
    parser.add_argument("--schema", action="store_true", help="Write the JSON Schema of the plate file.")
    parser.add_argument("-o", "--out", metavar="PAPER", help="Write to this file; without it, to the terminal.")


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Do it; 0 when the plate can be used or the paper is written, 2 when something must be mended."""
    asked = [name for name in ("file", "blank", "schema") if getattr(arguments, name)]
    if len(asked) != 1:
        raise BadInput("Ask for one thing: a plate file to check, or --blank, or --schema.")
    if arguments.blank:
        hand_out(blank_plate(teller.tell), arguments.out)
        return DONE
    if arguments.schema:
        hand_out(json.dumps(plate_schema(), indent=2, ensure_ascii=False) + "\n", arguments.out)
        return DONE
    path = Path(arguments.file)
    if arguments.out is not None and Path(arguments.out).resolve() == path.resolve():
        raise BadInput("{path} is the plate itself; write what is said about it to another file.", path=arguments.out)
    reading = read_plate(path)
    hand_out(plate_text(reading, path.name, teller), arguments.out)
    return DONE if reading.plate is not None else REFUSED
