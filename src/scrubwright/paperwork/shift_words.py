"""Words and clock times of a shift that the terminal, the page and the sheet share."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from scrubwright.jobs.route_answer import Stop
from scrubwright.jobs.shift_answer import Change, Doing, Limit, MachineShift, ShiftAnswer
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_lines import day_words
from scrubwright.paperwork.wording import Teller

# What stands among the numbers already and went into nothing.
RESULTS = frozenset({"chance_fraction", "finish_s", "dry_s", "end_charge_fraction"})
# What a number is, where its detail only says where it comes from.
_LABELS = {
    "charge_at_start_fraction": Sentence("Charge at the start"),
    "drying_s": Sentence("A wet lane dries in"),
    "brush_a": Sentence("Current"),
}
# A drawn chance is told with twice its standard error, in whole percent, and never finer.
_ERRORS = 2
# Below the low end of a range lies one shift in ten.
_LOW_END_FRACTION = 0.1
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class StopTimes:
    """One stop as it comes out in the shift.

    Parameters
    ----------
    stop
        Where, and what goes out and in.
    arrive_s, leave_s
        Since the start of the shift, charging included [s].
    charge_s
        How long of that the machine is plugged in [s]; 0 where it is not.
    charge_fraction
        Left on arrival [0 to 1].
    """

    stop: Stop
    arrive_s: float
    leave_s: float
    charge_s: float
    charge_fraction: float


def provenance_words(number: Sourced, teller: Teller) -> str:
    """What a number is and how it came about: "A wet lane dries in: evaporation from a wet surface"."""
    detail = teller.tell(number.detail)
    label = _LABELS.get(number.name)
    told = detail if label is None else f"{teller.tell(label)}: {detail}"
    return told[:1].upper() + told[1:]


def verdict_words(answer: ShiftAnswer, teller: Teller) -> str:
    """The verdict as a heading: "It is tight"."""
    told = teller.words(answer.verdict)
    return told[:1].upper() + told[1:]


def chance_words(chance_fraction: float, error_fraction: float, teller: Teller) -> str:
    """A chance with twice its standard error, in whole percent: "92 % ± 1"; the ends as ">99 %" and "<1 %".

    Draws say nothing finer, and never that a shift is sure to work or to fail.

    Examples
    --------
    >>> chance_words(0.9216, 0.004, Teller())
    '92 % ± 1'
    >>> chance_words(1.0, 0.0, Teller())
    '>99 %'
    """
    percent = teller.label("chance_fraction")
    if chance_fraction >= 0.995:
        return f">99 {percent}"
    if chance_fraction < 0.005:
        return f"<1 {percent}"
    error = max(1, math.ceil(100 * _ERRORS * error_fraction))
    return f"{teller.plain(100 * chance_fraction)} {percent} ± {error}"


def gain_words(change: Change, answer: ShiftAnswer, teller: Teller) -> str:
    """What a change gains, in shifts of a hundred."""
    more = round(100 * change.chance_fraction) - round(100 * answer.chance.chance_fraction)
    if more > 0:
        return teller.words("{count} more shifts in 100 work", count=more)
    return teller.words("no more shifts work, but more is left over")


def limits_words(answer: ShiftAnswer, teller: Teller) -> str:
    """What fails first and how often; empty where nothing fails."""
    shares = sorted(answer.chance.limits, key=lambda pair: -pair[1])
    told = [
        teller.words("{limit} {share}", limit=limit, share=share_words(share, teller))
        for limit, share in shares
        if limit is not Limit.NONE and share > 0
    ]
    if not told:
        return ""
    return teller.words("What fails first, of all drawn shifts: {limits}.", limits=", ".join(told))


def no_change_words(answer: ShiftAnswer, teller: Teller) -> str:
    """What to do where no change can be told; for the rest of a shift none is looked for."""
    if answer.is_rest:
        return teller.words(
            "More time, a charge, or another machine helps the rest of a shift; else leave the last lanes for another "
            "night."
        )
    return teller.words("Nothing that was tried makes it fit. Plan less floor, or more than one night.")


def lock_out_words(answer: ShiftAnswer, teller: Teller) -> str:
    """Why the charge fails although more than the reserve is left; empty where it does not.

    The charge of a shift that fails counts as it stood when the pack gave out. If fewer than one in ten end
    below the reserve and more than that fail by charge, then packs gave out above it.
    """
    chance = answer.chance
    failed = sum(share for limit, share in chance.limits if limit in (Limit.CHARGE, Limit.RAMP))
    if failed <= _LOW_END_FRACTION or chance.end_charge_fraction[0] <= answer.question.settings.reserve_fraction:
        return ""
    return teller.words(
        "The charge fails with more than the reserve left: under load the voltage falls to the cut-off first."
    )


def share_words(share_fraction: float, teller: Teller) -> str:
    """A share in whole percent, small ones as "<1 %"."""
    percent = teller.label("share_fraction")
    if 0 < share_fraction < 0.005:
        return f"<1 {percent}"
    return f"{teller.plain(100 * share_fraction)} {percent}"


def clock_words(at: datetime) -> str:
    """The time on a clock to the nearest minute: "05:28"."""
    return (at + _MINUTE / 2).strftime("%H:%M")


def clock_from_words(at: datetime) -> str:
    """The first full minute from which something holds, such as a floor being dry: "05:29"."""
    return (at + _MINUTE - timedelta(microseconds=1)).strftime("%H:%M")


def at(answer: ShiftAnswer, since_s: float) -> datetime:
    """A time since the start of the shift as day and clock."""
    return answer.question.start_at + timedelta(seconds=float(since_s))


def when_words(answer: ShiftAnswer, teller: Teller) -> str:
    """From when until when: "10 Mar 2026, 21:30, dry by 05:30"."""
    start_at, dry_by = answer.question.start_at, answer.question.dry_by
    return teller.words(
        "{day}: start at {start}, dry by {dry_by}.",
        day=day_words(start_at.date(), teller),
        start=clock_words(start_at),
        dry_by=clock_words(dry_by),
    )


def block_times_s(shift: MachineShift) -> Mapping[int, tuple[float, float]]:
    """When each block is begun and left, since the start of the shift, waits and charging included [s]."""
    times: dict[int, tuple[float, float]] = {}
    for each in shift.line:
        if each.doing is Doing.SCRUB and each.block is not None:
            begun_s, left_s = times.get(each.block, (each.start_s, each.end_s))
            times[each.block] = min(begun_s, each.start_s), max(left_s, each.end_s)
    return times


def stop_times(answer: ShiftAnswer, shift: MachineShift) -> tuple[StopTimes, ...]:
    """The stops of one machine in order, with their times in the shift and the charge that is left there."""
    found = []
    for stop in answer.route.routes[shift.machine - 1].stops:
        there = [each for each in shift.line if each.stop == stop.number]
        if not there:
            continue
        arrive_s = min(each.start_s for each in there)
        found.append(
            StopTimes(
                stop=stop,
                arrive_s=arrive_s,
                leave_s=max(each.end_s for each in there),
                charge_s=math.fsum(each.end_s - each.start_s for each in there if each.doing is Doing.CHARGE),
                charge_fraction=charge_at_fraction(answer, shift, arrive_s),
            )
        )
    return tuple(found)


def charge_at_fraction(answer: ShiftAnswer, shift: MachineShift, since_s: float) -> float:
    """The charge that is left at a time since the start of the shift [0 to 1]."""
    start_fraction = answer.question.machines[shift.machine - 1].charge_fraction
    times_s = np.concatenate(([0.0], shift.course.end_s))
    return float(np.interp(since_s, times_s, np.concatenate(([start_fraction], shift.course.charge_fraction))))
