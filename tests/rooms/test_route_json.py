"""The JSON answer follows its published schema, holds what it promises, and never a NaN."""

import json
import math
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.route_json import route_json, route_schema
from tests.rooms.hall_answer import hall_answer

PROMISED = (
    "reachable_area_m2 coverage_fraction overlap_fraction deck_down_length_m length_bound_ratio total_time_s "
    "lower_bound_s bound_gap_fraction dump_trips dump_trips_bound planning_time_s missed unreachable blocks provenance"
)
DOCS = Path(__file__).parents[2] / "docs" / "reference" / "route-json.md"


def test_the_answer_follows_its_own_schema_and_the_schema_is_a_sound_one() -> None:
    schema = json.loads(route_schema())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(json.loads(route_json(hall_answer())))


def test_every_promised_field_is_required_by_the_schema() -> None:
    assert set(PROMISED.split()) <= set(json.loads(route_schema())["required"])


def test_every_field_of_the_schema_stands_on_its_reference_page() -> None:
    page = DOCS.read_text()
    schema = json.loads(route_schema())
    fields = set(schema["properties"])
    for part in schema["$defs"].values():
        fields |= set(part["properties"])
    assert [name for name in sorted(fields) if f"`{name}`" not in page] == []


def test_the_numbers_are_those_of_the_hall() -> None:
    page = json.loads(route_json(hall_answer()))
    # 42 x 26 m of hall less four racks of 30 x 1.2 m and a column of 0.6 m.
    assert page["reachable_area_m2"] == pytest.approx(42 * 26 - 4 * 30 * 1.2 - 0.36)
    # Nine lanes of 25 m at each end, 31 of 30 m and two of 28.2 m in the aisles, an edge pass and a patch.
    assert page["deck_down_length_m"] == pytest.approx(2 * 9 * 25 + 31 * 30 + 2 * 28.2 + (30 + 5.5 + 5.5 + 19.5) + 7)
    assert page["unreachable"][0]["name"] == "Cold room"
    assert page["dump_trips"] == len(page["stops"]) == 3


def test_a_sentence_keeps_its_template_its_values_and_a_text() -> None:
    reason = json.loads(route_json(hall_answer()))["unreachable"][0]["reason"]
    assert reason == {
        "template": "The way in is {gap_m} wide; the machine needs {need_m}.",
        "values": {"gap_m": 0.88, "need_m": 0.8},
        "text": "The way in is 0.88 m wide; the machine needs 0.80 m.",
    }


def test_a_sentence_within_a_sentence_is_kept_as_one() -> None:
    inner = Sentence("{gap_m} wide", gap_m=0.88)
    answer = replace(hall_answer(), verdict=Sentence("No: {first}; {rest}.", first=inner, rest=(inner, inner), count=2))
    page = json.loads(route_json(answer))
    jsonschema.Draft202012Validator(json.loads(route_schema())).validate(page)
    assert page["verdict"]["values"]["rest"][1]["values"] == {"gap_m": 0.88}
    assert page["verdict"]["values"]["count"] == 2


@pytest.mark.parametrize("given", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_is_refused_by_name(given: float) -> None:
    with pytest.raises(NoAnswer, match="lower_bound_s"):
        route_json(replace(hall_answer(), lower_bound_s=given))


def test_the_same_answer_gives_the_same_text() -> None:
    assert route_json(hall_answer()) == route_json(hall_answer())
