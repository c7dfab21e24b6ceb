"""Volts and temperatures of charging: what a cell may be held at, and when charging must wait or stop."""

from dataclasses import dataclass
from enum import StrEnum

from scrubwright.battery.pack import Chemistry
from scrubwright.measures.errors import OutOfRange
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import KELVIN_AT_0_C

# Strong gassing begins here at 25 to 30 °C; one text prints 2.40, another 2.35 to 2.45.
GASSING_CELL_V = 2.40
# End of a falling charge; an old rectifier goes on to 2.70.
LAST_CELL_V = 2.65

CHARGE_V_REFERENCE_K = KELVIN_AT_0_C + 25
# 28 mV less for each 10 °F more.
CHARGE_V_PER_K = -0.028 / (10 / 1.8)

COLDEST_CHARGE_K = KELVIN_AT_0_C + 10
PAUSE_CHARGE_K = KELVIN_AT_0_C + 45
HOTTEST_CHARGE_K = KELVIN_AT_0_C + 55


class HeldAt(StrEnum):
    """What a charger holds a flooded deep-cycle pack at."""

    ABSORPTION = "absorption"
    FLOAT = "float"
    EQUALISE = "equalise"


# From a maker's data sheet of a 6 V flooded block: 7.40, 6.60 and 7.75 V for three cells at 25 °C.
_CELL_V = {HeldAt.ABSORPTION: 7.40 / 3, HeldAt.FLOAT: 6.60 / 3, HeldAt.EQUALISE: 7.75 / 3}


def held_cell_v(held_at: HeldAt, electrolyte_k: float) -> float:
    """Voltage that a charger should hold a flooded deep-cycle cell at, for the temperature of its electrolyte [V].

    Parameters
    ----------
    electrolyte_k
        [K, 273 to 328].

    Raises
    ------
    OutOfRange
        Outside that.

    Notes
    -----
    The battery maker's own value wins.

    **Source** A maker's data sheet of a 6 V flooded block, public copy, page 1; checked in
    tests/published/test_battery_charging.py.

    Examples
    --------
    >>> round(18 * held_cell_v(HeldAt.ABSORPTION, 298.15), 1)
    44.4
    """
    if not KELVIN_AT_0_C <= electrolyte_k <= HOTTEST_CHARGE_K:
        raise OutOfRange(
            "The electrolyte is at {given} kelvin; charging volts are known from {coldest_k} to {hottest_k}. Measure "
            "the electrolyte, and let the pack come into that range first.",
            given=str(electrolyte_k),
            coldest_k=KELVIN_AT_0_C,
            hottest_k=HOTTEST_CHARGE_K,
        )
    return _CELL_V[held_at] + CHARGE_V_PER_K * (electrolyte_k - CHARGE_V_REFERENCE_K)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeWeather:
    """Whether the pack's temperature lets it charge, and what to do."""

    may_charge: bool
    told: Sentence


def charge_weather(chemistry: Chemistry, electrolyte_k: float) -> ChargeWeather | None:
    """What the pack's temperature forbids or slows; None where it is fit to charge.

    Notes
    -----
    Lead-acid: charge from 10 °C on, 55 °C is the upper limit and no working temperature (a maker's leaflet for traction
    cells); pause at 45 °C (from memory). Lithium: not below 0 °C nor above 45 °C (from memory; the pack's own guard
    decides).
    """
    if chemistry is Chemistry.LITHIUM:
        if not KELVIN_AT_0_C < electrolyte_k <= PAUSE_CHARGE_K:
            return ChargeWeather(
                may_charge=False,
                told=Sentence(
                    "The pack is at {electrolyte_k}; lithium must not be charged frozen or hot. Let it come between "
                    "{coldest_k} and {hottest_k} first.",
                    electrolyte_k=electrolyte_k,
                    coldest_k=KELVIN_AT_0_C,
                    hottest_k=PAUSE_CHARGE_K,
                ),
            )
        return None
    if not electrolyte_k < PAUSE_CHARGE_K:
        return ChargeWeather(
            may_charge=False,
            told=Sentence(
                "The pack is at {electrolyte_k}. Do not charge it until it is below {pause_k}; open its cover and let "
                "it cool.",
                electrolyte_k=electrolyte_k,
                pause_k=PAUSE_CHARGE_K,
            ),
        )
    if electrolyte_k < COLDEST_CHARGE_K:
        return ChargeWeather(
            may_charge=not electrolyte_k < KELVIN_AT_0_C,
            told=Sentence(
                "The pack is at {electrolyte_k}; below {coldest_k} it takes charge badly. Bring it into a warm room "
                "first. Never charge a frozen pack.",
                electrolyte_k=electrolyte_k,
                coldest_k=COLDEST_CHARGE_K,
            ),
        )
    return None
