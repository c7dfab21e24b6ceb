"""The blank pack and its schema agree with the reader; what holds for every kind of file is in test_toml_paper."""

import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from scrubwright.paperwork.pack_paper import blank_pack, pack_schema
from scrubwright.paperwork.packs import pack_of_text
from scrubwright.paperwork.readings_columns import Field
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.toml_blanks import filled

ROOT = Path(__file__).parents[2]
HALL = tomllib.loads((ROOT / "examples" / "packs" / "market_hall_36v.toml").read_text(encoding="utf-8"))


def test_a_blank_is_told_to_be_empty_and_not_to_be_wrong() -> None:
    reading = pack_of_text(blank_pack(str), "blank.toml")
    assert reading.paper is None
    assert reading.wrong == ()
    assert [str(each).partition(" is missing")[0] for each in reading.missing] == [
        "name",
        "chemistry",
        "cells",
        "cells_per_block",
        "rated_temperature_c",
        "capacity 1.ah",
        "capacity 1.over_h",
    ]


def test_a_blank_filled_with_its_own_examples_is_a_pack() -> None:
    reading = pack_of_text(filled(blank_pack(str)), "filled.toml")
    assert [str(sentence) for sentence in reading.wrong + reading.missing] == []
    assert reading.paper is not None
    assert reading.paper.charger is not None


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("", "chemistry", "lead"),
        ("", "cells", 0),
        ("", "cut_off_v_per_cell", None),
        ("", "cut_off_v_per_cell", 31.5),
        ("", "gravity", None),
        ("gravity", "reference_temperature_c", None),
        ("gravity", "full", 1275),
        ("gravity", "ful", 1.275),
        ("lock_out", "delay_s", None),
        ("charger", "profile", "IU"),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(table: str, key: str, value: Any) -> None:
    part = dict(HALL[table]) if table else dict(HALL)
    if value is None:
        del part[key]
    else:
        part[key] = value
    assert not jsonschema.Draft202012Validator(pack_schema()).is_valid({**HALL, table: part} if table else part)


def test_the_reference_page_of_the_readings_names_every_column_in_both_languages() -> None:
    page = (ROOT / "docs" / "reference" / "readings-file.md").read_text(encoding="utf-8")
    for language in Language:
        teller = Teller(language=language)
        names = [teller.words(field, number=1) if "{number}" in field else teller.words(field) for field in Field]
        assert [name for name in names if f"`{name}`" not in page] == []
