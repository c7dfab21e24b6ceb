"""The shift's answer as JSON, for another program; its schema is `shift.schema.json` beside this file."""

import json
from collections.abc import Sequence
from datetime import datetime, timedelta
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, get_coordinates

from scrubwright.jobs.route_answer import Bites, Caution
from scrubwright.jobs.shift_answer import Change, Course, MachineShift, Section, ShiftAnswer, ShiftVerdict, Stretch
from scrubwright.jobs.shift_question import MachineTonight, Rates, ShiftQuestion
from scrubwright.measures.provenance import Sourced
from scrubwright.paperwork.route_json import (
    Json,
    caution_fields,
    machine_fields,
    number_field,
    route_fields,
    sentence_fields,
    sourced_fields,
)

SCHEMA_NAME = "scrubwright/shift/1"
_RATES = ("scrubbing", "driving", "water", "current", "stops")


def shift_json(answer: ShiftAnswer) -> str:
    """The answer as one JSON object, as `shift.schema.json` describes it.

    It holds every field of the route's JSON, with its meaning, and those of the shift beside them. What
    both have is joined, the shift's first: reasons, cautions, machines, provenance. Numbers keep the
    names, units and values of the records, rounded to six decimals.

    Parameters
    ----------
    answer
        What the planner found.

    Returns
    -------
    str
        JSON in UTF-8 with two spaces of indent and a newline at its end; no NaN, no infinity.

    Raises
    ------
    NoAnswer
        A number of the answer is not finite.
    """
    route, chance = answer.route, answer.chance
    page: dict[str, Json] = {"schema": SCHEMA_NAME}
    page |= route_fields(route)
    page |= {
        "verdict": _verdict(answer.verdict),
        "route_verdict": sentence_fields(route.verdict),
        "why": [sentence_fields(each) for each in (answer.why, *route.why)],
        "cautions": [caution_fields(each) for each in _cautions(answer)],
        "machines": [
            machine_fields(way) | shift_fields(shift) for way, shift in zip(route.routes, answer.machines, strict=True)
        ],
        "provenance": [_sourced(each) for each in dict.fromkeys((*answer.provenance, *route.provenance))],
        "question": question_fields(answer.question),
        "chance_of_finishing": number_field("chance_fraction", chance.chance_fraction),
        "chance_of_finishing_error_fraction": number_field("error_fraction", chance.error_fraction),
        "samples": chance.samples,
        "first_limit": answer.first_limit.value,
        "limits": [
            {"limit": limit.value, "share_fraction": number_field("share_fraction", share)}
            for limit, share in chance.limits
        ],
        "finish_at": _clock(answer.finish_at),
        "dry_at": _clock(answer.dry_at),
        "finish_s": _band(answer, answer.finish_at, chance.finish_s),
        "dry_s": _band(answer, answer.dry_at, chance.dry_s),
        "end_charge_fraction": {
            "planned": number_field("charge_fraction", min(each.end_charge_fraction for each in answer.machines)),
            **_ends("charge_fraction", chance.end_charge_fraction),
        },
        "drying_time_s": _ends("drying_time_s", answer.dry_s),
        "wet_crossed_m": number_field("wet_crossed_m", answer.wet_crossed_m),
        "sections": [section_fields(each, answer) for each in answer.sections],
        "changes": [change_fields(each) for each in answer.changes],
    }
    return json.dumps(page, ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def shift_schema() -> str:
    """The JSON Schema (draft 2020-12) of what `shift_json` writes."""
    return (files("scrubwright.paperwork") / "shift.schema.json").read_text(encoding="utf-8")


def question_fields(question: ShiftQuestion) -> dict[str, Json]:
    """What was asked: when, with which machines, in what air, with which settings."""
    air, settings = question.air, question.settings
    leave_out: list[Json] = list(settings.leave_out)
    return {
        "start_at": _clock(question.start_at),
        "dry_by": _clock(question.dry_by),
        "machines": [tonight_fields(each) for each in question.machines],
        "air": {
            name: number_field(name, getattr(air, name)) for name in ("air_k", "humidity_fraction", "speed_m_per_s")
        },
        "settings": {
            "overlap_m": _maybe("overlap_m", settings.overlap_m),
            "flow": settings.flow,
            "pressure": settings.pressure,
            "leave_out": leave_out,
            "contact_s": number_field("contact_s", settings.contact_s),
            "reserve_fraction": number_field("reserve_fraction", settings.reserve_fraction),
            "charge_on_the_way": settings.charge_on_the_way,
            "important_first": settings.important_first,
            "edges": settings.edges,
        },
    }


def tonight_fields(machine: MachineTonight) -> dict[str, Json]:
    """A machine as it stands tonight; what is not known is null."""
    names = ("charge_fraction", "charge_sd_fraction", "health_ratio", "health_sd_ratio")
    numbers: dict[str, Json] = {name: number_field(name, getattr(machine, name)) for name in names}
    return {
        "plate": machine.plate.name,
        "pack": machine.pack.name,
        "charger": None if machine.charger is None else machine.charger.name,
        **numbers,
        "resistance_ohm": _maybe("resistance_ohm", machine.resistance_ohm),
        "electrolyte_k": _maybe("electrolyte_k", machine.electrolyte_k),
        "rates": rates_fields(machine.rates),
    }


def rates_fields(rates: Rates) -> dict[str, Json]:
    """What machine and driver really do, each against the plate."""
    fields: dict[str, Json] = {}
    for name in _RATES:
        rate = getattr(rates, name)
        fields[name] = {
            # In full, so that planning the same shift again lays the same lanes in the same order.
            "factor_ratio": float(rate.factor_ratio),
            **{each: number_field(each, getattr(rate, each)) for each in ("sd_ratio", "shift_sd_ratio")},
            "shifts": rate.shifts,
            "origin": rate.origin.value,
        }
    return fields


def shift_fields(shift: MachineShift) -> dict[str, Json]:
    """One machine through the shift, beside its route."""
    names = ("finish_s", "end_charge_fraction", "energy_wh", "charged_ah")
    numbers: dict[str, Json] = {name: number_field(name, getattr(shift, name)) for name in names}
    return {
        **numbers,
        "course": course_fields(shift.course),
        "line": [stretch_fields(each) for each in shift.line],
    }


def course_fields(course: Course) -> dict[str, Json]:
    """Charge, voltage and tanks as arrays, one entry a leg."""
    names = ("end_s", "current_a", "charge_fraction", "pack_v", "solution_l", "recovered_l")
    arrays: dict[str, Json] = {name: _array(name, getattr(course, name)) for name in names}
    squeegee: list[Json] = [bool(each) for each in course.squeegee_down]
    return arrays | {"squeegee_down": squeegee}


def stretch_fields(stretch: Stretch) -> dict[str, Json]:
    """One segment of the night line."""
    return {
        "doing": stretch.doing.value,
        "start_s": number_field("start_s", stretch.start_s),
        "end_s": number_field("end_s", stretch.end_s),
        "block": stretch.block,
        "stop": stretch.stop,
    }


def section_fields(section: Section, answer: ShiftAnswer) -> dict[str, Json]:
    """A piece of floor that is closed to people, with its outline in floor metres."""
    blocks: list[Json] = list(section.blocks)
    return {
        "name": section.name,
        "blocks": blocks,
        "close_at": _since(answer, section.close_s),
        "open_at": _since(answer, section.open_s),
        "close_s": number_field("close_s", section.close_s),
        "open_s": number_field("open_s", section.open_s),
        "outline_m": _outline(section.outline),
    }


def change_fields(change: Change) -> dict[str, Json]:
    """One change with its gain, and the question that asks for it."""
    return sentence_fields(change.told) | {
        "chance_of_finishing": number_field("chance_fraction", change.chance_fraction),
        "chance_of_finishing_error_fraction": number_field("error_fraction", change.error_fraction),
        "finish_at": _clock(change.finish_at),
        "dry_at": _clock(change.dry_at),
        "pain": change.pain,
        "floor_left_m2": number_field("floor_left_m2", change.floor_left_m2),
        "question": question_fields(change.question),
    }


def _verdict(verdict: ShiftVerdict) -> dict[str, Json]:
    """One of three fixed sentences, without values."""
    return {"template": verdict.value, "values": {}, "text": verdict.value}


def _cautions(answer: ShiftAnswer) -> list[Caution]:
    """The shift's own, which bite from the start on, and those of the way; none twice."""
    own = [Caution(told=each, bites=Bites.START) for each in answer.cautions]
    return list(dict.fromkeys((*own, *answer.route.cautions)))


def _sourced(each: Sourced) -> dict[str, Json]:
    low, high = (_maybe(each.name, end) for end in (each.low, each.high))
    return sourced_fields(each) | {"low": low, "high": high}


def _band(answer: ShiftAnswer, planned_at: datetime, ends_s: Sequence[float]) -> dict[str, Json]:
    """A time since the start as planned, and its 10 %, 50 % and 90 % points."""
    planned_s = (planned_at - answer.question.start_at).total_seconds()
    return {"planned": number_field("planned_s", planned_s)} | _ends("since_s", ends_s)


def _ends(name: str, points: Sequence[float]) -> dict[str, Json]:
    low, middle, high = (number_field(name, each) for each in points)
    return {"low": low, "middle": middle, "high": high}


def _array(name: str, values: NDArray[np.float64]) -> list[Json]:
    return [number_field(name, each) for each in values.tolist()]


def _outline(outline: MultiPolygon) -> list[Json]:
    """Polygons, each a list of rings, the outer one first, each a list of points."""
    return [
        [
            [[number_field("x_m", x), number_field("y_m", y)] for x, y in get_coordinates(ring).tolist()]
            for ring in (piece.exterior, *piece.interiors)
        ]
        for piece in outline.geoms
    ]


def _since(answer: ShiftAnswer, since_s: float) -> str:
    return _clock(answer.question.start_at + timedelta(seconds=float(since_s)))


def _clock(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


def _maybe(name: str, value: float | None) -> Json:
    return None if value is None else number_field(name, value)
