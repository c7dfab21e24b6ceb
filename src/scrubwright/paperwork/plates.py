"""A plate file becomes a plate: every problem of the file is told at once, in words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scrubwright.machine.plate import Plate
from scrubwright.machine.ranges import RANGES, outside, quantity
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figures import Figure, figure
from scrubwright.paperwork.plate_file import PlateFile, ServiceTable, SteeringTable, field_of, unit_ratio
from scrubwright.paperwork.plate_records import FILL_L_PER_MIN, Figures, plate_of
from scrubwright.paperwork.toml_keys import entries, known_paths, meaning_of, table_in
from scrubwright.paperwork.toml_tables import (
    Entry,
    content_of,
    figures_of,
    names_astray,
    rows_of,
    shape_problems,
    text_of,
)


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
    return reading_of_text(text_of(path), file=path.name)


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
        given = content_of(text, file)
    except UnreadablePaper as problem:
        return PlateReading(plate=None, wrong=(problem.sentence,))
    for name, field in PlateFile.model_fields.items():
        if field.is_required() and table_in(field.annotation) is not None:
            # An absent table is told key by key, like an empty one.
            given.setdefault(name, {})
    missing, wrong = shape_problems(PlateFile, given)
    missing += _missing_on_turning(given)
    figures, unsound = figures_of(PlateFile, given, _figure_in)
    wrong += [*_twice_told(given), *unsound, *_unknown_keys(given)]
    if missing or wrong:
        return PlateReading(plate=None, missing=tuple(missing), wrong=tuple(wrong))
    plate, crossed = plate_of(PlateFile.model_validate(given), figures, _origins(given))
    return PlateReading(plate=plate, wrong=crossed, assumed=tuple(_assumed(given, figures)))


def is_figure(table: str, key: str) -> bool:
    """Whether an entry is a number with a unit."""
    return field_of(table, key) in RANGES


def _missing_on_turning(given: Mapping[str, Any]) -> Iterator[Sentence]:
    steering = given.get("steering")
    if isinstance(steering, dict) and not {"turning_aisle_m", "turning_radius_m"} & steering.keys():
        yield Sentence(
            "steering.turning_aisle_m is missing: {meaning} Or give turning_radius_m.",
            meaning=meaning_of(SteeringTable.model_fields["turning_aisle_m"]),
        )


def _twice_told(given: Mapping[str, Any]) -> Iterator[Sentence]:
    service = given.get("service")
    if isinstance(service, dict) and "fill_min" in service and "fill_l_per_min" in service:
        yield Sentence("service has both fill_min and fill_l_per_min; keep the one that you measured.")


def _figure_in(entry: Entry) -> Figure | None:
    """A figure of the file in the records' unit; None for words and counts."""
    if not is_figure(entry.table, entry.key):
        return None
    path = field_of(entry.table, entry.key)
    number = figure(entry.place, path, entry.written, unit_ratio(entry.key))
    if problem := outside(path, number.value, called=entry.place):
        raise problem
    return number


def _unknown_keys(given: Mapping[str, Any]) -> Iterator[Sentence]:
    for key, path, nearest in names_astray(PlateFile, given, known_paths(PlateFile)):
        yield Sentence(
            '{key} names "{path}", which is no key of a plate; did you mean "{nearest}"?',
            key=key,
            path=path,
            nearest=nearest,
        )


def _defaulted(given: Mapping[str, Any]) -> Iterator[tuple[str, str, Sentence]]:
    """Table, key and meaning of every figure that the file leaves to common practice."""
    for table, key, field in entries(PlateFile):
        if is_figure(table, key) and not field.is_required() and field.default is not None:
            for where, values in rows_of(given, table):
                if key not in values:
                    yield where, key, meaning_of(field)
    service = given.get("service", {})
    if "fill_min" not in service and "fill_l_per_min" not in service:
        yield "service", "fill_l_per_min", meaning_of(ServiceTable.model_fields["fill_l_per_min"])


def _origins(given: Mapping[str, Any]) -> tuple[tuple[str, Origin], ...]:
    """Where each figure comes from, for those that are not off the plate."""
    origins = {field_of(*key.rsplit(".", 1)): Origin.MEASURED for key in given.get("measured", ()) if "." in key}
    origins |= {field_of(*key.rsplit(".", 1)): Origin.MEMORY for key in given.get("from_memory", ()) if "." in key}
    origins |= {field_of(table, key): Origin.COMMON_PRACTICE for table, key, _ in _defaulted(given)}
    return tuple(sorted(origins.items()))


def _assumed(given: Mapping[str, Any], figures: Figures) -> Iterator[Sentence]:
    """What common practice filled in, figure by figure."""
    for where, key, meaning in _defaulted(given):
        path = f"{where}.{key}"
        value = figures[path].value if path in figures else FILL_L_PER_MIN
        yield Sentence(
            "{key} is not given; {value} is taken, as is common. {meaning}",
            key=path,
            value=quantity(field_of(where, key), value),
            meaning=meaning,
        )
