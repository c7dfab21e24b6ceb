"""Figures of a TOML file: what each is counted in, its range, and how "380 cfm" becomes a number of the records.

A key of such a file carries its range beside its meaning, as in `charging_file`.
"""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pydantic.fields import FieldInfo

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import METRES_PER_FOOT
from scrubwright.paperwork.figures import Figure

_NUMBER = re.compile(r"\s*([-+]?\d+(?:[.,]\d+)?)\s*([^\d\s].{0,9})?")
_UNCLEAR = re.compile(r"[-+]?\d{1,3},\d{3}")
_LONGEST = 40
_M3_PER_FT3 = METRES_PER_FOOT**3
_M2_PER_IN2 = (METRES_PER_FOOT / 12) ** 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One way to count.

    Parameters
    ----------
    words
        What a plain number is counted in.
    units_ratio
        By what a number is multiplied to be in the unit of the records, by the unit written; the first is that of a
        plain number.
    also
        Other spellings of those units, which messages pass over.
    said
        A number of the records as a sentence.
    """

    words: Sentence
    units_ratio: Mapping[str, float]
    said: Callable[[float], Sentence]
    also: tuple[str, ...] = ()


AMPERES = Kind(
    words=Sentence("amperes"), units_ratio={"A": 1.0}, said=lambda value: Sentence("{value_a}", value_a=value)
)
AMPERE_HOURS = Kind(
    words=Sentence("ampere-hours"), units_ratio={"Ah": 1.0}, said=lambda value: Sentence("{value_ah}", value_ah=value)
)
HOURS = Kind(
    words=Sentence("hours"),
    units_ratio={"h": 1.0, "min": 1 / 60},
    said=lambda value: Sentence("{time_h}", time_h=value),
)
KILOWATT_HOURS = Kind(
    words=Sentence("kilowatt-hours"),
    units_ratio={"kWh": 1000.0, "Wh": 1.0},
    said=lambda value: Sentence("{energy_wh}", energy_wh=value),
)
PERCENT = Kind(
    words=Sentence("percent"),
    units_ratio={"%": 0.01},
    said=lambda value: Sentence("{share_fraction}", share_fraction=value),
)
CUBIC_METRES = Kind(
    words=Sentence("cubic metres"),
    units_ratio={"m³": 1.0, "ft³": _M3_PER_FT3, "m3": 1.0, "ft3": _M3_PER_FT3},
    said=lambda value: Sentence("{volume_m3}", volume_m3=value),
    also=("m3", "ft3"),
)
SQUARE_CENTIMETRES = Kind(
    words=Sentence("square centimetres"),
    units_ratio={"cm²": 1e-4, "m²": 1.0, "in²": _M2_PER_IN2, "cm2": 1e-4, "m2": 1.0, "in2": _M2_PER_IN2},
    said=lambda value: Sentence("{area_m2}", area_m2=value),
    also=("cm2", "m2", "in2"),
)
AIR = Kind(
    words=Sentence("cubic metres an hour"),
    units_ratio={"m³/h": 1.0, "cfm": 60 * _M3_PER_FT3, "m3/h": 1.0},
    said=lambda value: Sentence("{air_m3_per_h}", air_m3_per_h=value),
    also=("m3/h",),
)
PRICE = Kind(
    words=Sentence("your own money"),
    units_ratio={"": 1.0},
    said=lambda value: Sentence("{price_money_per_kwh}", price_money_per_kwh=value),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """What a figure may be, as a plain number under its key; both ends are allowed.

    Parameters
    ----------
    name
        What the records call it, ending in its unit.
    kind
        How it is counted.
    low, high
        The ends.
    """

    name: str
    kind: Kind
    low: float
    high: float

    @property
    def ends(self) -> tuple[str, str]:
        """Both ends as they are written."""
        return f"{self.low:g}", f"{self.high:g}"


def range_of(field: FieldInfo) -> Range | None:
    """The range that a key of a file carries; None where it is no figure."""
    return next((each for each in field.metadata if isinstance(each, Range)), None)


def figure_within(allowed: Range, where: str, written: float | str) -> Figure:
    """A figure under the name and in the unit of the records.

    Parameters
    ----------
    allowed
        What it may be.
    where
        Its place in the file, for the message, e.g. "machine 2.mains_a".
    written
        A plain number, which means the unit of its key, or a text with a unit of its own.

    Raises
    ------
    BadInput
        No number, no such unit, or outside its range.

    Examples
    --------
    >>> volume = Range(name="free_m3", kind=CUBIC_METRES, low=1, high=100_000)
    >>> figure_within(volume, "room.free_volume_m3", "1000 ft³")
    Figure(name='free_m3', value=28.316846592)
    """
    kind = allowed.kind
    number, unit = _parted(kind, where, written)
    own_ratio = next(iter(kind.units_ratio.values()))
    value = number * kind.units_ratio[unit]
    # A number in another unit may end a hair outside.
    if not (allowed.low - 1e-9) * own_ratio <= value <= (allowed.high + 1e-9) * own_ratio:
        raise BadInput(
            "{key} is {given}; it can be from {least} to {most}. Look at the number and its unit again.",
            key=where,
            given=kind.said(value),
            least=kind.said(allowed.low * own_ratio),
            most=kind.said(allowed.high * own_ratio),
        )
    return Figure(name=allowed.name, value=round(value, 9))


def _parted(kind: Kind, where: str, written: float | str) -> tuple[float, str]:
    """The number and its unit, the key's own where none is written."""
    own = next(iter(kind.units_ratio))
    if not isinstance(written, str):
        if not math.isfinite(written):
            raise BadInput("{key} is {given}, which is no number. Look it up again.", key=where, given=str(written))
        return float(written), own
    found = _NUMBER.fullmatch(written)
    unit = str(found[2] or own).strip() if found else ""
    if found is None or unit not in kind.units_ratio:
        raise _not_understood(kind, where, written)
    if _UNCLEAR.fullmatch(found[1]):
        raise BadInput(
            '{key} is "{given}", which may mean thousands or thousandths. Write it with a point or without the comma.',
            key=where,
            given=written,
        )
    return float(found[1].replace(",", ".")), unit


def _not_understood(kind: Kind, where: str, written: str) -> BadInput:
    shown = "".join(letter if letter.isprintable() else "?" for letter in written[:_LONGEST])
    if units := ", ".join(unit for unit in kind.units_ratio if unit and unit not in kind.also):
        return BadInput(
            '{key} is "{given}", which is not understood. Enter a number in {unit}, or a text with its unit: {units}.',
            key=where,
            given=shown,
            unit=kind.words,
            units=units,
        )
    return BadInput(
        '{key} is "{given}", which is not understood. Enter a number, without quotes.', key=where, given=shown
    )
