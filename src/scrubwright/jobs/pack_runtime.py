"""How long the pack lasts: by its own log first, by its rate table beside it."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.discharge import CAUSES, Guard, Load, StopCause, discharge, guard
from scrubwright.battery.gravity import SLOPE_PER_K
from scrubwright.battery.health import Health
from scrubwright.battery.pack import Chemistry, Pack
from scrubwright.battery.peukert import (
    HIGH_EXPONENT_RATIO,
    LOW_EXPONENT_RATIO,
    USUAL_EXPONENT_RATIO,
    runtime_by_peukert_h,
)
from scrubwright.battery.rate_table import exponent_ratio
from scrubwright.battery.rested_voltage import AT_K, rested_cell_v
from scrubwright.battery.temperature import COLDEST_K, WARMEST_K, capacity_fraction
from scrubwright.battery.trend import BAND_SD
from scrubwright.battery.visit import Visit
from scrubwright.battery.voltage import LEAST_RESISTANCE_OHM_AH, VoltageCurve, sag_resistance_ohm, usual_curve
from scrubwright.battery.wells import Wells, fitted_wells, rested
from scrubwright.jobs.pack_answer import PackFigure, PackPart
from scrubwright.jobs.pack_charge import ChargeNow
from scrubwright.jobs.pack_question import PackQuestion, Told, figure
from scrubwright.measures.errors import NoAnswer
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

# Two wells erred by up to this towards long runtimes against a physics model (tests/outside).
OPTIMISM_FRACTION = 0.05
# Sealed cells rest at about this when full; their acid is stronger than a flooded cell's.
_SEALED_FULL_V = 2.15
_LITHIUM_LOSS_FRACTION = 0.05
# A hydrometer falls from full to flat over about what a discharge of this length gives (common practice).
GRAVITY_SCALE_H = 20.0
# A resistance past so many times a new pack's speaks for a bad joint (common practice).
_BAD_JOINT_TIMES = 4
_LONGEST_H = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RuntimeNow:
    """Hours of usual work that are left.

    Parameters
    ----------
    left_h, low_h
        From the charge left, and the low end of its band [h]; None where neither a log nor a current is known.
    told
        Numbers and remarks.
    """

    left_h: float | None
    low_h: float | None
    told: Told


@dataclass(frozen=True, slots=True, kw_only=True)
class _Start:
    """What a discharge begins with."""

    charge_fraction: float
    sd_fraction: float
    reverses_at_fraction: float
    visit: Visit | None

    @property
    def usable_fraction(self) -> float:
        return max(self.charge_fraction - self.reverses_at_fraction, 0.0)


def runtime_now(
    question: PackQuestion, charge: ChargeNow | None, health: Health | None, *, is_fresh: bool
) -> RuntimeNow:
    """Hours of usual work that are left, and until when the rate table would let it run.

    Parameters
    ----------
    question
        The question.
    charge
        The charge at the newest reading that tells it; None before the first.
    health
        None where the log tells none.
    is_fresh
        Whether that reading still says what is left now; where not, the table tells what a full pack does.
    """
    figures: list[PackFigure] = []
    remarks: list[Sentence] = []
    left_h = low_h = None
    if health is not None and charge is not None and is_fresh:
        by_log = _by_log(health, charge)
        figures.append(figure(PackPart.RUNTIME, Sentence("Work left by its own log"), by_log))
        left_h, low_h = by_log.value, by_log.low
    sag = _sag(question)
    if sag is not None:
        figures.append(figure(PackPart.RUNTIME, Sentence("Resistance of pack and cables"), sag))
        remarks += _sag_remarks(question.pack, sag.value)
    if question.load_a is not None:
        start = _start(charge, is_fresh=is_fresh)
        by_table, why = _by_table(question, start, question.load_a, None if sag is None else sag.value)
        label = Sentence("Work left by its rate table at {load_a}", load_a=question.load_a)
        if not is_fresh:
            label = Sentence("Full, by its rate table at {load_a}", load_a=question.load_a)
            by_table = replace(by_table, name="full_by_table_h")
        elif left_h is None:
            left_h, low_h = by_table.value, by_table.low
        figures.append(figure(PackPart.RUNTIME, label, by_table))
        remarks += why
        if not is_fresh and question.work_h is not None:
            remarks.append(_work_of_a_full_pack(question.work_h, by_table))
    elif health is None:
        remarks.append(
            Sentence(
                "How long it runs cannot be told yet: give the mean current of the work, or log a few shifts with "
                "the hour meter and a reading before and after."
            )
        )
    return RuntimeNow(
        left_h=left_h,
        low_h=low_h,
        told=Told(figures=tuple(figures), remarks=tuple((PackPart.RUNTIME, each) for each in remarks)),
    )


def _start(charge: ChargeNow | None, *, is_fresh: bool) -> _Start:
    """From the charge left; from full where that is not known, less what the weakest cell lacked when last read."""
    if charge is not None and is_fresh:
        return _Start(
            charge_fraction=charge.charge_fraction,
            sd_fraction=charge.sd_fraction,
            reverses_at_fraction=charge.reverses_at_fraction,
            visit=charge.visit,
        )
    lacks = 0.0 if charge is None else charge.reverses_at_fraction
    return _Start(charge_fraction=1.0, sd_fraction=0.0, reverses_at_fraction=lacks, visit=None)


def _work_of_a_full_pack(work_h: float, by_table: Sourced) -> Sentence:
    if (by_table.low or 0.0) < work_h:
        return Sentence("Even full it would not surely do the {work_h} ahead, by its rate table.", work_h=work_h)
    return Sentence(
        "Full it would do the {work_h} ahead, by its rate table. What it holds now is told once it is read.",
        work_h=work_h,
    )


def _by_log(health: Health, charge: ChargeNow) -> Sourced:
    now = health.now
    cold = _cold_fraction(charge.visit, AT_K)
    middle_h = now.full_pack_h * charge.usable_fraction * cold
    # Independent errors of the charge and of the hours of a full pack.
    own = np.log(now.high_h / now.low_h) / (2 * BAND_SD)
    read = charge.sd_fraction / max(charge.usable_fraction, charge.sd_fraction)
    spread = np.exp(BAND_SD * np.hypot(own, read))
    return Sourced(
        name="runtime_left_h",
        value=float(middle_h),
        origin=Origin.MEASURED,
        detail=Sentence(
            "{full_pack_h} from full at {at_k}, by a log of {logged_shifts}",
            at_k=AT_K,
            full_pack_h=now.full_pack_h,
            logged_shifts=float(len(health.trend)),
        ),
        low=float(middle_h / spread),
        high=float(middle_h * spread),
    )


def _sag(question: PackQuestion) -> Sourced | None:
    for visit in reversed(question.of_this_pack):
        if visit.under_load is not None:
            read = visit.under_load
            return Sourced(
                name="resistance_ohm",
                value=sag_resistance_ohm(read.idle_v, read.idle_a, read.load_v, read.load_a),
                origin=Origin.MEASURED,
                detail=Sentence("two readings of {day}", day=visit.at.date().isoformat()),
            )
    if question.pack.resistance_ohm is not None:
        return Sourced(
            name="resistance_ohm",
            value=question.pack.resistance_ohm,
            origin=question.pack.origin("resistance_ohm"),
            detail=Sentence("from the pack's file"),
        )
    return None


def _sag_remarks(pack: Pack, resistance_ohm: float) -> list[Sentence]:
    if pack.chemistry is Chemistry.LITHIUM:
        return []
    new_ohm = pack.cells * LEAST_RESISTANCE_OHM_AH / pack.capacity_ah
    if resistance_ohm <= _BAD_JOINT_TIMES * new_ohm:
        return []
    return [
        Sentence(
            "That is more than {times} times a new pack's {new_ohm}. Before you blame the cells, feel for a hot joint: "
            "power off, pack unplugged, then look at every terminal and at the plug.",
            times=_BAD_JOINT_TIMES,
            new_ohm=new_ohm,
        )
    ]


def _by_table(
    question: PackQuestion, start: _Start, load_a: float, resistance_ohm: float | None
) -> tuple[Sourced, list[Sentence]]:
    pack = question.pack
    cold = 1.0 if start.visit is None else _cold_fraction(start.visit, pack.rated_k)
    if pack.chemistry is Chemistry.LITHIUM:
        hours = pack.capacity_ah * start.usable_fraction / load_a
        detail = Sentence("capacity on the label over the current; its own guard decides when it stops")
        return _estimate(hours, hours * (1 - _LITHIUM_LOSS_FRACTION), hours, detail), []
    if len(pack.capacities) < 3:
        return _by_peukert(pack, start.usable_fraction * cold, load_a), []
    try:
        wells, curve = pack_model(pack, resistance_ohm)
    except NoAnswer as refused:
        return _by_peukert(pack, start.usable_fraction * cold, load_a), [refused.sentence]
    half = BAND_SD * start.sd_fraction
    shares = np.clip(start.charge_fraction + np.array([0.0, -half, half]), 0.0, 1.0)
    stop_h, cause = _stop(pack, wells, curve, shares * cold, load_a)
    weakest_h = np.maximum(shares - start.reverses_at_fraction, 0.0) * cold * float(np.asarray(wells.read_ah)) / load_a
    ends = cause if stop_h[0] <= weakest_h[0] else Sentence("its weakest cell is flat")
    middle_h, low_h, high_h = (float(each) for each in np.minimum(stop_h, weakest_h))
    detail = Sentence(
        "two wells fitted to {rows} rated capacities; it ends when {cause}", rows=len(pack.capacities), cause=ends
    )
    remarks = []
    if pack.lock_out is None:
        remarks.append(
            Sentence(
                "The machine's lock-out voltage is not known, so the end of the rate table stands for it. Look it up "
                "in the machine's handbook and enter it."
            )
        )
    return _estimate(middle_h, low_h * (1 - OPTIMISM_FRACTION), high_h, detail), remarks


def _by_peukert(pack: Pack, charge_fraction: float, load_a: float) -> Sourced:
    rows = pack.capacities
    nearest = min(rows, key=lambda row: abs(np.log(row.current_a / load_a)))
    p = max(exponent_ratio(rows), 1.0) if len(rows) > 1 else USUAL_EXPONENT_RATIO
    ends = (p, p) if len(rows) > 1 else (HIGH_EXPONENT_RATIO, LOW_EXPONENT_RATIO)
    load = (np.array([load_a]), np.array([_LONGEST_H]))
    share = min(max(charge_fraction, 0.0), 1.0)
    hours = [runtime_by_peukert_h(nearest, each, *load, share) or _LONGEST_H for each in (p, *ends)]
    detail = Sentence(
        "Peukert's law, since only one rated capacity is known; exponent {exponent_ratio}", exponent_ratio=p
    )
    if len(rows) > 1:
        detail = Sentence(
            "Peukert's law, since only {rows} rated capacities are known; exponent {exponent_ratio}",
            rows=len(rows),
            exponent_ratio=p,
        )
    return _estimate(hours[0], min(hours), max(hours), detail)


def _estimate(middle_h: float, low_h: float, high_h: float, detail: Sentence) -> Sourced:
    return Sourced(
        name="runtime_left_h",
        value=middle_h,
        origin=Origin.ESTIMATE,
        detail=detail,
        low=min(low_h, middle_h),
        high=max(high_h, middle_h),
    )


# The fit takes longer than a drawn shift's work, and a shift asks for the same pack again and again.
@lru_cache(maxsize=64)
def pack_model(pack: Pack, resistance_ohm: float | None = None) -> tuple[Wells, VoltageCurve]:
    """Wells and voltage curve of a lead-acid pack from its rate table.

    Parameters
    ----------
    pack
        With at least one rated capacity and its cut-off.
    resistance_ohm
        Of the pack with its cables, as measured [ohm]; None: estimated from the capacity.

    Raises
    ------
    BadInput
        The rate table cannot be.
    NoAnswer
        Such a pack would stand below its cut-off from the start.
    """
    full_v = _SEALED_FULL_V
    if pack.family is not None and pack.reference_k is not None:
        at_25_c = pack.family.full_ratio - SLOPE_PER_K * (AT_K - pack.reference_k)
        full_v = float(rested_cell_v(at_25_c))
    curve = usual_curve(full_v, pack.capacity_ah, pack.cells, resistance_ohm)
    wells = fitted_wells(pack.capacities, curve=curve, cut_off_v=pack.cut_off_v)
    slow = min(pack.capacities, key=lambda row: abs(row.over_h - GRAVITY_SCALE_H))
    return replace(wells, scale_ah=min(slow.capacity_ah, float(np.asarray(wells.most_ah)))), curve


def _stop(
    pack: Pack, wells: Wells, curve: VoltageCurve, charges_fraction: NDArray[np.float64], load_a: float
) -> tuple[NDArray[np.float64], StopCause]:
    """When the pack stops from each of these charges [h], and what stops it from the first."""
    watch = Guard(curve=curve, cell_v=pack.cut_off_v or 0.0, delay_s=0.0)
    if pack.lock_out is not None:
        watch = guard(curve, pack.lock_out, pack.cells)
    load = Load(current_a=np.array([load_a]), duration_h=np.array([_LONGEST_H]))
    run = discharge(wells, rested(wells, charges_fraction), load, watch)
    return run.stop_h, CAUSES[int(run.cause[0])]


def _cold_fraction(visit: Visit, reference_k: float) -> float:
    """Capacity at the electrolyte's temperature over that at a reference, never above it; 1 where it was not read."""
    if not visit.electrolyte_k:
        return 1.0
    at_k = min(max(sum(visit.electrolyte_k) / len(visit.electrolyte_k), COLDEST_K), WARMEST_K)
    return min(float(capacity_fraction(at_k) / capacity_fraction(reference_k)), 1.0)
