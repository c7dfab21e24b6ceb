"""From visits to discharges: how much of its charge a pack gave in how many hours, and what was left out and why."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import fmean, median

from scrubwright.battery.charge_read import ChargeRead
from scrubwright.battery.visit import Event, Moment, Visit
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput, NoAnswer, OutOfRange
from scrubwright.measures.sentence import Sentence

# A smaller share says too little: its error is as large as what is looked for.
LEAST_USED_FRACTION = 0.15
# Further apart, a charge that nobody wrote down may lie between; a long week-end still fits.
LONGEST_WORK_H = 84.0
# A meter shows tenths, and people note the time roughly.
CLOCK_SLACK_H = 1.0
# How far a charger that says "finished" may have left a pack from where it usually stands (common practice).
TAKEN_AS_FULL_SD_FRACTION = 0.03
HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Discharge:
    """One stretch of work between a charged pack and its next reading.

    Parameters
    ----------
    at
        When it was read after work.
    done_shifts
        Its place on the machine's clock of work: usual shifts since the log began [shifts].
    worked_h
        By the hour meter [h, > 0].
    used_fraction
        Charge left before less charge left after, by the scale that was read [> 0].
    used_sd_fraction
        Its standard deviation [> 0].
    electrolyte_k
        Mean at the readings [K]; None where not read.
    ran_down
        Whether the pack was at its end, so that no more could be had of it.
    is_new_pack
        Whether it is the first one of another pack than the one before.
    """

    at: datetime
    done_shifts: float
    worked_h: float
    used_fraction: float
    used_sd_fraction: float
    electrolyte_k: float | None = None
    ran_down: bool = False
    is_new_pack: bool = False

    def __post_init__(self) -> None:
        check_above_zero("worked_h", self.worked_h)
        check_above_zero("used_fraction", self.used_fraction)
        check_above_zero("used_sd_fraction", self.used_sd_fraction)


@dataclass(frozen=True, slots=True, kw_only=True)
class DischargeLog:
    """All discharges of a log in order of time.

    Parameters
    ----------
    discharges
        At least one.
    left_out
        Why work was left out, one sentence for each.
    shift_h
        A usual shift by the hour meter: the median of the discharges [h].
    shifts_per_h
        How many such shifts the machine works in an hour of the calendar [per hour].
    """

    discharges: tuple[Discharge, ...]
    left_out: tuple[Sentence, ...]
    shift_h: float
    shifts_per_h: float

    def done_at_shifts(self, at: datetime) -> float:
        """Where a time after the last discharge lies on the clock of work, at the usual pace [shifts].

        **Source** identity.
        """
        last = self.discharges[-1]
        return last.done_shifts + max(0.0, (at - last.at) / HOUR) * self.shifts_per_h


def discharge_log(
    visits: Sequence[Visit],
    charge_read: Callable[[Visit], ChargeRead | None],
    run_down: Callable[[Visit], bool],
) -> DischargeLog:
    """The discharges that the visits to a machine hold.

    A discharge ends at a reading after work. It begins at the reading after charge before that, or, where the charger
    is noted as finished and nobody read, where the pack usually stands after a charge.

    Parameters
    ----------
    visits
        In any order.
    charge_read
        The charge left at a visit; None where nothing was read. What it refuses is left out with its sentence.
    run_down
        Whether the pack was at its end at a visit after work.

    Raises
    ------
    NoAnswer
        No discharge is left.
    """
    in_order = sorted(visits, key=lambda visit: visit.at)
    clock_h, pace_h_per_h = _clock(in_order)
    found: list[Discharge] = []
    left_out: list[Sentence] = []
    start = _Start()
    for visit, worked_so_far_h in zip(in_order, clock_h, strict=True):
        reading = None
        try:
            reading = charge_read(visit)
        except (BadInput, OutOfRange) as refused:
            left_out.append(refused.sentence)
        if visit.moment is Moment.WORKED:
            given = _discharge(start, visit, reading)
            if isinstance(given, Sentence):
                left_out.append(given)
            else:
                found.append(
                    replace(
                        given,
                        done_shifts=worked_so_far_h,
                        ran_down=run_down(visit),
                        is_new_pack=start.is_new_pack,
                    )
                )
                start.is_new_pack = False
        start.see(visit, reading)
    if not found:
        raise NoAnswer(
            "The log holds no shift that tells how long the pack lasts. Read the same cells after a charge and after "
            "the work that follows, and note the hour meter both times."
        )
    shift_h = median(each.worked_h for each in found)
    return DischargeLog(
        discharges=tuple(replace(each, done_shifts=each.done_shifts / shift_h) for each in found),
        left_out=tuple(left_out),
        shift_h=shift_h,
        shifts_per_h=pace_h_per_h / shift_h,
    )


@dataclass(slots=True)
class _Start:
    """What is known of the pack when the next work begins."""

    visit: Visit | None = None
    reading: ChargeRead | None = None
    usually_full: ChargeRead | None = None
    charged_at: datetime | None = None
    is_changed: bool = False
    is_new_pack: bool = False

    def see(self, visit: Visit, reading: ChargeRead | None) -> None:
        """Take in one more visit, and what was done after its reading."""
        if visit.moment is Moment.BETWEEN:
            self.charged_at = visit.finished_at or visit.plugged_in_at or self.charged_at
        else:
            self.visit, self.reading, self.charged_at, self.is_changed = visit, reading, None, False
            if visit.moment is Moment.CHARGED and reading is not None:
                self.usually_full = reading
        if visit.event not in (None, Event.RAN_OUT) or (visit.moment is Moment.BETWEEN and visit.water_l):
            self.is_changed = True
        if visit.event is Event.WATERED:
            self.usually_full = None
        if visit.event is Event.NEW_PACK:
            self.visit, self.reading, self.usually_full, self.is_new_pack = None, None, None, True


def _discharge(start: _Start, visit: Visit, after: ChargeRead | None) -> Discharge | Sentence:
    """The discharge that ends at a visit after work, its place on the clock not yet known; or why there is none."""
    day = visit.at.date().isoformat()
    if start.visit is None or after is None:
        return Sentence(
            "The work before {day} is left out: read the charge after the charger is done and again after work.",
            day=day,
        )
    if visit.water_l or (start.reading is not None and start.is_changed and start.visit.moment is Moment.CHARGED):
        return Sentence(
            "The work before {day} is left out: water was added or cells were changed or equalised after the first "
            "reading. Read again after the next charge.",
            day=day,
        )
    worked_h = _advance_h(start.visit, visit)
    if worked_h is None or not worked_h > 0:
        return _why_no_hours(start.visit, visit, day)
    charged_at = visit.finished_at or visit.plugged_in_at or start.charged_at
    was_charged = charged_at is not None and charged_at > start.visit.at
    if was_charged == (start.visit.moment is Moment.CHARGED) or (visit.at - start.visit.at) / HOUR > LONGEST_WORK_H:
        return Sentence(
            "The work before {day} is left out: it is not clear when the pack was charged last. Note plug-in and "
            "finish, or read the pack after its charge.",
            day=day,
        )
    before = start.reading if start.visit.moment is Moment.CHARGED else None
    used = _used(before, start.usually_full, after)
    if used is None:
        return Sentence(
            "The work before {day} is left out: not one cell was read both times. Read the same cells before and "
            "after.",
            day=day,
        )
    if not used[0] >= LEAST_USED_FRACTION:
        return Sentence(
            "The work before {day} is left out: the charge fell by {used_fraction}, and less than {least_fraction} "
            "says too little. Read before and after a longer shift.",
            day=day,
            used_fraction=used[0],
            least_fraction=LEAST_USED_FRACTION,
        )
    temperatures = [each.electrolyte_k for each in (before, after) if each is not None and each.electrolyte_k]
    return Discharge(
        at=visit.at,
        done_shifts=0.0,
        worked_h=worked_h,
        used_fraction=used[0],
        used_sd_fraction=used[1],
        electrolyte_k=fmean(temperatures) if temperatures else None,
    )


def _used(before: ChargeRead | None, usually_full: ChargeRead | None, after: ChargeRead) -> tuple[float, float] | None:
    """Charge used and its standard deviation, cell by cell where the same cells were read; None where none was."""
    first = before or usually_full
    if first is None:
        lefts = [left for left in after.charges_fraction if left is not None]
        drops = [1.0 - left for left in lefts]
        low_by, once = 0.0, after.sd_fraction**2
    else:
        if len(first.charges_fraction) != len(after.charges_fraction):
            return None
        pairs = zip(first.charges_fraction, after.charges_fraction, strict=True)
        drops = [full - left for full, left in pairs if full is not None and left is not None]
        low_by, once = first.low_by_fraction, first.sd_fraction**2 + after.sd_fraction**2
    if not drops:
        return None
    # Acid thinner at the top by something between nothing and its most, each as likely.
    variance = once / len(drops) + low_by**2 / 12
    if before is None:
        variance += TAKEN_AS_FULL_SD_FRACTION**2
    return fmean(drops) + low_by / 2, math.sqrt(variance)


def _advance_h(earlier: Visit, later: Visit) -> float | None:
    """Hours that the meter went on; None where it was not read, went back, or ran more than the clock on the wall."""
    if earlier.meter_h is None or later.meter_h is None:
        return None
    advance_h = later.meter_h - earlier.meter_h
    return advance_h if 0 <= advance_h <= (later.at - earlier.at) / HOUR + CLOCK_SLACK_H else None


def _why_no_hours(earlier: Visit, later: Visit, day: str) -> Sentence:
    if earlier.meter_h is None or later.meter_h is None:
        return Sentence(
            "The work before {day} is left out: the hour meter is missing. Note it at both readings.", day=day
        )
    return Sentence(
        "The work before {day} is left out: the hour meter went from {before_h} to {after_h}. It was mistyped, it "
        "rolled over or it was replaced; correct it if it was mistyped.",
        day=day,
        before_h=earlier.meter_h,
        after_h=later.meter_h,
    )


def _clock(in_order: Sequence[Visit]) -> tuple[list[float], float]:
    """Hours worked since the log began at each visit, and hours worked in an hour of the calendar.

    Where the meter says nothing that can be, the usual pace stands in.
    """
    metered = [(number, visit) for number, visit in enumerate(in_order) if visit.meter_h is not None]
    steps = [
        (number, _advance_h(earlier, later), (later.at - earlier.at) / HOUR)
        for (_, earlier), (number, later) in pairwise(metered)
    ]
    known = [(advance_h, passed_h) for _, advance_h, passed_h in steps if advance_h is not None]
    passed_h = math.fsum(passed for _, passed in known)
    pace = math.fsum(advance for advance, _ in known) / passed_h if passed_h > 0 else 0.0
    added = [0.0] * len(in_order)
    for number, advance_h, step_h in steps:
        added[number] = pace * step_h if advance_h is None else advance_h
    total_h = 0.0
    clock_h = []
    for each in added:
        total_h += each
        clock_h.append(total_h)
    return clock_h, pace
