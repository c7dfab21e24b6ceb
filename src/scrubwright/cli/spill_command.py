"""`scrubwright spill`: acid on the floor, how much soda it takes, what to do and what never to do."""

import argparse
import re
import sys

from scrubwright.battery.spill import STRONGEST_RATIO, spill
from scrubwright.cli.parsing import Commands
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.measures.units import LITRES_PER_GALLON, UnitSystem
from scrubwright.paperwork.spill_text import spill_text
from scrubwright.paperwork.wording import Teller

DONE = 0
_VOLUMES_L = {"l": 1.0, "ml": 0.001, "gal": LITRES_PER_GALLON, "qt": LITRES_PER_GALLON / 4}
_BARE = {UnitSystem.SI: "l", UnitSystem.US: "gal"}
_VOLUME = re.compile(r"(\d*[.,]?\d+) *(l|ml|gal|qt|)")


def describe(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "spill",
        help="Battery acid on the floor: how much soda, and what to do.",
        description="Tells how much baking soda or soda ash makes spilled battery acid harmless, how much gas that "
        "sets free, what to do in which order, and what never to do.",
        epilog="scrubwright spill 0.5\nscrubwright spill 500ml --gravity 1.265",
    )
    parser.add_argument("litres", metavar="LITRES", help="How much acid ran out, such as 0.5, 500ml or 1qt.")
    parser.add_argument(
        "--gravity", metavar="G", help="Its gravity, where it was read; else that of the strongest full pack, 1.300."
    )


def run(arguments: argparse.Namespace, teller: Teller) -> int:
    """Tell what the spill takes; 0 when done."""
    acid_l = volume_l(arguments.litres, teller.system)
    if arguments.gravity is None:
        answer, origin = spill(acid_l, STRONGEST_RATIO), Origin.COMMON_PRACTICE
    else:
        answer, origin = spill(acid_l, _gravity_ratio(arguments.gravity)), Origin.MEASURED
    sys.stdout.write(spill_text(answer, origin, teller))
    return DONE


def volume_l(text: str, system: UnitSystem = UnitSystem.SI) -> float:
    """An amount of liquid as typed [L]: "0.5", "0,5", "500 ml", "1 qt".

    A bare number is litres, or gallons for whoever reads in US units.

    Raises
    ------
    BadInput
        It is no amount above zero.

    Examples
    --------
    >>> volume_l("500 ml")
    0.5
    """
    found = _VOLUME.fullmatch(text.strip().lower())
    amount = float(found[1].replace(",", ".")) if found else 0.0
    if found is None or amount == 0:
        raise BadInput('The spill is "{given}"; enter an amount such as 0.5L, 500ml, 1qt or 0.2gal.', given=text)
    return amount * _VOLUMES_L[found[2] or _BARE[system]]


def _gravity_ratio(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise BadInput('--gravity is "{given}"; enter what the hydrometer shows, such as 1.265.', given=text) from None
