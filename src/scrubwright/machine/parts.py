"""The other parts of a plate: body, tanks, flows, speeds, slopes, service times, currents, weights, meters."""

from dataclasses import dataclass
from enum import StrEnum

from scrubwright.machine.ranges import check
from scrubwright.measures.errors import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """The outside of the machine.

    Parameters
    ----------
    length_m, width_m, height_m
        Without squeegee; width at the widest point, height with the guard up [m].
    front_overhang_m
        From the front wheel's axle forward to the foremost point, deck and side brush included [m, -0.5 to 2].
    clearance_m
        Gap that the driver keeps to walls and racks on each side [m, 0 to 0.5].
    """

    length_m: float
    width_m: float
    height_m: float
    front_overhang_m: float
    clearance_m: float

    def __post_init__(self) -> None:
        check("body", self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tanks:
    """The two tanks.

    Parameters
    ----------
    solution_l, recovery_l
        What they hold at the full mark [L, 20 to 1000].
    usable_solution_fraction
        Share of the solution tank that reaches the floor before the deck runs dry [0.5 to 1].
    usable_recovery_fraction
        Share of the recovery tank that is full of water when the float shuts the suction [0.5 to 1].
    recovered_fraction
        Share of the solution laid down that the squeegee brings back [0.5 to 1].
    """

    solution_l: float
    recovery_l: float
    usable_solution_fraction: float
    usable_recovery_fraction: float
    recovered_fraction: float

    def __post_init__(self) -> None:
        check("tanks", self)

    @property
    def usable_solution_l(self) -> float:
        """Solution that a full tank gives [L]."""
        return self.solution_l * self.usable_solution_fraction

    @property
    def usable_recovery_l(self) -> float:
        """Dirty water that an empty recovery tank takes [L]."""
        return self.recovery_l * self.usable_recovery_fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowSetting:
    """One setting of the solution valve or pump: its name on the machine and its flow [L/min, 0.1 to 20]."""

    name: str
    flow_l_per_min: float

    def __post_init__(self) -> None:
        check("flow", self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Speeds:
    """How fast it goes [m/s]: scrubbing, driving with everything up, backwards, and turning round."""

    working_m_per_s: float
    transport_m_per_s: float
    reverse_m_per_s: float
    turning_m_per_s: float

    def __post_init__(self) -> None:
        check("speeds", self)


@dataclass(frozen=True, slots=True, kw_only=True)
class SlopeLimits:
    """The steepest slopes that the handbook allows, rise over run [0 to 0.3]; never defaulted.

    Parameters
    ----------
    work_fraction
        While scrubbing.
    transport_fraction
        Driving with deck and squeegee up.
    park_fraction
        Standing with the parking brake on.
    """

    work_fraction: float
    transport_fraction: float
    park_fraction: float

    def __post_init__(self) -> None:
        check("slopes", self)


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceTimes:
    """What a stop costs.

    Parameters
    ----------
    empty_min
        To empty and rinse the recovery tank, hose off and on [min, 0.5 to 60].
    fill_l_per_min
        Flow of the fill hose [L/min, 1 to 200].
    deck_cycle_s
        To lower and raise deck and squeegee once [s, 0 to 60].
    """

    empty_min: float
    fill_l_per_min: float
    deck_cycle_s: float

    def __post_init__(self) -> None:
        check("service", self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Currents:
    """What each consumer draws from the pack [A]: suction, traction on level floor, pump, idling with the key on."""

    vacuum_a: float
    traction_level_a: float
    pump_a: float
    idle_a: float

    def __post_init__(self) -> None:
        check("currents", self)


class HeavyPart(StrEnum):
    """The parts whose weight and place decide how the machine stands."""

    MACHINE = "machine"
    BATTERY = "battery"
    DRIVER = "driver"
    SOLUTION = "solution"
    RECOVERY = "recovery"


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """One heavy part; never defaulted.

    Parameters
    ----------
    part
        Which; "machine" is without battery, driver and water; the tanks are full.
    mass_kg
        What it weighs [kg, 1 to 3000].
    ahead_of_rear_axle_m, height_m
        Where its centre of gravity lies: forward of the rear axle, above the floor [m].
    """

    part: HeavyPart
    mass_kg: float
    ahead_of_rear_axle_m: float
    height_m: float

    def __post_init__(self) -> None:
        check("weight", self)


class Option(StrEnum):
    """What is fitted that not every machine has."""

    SIDE_BRUSH = "side brush"
    SWEEP_HOPPER = "sweep hopper"
    ONBOARD_DOSING = "on-board dosing"
    WATER_RECYCLING = "water recycling"
    SECOND_VACUUM = "second vacuum"
    SPRAY_WAND = "spray wand"
    OVERHEAD_GUARD = "overhead guard"
    SEAT_BELT = "seat belt"
    ECONOMY_SETTING = "economy setting"
    INSPECTION_DOME = "inspection dome"
    ONBOARD_CHARGER = "on-board charger"
    HYDRAULICS = "hydraulics"
    AIR_TYRES = "air tyres"
    WARNING_LIGHTS = "warning lights"
    REVERSE_ALARM = "reverse alarm"
    LEVEL_GAUGE_TUBE = "level gauge tube"
    CHARGE_COUNTER = "charge counter"
    FIRE_EXTINGUISHER = "fire extinguisher"


class Counts(StrEnum):
    """What an hour meter counts."""

    KEY = "key"
    TRACTION = "traction"
    BRUSH = "brush"
    VACUUM = "vacuum"


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """One hour meter: its name on the display, what it counts, and at how many digits it rolls over [1 to 7]."""

    name: str
    counts: Counts
    digits: int

    def __post_init__(self) -> None:
        if not 1 <= self.digits <= 7:
            raise BadInput(
                "Meter {name} has {digits} digits; enter from 1 to 7, counting those before the point.",
                name=self.name,
                digits=self.digits,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Consumable:
    """What is fitted that wears out: where it sits and what it is, in the order list's own words."""

    place: str
    fitted: str
