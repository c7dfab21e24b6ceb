"""What is known of a pack when somebody asks what comes next."""

from dataclasses import dataclass
from enum import StrEnum

from scrubwright.battery.cells import SpreadState
from scrubwright.battery.pack import Chemistry
from scrubwright.battery.reading_slips import Exchange
from scrubwright.measures.sentence import Sentence


class StopSign(StrEnum):
    """What a person sees, hears, smells or feels that ends all work on the pack."""

    FROZEN = "frozen"
    HOT = "a hot case"
    SMELL = "a smell of rotten eggs"
    HISSING = "hissing"
    SWELLING = "a swollen case"
    SMOKE = "smoke"


@dataclass(frozen=True, slots=True, kw_only=True)
class PackState:
    """What is known of a pack when somebody asks what comes next; the defaults are a pack without troubles.

    Parameters
    ----------
    chemistry
        What kind of pack.
    stop_signs
        What a person noticed.
    has_readings, has_temperature
        Whether its cells or blocks were read, and the electrolyte's temperature with them.
    read_after_charge
        Whether the last reading followed a full charge.
    watered_before_reading
        Whether water went in after that charge and before the reading.
    plates_bare
        Whether plates stand out of the electrolyte.
    water_due
        Whether it is time to fill up.
    stood_days
        Days since it was last charged.
    may_freeze
        Whether the weakest cell may freeze in the cold to come.
    reversal_charge_fraction
        Charge left by the pack's mean when its weakest cell is flat; None or 0 where no cell is behind.
    doubtful
        Cells whose reading is in doubt.
    exchange
        Cells or blocks that changed places.
    spread
        What the difference between cells, or blocks, asks for; None where not known.
    weakest, weakest_below_ratio
        The lowest cell, and how far it lies below the pack's median.
    weakest_block
        The lowest block of a pack that was read by volts.
    high
        Cells that stand too far over the rest.
    drifting
        Cells that fall from visit to visit.
    after_equalise
        Whether it was equalised since.
    part_replaced
        Whether a cell or block was replaced at the last visit.
    sulfation
        Signs of sulfation, in words; empty where it does not look so.
    low_after_charge
        Whether the whole pack stays low after a long charge.
    ran_out
        Whether it came to its end at the last work and was not charged since.
    stop_after_h
        Hours of work after which its weakest cell may be flat [h]; None where they are not known.
    equalise_how
        The moves of an equalising charge; empty where none is asked for.
    health_fraction
        What it gives of its rated charge; None where not known.
    """

    chemistry: Chemistry
    stop_signs: tuple[StopSign, ...] = ()
    has_readings: bool = True
    has_temperature: bool = True
    read_after_charge: bool = True
    watered_before_reading: bool = False
    plates_bare: bool = False
    water_due: bool = False
    stood_days: int = 0
    may_freeze: bool = False
    reversal_charge_fraction: float | None = None
    doubtful: tuple[int, ...] = ()
    exchange: Exchange | None = None
    spread: SpreadState | None = None
    weakest: int | None = None
    weakest_below_ratio: float | None = None
    weakest_block: int | None = None
    high: tuple[int, ...] = ()
    drifting: tuple[int, ...] = ()
    after_equalise: bool = False
    part_replaced: bool = False
    sulfation: tuple[Sentence, ...] = ()
    low_after_charge: bool = False
    ran_out: bool = False
    stop_after_h: float | None = None
    equalise_how: tuple[Sentence, ...] = ()
    health_fraction: float | None = None
