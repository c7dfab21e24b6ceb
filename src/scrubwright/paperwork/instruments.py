"""What a hydrometer and a thermometer show, as people write it, in the units of the records."""

from enum import StrEnum

from scrubwright.battery.gravity import COLDEST_K, LEAST_RATIO, MOST_RATIO, WARMEST_K, gravity_of_density_ratio
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import KELVIN_AT_0_C


class GravityScale(StrEnum):
    """What the hydrometer is marked in."""

    SPECIFIC_GRAVITY = "SG"
    DENSITY = "kg/L"


def gravity_ratio(where: Sentence, written_ratio: float, scale: GravityScale) -> float:
    """A gravity as read off a hydrometer, as specific gravity.

    Parameters
    ----------
    where
        Its place on the paper, for the message.
    written_ratio
        The number as written [SG or kg/L, 1.05 to 1.35].
    scale
        What the hydrometer is marked in.

    Raises
    ------
    BadInput
        Written without its point (1265), or no gravity of a cell.

    Examples
    --------
    >>> gravity_ratio(Sentence("cell_1"), 1.265, GravityScale.SPECIFIC_GRAVITY)
    1.265
    >>> round(gravity_ratio(Sentence("cell_1"), 1.280, GravityScale.DENSITY), 4)
    1.2838
    """
    if 1000 <= written_ratio <= 1400:
        raise BadInput(
            "{where}: {given} is a gravity without its point; write {instead}.",
            where=where,
            given=f"{written_ratio:g}",
            instead=f"{written_ratio / 1000:.3f}",
        )
    if not LEAST_RATIO <= written_ratio <= MOST_RATIO:
        raise BadInput(
            "{where}: {given} is no gravity of a cell; a hydrometer shows from {least} to {most} there. "
            "Look at the number again, or measure again.",
            where=where,
            given=f"{written_ratio:g}",
            least=f"{LEAST_RATIO:.3f}",
            most=f"{MOST_RATIO:.3f}",
        )
    return written_ratio if scale is GravityScale.SPECIFIC_GRAVITY else gravity_of_density_ratio(written_ratio)


def kelvin_of_celsius_k(where: Sentence, written_degc: float, otherwise: Sentence) -> float:
    """A temperature of electrolyte that was written in degrees Celsius.

    Parameters
    ----------
    where
        Its place on the paper, for the message.
    written_degc
        The number as written [°C, -20 to 60].
    otherwise
        What to do where the thermometer shows degrees Fahrenheit.

    Raises
    ------
    BadInput
        It looks like kelvin or degrees Fahrenheit, or is no temperature of electrolyte.
    """
    temperature_k = written_degc + KELVIN_AT_0_C
    if COLDEST_K <= written_degc <= WARMEST_K + 20:
        raise BadInput(
            "{where}: {given} looks like kelvin; enter degrees Celsius, such as {instead}.",
            where=where,
            given=f"{written_degc:g}",
            instead=f"{written_degc - KELVIN_AT_0_C:.1f}",
        )
    if WARMEST_K < temperature_k <= 140 + KELVIN_AT_0_C:
        raise BadInput(
            "{where}: {given} looks like degrees Fahrenheit; enter degrees Celsius, such as {instead}, or {otherwise}.",
            where=where,
            given=f"{written_degc:g}",
            instead=f"{(written_degc - 32) / 1.8:.1f}",
            otherwise=otherwise,
        )
    return _sound(where, written_degc, temperature_k)


def kelvin_of_fahrenheit_k(where: Sentence, written_deg: float) -> float:
    """A temperature of electrolyte that was written in degrees Fahrenheit.

    Parameters
    ----------
    where
        Its place on the paper, for the message.
    written_deg
        The number as written [°F, -4 to 140].

    Raises
    ------
    BadInput
        It looks like kelvin, or is no temperature of electrolyte.

    Examples
    --------
    >>> round(kelvin_of_fahrenheit_k(Sentence("temperature_f"), 77.0), 2)
    298.15
    """
    if COLDEST_K <= written_deg <= WARMEST_K + 20:
        raise BadInput(
            "{where}: {given} looks like kelvin; enter degrees Fahrenheit, such as {instead}.",
            where=where,
            given=f"{written_deg:g}",
            instead=f"{(written_deg - KELVIN_AT_0_C) * 1.8 + 32:.0f}",
        )
    return _sound(where, written_deg, (written_deg - 32) / 1.8 + KELVIN_AT_0_C)


def _sound(where: Sentence, written_deg: float, temperature_k: float) -> float:
    if not COLDEST_K <= temperature_k <= WARMEST_K:
        raise BadInput(
            "{where}: {given} is no temperature of electrolyte; it is from {least_k} to {most_k}. Look at the number "
            "again, or measure again.",
            where=where,
            given=f"{written_deg:g}",
            least_k=COLDEST_K,
            most_k=WARMEST_K,
        )
    return temperature_k
