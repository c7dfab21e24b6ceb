"""The JSON of a pack follows its published schema, holds every number with its origin, and never a NaN."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from scrubwright.jobs.pack_answer import PackAnswer, PackPart, PackVerdict
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.provenance import Origin
from scrubwright.paperwork.pack_json import pack_answer_schema, pack_json
from tests.rooms.pack_answer_example import flooded_answer, lithium_answer, sealed_answer, unread_answer

DOCS = Path(__file__).parents[2] / "docs" / "reference" / "pack-json.md"
SCHEMA = json.loads(pack_answer_schema())


@pytest.mark.parametrize("answer", [flooded_answer, sealed_answer, lithium_answer, unread_answer])
def test_the_answer_follows_its_own_schema(answer: Callable[[], PackAnswer]) -> None:
    page = json.loads(pack_json(answer()))
    checker = jsonschema.FormatChecker(["date"])
    jsonschema.Draft202012Validator(SCHEMA, format_checker=checker).validate(page)
    assert page.keys() == SCHEMA["properties"].keys() == set(SCHEMA["required"])


def test_the_schema_is_a_sound_one_and_refuses_what_is_not_an_answer() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    page = json.loads(pack_json(flooded_answer()))
    for key, wrong in (("verdict", "maybe"), ("cells", None), ("figures", [{}]), ("replace_by", {"likely": None})):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.Draft202012Validator(SCHEMA).validate(page | {key: wrong})


def test_the_words_of_the_schema_are_those_of_the_records() -> None:
    figure = SCHEMA["$defs"]["figure"]["properties"]
    assert SCHEMA["properties"]["verdict"]["enum"] == list(PackVerdict)
    assert figure["part"]["enum"] == list(PackPart)
    assert figure["origin"]["enum"] == list(Origin)


def test_every_field_of_the_schema_stands_on_its_reference_page_and_in_the_answer() -> None:
    page = DOCS.read_text(encoding="utf-8")
    written = pack_json(flooded_answer())
    fields = set(SCHEMA["properties"])
    for part in SCHEMA["$defs"].values():
        fields |= set(part.get("properties", ()))
    assert [name for name in sorted(fields) if f"`{name}`" not in page] == []
    assert [name for name in sorted(fields) if f'"{name}":' not in written] == []


def test_a_number_keeps_its_name_its_band_and_where_it_comes_from() -> None:
    figures = {each["name"]: each for each in json.loads(pack_json(flooded_answer()))["figures"]}
    charge = figures["charge_fraction"]
    assert (charge["value"], charge["low"], charge["high"]) == (0.967, 0.941, 0.993)
    assert (charge["origin"], charge["part"]) == ("measured", "charge left")
    assert charge["detail"]["text"] == "2025-11-12, 17 cells by the pack's own full and flat gravity"
    assert figures["mains_a"]["low"] is None


def test_cells_keep_their_order_and_the_unread_one_its_nulls() -> None:
    cells = json.loads(pack_json(flooded_answer()))["cells"]
    assert [each["number"] for each in cells] == list(range(1, 19))
    assert [each["number"] for each in cells if each["is_weakest"]] == [11]
    assert cells[15]["gravity_ratio"] is None
    assert cells[10]["above_median_ratio"] == -0.032


def test_the_day_of_replacement_keeps_both_ends_or_says_that_they_are_not_known() -> None:
    answer = flooded_answer()
    assert json.loads(pack_json(answer))["replace_by"] == {
        "likely": "2026-05-03",
        "first": "2026-02-20",
        "last": "2026-08-09",
    }
    alone = json.loads(pack_json(replace(answer, replace_by=answer.replace_by[:1])))["replace_by"]
    assert alone == {"likely": "2026-05-03", "first": None, "last": None}


@pytest.mark.parametrize("given", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_is_refused_by_name(given: float) -> None:
    answer = flooded_answer()
    wrong = replace(answer, trend=(replace(answer.trend[0], full_pack_h=given),))
    with pytest.raises(NoAnswer, match="full_pack_h"):
        pack_json(wrong)


def test_the_same_answer_gives_the_same_text() -> None:
    assert pack_json(flooded_answer()) == pack_json(flooded_answer())
