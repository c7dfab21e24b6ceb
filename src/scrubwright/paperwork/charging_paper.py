"""What a charging file may hold, on paper: a blank to fill in, a JSON Schema, and a table for the reference page."""

from collections.abc import Callable
from typing import Any

from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.charging_file import ASKED_OF_SOME, ChargingFile
from scrubwright.paperwork.toml_paper import Paper, blank_file, counted_by_range, file_schema, keys_table

_PAPER = Paper(root=ChargingFile, counted=counted_by_range(ChargingFile), sometimes=ASKED_OF_SOME)
_FOREWORD = (
    Sentence("Which machines charge tonight, and on which circuits."),
    Sentence(
        "Write each number or text between the quotes, or in their place, and ask with "
        '"scrubwright charging FILE"; it tells what is still missing.'
    ),
    Sentence(
        'A plain number is in the unit that its key ends in; a text brings its own unit: "90 min", "2100 ft³", '
        '"380 cfm". A time is a time of day: "22:00"; or with its day: "2026-01-31 22:00".'
    ),
    Sentence("Lines that begin with # are remarks. To use a key that has a # before it, take the # away."),
    Sentence("Each machine needs a pack file with its charge left, or mains_a and charge_h by hand."),
)


def blank_charging(tell: Callable[[Sentence], str]) -> str:
    """A charging file to fill in, each key with what it means, its unit, its range and an example.

    Parameters
    ----------
    tell
        Says a sentence in the reader's language, e.g. `Teller.tell`.
    """
    return blank_file(_PAPER, _FOREWORD, tell)


def charging_file_schema() -> dict[str, Any]:
    """The JSON Schema of the charging file, once its TOML is read."""
    schema = file_schema(_PAPER, "Charging of several machines in one night")
    by_hand = {"required": ["mains_a", "charge_h"]}
    by_pack = {"required": ["pack", "charge_left_percent"]}
    schema["$defs"]["MachineTable"]["anyOf"] = [by_hand, by_pack]
    return schema


def charging_keys_as_markdown() -> str:
    """Every key of the charging file as a table for the reference page."""
    return keys_table(_PAPER)
