"""What people type as a value: points, lengths and whole numbers, with a point or a comma."""

import math
import re

from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import METRES_PER_FOOT, UnitSystem

_LENGTHS_M = {
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "ft": METRES_PER_FOOT,
    "in": METRES_PER_FOOT / 12,
}
_BARE = {UnitSystem.SI: "m", UnitSystem.US: "ft"}
_LENGTH = re.compile(r"([-+]?\d*[.,]?\d+) *(m|cm|mm|ft|in|)")


def length_m(option: str, text: str, system: UnitSystem = UnitSystem.SI) -> float:
    """A length as typed after an option [m]: "0.04", "0,04", "40 mm", "1.5 in".

    A bare number is metres, or feet for whoever reads in US units.

    Raises
    ------
    BadInput
        It is no length.

    Examples
    --------
    >>> length_m("--overlap", "40 mm")
    0.04
    """
    found = _LENGTH.fullmatch(text.strip().lower())
    if found is None:
        raise BadInput('{option} is "{given}"; enter a length such as 0.04m, 40mm or 1.5in.', option=option, given=text)
    return float(found[1].replace(",", ".")) * _LENGTHS_M[found[2] or _BARE[system]]


def point_m(option: str, text: str, system: UnitSystem = UnitSystem.SI) -> tuple[float, float]:
    """A point "X,Y" as typed after an option [m]; bare numbers as in `length_m`.

    Raises
    ------
    BadInput
        It is no point.

    Examples
    --------
    >>> point_m("--drain", "10,20", UnitSystem.US)
    (3.048, 6.096)
    """
    x, y = numbers(option, text, 2, "12.5,3")
    return x * _LENGTHS_M[_BARE[system]], y * _LENGTHS_M[_BARE[system]]


def numbers(option: str, text: str, count: int, example: str) -> tuple[float, ...]:
    """So many numbers separated by commas, or by semicolons where commas are decimal.

    Raises
    ------
    BadInput
        Not so many, or no finite numbers.

    Examples
    --------
    >>> numbers("--drain", "12.5,3", 2, "12.5,3")
    (12.5, 3.0)
    >>> numbers("--drain", "12,5;3", 2, "12.5,3")
    (12.5, 3.0)
    """
    parts = text.replace(",", ".").split(";") if ";" in text else text.split(",")
    try:
        values = tuple(float(part) for part in parts)
    except ValueError:
        values = ()
    if len(values) != count or not all(math.isfinite(value) for value in values):
        raise BadInput(
            '{option} is "{given}"; enter {count} numbers with commas between them, such as {example}.',
            option=option,
            given=text,
            count=count,
            example=example,
        )
    return values


def whole_number(option: str, text: str, least: int) -> int:
    """A whole number as typed after an option, not below `least`.

    Raises
    ------
    BadInput
        It is no whole number, or too small.
    """
    try:
        value = int(text)
    except ValueError:
        value = least - 1
    if value < least:
        raise BadInput(
            '{option} is "{given}"; enter a whole number from {least} up.', option=option, given=text, least=least
        )
    return value
