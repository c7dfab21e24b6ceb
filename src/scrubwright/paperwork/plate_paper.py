"""What a plate file may hold, on paper: a blank to fill in, a JSON Schema, and a table for the reference page."""

import textwrap
from collections.abc import Callable, Iterator
from typing import Any

from pydantic.fields import FieldInfo

from scrubwright.machine.ranges import RANGES
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.plate_file import PlateFile, field_of, unit_ratio
from scrubwright.paperwork.toml_keys import Table, entries, meaning_of, table_in

WIDTH = 96
SCHEMA_DIALECT = "https://json-schema.org/draft/2020-12/schema"

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
    lines = [line for sentence in _FOREWORD for line in _remark(tell(sentence))]
    lines += _blank_table(PlateFile, "", tell, is_used=True)
    return "\n".join(lines) + "\n"


def plate_schema() -> dict[str, Any]:
    """The JSON Schema of the plate file, once its TOML is read."""
    schema = PlateFile.model_json_schema()
    for name, table in _tables(PlateFile):
        part = schema if table is PlateFile else schema["$defs"][table.__name__]
        for key, field in table.model_fields.items():
            part["properties"][key] = _property(part["properties"][key], name, key, field)
    return {"$schema": SCHEMA_DIALECT, **schema, "title": "Plate of one floor scrubber"}


def keys_as_markdown() -> str:
    """Every key of the plate file as a table for the reference page."""
    rows = [
        "| Table | Key | Counted in | Range | If left out | What it is, and where to find it |",
        "|---|---|---|---|---|---|",
    ]
    for table, key, field in entries(PlateFile):
        unit = _unit_words(key)
        allowed = _range(table, key)
        cells = (
            f"`{_heading(table)}`" if table else "",
            f"`{key}`",
            str(unit) if allowed and unit else "",
            f"{allowed[0]:g} to {allowed[1]:g}" if allowed else "",
            _left_out(table, field),
            str(meaning_of(field)),
        )
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows) + "\n"


def _left_out(table: str, field: FieldInfo) -> str:
    if not field.is_required():
        return f"{field.default:g} is taken" if isinstance(field.default, int | float) else "may be"
    is_optional = any(not PlateFile.model_fields[part].is_required() for part in table.split(".")[:1] if part)
    return "asked where the table is given" if is_optional or table == "deck.pressure" else "asked"


def _heading(table: str) -> str:
    return f"[[{table}]]" if table in _repeated() else f"[{table}]"


def _repeated() -> set[str]:
    """The tables that may be given several times."""
    return {name for name, is_repeated in _table_names(PlateFile, "") if is_repeated}


def _table_names(table: type[Table], name: str) -> Iterator[tuple[str, bool]]:
    for key, field in table.model_fields.items():
        inner = table_in(field.annotation)
        if inner is not None:
            path = f"{name}.{key}" if name else key
            yield path, "tuple" in str(field.annotation)
            yield from _table_names(inner, path)


def _tables(table: type[Table], name: str = "") -> Iterator[tuple[str, type[Table]]]:
    yield name, table
    for key, field in table.model_fields.items():
        inner = table_in(field.annotation)
        if inner is not None:
            yield from _tables(inner, f"{name}.{key}" if name else key)


def _property(given: dict[str, Any], table: str, key: str, field: FieldInfo) -> dict[str, Any]:
    """A key in the schema: what it means, its range, and no "null", which TOML does not have."""
    shape = dict(given)
    if "anyOf" in shape:
        shape |= next(one for one in shape.pop("anyOf") if one.get("type") != "null")
    if shape.get("default", "") is None:
        del shape["default"]
    shape.pop("title", None)
    meaning = str(meaning_of(field))
    if meaning:
        shape["description"] = meaning
    allowed = _range(table, key)
    if allowed:
        shape |= {"minimum": allowed[0], "maximum": allowed[1]}
    return shape


def _range(table: str, key: str) -> tuple[float, float] | None:
    """The range of a figure as a plain number under its key; None for words."""
    allowed = RANGES.get(field_of(table, key))
    if allowed is None:
        return None
    ratio = unit_ratio(key)
    return round(allowed.least / ratio, 6), round(allowed.most / ratio, 6)


def _unit_words(key: str) -> Sentence | None:
    return next((words for suffix, words in _UNIT_WORDS.items() if key.endswith(suffix)), None)


def _blank_table(table: type[Table], name: str, tell: Callable[[Sentence], str], *, is_used: bool) -> list[str]:
    lines: list[str] = []
    for key, field in table.model_fields.items():
        inner = table_in(field.annotation)
        if inner is None:
            lines += ["", *_blank_entry(name, key, field, tell, is_used=is_used)]
            continue
        path = f"{name}.{key}" if name else key
        inner_used = is_used and field.is_required()
        lines += ["", "", *_remark(tell(meaning_of(field))), ("" if inner_used else "#") + _heading(path)]
        lines += _blank_table(inner, path, tell, is_used=inner_used)
    return lines


def _blank_entry(
    table: str, key: str, field: FieldInfo, tell: Callable[[Sentence], str], *, is_used: bool
) -> list[str]:
    lines = _remark(tell(meaning_of(field)))
    allowed = _range(table, key)
    unit = _unit_words(key)
    example = _toml(field.examples[0]) if field.examples else ""
    if allowed and unit:
        sentence = Sentence(
            "In {unit}, from {least} to {most}; for instance {example}.",
            unit=unit,
            least=f"{allowed[0]:g}",
            most=f"{allowed[1]:g}",
            example=example,
        )
    else:
        sentence = Sentence("For instance {example}.", example=example)
    lines += _remark(tell(sentence))
    if field.is_required():
        return [*lines, f'{"" if is_used else "#"}{key} = ""']
    if isinstance(field.default, int | float):
        lines += _remark(tell(Sentence("May be left out; {value} is taken then.", value=f"{field.default:g}")))
    else:
        lines += _remark(tell(Sentence("May be left out.")))
    return [*lines, f"#{key} = {example}"]


def _toml(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return "[" + ", ".join(_toml(each) for each in value) + "]"
    return f"{value:g}"


def _remark(text: str) -> list[str]:
    return ["# " + line for line in textwrap.wrap(text, WIDTH - 2)]
