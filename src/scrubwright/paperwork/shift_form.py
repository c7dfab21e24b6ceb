"""What is written down after a shift, on paper: the fields of the log of shifts, each with what was planned."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from scrubwright.jobs.shift_answer import MachineShift, ShiftAnswer
from scrubwright.jobs.shift_logged import Reset
from scrubwright.machine.parts import Counts
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.shift_log_columns import IN_US, LogField
from scrubwright.paperwork.shift_words import at, clock_words, share_words
from scrubwright.paperwork.wording import Teller

_METERS = {
    Counts.KEY: (LogField.KEY_BEFORE, LogField.KEY_AFTER),
    Counts.TRACTION: (LogField.TRACTION_BEFORE, LogField.TRACTION_AFTER),
    Counts.BRUSH: (LogField.BRUSH_BEFORE, LogField.BRUSH_AFTER),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FormField:
    """One thing to write down: what it is, the log's column for it, and what was planned."""

    label: str
    column: str
    planned: str


def form_fields(answer: ShiftAnswer, shift: MachineShift, teller: Teller) -> tuple[FormField, ...]:
    """What the log of shifts asks after a shift of one machine, in its order.

    Meters are those that the plate names; all that a log knows where it names none.
    """
    planned = _planned(answer, shift, teller)
    meters = {each.counts for each in answer.question.machines[shift.machine - 1].plate.meters} & set(_METERS)
    asked = [field for counts, fields in _METERS.items() if counts in meters or not meters for field in fields]
    labels = {**_meter_labels(teller, asked), **_labels(teller)}
    return tuple(
        FormField(label=labels[field], column=_column(field, teller), planned=planned.get(field, ""))
        for field in LogField
        if field in labels
    )


def new_since_words(teller: Teller) -> tuple[str, ...]:
    """What may be new since the last shift, so that what was learned before no longer holds."""
    return tuple(teller.words(each) for each in Reset)


def _labels(teller: Teller) -> Mapping[LogField, str]:
    words = teller.words
    return {
        LogField.START: words("Left the parking place"),
        LogField.FINISH: words("Back at the parking place"),
        LogField.STOPS: words("Stops to dump and fill"),
        LogField.STOP: words("Minutes at the stops"),
        LogField.FILLED_LITRES: words("Filled in, first tank too, less what is left"),
        LogField.DUMPED_LITRES: words("Let out, last tank too"),
        LogField.CHARGE_BEFORE: words("Charge before"),
        LogField.CHARGE_AFTER: words("Charge after, before plugging in"),
        LogField.AREA_METRES: words("Scrubbed"),
        LogField.HINDRANCES: words("How often somebody or something was in the way"),
        LogField.HINDERED: words("Minutes lost to that"),
    }


def _meter_labels(teller: Teller, fields: list[LogField]) -> Mapping[LogField, str]:
    words = teller.words
    labels = {
        LogField.BRUSH_BEFORE: words("Brush meter before"),
        LogField.BRUSH_AFTER: words("Brush meter after"),
        LogField.TRACTION_BEFORE: words("Traction meter before"),
        LogField.TRACTION_AFTER: words("Traction meter after"),
        LogField.KEY_BEFORE: words("Key meter before"),
        LogField.KEY_AFTER: words("Key meter after"),
    }
    return {field: label for field, label in labels.items() if field in fields}


def _column(field: LogField, teller: Teller) -> str:
    own = IN_US.get(field, field) if teller.system is UnitSystem.US else field
    return teller.words(own)


def _planned(answer: ShiftAnswer, shift: MachineShift, teller: Teller) -> Mapping[LogField, str]:
    route = answer.route.routes[shift.machine - 1]
    tonight = answer.question.machines[shift.machine - 1]
    length_m = math.fsum(each.deck_down_length_m for each in answer.route.routes)
    area_m2 = answer.route.reachable_area_m2 * answer.route.coverage_fraction * route.deck_down_length_m / length_m
    dumped_l = math.fsum(stop.dumped_l for stop in route.stops) + float(shift.course.recovered_l[-1])
    return {
        LogField.START: clock_words(answer.question.start_at),
        LogField.FINISH: clock_words(at(answer, shift.finish_s)),
        LogField.STOPS: teller.plain(len(route.stops)),
        LogField.STOP: teller.plain(route.stop_time_s / 60),
        LogField.FILLED_LITRES: teller.number("filled_l", route.water_used_l),
        LogField.DUMPED_LITRES: teller.number("dumped_l", dumped_l),
        LogField.CHARGE_BEFORE: share_words(tonight.charge_fraction, teller),
        LogField.CHARGE_AFTER: share_words(max(0.0, shift.end_charge_fraction), teller),
        LogField.AREA_METRES: teller.number("area_m2", area_m2),
    }
