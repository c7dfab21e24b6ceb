"""What the machine draws from its pack, by what of it runs and on what slope."""

import math
from dataclasses import dataclass

from scrubwright.machine.deck import PressureStep
from scrubwright.machine.parts import Currents, HeavyPart, Option
from scrubwright.machine.plate import Plate
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

STANDARD_GRAVITY_M_PER_S2 = 9.80665
# Of controller, motor and gears together, from the pack to the wheel; direct current drives of this size (estimate).
DRIVE_EFFICIENCY_FRACTION = 0.6
_WORST_DRIVE_FRACTION, _BEST_DRIVE_FRACTION = 0.5, 0.75
# The suction at the economy setting over the full one (common practice).
ECONOMY_VACUUM_FRACTION = 0.75
_LEAST_ECONOMY_FRACTION, _MOST_ECONOMY_FRACTION = 0.6, 0.9
# A ride-on with driver and water for each metre of scrubbed width (common practice).
_KG_PER_M = 1000.0
_LIGHT_KG_PER_M, _HEAVY_KG_PER_M = 700.0, 1300.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """What runs at one moment; as it is, the key is on and nothing else.

    Parameters
    ----------
    pressure
        The step at which the deck scrubs; None with the deck up.
    vacuum
        Whether the suction runs; not on the first pass of a double scrub.
    pump
        Whether solution flows.
    economy
        Whether the economy setting is on.
    speed_m_per_s
        How fast it drives, along the floor [m/s, >= 0]; 0 stands still.
    slope_fraction
        Of the floor in the way it drives, rise over run, below zero downhill [-1 to 1].
    """

    pressure: PressureStep | None = None
    vacuum: bool = False
    pump: bool = False
    economy: bool = False
    speed_m_per_s: float = 0.0
    slope_fraction: float = 0.0

    def __post_init__(self) -> None:
        check_zero_or_more("speed_m_per_s", self.speed_m_per_s)
        if not -1 < self.slope_fraction < 1:
            raise BadInput(
                "The slope is {slope}; enter rise over run between -1 and 1, such as 0.08 for 8 % uphill.",
                slope=str(self.slope_fraction),
            )


IDLING = Running()


def scrubbing(
    plate: Plate, *, pressure: str | None = None, slope_fraction: float = 0.0, economy: bool = False
) -> Running:
    """The machine scrubbing: deck down, suction on, solution flowing, at its working speed.

    For the first pass of a double scrub, `replace(scrubbing(plate), vacuum=False)`; where the second lays no
    solution, `replace(scrubbing(plate), pump=False)`.

    Parameters
    ----------
    plate
        The machine.
    pressure
        Name of the pressure step; None for the middle one, of two the lighter.
    slope_fraction
        Of the floor in the way it drives, below zero downhill [-1 to 1].
    economy
        Whether the economy setting is on.

    Raises
    ------
    BadInput
        The plate has no such pressure step, or none.
    """
    return Running(
        pressure=pressure_step(plate, pressure),
        vacuum=True,
        pump=True,
        economy=economy,
        speed_m_per_s=plate.speeds.working_m_per_s,
        slope_fraction=slope_fraction,
    )


def travelling(plate: Plate, *, slope_fraction: float = 0.0) -> Running:
    """The machine on its way with deck and squeegee up, at its transport speed.

    Parameters
    ----------
    plate
        The machine.
    slope_fraction
        Of the floor in the way it drives, below zero downhill [-1 to 1].
    """
    return Running(speed_m_per_s=plate.speeds.transport_m_per_s, slope_fraction=slope_fraction)


def pressure_step(plate: Plate, name: str | None = None) -> PressureStep:
    """The pressure step of that name; without a name the middle one, of two the lighter.

    Raises
    ------
    BadInput
        No such step, or none at all.
    """
    steps = plate.deck.pressure
    if not steps:
        raise _unknown_draw(plate)
    if name is None:
        return steps[(len(steps) - 1) // 2]
    for step in steps:
        if step.name == name:
            return step
    raise BadInput(
        "The deck pressure is called {given}; the plate has: {known}. Enter one of these.",
        given=name,
        known=", ".join(step.name for step in steps),
    )


def loaded_mass(plate: Plate) -> Sourced:
    """What the machine weighs with driver and a full solution tank, and how that is known.

    Notes
    -----
    The water on board is never more than the solution tank was filled with: what the squeegee brings back was laid
    before. Where a weight is missing, 1,000 kg for each metre of scrubbed width, give or take 30 %, which is
    common practice.
    """
    parts = (HeavyPart.MACHINE, HeavyPart.BATTERY, HeavyPart.DRIVER, HeavyPart.SOLUTION)
    weights = [weight.mass_kg for part in parts if (weight := plate.weight(part)) is not None]
    if len(weights) == len(parts):
        return Sourced(
            name="loaded_kg",
            value=sum(weights),
            origin=plate.origin("weight.mass_kg"),
            detail=Sentence("machine, battery, driver and a full solution tank"),
        )
    width_m = plate.deck.scrub_width_m
    return Sourced(
        name="loaded_kg",
        value=_KG_PER_M * width_m,
        origin=Origin.COMMON_PRACTICE,
        detail=Sentence("usual for {width_m} of scrubbed width; the plate does not give its weights", width_m=width_m),
        low=_LIGHT_KG_PER_M * width_m,
        high=_HEAVY_KG_PER_M * width_m,
    )


def current_a(plate: Plate, running: Running, pack_v: float, loaded_kg: float | None = None) -> float:
    """What the machine draws from its pack [A]: the sum of `draws`.

    Parameters
    ----------
    plate
        The machine; its currents must be known.
    running
        What runs.
    pack_v
        Voltage of the pack [V, > 0]; the power for a slope is turned into a current by it.
    loaded_kg
        What is driven up a slope [kg, > 0]; None: by `loaded_mass`.

    Raises
    ------
    BadInput
        A value outside these ranges, a plate without currents, or an economy setting that it has not.

    Notes
    -----
    **Source** ours, docs/explanation/what-it-draws.md (checked in tests/worked/test_current_numbers.py).
    """
    return sum(each.value for each in draws(plate, running, pack_v, loaded_kg))


def draws(plate: Plate, running: Running, pack_v: float, loaded_kg: float | None = None) -> tuple[Sourced, ...]:
    """What each consumer draws, and how that is known: idling, brushes, suction, pump, traction; only what runs.

    Parameters
    ----------
    plate
        The machine; its currents must be known.
    running
        What runs.
    pack_v
        Voltage of the pack [V, > 0].
    loaded_kg
        What is driven up a slope [kg, > 0]; None: by `loaded_mass`.

    Raises
    ------
    BadInput
        A value outside these ranges, a plate without currents, or an economy setting that it has not.
    """
    currents = plate.currents
    if currents is None:
        raise _unknown_draw(plate)
    check_above_zero("pack_v", pack_v)
    found = [_off_plate(plate, "idle_a", currents.idle_a, Sentence("key on, nothing running"))]
    if running.pressure is not None:
        name, brush_a = running.pressure.name, running.pressure.brush_current_a
        origin = plate.origin("pressure.brush_current_a")
        said = Sentence('brushes at pressure "{name}"', name=name)
        found.append(Sourced(name="brush_a", value=brush_a, origin=origin, detail=said))
    if running.vacuum:
        found.append(_suction(plate, currents, economy=running.economy))
    if running.pump:
        found.append(_off_plate(plate, "pump_a", currents.pump_a, Sentence("solution pump or valve")))
    if running.speed_m_per_s > 0:
        found.append(_traction(plate, currents, running, pack_v, loaded_kg))
    return tuple(found)


def _unknown_draw(plate: Plate) -> BadInput:
    return BadInput(
        "{machine} does not say what it draws, so its charge cannot be counted. Enter the currents and at "
        "least one pressure step with its brush current in its plate.",
        machine=plate.name,
    )


def _off_plate(plate: Plate, name: str, value: float, detail: Sentence) -> Sourced:
    return Sourced(name=name, value=value, origin=plate.origin(f"currents.{name}"), detail=detail)


def _suction(plate: Plate, currents: Currents, *, economy: bool) -> Sourced:
    full_a = currents.vacuum_a
    if not economy:
        return _off_plate(plate, "vacuum_a", full_a, Sentence("suction at its full setting"))
    if Option.ECONOMY_SETTING not in plate.options:
        raise BadInput(
            "{machine} has no economy setting; leave it out, or enter it under the options of its plate.",
            machine=plate.name,
        )
    return Sourced(
        name="vacuum_a",
        value=ECONOMY_VACUUM_FRACTION * full_a,
        origin=Origin.COMMON_PRACTICE,
        detail=Sentence(
            "suction at the economy setting, {share_fraction} of {full_a}",
            share_fraction=ECONOMY_VACUUM_FRACTION,
            full_a=full_a,
        ),
        low=_LEAST_ECONOMY_FRACTION * full_a,
        high=_MOST_ECONOMY_FRACTION * full_a,
    )


def _traction(plate: Plate, currents: Currents, running: Running, pack_v: float, loaded_kg: float | None) -> Sourced:
    level_a = currents.traction_level_a
    if running.slope_fraction == 0:
        return _off_plate(plate, "traction_level_a", level_a, Sentence("traction on level floor"))
    mass_kg = loaded_mass(plate).value if loaded_kg is None else loaded_kg
    check_above_zero("loaded_kg", mass_kg)
    climb_fraction = running.slope_fraction / math.hypot(1.0, running.slope_fraction)
    wheel_w = mass_kg * STANDARD_GRAVITY_M_PER_S2 * climb_fraction * running.speed_m_per_s

    def drawn_a(efficiency_fraction: float) -> float:
        # Downhill the slope pulls; the brakes take what is over, and nothing flows back into the pack.
        return max(0.0, level_a + wheel_w / (efficiency_fraction * pack_v))

    ends_a = drawn_a(_BEST_DRIVE_FRACTION), drawn_a(_WORST_DRIVE_FRACTION)
    return Sourced(
        name="traction_a",
        value=drawn_a(DRIVE_EFFICIENCY_FRACTION),
        origin=Origin.ESTIMATE,
        detail=Sentence(
            "{level_a} on level floor, and {mass_kg} on a slope of {slope_fraction} with {efficiency_fraction} of the "
            "pack's power at the wheel",
            level_a=level_a,
            mass_kg=mass_kg,
            slope_fraction=running.slope_fraction,
            efficiency_fraction=DRIVE_EFFICIENCY_FRACTION,
        ),
        low=min(ends_a),
        high=max(ends_a),
    )
