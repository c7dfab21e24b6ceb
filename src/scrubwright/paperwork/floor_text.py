"""What a drawing turned out to hold, as text for a terminal: floors, areas, points, and what a plan still needs."""

from collections.abc import Sequence

import shapely

from scrubwright.floor.site import FloorPlan, ServicePoint, Site, Use
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.text_columns import Column, row, wrapped
from scrubwright.paperwork.wording import Teller

MOST_WARNINGS = 20
_POINTS = (Column(width=26), Column(width=30), Column(width=18))
_AREAS = (Column(width=26), Column(width=10, right=True), Column(width=34))
_ROOM_TO_STAND_M = 1.5
_WAY_M = 1.2


def floor_text(site: Site, warnings: Sequence[Sentence], teller: Teller) -> str:
    """The whole report, 80 letters wide."""
    words = teller.words
    parts = [_floor(floor, teller) for floor in site.floors]
    if warnings:
        told = [wrapped(teller.tell(warning), indent="  ", mark="- ") for warning in warnings[:MOST_WARNINGS]]
        rest = len(warnings) - MOST_WARNINGS
        if rest > 0:
            told.append(wrapped(words("And {count} more of the kind.", count=rest), indent="  "))
        parts.append("\n".join([words("Mended, left out or doubtful"), *told]))
    missing = [sentence for floor in site.floors for sentence in missing_for_a_plan(floor, teller)]
    if missing:
        told = [wrapped(teller.tell(sentence), indent="  ", mark="- ") for sentence in missing]
        parts.append("\n".join([words("Missing for a plan"), *told]))
    return "\n\n".join(parts)


def missing_for_a_plan(floor: FloorPlan, teller: Teller) -> tuple[Sentence, ...]:
    """What must be added before a route can be planned on this floor, and how."""
    spot = open_spot(floor)
    example = "{},{}".format(*(_typed(teller, value_m) for value_m in (spot.x, spot.y)))
    missing = []
    if not floor.with_use(Use.DRAIN):
        missing.append(
            Sentence(
                "{floor} has no drain to empty the recovery tank. Add it: --drain X,Y, such as --drain {example}",
                floor=floor.name,
                example=example,
            )
        )
    if not floor.with_use(Use.TAP):
        missing.append(
            Sentence(
                "{floor} has no tap to fill the solution tank. Add it: --tap X,Y, such as --tap {example}",
                floor=floor.name,
                example=example,
            )
        )
    if floor.parking is None:
        missing.append(
            Sentence(
                "{floor} has no parking place to start and end at. Add it: --park X,Y, such as --park {example}",
                floor=floor.name,
                example=example,
            )
        )
    return tuple(missing)


def _floor(floor: FloorPlan, teller: Teller) -> str:
    west_m, south_m, east_m, north_m = floor.outline.bounds
    size = teller.words(
        "{floor}: {area_m2} between the walls, {wide_m} by {deep_m}. Obstacles: {obstacles}, ramps: {ramps}, "
        "no-go zones: {no_go}.",
        floor=floor.name,
        area_m2=float(floor.outline.area),
        wide_m=float(east_m - west_m),
        deep_m=float(north_m - south_m),
        obstacles=len(floor.obstacles),
        ramps=len(floor.ramps),
        no_go=len(floor.no_go),
    )
    lines = [wrapped(size)]
    for area in floor.areas:
        twice = teller.words("double scrub") if area.passes == 2 else ""
        about = ", ".join(part for part in (area.surface, twice) if part)
        lines.append(row((area.name, teller.number("area_m2", float(area.outline.area)), about), _AREAS))
    for point in floor.service_points:
        lines.append(row((point.name, _uses(point, teller), _place(point.x_m, point.y_m, teller)), _POINTS))
    if floor.parking is not None:
        place = _place(floor.parking.x_m, floor.parking.y_m, teller)
        lines.append(row((floor.parking.name, teller.words("parking place"), place), _POINTS))
    return "\n".join(lines)


def _uses(point: ServicePoint, teller: Teller) -> str:
    return ", ".join(teller.words(use) for use in Use if use in point.uses)


def _place(x_m: float, y_m: float, teller: Teller) -> str:
    return f"x {teller.bare('x_m', x_m, 1)}, y {teller.bare('y_m', y_m, 1)}"


def _typed(teller: Teller, value_m: float) -> str:
    """A coordinate as it is typed on the command line: a point before the decimals in every language."""
    return Teller(system=teller.system).bare("value_m", value_m, 1).replace(",", "")


def open_spot(floor: FloorPlan) -> shapely.Point:
    """Somewhere in the open where a machine gets about, so that the example can be typed as it stands."""
    solid = shapely.union_all([*(each.outline for each in floor.obstacles), *(each.outline for each in floor.no_go)])
    free = floor.outline.difference(solid)
    # A roomy store behind a narrow door would be a bad place: the largest piece that is wide enough counts.
    parts = [part for part in shapely.get_parts(free.buffer(-_WAY_M / 2)) if not part.is_empty]
    way = max(parts, key=lambda part: part.area, default=floor.outline)
    roomy = way.intersection(free.buffer(-_ROOM_TO_STAND_M))
    return (way if roomy.is_empty else roomy).representative_point()
