"""The way that a tour takes: legs with their points and seconds, and the stops between."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from scrubwright.floor.links import Network, Service, backed_out
from scrubwright.floor.sequence import Tour
from scrubwright.floor.vehicle import Vehicle

SCRUB, DRIVE, REVERSE, EMPTY, FILL = "scrub", "drive", "reverse", "empty", "fill"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WayLeg:
    """One stretch of the way.

    Parameters
    ----------
    kind
        "scrub", "drive", "reverse", "empty" or "fill".
    points_m
        Way of the deck's centre [m], shape (n, 2).
    duration_s
        How long it takes [s].
    position
        On a scrub leg its lane's position in the tour, elsewhere None.
    service
        On an empty or fill leg the number of the drain or tap, elsewhere None.
    """

    kind: str
    points_m: NDArray[np.float64]
    duration_s: float
    position: int | None = None
    service: int | None = None


class _Walk:
    """Collects legs from end to end; knows where the machine stands."""

    def __init__(self, net: Network, vehicle: Vehicle, service: Service) -> None:
        self.net, self.vehicle, self.service = net, vehicle, service
        self.legs: list[WayLeg] = []

    def _backing(self, end: int, *, into: bool) -> float:
        """Add the reverse leg at an end, if there is one; its seconds."""
        back_m = float(self.net.back_m[end])
        if back_m <= 0:
            return 0.0
        points_m = shapely.get_coordinates(backed_out(self.net.lanes, end, back_m))
        points_m = points_m[::-1] if into else points_m
        duration_s = self.net.backing_s(end, self.vehicle)
        self.legs.append(WayLeg(kind=REVERSE, points_m=points_m, duration_s=duration_s))
        return duration_s

    def _drive(self, start: int, goal: int, total_s: float, *, out_of: int | None, into: int | None) -> None:
        """From one point of the network to another in `total_s`, backing out of and into lanes included."""
        if total_s <= 0:
            return
        spent_s = self._backing(out_of, into=False) if out_of is not None else 0.0
        place = len(self.legs)
        back_s = self._backing(into, into=True) if into is not None else 0.0
        way_m = self.net.travel.way_m(start, goal)
        self.legs.insert(place, WayLeg(kind=DRIVE, points_m=way_m, duration_s=max(0.0, total_s - spent_s - back_s)))

    def link(self, start: int, goal: int) -> None:
        """Drive from end to end with the deck up."""
        self._drive(start, goal, float(self.net.links.link_s[start, goal]), out_of=start, into=goal)

    def scrub(self, entry: int, position: int) -> None:
        """Drive a lane with the deck down."""
        line = self.net.lanes[(entry >> 1) - 1].line
        points_m = shapely.get_coordinates(line)
        duration_s = line.length / self.vehicle.working_speed_m_per_s
        self.legs.append(
            WayLeg(
                kind=SCRUB, points_m=points_m[::-1] if entry & 1 else points_m, duration_s=duration_s, position=position
            )
        )

    def stop(self, start: int, goal: int) -> None:
        """To the drain, empty, to the tap, fill, and on."""
        loads = self.net.links.loads
        drain, tap = (int(number) for number in loads.stop_s(np.array([start]), np.array([goal]))[1][0])
        drain_point, tap_point = self.net.drain_point(drain), self.net.tap_point(tap)
        self._drive(start, drain_point, float(loads.to_drain_s[start, drain]), out_of=start, into=None)
        self._serve(EMPTY, drain_point, self.service.empty_s, drain)
        across_m = float(self.net.travel.distance_m[drain_point, tap_point])
        self._drive(drain_point, tap_point, across_m / self.vehicle.transport_speed_m_per_s, out_of=None, into=None)
        self._serve(FILL, tap_point, self.service.fill_s, tap)
        self._drive(tap_point, goal, float(loads.to_tap_s[goal, tap]), out_of=None, into=goal)

    def home(self, start: int) -> None:
        """To the drain, empty, and to the parking place."""
        loads = self.net.links.loads
        drain = int(self.net.last_drain[start])
        point = self.net.drain_point(drain)
        self._drive(start, point, float(loads.to_drain_s[start, drain]), out_of=start, into=None)
        self._serve(EMPTY, point, self.service.empty_s, drain)
        self._drive(point, 0, float(loads.to_drain_s[0, drain]), out_of=None, into=None)

    def _serve(self, kind: str, point: int, duration_s: float, number: int) -> None:
        self.legs.append(
            WayLeg(
                kind=kind, points_m=self.net.travel.points_m[point : point + 1], duration_s=duration_s, service=number
            )
        )


def way_of(tour: Tour, net: Network, vehicle: Vehicle, service: Service, start: int = 1) -> tuple[WayLeg, ...]:
    """All legs of a tour, from the parking place, or another end, and back to the parking place.

    Their seconds add up to the lanes' own time and the tour's cost.

    **Source** ours, see docs/explanation/sequence.md.
    """
    walk = _Walk(net, vehicle, service)
    at = start
    for position, entry in enumerate(tour.entries.tolist()):
        if position and position - 1 in tour.stops:
            walk.stop(at, entry)
        else:
            walk.link(at, entry)
        walk.scrub(entry, position)
        at = entry ^ 1
    walk.home(at)
    return tuple(walk.legs)
