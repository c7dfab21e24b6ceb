"""Which readings of an hour meter fit together, and the hours run since the first: never fewer than before."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from scrubwright.wear.meters import RULINGS, FloatArray, MeterBatch, Ruling

# What each way of reading a step costs, as twice a log likelihood (ours, set once and not tuned).
SET_ASIDE_COST = 6.0
NEW_METER_COST = 9.0
USED_METER_COST = 3.0
ROLL_OVER_COST = 4.0
# A meter just fitted seldom shows more.
USED_METER_H = 400.0
# A reading can be joined with one of the last so many; a longer row of slips begins with a new meter.
LOOK_BACK = 8
MOST_H_PER_DAY = 24.0
# People note the time of day roughly, or not at all.
CLOCK_SLACK_DAYS = 0.25
# Where no two readings say how much the machine works (common practice), and where it hardly does.
USUAL_H_PER_DAY = 2.0
LEAST_H_PER_DAY = 0.1
# A person's word outweighs every slip.
_RULED_COST = 1e6
# So many meters at a time stay in the processor's fast memory.
_METERS_AT_ONCE = 2048
_NORMAL, _ROLL_OVER, _NEW_METER = range(3)


class Standing(StrEnum):
    """What became of a reading; none is thrown away."""

    NONE = "none"
    ACCEPTED = "accepted"
    ROLLED_OVER = "after a roll-over"
    NEW_METER = "first of a new meter"
    DOES_NOT_FIT = "does not fit"
    IN_THE_FUTURE = "in the future"
    TOO_MANY_DIGITS = "too many digits"
    MISTYPED = "mistyped"


# A batch keeps standings as whole numbers along the enumeration; 0 fills the ends of rows.
STANDINGS = tuple(Standing)
_CODE = {standing: np.int8(number) for number, standing in enumerate(STANDINGS)}
# By kind of link.
_LINKED = np.array([_CODE[Standing.ACCEPTED], _CODE[Standing.ROLLED_OVER], _CODE[Standing.NEW_METER]])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CleanBatch:
    """What is believed of many meters.

    Parameters
    ----------
    standing
        What became of each reading, by number along `STANDINGS`, shape (meters, readings).
    run_h
        Hours run since the first accepted reading, as known at each reading [h], shape (meters, readings). Readings
        that do not count carry on what was known before.
    pace_h_per_day
        The usual pace: median between neighbouring readings [h/day], shape (meters,).
    last
        Place of the last accepted reading, shape (meters,); -1 where there is none.
    asks
        Whether newer readings do not fit, so that a person must say: mistyped, or a new meter? Shape (meters,).
    """

    standing: NDArray[np.int8]
    run_h: FloatArray
    pace_h_per_day: FloatArray
    last: NDArray[np.int64]
    asks: NDArray[np.bool_]

    @property
    def is_accepted(self) -> NDArray[np.bool_]:
        """Readings that count, shape (meters, readings)."""
        return np.asarray(np.isin(self.standing, _LINKED))

    @property
    def is_new_meter(self) -> NDArray[np.bool_]:
        """Readings that begin a new meter, shape (meters, readings)."""
        return np.asarray(self.standing == _CODE[Standing.NEW_METER])


def cleaned(batch: MeterBatch, *, now_days: float) -> CleanBatch:
    """Choose the chain of readings that fit together best, for many meters at once.

    Each reading is joined to an earlier one by an ordinary step, a roll-over or a new meter, or is set aside; what a
    step costs grows with its distance from the usual pace. The chain of least cost wins (Viterbi). A last reading that
    does not fit is set aside and asked about: one more reading settles whether it was a slip or a new meter.

    Parameters
    ----------
    batch
        The meters and what people say of their readings.
    now_days
        Later readings lie in the future and do not count [days].

    Returns
    -------
    CleanBatch
        Each reading's standing, and hours that never fall.

    Notes
    -----
    Fewer than about six readings hold little to compare with; then more is asked. The hours between the last reading
    of an old meter and the first of a new one are taken at the usual pace.

    **Source** the costs and the pace's spread are ours, see docs/explanation/meters-and-forecasts.md (how often it is
    right stands in benchmarks/quality/meters.csv; steps in tests/worked/test_meter_cleaning.py).
    """
    shape = batch.at_days.shape
    standing, run_h = np.zeros(shape, dtype=np.int8), np.zeros(shape)
    pace_h_per_day = np.zeros(shape[0])
    for begin in range(0, shape[0], _METERS_AT_ONCE):
        rows = slice(begin, begin + _METERS_AT_ONCE)
        outside = _standing_outside(batch, rows, now_days)
        # The chain sees only readings that can count, moved up; the rest goes back to its place afterwards.
        order = np.argsort(outside > 0, axis=1, kind="stable")
        chain = _Chain.of(batch, rows, order, np.count_nonzero(outside == 0, axis=1))
        kind = chain.kinds()
        found = np.where(kind >= 0, _LINKED[kind], _CODE[Standing.DOES_NOT_FIT])
        taken = np.take_along_axis(outside, order, axis=1)
        np.put_along_axis(standing[rows], order, np.where(taken > 0, taken, found.T), axis=1)
        run_h[rows] = _run_h(batch, rows, standing[rows], chain.pace)
        pace_h_per_day[rows] = chain.pace
    standing[~batch.is_there] = 0
    accepted = np.isin(standing, _LINKED)
    places = np.arange(shape[1])
    last = np.max(np.where(accepted, places, -1), axis=1, initial=-1)
    asks = np.any((standing == _CODE[Standing.DOES_NOT_FIT]) & (places > last[:, None]), axis=1)
    return CleanBatch(
        standing=standing, run_h=run_h, pace_h_per_day=pace_h_per_day, last=last.astype(np.int64), asks=asks
    )


def _standing_outside(batch: MeterBatch, rows: slice, now_days: float) -> NDArray[np.int8]:
    """Standings of the readings that no chain may hold; 0 for all others."""
    outside = np.zeros(batch.at_days[rows].shape, dtype=np.int8)
    outside[batch.value_h[rows] >= batch.rolls_at_h[rows, None]] = _CODE[Standing.TOO_MANY_DIGITS]
    outside[batch.rulings[rows] == RULINGS.index(Ruling.MISTYPED)] = _CODE[Standing.MISTYPED]
    outside[batch.at_days[rows] > now_days] = _CODE[Standing.IN_THE_FUTURE]
    # Any mark but 0 will do for the empty ends, which are cleared in the end.
    outside[~batch.is_there[rows]] = _CODE[Standing.ACCEPTED]
    return outside


@dataclass(slots=True)
class _Chain:
    """Readings that can count, one column a meter, with what the chain needs beside them."""

    at: FloatArray
    value: FloatArray
    must: NDArray[np.bool_]
    is_new: NDArray[np.bool_]
    count: NDArray[np.int64]
    rolls_at: FloatArray
    step: FloatArray
    pace: FloatArray

    @classmethod
    def of(cls, batch: MeterBatch, rows: slice, order: NDArray[np.int64], count: NDArray[np.int64]) -> "_Chain":
        at, value, ruling = (
            np.ascontiguousarray(np.take_along_axis(each[rows], order, axis=1).T)
            for each in (batch.at_days, batch.value_h, batch.rulings)
        )
        return cls(
            at=at,
            value=value,
            must=(ruling == RULINGS.index(Ruling.RIGHT)) | (ruling == RULINGS.index(Ruling.NEW_METER)),
            is_new=ruling == RULINGS.index(Ruling.NEW_METER),
            count=count,
            rolls_at=batch.rolls_at_h[rows],
            step=batch.step_h[rows],
            pace=_pace(at, value, count),
        )

    def kinds(self) -> NDArray[np.int64]:
        """Kind of the link to each reading of the best chain; -1 for readings set aside, shape (readings, meters)."""
        readings, meters = self.at.shape
        best = np.full((readings, meters), np.inf)
        came = np.full((readings, meters), -1, dtype=np.int64)
        kind = np.zeros((readings, meters), dtype=np.int64)
        # Cost of setting all readings before each aside.
        aside = np.where(self.must, _RULED_COST, SET_ASIDE_COST)
        aside_before = np.concatenate((np.zeros((1, meters)), np.cumsum(aside, axis=0)))
        start_kind = np.full((1, meters), _NORMAL)
        columns = np.arange(meters)
        for place in range(readings):
            earlier = slice(max(0, place - LOOK_BACK), place)
            links, kinds = self._links(place, earlier)
            between = aside_before[place] - aside_before[earlier.start + 1 : place + 1]
            # The chain begins here, or comes from one of the earlier readings.
            total = np.concatenate((aside_before[place][None], best[earlier] + between + links))
            chosen = np.argmin(total, axis=0)
            best[place] = total[chosen, columns]
            came[place] = np.where(chosen > 0, earlier.start + chosen - 1, -1)
            kind[place] = np.concatenate((start_kind, kinds))[chosen, columns]
        return self._traced(best, came, kind, aside_before)

    def _links(self, place: int, earlier: slice) -> tuple[FloatArray, NDArray[np.int64]]:
        """Cost and kind of the best link from each of the earlier readings, shape (earlier, meters)."""
        # At the empty ends of columns time would run back.
        passed = np.maximum(self.at[place] - self.at[earlier], 0.0) + CLOCK_SLACK_DAYS
        more = self.value[place] - self.value[earlier]
        most = MOST_H_PER_DAY * passed + self.step
        variance = (0.3 * 0.81 * passed + 4.0) * self.pace**2 * passed + self.step**2
        rolled = more + self.rolls_at
        is_roll = (more < -self.step) & (rolled <= most)
        step = np.where(is_roll, rolled, more)
        off = step - self.pace * passed
        ordinary = 2.0 * np.log1p(off * off / (3.0 * variance)) + ROLL_OVER_COST * is_roll
        ordinary = np.where((step < -self.step) | (step > most) | self.is_new[place], np.inf, ordinary)
        new = NEW_METER_COST + USED_METER_COST * (self.value[place] > USED_METER_H)
        new = np.where(self.is_new[place], 0.0, new)
        kinds = np.where(ordinary <= new, np.where(is_roll, _ROLL_OVER, _NORMAL), _NEW_METER)
        return np.minimum(ordinary, new), kinds

    def _traced(
        self, best: FloatArray, came: NDArray[np.int64], kind: NDArray[np.int64], aside_before: FloatArray
    ) -> NDArray[np.int64]:
        """Follow the best chain of each meter back from its end."""
        readings, meters = self.at.shape
        columns = np.arange(meters)
        places = np.arange(readings)[:, None]
        ends = best + aside_before[self.count, columns] - aside_before[1:]
        ends[places >= self.count] = np.inf
        found = np.full((readings, meters), -1, dtype=np.int64)
        at = np.argmin(ends, axis=0) if readings else np.full(meters, -1)
        at = np.where(self.count > 0, at, -1)
        for place in range(readings - 1, -1, -1):
            is_on = at == place
            found[place, is_on] = kind[place, is_on]
            at = np.where(is_on, came[place], at)
        return found


def _pace(at: FloatArray, value: FloatArray, count: NDArray[np.int64]) -> FloatArray:
    """Median pace between neighbouring readings that can be [h/day], shape (meters,)."""
    if len(at) < 2:
        return np.full(len(count), USUAL_H_PER_DAY)
    passed, more = np.diff(at, axis=0), np.diff(value, axis=0)
    can_be = (more >= 0) & (more <= MOST_H_PER_DAY * passed) & (passed >= CLOCK_SLACK_DAYS)
    can_be &= np.arange(1, len(at))[:, None] < count
    paces = np.sort(np.where(can_be, more / np.maximum(passed, CLOCK_SLACK_DAYS), np.inf), axis=0)
    known = np.count_nonzero(can_be, axis=0)
    columns = np.arange(len(count))
    middle = (paces[np.maximum(known - 1, 0) // 2, columns] + paces[known // 2 % len(paces), columns]) / 2
    return np.where(known > 0, np.maximum(middle, LEAST_H_PER_DAY), USUAL_H_PER_DAY)


def _run_h(batch: MeterBatch, rows: slice, standing: NDArray[np.int8], pace: FloatArray) -> FloatArray:
    """Hours run since the first accepted reading, column by column [h], shape (meters, readings)."""
    at_days, value_h = batch.at_days[rows], batch.value_h[rows]
    accepted = np.isin(standing, _LINKED)
    run_h = np.zeros(at_days.shape)
    total, most = np.zeros(len(pace)), np.zeros(len(pace))
    last_at, last_value, is_begun = np.zeros(len(pace)), np.zeros(len(pace)), np.zeros(len(pace), dtype=bool)
    for place in range(at_days.shape[1]):
        at, value, code = at_days[:, place], value_h[:, place], standing[:, place]
        more = value - last_value + batch.rolls_at_h[rows] * (code == _CODE[Standing.ROLLED_OVER])
        passed = np.maximum(at - last_at, 0.0)
        # What a meter fitted at zero shows was certainly run, where it can be.
        shown = np.where((value <= USED_METER_H) & (value <= MOST_H_PER_DAY * passed), value, 0.0)
        more = np.where(code == _CODE[Standing.NEW_METER], np.maximum(pace * passed, shown), more)
        counts = accepted[:, place]
        total = np.where(counts & is_begun, total + more, total)
        # A step back within the meter's rounding is none.
        most = np.maximum(most, total)
        run_h[:, place] = most
        last_at, last_value = np.where(counts, at, last_at), np.where(counts, value, last_value)
        is_begun |= counts
    return run_h
