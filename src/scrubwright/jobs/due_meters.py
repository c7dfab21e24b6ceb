"""The meters of many machines side by side: which readings count, the pace, and hours at any day."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from scrubwright.jobs.due_lines import DueLine
from scrubwright.jobs.due_question import DueQuestion
from scrubwright.measures.errors import BadInput
from scrubwright.wear.cleaning import CleanBatch, cleaned
from scrubwright.wear.meters import DAY, Counts, FloatArray, MeterBatch, MeterDefinition, MeterReading, meter_batch
from scrubwright.wear.open_days import EVERY_WEEKDAY, OpenDays, open_days
from scrubwright.wear.ratio import USUAL_RATIOS, MachineRatio, fleet_ratio, machine_ratio, shared_hours
from scrubwright.wear.usage import ALL_DAYS_PRIOR, HORIZON_DAYS, OPEN_DAYS_PRIOR, Usage, usage_now

# A meter with fewer readings, or read so much longer ago than the key meter, goes through its ratio to it (ours).
LEAST_READINGS = 3
BEHIND_KEY_DAYS = 21.0
KINDS = tuple(Counts)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeterFleet:
    """All meters of some machines, one row for each machine and kind, also where a machine has none of that kind.

    Parameters
    ----------
    start
        Day 0.
    batch, clean
        The readings and what is believed of them; see `row`.
    accepted
        Which readings count, shape (meters, readings).
    is_read, goes_by_key
        Whether a meter has a reading that counts, and whether its hours are told through the key meter, shape
        (meters,).
    usage
        What is known of each meter's pace.
    clock
        The site's open days; None where it works every day.
    first_days, last_days
        When each meter was first and last read [days], shape (meters,); infinite, and 0, where never.
    ratios
        Hours of each meter for each key hour; 1 for the key meter itself.
    """

    start: datetime
    batch: MeterBatch
    clean: CleanBatch
    accepted: NDArray[np.bool_]
    is_read: NDArray[np.bool_]
    goes_by_key: NDArray[np.bool_]
    usage: Usage
    clock: OpenDays | None
    first_days: FloatArray
    last_days: FloatArray
    ratios: MachineRatio

    def row(self, machine: int, counts: Counts) -> int:
        """Row of a machine's meter."""
        return machine * len(KINDS) + KINDS.index(counts)

    def run_h(self, row: int, at_days: float) -> float:
        """Hours that a meter had run at a time, beside its first reading [h].

        Parameters
        ----------
        row
            Which meter.
        at_days
            The time [days].

        Notes
        -----
        A meter that goes by the key meter runs on before its first and after its last reading as the key meter does.

        **Source** straight line between readings that count; beyond them the ratio to the key meter.
        """
        own_h = self._own_h(row, at_days)
        if not self.goes_by_key[row]:
            return own_h
        key, ratio = key_row(row), float(self.ratios.mean_ratio[row])
        if not self.is_read[row]:
            return ratio * self._own_h(key, at_days)
        inside_days = min(max(at_days, float(self.first_days[row])), float(self.last_days[row]))
        return own_h + ratio * (self._own_h(key, at_days) - self._own_h(key, inside_days))

    def _own_h(self, row: int, at_days: float) -> float:
        counts = self.accepted[row]
        if not self.is_read[row]:
            return 0.0
        return float(np.interp(at_days, self.batch.at_days[row][counts], self.clean.run_h[row][counts]))

    def days(self, at: datetime) -> float:
        """A time, from day 0 on [days].

        **Source** identity.
        """
        return (at - self.start) / DAY


def key_row(row: int) -> int:
    """Row of the key meter of the same machine."""
    return row - row % len(KINDS) + KINDS.index(Counts.KEY)


def meter_fleet(questions: Sequence[DueQuestion], lines: Sequence[Sequence[DueLine]]) -> MeterFleet:
    """The meters of all machines asked about, cleaned in one go.

    Parameters
    ----------
    questions
        Asked at one time, of sites with the same open days.
    lines
        The lines of each machine; hours written down with a change are readings too.

    Raises
    ------
    BadInput
        Times with and without a time zone are mixed.
    """
    at = questions[0].at
    meters = [
        meter
        for question, mine in zip(questions, lines, strict=True)
        for meter in _meters_of(question, {line.identity: line for line in mine})
    ]
    times = [reading.at for _, readings in meters for reading in readings]
    try:
        start = min([at, *times]).replace(hour=0, minute=0, second=0, microsecond=0)
        batch = meter_batch(meters, start=start)
    except TypeError:
        raise BadInput(
            "Some times have a time zone and some have none; give all of them with one, or all without."
        ) from None
    clean = cleaned(batch, now_days=(at - start) / DAY)
    clock = _clock(questions[0], start)
    if clock is None:
        usage = usage_now(batch, clean, ALL_DAYS_PRIOR)
    else:
        usage = usage_now(replace(batch, at_days=clock.open_at_days(batch.at_days)), clean, OPEN_DAYS_PRIOR)
    accepted, is_read = clean.is_accepted, clean.last >= 0
    first = np.where(accepted, batch.at_days, np.inf).min(axis=1, initial=np.inf)
    last = np.where(accepted, batch.at_days, 0.0).max(axis=1, initial=0.0)
    key = _key_rows(len(last))
    is_sparse = (np.count_nonzero(accepted, axis=1) < LEAST_READINGS) | (last < last[key] - BEHIND_KEY_DAYS)
    return MeterFleet(
        start=start,
        batch=batch,
        clean=clean,
        accepted=accepted,
        is_read=is_read,
        goes_by_key=is_sparse & is_read[key] & (np.arange(len(key)) != key),
        usage=usage,
        clock=clock,
        first_days=first,
        last_days=last,
        ratios=_ratios(batch, clean),
    )


def _key_rows(meters: int) -> NDArray[np.int64]:
    """Row of the key meter of each meter's machine."""
    rows = np.arange(meters, dtype=np.int64)
    return rows - rows % len(KINDS) + KINDS.index(Counts.KEY)


def _ratios(batch: MeterBatch, clean: CleanBatch) -> MachineRatio:
    """Hours of each meter for each key hour."""
    count = len(batch.lengths)
    rows, key = np.arange(count, dtype=np.int64), _key_rows(count)
    mean, sd = np.ones(count), np.zeros(count)
    for number, counts in enumerate(KINDS):
        if counts is Counts.KEY:
            continue
        mine = rows[rows % len(KINDS) == number]
        both = mine[(clean.last[mine] >= 0) & (clean.last[key[mine]] >= 0)]
        other_h, key_h = np.zeros(count), np.zeros(count)
        if len(both):
            shared = shared_hours(batch, clean, both, key[both])
            other_h[both], key_h[both] = shared.other_h, shared.key_h
        fleet = fleet_ratio(other_h[mine], key_h[mine], USUAL_RATIOS[counts])
        found = machine_ratio(other_h[mine], key_h[mine], fleet)
        mean[mine], sd[mine] = found.mean_ratio, found.sd_ratio
    return MachineRatio(mean_ratio=mean, sd_ratio=sd)


def _meters_of(
    question: DueQuestion, lines: dict[str, DueLine]
) -> list[tuple[MeterDefinition, Sequence[MeterReading]]]:
    """One meter for each kind, with the readings that were written down with changes."""
    known = {each.meter.counts: each for each in question.machine.meters}
    beside: dict[Counts, list[MeterReading]] = {}
    for change in question.machine.changes:
        line = lines.get(change.line)
        if change.meter_h is not None and line is not None and line.meter is not None:
            beside.setdefault(line.meter, []).append(MeterReading(at=change.at, value_h=change.meter_h))
    found: list[tuple[MeterDefinition, Sequence[MeterReading]]] = []
    for counts in KINDS:
        meter = known.get(counts)
        definition = MeterDefinition(counts=counts) if meter is None else meter.meter
        found.append((definition, [*(meter.readings if meter else ()), *beside.get(counts, ())]))
    return found


def _clock(question: DueQuestion, start: datetime) -> OpenDays | None:
    if question.weekdays == EVERY_WEEKDAY and not question.closed:
        return None
    # Beyond the record every day counts as open, so it reaches as far as anything is told.
    end = question.at.date() + timedelta(days=int(2 * HORIZON_DAYS))
    return open_days(start=start.date(), end=end, weekdays=question.weekdays, closed=question.closed)
