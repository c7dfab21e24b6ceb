"""The answer to "does it finish, is it dry in time, what if not?"."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon

from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.shift_question import ShiftQuestion
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence


class ShiftVerdict(StrEnum):
    """Whether to hand over the keys."""

    FITS = "it fits"
    TIGHT = "it is tight"
    DOES_NOT_FIT = "it does not fit"


class Limit(StrEnum):
    """What ends a shift too early."""

    NONE = "nothing"
    CHARGE = "charge"
    CLOCK = "clock"
    TANK = "tank"
    RAMP = "ramp"


class Doing(StrEnum):
    """What a machine does on one stretch of the night line."""

    SCRUB = "scrub"
    MOVE = "move"
    SERVICE = "dump and fill"
    CHARGE = "charge"
    WAIT = "wait"
    DRYING = "floor drying"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One segment of the night line: from and until, in seconds since the start, and where it belongs."""

    doing: Doing
    start_s: float
    end_s: float
    block: int | None = None
    stop: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """Charge, voltage and tanks along the way of one machine; one entry a leg of its route, shape (n,).

    Parameters
    ----------
    end_s
        End of each leg since the start of the shift, waits and charging included [s].
    current_a
        Drawn on it; below zero while charging [A].
    charge_fraction
        Left at its end [0 to 1].
    pack_v
        At its end, under its current [V].
    solution_l, recovered_l
        In the tanks at its end [L].
    squeegee_down
        False on the first pass of a double scrub.
    """

    end_s: NDArray[np.float64]
    current_a: NDArray[np.float64]
    charge_fraction: NDArray[np.float64]
    pack_v: NDArray[np.float64]
    solution_l: NDArray[np.float64]
    recovered_l: NDArray[np.float64]
    squeegee_down: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineShift:
    """One machine through the shift; its route is `route.routes[machine - 1]`."""

    machine: int
    course: Course
    line: tuple[Stretch, ...]
    finish_s: float
    end_charge_fraction: float
    energy_wh: float
    charged_ah: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A piece of floor that is closed to people from the first wet lane until it is dry.

    Parameters
    ----------
    name, blocks
        What people call it, and the blocks that wet it.
    close_s, open_s
        Since the start of the shift [s].
    outline
        For the map [m].
    """

    name: str
    blocks: tuple[int, ...]
    close_s: float
    open_s: float
    outline: MultiPolygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """How likely the shift fits, from many drawn shifts.

    Parameters
    ----------
    chance_fraction, error_fraction
        Share that finish, dry in time, with the reserve kept; and the standard error of that share.
    samples
        How many were drawn.
    first_limit, limits
        What fails most often, and how often each fails first.
    finish_s, dry_s, end_charge_fraction
        10 %, 50 % and 90 % points.
    """

    chance_fraction: float
    error_fraction: float
    samples: int
    first_limit: Limit
    limits: tuple[tuple[Limit, float], ...]
    finish_s: tuple[float, float, float]
    dry_s: tuple[float, float, float]
    end_charge_fraction: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change that makes the shift fit better, planned anew and not guessed.

    Parameters
    ----------
    told
        What to do.
    chance_fraction, error_fraction
        Of the changed shift.
    finish_at, dry_at
        Of the changed shift.
    pain
        What it costs in the order of ranking: 0 nothing, 1 a little (a setting), 2 time (an earlier start, a charge),
        3 quality (edges, a thinner pass), 4 floor left undone.
    floor_left_m2
        Floor that is not cleaned tonight because of it [m2].
    question
        The changed question, so that a person can take it.
    """

    told: Sentence
    chance_fraction: float
    error_fraction: float
    finish_at: datetime
    dry_at: datetime
    pain: int
    floor_left_m2: float
    question: ShiftQuestion


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftAnswer:
    """The whole answer.

    Parameters
    ----------
    question, route
        What was asked, and the way through the floor.
    verdict, why
        For the keys, and the one line that a person can say aloud.
    machines
        One each.
    sections
        Floor closed to people, in the order in which it closes.
    chance
        From many drawn shifts.
    first_limit
        What ends it first in the planned shift, or where the chance is lost.
    finish_at, dry_at
        The last machine's, and the last wet square metre's.
    dry_s
        Seconds that a wet lane takes to dry: low end, middle, high end.
    wet_crossed_m
        How far machines drive over floor that is still wet [m].
    changes
        What would make it fit, least painful first; empty where it fits.
    cautions
        What holds for the whole shift.
    provenance
        Every number with where it comes from.
    is_rest
        Whether it is what is left of a shift that has begun.
    """

    question: ShiftQuestion
    route: RouteAnswer
    verdict: ShiftVerdict
    why: Sentence
    machines: tuple[MachineShift, ...]
    sections: tuple[Section, ...]
    chance: Chance
    first_limit: Limit
    finish_at: datetime
    dry_at: datetime
    dry_s: tuple[float, float, float]
    wet_crossed_m: float
    changes: tuple[Change, ...]
    cautions: tuple[Sentence, ...]
    provenance: tuple[Sourced, ...]
    is_rest: bool = False
