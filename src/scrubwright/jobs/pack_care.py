"""Charging and water of a pack, with what its log teaches about both."""

from dataclasses import dataclass

from scrubwright.battery.charge_limits import ChargeWeather, charge_weather
from scrubwright.battery.charge_log import ChargeLog, learned_taper
from scrubwright.battery.charge_read import charge_read
from scrubwright.battery.charging import ChargeRun, charge_run
from scrubwright.battery.health import Health
from scrubwright.battery.pack import Chemistry
from scrubwright.battery.visit import Event, Moment, Visit
from scrubwright.battery.watering import (
    charge_factor_by_water_ratio,
    interval_figure,
    mark_told,
    water_per_charge,
    water_use_remark,
)
from scrubwright.jobs.pack_answer import PackFigure, PackPart
from scrubwright.jobs.pack_charge import ChargeNow
from scrubwright.jobs.pack_question import PackQuestion, Told, figure
from scrubwright.measures.errors import BadInput, OutOfRange
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

# Fewer charges than these between two fillings: a millimetre at the mark weighs more than what was split.
_LEAST_CHARGES = 10
_USUAL_DEPTH_FRACTION = 0.6
_CHARGE_LABELS = {
    "charge_h": Sentence("Full again after"),
    "charge_in_ah": Sentence("Put in"),
    "energy_wh": Sentence("Energy from the wall"),
    "finish_a": Sentence("Current at the end"),
    "charge_factor_ratio": Sentence("Ampere-hours in for each one out"),
    "mains_a": Sentence("Drawn from the wall"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """Charging and water.

    Parameters
    ----------
    run
        The charge from here to full; None where charger or charge left are not known.
    water_due
        Whether the reserve of a cell is used up by now.
    told
        Numbers and remarks.
    """

    run: ChargeRun | None
    water_due: bool
    told: Told


def care(question: PackQuestion, charge: ChargeNow | None, health: Health | None) -> Care:
    """Charging from the charge left to full, and the water that it costs."""
    figures: list[PackFigure] = []
    remarks: list[tuple[PackPart, Sentence]] = []
    run = None
    if question.charger is None:
        remarks.append(
            (PackPart.CHARGING, Sentence("The charger is not known; enter its plate to get hours and amperes."))
        )
    elif charge is not None:
        run = charge_run(
            question.pack,
            question.charger,
            charge.charge_fraction,
            learned_taper(question.pack, question.charger, _charge_logs(question)),
        )
        figures += [figure(PackPart.CHARGING, _label(number.name), number) for number in run.figures]
        remarks += [(PackPart.CHARGING, remark) for remark in run.remarks]
    weather = _weather(question)
    remarks += [] if weather is None else [(PackPart.CHARGING, weather.told)]
    water_due = False
    if question.pack.chemistry is Chemistry.FLOODED:
        told, water_due = _water(question, run, health)
        figures += told.figures
        remarks += told.remarks
    return Care(run=run, water_due=water_due, told=Told(figures=tuple(figures), remarks=tuple(remarks)))


def _weather(question: PackQuestion) -> ChargeWeather | None:
    """What the electrolyte's temperature at the newest visit says of charging."""
    for visit in reversed(question.of_this_pack):
        if visit.electrolyte_k:
            hottest_k, coldest_k = max(visit.electrolyte_k), min(visit.electrolyte_k)
            chemistry = question.pack.chemistry
            return charge_weather(chemistry, hottest_k) or charge_weather(chemistry, coldest_k)
    return None


def _label(name: str) -> Sentence:
    return _CHARGE_LABELS[name]


def _charge_logs(question: PackQuestion) -> list[ChargeLog]:
    """Charges whose plug-in, finish and charge left before are all known."""
    logs = []
    before: Visit | None = None
    for visit in question.of_this_pack:
        if visit.plugged_in_at is not None and visit.finished_at is not None and before is not None:
            start = _mean_charge(question, before) if before.moment is Moment.WORKED else None
            total_h = (visit.finished_at - visit.plugged_in_at).total_seconds() / 3600
            if start is not None and total_h > 0:
                logs.append(ChargeLog(start_fraction=start, total_h=total_h))
        before = visit
    return logs


def _mean_charge(question: PackQuestion, visit: Visit) -> float | None:
    try:
        read = charge_read(question.pack, visit)
    except (BadInput, OutOfRange):
        return None
    charges = [] if read is None else [each for each in read.charges_fraction if each is not None]
    return min(max(sum(charges) / len(charges), 0.0), 1.0) if charges else None


def _water(question: PackQuestion, run: ChargeRun | None, health: Health | None) -> tuple[Told, bool]:
    pack = question.pack
    figures: list[PackFigure] = []
    remarks = [
        Sentence("Fill after a full charge, to {mark}. Before a charge only cover bare plates.", mark=mark_told(pack))
    ]
    learned = _learned_factor(question, health)
    if learned is not None:
        figures.append(
            figure(PackPart.WATER, Sentence("Ampere-hours in for each one out, by the water put in"), learned)
        )
        expected_ratio = None if run is None else run.charge_factor_ratio
        remark = None if expected_ratio is None else water_use_remark(learned.value, expected_ratio)
        remarks += [] if remark is None else [remark]
    factor_ratio = learned.value if learned is not None else None if run is None else run.charge_factor_ratio
    due = False
    if factor_ratio is not None:
        use = water_per_charge(pack, _USUAL_DEPTH_FRACTION * pack.capacity_ah, factor_ratio)
        figures.append(figure(PackPart.WATER, Sentence("Water for a charge from 40 % up, whole pack"), use.figure))
        if pack.reserve_l is None:
            remarks.append(
                Sentence(
                    "How long the water lasts cannot be told: measure the water of one cell between the mark and the "
                    "top of the plates, and enter it."
                )
            )
        elif use.cell_l > 0:
            interval = interval_figure(pack, use)
            figures.append(figure(PackPart.WATER, Sentence("Charges between two fillings"), interval))
            since = _charges_since_water(question, health)
            due = since is not None and since >= (interval.low or interval.value)
    return Told(figures=tuple(figures), remarks=tuple((PackPart.WATER, each) for each in remarks)), due


def _learned_factor(question: PackQuestion, health: Health | None) -> Sourced | None:
    """What the litres put in tell of the charge factor, over the work between the first and the last filling."""
    filled = [visit for visit in question.of_this_pack if visit.water_l is not None and visit.meter_h is not None]
    if health is None or len(filled) < 2:
        return None
    first, last = filled[0], filled[-1]
    worked_h = (last.meter_h or 0.0) - (first.meter_h or 0.0)
    # Where the current is not known: when the pack was at its best, its rated charge lasted its longest hours.
    best_h = max(step.full_pack_h for step in health.trend)
    out_ah = worked_h * (question.load_a or question.pack.capacity_ah / best_h)
    charges = worked_h / (_USUAL_DEPTH_FRACTION * best_h)
    water_l = sum(visit.water_l or 0.0 for visit in filled[1:])
    if charges < _LEAST_CHARGES or not water_l > 0:
        return None
    ratio = charge_factor_by_water_ratio(water_l, question.pack.cells, out_ah)
    return Sourced(
        name="charge_factor_ratio",
        value=ratio,
        origin=Origin.MEASURED,
        detail=Sentence(
            "{water_l} put in from {first} to {last}",
            water_l=water_l,
            first=first.at.date().isoformat(),
            last=last.at.date().isoformat(),
        ),
    )


def _charges_since_water(question: PackQuestion, health: Health | None) -> float | None:
    """Charges since water was last noted; None where it never was.

    Not every charge is followed by a visit, so the work by the hour meter counts where the log knows it.
    """
    visits = question.of_this_pack
    filled = [place for place, visit in enumerate(visits) if visit.water_l or visit.event is Event.WATERED]
    if not filled:
        return None
    since = visits[filled[-1] :]
    noted = sum(visit.moment is Moment.CHARGED for visit in since[1:])
    meters_h = [visit.meter_h for visit in since if visit.meter_h is not None]
    if health is None or len(meters_h) < 2:
        return noted
    worked_h = max(meters_h[-1] - meters_h[0], 0.0)
    return max(noted, worked_h / (_USUAL_DEPTH_FRACTION * health.now.full_pack_h))
