"""What a TOML file may hold, on paper: a blank to fill in, a JSON Schema, a table of its keys, and what to mend.

For files whose keys carry their range beside their meaning, as in `charging_file`.
"""

import textwrap
from collections.abc import Callable, Collection, Iterator, Sequence
from typing import Any

from pydantic.fields import FieldInfo

from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figure_ranges import range_of
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.toml_keys import Table, entries, inner_tables, meaning_of, table_in
from scrubwright.paperwork.wording import Teller

WIDTH = 96
SCHEMA_DIALECT = "https://json-schema.org/draft/2020-12/schema"

Tell = Callable[[Sentence], str]


def blank_file(root: type[Table], foreword: Sequence[Sentence], tell: Tell, sometimes: Collection[str] = ()) -> str:
    """A file to fill in, each key with what it means, its unit, its range and an example.

    Parameters
    ----------
    root
        The table that the whole file is.
    foreword
        What stands at its top.
    tell
        Says a sentence in the reader's language, e.g. `Teller.tell`.
    sometimes
        Keys, with their table, that are asked only where something else is so; their meaning tells when.
    """
    lines = [line for sentence in foreword for line in _remark(tell(sentence))]
    lines += _blank_table(root, "", tell, _Asked(root, sometimes), is_used=True)
    return "\n".join(lines) + "\n"


def file_schema(root: type[Table], title: str) -> dict[str, Any]:
    """The JSON Schema of a file, once its TOML is read."""
    schema = root.model_json_schema()
    for table in _tables(root):
        part = schema if table is root else schema["$defs"][table.__name__]
        for key, field in table.model_fields.items():
            part["properties"][key] = _property(part["properties"][key], field)
    return {"$schema": SCHEMA_DIALECT, **schema, "title": title}


def keys_table(root: type[Table], sometimes: Collection[str] = ()) -> str:
    """Every key of a file as a Markdown table for its reference page."""
    asked = _Asked(root, sometimes)
    rows = [
        "| Table | Key | Counted in | Range | If left out | What it is, and where to find it |",
        "|---|---|---|---|---|---|",
    ]
    for table, key, field in entries(root):
        path = f"{table}.{key}" if table else key
        allowed = range_of(field)
        cells = (
            f"`{asked.heading(table)}`" if table else "",
            f"`{key}`",
            str(allowed.kind.words) if allowed else "",
            " to ".join(allowed.ends) if allowed else "",
            asked.left_out(path, field),
            str(meaning_of(field)),
        )
        rows.append("| " + " | ".join(cells) + " |")
    return "\n".join(rows) + "\n"


def problems_text(file: str, wrong: Sequence[Sentence], missing: Sequence[Sentence], teller: Teller) -> str:
    """Every problem of a file that cannot be used yet.

    Parameters
    ----------
    file
        Its name.
    wrong, missing
        What to mend and what to enter.
    teller
        Who tells it.
    """
    words = teller.words
    count = len(wrong) + len(missing)
    parts = [wrapped(words("{file} cannot be used yet. Things to mend: {count}.", file=file, count=count))]
    for title, sentences in ((words("To mend"), wrong), (words("Still missing"), missing)):
        if sentences:
            lines = [wrapped(teller.tell(each), indent="  ", mark="- ") for each in sentences]
            parts.append("\n".join([f"{title}:", *lines]))
    return "\n\n".join(parts) + "\n"


class _Asked:
    """Which keys of a file must be given, which may be, and which of its tables repeat."""

    def __init__(self, root: type[Table], sometimes: Collection[str]) -> None:
        self.sometimes = sometimes
        self._root = root
        self._repeated = {path for path, field, _ in inner_tables(root) if "tuple" in str(field.annotation)}

    def heading(self, table: str) -> str:
        return f"[[{table}]]" if table in self._repeated else f"[{table}]"

    def left_out(self, path: str, field: FieldInfo) -> str:
        table = path.rpartition(".")[0]
        if path in self.sometimes:
            return "asked in some cases"
        if not field.is_required():
            return "may be"
        is_asked = not table or self._root.model_fields[table.partition(".")[0]].is_required()
        return "asked" if is_asked else "asked where the table is given"


def _tables(table: type[Table]) -> Iterator[type[Table]]:
    yield table
    for field in table.model_fields.values():
        inner = table_in(field.annotation)
        if inner is not None:
            yield from _tables(inner)


def _property(given: dict[str, Any], field: FieldInfo) -> dict[str, Any]:
    """A key in the schema: what it means, its range, and no "null", which TOML does not have."""
    shape = dict(given)
    if "anyOf" in shape:
        shape |= next(one for one in shape.pop("anyOf") if one.get("type") != "null")
    if shape.get("default", "") is None:
        del shape["default"]
    shape.pop("title", None)
    if meaning := str(meaning_of(field)):
        shape["description"] = meaning
    if allowed := range_of(field):
        shape |= {"minimum": allowed.low, "maximum": allowed.high}
    return shape


def _blank_table(table: type[Table], name: str, tell: Tell, asked: _Asked, *, is_used: bool) -> list[str]:
    lines: list[str] = []
    for key, field in table.model_fields.items():
        path = f"{name}.{key}" if name else key
        inner = table_in(field.annotation)
        if inner is None:
            lines += ["", *_blank_entry(path, key, field, tell, asked, is_used=is_used)]
            continue
        inner_used = is_used and field.is_required()
        lines += ["", "", *_remark(tell(meaning_of(field))), ("" if inner_used else "#") + asked.heading(path)]
        lines += _blank_table(inner, path, tell, asked, is_used=inner_used)
    return lines


def _blank_entry(path: str, key: str, field: FieldInfo, tell: Tell, asked: _Asked, *, is_used: bool) -> list[str]:
    example = _toml(field.examples[0]) if field.examples else ""
    lines = _remark(tell(meaning_of(field)))
    if allowed := range_of(field):
        least, most = allowed.ends
        sentence = Sentence(
            "In {unit}, from {least} to {most}; for instance {example}.",
            unit=allowed.kind.words,
            least=least,
            most=most,
            example=example,
        )
    else:
        sentence = Sentence("For instance {example}.", example=example)
    lines += _remark(tell(sentence))
    if field.is_required():
        return [*lines, f'{"" if is_used else "#"}{key} = ""']
    if path not in asked.sometimes:
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
