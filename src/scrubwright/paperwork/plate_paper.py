"""What a plate file may hold, on paper: a blank to fill in, a JSON Schema, and a table for the reference page."""

from collections.abc import Callable
from typing import Any

from scrubwright.machine.ranges import RANGES, Range
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.plate_file import PlateFile, field_of, unit_ratio
from scrubwright.paperwork.plates import is_figure
from scrubwright.paperwork.toml_keys import entries, joined
from scrubwright.paperwork.toml_paper import Counted, Paper, blank_file, file_schema, keys_table

# What a plain number under a key is counted in.
_UNIT_WORDS = {
    "_l_per_min": Sentence("litres a minute"),
    "_km_per_h": Sentence("kilometres an hour"),
    "_percent": Sentence("percent"),
    "_degrees": Sentence("degrees"),
    "_min": Sentence("minutes"),
    "_kg": Sentence("kilograms"),
    "_a": Sentence("amperes"),
    "_l": Sentence("litres"),
    "_m": Sentence("metres"),
    "_s": Sentence("seconds"),
}
_FOREWORD = (
    Sentence("The plate of one machine: what it is, in numbers."),
    Sentence(
        "Write each number or text between the quotes, or in their place, and check the file with "
        '"scrubwright plate FILE"; it tells what is still missing.'
    ),
    Sentence(
        'A plain number is in the unit that its key ends in; a text brings its own unit: "32 in", "12 gal", "3 mph".'
    ),
    Sentence("Lines that begin with # are remarks. To use a key that has a # before it, take the # away."),
    Sentence("Ahead and behind are counted from the rear axle, along the floor."),
)


def blank_plate(tell: Callable[[Sentence], str]) -> str:
    """A plate file to fill in, each key with what it means, its unit, its range and where to find it.

    Parameters
    ----------
    tell
        Says a sentence in the reader's language, e.g. `Teller.tell`.
    """
    return blank_file(_PAPER, _FOREWORD, tell)


def plate_schema() -> dict[str, Any]:
    """The JSON Schema of the plate file, once its TOML is read."""
    return file_schema(_PAPER, "Plate of one floor scrubber")


def keys_as_markdown() -> str:
    """Every key of the plate file as a table for the reference page."""
    return keys_table(_PAPER)


def _counted(key: str, allowed: Range) -> Counted:
    """How the number under a key is counted; the ranges are in the units of the records."""
    unit = next(words for suffix, words in _UNIT_WORDS.items() if key.endswith(suffix))
    ratio = unit_ratio(key)
    return Counted(name=key, unit=unit, low=round(allowed.least / ratio, 6), high=round(allowed.most / ratio, 6))


_PAPER = Paper(
    root=PlateFile,
    counted={
        joined(table, key): _counted(key, RANGES[field_of(table, key)])
        for table, key, _ in entries(PlateFile)
        if is_figure(table, key)
    },
)
