"""What a machine draws on each leg of a shift."""

from dataclasses import replace
from enum import StrEnum

from scrubwright.machine.draws import IDLING, Running, current_a, scrubbing, travelling
from scrubwright.machine.plate import Plate


class LegDoing(StrEnum):
    """What runs on one leg."""

    SCRUB = "scrub"
    FIRST_PASS = "first pass"
    SECOND_PASS = "second pass"
    DRIVE = "drive"
    STAND = "stand"


def leg_current_a(
    plate: Plate,
    doing: LegDoing,
    pressure: str | None,
    slope_fraction: float,
    pack_v: float,
    speed_m_per_s: float | None = None,
) -> float:
    """Current of one leg by what runs on it [A].

    Parameters
    ----------
    plate
        The machine.
    doing
        On the first pass of a double scrub the suction is off, on the second the solution.
    pressure
        Name of the pressure step; None takes the usual one.
    slope_fraction
        Mean slope of the leg, below zero downhill.
    pack_v
        Of the pack, for what slopes take [V].
    speed_m_per_s
        Mean speed of the leg, for what slopes take [m/s]; None: as the plate's.
    """
    running = _running(plate, doing, pressure, slope_fraction)
    if speed_m_per_s is not None and running.speed_m_per_s > 0:
        running = replace(running, speed_m_per_s=min(speed_m_per_s, running.speed_m_per_s))
    return current_a(plate, running, pack_v)


def _running(plate: Plate, doing: LegDoing, pressure: str | None, slope_fraction: float) -> Running:
    if doing is LegDoing.STAND:
        return IDLING
    if doing is LegDoing.DRIVE:
        return travelling(plate, slope_fraction=slope_fraction)
    whole = scrubbing(plate, pressure=pressure, slope_fraction=slope_fraction)
    if doing is LegDoing.FIRST_PASS:
        return replace(whole, vacuum=False)
    return replace(whole, pump=False) if doing is LegDoing.SECOND_PASS else whole
