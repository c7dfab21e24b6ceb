"""What a pack file may hold, on paper: a blank to fill in, a JSON Schema, and a table for the reference page."""

from collections.abc import Callable
from typing import Any

from scrubwright.battery.pack import Chemistry
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_figures import counted_in, is_figure, least_and_most
from scrubwright.paperwork.pack_file import ASKED_OF_SOME, GravityTable, PackFile
from scrubwright.paperwork.toml_keys import known_paths
from scrubwright.paperwork.toml_paper import Counted, Paper, blank_file, file_schema, keys_table

_FOREWORD = (
    Sentence("One battery pack with its charger, in numbers."),
    Sentence(
        "Write each number or text between the quotes, or in their place, and check the file with "
        '"scrubwright pack FILE"; it tells what is still missing.'
    ),
    Sentence(
        'A plain number is in the unit that its key ends in; a text brings its own unit: "77 °F", "0.125 in", '
        '"8 fl oz".'
    ),
    Sentence("Lines that begin with # are remarks. To use a key that has a # before it, take the # away."),
    Sentence("A flooded pack needs the table [gravity] further down; every other pack leaves it out."),
)


def blank_pack(tell: Callable[[Sentence], str]) -> str:
    """A pack file to fill in, each key with what it means, its unit, its range and where to find it.

    Parameters
    ----------
    tell
        Says a sentence in the reader's language, e.g. `Teller.tell`.
    """
    return blank_file(_PAPER, _FOREWORD, tell)


def pack_schema() -> dict[str, Any]:
    """The JSON Schema of the pack file, once its TOML is read."""
    schema = file_schema(_PAPER, "Battery pack of one floor scrubber")
    schema["allOf"] = [
        _where("chemistry", Chemistry.FLOODED, ["gravity"]),
        *(_where("chemistry", kind, ["cut_off_v_per_cell"]) for kind in Chemistry if kind is not Chemistry.LITHIUM),
    ]
    schema["$defs"]["GravityTableOfPack"]["allOf"] = [
        _where("family", GravityTable.OWN, ["full", "flat", "reference_temperature_c"])
    ]
    return schema


def pack_keys_as_markdown() -> str:
    """Every key of the pack file as a table for the reference page."""
    return keys_table(_PAPER)


def _where(key: str, value: str, wanted: list[str]) -> dict[str, Any]:
    """That some keys are asked where another has one value."""
    return {"if": {"properties": {key: {"const": str(value)}}, "required": [key]}, "then": {"required": wanted}}


def _counted(path: str) -> Counted:
    least, most = least_and_most(path)
    return Counted(name=path, unit=counted_in(path), low=float(least), high=float(most))


_PAPER = Paper(
    root=PackFile,
    counted={path: _counted(path) for path in known_paths(PackFile) if is_figure(path)},
    sometimes=ASKED_OF_SOME,
)
