"""The answer to "by which way, in what time, with how many dump stops, and what is left?"."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon

from scrubwright.floor.night import Night
from scrubwright.floor.site import FloorPlan
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence


class LegKind(StrEnum):
    """What the machine does on one leg of its way."""

    SCRUB = "scrub"
    DRIVE = "drive"
    REVERSE = "reverse"
    STOP = "stop"


class LaneKind(StrEnum):
    """Why a lane is there."""

    LANE = "lane"
    EDGE = "edge"
    PATCH = "patch"


class Bites(StrEnum):
    """Where on the way a caution bites."""

    START = "start"
    LANES = "lanes"
    STOPS = "stops"
    BLOCKS = "blocks"


class Pattern(StrEnum):
    """The order in which a driver takes the lanes of one block."""

    SINGLE = "single"
    IN_ORDER = "in order"
    EVERY_SECOND = "every second, then back"
    AS_LISTED = "as listed"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Leg:
    """One stretch of the way.

    Parameters
    ----------
    points_m
        Way of the deck's centre [m], shape (n, 2), n >= 1; one point for a stop.
    start_s, duration_s
        From the beginning of the shift [s].
    solution_l, recovered_l
        What the tanks hold at the end of the leg [L].
    lane
        Number of the lane scrubbed, from 1; None on other legs.
    block, stop
        Number of the block or stop it belongs to, from 1.
    """

    kind: LegKind
    points_m: NDArray[np.float64]
    start_s: float
    duration_s: float
    solution_l: float
    recovered_l: float
    lane: int | None = None
    block: int | None = None
    stop: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lane:
    """One deck-down pass; `points_m` runs in driving order [m], shape (n, 2), n >= 2.

    Its number is printed on the plan beside it; `machine` is the machine that drives it, from 1. `second` tells
    the second pass of a double scrub.
    """

    number: int
    area: str
    kind: LaneKind
    points_m: NDArray[np.float64]
    length_m: float
    machine: int
    block: int
    second: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Lanes that a driver takes as one piece of work, in a pattern that fits in a sentence."""

    number: int
    area: str
    kind: LaneKind
    pattern: Pattern
    lanes: tuple[int, ...]
    entry_m: tuple[float, float]
    exit_m: tuple[float, float]
    start_s: float
    end_s: float
    deck_down_length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One dump-and-fill: where, when, how long, and what went out and in."""

    number: int
    drain: str
    tap: str | None
    x_m: float
    y_m: float
    arrive_s: float
    duration_s: float
    dumped_l: float
    filled_l: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineRoute:
    """The way of one machine through the night; times add up to `total_time_s`."""

    machine: int
    legs: tuple[Leg, ...]
    blocks: tuple[Block, ...]
    stops: tuple[Stop, ...]
    scrub_time_s: float
    drive_time_s: float
    stop_time_s: float
    deck_down_length_m: float
    drive_length_m: float
    water_used_l: float

    @property
    def total_time_s(self) -> float:
        """From leaving the parking place to standing there again [s]."""
        return self.scrub_time_s + self.drive_time_s + self.stop_time_s


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A piece of floor that stays unscrubbed or wet: its name, where it lies, how large, and why."""

    name: str
    area_m2: float
    x_m: float
    y_m: float
    reason: Sentence
    outline: MultiPolygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What to watch, and where on the way: before it starts, on every lane, at every stop, or at some blocks.

    Parameters
    ----------
    blocks
        Numbers of the blocks where it bites; empty where it bites elsewhere.
    """

    told: Sentence
    bites: Bites
    blocks: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteAnswer:
    """The whole answer for one floor, one kind of machine and one night.

    Notes
    -----
    `plan` is the floor as it was given: names, areas, ramps, service points, parking place.
    `free` is the floor between the walls less what stands on it; `reachable` what the deck can cover
    of it; `covered` what the planned lanes do cover. `out_of_reach_m2` of the open floor lies where the
    machine cannot come or may not scrub; `hand_strip_m2` lies along walls and racks, beside the deck.
    The `why` lines come in the order of what a person can act on. `deck_width_m` and the other machine figures
    repeat what the plan was made with. `lower_bound_s` is proved for the chosen lanes; `length_bound_ratio` is
    deck-down length over reachable area / (deck width - overlap). `night` is what the floor's planner found, for
    planning the rest of it anew.
    """

    site: str
    floor: str
    plan: FloorPlan
    machine: str
    verdict: Sentence
    why: tuple[Sentence, ...]
    cautions: tuple[Caution, ...]
    free: MultiPolygon
    reachable: MultiPolygon
    covered: MultiPolygon
    lanes: tuple[Lane, ...]
    routes: tuple[MachineRoute, ...]
    missed: tuple[LeftOut, ...]
    unreachable: tuple[LeftOut, ...]
    stays_wet: tuple[LeftOut, ...]
    deck_width_m: float
    overlap_m: float
    solution_tank_l: float
    recovery_tank_l: float
    floor_area_m2: float
    reachable_area_m2: float
    out_of_reach_m2: float
    hand_strip_m2: float
    coverage_fraction: float
    raster_coverage_fraction: float
    overlap_fraction: float
    deck_down_length_m: float
    length_bound_ratio: float
    total_time_s: float
    lower_bound_s: float
    bound_gap_fraction: float
    dump_trips: int
    dump_trips_bound: int
    planning_time_s: float
    provenance: tuple[Sourced, ...]
    night: Night | None = None
