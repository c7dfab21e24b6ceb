"""How far a machine drives over floor that is still wet from its own scrubbing."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from scrubwright.floor import way
from scrubwright.floor.edges import deck_print

# A machine that turns from lane to lane cannot but touch the end of the one that it comes from.
_OWN_END_M = 2.5
SHORTEST_COUNTED_M = 2 * _OWN_END_M


class Stretch(Protocol):
    """One stretch of a way: what it does, where it runs and how long it takes."""

    @property
    def kind(self) -> str:
        """What it does: scrub, drive, reverse or another word."""

    @property
    def points_m(self) -> NDArray[np.float64]:
        """Way of the deck's centre [m], shape (n, 2)."""

    @property
    def duration_s(self) -> float:
        """How long it takes [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """One stretch with the deck up that meets floor still wet.

    Parameters
    ----------
    leg
        Its place among the legs.
    crossed_m
        How far it runs over wet floor [m].
    x_m, y_m
        Where it first meets it [m].
    """

    leg: int
    crossed_m: float
    x_m: float
    y_m: float


def wet_crossed_m(legs: Sequence[Stretch], deck_width_m: float, dry_s: float) -> float:
    """Length of way with the deck up over floor scrubbed less than the drying time ago [m].

    What lies within a turn's length of where the deck was lifted or is lowered does not count.

    Parameters
    ----------
    legs
        Of one machine, in order.
    deck_width_m
        Width of the wet track [m].
    dry_s
        How long it stays wet [s].

    **Source** geometry; the allowance for turns is ours, see docs/explanation/the-shift.md.
    """
    return float(sum(each.crossed_m for each in wet_crossings(legs, deck_width_m, dry_s)))


def wet_crossings(legs: Sequence[Stretch], deck_width_m: float, dry_s: float) -> tuple[Crossing, ...]:
    """Where a machine drives over floor that is still wet, in the order of the way; see `wet_crossed_m`."""
    return tuple(_crossings(legs, deck_width_m, dry_s))


def _crossings(legs: Sequence[Stretch], deck_width_m: float, dry_s: float) -> Iterator[Crossing]:
    ends_s = np.cumsum([leg.duration_s for leg in legs])
    wets = [index for index, leg in enumerate(legs) if leg.kind == way.SCRUB]
    if not wets or not dry_s > 0:
        return
    prints = [deck_print(LineString(legs[index].points_m), deck_width_m) for index in wets]
    wet_from_s = ends_s[wets]
    tree = shapely.STRtree(prints)
    for index, leg in enumerate(legs):
        middle = counted_middle(leg.points_m) if leg.kind in (way.DRIVE, way.REVERSE) else None
        if middle is None:
            continue
        here_s = ends_s[index] - leg.duration_s
        near = tree.query(middle, predicate="intersects")
        still = [prints[at] for at in near if wet_from_s[at] <= here_s < wet_from_s[at] + dry_s]
        over = over_wet(middle, still)
        if over.length > 0:
            x_m, y_m = shapely.get_coordinates(over)[0].tolist()
            yield Crossing(leg=index, crossed_m=float(over.length), x_m=x_m, y_m=y_m)


def counted_middle(points_m: NDArray[np.float64]) -> LineString | None:
    """The part of a way that counts: all but a turn's length at each end [m]; None where nothing is left."""
    if len(points_m) < 2:
        return None
    line = LineString(points_m)
    return substring(line, _OWN_END_M, line.length - _OWN_END_M) if line.length > SHORTEST_COUNTED_M else None


def over_wet(middle: LineString, wet: Sequence[Polygon]) -> BaseGeometry:
    """What of a way lies on wet floor [m]."""
    return shapely.intersection(middle, shapely.union_all(wet))
