"""The blank charging file and its schema agree with the reader; what every kind of file does is in test_toml_paper."""

import re
import tomllib
from typing import Any

import jsonschema
import pytest

from scrubwright.paperwork.charging_paper import blank_charging, charging_file_schema
from tests.rooms.charging_files import HALL, asked, night_in, read
from tests.rooms.toml_blanks import filled


def test_a_blank_is_told_to_be_empty_and_not_to_be_wrong() -> None:
    assert asked(read(blank_charging(str))) == [
        "machine 1.name",
        "circuit 1.name",
        "circuit 1.breaker_a",
        "machine 1.home",
        "machine 1.ready_by",
        "machine 1.mains_a",
        "machine 1.charge_h",
    ]


def test_a_blank_filled_with_its_own_examples_is_a_night() -> None:
    text = filled(blank_charging(str))
    # Of two ways to say one thing, one is kept.
    night = night_in(read(re.sub(r"^(pack|charge_left_percent|air_m3_per_h) = .*$", "", text, flags=re.MULTILINE)))
    assert [each.name for each in night.machines] == ["Wide disc"]


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("machine", "name", None),
        ("machine", "mains_a", None),
        ("machine", "mains_a", 900),
        ("machine", "cells", 0),
        ("machine", "chemistry", "lead"),
        ("circuit", "breaker_a", None),
        ("circuit", "braker_a", 16),
        ("tariff", "begins", None),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(table: str, key: str, value: Any) -> None:
    hall = tomllib.loads(HALL)
    part = hall[table][-1]
    if value is None:
        del part[key]
    else:
        part[key] = value
    assert not jsonschema.Draft202012Validator(charging_file_schema()).is_valid(hall)
