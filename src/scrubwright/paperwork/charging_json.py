"""The night of charging as JSON, for another program; its schema is `charging.schema.json` beside this file."""

import json
from datetime import datetime
from importlib.resources import files

from scrubwright.jobs.charging_answer import (
    Charge,
    ChargingAnswer,
    ChargingNight,
    Circuit,
    CircuitLoad,
    MachineToCharge,
    Room,
    Tariff,
)
from scrubwright.measures.provenance import Sourced
from scrubwright.paperwork.charging_strip import gassing_at
from scrubwright.paperwork.route_json import Json, number_field, sentence_fields, sourced_fields

SCHEMA_NAME = "scrubwright/charging/1"
_INPUTS = ("mains_a", "charge_h", "gassing_from_h", "energy_wh", "before_gas_fraction")


def charging_json(answer: ChargingAnswer) -> str:
    """The answer as one JSON object, as `charging.schema.json` describes it.

    Numbers keep the names, units and values of the records, rounded to six decimals. A sentence is an object with its
    English `template`, its `values`, and its English `text` in SI units.

    Parameters
    ----------
    answer
        The order, or why there is none.

    Returns
    -------
    str
        JSON in UTF-8 with two spaces of indent and a newline at its end; no NaN, no infinity.

    Raises
    ------
    NoAnswer
        A number of the answer is not finite.
    """
    machines = {machine.name: machine for machine in answer.night.machines}
    page: dict[str, Json] = {
        "schema": SCHEMA_NAME,
        "fits": answer.fits,
        "why": sentence_fields(answer.why),
        "changes": [sentence_fields(each) for each in answer.changes],
        "charges": [charge_fields(each, machines[each.machine]) for each in answer.charges],
        "all_done_at": None if answer.all_done_at is None else _clock(answer.all_done_at),
        "gap_fraction": _maybe("gap_fraction", answer.gap_fraction),
        "loads": [load_fields(each) for each in answer.loads],
        "figures": [figure_fields(each) for each in answer.figures],
        "remarks": [sentence_fields(each) for each in answer.remarks],
        "cautions": [sentence_fields(each) for each in answer.cautions],
        "night": night_fields(answer.night),
    }
    return json.dumps(page, ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def charging_schema() -> str:
    """The JSON Schema (draft 2020-12) of what `charging_json` writes."""
    return (files("scrubwright.paperwork") / "charging.schema.json").read_text(encoding="utf-8")


def charge_fields(charge: Charge, machine: MachineToCharge) -> dict[str, Json]:
    """When and where one machine charges, and from when on it must not be interrupted."""
    gasses = machine.gassing_from_h < machine.charge_h
    return {
        "machine": charge.machine,
        "circuit": charge.circuit,
        "spans": [{"from_at": _clock(begins), "until_at": _clock(ends)} for begins, ends in charge.spans],
        "gasses_at": _clock(gassing_at(charge, machine)) if gasses else None,
    }


def load_fields(load: CircuitLoad) -> dict[str, Json]:
    """What chargers draw on a circuit, and what they may."""
    return {
        "circuit": load.circuit,
        "most_a": number_field("most_a", load.most_a),
        "limit_a": number_field("limit_a", load.limit_a),
    }


def figure_fields(figure: Sourced) -> dict[str, Json]:
    """One number with its band, and where it comes from."""
    return sourced_fields(figure) | {"low": _maybe(figure.name, figure.low), "high": _maybe(figure.name, figure.high)}


def night_fields(night: ChargingNight) -> dict[str, Json]:
    """What was asked."""
    return {
        "machines": [machine_fields(each) for each in night.machines],
        "circuits": [circuit_fields(each) for each in night.circuits],
        "tariff": [tariff_fields(each) for each in night.tariff],
        "room": None if night.room is None else room_fields(night.room),
        "may_pause": night.may_pause,
    }


def machine_fields(machine: MachineToCharge) -> dict[str, Json]:
    """One machine as it comes home; what is not known is null."""
    inputs: dict[str, Json] = {name: _maybe(name, getattr(machine, name)) for name in _INPUTS}
    origins: dict[str, Json] = {name: machine.origin(name).value for name in _INPUTS if inputs[name] is not None}
    gas = machine.gas
    pack: dict[str, Json] | None = None
    if gas is not None:
        pack = {"cells": gas.cells}
        pack |= {name: number_field(name, getattr(gas, name)) for name in ("capacity_ah", "gassing_a_per_ah")}
        pack["air_m3_per_h"] = number_field("air_m3_per_h", machine.air_m3_per_h)
    return {
        "name": machine.name,
        "home_at": _clock(machine.home_at),
        "ready_by": _clock(machine.ready_by),
        **inputs,
        "origins": origins,
        "gas": pack,
    }


def circuit_fields(circuit: Circuit) -> dict[str, Json]:
    """One circuit; an empty list of machines stands for all."""
    machines: list[Json] = list(circuit.machines)
    return {
        "name": circuit.name,
        "breaker_a": number_field("breaker_a", circuit.breaker_a),
        "other_load_a": number_field("other_load_a", circuit.other_load_a),
        "limit_a": number_field("limit_a", circuit.limit_a),
        "machines": machines,
    }


def tariff_fields(tariff: Tariff) -> dict[str, Json]:
    """A price and when it begins."""
    price = number_field("price_money_per_kwh", tariff.price_money_per_kwh)
    return {"from_at": _clock(tariff.from_at), "price_money_per_kwh": price}


def room_fields(room: Room) -> dict[str, Json]:
    """The room; what is not known is null."""
    return {
        "free_m3": _maybe("free_m3", room.free_m3),
        "air_m3_per_h": _maybe("air_m3_per_h", room.air_m3_per_h),
    }


def _clock(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


def _maybe(name: str, value: float | None) -> Json:
    return None if value is None else number_field(name, value)
