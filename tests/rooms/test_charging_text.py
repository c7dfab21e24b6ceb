"""The night of charging as text, as strips of time and as JSON."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import jsonschema
import pytest

from scrubwright.jobs.charging_answer import CONTINUOUS_FRACTION, Charge, ChargingAnswer
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.charging_json import charging_json, charging_schema
from scrubwright.paperwork.charging_strip import gassing_at, scale_of, strip_letters
from scrubwright.paperwork.charging_text import charging_sections, charging_text
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.charging_answer_example import (
    HOME_AT,
    NARROW,
    NIGHT,
    OLD,
    WIDE,
    at,
    fitting_answer,
    long_answer,
    misfit_answer,
)

ANSWERS = (fitting_answer, misfit_answer, long_answer)
DOCS = Path(__file__).parents[2] / "docs" / "reference" / "charging-file.md"
SCHEMA = json.loads(charging_schema())


def parts(answer: ChargingAnswer, teller: Teller | None = None) -> dict[str, str]:
    return {section.heading: section.body for section in charging_sections(answer, teller or Teller())}


def test_the_verdict_comes_first_then_why_then_who_charges_when() -> None:
    assert list(parts(fitting_answer())) == [
        "IT FITS",
        "Who charges when",
        "The night",
        "Circuits",
        "Numbers",
        "Air of the room: screening, not a design",
        "Made with",
        "Taken for granted",
        "Bear in mind",
    ]
    assert parts(fitting_answer())["IT FITS"].startswith("Every machine is ready in time, the last at 05:00.")


def test_a_night_that_does_not_fit_tells_what_would_help_in_its_place() -> None:
    told = parts(misfit_answer())
    assert list(told)[:3] == ["IT DOES NOT FIT", "What would make it fit", "Home and ready by"]
    assert "Who charges when" not in told
    assert "The night" not in told
    assert told["What would make it fit"].splitlines()[0].startswith("  1. Be ready later: Old disc")
    assert told["Home and ready by"].splitlines()[-1].split()[-2:] == ["23:00", "04:30"]


def test_a_night_that_nothing_helps_says_so() -> None:
    told = parts(replace(misfit_answer(), changes=()))["What would make it fit"]
    assert told.startswith("  Nothing that was tried makes it fit.")


@pytest.mark.parametrize("answer", ANSWERS)
@pytest.mark.parametrize("language", Language)
@pytest.mark.parametrize("system", UnitSystem)
def test_no_line_is_wider_than_a_terminal(
    answer: Callable[[], ChargingAnswer], language: Language, system: UnitSystem
) -> None:
    lines = charging_text(answer(), Teller(language=language, system=system)).splitlines()
    assert [line for line in lines if len(line) > 80 or line != line.rstrip()] == []


def test_a_charge_that_pauses_has_a_line_for_each_stretch() -> None:
    rows = [line.split() for line in parts(fitting_answer())["Who charges when"].splitlines()]
    assert rows[1] == ["Wide", "disc", "Panel,", "4", "22:00", "23:30", "06:00"]
    assert rows[2] == ["01:00", "04:30"]


def test_over_more_than_a_day_times_carry_their_day() -> None:
    rows = parts(long_answer())["Who charges when"].splitlines()
    assert rows[-1].split("  ")[-3:] == ["2026-03-10 22:00", "2026-03-11 03:00", "2026-03-13 06:00"]


def test_loads_stand_beside_what_their_breakers_allow() -> None:
    rows = parts(fitting_answer())["Circuits"].splitlines()
    # 0.8 x 16 A - 1.5 A
    assert rows[1].split("  ")[-1] == "80 % of 16.0 A, less 1.5 A"
    assert [word for word in rows[1].split() if word[0].isdigit()][:3] == ["4", "9.0", "11.3"]
    assert rows[2].endswith("80 % of 20.0 A")
    assert CONTINUOUS_FRACTION == 0.8


def test_an_opening_is_told_to_the_square_centimetre() -> None:
    told = parts(fitting_answer())["Air of the room: screening, not a design"]
    # 28 cm² for each of 32.472 m³/h
    assert "909 cm²" in told
    us = Teller(system=UnitSystem.US)
    assert "141 in²" in parts(fitting_answer(), us)["Air of the room: screening, not a design"]


def test_the_air_names_its_formula_and_what_the_room_has() -> None:
    told = " ".join(parts(fitting_answer())["Air of the room: screening, not a design"].split())
    assert "0.055 m³/h for each cell and each ampere" in told
    assert "The room changes 60.0 m³/h, as you gave it. Its free volume is 190.0 m³." in told
    unknown = replace(fitting_answer(), night=replace(NIGHT, room=None))
    assert "as you gave it" not in charging_text(unknown, Teller())


def test_what_went_in_carries_where_it_comes_from() -> None:
    rows = [line.split() for line in parts(fitting_answer())["Made with"].splitlines()]
    assert rows[1] == ["Wide", "disc", "9.0", "A", "5", "h", "3", "h", "8,000", "Wh"]
    assert rows[2] == ["plate", "measured", "from", "memory", "estimate"]
    # It never gasses, so no time stands there.
    assert rows[3] == ["Narrow", "disc", "7.0", "A", "1", "h", "30", "min", "-", "1,500", "Wh"]


def test_letters_that_steer_a_terminal_are_left_out() -> None:
    answer = replace(misfit_answer(), why=Sentence("{machine} on {circuit}", machine="A\x1b[2J", circuit="B"))
    assert "\x1b" not in charging_text(answer, Teller())


def strip(charge: Charge) -> str:
    machine = next(each for each in NIGHT.machines if each.name == charge.machine)
    return strip_letters(charge, machine, scale_of(fitting_answer(), 60))


def test_a_strip_shows_charging_gassing_waiting_and_the_hour_to_be_ready() -> None:
    wide, old, narrow = fitting_answer().charges
    # Ten minutes a letter from 22:00 on: 9 to 23:30, 9 of waiting, 9 to 02:30, 12 of gas to 04:30, ready at 06:00.
    assert strip(wide) == "#" * 9 + "." * 9 + "#" * 9 + "=" * 12 + " " * 9 + "|"
    # It gasses from the first moment on, as far as anybody knows; home and plugged in at 23:00.
    assert strip(old) == " " * 6 + "=" * 36 + " " * 6 + "|"
    assert strip(narrow) == "." * 9 + "#" * 9 + " " * 30 + "|"


def test_pauses_do_not_count_towards_the_gas() -> None:
    wide, old, narrow = fitting_answer().charges
    assert gassing_at(wide, WIDE) == at("2:30")
    assert gassing_at(old, OLD) == at("23:00")
    # A sealed pack never does.
    assert gassing_at(narrow, NARROW) == at("1:00")
    # Full three hours before the pause: it gasses as soon as it goes on.
    late = replace(wide, spans=((HOME_AT, at("1:00")), (at("2:00"), at("4:00"))))
    assert gassing_at(late, WIDE) == at("2:00")


@pytest.mark.parametrize("hours", [1, 3, 8, 16, 30, 60])
def test_the_scale_holds_every_night_on_whole_letters(hours: int) -> None:
    wide = replace(WIDE, ready_by=HOME_AT + timedelta(hours=hours), charge_h=0.5, gassing_from_h=0.5)
    answer = replace(long_answer(), night=replace(long_answer().night, machines=(wide,)))
    scale = scale_of(answer, 60)
    assert scale.letters <= 60
    assert scale.begins_at <= wide.home_at
    assert scale.place(wide.ready_by) < scale.letters
    assert scale.letter % timedelta(minutes=5) == timedelta(0)


@pytest.mark.parametrize("answer", ANSWERS)
def test_the_json_follows_its_own_schema(answer: Callable[[], ChargingAnswer]) -> None:
    page = json.loads(charging_json(answer()))
    jsonschema.Draft202012Validator(SCHEMA).validate(page)
    assert page.keys() == SCHEMA["properties"].keys() == set(SCHEMA["required"])


def test_the_schema_is_a_sound_one_and_refuses_what_is_not_an_answer() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    page = json.loads(charging_json(fitting_answer()))
    for key, wrong in (("fits", "yes"), ("charges", [{}]), ("all_done_at", "05:00"), ("night", None), ("figures", [1])):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.Draft202012Validator(SCHEMA).validate(page | {key: wrong})


def test_the_words_of_the_schema_are_those_of_the_records() -> None:
    assert SCHEMA["$defs"]["figure"]["properties"]["origin"]["enum"] == list(Origin)
    assert SCHEMA["$defs"]["machine"]["properties"]["origins"]["additionalProperties"]["enum"] == list(Origin)


def test_every_field_of_the_schema_stands_on_its_reference_page_and_in_the_answer() -> None:
    page, written = DOCS.read_text(encoding="utf-8"), charging_json(fitting_answer())
    fields = set(SCHEMA["properties"])
    for part in SCHEMA["$defs"].values():
        fields |= set(part.get("properties", ()))
    assert [name for name in sorted(fields) if f"`{name}`" not in page] == []
    assert [name for name in sorted(fields) if f'"{name}":' not in written] == []


def test_the_json_keeps_times_numbers_and_where_they_come_from() -> None:
    page = json.loads(charging_json(fitting_answer()))
    wide = page["charges"][0]
    assert wide["spans"][1] == {"from_at": "2026-03-11T01:00:00", "until_at": "2026-03-11T04:30:00"}
    assert wide["gasses_at"] == "2026-03-11T02:30:00"
    assert page["charges"][2]["gasses_at"] is None
    machine = page["night"]["machines"][0]
    assert (machine["mains_a"], machine["before_gas_fraction"]) == (9.0, 0.65)
    assert machine["origins"]["charge_h"] == "measured"
    # 0.055 x 12 cells x 35 A
    assert machine["gas"]["air_m3_per_h"] == pytest.approx(23.1)
    assert page["night"]["circuits"][0]["limit_a"] == pytest.approx(11.3)


def test_a_night_that_does_not_fit_keeps_its_nulls() -> None:
    page = json.loads(charging_json(misfit_answer()))
    assert (page["fits"], page["all_done_at"], page["gap_fraction"], page["charges"]) == (False, None, None, [])
    assert page["night"]["room"] is None
    assert page["night"]["machines"][2]["energy_wh"] is None
    assert "energy_wh" not in page["night"]["machines"][2]["origins"]


@pytest.mark.parametrize("given", [math.nan, math.inf])
def test_a_number_that_is_not_finite_is_refused_by_name(given: float) -> None:
    answer = fitting_answer()
    wrong = replace(answer, loads=(replace(answer.loads[0], most_a=given),))
    with pytest.raises(NoAnswer, match="most_a"):
        charging_json(wrong)
