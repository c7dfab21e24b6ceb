"""The walk-round and its verdict as JSON, for another program."""

import json

from scrubwright.catalogue.checks import Measured
from scrubwright.jobs.fit_to_run import FitAnswer, FitReason
from scrubwright.jobs.round_card import CardRow, RoundCard
from scrubwright.paperwork.route_json import Json, sentence_fields

SCHEMA_NAME = "scrubwright/round/1"


def round_json(card: RoundCard, fit: FitAnswer | None) -> str:
    """Card and verdict as one JSON object; the verdict is null before anybody answered.

    Parameters
    ----------
    card, fit
        The card and its verdict.
    """
    page: dict[str, Json] = {
        "schema": SCHEMA_NAME,
        "machine": card.machine,
        "facts": [*sorted(term.value for term in card.facts)],
        "occasions": [occasion.value for occasion in card.occasions],
        "takes_min": round(card.takes_min, 3),
        "rows": [_row(row, chunk.number) for chunk in card.chunks for row in chunk.rows],
        "for_others": [check.identity for check in card.for_others],
        "verdict": None if fit is None else _fit(fit),
    }
    return json.dumps(page, ensure_ascii=False, allow_nan=False, indent=2) + "\n"


def _row(row: CardRow, chunk: int) -> Json:
    check = row.check
    return {
        "number": row.number,
        "chunk": chunk,
        "check": check.identity,
        "part": check.part,
        "state": check.state.value,
        "station": check.station.value,
        "worst": row.worst.value,
        "because": row.because.value,
        "look": sentence_fields(check.look),
        "good": sentence_fields(check.good),
        "seen": [{"saw": sentence_fields(each.saw), "result": each.result.value} for each in check.seen],
        "measured": None if check.measured is None else _measured(check.measured),
        "release": None if check.release is None else check.release.value,
        "protection": [each.value for each in check.protection],
        "cautions": [sentence_fields(each.text) for each in row.cautions],
        "takes_min": check.takes_min,
        "origin": check.grounds.origin.value,
        "changed": [*check.grounds.changed],
    }


def _measured(measured: Measured) -> Json:
    return {
        "name": measured.name,
        "against": measured.against.value,
        "low": measured.low,
        "high": measured.high,
    }


def _fit(fit: FitAnswer) -> Json:
    missing, stops = fit.unanswered
    return {
        "verdict": fit.verdict.value,
        "why": sentence_fields(fit.why),
        "release": None if fit.release is None else fit.release.value,
        "unanswered": missing,
        "unanswered_stops": stops,
        "reasons": [_reason(each) for each in fit.reasons],
        "notes": [sentence_fields(each) for each in fit.notes],
    }


def _reason(reason: FitReason) -> Json:
    return {
        "verdict": reason.verdict.value,
        "check": reason.check,
        "told": sentence_fields(reason.told),
        "do": None if reason.do is None else sentence_fields(reason.do),
        "release": None if reason.release is None else reason.release.value,
    }
