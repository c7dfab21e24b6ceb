"""The blank plate, the schema and the reference table hold every key and agree with the reader."""

import re
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from scrubwright.paperwork.plate_file import PlateFile
from scrubwright.paperwork.plate_paper import blank_plate, keys_as_markdown, plate_schema
from scrubwright.paperwork.plates import reading_of_text
from scrubwright.paperwork.toml_keys import known_paths
from scrubwright.paperwork.wording import Language, Teller

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples" / "plates").glob("*.toml"))


def filled(blank: str) -> str:
    """A blank with every key in use and filled with its own example."""
    lines = []
    example = ""
    for told in blank.splitlines():
        if found := re.search(r"(?:for instance|For instance) (.*)\.$", told):
            example = found[1]
        line = re.sub(r"^#(?=[\[a-z])", "", told)
        if line.endswith(' = ""'):
            line = line.removesuffix('""') + example
        lines.append(line)
    return "\n".join(lines)


def test_a_blank_is_told_to_be_empty_and_not_to_be_wrong() -> None:
    reading = reading_of_text(blank_plate(str), "blank.toml")
    assert reading.plate is None
    assert reading.wrong == ()
    assert len(reading.missing) > 20


@pytest.mark.parametrize("language", Language)
def test_a_blank_is_proper_toml_in_every_language(language: Language) -> None:
    blank = blank_plate(Teller(language=language).tell)
    assert set(tomllib.loads(blank)) >= {"name", "deck", "slopes"}
    assert max(len(line) for line in blank.splitlines()) <= 100


def test_a_blank_filled_with_its_own_examples_is_a_plate() -> None:
    text = filled(blank_plate(str))
    # Of two ways to say one thing, one is kept.
    reading = reading_of_text(text.replace("fill_min = 7", ""), "filled.toml")
    assert [str(sentence) for sentence in reading.wrong + reading.missing] == []
    assert reading.plate is not None


def test_a_blank_shows_every_key() -> None:
    blank = blank_plate(str)
    assert [path for path in known_paths(PlateFile) if f"{path.rpartition('.')[2]} = " not in blank] == []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_schema_accepts_the_examples(path: Path) -> None:
    schema = plate_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(tomllib.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("deck", "kind", "rotary"),
        ("deck", "scrub_width_m", 8.0),
        ("deck", "scrub_width", 0.8),
        ("slopes", "max_work_slope_percent", None),
        ("slopes", "max_park_slope_percent", 40),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(table: str, key: str, value: Any) -> None:
    given = tomllib.loads(EXAMPLES[0].read_text(encoding="utf-8"))
    given[table] |= {key: value}
    if value is None:
        del given[table][key]
    assert not jsonschema.Draft202012Validator(plate_schema()).is_valid(given)


def test_the_reference_page_holds_the_table_of_every_key() -> None:
    table = keys_as_markdown()
    assert table in (ROOT / "docs" / "reference" / "plate.md").read_text(encoding="utf-8")
    assert table.count("\n") == len(known_paths(PlateFile)) + 2
