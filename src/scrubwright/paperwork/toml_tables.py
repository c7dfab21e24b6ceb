"""A TOML file held against the tables it should hold: all that is missing or wrong in it, in words."""

import re
import tomllib
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, get_args

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.toml_keys import Table, entries, joined, meaning_of, nearest_path

LARGEST_FILE_BYTES = 200_000
_LONGEST_QUOTE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One number or text of a file, as it is written or as the file's model fills it in.

    Parameters
    ----------
    table, key
        What it is, e.g. "water.flow" and "flow_l_per_min".
    place
        Where it stands, e.g. "water.flow 2.flow_l_per_min".
    written
        The number or the text.
    field
        What the model knows of it.
    row
        All that its table holds.
    """

    table: str
    key: str
    place: str
    written: float | str
    field: FieldInfo
    row: Mapping[str, Any]

    @property
    def path(self) -> str:
        """The key with its table."""
        return joined(self.table, self.key)


def text_of(path: Path) -> str:
    """The text of a TOML file.

    Parameters
    ----------
    path
        At most 0.2 MB, in UTF-8.

    Raises
    ------
    UnreadablePaper
        No such file, too large, or not text.
    """
    if not path.is_file():
        raise UnreadablePaper("There is no file {file}. Check the name and the folder.", file=str(path))
    size_bytes = path.stat().st_size
    if size_bytes > LARGEST_FILE_BYTES:
        raise UnreadablePaper(
            "{file} is {size_bytes}; such a file may be {limit_bytes}. Is it another file?",
            file=path.name,
            size_bytes=float(size_bytes),
            limit_bytes=float(LARGEST_FILE_BYTES),
        )
    try:
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise UnreadablePaper(
            "{file} is not plain text in UTF-8. Save it from a text editor as UTF-8.", file=path.name
        ) from error


def content_of(text: str, file: str) -> dict[str, Any]:
    """What a TOML text holds, without what was left empty, such as `width_m = ""` of a blank.

    Parameters
    ----------
    text
        The whole text.
    file
        Its name, for the message.

    Raises
    ------
    UnreadablePaper
        It is no TOML.
    """
    try:
        content: dict[str, Any] = _filled_in(tomllib.loads(text))
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        place = re.search(r"at line (\d+), column (\d+)", str(error))
        if place is None:
            raise UnreadablePaper(
                "{file} breaks off or is nested too deep: each line is a key, = and a value, and texts stand in "
                "quotes.",
                file=file,
            ) from None
        raise UnreadablePaper(
            "{file}, line {line}, column {column} cannot be read. Each line is a key, = and a value; "
            'texts and numbers with a unit stand in quotes, such as "32 in".',
            file=file,
            line=int(place[1]),
            column=int(place[2]),
        ) from None
    return content


def shape_problems(root: type[Table], given: Mapping[str, Any]) -> tuple[list[Sentence], list[Sentence]]:
    """What is missing, and which keys and values cannot be.

    Parameters
    ----------
    root
        The table that the whole file is.
    given
        What the file holds.
    """
    missing: list[Sentence] = []
    wrong: list[Sentence] = []
    try:
        root.model_validate(given)
    except ValidationError as error:
        for problem in error.errors(include_url=False, include_context=True):
            where = _where(problem["loc"])
            if problem["type"] == "missing":
                missing.append(missing_key(root, where))
            elif problem["type"] == "extra_forbidden":
                wrong.append(_unknown_key(root, where))
            else:
                wrong.append(wrong_kind(root, where, problem["type"], problem["input"]))
    # A union of number and text reports one wrong value twice.
    return missing, list(dict.fromkeys(wrong))


def rows_of(given: Mapping[str, Any], table: str) -> list[tuple[str, Mapping[str, Any]]]:
    """The tables of that name in the file with their places, e.g. "capacity 2"."""
    rows: list[tuple[str, Any]] = [("", given)]
    for part in filter(None, table.split(".")):
        found: list[tuple[str, Any]] = []
        for where, values in rows:
            inner = values.get(part)
            place = joined(where, part)
            if isinstance(inner, dict):
                found.append((place, inner))
            elif isinstance(inner, list):
                found.extend((f"{place} {n}", row) for n, row in enumerate(inner, 1) if isinstance(row, dict))
        rows = found
    return rows


def figures_of(
    root: type[Table], given: Mapping[str, Any], figure_in: Callable[[Entry], Figure | None]
) -> tuple[dict[str, Figure], list[Sentence]]:
    """Every figure of a file by its place, and what is wrong with the others.

    Parameters
    ----------
    root
        The table that the whole file is.
    given
        What the file holds.
    figure_in
        The figure of an entry in the records' unit, None where the entry is none; raises BadInput where it cannot be.
    """
    figures: dict[str, Figure] = {}
    wrong: list[Sentence] = []
    for entry in _entries_in(root, given):
        try:
            number = figure_in(entry)
        except BadInput as problem:
            wrong.append(problem.sentence)
            continue
        if number is not None:
            figures[entry.place] = number
    return figures, wrong


def names_astray(root: type[Table], given: Mapping[str, Any], known: Collection[str]) -> Iterator[tuple[str, str, str]]:
    """Names in the lists `measured` and `from_memory` that are not known: the list, the name, and the nearest known."""
    for key in ("measured", "from_memory"):
        paths = given.get(key)
        for path in paths if isinstance(paths, list) else ():
            if isinstance(path, str) and path not in known:
                yield key, quoted(path), nearest_path(root, path) or next(iter(known))


def missing_key(root: type[Table], where: str) -> Sentence:
    """That a key is missing, and what it means."""
    found = _field(root, where)
    if found is None:
        return Sentence("{key} is missing; fill in at least one.", key=where)
    return Sentence("{key} is missing: {meaning}", key=where, meaning=meaning_of(found))


def quoted(value: Any) -> str:
    """What was given, short and without letters that would steer a terminal."""
    text = "".join(letter if letter.isprintable() else "?" for letter in str(value))
    return text if len(text) <= _LONGEST_QUOTE else text[:_LONGEST_QUOTE] + "..."


def wrong_kind(root: type[Table], where: str, problem: str, value: Any) -> Sentence:
    """That a value does not fit its key.

    Parameters
    ----------
    root
        The table that the whole file is.
    where
        The key with its table.
    problem
        What pydantic calls it.
    value
        What was given.
    """
    found = _field(root, where)
    if found is not None:
        if allowed := _allowed(found):
            return Sentence(
                '{key} is "{given}"; it may be: {allowed}.', key=where, given=quoted(value), allowed=allowed
            )
        return Sentence(
            '{key} is "{given}", which does not fit there: {meaning}',
            key=where,
            given=quoted(value),
            meaning=meaning_of(found),
        )
    if problem in ("tuple_type", "list_type"):
        return Sentence("{key} may be given several times; write it in double brackets: [[{key}]].", key=where)
    return Sentence("{key} is a table; write [{key}] on a line of its own, and its keys below.", key=where)


def _entries_in(root: type[Table], given: Mapping[str, Any]) -> Iterator[Entry]:
    for table, key, field in entries(root):
        for where, row in rows_of(given, table):
            written = row.get(key, None if field.is_required() else field.default)
            if isinstance(written, int | float | str) and not isinstance(written, bool):
                yield Entry(table=table, key=key, place=joined(where, key), written=written, field=field, row=row)


def _filled_in(given: Any) -> Any:
    if isinstance(given, dict):
        return {key: _filled_in(value) for key, value in given.items() if value != ""}
    if isinstance(given, list):
        return [_filled_in(value) for value in given]
    return given


def _where(place: tuple[int | str, ...]) -> str:
    """A place as people read it: "capacity 2.ah"; what pydantic adds for a union is dropped."""
    text = ""
    for part in place:
        if isinstance(part, int):
            text += f" {part + 1}"
        elif part not in ("float", "str"):
            text += f".{quoted(part)}" if text else quoted(part)
    return text


def _bare(where: str) -> str:
    """A place without the numbers of repeated tables."""
    return re.sub(r" \d+", "", where)


def _field(root: type[Table], where: str) -> FieldInfo | None:
    """What the model knows of a key; None for a table."""
    for table, key, field in entries(root):
        if _bare(where) == joined(table, key):
            return field
    return None


def _unknown_key(root: type[Table], where: str) -> Sentence:
    nearest = nearest_path(root, _bare(where))
    if nearest is None:
        return Sentence('Nobody reads "{key}"; take it out, or see what can be said with --blank.', key=where)
    return Sentence('Nobody reads "{key}"; did you mean "{nearest}"?', key=where, nearest=nearest)


def _allowed(field: FieldInfo) -> str:
    """The words that an entry may be, where only some are."""
    kinds = [field.annotation, *get_args(field.annotation)]
    words = next((kind for kind in kinds if isinstance(kind, type) and issubclass(kind, StrEnum)), None)
    return ", ".join(str(word) for word in words) if words is not None else ""
