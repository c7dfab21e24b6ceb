"""The shift as JSON follows its published schema, holds every field of the route's, and never a NaN."""

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from scrubwright.jobs.shift_answer import ShiftVerdict
from scrubwright.measures.errors import NoAnswer
from scrubwright.paperwork.route_json import route_json, route_schema
from scrubwright.paperwork.shift_json import shift_json, shift_schema
from tests.rooms.shift_answer_example import CHARGE_S, shift_answer

PROMISED = (
    "chance_of_finishing chance_of_finishing_error_fraction first_limit finish_at dry_at end_charge_fraction changes "
    "sections machines samples"
)
PAGES = Path(__file__).parents[2] / "docs" / "reference"
SCHEMA = json.loads(shift_schema())
ROUTE_SCHEMA = json.loads(route_schema())


def page(verdict: ShiftVerdict = ShiftVerdict.TIGHT, machines: int = 1) -> Any:
    return json.loads(shift_json(shift_answer(verdict, machines=machines)))


def only_known(given: Any, schema: Any) -> Any:
    """What is left of a page for a reader who knows this schema alone."""
    if "$ref" in schema:
        return only_known(given, ROUTE_SCHEMA["$defs"][schema["$ref"].rpartition("/")[2]])
    if isinstance(given, list):
        return [only_known(each, schema.get("items", {})) for each in given]
    if isinstance(given, dict) and "properties" in schema:
        known = schema["properties"]
        return {name: only_known(value, known[name]) for name, value in given.items() if name in known}
    return given


@pytest.mark.parametrize("verdict", list(ShiftVerdict))
@pytest.mark.parametrize("machines", [1, 2])
def test_the_answer_follows_its_own_schema_and_the_schema_is_a_sound_one(verdict: ShiftVerdict, machines: int) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.Draft202012Validator(SCHEMA).validate(page(verdict, machines))


def test_the_schema_refuses_what_it_does_not_know() -> None:
    stranger = page() | {"mood": "good"}
    late = page()
    late["finish_at"] = "soon"
    for wrong in (stranger, late):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.Draft202012Validator(SCHEMA).validate(wrong)


def test_every_promised_field_is_required_by_the_schema() -> None:
    assert set(PROMISED.split()) <= set(SCHEMA["required"])


@pytest.mark.parametrize("machines", [1, 2])
def test_whoever_reads_a_route_reads_a_shift(machines: int) -> None:
    known = only_known(page(machines=machines), ROUTE_SCHEMA)
    known["schema"] = ROUTE_SCHEMA["properties"]["schema"]["const"]
    jsonschema.Draft202012Validator(ROUTE_SCHEMA).validate(known)


def test_the_numbers_and_places_of_the_route_are_kept() -> None:
    route, shift = json.loads(route_json(shift_answer().route)), page()
    joined = {"schema", "verdict", "why", "cautions", "machines", "provenance"}
    assert [name for name in route if name not in joined and route[name] != shift[name]] == []
    assert shift["route_verdict"] == route["verdict"]
    assert shift["why"][1:] == route["why"]
    assert all(each in shift["cautions"] for each in route["cautions"])
    for before, after in zip(route["machines"], shift["machines"], strict=True):
        assert before.items() <= after.items()


def test_every_field_of_the_schema_stands_on_its_reference_page() -> None:
    pages = "".join((PAGES / name).read_text(encoding="utf-8") for name in ("shift-json.md", "route-json.md"))
    fields = set(SCHEMA["properties"])
    for part in SCHEMA["$defs"].values():
        fields |= set(part["properties"])
    assert [name for name in sorted(fields) if f"`{name}`" not in pages] == []


def test_the_courses_have_one_entry_a_leg_and_end_when_the_machine_is_back() -> None:
    for machine in page(machines=2)["machines"]:
        assert {len(values) for values in machine["course"].values()} == {len(machine["legs"])}
        assert machine["course"]["end_s"][-1] == machine["finish_s"]
        assert machine["course"]["charge_fraction"][-1] == machine["end_charge_fraction"]


def test_the_chance_the_times_and_the_charge_are_those_of_the_answer() -> None:
    found, answer = page(), shift_answer()
    assert found["verdict"]["template"] == "it is tight"
    assert (found["chance_of_finishing"], found["chance_of_finishing_error_fraction"]) == (0.784, 0.006)
    assert found["first_limit"] == "charge"
    assert sum(each["share_fraction"] for each in found["limits"]) + 0.784 == pytest.approx(1)
    assert found["finish_at"] == "2026-03-10T05:20:28"
    assert found["finish_s"]["planned"] == pytest.approx(answer.machines[0].finish_s, abs=1e-5)
    end = found["end_charge_fraction"]
    assert end["low"] < end["planned"] <= end["middle"] < end["high"]


def test_the_clocks_of_a_section_and_its_seconds_agree() -> None:
    first = page()["sections"][0]
    assert (first["close_at"], round(first["close_s"])) == ("2026-03-10T04:00:10", 10)
    assert first["outline_m"][0][0][0] == [6.0, 0.0]


def test_a_change_holds_the_question_that_asks_for_it() -> None:
    found = page()
    assert found["changes"][0]["question"]["settings"]["pressure"] == "low"
    assert found["question"]["settings"]["pressure"] is None
    assert found["changes"][1]["question"]["settings"]["leave_out"] == ["West end"]
    assert found["changes"][2]["question"]["start_at"] == "2026-03-10T03:30:00"
    assert page(ShiftVerdict.FITS)["changes"] == []


def test_the_line_tells_what_is_done_and_where() -> None:
    line = page()["machines"][0]["line"]
    charging = [each for each in line if each["doing"] == "charge"]
    assert [(each["stop"], each["end_s"] - each["start_s"]) for each in charging] == [(2, pytest.approx(CHARGE_S))]
    assert line[-1]["doing"] == "floor drying"


def test_numbers_keep_the_band_of_their_origin() -> None:
    drying = next(each for each in page()["provenance"] if each["name"] == "drying_s")
    assert (drying["low"], drying["value"], drying["high"]) == (290, 430, 640)
    assert drying["origin"] == "published"
    brush = next(each for each in page()["provenance"] if each["name"] == "brush_a")
    assert (brush["low"], brush["high"]) == (None, None)


@pytest.mark.parametrize("given", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_is_refused_by_name(given: float) -> None:
    with pytest.raises(NoAnswer, match="wet_crossed_m"):
        shift_json(replace(shift_answer(), wet_crossed_m=given))
    broken = replace(shift_answer().machines[0].course, pack_v=shift_answer().machines[0].course.pack_v * given)
    machines = (replace(shift_answer().machines[0], course=broken),)
    with pytest.raises(NoAnswer, match="pack_v"):
        shift_json(replace(shift_answer(), machines=machines))


def test_the_same_answer_gives_the_same_text() -> None:
    assert shift_json(shift_answer()) == shift_json(shift_answer())
