"""How long a machine stands in each drawn shift: until an area opens, solution has acted, or floor is dry."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.shift_loads import Hold, LegLoads, LoadKind

ROWS = ("kind", "duration_s", "current_a", "water_l", "trip", "on_ramp")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waits:
    """Waits before some steps of many drawn shifts.

    Parameters
    ----------
    steps
        Before which steps, in order, shape (h,).
    wait_s
        How long in each shift [s], shape (h, n).
    """

    steps: NDArray[np.intp]
    wait_s: NDArray[np.float64]

    def end_s(self, step: int, duration_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """When a step ends, with all waits up to it [s], shape (n,); -1 stands for the beginning.

        Parameters
        ----------
        step, duration_s
            Which step, and how long each lasts [s], shape (m, n).
        """
        waited = self.wait_s[: np.searchsorted(self.steps, step, side="right")]
        return np.asarray(duration_s[: step + 1].sum(axis=0) + waited.sum(axis=0))


def waits_of(duration_s: NDArray[np.float64], holds: Sequence[Hold], drying_s: NDArray[np.float64] | float) -> Waits:
    """The waits that holds ask for in each drawn shift; nobody waits for what is over already.

    Parameters
    ----------
    duration_s
        How long each step lasts [s], shape (m, n).
    holds
        What steps wait for; `leg` and the others are places of steps.
    drying_s
        How long the floor takes to dry in each shift [s], shape (n,).

    Notes
    -----
    A step begins at the latest of: the end of the one before, and all moments that its holds ask for. **Source** ours,
    docs/explanation/chance-of-finishing.md; checked shift by shift in tests/worked/test_shift_hours_by_plain_draws.py.
    """
    held: dict[int, list[Hold]] = {}
    for hold in sorted(holds, key=lambda each: each.leg):
        held.setdefault(hold.leg, []).append(hold)
    steps = list(held)
    waited_s = np.zeros((1 + len(steps), duration_s.shape[1]))
    if steps:
        end_s = np.cumsum(duration_s, axis=0)

        def ended_s(step: int) -> NDArray[np.float64]:
            return np.asarray(end_s[step] + waited_s[bisect_right(steps, step)])

        def begun_s(step: int) -> NDArray[np.float64]:
            return np.asarray(ended_s(step) - duration_s[step])

    for number, (step, reasons) in enumerate(held.items()):
        # Up to here no wait of this step is in the sum.
        waited_s[number + 1] = waited_s[number]
        now_s = begun_s(step)
        free_s = now_s
        for hold in reasons:
            free_s = np.maximum(free_s, hold.not_before_s)
            if hold.acts_from is not None:
                free_s = np.maximum(free_s, begun_s(hold.acts_from) + hold.contact_s)
            if hold.dries_from is not None:
                free_s = np.maximum(free_s, ended_s(hold.dries_from) + drying_s)
        waited_s[number + 1] += free_s - now_s
    return Waits(steps=np.array(steps, dtype=np.intp), wait_s=np.diff(waited_s, axis=0))


def without_waits(loads: LegLoads) -> LegLoads:
    """The loads without the waits that were planned for their holds, which each drawn shift has anew."""
    before = np.array([hold.leg - 1 for hold in loads.holds if hold.leg], dtype=np.intp)
    kept = np.ones(len(loads.kind), dtype=bool)
    kept[before[loads.kind[before] == LoadKind.WAIT]] = False
    place = np.cumsum(kept) - 1
    return replace(
        loads,
        **{name: getattr(loads, name)[kept] for name in ROWS},
        last_wet_leg=int(place[loads.last_wet_leg]) if loads.last_wet_leg >= 0 else -1,
        holds=tuple(hold.moved(place) for hold in loads.holds),
        closings=tuple(replace(each, leg=int(place[each.leg])) for each in loads.closings),
    )
