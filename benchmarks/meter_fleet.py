"""Simulated machines whose true hours are known, with the meter readings that people would have written down of them.

A machine works every day, six, five or three days a week; one in four stands through the holidays of a school.
Its pace drifts, jumps at times, stands still at times, and for some falls in summer. Its meter rolls over, is
replaced, and is mistyped.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrubwright.wear.meters import MeterBatch

KNOWN_DAYS, AFTER_DAYS = 420, 700
TYPO_FRACTION, NEW_METER_FRACTION, ROLLS_FRACTION = 0.03, 0.006, 0.2
HOLIDAYS_FRACTION = 0.25
MEAN_GAPS_DAYS = (3.0, 5.0, 7.0, 14.0, 30.0, 45.0)
WEEKS = ((1,) * 7, (1, 1, 1, 1, 1, 1, 0), (1, 1, 1, 1, 1, 0, 0), (1, 0, 1, 0, 1, 0, 0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fleet:
    """Machines, their readings and the truth.

    Parameters
    ----------
    batch
        As written down.
    is_typo, is_new_meter
        Which readings are mistyped or the first of a new meter, shape (meters, readings).
    off_h
        What is written down less what stood there [h], shape (meters, readings).
    run_h
        True hours run since day 0 at each midnight [h], shape (meters, days + 1).
    is_open
        The days on which each works as planned, shape (meters, days).
    """

    batch: MeterBatch
    is_typo: NDArray[np.bool_]
    is_new_meter: NDArray[np.bool_]
    off_h: NDArray[np.float64]
    run_h: NDArray[np.float64]
    is_open: NDArray[np.bool_]

    def run_at_h(self, meter: int, at_days: NDArray[np.float64] | float) -> NDArray[np.float64]:
        """True hours run at a time [h]."""
        return np.asarray(np.interp(at_days, np.arange(self.run_h.shape[1]), self.run_h[meter]))

    def came_days(self, meter: int, run_h: float) -> float:
        """When so many hours were run; infinite where they never were [days]."""
        after = int(np.searchsorted(self.run_h[meter], run_h))
        if after >= self.run_h.shape[1]:
            return float("inf")
        before, reached = self.run_h[meter, after - 1], self.run_h[meter, after]
        return after - 1 + float((run_h - before) / (reached - before))


def simulated_fleet(rng: np.random.Generator, meters: int, *, is_dirty: bool = True) -> Fleet:
    """So many machines; clean ones are read without slips and keep their meters."""
    paced = [_paced(rng) for _ in range(meters)]
    run_h = np.array([np.concatenate(([0.0], np.cumsum(hours))) for hours, _ in paced])
    gaps = rng.choice(MEAN_GAPS_DAYS, meters)
    times = [_times(rng, float(gap)) for gap in gaps]
    longest = max(len(each) for each in times)
    at_days, value_h = np.zeros((meters, longest)), np.zeros((meters, longest))
    is_typo, is_new = np.zeros((meters, longest), dtype=bool), np.zeros((meters, longest), dtype=bool)
    off_h = np.zeros((meters, longest))
    rolls_at_h, step_h = np.full(meters, 1e5), rng.choice([0.1, 1.0], meters)
    for meter, at in enumerate(times):
        begun_h = rng.uniform(0, 6000)
        if rng.random() < ROLLS_FRACTION:
            rolls_at_h[meter], begun_h = 1e4, 1e4 - rng.uniform(0, max(run_h[meter, KNOWN_DAYS], 1.0))
        run = np.interp(at, np.arange(run_h.shape[1]), run_h[meter])
        new = (rng.random(len(at)) < NEW_METER_FRACTION) & (np.arange(len(at)) > 0) & is_dirty
        shown = _shown(rng, run, new, begun_h, float(rolls_at_h[meter]), float(step_h[meter]))
        typo = (rng.random(len(at)) < TYPO_FRACTION) & is_dirty
        for place in np.flatnonzero(typo):
            written = mistyped(rng, float(shown[place]), float(step_h[meter]))
            off_h[meter, place], shown[place] = written - shown[place], written
        row = slice(0, len(at))
        at_days[meter, row], value_h[meter, row] = at, shown
        is_typo[meter, row], is_new[meter, row] = typo, new
    batch = MeterBatch(
        at_days=at_days,
        value_h=value_h,
        rulings=np.zeros(at_days.shape, dtype=np.int8),
        lengths=np.array([len(each) for each in times]),
        rolls_at_h=rolls_at_h,
        step_h=step_h,
    )
    return Fleet(
        batch=batch,
        is_typo=is_typo,
        is_new_meter=is_new,
        off_h=off_h,
        run_h=run_h,
        is_open=np.array([is_open for _, is_open in paced]),
    )


def _paced(rng: np.random.Generator) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Hours of each day, and which days the machine works as planned."""
    days = KNOWN_DAYS + AFTER_DAYS
    week = np.array(WEEKS[rng.choice(4, p=[0.2, 0.25, 0.4, 0.15])], dtype=bool)
    is_open = week[(int(rng.integers(7)) + np.arange(days)) % 7]
    if rng.random() < HOLIDAYS_FRACTION:
        of_year = (np.arange(days) - int(rng.integers(365))) % 365
        is_open &= (of_year >= 35) & (np.abs(of_year - 180) > 7) & (np.abs(of_year - 270) > 7)
    drift = np.cumsum(rng.normal(0, 0.012, days))
    jumps = np.cumsum(np.where(rng.random(days) < 1 / 250, rng.normal(0, 0.4, days), 0.0))
    pace = np.exp(np.clip(rng.normal(np.log(3.0), 0.5) + drift + jumps, -2.0, np.log(16.0)))
    hours = np.minimum(pace * np.exp(rng.normal(0, 0.35, days)), 20.0) * is_open
    for begin in np.flatnonzero(rng.random(days) < 1 / 200):
        hours[begin : begin + int(rng.integers(3, 22))] = 0.0
    if rng.random() < 0.3:
        summer = (np.arange(days) - int(rng.integers(365))) % 365 < 45
        hours[summer] *= 0.3
    return hours, is_open


def _times(rng: np.random.Generator, gap_days: float) -> NDArray[np.float64]:
    """When a machine is read, the last time within a gap of today."""
    at = np.cumsum(rng.gamma(2.0, gap_days / 2.0, int(3 * KNOWN_DAYS / gap_days) + 10))
    # In the afternoon of whole days, once a day at most.
    days = np.unique(np.floor(at[at < KNOWN_DAYS]))
    return np.concatenate(([0.75], days[days > 0] + 0.75))


def _shown(
    rng: np.random.Generator,
    run: NDArray[np.float64],
    new: NDArray[np.bool_],
    begun_h: float,
    rolls_at_h: float,
    step_h: float,
) -> NDArray[np.float64]:
    offset = np.full(len(run), begun_h)
    for place in np.flatnonzero(new):
        # Fitted at some time since the last reading, four in five of them at zero.
        fitted_at = rng.uniform(run[place - 1], run[place])
        first_h = 0.0 if rng.random() < 0.8 else rng.uniform(0, 2000)
        offset[place:] = first_h - fitted_at
    return np.asarray(np.floor(((run + offset) % rolls_at_h) / step_h) * step_h)


def mistyped(rng: np.random.Generator, value_h: float, step_h: float) -> float:
    """A reading with two digits exchanged, one left out, doubled or wrong, or its point lost."""
    digits = list(f"{value_h:.1f}" if step_h < 1 else f"{value_h:.0f}")
    places = [place for place, sign in enumerate(digits) if sign != "."]
    place = int(rng.choice(places))
    kind = rng.integers(5)
    if kind == 0 and place + 1 in places:
        digits[place], digits[place + 1] = digits[place + 1], digits[place]
    elif kind == 1 and len(places) > 1:
        del digits[place]
    elif kind == 2:
        digits.insert(place, digits[place])
    elif kind == 3 and "." in digits:
        digits.remove(".")
    else:
        digits[place] = str((int(digits[place]) + int(rng.integers(1, 10))) % 10)
    return float("".join(digits).strip(".") or "0")
