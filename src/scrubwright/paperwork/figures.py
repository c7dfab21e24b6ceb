"""A figure as people write it on paper, "32 in", "12 gal", "5 km/h", "1:12", becomes a number in a known unit."""

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Any

from scrubwright.measures.errors import BadInput

_NUMBER = r"(?P<sign>[-+\u2212]?)(?P<number>\d+(?:[.,]\d+)?|[.,]\d+)(?:[ \-](?P<top>\d{1,3})/(?P<bottom>\d{1,3}))?"
_WRITTEN = re.compile(rf"^\s*{_NUMBER}\s*(?P<unit>[^\d\s][^\d]{{0,23}})?$")
_ONE_IN = re.compile(r"^\s*1\s*(?::|in)\s*(?P<run>\d+(?:[.,]\d+)?)\s*$")
_LONGEST = 40

# What a record's field is measured in, and what a person may write for it.
_UNITS = {
    "_l_per_min": ("liter/minute", "L/min, gpm"),
    "_m_per_s": ("meter/second", "km/h, mph, m/s"),
    "_fraction": ("dimensionless", "%"),
    "_rad": ("radian", "°"),
    "_min": ("minute", "min, s, h"),
    "_kg": ("kilogram", "kg, lb"),
    "_a": ("ampere", "A"),
    "_l": ("liter", "L, gal"),
    "_m": ("meter", "m, cm, mm, in, ft"),
    "_s": ("second", "s, min"),
}
# Signs of the trade that pint reads in another way or not at all.
_SIGNS = {
    '"': "inch",
    "''": "inch",
    "'": "foot",
    "in.": "inch",
    "ft.": "foot",
    "°": "degree",
    "%": "percent",
    "gpm": "gallon/minute",
    "gal/min": "gallon/minute",
    "us gal": "gallon",
    "lbs": "pound",
    "mi/h": "mile/hour",
    "kph": "kilometer/hour",
    "l/min": "liter/minute",
    "l": "liter",
    "a": "ampere",
    "amp": "ampere",
    "amps": "ampere",
    "h": "hour",
    "min": "minute",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number under the name that carries its unit."""

    name: str
    value: float


def figure(key: str, name: str, value: float | str, unit_ratio: float) -> Figure:
    """A figure of a paper, in the unit that `name` ends in.

    Parameters
    ----------
    key
        What the paper calls it, for the message.
    name
        The record's name of it, ending in its unit.
    value
        A plain number, which means the unit of `key`, or a text with a unit of its own.
    unit_ratio
        By what a plain number is multiplied to be in the unit of `name`.

    Raises
    ------
    BadInput
        No number, no such unit, or a unit of another kind.

    Examples
    --------
    >>> figure("deck.scrub_width_m", "scrub_width_m", "32 in", 1.0)
    Figure(name='scrub_width_m', value=0.8128)
    >>> figure("slopes.max_work_slope_percent", "work_fraction", "1:10", 0.01)
    Figure(name='work_fraction', value=0.1)
    """
    return Figure(name=name, value=_value(key, name, value, unit_ratio))


def unit_words(name: str) -> str:
    """The units that a person may write for a record's field, e.g. "m, cm, mm, in, ft"."""
    return next((words for suffix, (_, words) in _UNITS.items() if name.endswith(suffix)), "")


def _value(key: str, name: str, value: float | str, unit_ratio: float) -> float:
    if not isinstance(value, str):
        if not math.isfinite(value):
            raise BadInput("{key} is {given}, which is no number. Enter one such as 0.8.", key=key, given=str(value))
        return value * unit_ratio
    if name.endswith("_fraction") and (one_in := _ONE_IN.match(value)):
        run = _plain(key, one_in["run"], value)
        if run > 0:
            return 1 / run
    written = _WRITTEN.match(value) if len(value) <= _LONGEST else None
    if written is None:
        raise _not_understood(key, name, value)
    number = _plain(key, written["number"], value)
    if written["top"]:
        if not int(written["bottom"]):
            raise _not_understood(key, name, value)
        number += int(written["top"]) / int(written["bottom"])
    number = -number if written["sign"] in ("-", "\u2212") else number
    unit = (written["unit"] or "").strip()
    return number * (_unit_factor(unit, key, name, value) if unit else unit_ratio)


def _plain(key: str, text: str, value: str) -> float:
    """A number with a decimal point or a decimal comma."""
    if re.fullmatch(r"\d{1,3},\d{3}", text):
        raise BadInput(
            '{key} is "{given}", which may mean thousands or thousandths. Write it with a point or without the comma.',
            key=key,
            given=value,
        )
    return float(text.replace(",", "."))


def _unit_factor(unit: str, key: str, name: str, value: str) -> float:
    import pint

    target = next((target for suffix, (target, _) in _UNITS.items() if name.endswith(suffix)), None)
    if target is None or not re.fullmatch(r"[A-Za-zµ/ .'\"°%]+", unit):
        raise _not_understood(key, name, value)
    # A slope in degrees is no share of one, although pint counts both as pure numbers.
    if target == "dimensionless":
        if unit != "%":
            raise _not_understood(key, name, value)
        return 0.01
    if target == "radian" and unit == "%":
        raise _not_understood(key, name, value)
    registry = _registry()
    try:
        return float(registry.Quantity(1.0, _SIGNS.get(unit.casefold(), unit)).to(target).magnitude)
    except (pint.PintError, ValueError, TypeError, AttributeError) as error:
        raise _not_understood(key, name, value) from error


def _not_understood(key: str, name: str, value: str) -> BadInput:
    return BadInput(
        '{key} is "{given}", which is not understood. Enter a number, or a text such as "32 in"; units here: {units}.',
        key=key,
        given=value[:_LONGEST],
        units=unit_words(name),
    )


@cache
def _registry() -> Any:
    # Reading pint's unit table takes a good part of a second, so only a paper with units in words pays for it.
    import pint

    return pint.UnitRegistry()
