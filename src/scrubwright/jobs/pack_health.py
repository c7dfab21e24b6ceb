"""Health of a pack from its own log: hours of a full pack, and when it no longer does the work."""

from dataclasses import dataclass, replace
from datetime import date

from scrubwright.battery.ageing import prior_drift_per_shift, prior_drift_sd_per_shift
from scrubwright.battery.charge_read import charge_read, scale_follows, was_run_down
from scrubwright.battery.health import Health, ShiftsLeft, day_after, health
from scrubwright.battery.health_log import DischargeLog, discharge_log
from scrubwright.battery.health_prior import HealthPrior, prior_by_age, usual_scale_h
from scrubwright.battery.pack import SEALED
from scrubwright.battery.rested_voltage import AT_K
from scrubwright.battery.visit import Event
from scrubwright.jobs.pack_answer import HealthPoint, PackFigure, PackPart
from scrubwright.jobs.pack_question import PackQuestion, Told, figure
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

# So many logged shifts before chance and date are told. On simulated packs taken up in mid-life the 80 % band of the
# hours held the truth in 73 % of cases after one shift and in 80 % after ten (benchmarks/quality/short_logs.py).
LEAST_LOGGED_SHIFTS = 10
# No log is surer of the next shift than this, whatever its bands say (ours).
_LEAST_CHANCE_FRACTION, _MOST_CHANCE_FRACTION = 0.01, 0.99
# Later than this is "not in sight": the band of a forecast is wider than the forecast.
_FURTHEST_DAYS = 5 * 365
# Share of its life that a pack has behind it where the log does not say when it was new (estimate).
_UNKNOWN_AGE_FRACTION = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class HealthNow:
    """Health, and what is told of it.

    Parameters
    ----------
    health
        None where the log holds no shift that tells.
    trend
        From the first discharge on.
    given_fraction
        What the pack gives of what it gave when new [0 to 1.2]; None where not known.
    replace_by
        Likely day and the ends of its band; empty where not known or not in sight.
    told
        Numbers and remarks.
    """

    health: Health | None
    trend: tuple[HealthPoint, ...]
    given_fraction: float | None
    replace_by: tuple[date, ...]
    told: Told


_NOT_KNOWN = HealthNow(health=None, trend=(), given_fraction=None, replace_by=(), told=Told())


def health_now(question: PackQuestion) -> HealthNow:
    """Health by the filter over all discharges, and the day on which the pack no longer does the work."""
    try:
        log = discharge_log(
            question.in_order,
            lambda visit: charge_read(question.pack, visit),
            lambda visit: was_run_down(question.pack, visit),
        )
    except NoAnswer as refused:
        if question.pack.chemistry in SEALED:
            # What does not apply to it says so already.
            return _NOT_KNOWN
        return replace(_NOT_KNOWN, told=Told(remarks=((PackPart.HEALTH, refused.sentence),)))
    known = health(log, _prior(question, log), scale_follows=scale_follows(question.pack), at=question.at)
    figures = [_full_pack(known, log)]
    remarks = [*known.doubtful, *_left_out(log)]
    if not _is_measured(known):
        remarks.append(
            Sentence(
                "A hydrometer does not see worn plates: what the pack gives is taken from its age. Every two months or "
                "so work until the lock-out acts, and write the event “ran out” beside that reading; never with a weak "
                "cell, and never work on after it acts."
            )
        )
    given = known.of_new_band_fraction()
    if given is not None:
        figures.append(_given(given, known.run_downs))
    replace_by: tuple[date, ...] = ()
    if question.work_h is None:
        remarks.append(Sentence("Say how long a shift is, and the answer tells how many such shifts are left."))
    elif len(known.trend) < LEAST_LOGGED_SHIFTS:
        remarks.append(_too_few(len(known.trend)))
    else:
        chance, left = known.chance_of_shift_fraction(question.work_h), known.shifts_until(question.work_h)
        figures += [_chance(chance, question.work_h), _left(left)]
        replace_by = _days(question, left, log.shifts_per_h)
        if not replace_by:
            remarks.append(Sentence("The day on which it no longer does this work is not in sight yet."))
    return HealthNow(
        health=known,
        trend=tuple(
            HealthPoint(
                at=step.at, full_pack_h=step.full_pack_h, low_h=step.low_h, high_h=step.high_h, logged_h=step.logged_h
            )
            for step in known.trend
        ),
        given_fraction=None if given is None else given[1],
        replace_by=replace_by,
        told=Told(figures=tuple(figures), remarks=tuple((PackPart.HEALTH, each) for each in remarks)),
    )


def _too_few(logged: int) -> Sentence:
    return Sentence(
        "The log holds {logged_shifts}: too few to tell the chance of this work, or when the pack no longer does it. "
        "Log {more_shifts} more, each with the hour meter and the same cells read before and after.",
        logged_shifts=float(logged),
        more_shifts=float(LEAST_LOGGED_SHIFTS - logged),
    )


def _is_measured(known: Health) -> bool:
    """Whether the log told what the pack gives, and not only how fast its scale falls."""
    return known.standing.given is None or known.run_downs > 0


def _prior(question: PackQuestion, log: DischargeLog) -> HealthPrior:
    """What label and age say before the first measurement, which overrules both."""
    pack = question.pack
    depths = [min(each.used_fraction, 1.0) for each in log.discharges]
    drift = prior_drift_per_shift(sum(depths) / len(depths), pack.life)
    seen_new = any(visit.event is Event.NEW_PACK for visit in question.visits)
    return prior_by_age(
        0.0 if seen_new else _UNKNOWN_AGE_FRACTION,
        drift,
        prior_drift_sd_per_shift(drift),
        scale_h=None if question.load_a is None else usual_scale_h(pack.capacity_ah, question.load_a),
    )


def _full_pack(known: Health, log: DischargeLog) -> PackFigure:
    now = known.now
    return figure(
        PackPart.HEALTH,
        Sentence("A full pack runs this machine for"),
        Sourced(
            name="full_pack_h",
            value=now.full_pack_h,
            origin=Origin.MEASURED if _is_measured(known) else Origin.ESTIMATE,
            detail=Sentence(
                "{logged_shifts} from {first} to {last}, at {at_k}",
                at_k=AT_K,
                logged_shifts=float(len(known.trend)),
                first=log.discharges[-len(known.trend)].at.date().isoformat(),
                last=log.discharges[-1].at.date().isoformat(),
            ),
            low=now.low_h,
            high=now.high_h,
        ),
    )


def _given(band: tuple[float, float, float], run_downs: int) -> PackFigure:
    return figure(
        PackPart.HEALTH,
        Sentence("It gives of what a new one gives"),
        Sourced(
            name="given_fraction",
            value=band[1],
            origin=Origin.MEASURED,
            detail=Sentence("{logged_shifts} that went to its end", logged_shifts=float(run_downs)),
            low=band[0],
            high=band[2],
        ),
    )


def _chance(chance_fraction: float, work_h: float) -> PackFigure:
    return figure(
        PackPart.HEALTH,
        Sentence("Chance that a full pack does {work_h}", work_h=work_h),
        Sourced(
            name="chance_fraction",
            value=min(max(chance_fraction, _LEAST_CHANCE_FRACTION), _MOST_CHANCE_FRACTION),
            origin=Origin.ESTIMATE,
            detail=Sentence("from its own log; the shift's own ups and downs are in it; never told surer than 99 %"),
        ),
    )


def _left(left: ShiftsLeft) -> PackFigure:
    return figure(
        PackPart.HEALTH,
        Sentence("Shifts until it no longer does that"),
        Sourced(
            name="left_shifts",
            value=left.likely_shifts,
            origin=Origin.ESTIMATE,
            detail=Sentence("as its hours fall now; 1500 means later than can be told"),
            low=left.low_shifts,
            high=left.high_shifts,
        ),
    )


def _days(question: PackQuestion, left: ShiftsLeft, shifts_per_h: float) -> tuple[date, ...]:
    if not left.is_told or not shifts_per_h > 0:
        return ()
    days = tuple(
        day_after(question.at, shifts, shifts_per_h)
        for shifts in (left.likely_shifts, left.low_shifts, left.high_shifts)
    )
    return days if (days[0] - question.at.date()).days <= _FURTHEST_DAYS else ()


def _left_out(log: DischargeLog) -> list[Sentence]:
    """Why shifts do not count: the newest one in full, the others as a number."""
    if not log.left_out:
        return []
    rest = len(log.left_out) - 1
    newest = [log.left_out[-1]]
    return (
        newest
        if not rest
        else [
            *newest,
            Sentence("Left out of the health for such reasons as well: {more_shifts}.", more_shifts=float(rest)),
        ]
    )
