"""The answer to "how does this pack stand, what comes next, and what can it still do?"."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from scrubwright.battery.pack import Pack
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence


class PackVerdict(StrEnum):
    """What the readings say about tonight."""

    RUN = "run"
    CARE = "run with care"
    STOP = "do not run"
    UNKNOWN = "measure it first"


class PackPart(StrEnum):
    """The parts of the answer, in the order in which they are told."""

    CELLS = "cells"
    CHARGE = "charge left"
    RUNTIME = "runtime"
    CHARGING = "charging"
    WATER = "water"
    HEALTH = "health"


@dataclass(frozen=True, slots=True, kw_only=True)
class CellLine:
    """One cell at the last visit where gravities were read.

    Parameters
    ----------
    number
        From 1 at the pack's positive end.
    gravity_ratio
        Corrected to the pack's reference temperature; None where not read.
    above_median_ratio
        How far it stands above the pack's median, below zero for under it; None where not read.
    drift_per_visit
        How fast it moves against the median, gravity for each visit after charge; None before three visits.
    charge_fraction
        By the pack's own table; None where not read.
    remark
        What is wrong with it; None where nothing is.
    is_weakest
        Whether it is the one that stops the pack.
    """

    number: int
    gravity_ratio: float | None
    above_median_ratio: float | None
    drift_per_visit: float | None
    charge_fraction: float | None
    remark: Sentence | None
    is_weakest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do next.

    Parameters
    ----------
    told
        What.
    cautions
        What bites while doing it.
    how
        Its single moves, in order; empty where it is one.
    """

    told: Sentence
    cautions: tuple[Sentence, ...] = ()
    how: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PackFigure:
    """One number of the answer, under the part it belongs to.

    Parameters
    ----------
    part
        Where it is told.
    label
        What it is, as a line's beginning: "Charge left by gravity".
    number
        Value, band and origin.
    """

    part: PackPart
    label: Sentence
    number: Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class HealthPoint:
    """One point of the trend: hours that a full pack runs this machine, with the 80 % band, and the log's own value."""

    at: datetime
    full_pack_h: float
    low_h: float
    high_h: float
    logged_h: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PackAnswer:
    """The whole answer.

    Parameters
    ----------
    pack
        The pack.
    last_visit_at
        The newest reading; None before the first.
    verdict, why
        For tonight, and the one line that a person can say aloud.
    cells
        One line a cell, from 1 on; empty for packs without gravities.
    remarks
        What is known of each part besides its numbers, e.g. what the spread means.
    steps
        What to do next, in order.
    figures
        The numbers, in the order of `PackPart`.
    trend
        Health from the first discharge on.
    replace_by
        When the pack no longer does the work: likely day, and the ends of its 80 % band; empty where not known.
    does_not_apply
        What was left out for this kind of pack, and why.
    cautions
        What holds for the whole answer.
    """

    pack: Pack
    last_visit_at: datetime | None
    verdict: PackVerdict
    why: Sentence
    cells: tuple[CellLine, ...]
    remarks: tuple[tuple[PackPart, Sentence], ...]
    steps: tuple[Step, ...]
    figures: tuple[PackFigure, ...]
    trend: tuple[HealthPoint, ...]
    replace_by: tuple[date, ...]
    does_not_apply: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
