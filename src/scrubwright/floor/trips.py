"""Where to break a long way into tankfuls."""

from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.errors import BadInput


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loads:
    """Water along the way, and what a stop costs.

    Parameters
    ----------
    water_l
        Solution that each lane takes [L], shape (n,); lane 0, the parking place, takes none.
    capacity_l
        Solution that one filling gives [L, > 0].
    to_drain_s, to_tap_s
        Seconds between each lane end and each drain, and each tap, shapes (2n, drains) and (2n, taps).
    between_s
        Seconds of a stop itself: empty at the drain, drive to the tap, fill; shape (drains, taps).
    """

    water_l: NDArray[np.float64]
    capacity_l: float
    to_drain_s: NDArray[np.float64]
    to_tap_s: NDArray[np.float64]
    between_s: NDArray[np.float64]

    def __post_init__(self) -> None:
        if not self.capacity_l > 0:
            raise BadInput(
                "A tankful is {given} L; enter a tank that holds more than zero.", given=str(self.capacity_l)
            )
        if not (self.water_l <= self.capacity_l).all():
            raise BadInput(
                "One lane takes {lane_l} and a tankful is {capacity_l}; the lane must be cut before it is planned.",
                lane_l=float(self.water_l.max()),
                capacity_l=self.capacity_l,
            )

    @property
    def leave_s(self) -> NDArray[np.float64]:
        """Least seconds from each end to a drain, shape (2n,)."""
        least_s: NDArray[np.float64] = self.to_drain_s.min(axis=1)
        return least_s

    @property
    def return_s(self) -> NDArray[np.float64]:
        """Least seconds of emptying, filling and driving on to each end, shape (2n,)."""
        least_s: NDArray[np.float64] = (self.to_tap_s + self.between_s.min(axis=0)).min(axis=1)
        return least_s

    def stop_s(self, out: NDArray[np.intp], into: NDArray[np.intp]) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
        """Seconds of a stop between ends [s], and which drain and tap it takes, shapes (k,) and (k, 2).

        Parameters
        ----------
        out, into
            Ends at which the machine leaves its lane and enters the next, shape (k,).

        **Source** least sum over drains and taps.
        """
        whole_s = self.to_drain_s[out][:, :, None] + self.between_s + self.to_tap_s[into][:, None, :]
        flat_s = whole_s.reshape(len(out), -1)
        best = np.argmin(flat_s, axis=1)
        via = np.stack(np.unravel_index(best, self.between_s.shape), axis=1)
        return flat_s[np.arange(len(out)), best], via


def split(
    entries: NDArray[np.intp], link_s: NDArray[np.float32], loads: Loads, used_l: float = 0.0
) -> tuple[tuple[int, ...], float]:
    """The cheapest places to stop along an order of lanes, and what they add [s].

    Every stretch between stops takes at most a tankful. Stop k comes after the lane at that position.

    Parameters
    ----------
    entries
        Ends at which the lanes are entered, in driving order, shape (k,).
    link_s
        Seconds of a link between ends, shape (2n, 2n).
    loads
        Water and stops.
    used_l
        What is gone from the first tankful already [L, >= 0].

    Notes
    -----
    Exact, by dynamic programming over positions with a sliding window of least costs.
    **Source** C. Prins, Computers & Operations Research 31(12), 2004, doi:10.1016/S0305-0548(03)00158-8.
    """
    level_l = used_l + np.cumsum(loads.water_l[entries >> 1])
    if level_l[-1] <= loads.capacity_l + 1e-9:
        return (), 0.0
    out, into = entries[:-1] ^ 1, entries[1:]
    extra_s = (loads.stop_s(out, into)[0] - link_s[out, into]).tolist()
    levels_l = level_l.tolist()
    count = len(levels_l)
    least_s = [0.0] * count
    before = [-1] * count
    window: deque[int] = deque()
    start = -1
    for stop in range(count):
        # Before the first stop a stretch starts at the beginning (-1).
        while window and levels_l[stop] - levels_l[window[0]] > loads.capacity_l + 1e-9:
            window.popleft()
        if levels_l[stop] <= loads.capacity_l + 1e-9:
            reached_s, start = 0.0, -1
        elif not window:
            # What is left in the tank does not do the first lane.
            raise BadInput("The tank holds too little for the next lane; empty and fill it before you go on.")
        else:
            start = window[0]
            reached_s = least_s[start]
        before[stop] = start
        if stop == count - 1:
            return _traced(before, count), reached_s
        least_s[stop] = reached_s + extra_s[stop]
        while window and least_s[window[-1]] >= least_s[stop]:
            window.pop()
        window.append(stop)
    return (), 0.0


def _traced(before: list[int], count: int) -> tuple[int, ...]:
    stops = []
    at = before[count - 1]
    while at >= 0:
        stops.append(at)
        at = before[at]
    return tuple(reversed(stops))
