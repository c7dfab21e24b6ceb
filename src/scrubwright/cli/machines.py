"""What the commands about falling due share: which machines, their papers, the days they work, and today."""

import argparse
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from scrubwright.catalogue.terms import Term
from scrubwright.cli.clock import day_of, end_of_day
from scrubwright.cli.parsing import Parser
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

if TYPE_CHECKING:
    from scrubwright.jobs.due_question import DueQuestion
    from scrubwright.wear.open_days import ClosedSpell

BATTERIES = {"flooded": Term.FLOODED_BATTERY, "sealed": Term.SEALED_BATTERY, "lithium": Term.LITHIUM_BATTERY}
# As they are typed, Monday first, in English or Spanish; three letters are enough.
_WEEKDAYS = (
    ("mon", "lun"),
    ("tue", "mar"),
    ("wed", "mié", "mie"),
    ("thu", "jue"),
    ("fri", "vie"),
    ("sat", "sáb", "sab"),
    ("sun", "dom"),
)
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The machines of a line, and rows of their papers that could not be read."""

    questions: "tuple[DueQuestion, ...]"
    plates: tuple[Plate, ...]
    refused: tuple[Sentence, ...]


def describe_machine(parser: Parser) -> None:
    """What a machine is beside its plate, a shop's own lines, and as on which day one looks."""
    parser.add_argument("--pack", metavar="PACK", help="The pack's file (TOML), which says what kind of battery it is.")
    parser.add_argument(
        "--battery", metavar="KIND", choices=list(BATTERIES), help="Else its kind: flooded, sealed or lithium."
    )
    parser.add_argument(
        "--site", metavar="FACTS", default="", help='What holds there, such as "ramps, public present".'
    )
    parser.add_argument(
        "--shop", metavar="FILE", action="append", default=[], help="Your own catalogue file; may be repeated."
    )
    parser.add_argument("--day", metavar="DATE", help="Look as on that day, such as 2026-01-31; else today.")


def add_machine_options(parser: Parser) -> None:
    """What says of which machine, by which papers, and as on which day."""
    describe_machine(parser)
    parser.add_argument("--readings", metavar="METERS", help="Readings of the hour meters (CSV or XLSX).")
    parser.add_argument("--done", metavar="CHANGES", help="What was done and measured (CSV or XLSX).")
    parser.add_argument("--days", metavar="DAYS", default="90", help="How far ahead to look; else 90 days.")
    parser.add_argument(
        "--closed",
        metavar="DAYS",
        action="append",
        default=[],
        help="Days without work: a weekday such as sunday, or 2026-12-24/2027-01-02. May be repeated.",
    )
    parser.add_argument("--in-service", metavar="DATE", help="Since when it works; else since its first reading.")


def asked(arguments: argparse.Namespace, plates: Sequence[str], failure_ratio: float | None = None) -> Asked:
    """The questions that a line asks.

    Parameters
    ----------
    arguments
        As `add_machine_options` describes them.
    plates
        Files of the machines.
    failure_ratio
        What a failure costs, in prices of a planned change.

    Raises
    ------
    BadInput, UnreadablePaper
        Something on the line or in a file cannot be used.
    """
    # The statistics behind an answer take a while to load, so only who asks for one waits for them.
    from scrubwright.jobs.due_question import DueQuestion, Machine
    from scrubwright.jobs.machine_facts import facts_of, site_of
    from scrubwright.paperwork.catalogues import catalogue_with
    from scrubwright.paperwork.changes_log import ChangesPaper, read_changes
    from scrubwright.paperwork.meter_readings import MeterPaper, machine_meters, read_meters
    from scrubwright.paperwork.plates import plate_from

    battery, site = _battery(arguments), site_of(arguments.site)
    machines = tuple(plate_from(Path(name)) for name in plates)
    catalogue = catalogue_with([Path(name) for name in arguments.shop])
    meters = MeterPaper(entries=())
    if arguments.readings is not None:
        meters = read_meters(Path(arguments.readings), machines)
    changes = ChangesPaper(entries=())
    if arguments.done is not None:
        changes = read_changes(Path(arguments.done), machines, catalogue)
    weekdays, closed = closed_days(arguments.closed)
    at = datetime.now() if arguments.day is None else end_of_day("--day", arguments.day)
    in_service = None if arguments.in_service is None else day_of("--in-service", arguments.in_service)
    questions = tuple(
        DueQuestion(
            machine=Machine(
                name=plate.name,
                facts=facts_of(plate, battery, site),
                meters=machine_meters(plate, meters.entries),
                changes=changes.of(plate.name),
                in_service=in_service,
            ),
            catalogue=catalogue,
            at=at,
            horizon_days=horizon_days(arguments.days),
            weekdays=weekdays,
            closed=closed,
            failure_ratio=failure_ratio,
        )
        for plate in machines
    )
    return Asked(questions=questions, plates=machines, refused=(*meters.refused, *changes.refused))


def closed_days(given: Sequence[str]) -> "tuple[tuple[bool, ...], tuple[ClosedSpell, ...]]":
    """Weekdays on which the site works, Monday first, and spells without work, from what was typed.

    Raises
    ------
    BadInput
        Neither a weekday nor a spell.
    """
    from scrubwright.wear.open_days import ClosedSpell

    weekdays = [True] * 7
    spells = []
    for text in given:
        typed = text.strip().lower()
        number = next((day for day, names in enumerate(_WEEKDAYS) if typed.startswith(names)), None)
        first, slash, last = typed.partition("/")
        if number is not None:
            weekdays[number] = False
        elif slash:
            spells.append(ClosedSpell(first=day_of("--closed", first), last=day_of("--closed", last)))
        else:
            spells.append(ClosedSpell(first=day_of("--closed", first), last=day_of("--closed", first)))
    if not any(weekdays):
        raise BadInput("All seven weekdays are closed; leave at least one open.")
    return tuple(weekdays), tuple(spells)


def horizon_days(text: str) -> float:
    """Days ahead as typed after --days [days].

    Raises
    ------
    BadInput
        No whole number from 1 to 730.
    """
    if not text.strip().isdigit() or not 1 <= int(text) <= 730:
        raise BadInput('--days is "{given}"; enter whole days from 1 to 730, such as 90.', given=text)
    return float(text)


def typed_ratio(option: str, text: str, *, above: int) -> float:
    """A number above a least one, as typed after an option: "3", "2.5", "2,5".

    Raises
    ------
    BadInput
        No number, or too small.
    """
    typed = text.strip().replace(",", ".")
    if not _NUMBER.fullmatch(typed) or not float(typed) > above:
        raise BadInput(
            '{option} is "{given}"; enter a number above {least}, such as 3.',
            option=option,
            given=text,
            least=above,
        )
    return float(typed)


def tell_refused(refused: Sequence[Sentence], teller: Teller) -> None:
    """What could not be read, beside the answer."""
    for each in refused:
        print(wrapped(teller.tell(each)), file=sys.stderr)


def _battery(arguments: argparse.Namespace) -> Term:
    from scrubwright.jobs.machine_facts import battery_of
    from scrubwright.paperwork.packs import pack_from

    if arguments.pack is not None:
        path = Path(arguments.pack)
        found = battery_of(pack_from(path).pack)
        if arguments.battery is not None and BATTERIES[arguments.battery] is not found:
            raise BadInput(
                "{file} says {found}, and --battery says {given}; leave one of them out.",
                file=path.name,
                found=found,
                given=arguments.battery,
            )
        return found
    if arguments.battery is None:
        raise BadInput(
            "What falls due depends on the battery. Add --pack with its file, or --battery flooded, sealed or lithium."
        )
    return BATTERIES[arguments.battery]
