"""Both tanks along the way: how much a trip may use, what they hold after each leg, what a stop takes."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence

# Litres that rounding may lose along a night of legs.
ROUNDING_L = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class TankPair:
    """The two tanks as numbers.

    Parameters
    ----------
    solution_l, recovery_l
        What they hold at the full mark [L, > 0].
    usable_solution_l, usable_recovery_l
        What a full solution tank gives, and what an empty recovery tank takes [L, > 0, at most the full mark].
    recovered_fraction
        Share of the solution laid down that comes back [0 to 1].
    """

    solution_l: float
    recovery_l: float
    usable_solution_l: float
    usable_recovery_l: float
    recovered_fraction: float

    def __post_init__(self) -> None:
        for tank, full_l, usable_l in (
            (Sentence("solution tank"), self.solution_l, self.usable_solution_l),
            (Sentence("recovery tank"), self.recovery_l, self.usable_recovery_l),
        ):
            if not (0 < full_l < math.inf and 0 < usable_l <= full_l):
                raise BadInput(
                    "The {tank} holds {full_l}, of which {usable_l} can be used; "
                    "enter litres above zero, the usable ones at most the full ones.",
                    tank=tank,
                    full_l=float(full_l),
                    usable_l=float(usable_l),
                )
        if not 0 <= self.recovered_fraction <= 1:
            raise BadInput(
                "The share of solution that comes back is {given}; enter from 0 to 1, such as 0.9.",
                given=str(self.recovered_fraction),
            )

    @property
    def trip_l(self) -> float:
        """Solution that one trip may use before a tank ends it [L]: the solution runs out or the recovery fills."""
        if self.recovered_fraction == 0:
            return self.usable_solution_l
        return min(self.usable_solution_l, self.usable_recovery_l / self.recovered_fraction)

    @property
    def recovery_ends_it(self) -> bool:
        """Whether the recovery tank is full before the solution tank is empty."""
        return self.trip_l < self.usable_solution_l


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TankRun:
    """What the tanks hold and move, leg by leg; every array has one entry a leg [L], shape (n,).

    Parameters
    ----------
    used_l
        Solution laid on the floor on the leg.
    solution_l, recovered_l
        What the tanks hold at the end of the leg.
    filled_l, dumped_l
        What is filled in and emptied out on the leg; zero except at stops.
    left_on_floor_l
        Solution that the squeegee did not bring back.
    """

    used_l: NDArray[np.float64]
    solution_l: NDArray[np.float64]
    recovered_l: NDArray[np.float64]
    filled_l: NDArray[np.float64]
    dumped_l: NDArray[np.float64]
    left_on_floor_l: NDArray[np.float64]


def used_l(flow_l_per_min: float, deck_down_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """Solution that each leg lays on the floor [L].

    Parameters
    ----------
    flow_l_per_min
        Solution leaving the tank while the deck is down [L/min, >= 0].
    deck_down_s
        Seconds with the deck down and the solution on, for each leg [s], shape (n,).

    Notes
    -----
    Litres go by time, not by area: where lanes overlap or the machine slows down, more is laid.

    **Source** identity.
    """
    return flow_l_per_min / 60.0 * np.asarray(deck_down_s, dtype=np.float64)


def tank_run(
    tanks: TankPair,
    used_l: NDArray[np.float64],
    *,
    fills: NDArray[np.bool_],
    dumps: NDArray[np.bool_],
    fill_to_l: NDArray[np.float64] | None = None,
    start_solution_l: float | None = None,
    comes_back_l: NDArray[np.float64] | None = None,
) -> TankRun:
    """What the tanks hold after every leg of a way that starts with the recovery tank empty.

    Parameters
    ----------
    tanks
        The tanks.
    used_l
        Solution laid on each leg [L, >= 0], shape (n,); zero on drives and stops.
    fills, dumps
        Legs at whose end the solution tank has been filled, or the recovery tank emptied, shape (n,).
    fill_to_l
        What the solution tank holds after each fill [L], shape (n,), read only at fills; None fills to the mark.
    start_solution_l
        What the solution tank holds at the start [L]; None is the full mark.
    comes_back_l
        What the squeegee takes up on each leg [L, >= 0], shape (n,); None: the usual share of what the leg lays. The
        second pass of a double scrub takes up what the first laid.

    Raises
    ------
    BadInput
        Shapes differ, a leg uses less than nothing, or a fill takes water out or passes the full mark.

    Notes
    -----
    Levels follow the litres, also past a tank's limits: see `first_dry_leg` and
    `first_overfull_leg`.

    **Source** balance of litres, ours; checked leg by leg in tests/properties/test_water_balance.py.
    """
    used_l = np.asarray(used_l, dtype=np.float64)
    if not used_l.ndim == 1 or not used_l.shape == np.shape(fills) == np.shape(dumps):
        raise BadInput("Litres, fills and dumps have different lengths; give one of each for every leg.")
    if not bool(np.all(used_l >= 0)):
        raise BadInput("A leg uses less than no solution; give zero or more litres for every leg.")
    start_l = tanks.solution_l if start_solution_l is None else start_solution_l
    level_l = np.full(used_l.shape, tanks.solution_l) if fill_to_l is None else np.asarray(fill_to_l, dtype=np.float64)
    laid_l = np.concatenate(([0.0], np.cumsum(used_l)))
    back_l = tanks.recovered_fraction * used_l if comes_back_l is None else np.asarray(comes_back_l, dtype=np.float64)
    if back_l.shape != used_l.shape or not bool(np.all(back_l >= 0)):
        raise BadInput("What comes back must be given for every leg, zero or more litres.")
    taken_up_l = np.concatenate(([0.0], np.cumsum(back_l)))
    # Entry 0 of each array stands for the start, which is a fill and a dump of its own.
    last_fill = _last_before(fills)
    last_dump = _last_before(dumps)
    after_fill_l = np.concatenate(([start_l], level_l))
    before_l = after_fill_l[last_fill[:-1]] - (laid_l[1:] - laid_l[last_fill[:-1]])
    solution_l = after_fill_l[last_fill[1:]] - (laid_l[1:] - laid_l[last_fill[1:]])
    full_before_l = taken_up_l[1:] - taken_up_l[last_dump[:-1]]
    recovered_l = taken_up_l[1:] - taken_up_l[last_dump[1:]]
    filled_l = solution_l - before_l
    if not bool(np.all((filled_l >= -ROUNDING_L) & (solution_l <= tanks.solution_l + ROUNDING_L))):
        raise BadInput(
            "A fill takes water out of the tank or passes its full mark of {solution_l}; "
            "fill to a level between what is left and the mark.",
            solution_l=tanks.solution_l,
        )
    return TankRun(
        used_l=used_l,
        solution_l=solution_l,
        recovered_l=recovered_l,
        filled_l=np.where(fills, np.maximum(filled_l, 0.0), 0.0),
        dumped_l=np.where(dumps, full_before_l, 0.0),
        left_on_floor_l=used_l - back_l,
    )


def first_dry_leg(tanks: TankPair, run: TankRun) -> int | None:
    """The first leg on which the deck runs dry, from 0; None where the solution lasts."""
    return _first(run.solution_l < tanks.solution_l - tanks.usable_solution_l - ROUNDING_L)


def first_overfull_leg(tanks: TankPair, run: TankRun) -> int | None:
    """The first leg on which the float shuts the suction, from 0; None where the recovery tank lasts."""
    return _first(run.recovered_l > tanks.usable_recovery_l + ROUNDING_L)


def stop_s(*, empty_min: float, fill_l: float, fill_l_per_min: float) -> float:
    """How long a dump-and-fill stop takes [s]: empty, then fill.

    Parameters
    ----------
    empty_min
        To empty and rinse the recovery tank [min, >= 0]; 0 for a stop that only fills.
    fill_l
        What is filled in [L, >= 0]; 0 for a stop that only empties.
    fill_l_per_min
        Flow of the fill hose [L/min, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    One after the other, as one person does it with one eye on the drain hose. Both together usually
    take 6 to 15 minutes (common practice).

    **Source** ours, see docs/explanation/water-and-tanks.md.
    """
    if not (0 <= empty_min < math.inf and 0 <= fill_l < math.inf and 0 < fill_l_per_min < math.inf):
        raise BadInput(
            "A stop of {empty} min and {fill} L at {hose} L/min cannot be timed; "
            "enter zero or more minutes and litres, and a hose flow above zero.",
            empty=str(empty_min),
            fill=str(fill_l),
            hose=str(fill_l_per_min),
        )
    return 60.0 * (empty_min + fill_l / fill_l_per_min)


def _last_before(marks: NDArray[np.bool_]) -> NDArray[np.int64]:
    """For the start and after each leg, the number of the last marked leg from 1; 0 is the start."""
    numbers = np.where(np.concatenate(([True], marks)), np.arange(len(marks) + 1), 0)
    return np.maximum.accumulate(numbers).astype(np.int64)


def _first(marks: NDArray[np.bool_]) -> int | None:
    found = np.flatnonzero(marks)
    return int(found[0]) if len(found) else None
