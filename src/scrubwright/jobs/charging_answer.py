"""The question and the answer of "which machine charges when, on which circuit, and can the room take it?"."""

from dataclasses import dataclass
from datetime import datetime

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """One branch circuit with its breaker.

    Parameters
    ----------
    name
        As on the panel.
    breaker_a
        Rating of the breaker [A].
    other_load_a
        What else runs on it all night [A].
    machines
        Which machines' chargers can be plugged in there; empty: all.
    """

    name: str
    breaker_a: float
    other_load_a: float = 0.0
    machines: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        check_above_zero("breaker_a", self.breaker_a)
        check_zero_or_more("other_load_a", self.other_load_a)


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineToCharge:
    """One machine tonight.

    Parameters
    ----------
    name
        What its people call it.
    mains_a
        What its charger draws from the wall at its most [A].
    charge_h
        How long it charges [h].
    gassing_from_h
        From when on it gasses and must not be interrupted, counted from plug-in [h]; equal to `charge_h` where it
        never gasses.
    energy_wh
        From the wall, for the whole charge [Wh].
    air_m3_per_h
        Air that the room must change while it charges [m3/h].
    home_at, ready_by
        From when on it can be plugged in, and when it must be done.
    """

    name: str
    mains_a: float
    charge_h: float
    gassing_from_h: float
    energy_wh: float
    air_m3_per_h: float
    home_at: datetime
    ready_by: datetime

    def __post_init__(self) -> None:
        check_above_zero("mains_a", self.mains_a)
        check_above_zero("charge_h", self.charge_h)
        check_zero_or_more("energy_wh", self.energy_wh)
        check_zero_or_more("air_m3_per_h", self.air_m3_per_h)
        if not 0 <= self.gassing_from_h <= self.charge_h:
            raise BadInput(
                "{machine} gasses from {gassing_from_h} on but charges for {charge_h}; enter a time within the charge.",
                machine=self.name,
                gassing_from_h=self.gassing_from_h,
                charge_h=self.charge_h,
            )
        if not self.home_at < self.ready_by:
            raise BadInput(
                "{machine} must be ready before it is home; enter when it can be plugged in, then when it must be "
                "done.",
                machine=self.name,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Tariff:
    """A price from one hour on, until the next one begins."""

    from_at: datetime
    price_money_per_kwh: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """When one machine charges: one stretch, or several where it may be interrupted before it gasses.

    Parameters
    ----------
    machine, circuit
        Names.
    spans
        (from, until) of each stretch, in order.
    """

    machine: str
    circuit: str
    spans: tuple[tuple[datetime, datetime], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargingAnswer:
    """The night's charging.

    Parameters
    ----------
    fits
        Whether every machine is ready in time.
    why
        The one line: how it fits, or which machine or circuit is the reason.
    changes
        Where it does not fit: the least changes that make it fit, best first.
    charges
        The order; empty where it does not fit.
    all_done_at
        When the last one is done; None where it does not fit.
    figures
        Load and limit of each circuit, air, cost, gap to the bound; with where they come from.
    gap_fraction
        How far the order may be from the best one [0 or more]; None where it does not fit.
    cautions
        What holds while charging.
    """

    fits: bool
    why: Sentence
    changes: tuple[Sentence, ...]
    charges: tuple[Charge, ...]
    all_done_at: datetime | None
    figures: tuple[Sourced, ...]
    gap_fraction: float | None
    cautions: tuple[Sentence, ...]
