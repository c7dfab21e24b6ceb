"""How far a machine drives over floor that is still wet from its own scrubbing."""

from collections.abc import Sequence
from typing import Protocol

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.ops import substring

from scrubwright.floor import way
from scrubwright.floor.edges import deck_print

# A machine that turns from lane to lane cannot but touch the end of the one that it comes from.
_OWN_END_M = 2.5


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
    ends_s = np.cumsum([leg.duration_s for leg in legs])
    wets = [index for index, leg in enumerate(legs) if leg.kind == way.SCRUB]
    if not wets or not dry_s > 0:
        return 0.0
    prints = [deck_print(shapely.LineString(legs[index].points_m), deck_width_m) for index in wets]
    wet_from_s = ends_s[wets]
    tree = shapely.STRtree(prints)
    crossed_m = 0.0
    for index, leg in enumerate(legs):
        if leg.kind not in (way.DRIVE, way.REVERSE) or len(leg.points_m) < 2:
            continue
        line = shapely.LineString(leg.points_m)
        if line.length <= 2 * _OWN_END_M:
            continue
        middle = substring(line, _OWN_END_M, line.length - _OWN_END_M)
        here_s = ends_s[index] - leg.duration_s
        near = tree.query(middle, predicate="intersects")
        still = [prints[at] for at in near if wet_from_s[at] <= here_s < wet_from_s[at] + dry_s]
        if still:
            crossed_m += float(shapely.intersection(middle, shapely.union_all(still)).length)
    return crossed_m
