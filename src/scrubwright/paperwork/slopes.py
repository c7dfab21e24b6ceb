"""How steep a ramp is and which way it climbs, as people write it beside one."""

import math
import re
from collections.abc import Iterable

from scrubwright.paperwork.roles import plain

# What is written of a ramp that people drive on; a scale such as 1:500 in the same place is no slope.
LEAST_SLOPE_FRACTION = 0.005
MOST_SLOPE_FRACTION = 0.6

_NUMBER = r"(?<![\d.,:/])(\d{1,3}(?:[.,]\d{1,3})?)"
_PERCENT = re.compile(_NUMBER + r"\s*%")
_RATIO = re.compile(r"(?<![\d.,:/])1\s*(?::|/|in\b|en\b)\s*(\d{1,3}(?:[.,]\d{1,3})?)(?![\d:/]|[.,]\d)")
_DEGREES = re.compile(_NUMBER + r"\s*(?:°|deg\b|degrees?\b|grados?\b)")
_UP = frozenset(("up", "sube", "subida", "subir", "ascending", "ascendente"))
_DOWN = frozenset(("down", "dn", "baja", "bajada", "bajar", "descending", "descendente", "fall", "falls", "caida"))


def slopes_fraction(text: str) -> tuple[float, ...]:
    """Every slope that a text names, as rise over run: "8 %", "8,33 %", "1:12", "1 in 12", "4.6°".

    Notes
    -----
    **Source** a slope in percent is rise over run times 100; of an angle, rise over run is its tangent.

    Examples
    --------
    >>> slopes_fraction("Ramp 8 %")
    (0.08,)
    >>> slopes_fraction("scale 1:200")
    ()
    """
    # The ordinal sign that some keyboards give for degrees would become the letter o.
    said = plain(text.replace("º", "°"))
    found = [_value(number) / 100 for number in _PERCENT.findall(said)]
    found += [1 / _value(number) for number in _RATIO.findall(said) if _value(number) > 0]
    found += [math.tan(math.radians(min(89.0, _value(number)))) for number in _DEGREES.findall(said)]
    # A ratio beyond what anybody drives on is the scale of a drawing.
    return tuple(slope for slope in found if LEAST_SLOPE_FRACTION < slope <= MOST_SLOPE_FRACTION)


def _value(number: str) -> float:
    return float(number.replace(",", "."))


def says_up_down(texts: Iterable[str]) -> tuple[bool, bool]:
    """Whether words such as UP or SUBE stand in the texts, and whether words such as DOWN or BAJA."""
    words = {word for text in texts for word in _words(text)}
    return bool(words & _UP), bool(words & _DOWN)


def is_about_slope(line: str) -> bool:
    """Whether a line tells a slope or a way up, and so is no name.

    Examples
    --------
    >>> is_about_slope("slope 6 %"), is_about_slope("UP"), is_about_slope("Loading ramp")
    (True, True, False)
    """
    words = _words(line)
    return bool(slopes_fraction(line)) or bool(words and words[0] in _UP | _DOWN)


def _words(text: str) -> list[str]:
    return [word for word in re.split(r"[^a-z]+", plain(text)) if word]
