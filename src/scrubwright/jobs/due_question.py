"""What is asked when somebody asks what is due: the machine, its meters, what was done, and the days it works."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from scrubwright.catalogue.parts import Catalogue
from scrubwright.catalogue.terms import Term
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.wear.life import Ending
from scrubwright.wear.meters import MeterDefinition, MeterReading
from scrubwright.wear.open_days import EVERY_WEEKDAY, ClosedSpell


class Happened(StrEnum):
    """What was done to a part, or why it came off."""

    DONE = "done"
    MEASURED = "measured"
    WORN_OUT = "worn out"
    FAILED = "failed"
    CHANGED_WHILE_GOOD = "changed while good"
    LOST_WITH_MACHINE = "lost with the machine"

    @property
    def ending(self) -> Ending | None:
        """How the part ended; None where that is not said."""
        return None if self in (Happened.DONE, Happened.MEASURED) else Ending(self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing done to a machine, or one measurement of a part.

    Parameters
    ----------
    line
        Name in the catalogue of the service item or check; or an occasion, such as "weekly", for all its checks.
    at
        When.
    happened
        What was done, or why the part came off.
    meter_h
        What the meter of that line showed [h, >= 0]; None: taken from the readings of that day.
    measured_m
        What was measured: bristle, blade, rubber, or play [m, >= 0]; None where nothing was.

    Raises
    ------
    BadInput
        A value below zero, or a measurement without its number.
    """

    line: str
    at: datetime
    happened: Happened = Happened.DONE
    meter_h: float | None = None
    measured_m: float | None = None

    def __post_init__(self) -> None:
        for name in ("meter_h", "measured_m"):
            if (value := getattr(self, name)) is not None:
                check_zero_or_more(name, value)
        if self.happened is Happened.MEASURED and self.measured_m is None:
            raise BadInput("The measurement of {line} has no number; enter what was measured.", line=self.line)


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineMeter:
    """One hour meter of a machine with all its readings."""

    meter: MeterDefinition
    readings: tuple[MeterReading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One machine as the due list sees it.

    Parameters
    ----------
    name
        What its people call it.
    facts
        What it is and where it works, see `machine_facts.facts_of`.
    meters
        Its hour meters; at most one counts each thing.
    changes
        What was done and measured, in any order.
    in_service
        Since when it works; None: since its first reading.

    Raises
    ------
    BadInput
        Two meters count one thing.
    """

    name: str
    facts: frozenset[Term]
    meters: tuple[MachineMeter, ...] = ()
    changes: tuple[Change, ...] = ()
    in_service: date | None = None

    def __post_init__(self) -> None:
        counted = [each.meter.counts for each in self.meters]
        if len(set(counted)) < len(counted):
            raise BadInput(
                "Machine {machine} has two meters that count one thing; put their readings together.", machine=self.name
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class DueQuestion:
    """The question what is due on one machine.

    Parameters
    ----------
    machine, catalogue
        Of what, and by which intervals.
    at
        Now.
    horizon_days
        How far ahead chances are told [days, > 0].
    weekdays, closed
        Days on which the site works, Monday first, and spells on which it does not.
    failure_ratio
        What a failure costs, in prices of a planned change [> 1]; None: no age for a planned change is sought.

    Raises
    ------
    BadInput
        A value outside its range.
    """

    machine: Machine
    catalogue: Catalogue
    at: datetime
    horizon_days: float = 90.0
    weekdays: tuple[bool, ...] = EVERY_WEEKDAY
    closed: tuple[ClosedSpell, ...] = ()
    failure_ratio: float | None = None

    def __post_init__(self) -> None:
        check_above_zero("horizon_days", self.horizon_days)
        if self.failure_ratio is not None and not self.failure_ratio > 1:
            raise BadInput(
                "A failure costs {times} planned changes; enter a number above 1, or leave it out.",
                times=f"{self.failure_ratio:g}",
            )
