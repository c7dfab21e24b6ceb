"""The blank charging file, its schema and its reference page hold every key and agree with the reader."""

import re
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from scrubwright.paperwork.charging_file import ChargingFile
from scrubwright.paperwork.charging_paper import blank_charging, charging_file_schema, charging_keys_as_markdown
from scrubwright.paperwork.toml_keys import known_paths
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.charging_files import FOLDER, HALL, ROOT, asked, night_in, read


@pytest.mark.parametrize("language", Language)
def test_a_blank_is_proper_toml_in_every_language(language: Language) -> None:
    blank = blank_charging(Teller(language=language).tell)
    assert set(tomllib.loads(blank)) == {"machine", "circuit"}
    assert max(len(line) for line in blank.splitlines()) <= 110


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


def filled(blank: str) -> str:
    """A blank with every key in use and filled with its own example, but what takes the place of something else."""
    lines, example = [], ""
    for line in blank.splitlines():
        if found := re.search(r"(?:for instance|For instance) (.*)\.$", line):
            example = found[1]
        used = re.sub(r"^#(?=[\[a-z])", "", line)
        lines.append(used.removesuffix('""') + example if used.endswith(' = ""') else used)
    instead = re.compile(r"^(pack|charge_left_percent|air_m3_per_h) = ")
    return "\n".join(line for line in lines if not instead.match(line))


def test_a_blank_filled_with_its_own_examples_is_a_night() -> None:
    night = night_in(read(filled(blank_charging(str))))
    assert [each.name for each in night.machines] == ["Wide disc"]


def test_a_blank_and_the_reference_page_show_every_key() -> None:
    blank, table = blank_charging(str), charging_keys_as_markdown()
    assert [path for path in known_paths(ChargingFile) if f"{path.rpartition('.')[2]} = " not in blank] == []
    assert table.count("\n") == len(known_paths(ChargingFile)) + 2
    assert table in (ROOT / "docs" / "reference" / "charging-file.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.toml")), ids=lambda path: path.stem)
def test_the_schema_accepts_the_examples(path: Path) -> None:
    schema = charging_file_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(tomllib.loads(path.read_text(encoding="utf-8")))


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
