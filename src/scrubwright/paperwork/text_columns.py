"""Plain text laid out in columns that never break between a number and its unit."""

import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

WIDTH = 80
_GLUE = "\ue000"
_UNITS = "m|m²|mm|ft|ft²|in|L|gal|gal/1000|h|min|s|%|km/h|mph|mi/h|m²/h|ft²/h|L/min|gpm|gal/min|mL/m²"
_UNIT_AHEAD = re.compile(rf"(?<=\d) (?=(?:{_UNITS})(?![\w/]))|(?<=\d h) (?=\d+ min)|(?<=\d min) (?=\d+ s\b)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: how many letters wide, and on which side its text stands."""

    width: int
    right: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One part of an answer: its heading (for the first, the verdict) and what stands under it."""

    heading: str
    body: str


def sections_text(sections: Iterable[Section]) -> str:
    """The parts of an answer as plain text, an empty line between them."""
    return "\n\n".join(f"{section.heading}\n{section.body}" for section in sections)


def wrapped(text: str, width: int = WIDTH, indent: str = "", mark: str = "") -> str:
    """Text in lines of at most `width` letters, each after `indent`; `mark` stands before the first alone."""
    lines = _lines(text, width - len(indent) - len(mark))
    return "\n".join(indent + (" " * len(mark) if number else mark) + line for number, line in enumerate(lines))


def row(cells: Sequence[str], columns: Sequence[Column], *, indent: str = "  ", gap: str = "  ") -> str:
    """One row of a table, each cell wrapped within its column."""
    split = [_lines(cell, column.width) for cell, column in zip(cells, columns, strict=True)]
    height = max(len(lines) for lines in split)
    laid = []
    for number in range(height):
        parts = [
            (lines[number] if number < len(lines) else "").rjust(column.width)
            if column.right
            else (lines[number] if number < len(lines) else "").ljust(column.width)
            for lines, column in zip(split, columns, strict=True)
        ]
        laid.append((indent + gap.join(parts)).rstrip())
    return "\n".join(laid)


def _lines(text: str, width: int) -> list[str]:
    kept = _UNIT_AHEAD.sub(_GLUE, text)
    lines = textwrap.wrap(kept, width, break_on_hyphens=False) or [""]
    return [line.replace(_GLUE, " ") for line in lines]
