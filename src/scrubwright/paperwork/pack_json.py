"""The pack's answer as JSON, for another program; its schema is `pack_answer.schema.json` beside this file."""

import json
import math
from importlib.resources import files

from scrubwright.battery.pack import Pack
from scrubwright.jobs.pack_answer import CellLine, HealthPoint, PackAnswer, PackFigure, PackPart, Step
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.route_json import Json, sentence_fields

SCHEMA_NAME = "scrubwright/pack/1"
# A millionth of an hour, ampere-hour or gravity is below anything a pack can tell; it keeps files short and alike.
_DECIMALS = 6


def pack_json(answer: PackAnswer) -> str:
    """The answer as one JSON object, as `pack_answer.schema.json` describes it.

    Numbers keep the names, units and values of `PackAnswer`, rounded to six decimals: temperatures are
    kelvin, gravities specific gravity 25/25. A sentence is an object with its English `template`, its
    `values`, and its English `text` in SI units.

    Returns
    -------
    str
        JSON in UTF-8 with two spaces of indent and a newline at its end; no NaN, no infinity.

    Raises
    ------
    NoAnswer
        A number of the answer is not finite.
    """
    likely, first, last = (*(day.isoformat() for day in answer.replace_by), None, None, None)[:3]
    page: dict[str, Json] = {
        "schema": SCHEMA_NAME,
        "pack": pack_fields(answer.pack),
        "last_visit_at": None if answer.last_visit_at is None else answer.last_visit_at.isoformat(),
        "verdict": answer.verdict.value,
        "why": sentence_fields(answer.why),
        "cells": [cell_fields(each) for each in answer.cells],
        "figures": [figure_fields(each) for each in answer.figures],
        "remarks": [remark_fields(part, remark) for part, remark in answer.remarks],
        "steps": [step_fields(each) for each in answer.steps],
        "trend": [point_fields(each) for each in answer.trend],
        "replace_by": None if likely is None else {"likely": likely, "first": first, "last": last},
        "does_not_apply": [sentence_fields(each) for each in answer.does_not_apply],
        "cautions": [sentence_fields(each) for each in answer.cautions],
    }
    return json.dumps(page, ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def pack_answer_schema() -> str:
    """The JSON Schema (draft 2020-12) of what `pack_json` writes."""
    return (files("scrubwright.paperwork") / "pack_answer.schema.json").read_text(encoding="utf-8")


def pack_fields(pack: Pack) -> dict[str, Json]:
    """Which pack it is and how its cells sit."""
    rows: list[Json] = [list[Json](row) for row in pack.rows]
    capacities: list[Json] = [
        {"capacity_ah": _number("capacity_ah", row.capacity_ah), "over_h": _number("over_h", row.over_h)}
        for row in pack.capacities
    ]
    return {
        "name": pack.name,
        "chemistry": pack.chemistry.value,
        "cells": pack.cells,
        "cells_per_block": pack.cells_per_block,
        "rows": rows,
        "capacities": capacities,
        "reference_k": _maybe("reference_k", pack.reference_k),
    }


def cell_fields(cell: CellLine) -> dict[str, Json]:
    """One cell; what was not read is null."""
    names = ("gravity_ratio", "above_median_ratio", "drift_per_visit", "charge_fraction")
    numbers: dict[str, Json] = {name: _maybe(name, getattr(cell, name)) for name in names}
    remark = None if cell.remark is None else sentence_fields(cell.remark)
    return {"number": cell.number} | numbers | {"remark": remark, "is_weakest": cell.is_weakest}


def figure_fields(figure: PackFigure) -> dict[str, Json]:
    """One number with its band, and where it comes from."""
    number = figure.number
    return {
        "part": figure.part.value,
        "label": sentence_fields(figure.label),
        "name": number.name,
        "value": _number(number.name, number.value),
        "low": _maybe(number.name, number.low),
        "high": _maybe(number.name, number.high),
        "origin": number.origin.value,
        "detail": sentence_fields(number.detail),
    }


def remark_fields(part: PackPart, remark: Sentence) -> dict[str, Json]:
    """A sentence with the part that it is about."""
    fields: dict[str, Json] = {"part": part.value}
    return fields | sentence_fields(remark)


def step_fields(step: Step) -> dict[str, Json]:
    """One thing to do, with its cautions and its single moves."""
    return sentence_fields(step.told) | {
        "cautions": [sentence_fields(each) for each in step.cautions],
        "how": [sentence_fields(each) for each in step.how],
    }


def point_fields(point: HealthPoint) -> dict[str, Json]:
    """One point of the trend."""
    names = ("full_pack_h", "low_h", "high_h")
    numbers: dict[str, Json] = {name: _number(name, getattr(point, name)) for name in names}
    return {"at": point.at.isoformat()} | numbers | {"logged_h": _maybe("logged_h", point.logged_h)}


def _maybe(name: str, value: float | None) -> Json:
    return None if value is None else _number(name, value)


def _number(name: str, value: float) -> float:
    if not math.isfinite(value):
        raise NoAnswer(
            "The pack's answer gives {given} for {name}, which is no number that can be handed on; "
            "report this pack and its readings.",
            given=str(value),
            name=name,
        )
    # The rooms work in numpy; its scalars become plain numbers here.
    return round(float(value), _DECIMALS)
