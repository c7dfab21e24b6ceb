"""What the tables of a TOML file are made of: keys that carry their meaning, and how they are found again.

The tables are models of pydantic whose fields carry a sentence each, as in `plate_file`.
"""

import difflib
from collections.abc import Iterator
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError

from scrubwright.measures.sentence import Sentence


def _no_yes_or_no(value: Any) -> Any:
    if isinstance(value, bool):
        raise PydanticCustomError("figure_type", "a figure")
    return value


def _name_text(value: Any) -> Any:
    # A name that looks like a number, such as 2 for the second flow setting, is still a name.
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    if isinstance(value, str) and not value.isprintable():
        raise PydanticCustomError("name_type", "a name on one line")
    return value


# A plain number in the unit of its key, or a text that brings its own unit.
Written = Annotated[
    float | str,
    BeforeValidator(_no_yes_or_no),
    WithJsonSchema({"type": ["number", "string"]}),
]
Name = Annotated[str, BeforeValidator(_name_text), Field(min_length=1, max_length=80)]


class Table(BaseModel):
    """A table of a file; a key that nobody reads is a mistake."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def meaning_of(field: FieldInfo) -> Sentence:
    """What an entry or a table of a file means, and where to find it."""
    return next((each for each in field.metadata if isinstance(each, Sentence)), Sentence(""))


def table_in(annotation: Any) -> type[Table] | None:
    """The table that a field holds, on its own or repeated; None for a plain entry."""
    if isinstance(annotation, type) and not get_args(annotation):
        return annotation if issubclass(annotation, Table) else None
    if get_origin(annotation) in (tuple, Union, UnionType):
        return next((table for part in get_args(annotation) if (table := table_in(part)) is not None), None)
    return None


def entries(table: type[Table], name: str = "") -> Iterator[tuple[str, str, FieldInfo]]:
    """Every entry of a file: its table, its key, and what the file's model knows of it."""
    for key, field in table.model_fields.items():
        inner = table_in(field.annotation)
        if inner is None:
            yield name, key, field
        else:
            yield from entries(inner, joined(name, key))


def inner_tables(table: type[Table], name: str = "") -> Iterator[tuple[str, FieldInfo, type[Table]]]:
    """Every table below one: its path, what the model knows of it, and the table itself."""
    for key, field in table.model_fields.items():
        inner = table_in(field.annotation)
        if inner is not None:
            yield joined(name, key), field, inner
            yield from inner_tables(inner, joined(name, key))


def joined(table: str, key: str) -> str:
    """A key with its table, e.g. "capacity.over_h"; at the top of the file the key alone."""
    return f"{table}.{key}" if table else key


def known_paths(root: type[Table]) -> tuple[str, ...]:
    """Every key with its table, e.g. "capacity.over_h"."""
    return tuple(joined(table, key) for table, key, _ in entries(root))


def nearest_path(root: type[Table], path: str) -> str | None:
    """The known key most like a given one: in its own table, else wherever the last part fits."""
    known = known_paths(root) + tuple(root.model_fields)
    table, _, key = path.rpartition(".")
    same_table = [each for each in known if each.rpartition(".")[0] == table]
    if found := difflib.get_close_matches(path, same_table, n=1, cutoff=0.75):
        return found[0]
    same_key = [each for each in known if each.rpartition(".")[2] == key]
    found = same_key or difflib.get_close_matches(path, known, n=1, cutoff=0.6)
    return found[0] if found else None
