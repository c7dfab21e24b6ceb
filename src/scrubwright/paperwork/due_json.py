"""What is due as JSON, for another program."""

import json
from collections.abc import Sequence

from scrubwright.jobs.due_answer import DueAnswer, DueItem, MeterStand
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.route_json import Json, number_field, sentence_fields, sourced_fields

SCHEMA_NAME = "scrubwright/due/1"


def due_json(answers: Sequence[DueAnswer], refused: Sequence[Sentence] = ()) -> str:
    """The answers as one JSON object.

    Numbers keep the names and units of the records; days are written as 2026-04-03. A sentence is an object with its
    English `template`, its `values`, and its English `text` in SI units.

    Parameters
    ----------
    answers
        What is due on each machine.
    refused
        Rows of the files that could not be read.

    Raises
    ------
    NoAnswer
        A number is not finite.
    """
    page: dict[str, Json] = {
        "schema": SCHEMA_NAME,
        "machines": [_answer_fields(answer) for answer in answers],
        "refused": [sentence_fields(each) for each in refused],
    }
    return json.dumps(page, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _answer_fields(answer: DueAnswer) -> dict[str, Json]:
    return {
        "machine": answer.machine,
        "day": answer.day.isoformat(),
        "horizon_days": number_field("horizon_days", answer.horizon_days),
        "items": [_item_fields(answer, item) for item in answer.items],
        "meters": [_meter_fields(stand) for stand in answer.meters],
        "questions": [sentence_fields(each) for each in answer.questions],
    }


def _item_fields(answer: DueAnswer, item: DueItem) -> dict[str, Json]:
    low, high = answer.band(item)
    line = item.line
    return {
        "line": line.identity,
        "name": sentence_fields(line.name),
        "task": line.task.value,
        "standing": item.standing.value,
        "rule": item.rule.value,
        "likely_day": answer.likely_day(item).isoformat(),
        "first_day": low.isoformat(),
        "last_day": high.isoformat(),
        "due": sourced_fields(item.days),
        "due_fraction": number_field("due_fraction", item.due_fraction),
        "last_done": None if item.last_done is None else item.last_done.isoformat(),
        "counted_from": item.counted_from.isoformat(),
        "run_h": None if item.run_h is None else number_field("run_h", item.run_h),
        "takes_min": number_field("takes_min", line.takes_min),
        "skill": line.skill.value,
        "can_stop": line.can_stop,
        "change": None if item.change is None else sentence_fields(item.change),
        "questions": [sentence_fields(each) for each in item.questions],
    }


def _meter_fields(stand: MeterStand) -> dict[str, Json]:
    return {
        "counts": stand.counts.value,
        "last_h": None if stand.last_h is None else number_field("last_h", stand.last_h),
        "last_day": None if stand.last_day is None else stand.last_day.isoformat(),
        "pace_h_per_day": number_field("pace_h_per_day", stand.pace_h_per_day),
        "questions": [sentence_fields(each) for each in stand.questions],
    }
