"""What the log of shifts teaches about one machine at one site, and how far off the plan would be without it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median

import numpy as np

from scrubwright.jobs.shift_belief import Belief, Learned, believed, forgotten, learned
from scrubwright.jobs.shift_entries import RATES, Amount, Entry, habits_of, usual_hindered_s
from scrubwright.jobs.shift_evidence import ShiftRead, shift_read
from scrubwright.jobs.shift_logged import LoggedShift, PlannedShift, Reset
from scrubwright.jobs.shift_question import Rate, Rates
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence

# After so many later shifts a shift counts half (common practice).
HALF_LIFE_SHIFTS = 60.0
# What is so old that it counts less than one in a hundred is not looked at.
_LONGEST_SHIFTS = 400
# An entry that counts less than this is told; four standard deviations off and more.
_DOUBTED_FRACTION = 0.35
_TELLS_FRACTION = 0.01
_ENTRIES = tuple(Entry)
# How many of the last finishes are foretold again.
_LOOKED_BACK = 12
_SLIPPED_FRACTION = 0.4

# What begins again from the plate when something is new (common practice).
_BEGINS_AGAIN = {
    Reset.DRIVER: ("scrubbing", "driving", "water", "stops"),
    Reset.SQUEEGEE: ("scrubbing", "current"),
    Reset.BRUSHES: ("scrubbing", "current"),
    Reset.BATTERY: ("current",),
    Reset.SERVICE: ("stops",),
    Reset.EVERYTHING: RATES,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LookBack:
    """How far off the last finishes were foretold: from the plate alone, and each from the log before it.

    Parameters
    ----------
    shifts
        How many finishes.
    plate_off_fraction, log_off_fraction
        Middle of how far off they were, as a share of what it took [>= 0].
    """

    shifts: int
    plate_off_fraction: float
    log_off_fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What a log teaches.

    Parameters
    ----------
    rates
        For the next plan; each says from how many shifts.
    shifts
        That taught anything.
    left_out
        What was not used, and why.
    doubted
        What was used for little, because it lies far off the rest.
    begun_again
        What was new, and which rates began again with it.
    """

    rates: Rates
    shifts: int
    left_out: tuple[Sentence, ...]
    doubted: tuple[Sentence, ...]
    begun_again: tuple[Sentence, ...]


def learned_rates(prior: Rates, shifts: Sequence[LoggedShift], now: date) -> Rates:
    """The rates of a machine at a site from its log, each between the plate's and what the log shows.

    Parameters
    ----------
    prior
        What is taken without a log.
    shifts
        Of one machine at one site, in any order.
    now
        Shifts after this day are left out.

    Raises
    ------
    BadInput
        Shifts of two machines or sites.
    NoAnswer
        Entries that contradict each other so much that nothing can be said.
    """
    return lesson(prior, shifts, now).rates


def lesson(prior: Rates, shifts: Sequence[LoggedShift], now: date) -> Lesson:
    """What a log teaches, and what of it was left out and why.

    A rate is the most likely one under the plate's prior, with shifts that differ by a scatter which is learned too.
    An entry far off the others counts little; a shift counts half after 60 later ones.

    Parameters
    ----------
    prior, shifts, now
        As for `learned_rates`.

    Raises
    ------
    BadInput
        Shifts of two machines or sites.
    NoAnswer
        Entries that contradict each other so much that nothing can be said.

    Notes
    -----
    The method is ours, see docs/explanation/learning-from-shifts.md; tested on simulated sites whose truth is known
    in tests/rooms/test_shift_learning.py.
    """
    _check_one(shifts)
    in_order = sorted(shifts, key=lambda shift: shift.day)
    past = [shift for shift in in_order if shift.day <= now]
    left_out = _to_come(in_order[len(past) :], now)
    past = past[-_LONGEST_SHIFTS:]
    reads = _reads(past)
    left_out += [sentence for read in reads for sentence in read.left_out]
    weights = 0.5 ** (np.arange(len(reads) - 1, -1, -1) / HALF_LIFE_SHIFTS)
    plate = believed(prior)
    belief, counts = plate, np.zeros(len(RATES), dtype=int)
    doubted: list[Sentence] = []
    begun_again: list[Sentence] = []
    for first, last in _stretches(past):
        reset = past[first].reset
        if reset is not None:
            begins = _BEGINS_AGAIN[reset]
            belief = forgotten(belief, plate, begins)
            counts[[name in begins for name in RATES]] = 0
            begun_again.append(_begun_again(past[first].day, reset))
        found = learned(belief, [read.reads for read in reads[first:last]], weights[first:last])
        belief = found.belief
        counts += (found.told_fraction > _TELLS_FRACTION).sum(axis=0)
        doubted += _doubted(reads[first:last], found)
    return Lesson(
        rates=_rates(belief, prior, counts),
        shifts=sum(bool(read.reads) for read in reads),
        left_out=tuple(left_out),
        doubted=tuple(doubted),
        begun_again=tuple(begun_again),
    )


def finish_s(planned: PlannedShift, rates: Rates) -> float:
    """From start to finish by the rates of a machine at a site, with the usual hindrances [s].

    Parameters
    ----------
    planned
        From the plate.
    rates
        Learned, or the plate's own.

    Examples
    --------
    >>> planned = PlannedShift(scrub_s=9000.0, drive_s=1800.0, stops=2, stop_s=1440.0)
    >>> finish_s(planned, Rates())
    12420.0
    """
    work_s = planned.scrub_s * rates.scrubbing.factor_ratio + planned.drive_s * rates.driving.factor_ratio
    return work_s + planned.stop_s * rates.stops.factor_ratio + usual_hindered_s(work_s)


def looked_back(prior: Rates, shifts: Sequence[LoggedShift], now: date) -> LookBack | None:
    """How the last finishes would have been foretold; None where fewer than three can be.

    Parameters
    ----------
    prior, shifts, now
        As for `learned_rates`; each finish is foretold from the days before it.

    Raises
    ------
    BadInput
        Shifts of two machines or sites.
    NoAnswer
        Entries that contradict each other so much that nothing can be said.
    """
    _check_one(shifts)
    past = [shift for shift in shifts if shift.day <= now]
    usual = learned_rates(prior, past, now)
    plate_off, log_off = [], []
    for shift, total_s in _finishes(past)[1:][-_LOOKED_BACK:]:
        # A slip of the pen says nothing of how well finishes are foretold.
        if abs(total_s / finish_s(shift.planned, usual) - 1) > _SLIPPED_FRACTION:
            continue
        known = learned_rates(prior, past, shift.day - timedelta(days=1))
        plate_off.append(abs(finish_s(shift.planned, prior) / total_s - 1))
        log_off.append(abs(finish_s(shift.planned, known) / total_s - 1))
    if len(log_off) < 3:
        return None
    return LookBack(shifts=len(log_off), plate_off_fraction=median(plate_off), log_off_fraction=median(log_off))


def rate_called(name: str) -> Sentence:
    """A rate as people call it.

    Parameters
    ----------
    name
        One of the fields of `Rates`.
    """
    return {
        "scrubbing": Sentence("time with the deck down"),
        "driving": Sentence("time with the deck up"),
        "water": Sentence("water on the floor"),
        "current": Sentence("current drawn"),
        "stops": Sentence("time of a stop"),
    }[name]


def _check_one(shifts: Sequence[LoggedShift]) -> None:
    kinds = sorted({(shift.machine, shift.site) for shift in shifts})
    if len(kinds) > 1:
        raise BadInput(
            "The log holds shifts of {machine} at {site} and of {other} at {elsewhere}; learn from one machine at one "
            "site at a time.",
            machine=kinds[0][0],
            site=kinds[0][1],
            other=kinds[1][0],
            elsewhere=kinds[1][1],
        )


def _finishes(shifts: Sequence[LoggedShift]) -> list[tuple[LoggedShift, float]]:
    """Every shift that was done as planned, with its time in all, in order."""
    whole = [read for read in _reads(shifts) if read.is_whole]
    found = [(read.shift, total.given.value) for read in whole if (total := read.read(Entry.TOTAL)) is not None]
    return sorted(found, key=lambda each: each[0].day)


def _reads(shifts: Sequence[LoggedShift]) -> list[ShiftRead]:
    habits = habits_of(shifts)
    return [shift_read(shift, habits) for shift in shifts]


def _to_come(shifts: Sequence[LoggedShift], now: date) -> list[Sentence]:
    if not shifts:
        return []
    told = Sentence(
        "Shifts of days that have not come yet: {count}, the first {day}; today is {today}.",
        count=len(shifts),
        day=shifts[0].day.isoformat(),
        today=now.isoformat(),
    )
    return [told]


def _stretches(shifts: Sequence[LoggedShift]) -> list[tuple[int, int]]:
    """From where to where nothing new comes in between."""
    begins = [0, *(place for place, shift in enumerate(shifts) if place and shift.reset)]
    return list(zip(begins, [*begins[1:], len(shifts)], strict=True)) if shifts else []


def _begun_again(day: date, reset: Reset) -> Sentence:
    return Sentence(
        "{day}, new: {reset}. Begun again from the plate: {rates}.",
        day=day.isoformat(),
        reset=reset,
        rates=tuple(rate_called(name) for name in _BEGINS_AGAIN[reset]),
    )


def _doubted(reads: Sequence[ShiftRead], found: Learned) -> list[Sentence]:
    told = []
    for row, shift in enumerate(reads):
        for read in shift.reads:
            place = (row, _ENTRIES.index(read.entry))
            if found.weight_fraction[place] < _DOUBTED_FRACTION:
                usual = Amount(name=read.planned.name, value=read.planned.value * float(found.expected_ratio[place]))
                told.append(
                    Sentence(
                        "{day}, {entry}: {given}, where {usual} would be usual. It counts for little.",
                        day=shift.shift.day.isoformat(),
                        entry=read.entry,
                        given=read.given.told,
                        usual=usual.told,
                    )
                )
    return told


def _rates(belief: Belief, prior: Rates, counts: "np.typing.NDArray[np.intp]") -> Rates:
    """The belief as rates; one that no shift tells of stays as it was."""
    found: dict[str, Rate] = {
        name: belief.rate(name, int(count)) if count else getattr(prior, name)
        for name, count in zip(RATES, counts, strict=True)
    }
    return Rates(**found)
