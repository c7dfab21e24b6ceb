"""What the log of walk-rounds says of a machine: when each check was last done, what its meters showed, when it ran."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from itertools import pairwise

from scrubwright.catalogue.checks import Check, Occasion, WornBy
from scrubwright.jobs.due_lines import MONTH_DAYS, WEEK_DAYS, YEAR_DAYS
from scrubwright.measures.checks import check_zero_or_more


class Because(StrEnum):
    """Why a check is on the card."""

    ASKED = "every time"
    CALENDAR = "its day has come"
    HOURS = "its hours are up"
    IDLENESS = "the machine stood still"


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterRead:
    """What one hour meter showed at one time.

    Parameters
    ----------
    at, meter
        When, and which.
    shown_h
        What it showed [h, >= 0].
    """

    at: datetime
    meter: WornBy
    shown_h: float

    def __post_init__(self) -> None:
        check_zero_or_more("shown_h", self.shown_h)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundHistory:
    """What is known of a machine's earlier rounds.

    Parameters
    ----------
    begun
        The first entry; an interval of a check that was never done counts from there.
    used
        When the machine was last looked at for a shift; None where never.
    done
        Check by check, when it was last done.
    reads
        What the meters showed, in order of time.
    """

    begun: datetime
    used: datetime | None = None
    done: Mapping[str, datetime] = field(default_factory=dict)
    reads: Sequence[MeterRead] = ()

    def because(self, check: Check, now: datetime) -> Because | None:
        """Why a check of intervals is due now; None where it is not.

        Parameters
        ----------
        check
            The check.
        now
            At which time one asks.
        """
        since = self.done.get(check.identity, self.begun)
        if any((now.date() - since.date()).days >= days for days in interval_days(check)):
            return Because.CALENDAR
        if check.every_h is not None and check.meter is not None and self.run_h(check.meter, since) >= check.every_h:
            return Because.HOURS
        if check.idle_days is None or self.used is None or since > self.used:
            return None
        return Because.IDLENESS if (now.date() - self.used.date()).days >= check.idle_days else None

    def run_h(self, meter: WornBy, since: datetime) -> float:
        """Hours that a meter has run since some time [h, >= 0].

        A meter that falls was swapped or rolled over, or somebody mistyped; such a step counts nothing,
        so that hours never run backwards. Of a step across `since`, the share by the clock counts.
        """
        mine = [read for read in self.reads if read.meter is meter]
        run_h = 0.0
        for before, after in pairwise(mine):
            if after.at > max(since, before.at):
                share = (after.at - max(since, before.at)) / (after.at - before.at)
                run_h += share * max(0.0, after.shown_h - before.shown_h)
        return run_h

    def lacks(self, meter: WornBy) -> bool:
        """Whether nobody ever wrote down what a meter showed."""
        return all(read.meter is not meter for read in self.reads)


def interval_days(check: Check) -> tuple[int, ...]:
    """The calendar intervals of a check [days]; none where only hours or idleness ask for it."""
    days = [
        count for when, count in ((Occasion.WEEKLY, WEEK_DAYS), (Occasion.MONTHLY, MONTH_DAYS)) if when in check.when
    ]
    return (*days, *(() if check.every_years is None else (check.every_years * YEAR_DAYS,)))
