"""The `scrubwright` command: pick the language and the units, run one command, tell what went wrong."""

import argparse
import io
import os
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from importlib.metadata import version

from scrubwright.cli import (
    after_command,
    charging_command,
    due_command,
    equalising_command,
    floor_command,
    pack_command,
    parts_command,
    plate_command,
    rest_command,
    round_command,
    route_command,
    shift_command,
    spill_command,
)
from scrubwright.cli.parsing import Parser
from scrubwright.measures.errors import BadInput, ScrubwrightError
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.wording import Language, Teller

DONE = 0
REFUSED = 2
STOPPED = 130
_DESCRIBE = (
    after_command.describe,
    charging_command.describe,
    due_command.describe,
    equalising_command.describe,
    floor_command.describe,
    pack_command.describe,
    parts_command.describe,
    plate_command.describe,
    rest_command.describe,
    round_command.describe,
    route_command.describe,
    shift_command.describe,
    spill_command.describe,
)
_RUN: Mapping[str, Callable[[argparse.Namespace, Teller], int]] = {
    "after": after_command.run,
    "charging": charging_command.run,
    "due": due_command.run,
    "equalising": equalising_command.run,
    "floor": floor_command.run,
    "pack": pack_command.run,
    "parts": parts_command.run,
    "plate": plate_command.run,
    "rest": rest_command.run,
    "round": round_command.run,
    "route": route_command.run,
    "shift": shift_command.run,
    "spill": spill_command.run,
}
_NEGATIVE = re.compile(r"-[\d.].*")


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; 0 when done, 2 when something given cannot be used, 130 when stopped by hand.

    What the command line, a drawing or a plate gets wrong is told in one sentence on stderr. Anything
    else that goes wrong is a mistake of the program and keeps its traceback.
    """
    _never_stop_at_a_letter()
    chosen, rest = _choices(_joined(sys.argv[1:] if argv is None else argv), os.environ)
    teller = Teller(language=_language(chosen.language, os.environ), system=_units(chosen.units))
    try:
        _check(chosen)
        return _run(rest, teller)
    except ScrubwrightError as error:
        print(teller.tell(error.sentence), file=sys.stderr)
        return REFUSED
    except BrokenPipeError:  # whoever reads, such as `head`, has read enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        print(teller.words("Stopped before it was done."), file=sys.stderr)
        return STOPPED


def parser(teller: Teller) -> Parser:
    """The parser of the whole command line, its help told by `teller`."""
    whole = Parser(
        teller=teller,
        prog="scrubwright",
        description="For whoever looks after battery ride-on scrubbers: from a floor drawing to the route for tonight, "
        "from a hydrometer to what the pack still does.",
        example="scrubwright floor hall.dxf -o hall.geojson --drain 2,3 --tap 2,3 --park 5,3\n"
        "scrubwright route hall.geojson --machine mid-cylindrical.toml --html tonight.html\n"
        "scrubwright pack pack.toml readings.csv --load 68A --work 3h --pdf sheet.pdf",
    )
    whole.add_argument(
        "--language",
        metavar="en|es",
        help="Language of the answer, anywhere on the line; else as SCRUBWRIGHT_LANGUAGE or LANG say.",
    )
    whole.add_argument(
        "--units",
        metavar="si|us",
        help="Metres and litres, or feet and gallons; else as SCRUBWRIGHT_UNITS says, else si.",
    )
    whole.add_argument(
        "--version", action="version", version=f"scrubwright {version('scrubwright')}", help="Show the version."
    )
    commands = whole.add_commands()
    for describe in _DESCRIBE:
        describe(commands)
    return whole


def _run(rest: Sequence[str], teller: Teller) -> int:
    whole = parser(teller)
    if not rest:
        print(whole.format_help(), end="")
        return DONE
    try:
        arguments = whole.parse_args(rest)
    except SystemExit:  # argparse leaves this way once it has shown the help
        return DONE
    return _RUN[arguments.command](arguments, teller)


def _choices(argv: Sequence[str], environment: Mapping[str, str]) -> tuple[argparse.Namespace, list[str]]:
    """Language and units as asked for anywhere on the line, and the rest of the line."""
    early = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    early.add_argument("--language", nargs="?", const="", default=environment.get("SCRUBWRIGHT_LANGUAGE") or None)
    early.add_argument("--units", nargs="?", const="", default=environment.get("SCRUBWRIGHT_UNITS") or None)
    return early.parse_known_args(list(argv))


def _check(chosen: argparse.Namespace) -> None:
    if chosen.language is not None and chosen.language not in list(Language):
        raise BadInput('There is no language "{given}" here; choose en or es.', given=chosen.language)
    if chosen.units is not None and chosen.units not in list(UnitSystem):
        raise BadInput('There are no units "{given}" here; choose si or us.', given=chosen.units)


def _units(asked: str | None) -> UnitSystem:
    return UnitSystem.US if asked == UnitSystem.US else UnitSystem.SI


def _language(asked: str | None, environment: Mapping[str, str]) -> Language:
    """The language asked for, else the one that the first locale variable with a value names, else English."""
    locale = next((environment[name] for name in ("LC_ALL", "LC_MESSAGES", "LANG") if environment.get(name)), "")
    code = locale[:2].lower() if asked is None else asked
    return Language.SPANISH if code == Language.SPANISH else Language.ENGLISH


def _joined(argv: Sequence[str]) -> list[str]:
    """The line with `--drain -3,4` as `--drain=-3,4`, which argparse would take for an option."""
    joined: list[str] = []
    for item in argv:
        if joined and _NEGATIVE.fullmatch(item) and joined[-1].startswith("--") and "=" not in joined[-1]:
            joined[-1] += "=" + item
        else:
            joined.append(item)
    return joined


def _never_stop_at_a_letter() -> None:
    """On a terminal that cannot show a letter, show a question mark instead of stopping."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


if __name__ == "__main__":
    sys.exit(main())
