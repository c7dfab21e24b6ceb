"""Reads an occupancy grid: a grey map that a robot drew, and the YAML that gives it its scale.

By the convention of such maps free floor is light, what was hit is dark and what was never seen is
in between; what was never seen is no floor. A map of the same size named `<map>_keepout` beside it
shows in dark where machines keep off.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
import shapely
import yaml
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from shapely import Polygon

from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import (
    RASTER_TOLERANCE_M,
    DrawingOptions,
    Piece,
    Role,
    Sketch,
    Storey,
)
from scrubwright.paperwork.grey_picture import Greys, greys_of
from scrubwright.paperwork.outlines import Mask, Pixels, floor_outlines, zone_outlines

FORMATS = ("PPM", "PNG", "JPEG")
LARGEST_YAML_BYTES = 16_384
COARSEST_M = 0.25

_Finite = Annotated[float, Field(allow_inf_nan=False)]


class GridFile(BaseModel):
    """What the YAML of a grid says."""

    model_config = ConfigDict(extra="ignore", frozen=True)

    image: str = Field(min_length=1, max_length=200)
    resolution: Annotated[float, Field(gt=0, le=COARSEST_M, allow_inf_nan=False)]
    origin: tuple[_Finite, _Finite, _Finite] | tuple[_Finite, _Finite] = (0.0, 0.0, 0.0)
    negate: Literal[0, 1, False, True] = 0
    occupied_thresh: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)] = 0.65
    free_thresh: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)] = 0.196
    mode: Literal["trinary", "scale", "raw"] = "trinary"


_ALLOWED = {
    "image": Sentence("enter the file name of the map, such as map.pgm"),
    "resolution": Sentence("enter metres per pixel, above 0 and at most 0.25, such as 0.05"),
    "origin": Sentence(
        "enter x and y of the lower left corner in metres and its turn in radians, such as [-10.0, -5.0, 0.0]"
    ),
    "negate": Sentence("enter 0, or 1 where the map is white on black"),
    "occupied_thresh": Sentence("enter a share from 0 to 1, such as 0.65"),
    "free_thresh": Sentence("enter a share from 0 to 1, such as 0.196"),
    "mode": Sentence("enter trinary, scale or raw"),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Grid:
    """One map: where it is free and where something was hit, each of shape (rows, columns)."""

    free: Mask
    hit: Mask
    pixels: Pixels


def sketch(path: Path, options: DrawingOptions) -> Sketch:
    """The floor that a grid shows as free, and its no-go zones.

    Raises
    ------
    UnreadablePaper
        The YAML or the map is missing, damaged or too large.
    BadInput
        The YAML holds a value that cannot be, or the map shows no floor.
    """
    header = _header_of(path)
    if header is None:
        return _sketch_by_hand(path, options)
    warnings: list[Sentence] = []
    grid = _grid(header, warnings)
    found = floor_outlines(grid.free, grid.pixels)
    pieces = [Piece(role=Role.FLOOR, shape=part, where=path.name) for part in found.outline.geoms]
    pieces += _kept_off(header, grid, warnings)
    return _sketch(header.stem, pieces, 1.0, (*warnings, *found.told))


def _sketch(name: str, pieces: list[Piece], unit_m: float, warnings: tuple[Sentence, ...]) -> Sketch:
    return Sketch(
        kind="occupancy grid",
        storeys=(Storey(name=name, pieces=tuple(pieces)),),
        unit_m=unit_m,
        tolerance_m=RASTER_TOLERANCE_M,
        warnings=warnings,
    )


def _sketch_by_hand(path: Path, options: DrawingOptions) -> Sketch:
    """A map without YAML, scaled by a known distance and handed over in pixels, as that distance is."""
    if options.known_distance is None:
        raise BadInput(
            "{file} is a map without its YAML, so its scale is not known. Put {header} in the same folder, "
            "or enter one known distance: two points of the map in pixels and the metres between them.",
            file=path.name,
            header=path.stem + ".yaml",
        )
    unit_m = options.known_distance.unit_m
    _refuse_coarse(path.name, unit_m)
    free, _ = _free_and_hit(greys_of(path, FORMATS), GridFile(image=path.name, resolution=unit_m))
    found = floor_outlines(free, Pixels(size_m=unit_m))
    in_pixels = shapely.transform(found.outline, lambda corners: corners / unit_m)
    pieces = [Piece(role=Role.FLOOR, shape=part, where=path.name) for part in in_pixels.geoms]
    return _sketch(path.stem, pieces, unit_m, found.told)


def _header_of(path: Path) -> Path | None:
    """The YAML itself, or the one that goes with a map; None where there is none."""
    if path.suffix.lower() in (".yaml", ".yml"):
        return path
    beside = (path.with_suffix(suffix) for suffix in (".yaml", ".yml"))
    header = next((each for each in beside if each.is_file()), None)
    # A YAML that was given under another name is still a YAML.
    return header if header is not None or _is_picture(path) else path


def _is_picture(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(2) in (b"P5", b"P2")


def _grid(header: Path, warnings: list[Sentence]) -> _Grid:
    said = _checked(header)
    picture = _picture_of(header, said.image, warnings)
    free, hit = _free_and_hit(greys_of(picture, FORMATS), said)
    yaw_rad = said.origin[2] if len(said.origin) == 3 else 0.0
    pixels = Pixels(size_m=said.resolution, origin_x_m=said.origin[0], origin_y_m=said.origin[1], yaw_rad=yaw_rad)
    return _Grid(free=free, hit=hit, pixels=pixels)


def _checked(header: Path) -> GridFile:
    """What the YAML says, each value possible."""
    if header.stat().st_size > LARGEST_YAML_BYTES:
        raise UnreadablePaper("{file} is too long for the YAML of a map; a few lines are enough.", file=header.name)
    try:
        content: Any = yaml.safe_load(header.read_text(encoding="utf-8"))
    except (yaml.YAMLError, UnicodeDecodeError, ValueError, RecursionError):
        raise UnreadablePaper(
            "{file} is not written as YAML. Write one `name: value` a line, such as `resolution: 0.05`.",
            file=header.name,
        ) from None
    if not isinstance(content, dict):
        raise UnreadablePaper(
            "{file} holds no `name: value` lines. Write image, resolution and origin.", file=header.name
        )
    try:
        said = GridFile.model_validate(content)
    except ValidationError as error:
        place = str(error.errors()[0]["loc"][0])
        raise BadInput(
            "{file} gives {name} as {given}; {allowed}.",
            file=header.name,
            name=place,
            given=str(content.get(place, "nothing"))[:60],
            allowed=_ALLOWED[place],
        ) from None
    if said.free_thresh >= said.occupied_thresh:
        raise BadInput(
            "{file} gives free_thresh as {free} and occupied_thresh as {occupied}; free must be the smaller one.",
            file=header.name,
            free=str(said.free_thresh),
            occupied=str(said.occupied_thresh),
        )
    return said


def _picture_of(header: Path, image: str, warnings: list[Sentence]) -> Path:
    """The map that a YAML names; a missing one may go by the YAML's own name."""
    folder = header.parent.resolve()
    picture = (folder / image).resolve()
    if not picture.is_relative_to(folder):
        raise BadInput(
            "{file} names the map {image}, which lies outside its folder. "
            "Copy the map there and name it without folder.",
            file=header.name,
            image=image,
        )
    if picture.is_file():
        return picture
    for suffix in (picture.suffix, ".pgm", ".png"):
        other = header.with_suffix(suffix or ".pgm")
        if other.is_file() and other != header:
            warnings.append(
                Sentence(
                    "{file} names the map {image}, which is not there; {other} was read in its place.",
                    file=header.name,
                    image=image,
                    other=other.name,
                )
            )
            return other
    raise UnreadablePaper(
        "{file} names the map {image}, which is not in its folder. Copy the map there or correct the name.",
        file=header.name,
        image=image,
    )


def _refuse_coarse(file: str, size_m: float) -> None:
    if not size_m <= COARSEST_M:
        raise BadInput(
            "One pixel of {file} would be {size_m} wide; walls need {most_m} or less. Check the known distance.",
            file=file,
            size_m=size_m,
            most_m=COARSEST_M,
        )


def _free_and_hit(greys: Greys, said: GridFile) -> tuple[Mask, Mask]:
    """Where the map is free and where something was hit; the rest was never seen."""
    if said.mode == "raw":
        return greys <= 100 * said.free_thresh, (greys >= 100 * said.occupied_thresh) & (greys <= 100)
    shares = np.arange(256) / 255.0
    taken = shares if said.negate else 1.0 - shares
    return (taken < said.free_thresh)[greys], (taken > said.occupied_thresh)[greys]


def _kept_off(header: Path, grid: _Grid, warnings: list[Sentence]) -> list[Piece]:
    """No-go zones from the keep-out map beside the YAML, where there is one."""
    beside = header.with_name(header.stem + "_keepout" + header.suffix)
    if not beside.is_file():
        return []
    mask = _grid(beside, warnings)
    same = mask.hit.shape == grid.free.shape and mask.pixels == grid.pixels
    # Such a map usually repeats the walls; only what it takes of the floor is a zone.
    found = zone_outlines(mask.hit & grid.free if same else mask.hit, mask.pixels)
    # Nobody drives inside a closed zone, so what is left out of it is not worth its corners.
    zones = [Polygon(zone.exterior) for zone in found.geoms]
    warnings.append(
        Sentence(
            "{file} was read as the no-go zones of this map; they take {area_m2}.",
            file=beside.name,
            area_m2=float(shapely.union_all(zones).area),
        )
    )
    return [
        Piece(role=Role.NO_GO, shape=zone, name=f"keep-out {number}", where=beside.name)
        for number, zone in enumerate(zones, 1)
    ]
