"""`scrubwright pack`: how a battery pack stands, what comes next, and what it can still do."""

import argparse
import json
import sys
from datetime import datetime
from pathlib import Path

from scrubwright.cli.amounts import current_a, duration_h, temperature_k
from scrubwright.cli.clock import end_of_day
from scrubwright.cli.output import (
    CSV,
    STANDARD_OUTPUT,
    check_files,
    check_table,
    describe_json,
    describe_paper,
    hand_out,
    paper_of,
    tell_sections,
    write_asked,
)
from scrubwright.cli.parsing import Commands
from scrubwright.jobs.pack_answer import PackAnswer
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.pack_json import pack_json
from scrubwright.paperwork.pack_paper import blank_pack, pack_schema
from scrubwright.paperwork.pack_problems import pack_problems_text
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.pack_sheet import pack_sheet
from scrubwright.paperwork.pack_svg import pack_svg
from scrubwright.paperwork.pack_text import pack_sections, pack_text
from scrubwright.paperwork.packs import read_pack
from scrubwright.paperwork.readings import Readings, read_readings
from scrubwright.paperwork.readings_blank import blank_readings
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

DONE = 0
REFUSED = 2
# What a person may notice: the names of `StopSign`, as they are typed.
SIGNS = ("frozen", "hot", "smell", "hissing", "swelling", "smoke")


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "pack",
        help="Tell how a battery pack stands and what to do next.",
        description="Reads the pack's file and its readings, and tells whether it may work tonight, which cell is "
        "weak, how long it runs and charges, when it needs water, and when it is worn out.",
        epilog="scrubwright pack pack.toml readings.csv --load 68A --work 3h --pdf sheet.pdf\n"
        "scrubwright pack --blank -o my_pack.toml\n"
        "scrubwright pack my_pack.toml --blank-readings -o readings.xlsx",
    )
    parser.add_argument("pack", metavar="PACK", nargs="?", help="The pack's file (TOML).")
    parser.add_argument("readings", metavar="READINGS", nargs="?", help="Its readings (CSV or XLSX).")
    parser.add_argument("--load", metavar="AMPERES", help="Mean current of the usual work, such as 68A.")
    parser.add_argument("--work", metavar="TIME", help="How long the work ahead takes, such as 3h or 3:30.")
    parser.add_argument(
        "--coldest", metavar="DEGREES", help="The coldest that the place gets before the next charge, such as -5C."
    )
    parser.add_argument(
        "--noticed",
        metavar="SIGN",
        action="append",
        choices=SIGNS,
        default=[],
        help="What you notice on the pack: frozen, hot, smell, hissing, swelling or smoke. May be repeated.",
    )
    parser.add_argument("--bare", action="store_true", help="Plates stand out of the electrolyte.")
    parser.add_argument("--day", metavar="DATE", help="Look as on that day, such as 2026-01-31; else today.")
    parser.add_argument("--pdf", metavar="FILE", help="Write a sheet to print, tick off and sign.")
    describe_paper(parser)
    parser.add_argument("--svg", metavar="FILE", help="Write cells and trend as a picture.")
    describe_json(parser)
    parser.add_argument("-o", "--out", metavar="PAPER", help="Write to this file; without it, to the terminal.")
    parser.add_argument("--blank", action="store_true", help="Write a blank pack file with every key explained.")
    parser.add_argument("--schema", action="store_true", help="Write the JSON Schema of the pack file.")
    parser.add_argument(
        "--blank-readings",
        action="store_true",
        help="Write an empty table for readings of PACK, as CSV or, for -o NAME.xlsx, as a workbook.",
    )


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Do it; 0 when the pack is looked at or the paper is written, 2 when its file must be mended."""
    _check(arguments)
    if arguments.blank:
        hand_out(blank_pack(teller.tell), arguments.out)
        return DONE
    if arguments.schema:
        hand_out(json.dumps(pack_schema(), indent=2, ensure_ascii=False) + "\n", arguments.out)
        return DONE
    path = Path(arguments.pack)
    reading = read_pack(path)
    if reading.paper is None:
        sys.stdout.write(pack_problems_text(reading, path.name, teller))
        return REFUSED
    if arguments.blank_readings:
        hand_out(_blank_table(reading.paper, arguments.out, teller), arguments.out)
        return DONE
    answer = _answer(arguments, reading.paper, teller)
    written = write_asked(
        (
            (arguments.json, lambda: pack_json(answer)),
            (arguments.pdf, lambda: pack_sheet(answer, teller, paper_of(arguments.paper, teller))),
            (arguments.svg, lambda: pack_svg(answer, teller)),
            (arguments.out, lambda: pack_text(answer, teller) + "\n"),
        )
    )
    if arguments.json == STANDARD_OUTPUT:
        sys.stdout.write(pack_json(answer))
    elif arguments.out is None:
        tell_sections(pack_sections(answer, teller), written, teller)
    return DONE


def _check(arguments: argparse.Namespace) -> None:
    """Refuse a line that asks for nothing, for too much, or for two things in one file."""
    is_paper = arguments.blank or arguments.schema
    if arguments.pack is None and not is_paper:
        raise BadInput("Name the pack's file, or ask for a blank one to fill in with --blank.")
    looks = any(getattr(arguments, name) is not None for name in ("readings", "json", "pdf", "svg"))
    looks = looks or (is_paper and arguments.pack is not None)
    if arguments.blank + arguments.schema + arguments.blank_readings + looks > 1:
        raise BadInput("Ask for one thing: a look at a pack, or --blank, or --schema, or --blank-readings.")
    if arguments.blank_readings and arguments.out is not None:
        check_table(Path(arguments.out))
    check_files((arguments.pack, arguments.readings), (arguments.json, arguments.pdf, arguments.svg, arguments.out))


def _answer(arguments: argparse.Namespace, paper: PackPaper, teller: Teller) -> PackAnswer:
    # The statistics behind a look take half a second to load, so only who asks for a look waits for them.
    from scrubwright.jobs.pack_look import pack_look
    from scrubwright.jobs.pack_state import StopSign

    load_a = None if arguments.load is None else current_a("--load", arguments.load)
    work_h = None if arguments.work is None else duration_h("--work", arguments.work)
    forecast_k = None if arguments.coldest is None else temperature_k("--coldest", arguments.coldest, teller.system)
    at = datetime.now() if arguments.day is None else end_of_day("--day", arguments.day)
    readings = Readings(visits=())
    if arguments.readings is not None:
        readings = read_readings(Path(arguments.readings), paper, today=at.date())
    for warning in readings.warnings:
        print(wrapped(teller.tell(warning)), file=sys.stderr)
    return pack_look(
        paper.pack,
        paper.charger,
        readings.visits,
        at=at,
        load_a=load_a,
        work_h=work_h,
        forecast_k=forecast_k,
        stop_signs=tuple(StopSign[each.upper()] for each in arguments.noticed),
        plates_bare=arguments.bare,
    )


def _blank_table(paper: PackPaper, out: str | None, teller: Teller) -> str | bytes:
    """An empty table of readings, of the kind that its file is named for."""
    if out is None or Path(out).suffix.lower() == CSV:
        return blank_readings(paper, teller)
    # The terminal and CSV need no workbook, and it takes a moment to load what writes one.
    from scrubwright.paperwork.readings_blank_workbook import blank_readings_workbook

    return blank_readings_workbook(paper, teller)
