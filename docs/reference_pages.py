"""Writes the reference pages that the code already holds: command line, units table and house rules."""

import ast
from pathlib import Path

from scrubwright.cli.reference import command_line_page
from scrubwright.measures.units import UNITS, Shown

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


PAGES = {
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
