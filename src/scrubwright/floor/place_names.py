"""What a person calls a piece of floor: the room or area it lies in, else where it lies on the plan."""

from enum import StrEnum

from shapely import Point
from shapely.geometry.base import BaseGeometry

from scrubwright.floor.site import FloorPlan

MOST_OF_IT = 0.5


class FloorPart(StrEnum):
    """A ninth of the floor as it lies on the plan, for floor that has no name of its own."""

    TOP_LEFT = "the top left of the floor"
    TOP = "the top of the floor"
    TOP_RIGHT = "the top right of the floor"
    LEFT = "the left of the floor"
    MIDDLE = "the middle of the floor"
    RIGHT = "the right of the floor"
    BOTTOM_LEFT = "the bottom left of the floor"
    BOTTOM = "the bottom of the floor"
    BOTTOM_RIGHT = "the bottom right of the floor"


_ROWS = (
    (FloorPart.BOTTOM_LEFT, FloorPart.BOTTOM, FloorPart.BOTTOM_RIGHT),
    (FloorPart.LEFT, FloorPart.MIDDLE, FloorPart.RIGHT),
    (FloorPart.TOP_LEFT, FloorPart.TOP, FloorPart.TOP_RIGHT),
)


def name_of_piece(plan: FloorPlan, piece: BaseGeometry) -> str:
    """The smallest room or area that holds most of a piece, else the one that holds the largest share of it.

    Where none holds any of it: the part of the floor that it lies in, a `FloorPart`, which every
    language has its own words for.

    Parameters
    ----------
    plan, piece
        The floor, and a piece of it with an area [m].
    """
    shared = [(each.outline.intersection(piece).area, each) for each in (*plan.rooms, *plan.areas)]
    holding = [each for share_m2, each in shared if share_m2 >= MOST_OF_IT * piece.area]
    if holding:
        return min(holding, key=lambda each: each.outline.area).name
    largest_m2, largest = max(shared, key=lambda each: each[0], default=(0.0, None))
    return largest.name if largest is not None and largest_m2 > 0 else floor_part(plan, piece.representative_point())


def name_at(plan: FloorPlan, at: Point) -> str:
    """The smallest room or area that a point lies in, else the part of the floor, a `FloorPart`."""
    inside = [each for each in (*plan.rooms, *plan.areas) if each.outline.covers(at)]
    return min(inside, key=lambda each: each.outline.area).name if inside else floor_part(plan, at)


def floor_part(plan: FloorPlan, at: Point) -> FloorPart:
    """Which ninth of the floor a point lies in, by thirds of its width and depth."""
    left_m, bottom_m, right_m, top_m = plan.outline.bounds
    across, up = (
        min(2, max(0, int(3 * (value_m - low_m) / (high_m - low_m))))
        for value_m, low_m, high_m in ((at.x, left_m, right_m), (at.y, bottom_m, top_m))
    )
    return _ROWS[up][across]
