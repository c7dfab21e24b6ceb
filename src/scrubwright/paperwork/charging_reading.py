"""A charging file is read whole: the question of a night, or everything that is missing and wrong in it, in words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from scrubwright.jobs.charging_answer import ChargingNight
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.charging_file import ChargingFile, clock_text
from scrubwright.paperwork.charging_records import CHARGE_KEYS, night_of
from scrubwright.paperwork.charging_times import Moment, moment
from scrubwright.paperwork.figure_ranges import figure_within, range_of
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.toml_tables import (
    Entry,
    content_of,
    figures_of,
    missing_key,
    quoted,
    rows_of,
    shape_problems,
    text_of,
)

Row = tuple[str, Mapping[str, Any]]

_OF_THE_PACK = ("chemistry", "profile", "cells", "capacity_ah")
_TIMES = {"": ("home", "ready_by"), "machine": ("home", "ready_by"), "tariff": ("begins",)}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargingReading:
    """What a charging file says, and what is missing or wrong in it.

    Parameters
    ----------
    night
        The question; None where something is missing or wrong.
    missing, wrong
        What to enter and what to mend, all of it.
    remarks
        What was worked out from pack files, and what is odd about a charger.
    """

    night: ChargingNight | None
    missing: tuple[Sentence, ...] = ()
    wrong: tuple[Sentence, ...] = ()
    remarks: tuple[Sentence, ...] = ()


def read_charging(path: Path, *, now: datetime, day: date | None = None) -> ChargingReading:
    """The night in a file, or everything that is missing and wrong in it.

    Parameters
    ----------
    path
        A charging file (TOML), at most 0.2 MB; pack files that it names are looked for from its folder.
    now
        When it is asked.
    day
        On which the night begins; None: the night that ends next.

    Raises
    ------
    UnreadablePaper
        No such file, too large, not text, or no TOML.
    """
    return charging_of_text(text_of(path), path.name, folder=path.parent, now=now, day=day)


def charging_of_text(text: str, file: str, *, folder: Path, now: datetime, day: date | None = None) -> ChargingReading:
    """The night that a TOML text describes, or everything that is missing and wrong in it.

    Parameters
    ----------
    text
        The whole text.
    file
        Its name, for the messages.
    folder
        From which pack files are looked for.
    now, day
        As for `read_charging`.

    Raises
    ------
    UnreadablePaper
        It is no TOML.
    """
    given = content_of(text, file)
    missing, wrong = shape_problems(ChargingFile, given)
    missing += [missing_key(ChargingFile, place) for place in _asked(given)]
    figures, unsound = figures_of(ChargingFile, given, _figure_in)
    moments, unclear = _moments(given)
    wrong += [*unsound, *unclear, *_astray(given)]
    if missing or wrong:
        return ChargingReading(night=None, missing=tuple(missing), wrong=tuple(wrong))
    page = ChargingFile.model_validate(given)
    night, crossed, remarks = night_of(page, figures, moments, folder=folder, now=now, day=day)
    return ChargingReading(night=night, wrong=crossed, remarks=remarks)


def _asked(given: Mapping[str, Any]) -> Iterator[str]:
    """What is asked of some machines only, and is not there."""
    room = given.get("room")
    is_air_limited = isinstance(room, dict) and bool({"openings_cm2", "air_m3_per_h"} & room.keys())
    for place, machine in rows_of(given, "machine"):
        wanted = [key for key in ("home", "ready_by") if key not in given]
        if "pack" in machine:
            wanted.append("charge_left_percent")
        else:
            wanted += ["mains_a", "charge_h"]
            wanted += ["energy_kwh"] if "tariff" in given else []
            is_gas_told = is_air_limited or bool({"cells", "capacity_ah"} & machine.keys())
            wanted += ["cells", "capacity_ah"] if is_gas_told else []
        yield from (f"{place}.{key}" for key in wanted if key not in machine)


def _figure_in(entry: Entry) -> Figure | None:
    """A figure of the file in the records' unit; None for words and counts."""
    allowed = range_of(entry.field)
    return None if allowed is None else figure_within(allowed, entry.place, entry.written)


def _moments(given: Mapping[str, Any]) -> tuple[dict[str, Moment], list[Sentence]]:
    """Every time of the file by its place, and what is wrong with the others."""
    moments: dict[str, Moment] = {}
    wrong: list[Sentence] = []
    for table, keys in _TIMES.items():
        for where, values in rows_of(given, table):
            for key in keys:
                written = clock_text(values.get(key))
                if not isinstance(written, str):
                    continue
                place = f"{where}.{key}" if where else key
                try:
                    moments[place] = moment(place, written)
                except BadInput as problem:
                    wrong.append(problem.sentence)
    return moments, wrong


def _astray(given: Mapping[str, Any]) -> Iterator[Sentence]:
    """Names that do not match, and what cannot stand together although each is possible."""
    machines, circuits = rows_of(given, "machine"), rows_of(given, "circuit")
    yield from _named_alike(machines)
    yield from _named_alike(circuits)
    known = [str(machine.get("name")) for _, machine in machines]
    for place, circuit in circuits:
        for name in _listed(circuit.get("machines")):
            if name not in known:
                yield Sentence(
                    '{key} names "{name}", which is no machine of this file; its machines: {known}.',
                    key=f"{place}.machines",
                    name=quoted(name),
                    known=quoted(", ".join(known)),
                )
    for place, machine in machines:
        yield from _machine_astray(place, machine)
    for place, room in rows_of(given, "room"):
        if "openings_cm2" in room and "air_m3_per_h" in room:
            yield Sentence(
                "{place} has openings_cm2 and air_m3_per_h; keep the one by which its air changes at night.",
                place=place,
            )


def _named_alike(rows: list[Row]) -> Iterator[Sentence]:
    names = [str(values.get("name")) for _, values in rows]
    for number, (place, values) in enumerate(rows):
        if "name" in values and names[number] in names[:number]:
            yield Sentence(
                '{key} is "{name}", like another one; give each a name of its own.',
                key=f"{place}.name",
                name=quoted(names[number]),
            )


def _machine_astray(place: str, machine: Mapping[str, Any]) -> Iterator[Sentence]:
    if "pack" in machine:
        for key in _OF_THE_PACK:
            if key in machine:
                yield Sentence(
                    "{key} is given, but the pack file of this machine has its own; take one of the two out.",
                    key=f"{place}.{key}",
                )
    elif "charge_left_percent" in machine:
        yield Sentence(
            "{key} is given, but no pack file; name the pack, or take the charge left out.",
            key=f"{place}.charge_left_percent",
        )
    for key in ("measured", "from_memory"):
        for name in _listed(machine.get(key)):
            if name not in CHARGE_KEYS:
                yield Sentence(
                    '{key} names "{name}", which is no figure of a charge; it may name: {known}.',
                    key=f"{place}.{key}",
                    name=quoted(name),
                    known=", ".join(CHARGE_KEYS),
                )


def _listed(given: Any) -> list[str]:
    return [each for each in given if isinstance(each, str)] if isinstance(given, list) else []
