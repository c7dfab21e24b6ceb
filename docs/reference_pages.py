"""Writes the reference pages that the code already holds: command line, units table and house rules."""

import ast
from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path
from typing import Any, get_args

from scrubwright.catalogue.terms import Term
from scrubwright.cli.reference import command_line_page
from scrubwright.measures.units import UNITS, Shown
from scrubwright.paperwork.catalogue_file import PartFile, TellingTable
from scrubwright.paperwork.toml_keys import Table, meaning_of, table_in

DOCS = Path(__file__).parent
RULES = DOCS.parent / "tests" / "house_rules"
PROPER = {"apache": "Apache", "english": "English", "ifc": "IFC", "machines": "machine's", "spanish": "Spanish"}
WRITTEN_BY = "Written by `make docs`; change the code instead.\n"


def units_page() -> str:
    """Every suffix of the units table, what it means, and how each family of units shows it."""
    lines = [
        "# Units table\n",
        WRITTEN_BY,
        "The name of every public float ends in one of these; the longest wins: `speed_m_per_s` is a speed, no time.\n",
        "| suffix | what it is | SI shows | US shows |",
        "|---|---|---|---|",
    ]
    lines += [f"| `_{unit.suffix}` | {unit.meaning} | {_seen(unit.si)} | {_seen(unit.us)} |" for unit in UNITS]
    lines.append(
        "\nWhat is shown is the stored number times a factor: lengths are stored in metres, and a US reader sees feet. "
        "Temperatures are stored in kelvin and shown in °C or °F. "
        "The factors are exact by definition; `tests/published/us_units.csv` compares them with printed tables."
    )
    return "\n".join(lines) + "\n"


def _seen(how: Shown) -> str:
    return f"{how.label or 'a bare number'}, {_decimals(how.decimals)}"


def _decimals(count: int) -> str:
    return {0: "whole", 1: "1 decimal"}.get(count, f"{count} decimals")


def house_rules_page() -> str:
    """What `tests/house_rules` holds everybody to, in the words of its tests."""
    lines = ["# House rules\n", WRITTEN_BY, "Each line is a test in `tests/house_rules`, run by `make test`."]
    for path in sorted(RULES.glob("test_*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        lines.append(f"\n## {(ast.get_docstring(tree) or '').rstrip('.')}\n")
        names = [node.name for node in tree.body if isinstance(node, ast.FunctionDef)]
        lines += [f"- {_sentence(name)}" for name in names if name.startswith("test_")]
    return "\n".join(lines) + "\n"


def _sentence(test: str) -> str:
    said = " ".join(PROPER.get(word, word) for word in test.removeprefix("test_").split("_"))
    return f"{said[0].upper()}{said[1:]}."


CATALOGUE_FOREWORD = """\
The catalogue holds what the trade knows of each part of a machine: one TOML file per part in
`src/scrubwright/catalogue/parts`. A shop writes files of the same shape and lays them over it with
`--shop`. A file names its part by `id`; a row (`[[check]]`, `[[service]]`, `[[caution]]`, `[[fault]]`,
`[[lesson]]`) is found by its own `id`. Write only what changes:

    id = "brakes"

    [[check]]
    id = "park-brake-holds"
    release = "technician"

- A new `id` adds a row, or a whole part; then every key below without "may be" is asked.
- `off = true` in a check switches it off. Only notes can be switched off.
- A stop rule can be made stricter, never removed or weakened: its occasions, machines, limits, intervals
  and who may release it are held against the catalogue, and a weaker one is refused with its key.
- What a shop changed says so wherever it is shown, with the name of the file.

Texts are given in every language: `look = { en = "...", es = "..." }`. They name limits in braces with
their unit, such as `{at_least_m}`, and each reader gets their own units. Limits are in SI: a blade's
8 mm are `0.008` with `unit = "m"`.

`applies_when` and `stop_when` join facts by `and`, `or`, `not` and brackets. The facts are:
"""


def catalogue_page() -> str:
    """The catalogue's files, key by key."""
    lines = ["# Catalogue files\n", WRITTEN_BY, CATALOGUE_FOREWORD + ", ".join(f"`{term}`" for term in Term) + ".\n"]
    lines += ["| table | key | if left out | what it is |", "|---|---|---|---|", *_catalogue_rows(PartFile, "")]
    return "\n".join(lines) + "\n"


def _catalogue_rows(table: type[Table], name: str) -> Iterator[str]:
    inner: list[tuple[type[Table], str]] = []
    for key, field in table.model_fields.items():
        found = table_in(field.annotation)
        asked = "asked" if field.is_required() else "may be"
        shape = " (in every language)" if found is TellingTable else ""
        words = _allowed(field.annotation)
        said = f"{meaning_of(field)}{shape}{f' One of: {words}.' if words else ''}"
        place = f"`[{name}]`" if name else ""
        yield f"| {place} | `{key}` | {asked} | {said} |"
        if found is not None and found is not TellingTable:
            inner.append((found, f"{name}.{key}" if name else key))
    for found, path in inner:
        yield from _catalogue_rows(found, path)


def _allowed(annotation: Any) -> str:
    kinds = [annotation, *get_args(annotation)]
    words = next((kind for kind in kinds if isinstance(kind, type) and issubclass(kind, StrEnum)), None)
    return ", ".join(f"`{word}`" for word in words) if words is not None else ""


PAGES = {
    "reference/catalogue-files.md": catalogue_page,
    "reference/command-line.md": command_line_page,
    "reference/house-rules.md": house_rules_page,
    "reference/units.md": units_page,
}


def main() -> None:
    """Write every page."""
    for name, page in PAGES.items():
        (DOCS / name).write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
