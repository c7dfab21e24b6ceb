"""Which outline each word on a drawing belongs to, and what the words say: names, surfaces, slopes, ways up."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, Polygon, STRtree

from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import Label, Piece, Role
from scrubwright.paperwork.slopes import is_about_slope, says_up_down, slopes_fraction

# Of two names in one outline the taller one is meant, if it is clearly taller.
_CLEARLY_TALLER = 1.15
_SAME_WAY_RAD = math.radians(15)
_SQUARE_RAD = math.radians(5)
_SAME_SLOPE = 0.02
_LEAST_LETTERS = 2
_MEASURED = re.compile(
    r"^\W*(?:a|h|s|area|area util|sup|superficie|ffl|ffh|rh|nivel|level|n)?\W*[+±-]?\d+(?:[.,]\d+)*\W*"
    r"(?:m2|m²|m³|m|mm|cm|sqm|sq m|sq ft|sqft|sf|ft2|ft²|ft|in|pax|people|personas)?\W*$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """An outline on the floor [m] with the piece it came from and the words that stand in it, tallest first.

    `role` is FLOOR for a room.
    """

    role: Role
    piece: Piece
    outline: Polygon
    labels: tuple[Label, ...] = ()

    @property
    def name(self) -> str:
        """What the drawing calls it: words inside it, else the name of its own; "" where there is none."""
        own = self.piece.name
        # A block's name is a draughtsman's; what is written on a thing is for people.
        if own and self.role is not Role.OBSTACLE:
            return own
        lines = _naming_lines(self)
        return lines[0] if lines else own

    @property
    def surface(self) -> str:
        """What the floor is made of: the line below the name; "" where it does not say."""
        return self.piece.surface or next(iter(_naming_lines(self)[1:]), "")


def _naming_lines(drawn: Drawn) -> tuple[str, ...]:
    """The lines of the label that names an outline: one on its own layer, else the one in the tallest letters."""
    own = [label for label in drawn.labels if label.where == drawn.piece.where]
    useful = [(label, lines) for label in own or drawn.labels if (lines := _words(label))]
    if not useful:
        return ()
    if len(useful) > 1 and useful[0][0].upright.length < _CLEARLY_TALLER * useful[1][0].upright.length and not own:
        return ()
    return useful[0][1]


def _words(label: Label) -> tuple[str, ...]:
    """The lines that may be a name or a surface: no bare numbers, measures or slopes."""
    return tuple(
        line
        for line in label.lines
        if sum(map(str.isalpha, line)) >= _LEAST_LETTERS and not _MEASURED.match(line) and not is_about_slope(line)
    )


def labelled(outlines: Sequence[Drawn], labels: Sequence[Label]) -> tuple[tuple[Drawn, ...], int]:
    """The outlines with the words that stand in them, and how many labels stand in none.

    Words belong to the smallest outline on their own layer that they stand in; else to the smallest
    area, room, ramp or no-go zone, unless their layer is of another kind.
    """
    if not outlines or not labels:
        return tuple(outlines), len(labels)
    spots = shapely.points([label.upright.interpolate(0.5, normalized=True).coords[0] for label in labels])
    tree = STRtree([drawn.outline for drawn in outlines])
    inside: dict[int, list[int]] = {}
    for label, outline in zip(*tree.query(spots, predicate="covered_by").tolist(), strict=True):
        inside.setdefault(label, []).append(outline)
    owned: dict[int, list[Label]] = {}
    for number in sorted(inside, key=lambda each: -labels[each].upright.length):
        owner = _owner(labels[number], [(outline, outlines[outline]) for outline in inside[number]])
        if owner is not None:
            owned.setdefault(owner, []).append(labels[number])
    told = tuple(replace(drawn, labels=tuple(owned.get(number, ()))) for number, drawn in enumerate(outlines))
    return told, len(labels) - sum(map(len, owned.values()))


def _owner(label: Label, around: Sequence[tuple[int, Drawn]]) -> int | None:
    same = [each for each in around if each[1].piece.where == label.where]
    others = [each for each in around if each[1].role is not Role.OBSTACLE and _may_name(label, each[1].role)]
    fitting = same or others
    return min(fitting, key=lambda each: each[1].outline.area)[0] if fitting else None


def _may_name(label: Label, role: Role) -> bool:
    return label.role in (None, Role.IGNORE, Role.AREA, Role.FLOOR, role)


def slope_told(name: str, drawn: Drawn) -> tuple[float | None, list[Sentence]]:
    """Rise over run of the ramp of that name as the drawing gives it; None, and why, where it gives none or two.

    **Source** of two ways to write one slope (1:12, 8.3 %) the steeper number counts; ours.
    """
    if drawn.piece.slope_fraction is not None:
        return drawn.piece.slope_fraction, []
    found = [slope for label in drawn.labels for line in label.lines for slope in slopes_fraction(line)]
    if not found:
        return None, []
    if max(found) > (1 + _SAME_SLOPE) * min(found):
        said = Sentence(
            "Two slopes are written on {name}: {least_fraction} and {most_fraction}. Leave the right one.",
            name=name,
            least_fraction=min(found),
            most_fraction=max(found),
        )
        return None, [said]
    return max(found), []


def uphill_told(name: str, drawn: Drawn, arrows: Sequence[LineString]) -> tuple[float | None, list[Sentence]]:
    """The way the ramp of that name climbs [rad, anticlockwise from x]; None, and why, where no arrow tells it.

    An arrow points up, unless a word such as DOWN stands on the ramp.

    **Source** arrows on ramps and stairs point up: common practice in building drawings.
    """
    if drawn.piece.uphill_rad is not None:
        return drawn.piece.uphill_rad, []
    on_it = [arrow for arrow in arrows if drawn.outline.covers(arrow.interpolate(0.5, normalized=True))]
    up, down = says_up_down(line for label in drawn.labels for line in label.lines)
    if not on_it:
        # At which end UP is written differs from office to office: at the foot, or at the top.
        return None, []
    ways_rad = [_bearing_rad(arrow) for arrow in on_it]
    if any(abs(_turn_rad(way, ways_rad[0])) > _SAME_WAY_RAD for way in ways_rad) or (up and down):
        return None, [Sentence("The arrows or words on {name} contradict each other. Leave one arrow.", name=name)]
    way_rad = _squared_rad(ways_rad[0], drawn.outline) + (math.pi if down else 0.0)
    return _turn_rad(way_rad, 0.0), []


def _bearing_rad(arrow: LineString) -> float:
    (x0, y0), (x1, y1) = arrow.coords[0], arrow.coords[-1]
    return math.atan2(y1 - y0, x1 - x0)


def _turn_rad(to_rad: float, from_rad: float) -> float:
    return (to_rad - from_rad + math.pi) % (2 * math.pi) - math.pi


def _squared_rad(way_rad: float, outline: Polygon) -> float:
    """The way along the nearest side of the ramp, or square to it, if an arrow drawn by hand is but a little off."""
    steps = np.diff(shapely.get_coordinates(outline.exterior), axis=0)
    longest = steps[np.argmax(np.hypot(*steps.T))]
    off_rad = (math.atan2(longest[1], longest[0]) - way_rad + math.pi / 4) % (math.pi / 2) - math.pi / 4
    return way_rad + off_rad if abs(off_rad) <= _SQUARE_RAD else way_rad
