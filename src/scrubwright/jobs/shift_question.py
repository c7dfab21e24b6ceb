"""The question "does this machine, on this charge, finish this floor tonight and leave it dry?"."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from scrubwright.battery.pack import Charger, Pack
from scrubwright.floor.site import Site
from scrubwright.machine.plate import Plate
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin

LONGEST_SHIFT = timedelta(hours=24)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """How far this machine at this site lies from its plate: a factor with its scatter from shift to shift.

    Parameters
    ----------
    factor_ratio
        What really happens over what the plate says [0.2 to 5].
    sd_ratio
        How well that is known, as a share of it [> 0].
    shift_sd_ratio
        How much one shift differs from the next, as a share [>= 0].
    shifts
        From how many logged shifts; 0 for the plate alone.
    """

    factor_ratio: float = 1.0
    sd_ratio: float = 0.1
    shift_sd_ratio: float = 0.05
    shifts: int = 0

    def __post_init__(self) -> None:
        check_above_zero("sd_ratio", self.sd_ratio)
        check_zero_or_more("shift_sd_ratio", self.shift_sd_ratio)
        if not 0.2 <= self.factor_ratio <= 5:
            raise BadInput(
                "A rate is {given} times what the plate says; enter from 0.2 to 5, 1 being just as the plate.",
                given=str(self.factor_ratio),
            )

    @property
    def origin(self) -> Origin:
        """Measured once a shift was logged, else the plate's."""
        return Origin.MEASURED if self.shifts else Origin.PLATE


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """What a machine and its driver really do at a site, each against the plate.

    Parameters
    ----------
    scrubbing
        Time with the deck down over the plate's.
    driving
        Time with the deck up over the planned one, turns and detours included.
    water
        Solution used over the plate's.
    current
        Current drawn over the plate's.
    stops
        Time of a dump-and-fill over the plate's.
    """

    scrubbing: Rate = field(default_factory=lambda: Rate(sd_ratio=0.08, shift_sd_ratio=0.04))
    driving: Rate = field(default_factory=lambda: Rate(sd_ratio=0.15, shift_sd_ratio=0.08))
    water: Rate = field(default_factory=lambda: Rate(sd_ratio=0.10, shift_sd_ratio=0.05))
    current: Rate = field(default_factory=lambda: Rate(sd_ratio=0.12, shift_sd_ratio=0.05))
    stops: Rate = field(default_factory=lambda: Rate(sd_ratio=0.20, shift_sd_ratio=0.15))


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineTonight:
    """One machine as it stands tonight.

    Parameters
    ----------
    plate
        The machine; its currents must be known.
    pack
        Its pack; lead-acid needs at least one rated capacity.
    charge_fraction, charge_sd_fraction
        Charge left at the start, and how well it is known [0 to 1].
    health_ratio, health_sd_ratio
        What the pack holds now over its rating, and how well it is known.
    resistance_ohm
        Of the pack with its cables, as measured [ohm]; None: estimated.
    electrolyte_k
        Of the pack [K]; None: as its rating.
    charger
        That can be plugged in on the way; None where there is none.
    rates
        From its log at this site.
    """

    plate: Plate
    pack: Pack
    charge_fraction: float
    charge_sd_fraction: float = 0.03
    health_ratio: float = 1.0
    health_sd_ratio: float = 0.08
    resistance_ohm: float | None = None
    electrolyte_k: float | None = None
    charger: Charger | None = None
    rates: Rates = field(default_factory=Rates)

    def __post_init__(self) -> None:
        if not 0 <= self.charge_fraction <= 1:
            raise BadInput(
                "The charge left is {given}; enter a share from 0 to 1, such as 0.85 for 85 %.",
                given=str(self.charge_fraction),
            )
        check_zero_or_more("charge_sd_fraction", self.charge_sd_fraction)
        check_above_zero("health_ratio", self.health_ratio)
        check_zero_or_more("health_sd_ratio", self.health_sd_ratio)
        if self.plate.currents is None or not self.plate.deck.pressure:
            raise BadInput(
                "{machine} does not say what it draws, so its charge cannot be counted. Enter the currents and at "
                "least one pressure step with its brush current in its plate.",
                machine=self.plate.name,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """The air over the floor.

    Parameters
    ----------
    air_k
        Its temperature [K, 273 to 323].
    humidity_fraction
        Relative humidity [0 to below 1].
    speed_m_per_s
        How fast it moves over the floor [m/s, 0 to 3].
    """

    air_k: float = 293.15
    humidity_fraction: float = 0.5
    speed_m_per_s: float = 0.1

    def __post_init__(self) -> None:
        if not 273.15 <= self.air_k <= 323.15:
            raise BadInput(
                "The air is at {air_k}; enter what a thermometer shows indoors, 0 to 50 °C.", air_k=self.air_k
            )
        if not 0 <= self.humidity_fraction < 1:
            raise BadInput(
                "The humidity is {given}; enter a share from 0 to below 1, such as 0.6 for 60 %.",
                given=str(self.humidity_fraction),
            )
        if not 0 <= self.speed_m_per_s <= 3:
            raise BadInput(
                "The air moves at {given} m/s; enter from 0 to 3, 0.1 being still air.", given=str(self.speed_m_per_s)
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftSettings:
    """What a person may choose for one shift.

    Parameters
    ----------
    overlap_m, flow, pressure
        None takes the plate's: overlap [m], flow setting, lightest pressure step but one (the middle of three).
    leave_out
        Areas that are not cleaned tonight.
    contact_s
        How long the solution must act between the two passes of a double scrub [s].
    reserve_fraction
        Charge that must be left at the end [0 to below 1].
    charge_on_the_way
        Whether the machine may be plugged in where a stop has a socket.
    important_first
        Whether areas are done in order of priority, so that what is dropped at the end matters least.
    edges
        False leaves passes along walls and racks out tonight.
    """

    overlap_m: float | None = None
    flow: str | None = None
    pressure: str | None = None
    leave_out: tuple[str, ...] = ()
    contact_s: float = 300.0
    reserve_fraction: float = 0.2
    charge_on_the_way: bool = True
    important_first: bool = False
    edges: bool = True

    def __post_init__(self) -> None:
        check_zero_or_more("contact_s", self.contact_s)
        if not 0 <= self.reserve_fraction < 1:
            raise BadInput(
                "The charge to keep is {given}; enter a share from 0 to below 1, such as 0.2.",
                given=str(self.reserve_fraction),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftQuestion:
    """The whole question for one floor.

    Parameters
    ----------
    site, floor_name
        Where; the name may be None where the site has one floor.
    machines
        Each works alone on its share; all of one plate.
    start_at, dry_by
        When the first machine may leave, and when the floor must be dry.
    air, settings
        As their names say.
    """

    site: Site
    machines: tuple[MachineTonight, ...]
    start_at: datetime
    dry_by: datetime
    floor_name: str | None = None
    air: Air = field(default_factory=Air)
    settings: ShiftSettings = field(default_factory=ShiftSettings)

    def __post_init__(self) -> None:
        if not self.machines:
            raise BadInput("No machine is named; name at least one.")
        if not self.start_at < self.dry_by:
            raise BadInput(
                "The floor must be dry by {dry_by}, but the shift starts at {start_at}; enter a start before that.",
                dry_by=self.dry_by.isoformat(sep=" ", timespec="minutes"),
                start_at=self.start_at.isoformat(sep=" ", timespec="minutes"),
            )
        if self.dry_by - self.start_at > LONGEST_SHIFT:
            raise BadInput("From start to dry is more than a day; check the two dates.")
        if len({machine.plate.name for machine in self.machines}) > 1:
            raise BadInput(
                "The machines of one shift must be of one plate; plan unlike machines as shifts of their own."
            )

    @property
    def window_s(self) -> float:
        """From start until the floor must be dry [s]."""
        return (self.dry_by - self.start_at).total_seconds()
