"""What a pack file may hold, on paper: a blank to fill in, a JSON Schema, and a table for the reference page."""

import textwrap
from collections.abc import Callable, Iterator
from typing import Any

from pydantic.fields import FieldInfo

from scrubwright.battery.pack import Chemistry
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_figures import counted_in, is_figure, least_and_most
from scrubwright.paperwork.pack_file import ASKED_OF_SOME, GravityTable, PackFile
from scrubwright.paperwork.toml_keys import Table, entries, inner_tables, meaning_of, table_in

WIDTH = 96
SCHEMA_DIALECT = "https://json-schema.org/draft/2020-12/schema"

Tell = Callable[[Sentence], str]

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


def blank_pack(tell: Tell) -> str:
    """A pack file to fill in, each key with what it means, its unit, its range and where to find it.

    Parameters
    ----------
    tell
        Says a sentence in the reader's language, e.g. `Teller.tell`.
    """
    lines = [line for sentence in _FOREWORD for line in _remark(tell(sentence))]
    lines += _blank_table(PackFile, "", tell, is_used=True)
    return "\n".join(lines) + "\n"


def pack_schema() -> dict[str, Any]:
    """The JSON Schema of the pack file, once its TOML is read."""
    schema = PackFile.model_json_schema()
    for name, table in _tables(PackFile):
        part = schema if table is PackFile else schema["$defs"][table.__name__]
        for key, field in table.model_fields.items():
            part["properties"][key] = _property(part["properties"][key], f"{name}.{key}" if name else key, field)
    schema["allOf"] = [
        _where("chemistry", Chemistry.FLOODED, ["gravity"]),
        *(_where("chemistry", kind, ["cut_off_v_per_cell"]) for kind in Chemistry if kind is not Chemistry.LITHIUM),
    ]
    gravity = schema["$defs"][next(table.__name__ for name, table in _tables(PackFile) if name == "gravity")]
    gravity["allOf"] = [_where("family", GravityTable.OWN, ["full", "flat", "reference_temperature_c"])]
    return {"$schema": SCHEMA_DIALECT, **schema, "title": "Battery pack of one floor scrubber"}


def pack_keys_as_markdown() -> str:
    """Every key of the pack file as a table for the reference page."""
    rows = [
        "| Table | Key | Counted in | Range | If left out | What it is, and where to find it |",
        "|---|---|---|---|---|---|",
    ]
    for table, key, field in entries(PackFile):
        path = f"{table}.{key}" if table else key
        cells = (
            f"`{_heading(table)}`" if table else "",
            f"`{key}`",
            str(counted_in(path)) if is_figure(path) else "",
            " to ".join(least_and_most(path)) if is_figure(path) else "",
            _left_out(path, field),
            str(meaning_of(field)),
        )
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows) + "\n"


def _where(key: str, value: str, wanted: list[str]) -> dict[str, Any]:
    """That some keys are asked where another has one value."""
    return {"if": {"properties": {key: {"const": str(value)}}, "required": [key]}, "then": {"required": wanted}}


def _left_out(path: str, field: FieldInfo) -> str:
    table = path.rpartition(".")[0]
    if path in ASKED_OF_SOME:
        return "asked of some packs"
    if not field.is_required():
        return "may be"
    is_asked = not table or PackFile.model_fields[table].is_required()
    return "asked" if is_asked else "asked where the table is given"


def _heading(table: str) -> str:
    return (
        f"[[{table}]]"
        if any(path == table and "tuple" in str(field.annotation) for path, field, _ in inner_tables(PackFile))
        else f"[{table}]"
    )


def _tables(table: type[Table], name: str = "") -> Iterator[tuple[str, type[Table]]]:
    yield name, table
    for key, field in table.model_fields.items():
        inner = table_in(field.annotation)
        if inner is not None:
            yield from _tables(inner, f"{name}.{key}" if name else key)


def _property(given: dict[str, Any], path: str, field: FieldInfo) -> dict[str, Any]:
    """A key in the schema: what it means, its range, and no "null", which TOML does not have."""
    shape = dict(given)
    if "anyOf" in shape:
        shape |= next(one for one in shape.pop("anyOf") if one.get("type") != "null")
    if shape.get("default", "") is None:
        del shape["default"]
    shape.pop("title", None)
    if meaning := str(meaning_of(field)):
        shape["description"] = meaning
    if is_figure(path):
        least, most = least_and_most(path)
        shape |= {"minimum": float(least), "maximum": float(most)}
    return shape


def _blank_table(table: type[Table], name: str, tell: Tell, *, is_used: bool) -> list[str]:
    lines: list[str] = []
    for key, field in table.model_fields.items():
        path = f"{name}.{key}" if name else key
        inner = table_in(field.annotation)
        if inner is None:
            lines += ["", *_blank_entry(path, key, field, tell, is_used=is_used)]
            continue
        inner_used = is_used and field.is_required()
        lines += ["", "", *_remark(tell(meaning_of(field))), ("" if inner_used else "#") + _heading(path)]
        lines += _blank_table(inner, path, tell, is_used=inner_used)
    return lines


def _blank_entry(path: str, key: str, field: FieldInfo, tell: Tell, *, is_used: bool) -> list[str]:
    example = _toml(field.examples[0]) if field.examples else ""
    lines = _remark(tell(meaning_of(field)))
    if is_figure(path):
        least, most = least_and_most(path)
        sentence = Sentence(
            "In {unit}, from {least} to {most}; for instance {example}.",
            unit=counted_in(path),
            least=least,
            most=most,
            example=example,
        )
    else:
        sentence = Sentence("For instance {example}.", example=example)
    lines += _remark(tell(sentence))
    if field.is_required():
        return [*lines, f'{"" if is_used else "#"}{key} = ""']
    if path not in ASKED_OF_SOME:
        lines += _remark(tell(Sentence("May be left out.")))
    return [*lines, f"#{key} = {example}"]


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return "[" + ", ".join(_toml(each) for each in value) + "]"
    return f"{value:g}"


def _remark(text: str) -> list[str]:
    return ["# " + line for line in textwrap.wrap(text, WIDTH - 2)]
