"""The question and the answer of "which machine charges when, on which circuit, and can the room take it?"."""

from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from scrubwright.battery.room_air import GassingPack, ventilation_m3_per_h
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

# Chargers run for three hours and more, and a breaker carries that long only this share of its rating: National
# Electrical Code 210.19(A), 210.20(A); 210.23(A)(1) says the same of one plug.
CONTINUOUS_FRACTION = 0.8


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

    @property
    def limit_a(self) -> float:
        """What chargers may draw there together [A]; zero where the other load takes it all."""
        return max(0.0, CONTINUOUS_FRACTION * self.breaker_a - self.other_load_a)

    def takes(self, machine: str) -> bool:
        """Whether a machine's charger can be plugged in there."""
        return not self.machines or machine in self.machines


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
    home_at, ready_by
        From when on it can be plugged in, and when it must be done.
    energy_wh
        From the wall, for the whole charge [Wh]; None where not known.
    before_gas_fraction
        Share of that energy that flows before it gasses [0 to 1]; None: spread evenly over the hours.
    gas
        Its pack as the room's air sees it; None where not known.
    origins
        Where figures come from, by name such as "charge_h", for every figure that is not off a plate.
    """

    name: str
    mains_a: float
    charge_h: float
    gassing_from_h: float
    home_at: datetime
    ready_by: datetime
    energy_wh: float | None = None
    before_gas_fraction: float | None = None
    gas: GassingPack | None = None
    origins: tuple[tuple[str, Origin], ...] = ()

    def __post_init__(self) -> None:
        check_above_zero("mains_a", self.mains_a)
        check_above_zero("charge_h", self.charge_h)
        if self.energy_wh is not None:
            check_above_zero("energy_wh", self.energy_wh)
        if not 0 <= self.gassing_from_h <= self.charge_h:
            raise BadInput(
                "{machine} gasses from {gassing_from_h} on but charges for {charge_h}; enter a time within the charge.",
                machine=self.name,
                gassing_from_h=self.gassing_from_h,
                charge_h=self.charge_h,
            )
        if self.before_gas_fraction is not None and not 0 <= self.before_gas_fraction <= 1:
            raise BadInput(
                "The share of energy before the gas is {given} for {machine}; enter one from 0 to 1.",
                given=str(self.before_gas_fraction),
                machine=self.name,
            )
        if not self.home_at < self.ready_by:
            raise BadInput(
                "{machine} must be ready before it is home; enter when it can be plugged in, then when it must be "
                "done.",
                machine=self.name,
            )

    @property
    def air_m3_per_h(self) -> float:
        """Air that the room must change while it charges [m³/h]; 0 where its pack is not known."""
        return 0.0 if self.gas is None else ventilation_m3_per_h((self.gas,))

    def origin(self, name: str) -> Origin:
        """Where a figure such as "charge_h" comes from."""
        return dict(self.origins).get(name, Origin.PLATE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tariff:
    """A price from one hour on, until the next one begins."""

    from_at: datetime
    price_money_per_kwh: float

    def __post_init__(self) -> None:
        check_zero_or_more("price_money_per_kwh", self.price_money_per_kwh)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Where they charge.

    Parameters
    ----------
    free_m3
        Air in it: its volume less what stands in it [m³]; None where not known.
    air_m3_per_h
        Air that a fan or openings change [m³/h]; None where not known, and then it limits nothing.
    """

    free_m3: float | None = None
    air_m3_per_h: float | None = None

    def __post_init__(self) -> None:
        if self.free_m3 is not None:
            check_above_zero("free_m3", self.free_m3)
        if self.air_m3_per_h is not None:
            check_zero_or_more("air_m3_per_h", self.air_m3_per_h)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargingNight:
    """The question.

    Parameters
    ----------
    machines, circuits
        At least one of each, named apart.
    tariff
        In the order of time; empty: cost does not matter, being done early does.
    room
        Its air; None where not looked at.
    may_pause
        Whether a charge may be interrupted before it gasses, as a timer or somebody on site can do.
    """

    machines: tuple[MachineToCharge, ...]
    circuits: tuple[Circuit, ...]
    tariff: tuple[Tariff, ...] = ()
    room: Room | None = None
    may_pause: bool = True

    def __post_init__(self) -> None:
        if not self.machines:
            raise BadInput("No machine is to be charged; enter at least one.")
        if not self.circuits:
            raise BadInput("There is no circuit to charge on; enter at least one with its breaker.")
        machines = [machine.name for machine in self.machines]
        for names in (machines, [circuit.name for circuit in self.circuits]):
            for name in names:
                if names.count(name) > 1:
                    raise BadInput('Two are called "{name}"; give each a name of its own.', name=name)
        for circuit in self.circuits:
            for name in circuit.machines:
                if name not in machines:
                    raise BadInput(
                        '{circuit} is for "{machine}", which does not charge tonight; machines tonight: {known}.',
                        circuit=circuit.name,
                        machine=name,
                        known=", ".join(machines),
                    )
        if any(later.from_at <= earlier.from_at for earlier, later in pairwise(self.tariff)):
            raise BadInput("The prices must follow each other in time; enter each hour once, in order.")
        self._check_machines()

    def _check_machines(self) -> None:
        for machine in self.machines:
            if self.tariff and machine.energy_wh is None:
                raise BadInput(
                    "Prices are given, but not what {machine} takes from the wall; enter its energy, or leave the "
                    "prices out.",
                    machine=machine.name,
                )
            if self.room is not None and self.room.air_m3_per_h is not None and machine.gas is None:
                raise BadInput(
                    "The room's air is limited, but the pack of {machine} is not known; enter its cells and "
                    "ampere-hours.",
                    machine=machine.name,
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """When one machine charges: one stretch, or several where it is interrupted before it gasses.

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
class CircuitLoad:
    """What a circuit carries by the order.

    Parameters
    ----------
    circuit
        Name.
    most_a
        Most that chargers draw there at once [A].
    limit_a
        Most that they may draw [A].
    """

    circuit: str
    most_a: float
    limit_a: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargingAnswer:
    """The night's charging.

    Parameters
    ----------
    night
        The question.
    fits
        Whether every machine is ready in time.
    why
        The one line: how it fits, or which machine or circuit is the reason.
    changes
        Where it does not fit: the least changes that make it fit, best first.
    charges
        The order, by the time at which they begin; empty where it does not fit.
    all_done_at
        When the last one is done; None where it does not fit.
    loads
        Each circuit's load against its limit; empty where it does not fit.
    figures
        Air, hydrogen, cost and bound, with where they come from.
    gap_fraction
        How far the order may be from the best one [0 or more]; None where it does not fit.
    remarks
        What the answer leaves out or takes for granted.
    cautions
        What holds while charging.
    """

    night: ChargingNight
    fits: bool
    why: Sentence
    changes: tuple[Sentence, ...]
    charges: tuple[Charge, ...]
    all_done_at: datetime | None
    loads: tuple[CircuitLoad, ...]
    figures: tuple[Sourced, ...]
    gap_fraction: float | None
    remarks: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
