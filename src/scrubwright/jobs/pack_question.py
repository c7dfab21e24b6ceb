"""What somebody asks about a pack: the pack, its charger, what was read, and the work ahead."""

from dataclasses import dataclass
from datetime import datetime

from scrubwright.battery.pack import Charger, Chemistry, Pack
from scrubwright.battery.visit import Event, Visit, check_visit_fits
from scrubwright.jobs.pack_answer import PackFigure, PackPart
from scrubwright.jobs.pack_state import StopSign
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput, OutOfRange
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence

# More than any scrubber draws on average: its motors' fuses blow before (ours). One shift lasts no longer than a day.
MOST_A_PER_AH = 5.0
LONGEST_WORK_H = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PackQuestion:
    """The question.

    Parameters
    ----------
    pack, charger
        As their papers have them; the charger may be unknown.
    visits
        All readings, in any order.
    at
        When it is asked.
    load_a
        Mean current of the usual work [A, > 0, at most 5 for each ampere-hour]; None where not known.
    work_h
        Length of the shift ahead by the hour meter [h, > 0, at most 24]; None where not known.
    forecast_k
        The coldest that the place gets before the next charge [K]; None where it stays warm.
    stop_signs
        What a person sees, smells or feels.
    plates_bare
        Whether plates stand out of the electrolyte.
    """

    pack: Pack
    charger: Charger | None
    visits: tuple[Visit, ...]
    at: datetime
    load_a: float | None = None
    work_h: float | None = None
    forecast_k: float | None = None
    stop_signs: tuple[StopSign, ...] = ()
    plates_bare: bool = False

    def __post_init__(self) -> None:
        if self.load_a is not None:
            check_above_zero("load_a", self.load_a)
            _check_load(self.pack, self.load_a)
        if self.work_h is not None:
            check_above_zero("work_h", self.work_h)
            if self.work_h > LONGEST_WORK_H:
                raise OutOfRange(
                    "A shift of {work_h} is longer than a day; enter how long one shift takes, up to {longest_h}.",
                    work_h=self.work_h,
                    longest_h=LONGEST_WORK_H,
                )
        for visit in self.visits:
            check_visit_fits(self.pack, visit)
            if visit.at > self.at:
                raise BadInput(
                    "The readings of {day} lie in the future; check the date and enter it again.",
                    day=visit.at.date().isoformat(),
                )

    @property
    def in_order(self) -> tuple[Visit, ...]:
        """All visits, oldest first."""
        return tuple(sorted(self.visits, key=lambda visit: visit.at))

    @property
    def of_this_pack(self) -> tuple[Visit, ...]:
        """The visits since the pack was last replaced, oldest first."""
        visits = self.in_order
        changed = [place for place, visit in enumerate(visits) if visit.event is Event.NEW_PACK]
        # What was read at that visit was read before the change.
        return visits[changed[-1] + 1 :] if changed else visits

    @property
    def is_flooded(self) -> bool:
        """Whether a hydrometer says anything about it."""
        return self.pack.chemistry is Chemistry.FLOODED


def _check_load(pack: Pack, load_a: float) -> None:
    most_a = MOST_A_PER_AH * pack.capacity_ah
    if load_a > most_a:
        raise OutOfRange(
            "No machine draws {load_a} on average from a pack of {capacity_ah}; enter its mean current, up to "
            "{most_a}. Read it off a clamp meter while you scrub.",
            load_a=load_a,
            capacity_ah=pack.capacity_ah,
            most_a=most_a,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What one part of the answer has to say."""

    figures: tuple[PackFigure, ...] = ()
    remarks: tuple[tuple[PackPart, Sentence], ...] = ()


def figure(part: PackPart, label: Sentence, number: Sourced) -> PackFigure:
    """A number under its part."""
    return PackFigure(part=part, label=label, number=number)
