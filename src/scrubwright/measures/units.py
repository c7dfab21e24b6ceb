"""The units table: every suffix that a public float may end in, and how a person sees it."""

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from scrubwright.measures.errors import BadInput


class UnitSystem(StrEnum):
    """The two families of units that a person may choose to read."""

    SI = "si"
    US = "us"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """How one family shows a quantity: multiply by `factor`, add `offset`, round to `decimals`, add `label`."""

    label: str
    factor: float
    decimals: int
    offset: float = 0.0

    def number(self, value: float) -> float:
        """The stored number as it is shown, not yet rounded."""
        return value * self.factor + self.offset


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One row of the units table."""

    suffix: str
    meaning: str
    si: Shown
    us: Shown


_Row = tuple[str, float, int] | tuple[str, float, int, float]


def _row(suffix: str, meaning: str, si: _Row, us: _Row) -> Unit:
    return Unit(suffix=suffix, meaning=meaning, si=_shown(*si), us=_shown(*us))


def _shown(label: str, factor: float, decimals: int, offset: float = 0.0) -> Shown:
    return Shown(label=label, factor=factor, decimals=decimals, offset=offset)


# Exact by definition: international foot, mile and avoirdupois pound (1959), US gallon of 231 cubic inches,
# standard gravity (1901), kelvins between 0 °C and absolute zero (1954). Checked in tests/published/test_us_units.py.
METRES_PER_FOOT = 0.3048
LITRES_PER_GALLON = 3.785411784
KILOGRAMS_PER_POUND = 0.45359237
METRES_PER_MILE = 1609.344
NEWTONS_PER_POUND_FORCE = KILOGRAMS_PER_POUND * 9.80665
KELVIN_AT_0_C = 273.15
PASCALS_PER_PSI = NEWTONS_PER_POUND_FORCE / (METRES_PER_FOOT / 12) ** 2

_FEET_PER_METRE = 1 / METRES_PER_FOOT
_GALLONS_PER_LITRE = 1 / LITRES_PER_GALLON
_DEGREES_PER_RADIAN = math.degrees(1)
_FAHRENHEIT_PER_KELVIN = 1.8
_FAHRENHEIT_AT_0_K = 32 - _FAHRENHEIT_PER_KELVIN * KELVIN_AT_0_C

UNITS: tuple[Unit, ...] = (
    _row("m", "length", ("m", 1, 2), ("ft", _FEET_PER_METRE, 1)),
    _row("m2", "area", ("m²", 1, 0), ("ft²", _FEET_PER_METRE**2, 0)),
    _row("m3", "volume of air", ("m³", 1, 1), ("ft³", _FEET_PER_METRE**3, 0)),
    _row("l", "volume of liquid", ("L", 1, 0), ("gal", _GALLONS_PER_LITRE, 0)),
    _row("kg", "mass", ("kg", 1, 0), ("lb", 1 / KILOGRAMS_PER_POUND, 0)),
    _row("a", "electric current", ("A", 1, 1), ("A", 1, 1)),
    _row("ah", "electric charge", ("Ah", 1, 0), ("Ah", 1, 0)),
    _row("v", "electric potential", ("V", 1, 2), ("V", 1, 2)),
    _row("w", "power", ("W", 1, 0), ("W", 1, 0)),
    _row("wh", "energy", ("Wh", 1, 0), ("Wh", 1, 0)),
    _row("s", "time", ("s", 1, 0), ("s", 1, 0)),
    _row("min", "time", ("min", 1, 0), ("min", 1, 0)),
    _row("h", "time", ("h", 1, 2), ("h", 1, 2)),
    _row("k", "temperature", ("°C", 1, 1, -KELVIN_AT_0_C), ("°F", _FAHRENHEIT_PER_KELVIN, 0, _FAHRENHEIT_AT_0_K)),
    _row("k_change", "difference of temperatures", ("°C", 1, 1), ("°F", _FAHRENHEIT_PER_KELVIN, 0)),
    _row("pa", "pressure", ("kPa", 1e-3, 0), ("psi", 1 / PASCALS_PER_PSI, 1)),
    _row("n", "force", ("N", 1, 0), ("lbf", 1 / NEWTONS_PER_POUND_FORCE, 0)),
    _row("rad", "angle", ("°", _DEGREES_PER_RADIAN, 0), ("°", _DEGREES_PER_RADIAN, 0)),
    _row("fraction", "share of one", ("%", 100, 1), ("%", 100, 1)),
    _row("ratio", "one quantity over another of its kind", ("", 1, 3), ("", 1, 3)),
    _row("m_per_s", "speed", ("km/h", 3.6, 1), ("mph", 3600 / METRES_PER_MILE, 1)),
    _row("m2_per_h", "area rate", ("m²/h", 1, 0), ("ft²/h", _FEET_PER_METRE**2, 0)),
    _row("ha_per_h", "field capacity", ("ha/h", 1, 2), ("ha/h", 1, 2)),
    _row(
        "l_per_m2",
        "dose of liquid on floor",
        ("mL/m²", 1000, 0),
        ("gal/1000 ft²", 1000 * _GALLONS_PER_LITRE / _FEET_PER_METRE**2, 2),
    ),
    _row("l_per_min", "flow", ("L/min", 1, 1), ("gpm", _GALLONS_PER_LITRE, 2)),
    _row("rad_per_s", "turn rate", ("°/s", _DEGREES_PER_RADIAN, 0), ("°/s", _DEGREES_PER_RADIAN, 0)),
    _row("s_per_rad", "time for turning", ("s/rad", 1, 1), ("s/rad", 1, 1)),
    _row("rev_per_min", "rotation", ("rpm", 1, 0), ("rpm", 1, 0)),
    _row("kg_per_l", "density of electrolyte", ("kg/L", 1, 3), ("kg/L", 1, 3)),
    _row("mol_per_kg", "acid in water", ("mol/kg", 1, 2), ("mol/kg", 1, 2)),
    _row("ohm", "electric resistance", ("mΩ", 1000, 1), ("mΩ", 1000, 1)),
    _row("ohm_ah", "resistance of a cell of one ampere-hour", ("Ω·Ah", 1, 3), ("Ω·Ah", 1, 3)),
    _row("a_per_ah", "current for the size of the pack", ("A per 100 Ah", 100, 2), ("A per 100 Ah", 100, 2)),
    _row("kg_per_ah", "mass for each ampere-hour", ("g/Ah", 1000, 3), ("g/Ah", 1000, 3)),
    _row("l_per_ah", "gas for each ampere-hour", ("L/Ah", 1, 3), ("L/Ah", 1, 3)),
    _row("m3_per_h", "flow of air", ("m³/h", 1, 1), ("cfm", _FEET_PER_METRE**3 / 60, 1)),
    _row("v_per_k", "voltage for each degree", ("mV/°C", 1000, 1), ("mV/°F", 1000 / _FAHRENHEIT_PER_KELVIN, 1)),
    _row("per_k", "change for each degree", ("per °C", 1, 4), ("per °F", 1 / _FAHRENHEIT_PER_KELVIN, 4)),
    _row("per_h", "rate", ("per hour", 1, 3), ("per hour", 1, 3)),
    _row("per_shift", "change in a shift", ("per shift", 1, 4), ("per shift", 1, 4)),
    _row("per_visit", "change from one visit to the next", ("per visit", 1, 4), ("per visit", 1, 4)),
    _row("days", "time", ("days", 1, 0), ("days", 1, 0)),
    _row("per_day", "rate", ("per day", 1, 2), ("per day", 1, 2)),
    _row("h_per_day", "hours run in a day", ("h/day", 1, 1), ("h/day", 1, 1)),
    _row("shifts", "count of shifts", ("shifts", 1, 0), ("shifts", 1, 0)),
    _row("cycles", "count of discharges", ("cycles", 1, 0), ("cycles", 1, 0)),
    _row("money", "money in the currency of the tariff", ("", 1, 2), ("", 1, 2)),
    _row("money_per_kwh", "price of energy", ("per kWh", 1, 3), ("per kWh", 1, 3)),
    _row("bytes", "size of a file", ("MB", 1e-6, 1), ("MB", 1e-6, 1)),
)

_BY_SUFFIX = {unit.suffix: unit for unit in UNITS}
_LONGEST_FIRST = tuple(sorted(_BY_SUFFIX, key=len, reverse=True))


@cache
def unit_of(name: str) -> Unit | None:
    """The unit that a name ends in, or None where it ends in no suffix of the table.

    The longest suffix wins: `speed_m_per_s` is a speed, not a time.

    Examples
    --------
    >>> unit_of("speed_m_per_s").meaning
    'speed'
    >>> unit_of("speed") is None
    True
    """
    for suffix in _LONGEST_FIRST:
        if name == suffix or name.endswith("_" + suffix):
            return _BY_SUFFIX[suffix]
    return None


def shown(name: str, value: float, system: UnitSystem = UnitSystem.SI) -> str:
    """A number as a person reads it, with its unit, in plain English digits.

    Parameters
    ----------
    name
        What it is, ending in a suffix of the table.
    value
        The number, in the unit of that suffix.
    system
        Whose units to show.

    Raises
    ------
    BadInput
        The name ends in no suffix of the table.

    Examples
    --------
    >>> shown("gap_m", 0.88)
    '0.88 m'
    >>> shown("gap_m", 0.88, UnitSystem.US)
    '2.9 ft'
    >>> shown("electrolyte_k", 293.15)
    '20.0 °C'

    **Source** Factors as beside the constants above.
    """
    unit = unit_of(name)
    if unit is None:
        raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=name)
    how = unit.si if system is UnitSystem.SI else unit.us
    number = f"{how.number(value):,.{how.decimals}f}"
    if how.label in ("", "°", "%"):
        return number + (" %" if how.label == "%" else how.label)
    return f"{number} {how.label}"
