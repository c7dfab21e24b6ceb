"""From the tables of a plate file to the records of the machine, part by part, so that every problem is told."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields
from typing import Any, TypeVar, cast

from scrubwright.machine.deck import Deck, PressureStep
from scrubwright.machine.parts import (
    Body,
    Consumable,
    Currents,
    FlowSetting,
    Meter,
    ServiceTimes,
    SlopeLimits,
    Speeds,
    Tanks,
    Weight,
)
from scrubwright.machine.plate import Plate
from scrubwright.machine.squeegee import Squeegee
from scrubwright.machine.steering import Steering
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.plate_file import PlateFile

# A figure by its place in the file, e.g. "water.flow 2.flow_l_per_min", in the records' unit.
Figures = Mapping[str, Figure]
# Flow of a fill hose where nobody measured it; 10 to 25 L/min are seen.
FILL_L_PER_MIN = 15.0

Part = TypeVar("Part")


def plate_of(
    file: PlateFile, figures: Figures, origins: tuple[tuple[str, Origin], ...]
) -> tuple[Plate | None, tuple[Sentence, ...]]:
    """The plate of a file that is complete, or what in it does not go together.

    Parameters
    ----------
    file
        The checked tables.
    figures
        Every figure of the file, converted.
    origins
        Where figures come from, for those that are not off the plate.
    """
    wrong: list[Sentence] = []
    parts: dict[str, Any] = {}
    for name, build in _builders(file, figures).items():
        try:
            parts[name] = build()
        except BadInput as problem:
            wrong.append(problem.sentence)
    if wrong:
        return None, tuple(wrong)
    try:
        return Plate(name=file.name, origins=origins, **parts), ()
    except BadInput as problem:
        return None, (problem.sentence,)


def _builders(file: PlateFile, figures: Figures) -> dict[str, Callable[[], Any]]:
    """For each field of a plate, what builds it."""
    return {
        "deck": lambda: _part(
            Deck,
            figures,
            "deck",
            kind=file.deck.kind,
            pressure=_repeated(PressureStep, figures, "deck.pressure", [row.name for row in file.deck.pressure]),
        ),
        "squeegee": lambda: _part(Squeegee, figures, "squeegee"),
        "body": lambda: _part(Body, figures, "body"),
        "steering": lambda: _part(Steering, figures, "steering"),
        "tanks": lambda: _part(Tanks, figures, "tanks"),
        "flows": lambda: _repeated(FlowSetting, figures, "water.flow", [row.name for row in file.water.flow]),
        "default_flow": lambda: file.water.default_flow,
        "speeds": lambda: _part(Speeds, figures, "speeds"),
        "slopes": lambda: _part(SlopeLimits, figures, "slopes"),
        "service": lambda: _part(ServiceTimes, figures, "service", fill_l_per_min=_fill_l_per_min(figures)),
        "currents": lambda: _part(Currents, figures, "currents") if file.currents is not None else None,
        "weights": lambda: tuple(
            _part(Weight, figures, f"weight {number}", part=row.part) for number, row in enumerate(file.weight, 1)
        ),
        "options": lambda: frozenset(file.options),
        "meters": lambda: tuple(Meter(name=row.name, counts=row.counts, digits=row.digits) for row in file.meter),
        "consumables": lambda: tuple(Consumable(place=row.place, fitted=row.fitted) for row in file.consumable),
    }


def _repeated(record: type[Part], figures: Figures, table: str, names: Sequence[str]) -> tuple[Part, ...]:
    return tuple(_part(record, figures, f"{table} {number}", name=name) for number, name in enumerate(names, 1))


def _part(record: type[Part], figures: Figures, place: str, /, **words: Any) -> Part:
    """A record from the figures that stand at one place of the file, and the words that go with them."""
    known = {each.name for each in fields(cast(Any, record))}
    given = {
        figure.name.rpartition(".")[2]: figure.value
        for path, figure in figures.items()
        if path.rpartition(".")[0] == place
    }
    values = {name: value for name, value in given.items() if name in known}
    return record(**(values | words))


def _fill_l_per_min(figures: Figures) -> float:
    """The flow of the fill hose: as measured, from the minutes that a full tank takes, or as is common."""
    if "service.fill_l_per_min" in figures:
        return figures["service.fill_l_per_min"].value
    if "service.fill_min" in figures:
        return figures["tanks.solution_l"].value / figures["service.fill_min"].value
    return FILL_L_PER_MIN
