"""The route answer as JSON, for another program; its schema is `route.schema.json` beside this file."""

import json
import math
from importlib.resources import files
from typing import Any, TypeAlias

import numpy as np

from scrubwright.floor.site import Area, Place, Ramp, ServicePoint, Use
from scrubwright.jobs.route_answer import Block, Caution, Lane, LeftOut, Leg, MachineRoute, RouteAnswer, Stop
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence, Value
from scrubwright.paperwork.wording import Teller

Json: TypeAlias = "str | int | float | list[Json] | dict[str, Json] | None"

SCHEMA_NAME = "scrubwright/route/1"
NUMBERS = (
    "floor_area_m2",
    "reachable_area_m2",
    "out_of_reach_m2",
    "hand_strip_m2",
    "coverage_fraction",
    "raster_coverage_fraction",
    "overlap_fraction",
    "deck_down_length_m",
    "length_bound_ratio",
    "total_time_s",
    "lower_bound_s",
    "bound_gap_fraction",
    "dump_trips",
    "dump_trips_bound",
    "planning_time_s",
    "deck_width_m",
    "overlap_m",
    "solution_tank_l",
    "recovery_tank_l",
)
# A millionth of a metre, second or litre is below anything a floor can tell; it keeps files short and alike.
_DECIMALS = 6


def route_json(answer: RouteAnswer) -> str:
    """The answer as one JSON object, as `route.schema.json` describes it.

    Numbers keep the names, units and values of `RouteAnswer`, rounded to six decimals. A sentence is
    an object with its English `template`, its `values`, and its English `text` in SI units.

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
    page: dict[str, Json] = {"schema": SCHEMA_NAME}
    return json.dumps(page | route_fields(answer), ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def route_fields(answer: RouteAnswer) -> dict[str, Json]:
    """Every field of the answer but the name of the format."""
    page: dict[str, Json] = {
        "site": answer.site,
        "floor": answer.floor,
        "machine": answer.machine,
        "verdict": sentence_fields(answer.verdict),
        "why": [sentence_fields(each) for each in answer.why],
        "cautions": [caution_fields(each) for each in answer.cautions],
    }
    page |= {name: number_field(name, getattr(answer, name)) for name in NUMBERS}
    return page | {
        "missed": [left_out_fields(each) for each in answer.missed],
        "unreachable": [left_out_fields(each) for each in answer.unreachable],
        "stays_wet": [left_out_fields(each) for each in answer.stays_wet],
        "machines": [machine_fields(route) for route in answer.routes],
        "blocks": [block_fields(block, route.machine) for route in answer.routes for block in route.blocks],
        "stops": [stop_fields(stop, route.machine) for route in answer.routes for stop in route.stops],
        "lanes": [lane_fields(lane) for lane in answer.lanes],
        "areas": [area_fields(each) for each in answer.plan.areas],
        "ramps": [ramp_fields(each) for each in answer.plan.ramps],
        "service_points": [service_point_fields(each) for each in answer.plan.service_points],
        "parking": place_fields(answer.plan.parking) if answer.plan.parking else None,
        "provenance": [sourced_fields(each) for each in answer.provenance],
    }


def route_schema() -> str:
    """The JSON Schema (draft 2020-12) of what `route_json` writes."""
    return (files("scrubwright.paperwork") / "route.schema.json").read_text(encoding="utf-8")


def sentence_fields(sentence: Sentence) -> dict[str, Json]:
    """A sentence as its template, the values it names, and its English text in SI units."""
    values: dict[str, Json] = {name: _value(name, value) for name, value in sentence.values}
    return {"template": sentence.template, "values": values, "text": Teller().tell(sentence)}


def area_fields(area: Area) -> dict[str, Json]:
    """An area of the floor as it was given, without its outline."""
    return {
        "name": area.name,
        "area_m2": number_field("area_m2", area.outline.area),
        "surface": area.surface,
        "priority": area.priority,
        "passes": area.passes,
        "edges": area.edges.value,
        "people": area.people,
        "window_from_h": None if area.window_from_h is None else number_field("window_from_h", area.window_from_h),
        "window_until_h": None if area.window_until_h is None else number_field("window_until_h", area.window_until_h),
    }


def ramp_fields(ramp: Ramp) -> dict[str, Json]:
    """A ramp without its outline."""
    return {
        "name": ramp.name,
        "area_m2": number_field("area_m2", ramp.outline.area),
        "slope_fraction": number_field("slope_fraction", ramp.slope_fraction),
        "uphill_rad": number_field("uphill_rad", ramp.uphill_rad),
    }


def place_fields(place: Place) -> dict[str, Json]:
    """A named point of the floor."""
    return {"name": place.name, "x_m": number_field("x_m", place.x_m), "y_m": number_field("y_m", place.y_m)}


def service_point_fields(point: ServicePoint) -> dict[str, Json]:
    """A drain, tap or socket, or several in one place, whether tonight needs it or not."""
    uses: list[Json] = [use.value for use in Use if use in point.uses]
    return place_fields(point) | {"uses": uses}


def left_out_fields(piece: LeftOut) -> dict[str, Json]:
    """A piece of floor that stays unscrubbed or wet, without its outline."""
    return {
        "name": piece.name,
        "area_m2": number_field("area_m2", piece.area_m2),
        "x_m": number_field("x_m", piece.x_m),
        "y_m": number_field("y_m", piece.y_m),
        "reason": sentence_fields(piece.reason),
    }


def block_fields(block: Block, machine: int) -> dict[str, Json]:
    """A block and the machine that drives it."""
    lanes: list[Json] = list(block.lanes)
    return {
        "machine": machine,
        "number": block.number,
        "area": block.area,
        "kind": block.kind.value,
        "pattern": block.pattern.value,
        "lanes": lanes,
        "entry_m": [number_field("entry_m", value) for value in block.entry_m],
        "exit_m": [number_field("exit_m", value) for value in block.exit_m],
        "start_s": number_field("start_s", block.start_s),
        "end_s": number_field("end_s", block.end_s),
        "deck_down_length_m": number_field("deck_down_length_m", block.deck_down_length_m),
    }


def stop_fields(stop: Stop, machine: int) -> dict[str, Json]:
    """A dump-and-fill stop and the machine that makes it."""
    names = ("x_m", "y_m", "arrive_s", "duration_s", "dumped_l", "filled_l")
    numbers: dict[str, Json] = {name: number_field(name, getattr(stop, name)) for name in names}
    place: dict[str, Json] = {"machine": machine, "number": stop.number, "drain": stop.drain, "tap": stop.tap}
    return place | numbers


def lane_fields(lane: Lane) -> dict[str, Json]:
    """A lane without its points."""
    return {
        "number": lane.number,
        "area": lane.area,
        "kind": lane.kind.value,
        "length_m": number_field("length_m", lane.length_m),
        "machine": lane.machine,
        "block": lane.block,
    }


def leg_fields(leg: Leg) -> dict[str, Json]:
    """A leg without its points."""
    names = ("start_s", "duration_s", "solution_l", "recovered_l")
    numbers: dict[str, Json] = {name: number_field(name, getattr(leg, name)) for name in names}
    places: dict[str, Json] = {"lane": leg.lane, "block": leg.block, "stop": leg.stop}
    return {"kind": leg.kind.value} | numbers | places


def machine_fields(route: MachineRoute) -> dict[str, Json]:
    """The night of one machine, leg by leg."""
    names = (
        "total_time_s",
        "scrub_time_s",
        "drive_time_s",
        "stop_time_s",
        "deck_down_length_m",
        "drive_length_m",
        "water_used_l",
    )
    numbers: dict[str, Json] = {name: number_field(name, getattr(route, name)) for name in names}
    legs: dict[str, Json] = {"legs": [leg_fields(leg) for leg in route.legs]}
    return {"machine": route.machine} | numbers | legs


def caution_fields(caution: Caution) -> dict[str, Json]:
    """A sentence to watch, and where it bites."""
    blocks: list[Json] = list(caution.blocks)
    return sentence_fields(caution.told) | {"bites": caution.bites.value, "blocks": blocks}


def sourced_fields(each: Sourced) -> dict[str, Json]:
    """A number and where it comes from."""
    return {
        "name": each.name,
        "value": number_field(each.name, each.value),
        "origin": each.origin.value,
        "detail": sentence_fields(each.detail),
    }


def _value(name: str, value: Value) -> Json:
    if isinstance(value, Sentence):
        return sentence_fields(value)
    if isinstance(value, tuple):
        return [sentence_fields(each) for each in value]
    if isinstance(value, str):
        return str(value)
    return number_field(name, value)


def number_field(name: str, value: float | np.integer[Any]) -> Json:
    """A number fit to hand on: plain, rounded, never NaN or infinity.

    Raises
    ------
    NoAnswer
        It is not finite.
    """
    # The planner works in numpy; its scalars become plain numbers here, counts stay whole.
    if not math.isfinite(value):
        raise NoAnswer(
            "{name} comes out as {given}, which is no number that can be handed on; report it with the files that were "
            "given.",
            given=str(value),
            name=name,
        )
    return int(value) if isinstance(value, int | np.integer) else round(float(value), _DECIMALS)
