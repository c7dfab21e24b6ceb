"""What is written down after a shift: what was planned from the plate, and what really happened."""

import math
from dataclasses import dataclass, fields
from datetime import date
from enum import StrEnum

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput


class Reset(StrEnum):
    """What was new from a shift on, so that what was learned before it no longer holds."""

    DRIVER = "driver"
    SQUEEGEE = "squeegee"
    BRUSHES = "brushes"
    BATTERY = "battery"
    SERVICE = "drain or tap"
    EVERYTHING = "everything"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedShift:
    """What one machine was to do, as planned from its plate, before any rate.

    Parameters
    ----------
    scrub_s
        With the deck down [s, > 0].
    drive_s
        With the deck up [s, >= 0].
    stops
        To dump and fill.
    stop_s
        All stops together [s, >= 0].
    water_l
        Laid on the floor [L]; None where not noted.
    charge_used_fraction
        Of a full pack as it is now [0 to 1]; None where not noted.
    area_m2
        To be scrubbed [m²]; None where not noted.
    """

    scrub_s: float
    drive_s: float
    stops: int
    stop_s: float
    water_l: float | None = None
    charge_used_fraction: float | None = None
    area_m2: float | None = None

    def __post_init__(self) -> None:
        check_above_zero("scrub_s", self.scrub_s)
        check_zero_or_more("drive_s", self.drive_s)
        check_zero_or_more("stops", self.stops)
        check_zero_or_more("stop_s", self.stop_s)
        for name in ("water_l", "charge_used_fraction", "area_m2"):
            if getattr(self, name) is not None:
                check_above_zero(name, getattr(self, name))


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterRun:
    """An hour meter before and after a shift [h], as somebody wrote it down."""

    before_h: float
    after_h: float

    @property
    def run_s(self) -> float:
        """What it counted; below zero where it was written down wrong [s]."""
        return (self.after_h - self.before_h) * 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneShift:
    """What was written down of one machine after a shift, right or wrong; None where nothing was.

    Impossible entries are taken as they are: whoever learns from them says what is wrong and leaves them out.

    Parameters
    ----------
    total_s
        From the start to the finish [s].
    brush
        The meter that runs with the deck down.
    traction
        The meter that runs with the drive motor.
    key
        The meter that runs with the key on.
    stops
        To dump and fill.
    stop_s
        At the drain and the tap, all stops together [s].
    filled_l
        Solution filled in, the first tank included, less what stays in the tank [L].
    dumped_l
        Recovered water let out, the last tank included [L].
    charge_before_fraction, charge_after_fraction
        Charge left, with no charge between [0 to 1].
    area_m2
        Scrubbed [m²].
    hindrances
        How often somebody or something stood in the way.
    hindered_s
        Time lost to them [s].
    """

    total_s: float | None = None
    brush: MeterRun | None = None
    traction: MeterRun | None = None
    key: MeterRun | None = None
    stops: int | None = None
    stop_s: float | None = None
    filled_l: float | None = None
    dumped_l: float | None = None
    charge_before_fraction: float | None = None
    charge_after_fraction: float | None = None
    area_m2: float | None = None
    hindrances: int | None = None
    hindered_s: float | None = None

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            numbers = (value.before_h, value.after_h) if isinstance(value, MeterRun) else (value,)
            if not all(number is None or math.isfinite(number) for number in numbers):
                raise BadInput(
                    "{figure} is {given}; enter a number, or nothing where none was read.",
                    figure=each.name,
                    given=str(value),
                )

    @property
    def is_empty(self) -> bool:
        """Whether nothing was written down."""
        return all(getattr(self, each.name) is None for each in fields(self))


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedShift:
    """One shift of one machine at one site.

    Parameters
    ----------
    day
        On which it began.
    machine, site
        Their names.
    planned, done
        What it was to be, and what it was.
    reset
        What was new on that day; None where nothing was.
    """

    day: date
    machine: str
    site: str
    planned: PlannedShift
    done: DoneShift
    reset: Reset | None = None

    def __post_init__(self) -> None:
        if not self.machine.strip():
            raise BadInput("A logged shift names no machine; enter what its plate calls it.")
        if not self.site.strip():
            raise BadInput("A logged shift names no site; enter what the site file calls it.")
