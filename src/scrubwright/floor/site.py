"""A site as the planner needs it: floors with their outline, obstacles, areas, service points, ramps."""

from dataclasses import dataclass, field
from enum import StrEnum

from shapely import MultiPolygon, Polygon

from scrubwright.measures.errors import BadInput

FURTHEST_M = 10_000.0
HOURS_A_DAY_H = 24.0


class Use(StrEnum):
    """What a service point gives."""

    DRAIN = "drain"
    TAP = "tap"
    SOCKET = "socket"


class Edges(StrEnum):
    """How often the strip along walls and racks of an area is driven on its own."""

    EVERY_TIME = "every time"
    SKIP = "skip"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A named point on a floor [m from the floor's origin, within 10 km]."""

    name: str
    x_m: float
    y_m: float

    def __post_init__(self) -> None:
        for axis, value_m in (("x", self.x_m), ("y", self.y_m)):
            if not abs(value_m) <= FURTHEST_M:
                raise BadInput(
                    "{name} lies at {axis} = {given}; give metres within {limit_m} of the floor's origin.",
                    name=self.name,
                    axis=axis,
                    given=str(value_m),
                    limit_m=FURTHEST_M,
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class ServicePoint(Place):
    """A place where the machine is emptied, filled or charged; one place may give several uses."""

    uses: frozenset[Use]

    def __post_init__(self) -> None:
        Place.__post_init__(self)
        if not self.uses:
            raise BadInput("{name} gives nothing; enter drain, tap or socket.", name=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedOutline:
    """A named polygon on a floor [m]."""

    name: str
    outline: Polygon

    def __post_init__(self) -> None:
        if self.outline.is_empty or not self.outline.is_valid:
            raise BadInput("The outline of {name} is empty or crosses itself; draw it again.", name=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Area(NamedOutline):
    """A part of the floor that is cleaned as one piece of work.

    Parameters
    ----------
    surface
        What the floor is made of, in the site's own words.
    priority
        1 is done first and dropped last.
    passes
        1, or 2 for a double scrub.
    edges
        Whether walls and racks of this area get passes of their own.
    people
        Whether people walk here while it is cleaned, so that it must be closed to them piece by piece.
    window_from_h, window_until_h
        Hours of the clock between which it may be wet [h, 0 to 24]; from 22 until 5.5 runs over midnight, from 0
        until 24 is the whole day. Both or none; None for any hour.
    """

    surface: str = ""
    priority: int = 1
    passes: int = 1
    edges: Edges = Edges.EVERY_TIME
    people: bool = False
    window_from_h: float | None = None
    window_until_h: float | None = None

    def __post_init__(self) -> None:
        NamedOutline.__post_init__(self)
        if self.passes not in (1, 2):
            raise BadInput(
                "{name} asks for {passes} passes; enter 1, or 2 for a double scrub.", name=self.name, passes=self.passes
            )
        if self.priority < 1:
            raise BadInput(
                "{name} has priority {priority}; enter 1 or more, 1 being first.",
                name=self.name,
                priority=self.priority,
            )
        self._check_window()

    def _check_window(self) -> None:
        from_h, until_h = self.window_from_h, self.window_until_h
        if from_h is None and until_h is None:
            return
        if from_h is None or until_h is None:
            raise BadInput(
                "{name} has one end of its window only; enter both the hour from which and the hour until which it "
                "may be wet, or neither.",
                name=self.name,
            )
        for hour_h in (from_h, until_h):
            if not 0 <= hour_h <= HOURS_A_DAY_H:
                raise BadInput(
                    "The window of {name} has the hour {given}; enter hours of the clock from 0 to 24, such as 22 or "
                    "5.5 for half past five.",
                    name=self.name,
                    given=str(hour_h),
                )
        if from_h == until_h or (from_h, until_h) == (HOURS_A_DAY_H, 0):
            raise BadInput(
                "The window of {name} ends as it begins, so it may never be wet. Enter two different hours, 0 and 24 "
                "for the whole day, or leave the area out.",
                name=self.name,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ramp(NamedOutline):
    """A sloping piece of floor.

    Parameters
    ----------
    slope_fraction
        Rise over run, 0 < slope < 1 (0.08 is an 8 % ramp).
    uphill_rad
        The direction that climbs, anticlockwise from the x axis.
    """

    slope_fraction: float
    uphill_rad: float

    def __post_init__(self) -> None:
        NamedOutline.__post_init__(self)
        if not 0 < self.slope_fraction < 1:
            raise BadInput(
                "{name} has a slope of {slope}; enter rise over run between 0 and 1, such as 0.08 for 8 %.",
                name=self.name,
                slope=str(self.slope_fraction),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorPlan:
    """One storey: where floor is, what stands on it, and what is known about it [m].

    Parameters
    ----------
    outline
        All floor between the walls, holes included; valid, non-empty.
    obstacles
        What stands on the floor: racks, counters, columns.
    areas
        What is cleaned as one piece of work each; none means the whole floor is one area.
    no_go
        Floor that the machine must keep off.
    ramps, service_points, parking
        As their names say; the shift starts and ends at `parking`.
    rooms
        What parts of the floor are called, for the reader; they part no work and bound no area.
    """

    name: str
    outline: MultiPolygon
    obstacles: tuple[NamedOutline, ...] = ()
    areas: tuple[Area, ...] = ()
    no_go: tuple[NamedOutline, ...] = ()
    ramps: tuple[Ramp, ...] = ()
    service_points: tuple[ServicePoint, ...] = ()
    parking: Place | None = None
    rooms: tuple[NamedOutline, ...] = ()

    def __post_init__(self) -> None:
        if self.outline.is_empty or not self.outline.is_valid:
            raise BadInput("The outline of floor {name} is empty or crosses itself; draw it again.", name=self.name)

    def with_use(self, use: Use) -> tuple[ServicePoint, ...]:
        """The service points that give `use`."""
        return tuple(point for point in self.service_points if use in point.uses)


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """A building: its floors, and the sentence that says where the drawing came from."""

    name: str
    floors: tuple[FloorPlan, ...]
    source: str = field(default="")

    def __post_init__(self) -> None:
        if not self.floors:
            raise BadInput("Site {name} has no floor; read a drawing that shows one.", name=self.name)
        names = [floor.name for floor in self.floors]
        if len(set(names)) != len(names):
            raise BadInput("Site {name} has two floors of one name; give each its own.", name=self.name)

    def floor(self, name: str | None = None) -> FloorPlan:
        """The floor of that name; without a name, the only one.

        Raises
        ------
        BadInput
            No such floor, or several and none named.
        """
        known = ", ".join(floor.name for floor in self.floors)
        if name is None:
            if len(self.floors) == 1:
                return self.floors[0]
            raise BadInput(
                "Site {site} has {count} floors: {known}. Name the one to plan.",
                site=self.name,
                count=len(self.floors),
                known=known,
            )
        for floor in self.floors:
            if floor.name == name:
                return floor
        raise BadInput("Site {site} has no floor {name}; it has: {known}.", site=self.name, name=name, known=known)
