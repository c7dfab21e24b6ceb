"""What was read off a pack at one visit: gravities, volts, hours, water, plug-in and finish."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from scrubwright.battery.pack import Chemistry, Pack
from scrubwright.measures.errors import BadInput


class Moment(StrEnum):
    """When in the pack's day it was read."""

    CHARGED = "after charge"
    WORKED = "after work"
    BETWEEN = "in between"


class Event(StrEnum):
    """What was done to the pack, or that it came to its end at work: both change what its readings mean."""

    NEW_PACK = "new pack"
    NEW_CELL = "new cell"
    EQUALISED = "equalised"
    WATERED = "watered"
    RAN_OUT = "ran out"


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltsUnderLoad:
    """Two readings of pack volts and amperes on the machine, 5 to 10 s apart: idling, then brushes and suction on."""

    idle_v: float
    idle_a: float
    load_v: float
    load_a: float

    def __post_init__(self) -> None:
        if not (self.load_a > self.idle_a >= 0 and self.idle_v >= self.load_v > 0):
            raise BadInput(
                "Under load the pack shows {load_v} at {load_a}, idling {idle_v} at {idle_a}; under load there must be "
                "more amperes and not more volts. Read again: idling first, then brushes and suction on.",
                load_v=self.load_v,
                load_a=self.load_a,
                idle_v=self.idle_v,
                idle_a=self.idle_a,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One visit to a pack; what was not read is None.

    Parameters
    ----------
    at
        When, in local time.
    moment
        When in the pack's day.
    meter_h
        Hour meter that counts the work [h].
    rested_h
        Hours since the last charge or work [h].
    gravities_ratio
        As read, one a cell from cell 1 on, not corrected; empty where none was read, None for a cell passed over.
    electrolyte_k
        Temperature of the electrolyte: one for the pack, or one a cell [K]; empty where none was read.
    rested_v
        Of the whole pack, no load, no charge [V].
    blocks_v
        Of each block, no load [V]; empty where none was read.
    under_load
        Two readings for the sag.
    water_l
        Put into the whole pack since the visit before [L].
    plugged_in_at, finished_at
        Of the charge before this visit.
    charge_fraction
        As the display of a lithium pack shows it.
    event
        What was done at this visit, after the reading; or that the work before it ran the pack down.
    """

    at: datetime
    moment: Moment
    meter_h: float | None = None
    rested_h: float | None = None
    gravities_ratio: tuple[float | None, ...] = ()
    electrolyte_k: tuple[float, ...] = ()
    rested_v: float | None = None
    blocks_v: tuple[float, ...] = ()
    under_load: VoltsUnderLoad | None = None
    water_l: float | None = None
    plugged_in_at: datetime | None = None
    finished_at: datetime | None = None
    charge_fraction: float | None = None
    event: Event | None = None

    def __post_init__(self) -> None:
        for name in ("meter_h", "rested_h", "water_l"):
            value = getattr(self, name)
            if value is not None and not value >= 0:
                raise BadInput(
                    "{figure} of {day} is {given}; enter zero or more, or leave it empty.",
                    figure=name,
                    day=self.at.date().isoformat(),
                    given=str(value),
                )
        if self.plugged_in_at is not None and self.finished_at is not None and self.finished_at < self.plugged_in_at:
            raise BadInput(
                "The charge of {day} finished before it began; enter plug-in first, then finish, with their dates.",
                day=self.at.date().isoformat(),
            )

        if self.event is Event.RAN_OUT and self.moment is not Moment.WORKED:
            raise BadInput(
                "The readings of {day} are said to be {moment}, but a pack runs out at work. Write the event “ran out” "
                "beside the moment «after work».",
                day=self.at.date().isoformat(),
                moment=self.moment,
            )

    @property
    def has_gravities(self) -> bool:
        """Whether a hydrometer was used."""
        return any(gravity is not None for gravity in self.gravities_ratio)


def check_visit_fits(pack: Pack, visit: Visit) -> None:
    """Refuse a visit that cannot be one of this pack.

    Raises
    ------
    BadInput
        Readings for another count of cells or blocks, a hydrometer on a sealed pack, gravities without the
        temperature of the electrolyte.
    """
    day = visit.at.date().isoformat()
    if visit.has_gravities and pack.chemistry is not Chemistry.FLOODED:
        raise BadInput(
            "The readings of {day} hold gravities, but {pack} is {chemistry}: it has no electrolyte that a hydrometer "
            "can draw, and opening it ruins it. Read volts at rest instead.",
            day=day,
            pack=pack.name,
            chemistry=pack.chemistry,
        )
    if visit.gravities_ratio and len(visit.gravities_ratio) != pack.cells:
        raise BadInput(
            "The readings of {day} hold {given} gravities, the pack has {cells} cells; give one a cell, in order, and "
            "leave empty those not read.",
            day=day,
            given=len(visit.gravities_ratio),
            cells=pack.cells,
        )
    if visit.has_gravities and not visit.electrolyte_k:
        raise BadInput(
            "The gravities of {day} have no electrolyte temperature. Ten degrees are five points of charge: measure "
            "the electrolyte, not the air, and enter it.",
            day=day,
        )
    if len(visit.electrolyte_k) not in (0, 1, pack.cells):
        raise BadInput(
            "The readings of {day} hold {given} electrolyte temperatures; give one for the pack, or one for each of "
            "its {cells} cells.",
            day=day,
            given=len(visit.electrolyte_k),
            cells=pack.cells,
        )
    if visit.blocks_v and len(visit.blocks_v) != pack.blocks:
        raise BadInput(
            "The readings of {day} hold volts of {given} blocks, the pack has {blocks}; give one a block, in order.",
            day=day,
            given=len(visit.blocks_v),
            blocks=pack.blocks,
        )
