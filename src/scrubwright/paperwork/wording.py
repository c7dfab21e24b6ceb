"""How a sentence reaches its reader: their language, their units, their way to write a number."""

import math
import string
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, StrEnum
from functools import cache
from importlib.resources import files

from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence, Value
from scrubwright.measures.units import (
    KILOGRAMS_PER_POUND,
    LITRES_PER_GALLON,
    METRES_PER_FOOT,
    Shown,
    UnitSystem,
    unit_of,
)

# A space that no line breaks at. The Spanish academy and ISO 80000-1 ask for a space between groups
# of three; the wider no-break space is taken because every font and terminal has it.
NO_BREAK = "\u00a0"
FIRST_GROUPED = 10_000
SECONDS_UNTIL_S = 600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Small:
    """How a small amount is shown, and below which number of that unit."""

    shown: Shown
    below: float


# Lengths as rulers have them, openings of walls, what goes into one cell, and what is left of a shift.
_SMALL: Mapping[tuple[str, UnitSystem], _Small] = {
    ("m", UnitSystem.SI): _Small(shown=Shown(label="mm", factor=1000, decimals=0), below=99.5),
    ("m", UnitSystem.US): _Small(shown=Shown(label="in", factor=12 / METRES_PER_FOOT, decimals=1), below=11.95),
    ("m2", UnitSystem.SI): _Small(shown=Shown(label="cm²", factor=1e4, decimals=0), below=999.5),
    ("m2", UnitSystem.US): _Small(
        shown=Shown(label="in²", factor=(12 / METRES_PER_FOOT) ** 2, decimals=0), below=143.5
    ),
    ("l", UnitSystem.SI): _Small(shown=Shown(label="mL", factor=1000, decimals=0), below=999.5),
    ("l", UnitSystem.US): _Small(shown=Shown(label="fl oz", factor=128 / LITRES_PER_GALLON, decimals=1), below=63.95),
    ("kg", UnitSystem.SI): _Small(shown=Shown(label="g", factor=1000, decimals=0), below=999.5),
    ("h", UnitSystem.SI): _Small(shown=Shown(label="min", factor=60, decimals=0), below=59.5),
    ("h", UnitSystem.US): _Small(shown=Shown(label="min", factor=60, decimals=0), below=59.5),
    ("kg", UnitSystem.US): _Small(shown=Shown(label="oz", factor=16 / KILOGRAMS_PER_POUND, decimals=1), below=15.95),
}

# Labels that are words, for one of them.
_ONE = {"shifts": "shift", "cycles": "cycle", "days": "day"}


class Language(StrEnum):
    """The languages that Scrubwright speaks."""

    ENGLISH = "en"
    SPANISH = "es"


def merged_words(papers: Mapping[str, Mapping[str, str]]) -> dict[str, str]:
    """The translations of several papers as one table.

    Parameters
    ----------
    papers
        Name of each paper and its `[sentences]`: English template to translated template.

    Raises
    ------
    UnreadablePaper
        Two papers translate one template differently, or a translation names other values.
    """
    merged: dict[str, str] = {}
    owner: dict[str, str] = {}
    for paper, sentences in sorted(papers.items()):
        for template, translation in sentences.items():
            if merged.setdefault(template, translation) != translation:
                raise UnreadablePaper(
                    'The words files {first} and {second} translate "{english}" in two ways; keep one.',
                    first=owner[template],
                    second=paper,
                    english=_quoted(template),
                )
            owner.setdefault(template, paper)
            if _names(template) != _names(translation):
                raise UnreadablePaper(
                    'The words file {paper} translates "{english}" with other names in braces; use the same ones.',
                    paper=paper,
                    english=_quoted(template),
                )
    return merged


@cache
def words_of(language: Language) -> Mapping[str, str]:
    """All translations into one language, merged from the words files of every room."""
    if language is Language.ENGLISH:
        return {}
    folder = files("scrubwright.paperwork") / "words" / language.value
    papers = {
        paper.name: tomllib.loads(paper.read_text(encoding="utf-8")).get("sentences", {})
        for paper in folder.iterdir()
        if paper.name.endswith(".toml")
    }
    return merged_words(papers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Teller:
    """Tells sentences, numbers and durations to one reader.

    Examples
    --------
    >>> teller = Teller(language=Language.SPANISH, system=UnitSystem.SI)
    >>> teller.number("gap_m", 0.88)
    '0,88 m'
    >>> teller.duration(14_040.0)
    '3 h 54 min'
    """

    language: Language = Language.ENGLISH
    system: UnitSystem = UnitSystem.SI

    def tell(self, sentence: Sentence) -> str:
        """The sentence with its values, in the reader's language and units."""
        said = {name: self._said(name, value) for name, value in sentence.values}
        own = dict(sentence.translations).get(self.language.value)
        return string.Formatter().vformat(own or self._template(sentence.template), (), said)

    def words(self, template: str, **values: Value) -> str:
        """A template of the pages or the terminal, told like a `Sentence`; an enum value is its own template."""
        return self.tell(Sentence(str(template), **values))

    def called(self, name: str) -> str:
        """A name as somebody gave it; one of ours (an enum value) in the reader's words."""
        return self._template(name) if isinstance(name, Enum) else name

    def number(self, name: str, value: float) -> str:
        """A number with its unit, e.g. `gap_m` 0.88 as "0.88 m", "2.9 ft" or "0,88 m".

        Times of a minute and more are durations: `wait_s` 14040 is "3 h 54 min". Hours are told to
        the tenth, whole ones without it and parts of one in minutes: "3.3 h", "3 h", "17 min".
        Lengths below 0.1 m are millimetres, below a foot inches, as rulers have them; small areas,
        volumes and masses are cm², mL and g, or in², fl oz and oz.

        Raises
        ------
        BadInput
            The name ends in no suffix of the units table.
        """
        unit = unit_of(name)
        if unit is None:
            raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=name)
        if unit.suffix == "s" and 60 <= abs(value) < math.inf:
            return ("-" if value < 0 else "") + self.duration(abs(value))
        how = unit.si if self.system is UnitSystem.SI else unit.us
        small = _SMALL.get((unit.suffix, self.system))
        if small is not None and 0 < abs(small.shown.number(value)) < small.below:
            how = small.shown
        shown = how.number(value)
        decimals = _hour_decimals(shown) if how.label == "h" else _decimals(shown, how.decimals)
        text = self.plain(shown, decimals)
        if how.label == "°":
            return text + how.label
        return self.labelled(text, how.label)

    def labelled(self, number: str, label: str) -> str:
        """A number as it is written already, with the label of its unit: "14 cycles", "1 cycle"."""
        one_or_more = _ONE.get(label, label) if number == "1" else label
        return f"{number} {self._template(one_or_more)}".rstrip()

    def bare(self, name: str, value: float, decimals: int | None = None) -> str:
        """The number alone, for a table whose heading carries the unit (see `label`)."""
        unit = unit_of(name)
        if unit is None:
            raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=name)
        how = unit.si if self.system is UnitSystem.SI else unit.us
        shown = how.number(value)
        return self.plain(shown, _decimals(shown, how.decimals) if decimals is None else decimals)

    def label(self, name: str) -> str:
        """The unit that the reader sees for a name, e.g. `area_m2` as "m²" or "ft²"."""
        unit = unit_of(name)
        if unit is None:
            raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=name)
        return self._template((unit.si if self.system is UnitSystem.SI else unit.us).label)

    def plain(self, value: float, decimals: int = 0) -> str:
        """A pure number with a fixed count of decimals, in the reader's way of writing.

        English writes 1,234 and 12,345.6; Spanish 1234 and 12 345,6 (groups from five digits on).
        """
        text = f"{value:,.{decimals}f}"
        if self.language is Language.ENGLISH:
            return text
        whole, _, rest = text.partition(".")
        whole = whole.replace(",", NO_BREAK if abs(value) >= FIRST_GROUPED else "")
        return f"{whole},{rest}" if rest else whole

    def duration(self, seconds_s: float) -> str:
        """A length of time as people say it: "45 s", "9 min 30 s", "54 min", "3 h 54 min"."""
        total = round(seconds_s)
        if total < 60:
            return f"{total} s"
        if total < SECONDS_UNTIL_S:
            minutes, seconds = divmod(total, 60)
            return f"{minutes} min {seconds} s" if seconds else f"{minutes} min"
        hours, minutes = divmod(round(seconds_s / 60), 60)
        if not hours:
            return f"{minutes} min"
        return f"{self.plain(hours)} h {minutes} min" if minutes else f"{self.plain(hours)} h"

    def clock(self, seconds_s: float) -> str:
        """Time since the beginning of the shift as hours and minutes, e.g. "3:54"."""
        hours, minutes = divmod(round(seconds_s / 60), 60)
        return f"{hours}:{minutes:02d}"

    def _template(self, template: str) -> str:
        return words_of(self.language).get(template, template)

    def _said(self, name: str, value: Value) -> str:
        if isinstance(value, Sentence):
            return self.tell(value)
        if isinstance(value, tuple):
            return ", ".join(self.tell(each) for each in value)
        if isinstance(value, float):
            return self.number(name, value)
        if isinstance(value, Enum):
            return self._template(str(value))
        if isinstance(value, int) and abs(value) >= FIRST_GROUPED:
            return self.plain(value)
        return str(value)


def _hour_decimals(shown: float) -> int:
    """Decimals of hours: whole ones have none, and no log or plan knows others better than to the tenth."""
    return 0 if f"{shown:.1f}".endswith(".0") else 1


def _decimals(shown: float, usual: int) -> int:
    """Decimals that keep small things visible (0.4 m²) and large ones short (1,234 m)."""
    size = abs(shown)
    if size >= 100:
        return max(0, min(usual, 4 - len(str(int(size))))) if size < math.inf else 0
    if abs(size - round(size)) < 1e-6:
        return usual
    # One digit tells 0.128 m², or an eighth of an inch, a fifth wrong.
    if size < 0.195:
        return max(usual, 2)
    return max(usual, 1) if size < 10 else usual


def _names(template: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name}


def _quoted(template: str) -> str:
    return template if len(template) <= 60 else template[:57] + "..."
