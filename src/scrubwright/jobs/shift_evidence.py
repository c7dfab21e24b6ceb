"""What one logged shift tells about the rates, and what of it is left out and why."""

from dataclasses import dataclass
from itertools import permutations
from math import log

from scrubwright.jobs.shift_entries import Entry, Habits, Read, done_ratio, plan_done, reads_of
from scrubwright.jobs.shift_logged import LoggedShift
from scrubwright.measures.sentence import Sentence

# A shift of less or more of the planned floor says little about a whole one.
LEAST_DONE_FRACTION = 0.3
MOST_DONE_FRACTION = 1.5
# An entry further from the plan is a slip of the pen; no rate lies further from its plate.
LEAST_OF_PLAN_RATIO = 0.2
MOST_OF_PLAN_RATIO = 5.0
# By how much one explanation must be nearer than the other.
_CLEARLY_RATIO = 0.15
_CLOCK_SLACK_S = 600.0
_LITRES_SLACK_RATIO = 0.15
# What cannot be more than what.
_WITHIN = {
    (Entry.BRUSH, Entry.TRACTION),
    (Entry.BRUSH, Entry.KEY),
    (Entry.TRACTION, Entry.KEY),
    (Entry.BRUSH, Entry.TOTAL),
    (Entry.TRACTION, Entry.TOTAL),
    (Entry.KEY, Entry.TOTAL),
    (Entry.STOPS, Entry.TOTAL),
    (Entry.DUMPED, Entry.FILLED),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftRead:
    """What one shift tells.

    Parameters
    ----------
    shift
        The shift.
    reads
        Entries that can be used, at most one of each kind.
    left_out
        What cannot be used, and why.
    is_whole
        Whether the floor was done as planned, with the planned stops, as far as is known.
    """

    shift: LoggedShift
    reads: tuple[Read, ...] = ()
    left_out: tuple[Sentence, ...] = ()
    is_whole: bool = True

    def read(self, entry: Entry) -> Read | None:
        """The entry of a kind; None where it is not there."""
        return next((each for each in self.reads if each.entry is entry), None)


def shift_read(shift: LoggedShift, habits: Habits) -> ShiftRead:
    """What one logged shift tells, and what of it is left out.

    Parameters
    ----------
    shift
        As it was written down.
    habits
        How its log was kept.
    """
    day, done, area_m2 = shift.day.isoformat(), shift.done, shift.planned.area_m2
    if done.is_empty:
        return ShiftRead(shift=shift, left_out=(Sentence("{day}: only the plan is written down.", day=day),))
    wrong: list[Sentence] = []
    done_fraction = 1.0
    if done.area_m2 is not None and area_m2 is not None:
        done_fraction = done.area_m2 / area_m2
        if _is_area_wrong(shift, done_fraction, habits):
            done_fraction = 1.0
            wrong.append(
                Sentence(
                    "{day}: {area_m2} were scrubbed and {planned_m2} planned, but in time and water it was a usual "
                    "shift. The area is left out.",
                    day=day,
                    area_m2=done.area_m2,
                    planned_m2=area_m2,
                )
            )
        elif not LEAST_DONE_FRACTION <= done_fraction <= MOST_DONE_FRACTION:
            why = Sentence(
                "{day}: {area_m2} were scrubbed and {planned_m2} planned. Such a shift says little of a whole one, or "
                "one of the two is wrong.",
                day=day,
                area_m2=done.area_m2,
                planned_m2=area_m2,
            )
            return ShiftRead(shift=shift, left_out=(why,))
    plan = plan_done(shift, done_fraction, habits, wrong)
    found = reads_of(shift, plan, habits, wrong)
    reads = _without_contradictions(day, [each for each in found if _is_likely(day, each, wrong)], wrong)
    if not reads and not wrong:
        wrong.append(Sentence("{day}: nothing in it tells a rate.", day=day))
    is_whole = abs(done_fraction - 1) < 0.1 and plan.stops == shift.planned.stops
    return ShiftRead(shift=shift, reads=tuple(reads), left_out=tuple(wrong), is_whole=is_whole)


def _is_area_wrong(shift: LoggedShift, done_fraction: float, habits: Habits) -> bool:
    """Whether time and water go far better with all of the planned floor than with the area that was written down."""
    own_ratio, usual_ratio = done_ratio(shift), habits.usual_ratio
    if own_ratio is None or usual_ratio is None or not done_fraction > 0:
        return False
    off_whole = abs(log(own_ratio / usual_ratio))
    return off_whole + _CLEARLY_RATIO < abs(log(own_ratio / usual_ratio / done_fraction))


def _is_likely(day: str, read: Read, wrong: list[Sentence]) -> bool:
    """Whether an entry is anywhere near its plan."""
    is_likely = LEAST_OF_PLAN_RATIO * read.planned.value <= read.given.value <= MOST_OF_PLAN_RATIO * read.planned.value
    if not is_likely:
        wrong.append(
            Sentence(
                "{day}, {entry}: {given}, and {planned} planned. That is too far apart to be right.",
                day=day,
                entry=read.entry,
                given=read.given.told,
                planned=read.planned.told,
            )
        )
    return is_likely


def _without_contradictions(day: str, reads: list[Read], wrong: list[Sentence]) -> list[Read]:
    """The entries that can all be true; where only two disagree nobody knows which is wrong, so both go."""
    kept = list(reads)
    while clashes := [(less, more) for less, more in permutations(kept, 2) if _clash(less, more)]:
        counts = {each.entry: sum(each in clash for clash in clashes) for each in kept}
        most = max(counts.values())
        less, more = next(clash for clash in clashes if any(counts[each.entry] == most for each in clash))
        gone = [each for each in (less, more) if counts[each.entry] == most]
        kept = [each for each in kept if each not in gone]
        wrong.append(
            Sentence(
                "{day}: {lesser} says {given}, {greater} only {most}. It cannot be more; left out: {gone}.",
                day=day,
                lesser=less.entry,
                given=less.given.told,
                greater=more.entry,
                most=more.given.told,
                gone=tuple(Sentence("{entry}", entry=each.entry) for each in gone),
            )
        )
    # What comes back says of the water only what was filled says better.
    if any(each.entry is Entry.FILLED for each in kept):
        kept = [each for each in kept if each.entry is not Entry.DUMPED]
    return kept


def _clash(less: Read, more: Read) -> bool:
    if (less.entry, more.entry) not in _WITHIN:
        return False
    is_water = less.given.name == "water_l"
    slack = _LITRES_SLACK_RATIO * more.given.value if is_water else _CLOCK_SLACK_S
    return less.given.value > more.given.value + slack
