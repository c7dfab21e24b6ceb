"""What a TOML file may hold, on paper: a blank to fill in, a JSON Schema, a table of its keys, and what to mend."""

import textwrap
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic.fields import FieldInfo

from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figure_ranges import range_of
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.toml_keys import Table, entries, inner_tables, joined, meaning_of, table_in
from scrubwright.paperwork.wording import Teller

WIDTH = 96
SCHEMA_DIALECT = "https://json-schema.org/draft/2020-12/schema"

Tell = Callable[[Sentence], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """What a plain number under the key `name` is counted in, and from where to where it may be."""

    name: str
    unit: Sentence
    low: float
    high: float

    @property
    def ends(self) -> tuple[str, str]:
        """Both ends as they are written."""
        return f"{self.low:g}", f"{self.high:g}"


def counted_by_range(root: type[Table]) -> dict[str, Counted]:
    """How the numbers of a file are counted whose keys carry their range beside their meaning, as `charging_file`."""
    ranges = {joined(table, key): range_of(field) for table, key, field in entries(root)}
    return {
        path: Counted(name=path, unit=each.kind.words, low=each.low, high=each.high)
        for path, each in ranges.items()
        if each
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """What a kind of file is told by.

    Parameters
    ----------
    root
        The table that the whole file is.
    counted
        How the number under each key is counted, by the key with its table; other keys hold words.
    sometimes
        Keys, with their table, that are asked only where something else is so; their meaning tells when.
    """

    root: type[Table]
    counted: Mapping[str, Counted]
    sometimes: Collection[str] = ()

    def heading(self, table: str) -> str:
        """The line that begins a table."""
        repeated = {path for path, field, _ in inner_tables(self.root) if "tuple" in str(field.annotation)}
        return f"[[{table}]]" if table in repeated else f"[{table}]"

    def left_out(self, path: str, field: FieldInfo) -> str:
        """What leaving a key out means."""
        if path in self.sometimes:
            return "asked in some cases"
        if not field.is_required():
            value = _filled_in(field)
            return "may be" if value is None else f"{value:g} is taken"
        table = path.rpartition(".")[0]
        optional = [name for name, inner, _ in inner_tables(self.root) if not inner.is_required()]
        return (
            "asked where the table is given"
            if any(f"{table}.".startswith(f"{name}.") for name in optional)
            else "asked"
        )


def blank_file(paper: Paper, foreword: Sequence[Sentence], tell: Tell) -> str:
    """A file to fill in, each key with what it means, its unit, its range and an example.

    Parameters
    ----------
    paper
        The kind of file.
    foreword
        What stands at its top.
    tell
        Says a sentence in the reader's language, e.g. `Teller.tell`.
    """
    lines = [line for sentence in foreword for line in _remark(tell(sentence))]
    lines += _blank_table(paper, paper.root, "", tell, is_used=True)
    return "\n".join(lines) + "\n"


def file_schema(paper: Paper, title: str) -> dict[str, Any]:
    """The JSON Schema of a file, once its TOML is read."""
    root = paper.root
    schema = root.model_json_schema()
    for name, table in (("", root), *((name, table) for name, _, table in inner_tables(root))):
        part = schema if table is root else schema["$defs"][table.__name__]
        for key, field in table.model_fields.items():
            counted = paper.counted.get(joined(name, key))
            part["properties"][key] = _property(part["properties"][key], field, counted)
    return {"$schema": SCHEMA_DIALECT, **schema, "title": title}


def keys_table(paper: Paper) -> str:
    """Every key of a file as a Markdown table for its reference page."""
    rows = [
        "| Table | Key | Counted in | Range | If left out | What it is, and where to find it |",
        "|---|---|---|---|---|---|",
    ]
    for table, key, field in entries(paper.root):
        path = joined(table, key)
        counted = paper.counted.get(path)
        cells = (
            f"`{paper.heading(table)}`" if table else "",
            f"`{key}`",
            str(counted.unit) if counted else "",
            " to ".join(counted.ends) if counted else "",
            paper.left_out(path, field),
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


def _filled_in(field: FieldInfo) -> float | None:
    """The number that is taken where a key is left out."""
    value = field.default
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def _property(given: dict[str, Any], field: FieldInfo, counted: Counted | None) -> dict[str, Any]:
    """A key in the schema: what it means, its range, and no "null", which TOML does not have."""
    shape = dict(given)
    if "anyOf" in shape:
        shape |= next(one for one in shape.pop("anyOf") if one.get("type") != "null")
    if shape.get("default", "") is None:
        del shape["default"]
    shape.pop("title", None)
    if meaning := str(meaning_of(field)):
        shape["description"] = meaning
    if counted:
        shape |= {"minimum": counted.low, "maximum": counted.high}
    return shape


def _blank_table(paper: Paper, table: type[Table], name: str, tell: Tell, *, is_used: bool) -> list[str]:
    lines: list[str] = []
    for key, field in table.model_fields.items():
        path = joined(name, key)
        inner = table_in(field.annotation)
        if inner is None:
            lines += ["", *_blank_entry(paper, path, key, field, tell, is_used=is_used)]
            continue
        inner_used = is_used and field.is_required()
        lines += ["", "", *_remark(tell(meaning_of(field))), ("" if inner_used else "#") + paper.heading(path)]
        lines += _blank_table(paper, inner, path, tell, is_used=inner_used)
    return lines


def _blank_entry(paper: Paper, path: str, key: str, field: FieldInfo, tell: Tell, *, is_used: bool) -> list[str]:
    example = _toml(field.examples[0]) if field.examples else ""
    lines = _remark(tell(meaning_of(field)))
    if counted := paper.counted.get(path):
        least, most = counted.ends
        sentence = Sentence(
            "In {unit}, from {least} to {most}; for instance {example}.",
            unit=counted.unit,
            least=least,
            most=most,
            example=example,
        )
    else:
        sentence = Sentence("For instance {example}.", example=example)
    lines += _remark(tell(sentence))
    if field.is_required():
        return [*lines, f'{"" if is_used else "#"}{key} = ""']
    value = _filled_in(field)
    if value is not None:
        lines += _remark(tell(Sentence("May be left out; {value} is taken then.", value=f"{value:g}")))
    elif path not in paper.sometimes:
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
