"""A machine and floors that fit in the head, and lane problems small enough to try every order."""

import itertools

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon, box

from scrubwright.floor.free_floor import FreeFloor, free_floor
from scrubwright.floor.lane_plan import LanePlan, lane_plan
from scrubwright.floor.lanes import LaneLine
from scrubwright.floor.links import Service
from scrubwright.floor.sequence import Links
from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, Ramp, ServicePoint, Use
from scrubwright.floor.trips import Loads
from scrubwright.floor.vehicle import Vehicle

CLOSET = ServicePoint(name="closet", x_m=1.0, y_m=1.0, uses=frozenset({Use.DRAIN, Use.TAP}))
BAY = Place(name="bay", x_m=1.5, y_m=2.0)


def plain_machine(**changes: float) -> Vehicle:
    """Deck 0.75 m, gauge 1.00 m, turning radius 0.45 m; with figures changed by name."""
    figures = {
        "deck_width_m": 0.75,
        "overlap_m": 0.05,
        "body_width_m": 0.90,
        "clearance_m": 0.05,
        "front_m": 0.50,
        "turning_radius_m": 0.45,
        "turning_aisle_m": 2.2,
        "scrubbing_radius_m": 1.0,
        "working_speed_m_per_s": 1.25,
        "transport_speed_m_per_s": 1.5,
        "reverse_speed_m_per_s": 0.6,
        "turning_speed_m_per_s": 0.6,
        "deck_cycle_s": 0.0,
    }
    return Vehicle(**(figures | changes))


def one_polygon(shape: object) -> Polygon:
    """The shape, once it is sure that it is in one piece."""
    assert isinstance(shape, Polygon)
    return shape


def joined(*shapes: Polygon) -> MultiPolygon:
    """The shapes as one floor."""
    whole = shapely.union_all(shapes)
    return MultiPolygon(list(shapely.get_parts(whole)))


def floor_plan(
    *rooms: Polygon,
    racks: tuple[Polygon, ...] = (),
    areas: tuple[Area, ...] = (),
    ramps: tuple[Ramp, ...] = (),
    service_points: tuple[ServicePoint, ...] = (CLOSET,),
    parking: Place | None = BAY,
) -> FloorPlan:
    """A floor of these rooms with racks numbered from 1."""
    return FloorPlan(
        name="ground floor",
        outline=joined(*rooms),
        obstacles=tuple(NamedOutline(name=f"rack {number}", outline=rack) for number, rack in enumerate(racks, 1)),
        areas=areas,
        ramps=ramps,
        service_points=service_points,
        parking=parking,
    )


def reached(plan: FloorPlan, vehicle: Vehicle) -> FreeFloor:
    """What the machine comes to from the parking place."""
    at = plan.parking or plan.service_points[0]
    return free_floor(plan, vehicle, ((at.x_m, at.y_m),))


def planned_lanes(plan: FloorPlan, vehicle: Vehicle, *, scrubbed_ramps: tuple[Ramp, ...] = ()) -> LanePlan:
    """The lanes for that floor and machine."""
    return lane_plan(plan, reached(plan, vehicle), vehicle, scrubbed_ramps=scrubbed_ramps)


def plain_service(plan: FloorPlan, **changes: float) -> Service:
    """A stop of 30 s and 450 s at the plan's service points, a tankful of 100 L, 0.045 L/m2."""
    figures = {"empty_s": 30.0, "fill_s": 450.0, "capacity_l": 100.0, "dose_l_per_m2": 0.045} | changes
    drains, taps = plan.with_use(Use.DRAIN), plan.with_use(Use.TAP)
    at = plan.parking or drains[0]
    return Service(
        drains_m=tuple((each.x_m, each.y_m) for each in drains),
        taps_m=tuple((each.x_m, each.y_m) for each in taps),
        parking_m=(at.x_m, at.y_m),
        **figures,
    )


def lane(*points_m: tuple[float, float], area: int = 0, kind: str = "lane") -> LaneLine:
    """One lane through these points [m]."""
    return LaneLine(line=LineString(points_m), kind=kind, area=area)


def hall_with_racks() -> FloorPlan:
    """A hall of 16 m by 11 m with two racks, one of them against the wall."""
    return floor_plan(box(0, 0, 16, 11), racks=(box(5, 3, 13, 4), box(5, 7.5, 16, 8.5)))


def chance_links(seed: int, lanes: int, *, tankfuls: float = 0.0, stations: int = 1) -> Links:
    """Lanes between points as chance has it, with seconds that rise with distance, and a stop's seconds.

    The lanes take `tankfuls` tanks of solution in all; with 0 none is ever empty.
    """
    rng = np.random.default_rng(seed)
    at_m = rng.uniform(0, 60, (2 * lanes + 2, 2))
    at_m[1] = at_m[0]
    span_m = at_m[:, None] - at_m[None, :]
    link_s = np.hypot(span_m[..., 0], span_m[..., 1]) / 1.5 + 2.0
    np.fill_diagonal(link_s, 0.0)
    water_l = np.concatenate([[0.0], rng.uniform(5, 15, lanes)])
    station_m = rng.uniform(0, 60, (2, stations, 2))
    if stations == 1:
        station_m[1] = station_m[0]
    to_s = [np.hypot(*(at_m[:, None] - places_m[None]).transpose(2, 0, 1)) / 1.5 for places_m in station_m]
    across_s = np.hypot(*(station_m[0][:, None] - station_m[1][None]).transpose(2, 0, 1)) / 1.5
    loads = Loads(
        water_l=water_l,
        capacity_l=1e6 if not tankfuls else max(float(water_l.sum()) / tankfuls, float(water_l.max())),
        to_drain_s=to_s[0],
        to_tap_s=to_s[1],
        between_s=across_s + 40.0,
    )
    return Links(link_s=link_s.astype(np.float32), loads=loads)


def every_order(lanes: int) -> NDArray[np.intp]:
    """All orders and directions of lanes 1 to n as entries, shape (n! 2^n, n)."""
    orders = np.array(list(itertools.permutations(range(1, lanes + 1))), dtype=np.intp)
    ways = np.array(list(itertools.product((0, 1), repeat=lanes)), dtype=np.intp)
    return (2 * orders[:, None, :] + ways[None, :, :]).reshape(-1, lanes)


def whole_s(entries: NDArray[np.intp], links: Links, stops: tuple[int, ...]) -> NDArray[np.float64]:
    """Seconds of links and stops for rows of entries with stops after these positions; endless past a tankful."""
    loads = links.loads
    link_s = links.link_s.astype(np.float64)
    total_s = link_s[1, entries[:, 0]] + link_s[entries[:, -1] ^ 1, 0]
    held_l = loads.water_l[entries[:, 0] >> 1].copy()
    worst_l = held_l.copy()
    for position in range(entries.shape[1] - 1):
        out, into = entries[:, position] ^ 1, entries[:, position + 1]
        if position in stops:
            each_s = loads.to_drain_s[out][:, :, None] + loads.between_s[None] + loads.to_tap_s[into][:, None, :]
            total_s = total_s + each_s.reshape(len(entries), -1).min(axis=1)
            held_l = np.zeros_like(held_l)
        else:
            total_s = total_s + link_s[out, into]
        held_l = held_l + loads.water_l[into >> 1]
        worst_l = np.maximum(worst_l, held_l)
    return np.where(worst_l <= loads.capacity_l + 1e-9, total_s, np.inf)


def least_s(entries: NDArray[np.intp], links: Links) -> NDArray[np.float64]:
    """Least seconds for each row of entries, every choice of stops tried."""
    gaps = range(entries.shape[1] - 1)
    choices = [stops for count in range(len(gaps) + 1) for stops in itertools.combinations(gaps, count)]
    found: NDArray[np.float64] = np.min([whole_s(entries, links, stops) for stops in choices], axis=0)
    return found
