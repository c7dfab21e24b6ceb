"""The blank plate and its schema agree with the reader; what holds for every kind of file is in test_toml_paper."""

import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from scrubwright.paperwork.plate_paper import blank_plate, plate_schema
from scrubwright.paperwork.plates import reading_of_text
from tests.rooms.toml_blanks import filled

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples" / "plates").glob("*.toml"))


def test_a_blank_is_told_to_be_empty_and_not_to_be_wrong() -> None:
    reading = reading_of_text(blank_plate(str), "blank.toml")
    assert reading.plate is None
    assert reading.wrong == ()
    assert len(reading.missing) > 20


def test_a_blank_filled_with_its_own_examples_is_a_plate() -> None:
    text = filled(blank_plate(str))
    # Of two ways to say one thing, one is kept.
    reading = reading_of_text(text.replace("fill_min = 7", ""), "filled.toml")
    assert [str(sentence) for sentence in reading.wrong + reading.missing] == []
    assert reading.plate is not None


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
