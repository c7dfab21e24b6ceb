"""A planned shift as a row of loads: what each leg takes of time, charge and water."""

from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.shift_question import MachineTonight


class LoadKind(IntEnum):
    """What a leg does, as far as its time and charge are concerned."""

    SCRUB = 0
    DRIVE = 1
    SERVICE = 2
    CHARGE = 3
    WAIT = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """One reason why a leg may not begin at will; a leg may have several.

    Parameters
    ----------
    leg
        Its place in the row of legs.
    not_before_s
        When its area may be wet at the earliest, since the start of the shift [s].
    acts_from, contact_s
        The leg from whose beginning the solution must act, and how long [s].
    dries_from
        The leg whose floor must be dry before this one begins.
    """

    leg: int
    not_before_s: float = 0.0
    acts_from: int | None = None
    contact_s: float = 0.0
    dries_from: int | None = None

    def moved(self, place: NDArray[np.intp]) -> "Hold":
        """The same where its legs stand at other places, shape (n,)."""
        acts, dries = (None if leg is None else int(place[leg]) for leg in (self.acts_from, self.dries_from))
        return replace(self, leg=int(place[self.leg]), acts_from=acts, dries_from=dries)


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """The last leg that wets an area of set hours, and when that area must be dry, since the start of the shift [s]."""

    leg: int
    dry_by_s: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LegLoads:
    """The legs of one machine in order; every array has one entry a leg, shape (n,).

    Parameters
    ----------
    machine
        The machine with its pack and its rates.
    kind
        One of `LoadKind`.
    duration_s
        As planned from the plate, before any rate [s].
    current_a
        As planned from the plate; below zero while charging [A].
    water_l
        Laid on the floor, as planned [L].
    trip
        Number of the tankful that the leg belongs to, from 0.
    on_ramp
        Whether it lies on a ramp.
    trip_capacity_l
        What a tankful may use before a tank ends it [L].
    extra_stop_s
        What one more dump-and-fill than planned would take, the way there included [s].
    last_wet_leg
        The last leg that leaves floor wet.
    holds
        What legs must wait for, in the order of the legs.
    closings
        When areas of set hours must be dry.
    """

    machine: MachineTonight
    kind: NDArray[np.int8]
    duration_s: NDArray[np.float64]
    current_a: NDArray[np.float64]
    water_l: NDArray[np.float64]
    trip: NDArray[np.intp]
    on_ramp: NDArray[np.bool_]
    trip_capacity_l: float
    extra_stop_s: float
    last_wet_leg: int
    holds: tuple[Hold, ...] = ()
    closings: tuple[Closing, ...] = ()
