"""Which wet tracks the ways between lanes cross: worked out once for each way, asked for often."""

import numpy as np
import shapely
from numpy.typing import NDArray

from scrubwright.floor.edges import deck_print
from scrubwright.floor.links import Network, backed_out
from scrubwright.floor.wet import counted_middle

_ROUNDING_S = 1e-6
# Keeps the pieces of one way apart where their places along it are written in one row.
_APART_M = 1e5

Pass = tuple[int, float, float]


class Tracks:
    """The tracks of all lanes of a network, and which of them each way between two of its points runs over.

    State lives between calls: what each way crosses is kept once it was asked for.

    Parameters
    ----------
    net
        Lanes and ways.
    deck_width_m
        Width of a track [m].
    dry_s
        How long it stays wet [s].
    """

    def __init__(self, net: Network, deck_width_m: float, dry_s: float) -> None:
        self.net, self.dry_s = net, dry_s
        self.prints = np.array([deck_print(lane.line, deck_width_m) for lane in net.lanes], dtype=object)
        self.tree = shapely.STRtree(self.prints)
        self._passes: dict[tuple[int, int], list[Pass]] = {}

    def crossed_m(self, start: int, goal: int, at_s: float, done_s: list[float]) -> float:
        """How far the way between two points runs over wet floor [m].

        Parameters
        ----------
        start, goal
            Points of the network's ways; an end of a lane is left, or entered, as the lane asks for.
        at_s
            When the machine sets out [s].
        done_s
            When each lane was done, from lane 0, the parking place [s]; infinite for those to come.

        **Source** as `wet.wet_crossed_m`.
        """
        crossed_m, reached_m = 0.0, -1.0
        for lane, low_m, high_m in self._passed(start, goal):
            if at_s - self.dry_s < done_s[lane] <= at_s + _ROUNDING_S and high_m > reached_m:
                crossed_m += high_m - max(low_m, reached_m)
                reached_m = high_m
        return crossed_m

    def lanes_passed(self, start: int, goal: int) -> NDArray[np.intp]:
        """Lanes whose tracks the way crosses, whenever they are driven."""
        return np.array([lane for lane, _, _ in self._passed(start, goal)], dtype=np.intp)

    def _passed(self, start: int, goal: int) -> list[Pass]:
        """Lanes whose tracks the way crosses, each with where along it, by where they begin."""
        key = (min(start, goal), max(start, goal))
        if key not in self._passes:
            found: list[Pass] = []
            for number, points_m in enumerate(self._pieces_m(*key)):
                found += self._along(points_m, number * _APART_M)
            self._passes[key] = sorted(found, key=lambda each: each[1])
        return self._passes[key]

    def _pieces_m(self, start: int, goal: int) -> list[NDArray[np.float64]]:
        """The way, and the pieces that are backed out of a lane and into one [m]."""
        back_m = self.net.back_m
        ends = [end for end in (start, goal) if end < len(back_m) and back_m[end] > 0]
        backed = [shapely.get_coordinates(backed_out(self.net.lanes, end, float(back_m[end]))) for end in ends]
        return [self.net.travel.way_m(start, goal), *backed]

    def _along(self, points_m: NDArray[np.float64], from_m: float) -> list[Pass]:
        middle = counted_middle(points_m)
        if middle is None:
            return []
        found = []
        for lane in self.tree.query(middle, predicate="intersects"):
            for part in shapely.get_parts(shapely.intersection(middle, self.prints[lane])):
                if part.length > 0:
                    along_m = shapely.line_locate_point(middle, shapely.points(shapely.get_coordinates(part)))
                    found.append((int(lane) + 1, from_m + float(along_m.min()), from_m + float(along_m.max())))
        return found
