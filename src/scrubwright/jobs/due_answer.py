"""What is due: each line with its day and band, the rule that decides, and what must be asked of a person."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from scrubwright.jobs.due_lines import DueLine
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.meters import Counts
from scrubwright.wear.usage import HORIZON_DAYS


class Rule(StrEnum):
    """Which rule asks first."""

    CALENDAR = "calendar"
    METER = "meter"
    WEAR = "measured wear"
    UNKNOWN = "nothing to go by"


class Standing(StrEnum):
    """How a line stands today, the most pressing first."""

    OVERDUE = "overdue"
    DUE = "due"
    SOON = "coming up"
    LATER = "later"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueItem:
    """When one line is due.

    Parameters
    ----------
    line
        What.
    rule
        What asks first.
    days
        Days from today until it is due, with its 80 % band and where it comes from; below zero where its day is past.
    standing
        How it stands.
    due_fraction
        Chance that it is due within the horizon.
    last_done
        When it was last done; None where nobody wrote that down.
    counted_from
        The day that its interval is counted from.
    run_h
        Hours of its meter since then [h, >= 0]; None by calendar alone, or where no meter tells.
    change
        At which age a planned change costs least, where that is sought and the shop's own parts tell.
    questions
        What a person must answer or do for a better date.
    """

    line: DueLine
    rule: Rule
    days: Sourced
    standing: Standing
    due_fraction: float
    last_done: date | None
    counted_from: date
    run_h: float | None = None
    change: Sentence | None = None
    questions: tuple[Sentence, ...] = ()

    @property
    def is_known(self) -> bool:
        """Whether any rule tells a day within ten years."""
        return self.rule is not Rule.UNKNOWN and self.days.value < HORIZON_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterStand:
    """How one meter stands.

    Parameters
    ----------
    counts
        What it counts.
    last_h
        What it showed last [h]; None where it was never read.
    last_day
        When.
    pace_h_per_day
        What the machine likely runs by it [h/day].
    questions
        What must be asked, and what became of readings that do not count.
    """

    counts: Counts
    last_h: float | None
    last_day: date | None
    pace_h_per_day: float
    questions: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DueAnswer:
    """What is due on one machine, the most pressing first.

    Parameters
    ----------
    machine
        Its name.
    day
        Today.
    horizon_days
        How far ahead chances are told [days].
    items
        All lines, by their likely day.
    meters
        How its meters stand.
    questions
        What must be asked beyond single lines and meters.
    """

    machine: str
    day: date
    horizon_days: float
    items: tuple[DueItem, ...]
    meters: tuple[MeterStand, ...]
    questions: tuple[Sentence, ...] = ()

    def of(self, standing: Standing) -> tuple[DueItem, ...]:
        """The lines that stand so."""
        return tuple(item for item in self.items if item.standing is standing)

    def likely_day(self, item: DueItem) -> date:
        """The middle of its band."""
        return self.day + timedelta(days=round(item.days.value))

    def band(self, item: DueItem) -> tuple[date, date]:
        """First and last day of its 80 % band; the same twice for a fixed date."""
        low, high = item.days.low, item.days.high
        likely = self.likely_day(item)
        return (
            likely if low is None else self.day + timedelta(days=round(low)),
            likely if high is None else self.day + timedelta(days=round(high)),
        )
