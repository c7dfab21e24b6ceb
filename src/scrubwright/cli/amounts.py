"""What people type as an amount with its unit: amperes, hours, degrees."""

import re

from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import KELVIN_AT_0_C, UnitSystem

_NUMBER = r"\d*[.,]?\d+"
_CURRENT = re.compile(rf"({_NUMBER}) *(?:a|amps?)?")
_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")
_HOURS = re.compile(rf"(?:({_NUMBER}) *h(?:ours?)?)? *(?:(\d+) *min)?")
_PLAIN_HOURS = re.compile(rf"({_NUMBER})")
_DEGREES = re.compile(rf"([-+\u2212]?)({_NUMBER}) *°? *([cf]?)")


def current_a(option: str, text: str) -> float:
    """A current as typed after an option [A]: "68", "68A", "67,5 A".

    Raises
    ------
    BadInput
        It is no current above zero.

    Examples
    --------
    >>> current_a("--load", "67,5 A")
    67.5
    """
    found = _CURRENT.fullmatch(text.strip().lower())
    value = _number(found[1]) if found else 0.0
    if not value > 0:
        raise BadInput('{option} is "{given}"; enter amperes above zero, such as 68A.', option=option, given=text)
    return value


def duration_h(option: str, text: str) -> float:
    """A length of time as typed after an option [h]: "3", "3h", "3h30min", "3:30", "90 min".

    Raises
    ------
    BadInput
        It is no time above zero.

    Examples
    --------
    >>> duration_h("--work", "3:30")
    3.5
    >>> duration_h("--work", "1 h 15 min")
    1.25
    """
    typed = text.strip().lower()
    value = 0.0
    if clock := _CLOCK.fullmatch(typed):
        value = int(clock[1]) + int(clock[2]) / 60
    elif plain := _PLAIN_HOURS.fullmatch(typed):
        value = _number(plain[1])
    elif parts := _HOURS.fullmatch(typed):
        value = _number(parts[1] or "0") + int(parts[2] or "0") / 60
    if not value > 0:
        raise BadInput(
            '{option} is "{given}"; enter a time above zero, such as 3h, 3:30 or 90min.', option=option, given=text
        )
    return value


def temperature_k(option: str, text: str, system: UnitSystem = UnitSystem.SI) -> float:
    """A temperature as typed after an option [K]: "-5C", "23F", "-5 °C".

    A bare number is °C, or °F for whoever reads in US units.

    Raises
    ------
    BadInput
        It is no temperature, or one that no place on earth has.

    Examples
    --------
    >>> round(temperature_k("--coldest", "23F"), 2)
    268.15
    """
    found = _DEGREES.fullmatch(text.strip().lower())
    if found is not None:
        degrees = -_number(found[2]) if found[1] in ("-", "\u2212") else _number(found[2])
        is_fahrenheit = found[3] == "f" or (not found[3] and system is UnitSystem.US)
        celsius = (degrees - 32) / 1.8 if is_fahrenheit else degrees
        if -90 <= celsius <= 60:
            return celsius + KELVIN_AT_0_C
    raise BadInput(
        '{option} is "{given}"; enter a temperature of the place, such as -5C or 23F.', option=option, given=text
    )


def _number(text: str) -> float:
    return float(text.replace(",", "."))
