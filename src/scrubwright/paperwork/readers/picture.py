"""Reads a picture of a floor plan, PNG, JPEG or a page of a PDF: light is floor, dark is wall or stands on it.

A picture knows no metres, so two of its points and the distance between them must be given, in pixels
as any image viewer shows them; of a PDF, in points of 1/72 inch on the page.
"""

import math
from pathlib import Path

import numpy as np
import pypdfium2
import shapely

from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import RASTER_TOLERANCE_M, DrawingOptions, Piece, Role, Sketch, Storey
from scrubwright.paperwork.enclosed import Enclosed, enclosed_floor, shrunk
from scrubwright.paperwork.grey_picture import MOST_PIXELS, Greys, greys_of, refuse_size
from scrubwright.paperwork.outlines import Mask, Outlined, Pixels, floor_outlines

COARSEST_M = 0.25
FINEST_M = 0.02
ENOUGH_PIXELS = 10_000_000
COARSEST_SHRUNK_M = 0.04
PDF_PIXELS_PER_POINT = 150 / 72
LARGEST_PAGE_POINTS = 14_400
_LEAST_CONTRAST = 40


def sketch(path: Path, options: DrawingOptions) -> Sketch:
    """The floor that a picture shows, in pixels (of a PDF: points), y up from the lower left corner.

    Raises
    ------
    UnreadablePaper
        Not a picture, damaged, protected, or too large.
    BadInput
        No known distance, a scale that cannot be, no such page, or no floor to be seen.
    """
    if options.known_distance is None:
        raise BadInput(
            "{file} is a picture, so its scale is not known. Enter one known distance: two points of the picture "
            "and the metres between them, the further apart the better.",
            file=path.name,
        )
    unit_m = options.known_distance.unit_m
    is_pdf = path.read_bytes()[:1024].lstrip().startswith(b"%PDF")
    greys, pixels_per_unit = _page(path, options.storey) if is_pdf else (greys_of(path, ("PNG", "JPEG")), 1.0)
    size_m = unit_m / pixels_per_unit
    _refuse_scale(greys, size_m, path.name)
    light, size_m = _light(greys, size_m, path.name)
    inside_m = (*options.drains_m, *options.taps_m, *options.sockets_m)
    inside_m += (options.parking_m,) if options.parking_m else ()
    enclosed = enclosed_floor(light, size_m=size_m, inside_m=inside_m)
    found = floor_outlines(enclosed.floor, Pixels(size_m=size_m))
    outline = shapely.transform(found.outline, lambda corners: corners / unit_m)
    return Sketch(
        kind="picture",
        storeys=(
            Storey(
                name=path.stem,
                pieces=tuple(Piece(role=Role.FLOOR, shape=part, where=path.name) for part in outline.geoms),
            ),
        ),
        unit_m=unit_m,
        tolerance_m=RASTER_TOLERANCE_M,
        warnings=_warnings(enclosed, found, is_guess=not inside_m),
    )


def _page(path: Path, page: str | None) -> tuple[Greys, float]:
    """A page of a PDF as greys, and its pixels per point."""
    try:
        with pypdfium2.PdfDocument(path) as document:
            number = _page_number(path.name, page, len(document))
            sheet = document[number - 1]
            width, height = sheet.get_size()
            if not (0 < width <= LARGEST_PAGE_POINTS and 0 < height <= LARGEST_PAGE_POINTS):
                raise BadInput(
                    "Page {page} of {file} has no size that paper has. Print it again as PDF.",
                    page=number,
                    file=path.name,
                )
            scale = min(PDF_PIXELS_PER_POINT, (0.9 * MOST_PIXELS / (width * height)) ** 0.5)
            greys = sheet.render(scale=scale, grayscale=True, may_draw_forms=False).to_numpy()
    except pypdfium2.PdfiumError as error:
        raise UnreadablePaper(
            "The PDF {file} is damaged or protected by a password ({detail}). Save it again without a password.",
            file=path.name,
            detail=str(error)[:100],
        ) from error
    flat = np.ascontiguousarray(greys.reshape(greys.shape[0], greys.shape[1], -1)[:, :, 0])
    refuse_size(path.name, flat.shape[1], flat.shape[0])
    return flat, flat.shape[1] / width


def _page_number(file: str, page: str | None, pages: int) -> int:
    if page is None and pages == 1:
        return 1
    if page is None or not page.strip().isdecimal() or not 1 <= int(page) <= pages:
        raise BadInput(
            "{file} has {pages} pages and {page} was asked for. Name the page that shows the floor, from 1 to {pages}.",
            file=file,
            pages=pages,
            page=page or Sentence("no page"),
        )
    return int(page)


def _refuse_scale(greys: Greys, size_m: float, file: str) -> None:
    if not size_m <= COARSEST_M:
        raise BadInput(
            "One pixel of {file} would be {size_m} wide; walls need {most_m} or less. Check the known distance.",
            file=file,
            size_m=size_m,
            most_m=COARSEST_M,
        )
    side_m = max(greys.shape) * size_m
    if side_m < 2:
        raise BadInput(
            "The whole picture {file} would be {side_m} wide. Check the known distance: its points are given "
            "in pixels and the distance in metres.",
            file=file,
            side_m=side_m,
        )


def _light(greys: Greys, size_m: float, file: str) -> tuple[Mask, float]:
    """Where the paper is light, at 2 cm per pixel or as fine as keeps the picture within ten million pixels."""
    light = greys >= _dark_below(greys, file)
    step = max(int(FINEST_M / size_m), math.ceil(math.sqrt(light.size / ENOUGH_PIXELS)), 1)
    # Never so coarse that a corner moves further than cleaning may move a line.
    step = min(step, max(1, int(COARSEST_SHRUNK_M / size_m)))
    return (shrunk(light, step), size_m * step) if step > 1 else (light, size_m)


def _dark_below(greys: Greys, file: str) -> int:
    """The grey that parts dark from light with the least spread within each.

    **Source**: N. Otsu, A threshold selection method from gray-level histograms, 1979 (from memory).
    """
    counts = np.bincount(greys.ravel(), minlength=256).astype(np.float64)
    tones = np.flatnonzero(counts)
    if tones[-1] - tones[0] < _LEAST_CONTRAST:
        raise BadInput(
            "{file} is of one tone; nothing dark stands out as a wall. Use a picture with dark walls on light floor.",
            file=file,
        )
    darker = np.cumsum(counts)[:-1]
    lighter = counts.sum() - darker
    sums = np.cumsum(counts * np.arange(256))
    with np.errstate(divide="ignore", invalid="ignore"):
        between = darker * lighter * (sums[:-1] / darker - (sums[-1] - sums[:-1]) / lighter) ** 2
    between = np.nan_to_num(between)
    best = np.flatnonzero(between == between.max())
    # Between two clean tones every grey is as good; the middle one keeps half-dark edges in the middle too.
    return round(float(best.mean())) + 1


def _warnings(enclosed: Enclosed, found: Outlined, *, is_guess: bool) -> tuple[Sentence, ...]:
    told = [gap.told for gap in enclosed.gaps]
    if enclosed.reaches_edge:
        told.append(
            Sentence(
                "The floor runs to the edge of the picture, which was taken as a wall. "
                "Where a wall is missing, draw it closed."
            )
        )
    if is_guess:
        told.append(
            Sentence(
                "The largest closed part of the picture was taken as the floor: {area_m2}. "
                "If it is not, name a point on the floor, such as the parking.",
                area_m2=float(found.outline.area),
            )
        )
    if enclosed.closed_off:
        told.append(
            Sentence(
                "Closed parts were taken as racks, boxes or rooms without a door: {count}, {area_m2} together. "
                "Where a door is drawn shut, or with its swing, open it in the drawing.",
                count=enclosed.closed_off,
                area_m2=enclosed.closed_off_m2,
            )
        )
    return (*told, *found.told)
