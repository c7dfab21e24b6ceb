"""A plate file becomes a plate: every problem of the file is told at once, in words."""

import difflib
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, get_args

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from scrubwright.machine.plate import Plate
from scrubwright.machine.ranges import RANGES, outside, quantity
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figures import Figure, figure
from scrubwright.paperwork.plate_file import PlateFile, Table, field_of, meaning_of, table_in, unit_ratio
from scrubwright.paperwork.plate_records import FILL_L_PER_MIN, Figures, plate_of

LARGEST_FILE_BYTES = 200_000
_LONGEST_QUOTE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateReading:
    """What a plate file says, and what is missing, wrong or assumed in it.

    Parameters
    ----------
    plate
        The plate; None where something is missing or wrong.
    missing, wrong
        What to enter and what to mend, all of it.
    assumed
        What the file leaves out and common practice filled in.
    """

    plate: Plate | None
    missing: tuple[Sentence, ...] = ()
    wrong: tuple[Sentence, ...] = ()
    assumed: tuple[Sentence, ...] = ()


def read_plate(path: Path) -> PlateReading:
    """The plate in a file, or everything that is missing and wrong in it.

    Parameters
    ----------
    path
        A plate file (TOML), at most 0.2 MB.

    Raises
    ------
    UnreadablePaper
        No such file, too large, or not text.
    """
    return reading_of_text(_text_of(path), file=path.name)


def plate_from(path: Path) -> Plate:
    """The plate in a file that is meant to be complete.

    Raises
    ------
    UnreadablePaper
        The file cannot be read, or something in it is missing or wrong.
    """
    reading = read_plate(path)
    problems = reading.wrong + reading.missing
    if reading.plate is None:
        raise UnreadablePaper(
            "The plate {file} cannot be used yet; things to mend: {count}. The first: {first} "
            'See all of them with "scrubwright plate {file}".',
            file=path.name,
            count=len(problems),
            first=problems[0],
        )
    return reading.plate


def reading_of_text(text: str, file: str) -> PlateReading:
    """The plate that a TOML text describes, or everything that is missing and wrong in it.

    Parameters
    ----------
    text
        The whole text.
    file
        Its name, for the messages.
    """
    try:
        given = _filled_in(tomllib.loads(text))
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        return PlateReading(plate=None, wrong=(_not_toml(error, file),))
    for name, field in PlateFile.model_fields.items():
        if field.is_required() and table_in(field.annotation) is not None:
            # An absent table is told key by key, like an empty one.
            given.setdefault(name, {})
    missing, wrong = _shape_problems(given)
    figures, unsound = _figures_of(given)
    wrong += unsound
    wrong += [problem for key in ("measured", "from_memory") for problem in _unknown_paths(given.get(key), key)]
    if missing or wrong:
        return PlateReading(plate=None, missing=tuple(missing), wrong=tuple(wrong))
    plate, crossed = plate_of(PlateFile.model_validate(given), figures, _origins(given))
    return PlateReading(plate=plate, wrong=crossed, assumed=tuple(_assumed(given, figures)))


def known_paths() -> tuple[str, ...]:
    """Every key of the plate file with its table, e.g. "deck.scrub_width_m"."""
    return tuple(f"{table}.{key}" if table else key for table, key, _ in entries(PlateFile))


def entries(table: type[Table], name: str = "") -> Iterator[tuple[str, str, FieldInfo]]:
    """Every entry of the plate file: its table, its key, and what the file's model knows of it."""
    for key, field in table.model_fields.items():
        inner = table_in(field.annotation)
        path = f"{name}.{key}" if name else key
        if inner is None:
            yield name, key, field
        else:
            yield from entries(inner, path)


def is_figure(table: str, key: str) -> bool:
    """Whether an entry is a number with a unit."""
    return field_of(table, key) in RANGES


def _text_of(path: Path) -> str:
    if not path.is_file():
        raise UnreadablePaper("There is no plate file {file}. Check the name and the folder.", file=str(path))
    size_bytes = path.stat().st_size
    if size_bytes > LARGEST_FILE_BYTES:
        raise UnreadablePaper(
            "{file} is {size_bytes}; a plate may be {limit_bytes}. Is it another file?",
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


def _filled_in(given: Any) -> Any:
    """The file without what was left empty, such as `width_m = ""` of a blank plate."""
    if isinstance(given, dict):
        return {key: _filled_in(value) for key, value in given.items() if value != ""}
    if isinstance(given, list):
        return [_filled_in(value) for value in given]
    return given


def _not_toml(error: Exception, file: str) -> Sentence:
    place = re.search(r"at line (\d+), column (\d+)", str(error))
    if place is None:
        return Sentence(
            "{file} is not written as a plate file: each line is a key, = and a value, and texts stand in quotes.",
            file=file,
        )
    return Sentence(
        "{file}, line {line}, column {column} cannot be read. Each line is a key, = and a value; "
        'texts and numbers with a unit stand in quotes, such as "32 in".',
        file=file,
        line=int(place[1]),
        column=int(place[2]),
    )


def _shape_problems(given: Mapping[str, Any]) -> tuple[list[Sentence], list[Sentence]]:
    """What is missing, and which keys and values cannot be."""
    missing: list[Sentence] = []
    wrong: list[Sentence] = []
    try:
        PlateFile.model_validate(given)
    except ValidationError as error:
        for problem in error.errors(include_url=False, include_context=True):
            where = _where(problem["loc"])
            if problem["type"] == "missing":
                missing.append(_missing(where))
            elif problem["type"] == "extra_forbidden":
                wrong.append(_unknown_key(where))
            else:
                wrong.append(_wrong_kind(where, problem["type"], problem["input"]))
    if _silent_on_turning(given):
        missing.append(
            Sentence(
                "steering.turning_aisle_m is missing: {meaning} Or give turning_radius_m.",
                meaning=_meaning("steering.turning_aisle_m"),
            )
        )
    service = given.get("service")
    if isinstance(service, dict) and "fill_min" in service and "fill_l_per_min" in service:
        wrong.append(Sentence("service has both fill_min and fill_l_per_min; keep the one that you measured."))
    # A union of number and text reports one wrong value twice.
    return missing, list(dict.fromkeys(wrong))


def _silent_on_turning(given: Mapping[str, Any]) -> bool:
    steering = given.get("steering")
    return isinstance(steering, dict) and not {"turning_aisle_m", "turning_radius_m"} & set(steering)


def _where(place: tuple[int | str, ...]) -> str:
    """A place as people read it: "water.flow 2.flow_l_per_min"; what pydantic adds for a union is dropped."""
    text = ""
    for part in place:
        if isinstance(part, int):
            text += f" {part + 1}"
        elif part not in ("float", "str"):
            text += f".{_quoted(part)}" if text else _quoted(part)
    return text


def _bare(where: str) -> str:
    """A place without the numbers of repeated tables."""
    return re.sub(r" \d+", "", where)


def _meaning(path: str) -> Sentence:
    """What an entry means and where to find it."""
    for table, key, field in entries(PlateFile):
        if path == (f"{table}.{key}" if table else key):
            return meaning_of(field)
    return Sentence("")


def _missing(where: str) -> Sentence:
    meaning = _meaning(_bare(where))
    if not meaning.template:
        return Sentence("{key} is missing; fill in at least one.", key=where)
    return Sentence("{key} is missing: {meaning}", key=where, meaning=meaning)


def _unknown_key(where: str) -> Sentence:
    nearest = _nearest(_bare(where))
    if nearest is None:
        return Sentence('Nobody reads "{key}"; take it out, or see what can be said with --blank.', key=where)
    return Sentence('Nobody reads "{key}"; did you mean "{nearest}"?', key=where, nearest=nearest)


def _nearest(path: str) -> str | None:
    """The known key most like a given one: in its own table, else wherever the last part fits."""
    known = known_paths() + tuple(PlateFile.model_fields)
    table, _, key = path.rpartition(".")
    same_table = [each for each in known if each.rpartition(".")[0] == table]
    if found := difflib.get_close_matches(path, same_table, n=1, cutoff=0.75):
        return found[0]
    same_key = [each for each in known if each.rpartition(".")[2] == key]
    found = same_key or difflib.get_close_matches(path, known, n=1, cutoff=0.6)
    return found[0] if found else None


def _wrong_kind(where: str, problem: str, value: Any) -> Sentence:
    bare = _bare(where)
    for table, key, field in entries(PlateFile):
        if bare == (f"{table}.{key}" if table else key):
            allowed = _allowed(field)
            if allowed:
                return Sentence(
                    '{key} is "{given}"; it may be: {allowed}.', key=where, given=_quoted(value), allowed=allowed
                )
            return Sentence(
                '{key} is "{given}", which does not fit there: {meaning}',
                key=where,
                given=_quoted(value),
                meaning=meaning_of(field),
            )
    if problem in ("tuple_type", "list_type"):
        return Sentence("{key} may be given several times; write it in double brackets: [[{key}]].", key=where)
    return Sentence("{key} is a table; write [{key}] on a line of its own, and its keys below.", key=where)


def _allowed(field: FieldInfo) -> str:
    """The words that an entry may be, where only some are."""
    kinds = [field.annotation, *get_args(field.annotation)]
    words = next((kind for kind in kinds if isinstance(kind, type) and issubclass(kind, StrEnum)), None)
    return ", ".join(str(word) for word in words) if words is not None else ""


def _quoted(value: Any) -> str:
    # A paper may bring letters that would steer a terminal.
    text = "".join(letter if letter.isprintable() else "?" for letter in str(value))
    return text if len(text) <= _LONGEST_QUOTE else text[:_LONGEST_QUOTE] + "..."


def _figures_of(given: Mapping[str, Any]) -> tuple[Figures, list[Sentence]]:
    """Every figure of the file by its place, in the records' units, and what is wrong with the others."""
    figures: dict[str, Figure] = {}
    wrong: list[Sentence] = []
    for table, key, field in entries(PlateFile):
        if not is_figure(table, key):
            continue
        path = field_of(table, key)
        for where, values in _rows(given, table):
            value = values.get(key, field.default if not field.is_required() else None)
            if value is None or isinstance(value, bool) or not isinstance(value, int | float | str):
                continue
            try:
                number = figure(f"{where}.{key}", path, value, unit_ratio(key))
            except BadInput as problem:
                wrong.append(problem.sentence)
                continue
            figures[f"{where}.{key}"] = number
            problem_found = outside(path, number.value, called=f"{where}.{key}")
            if problem_found is not None:
                wrong.append(problem_found.sentence)
    return figures, wrong


def _rows(given: Mapping[str, Any], table: str) -> list[tuple[str, Mapping[str, Any]]]:
    """The tables of that name in the file with their places, e.g. "water.flow 2"."""
    rows: list[tuple[str, Any]] = [("", given)]
    for part in table.split("."):
        found: list[tuple[str, Any]] = []
        for where, values in rows:
            inner = values.get(part)
            place = f"{where}.{part}" if where else part
            if isinstance(inner, dict):
                found.append((place, inner))
            elif isinstance(inner, list):
                found.extend((f"{place} {n}", row) for n, row in enumerate(inner, 1) if isinstance(row, dict))
        rows = found
    return rows


def _unknown_paths(paths: Any, key: str) -> list[Sentence]:
    known = known_paths()
    wrong = []
    for path in paths if isinstance(paths, list) else ():
        if isinstance(path, str) and path not in known:
            wrong.append(
                Sentence(
                    '{key} names "{path}", which is no key of a plate; did you mean "{nearest}"?',
                    key=key,
                    path=_quoted(path),
                    nearest=_nearest(path) or known[0],
                )
            )
    return wrong


def _defaulted(given: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Table and key of every figure that the file leaves to common practice."""
    for table, key, field in entries(PlateFile):
        if is_figure(table, key) and not field.is_required() and field.default is not None:
            for where, values in _rows(given, table):
                if key not in values:
                    yield where, key
    service = given.get("service", {})
    if "fill_min" not in service and "fill_l_per_min" not in service:
        yield "service", "fill_l_per_min"


def _origins(given: Mapping[str, Any]) -> tuple[tuple[str, Origin], ...]:
    """Where each figure comes from, for those that are not off the plate."""
    origins = {field_of(*key.rsplit(".", 1)): Origin.MEASURED for key in given.get("measured", ()) if "." in key}
    origins |= {field_of(*key.rsplit(".", 1)): Origin.MEMORY for key in given.get("from_memory", ()) if "." in key}
    origins |= {field_of(table, key): Origin.COMMON_PRACTICE for table, key in _defaulted(given)}
    return tuple(sorted(origins.items()))


def _assumed(given: Mapping[str, Any], figures: Figures) -> Iterator[Sentence]:
    """What common practice filled in, figure by figure."""
    for where, key in _defaulted(given):
        path = f"{where}.{key}"
        value = figures[path].value if path in figures else FILL_L_PER_MIN
        yield Sentence(
            "{key} is not given; {value} is taken, as is common. {meaning}",
            key=path,
            value=quantity(field_of(where, key), value),
            meaning=_meaning(path),
        )
