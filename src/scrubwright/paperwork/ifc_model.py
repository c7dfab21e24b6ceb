"""A building model opened by ifcopenshell: its storeys and the meshes of its elements, in metres.

ifcopenshell is LGPL, large and optional: it is imported only when a model is read, which happens in a
child process.
"""

import importlib
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.mesh_cuts import Points, Triangles

_END = b"END-ISO-10303-21;"
_NAMED_UNDRAWN = 5
# Beyond half the earth's girth lies a slip of the pen, not a building on survey coordinates.
FURTHEST_CORNER_M = 2e7


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thing:
    """A building element with its mesh: corners [m], shape (n, 3), and triangles, shape (t, 3)."""

    element: Any
    corners_m: Points
    triangles: Triangles

    @property
    def name(self) -> str:
        """What the model calls it, or its kind."""
        return str(self.element.Name or self.element.is_a().removeprefix("Ifc"))

    @property
    def where(self) -> str:
        """Where it stands in the file."""
        return f"#{self.element.id()}"

    @property
    def low_m(self) -> float:
        """Its lowest corner [m]."""
        return float(self.corners_m[:, 2].min())

    @property
    def high_m(self) -> float:
        """Its highest corner [m]."""
        return float(self.corners_m[:, 2].max())


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A storey and the height of its floor [m]."""

    name: str
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Model:
    """An open model; `unit_m` is its unit of length [m], `undrawn` gathers what has a shape that fails."""

    file: Any
    unit_m: float
    undrawn: list[str] = field(default_factory=list)

    def things(self, kinds: Iterable[str], *, pierced: bool) -> list[Thing]:
        """The elements of these kinds and their subtypes that have a mesh, with or without their openings cut out."""
        settings = _settings(pierced=pierced)
        known = {element.id(): element for kind in kinds for element in self.of_kind(kind)}
        return list(self._meshed(known.values(), settings))

    def of_kind(self, kind: str) -> list[Any]:
        """The elements of a kind and its subtypes; none where the model's schema does not know the kind."""
        try:
            return list(self.file.by_type(kind))
        except RuntimeError:
            return []

    def mesh_of(self, element: Any) -> Thing | None:
        """An element's mesh, or None."""
        return next(self._meshed([element], _settings(pierced=False)), None)

    def _meshed(self, elements: Iterable[Any], settings: Any) -> Iterator[Thing]:
        for element in elements:
            if not element.Representation:
                continue
            try:
                geometry = _library("ifcopenshell.geom").create_shape(settings, element).geometry
            except RuntimeError:
                # Its only way to say that a shape is missing or cannot be built.
                self.undrawn.append(f"{element.Name or element.is_a()} (#{element.id()})")
                continue
            corners_m = np.array(geometry.verts, dtype=np.float64).reshape(-1, 3)
            triangles = np.array(geometry.faces, dtype=np.int64).reshape(-1, 3)
            if not (np.abs(corners_m) < FURTHEST_CORNER_M).all():
                self.undrawn.append(f"{element.Name or element.is_a()} (#{element.id()})")
            elif len(triangles):
                yield Thing(element=element, corners_m=corners_m, triangles=triangles)

    def levels(self) -> tuple[tuple[Level, ...], tuple[Sentence, ...]]:
        """The storeys from the lowest up, and what to say of those whose height was worked out."""
        placement = _library("ifcopenshell.util.placement")
        levels, said = [], []
        for number, storey in enumerate(self.of_kind("IfcBuildingStorey"), 1):
            name = str(storey.Name or storey.LongName or f"storey {number}")
            if storey.ObjectPlacement:
                height_m = float(placement.get_local_placement(storey.ObjectPlacement)[2, 3]) * self.unit_m
            elif storey.Elevation is not None:
                height_m = float(storey.Elevation) * self.unit_m
            else:
                found = self._lowest_wall_m(storey)
                if found is None:
                    said.append(Sentence("Storey {name} has no height and no walls; it was left out.", name=name))
                    continue
                height_m = found
                said.append(
                    Sentence(
                        "Storey {name} has no height; its walls stand at {height_m}, and that was taken.",
                        name=name,
                        height_m=height_m,
                    )
                )
            if np.isfinite(height_m):
                levels.append(Level(name=name, height_m=height_m))
        return tuple(sorted(levels, key=lambda level: level.height_m)), tuple(said)

    def _lowest_wall_m(self, storey: Any) -> float | None:
        inside = [each for link in storey.ContainsElements for each in link.RelatedElements]
        walls = [each for each in inside if each.is_a("IfcWall")]
        return min((thing.low_m for thing in self._meshed(walls, _settings(pierced=False))), default=None)

    @property
    def told(self) -> tuple[Sentence, ...]:
        """What could not be drawn."""
        if not self.undrawn:
            return ()
        return (
            Sentence(
                "Things whose shape or place cannot be drawn were left out: {count}, such as {names}.",
                count=len(self.undrawn),
                names=", ".join(self.undrawn[:_NAMED_UNDRAWN]),
            ),
        )


def opened(path: Path) -> Model:
    """The model in a file.

    Raises
    ------
    UnreadablePaper
        ifcopenshell is not installed, or the file is cut short or not a model it knows.
    BadInput
        The model names no unit of length.
    """
    library = _library("ifcopenshell")
    if _END not in path.read_bytes()[-4096:]:
        raise UnreadablePaper(
            "{file} is cut short: its last line, END-ISO-10303-21;, is missing. Copy or export it again.",
            file=path.name,
        )
    try:
        file = library.open(str(path))
    except (library.Error, OSError, RuntimeError, ValueError) as error:
        raise UnreadablePaper(
            "{file} is no building model that can be read ({detail}). Export it as IFC2X3 or IFC4.",
            file=path.name,
            detail=str(error)[:100],
        ) from None
    units = [unit for group in file.by_type("IfcUnitAssignment") for unit in group.Units]
    if not any(getattr(unit, "UnitType", None) == "LENGTHUNIT" for unit in units):
        raise BadInput("{file} names no unit of length. Export it again with its units.", file=path.name)
    unit_m = float(_library("ifcopenshell.util.unit").calculate_unit_scale(file))
    if not 0 < unit_m < 1e6:
        raise BadInput(
            "{file} says that its unit of length is {unit} m. Export it again in millimetres or metres.",
            file=path.name,
            unit=str(unit_m),
        )
    return Model(file=file, unit_m=unit_m)


def direction_rad(element: Any) -> float:
    """Where an element's own x axis points on the ground, anticlockwise from x [rad]. Source: its placement."""
    if not element.ObjectPlacement:
        return 0.0
    matrix = _library("ifcopenshell.util.placement").get_local_placement(element.ObjectPlacement)
    return math.atan2(float(matrix[1, 0]), float(matrix[0, 0]))


def _settings(*, pierced: bool) -> Any:
    settings = _library("ifcopenshell.geom").settings()
    settings.set("use-world-coords", True)
    settings.set("disable-opening-subtractions", not pierced)
    # A round column needs no more corners than a driver sees.
    settings.set("mesher-linear-deflection", 0.01)
    return settings


def _library(name: str) -> ModuleType:
    try:
        return importlib.import_module(name)
    except ImportError:
        raise UnreadablePaper(
            "Building models (IFC) need an extra that is not installed. Install it with: {command}",
            command="python -m pip install ifcopenshell",
        ) from None
