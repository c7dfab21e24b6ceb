"""A planned shift as a row of loads: what each leg takes of time, charge and water."""

from dataclasses import dataclass
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
