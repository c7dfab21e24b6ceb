"""The figures of a pack file: what each is counted in, its range, and how "77 °F" becomes kelvin."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import KELVIN_AT_0_C, LITRES_PER_GALLON, METRES_PER_FOOT
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.instruments import kelvin_of_celsius_k

_NUMBER = re.compile(r"\s*([-+]?\d+(?:[.,]\d+)?)\s*([^\d\s][^\d]{0,9})?")
_UNCLEAR = re.compile(r"[-+]?\d{1,3},\d{3}")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """One way to count: its name, what else may be written, and how the records keep it.

    Each unit turns into the record's own as number * factor + offset; the first is the key's own.
    """

    words: Sentence
    units: Mapping[str, tuple[float, float]]
    said: Callable[[float], Sentence]


_CELSIUS = _Kind(
    words=Sentence("degrees Celsius"),
    units={
        "°C": (1, KELVIN_AT_0_C),
        "C": (1, KELVIN_AT_0_C),
        "°F": (1 / 1.8, KELVIN_AT_0_C - 32 / 1.8),
        "F": (1 / 1.8, KELVIN_AT_0_C - 32 / 1.8),
    },
    said=lambda value: Sentence("{temperature_k}", temperature_k=value),
)
_VOLTS = _Kind(
    words=Sentence("volts"),
    units={"V": (1, 0), "mV": (0.001, 0)},
    said=lambda value: Sentence("{value_v}", value_v=value),
)
_AMPERES = _Kind(
    words=Sentence("amperes"), units={"A": (1, 0)}, said=lambda value: Sentence("{value_a}", value_a=value)
)
_AMPERE_HOURS = _Kind(
    words=Sentence("ampere-hours"), units={"Ah": (1, 0)}, said=lambda value: Sentence("{value_ah}", value_ah=value)
)
_HOURS = _Kind(
    words=Sentence("hours"),
    units={"h": (1, 0), "min": (1 / 60, 0)},
    said=lambda value: Sentence("{time_h}", time_h=value),
)
_SECONDS = _Kind(
    words=Sentence("seconds"),
    units={"s": (1, 0), "min": (60, 0)},
    said=lambda value: Sentence("{time_s}", time_s=value),
)
_MILLIOHMS = _Kind(
    words=Sentence("milliohms"),
    units={"mΩ": (0.001, 0), "mohm": (0.001, 0), "Ω": (1, 0), "ohm": (1, 0)},
    said=lambda value: Sentence("{value_ohm}", value_ohm=value),
)
_MILLILITRES = _Kind(
    words=Sentence("millilitres"),
    units={"mL": (0.001, 0), "ml": (0.001, 0), "L": (1, 0), "fl oz": (LITRES_PER_GALLON / 128, 0)},
    said=lambda value: Sentence("{volume_l}", volume_l=value),
)
_MILLIMETRES = _Kind(
    words=Sentence("millimetres"),
    units={"mm": (0.001, 0), "cm": (0.01, 0), "in": (METRES_PER_FOOT / 12, 0)},
    said=lambda value: Sentence("{length_m}", length_m=value),
)
_PERCENT = _Kind(
    words=Sentence("percent"),
    units={"%": (0.01, 0)},
    said=lambda value: Sentence("{share_fraction}", share_fraction=value),
)
_GRAVITY = _Kind(
    words=Sentence("SG or kg/L, as scale says"),
    units={"": (1, 0)},
    said=lambda value: Sentence("{gravity_ratio}", gravity_ratio=value),
)
_PLAIN = _Kind(
    words=Sentence("a plain number"),
    units={"": (1, 0)},
    said=lambda value: Sentence("{value_ratio}", value_ratio=value),
)
_COUNTED = _Kind(
    words=Sentence("discharges"),
    units={"": (1, 0)},
    said=lambda value: Sentence("{count_cycles}", count_cycles=value),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Range:
    """What a figure may be, as a plain number under its key; both ends are allowed."""

    record: str
    kind: _Kind
    least: float
    most: float


def _range(record: str, kind: _Kind, least: float, most: float) -> _Range:
    return _Range(record=record, kind=kind, least=least, most=most)


# Wide on purpose: they catch a slipped comma or the volts of a pack under a key for one cell, and turn down no real
# pack. Gravities are judged by `instruments`, which knows their scale.
_RANGES: Mapping[str, _Range] = {
    "rated_temperature_c": _range("rated_k", _CELSIUS, 0, 50),
    "cut_off_v_per_cell": _range("cut_off_v", _VOLTS, 1.2, 3.4),
    "resistance_mohm": _range("resistance_ohm", _MILLIOHMS, 0.5, 500),
    "capacity.ah": _range("capacity_ah", _AMPERE_HOURS, 1, 5000),
    "capacity.over_h": _range("over_h", _HOURS, 0.1, 200),
    "gravity.full": _range("full_ratio", _GRAVITY, 1.05, 1.35),
    "gravity.flat": _range("flat_ratio", _GRAVITY, 1.05, 1.35),
    "gravity.flat_charge_percent": _range("flat_charge_fraction", _PERCENT, 0, 50),
    "gravity.reference_temperature_c": _range("reference_k", _CELSIUS, 10, 40),
    "lock_out.voltage_v": _range("voltage_v", _VOLTS, 1, 400),
    "lock_out.delay_s": _range("delay_s", _SECONDS, 0, 600),
    "water.reserve_ml": _range("reserve_l", _MILLILITRES, 10, 5000),
    "water.mark_mm": _range("mark_m", _MILLIMETRES, 0, 100),
    "life.depth_percent": _range("depth_fraction", _PERCENT, 1, 100),
    "life.cycles": _range("life_cycles", _COUNTED, 10, 20_000),
    "charger.main_a": _range("main_a", _AMPERES, 0.5, 600),
    "charger.finish_a": _range("finish_a", _AMPERES, 0.1, 200),
    "charger.charge_factor": _range("charge_factor_ratio", _PLAIN, 1, 1.5),
    "charger.mains_v": _range("mains_v", _VOLTS, 80, 500),
    "charger.mains_a": _range("mains_a", _AMPERES, 0.5, 100),
    "charger.efficiency_percent": _range("efficiency_fraction", _PERCENT, 30, 100),
    "charger.power_factor_percent": _range("power_factor_fraction", _PERCENT, 30, 100),
}


def is_figure(path: str) -> bool:
    """Whether a key of the pack file is a number with a unit."""
    return path in _RANGES


def is_gravity(path: str) -> bool:
    """Whether a key is a gravity, whose unit another key names."""
    return is_figure(path) and _RANGES[path].kind is _GRAVITY


def record_name(path: str) -> str:
    """What the records call the figure of a key, e.g. "cut_off_v" for "cut_off_v_per_cell"."""
    return _RANGES[path].record if is_figure(path) else path


def counted_in(path: str) -> Sentence:
    """What a plain number under a key is counted in."""
    return _RANGES[path].kind.words


def least_and_most(path: str) -> tuple[str, str]:
    """The range of a plain number under a key, as it is written."""
    allowed = _RANGES[path]
    return f"{allowed.least:g}", f"{allowed.most:g}"


def unit_words(path: str) -> str:
    """The units that a text under a key may bring, e.g. "°C, °F"."""
    units = [unit for unit in _RANGES[path].kind.units if unit not in ("", "C", "F", "mohm", "ohm", "ml")]
    return ", ".join(units)


def pack_figure(path: str, where: str, written: float | str) -> Figure:
    """A figure of the pack file, under the name and in the unit of the records.

    Parameters
    ----------
    path
        Its key with its table, e.g. "capacity.ah".
    where
        Its place in the file, for the message, e.g. "capacity 2.ah".
    written
        A plain number, which means the unit of its key, or a text with a unit of its own.

    Raises
    ------
    BadInput
        No number, no such unit, or outside its range.

    Examples
    --------
    >>> pack_figure("resistance_mohm", "resistance_mohm", 28.0)
    Figure(name='resistance_ohm', value=0.028)
    >>> pack_figure("rated_temperature_c", "rated_temperature_c", "77 °F")
    Figure(name='rated_k', value=298.15)
    """
    allowed = _RANGES[path]
    number, unit = _parted(path, where, written)
    if allowed.kind is _GRAVITY:
        return Figure(name=allowed.record, value=number)
    if allowed.kind is _CELSIUS and unit == "°C":
        kelvin_of_celsius_k(
            Sentence("{key}", key=where), number, Sentence('write it in quotes as "{given} °F"', given=f"{number:g}")
        )
    factor, offset = allowed.kind.units[unit]
    own_factor, own_offset = next(iter(allowed.kind.units.values()))
    value = number * factor + offset
    least, most = (float(end * own_factor + own_offset) for end in (allowed.least, allowed.most))
    # A reading in another unit may end a hair outside.
    if not least - 1e-9 <= value <= most + 1e-9:
        raise BadInput(
            "{key} is {given}; it can be from {least} to {most}. Look at the number and its unit again.",
            key=where,
            given=allowed.kind.said(value),
            least=allowed.kind.said(least),
            most=allowed.kind.said(most),
        )
    return Figure(name=allowed.record, value=round(value, 9))


def _parted(path: str, where: str, written: float | str) -> tuple[float, str]:
    """The number and its unit, the key's own where none is written."""
    units = _RANGES[path].kind.units
    own = next(iter(units))
    if not isinstance(written, str):
        if not math.isfinite(written):
            raise BadInput("{key} is {given}, which is no number. Look it up again.", key=where, given=str(written))
        return float(written), own
    found = _NUMBER.fullmatch(written)
    if found is None:
        raise _not_understood(path, where, written)
    unit = str(found[2] or own).strip()
    if unit not in units:
        raise _not_understood(path, where, written)
    if _UNCLEAR.fullmatch(found[1]):
        raise BadInput(
            '{key} is "{given}", which may mean thousands or thousandths. Write it with a point or without the comma.',
            key=where,
            given=written,
        )
    return float(found[1].replace(",", ".")), unit


def _not_understood(path: str, where: str, written: str) -> BadInput:
    shown = "".join(letter if letter.isprintable() else "?" for letter in written[:40])
    if units := unit_words(path):
        return BadInput(
            '{key} is "{given}", which is not understood. Enter a number in {unit}, or a text with its unit: {units}.',
            key=where,
            given=shown,
            unit=counted_in(path),
            units=units,
        )
    return BadInput(
        '{key} is "{given}", which is not understood. Enter a number, without quotes.', key=where, given=shown
    )
