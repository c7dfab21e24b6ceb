"""A machine as it stands tonight, from its plate, its pack's papers and what was read off the pack."""

import math
from dataclasses import dataclass, replace
from datetime import datetime

from scrubwright.battery.pack import Charger, Pack
from scrubwright.battery.trend import BAND_SD
from scrubwright.battery.visit import Visit
from scrubwright.battery.voltage import sag_resistance_ohm
from scrubwright.jobs.pack_cell_view import cell_view
from scrubwright.jobs.pack_charge import ChargeNow, charge_now
from scrubwright.jobs.pack_health import health_now
from scrubwright.jobs.pack_look import CHARGE_HOLDS_DAYS
from scrubwright.jobs.pack_question import PackQuestion
from scrubwright.jobs.shift_question import MachineTonight, Rates
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Tonight:
    """A machine as it stands, and what its readings say that a person must know before the shift."""

    machine: MachineTonight
    told: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """What the pack holds over its rating, how well that is known, and the sentence that says so."""

    ratio: float
    sd_ratio: float
    told: Sentence


def tonight(
    plate: Plate,
    pack: Pack,
    charger: Charger | None,
    visits: tuple[Visit, ...],
    *,
    at: datetime,
    charge_fraction: float | None = None,
    rates: Rates | None = None,
) -> Tonight:
    """The machine with its charge, health, resistance and warmth.

    Parameters
    ----------
    plate, pack, charger
        As their papers have them.
    visits
        All readings of the pack, in any order; may be empty.
    at
        When it is asked.
    charge_fraction
        Charge left at the start [0 to 1]; None takes it from the readings.
    rates
        From the log of shifts; None takes the plate's.

    Raises
    ------
    BadInput
        The charge is neither given nor told by a reading of the last days; readings that cannot be of this pack.

    Notes
    -----
    Without readings health is taken as new with a wide band, and resistance and temperature as usual. A log that
    never saw the pack new tells only what it lost since; then its first discharges stand for the rating.
    """
    question = PackQuestion(pack=pack, charger=charger, visits=visits, at=at)
    told: list[Sentence] = []
    read = charge_now(question, cell_view(question))
    is_fresh = read is not None and (at - read.visit.at).days <= CHARGE_HOLDS_DAYS
    if charge_fraction is None:
        charge = _charge(read, at)
        told.append(
            Sentence(
                "Charge as read on {day}, {moment}: {charge_fraction}.",
                day=charge.visit.at.date().isoformat(),
                moment=charge.visit.moment,
                charge_fraction=float(charge.charge_fraction),
            )
        )
        machine = MachineTonight(
            plate=plate,
            pack=pack,
            charger=charger,
            charge_fraction=float(charge.charge_fraction),
            charge_sd_fraction=float(charge.sd_fraction),
        )
    else:
        machine = MachineTonight(plate=plate, pack=pack, charger=charger, charge_fraction=charge_fraction)
    machine = replace(machine, resistance_ohm=_resistance_ohm(question))
    held = _held(question)
    if held is not None:
        machine = replace(machine, health_ratio=held.ratio, health_sd_ratio=held.sd_ratio)
    if read is not None and is_fresh and read.visit.electrolyte_k:
        machine = replace(machine, electrolyte_k=sum(read.visit.electrolyte_k) / len(read.visit.electrolyte_k))
    if rates is not None:
        machine = replace(machine, rates=rates)
    if read is not None and is_fresh:
        told += [*_flat(read), *(remark for _, remark in read.told.remarks)]
    if held is not None:
        told.append(held.told)
    return Tonight(machine=machine, told=tuple(told))


def _charge(read: ChargeNow | None, at: datetime) -> ChargeNow:
    if read is None:
        raise BadInput(
            "The readings do not tell how much charge is left. Read gravities or rested volts after the charge, or "
            "enter the charge as the display shows it, such as --charge 0.85."
        )
    days = (at - read.visit.at).days
    if days > CHARGE_HOLDS_DAYS:
        raise BadInput(
            "The last reading is {days} days older than the start: what is left then is not known. Read the pack "
            "again, or enter the charge as the display shows it, such as --charge 0.85.",
            days=days,
        )
    return read


def _held(question: PackQuestion) -> _Held | None:
    """By the pack's own log: of what a new one gives, else of what it gave when the log began; None without a log."""
    known = health_now(question).health
    if known is None:
        return None
    band = known.of_new_band_fraction()
    if band is not None:
        low, middle, high = band
        return _Held(
            ratio=middle,
            sd_ratio=(high - low) / (2 * BAND_SD),
            told=Sentence(
                "By its log the pack gives {given_fraction} of what a new one gives.", given_fraction=float(middle)
            ),
        )
    first, now = known.trend[0], known.now
    ratio = min(now.full_pack_h / first.full_pack_h, 1.0)
    # Of two log-normal bands, read apart.
    sd = math.hypot(*(math.log(each.high_h / each.low_h) for each in (first, now))) / (2 * BAND_SD)
    return _Held(
        ratio=ratio,
        sd_ratio=ratio * sd,
        told=Sentence(
            "By its log a full pack ran {first_h} at first and {now_h} now, so {given_fraction} of its rating is "
            "taken.",
            first_h=float(first.full_pack_h),
            now_h=float(now.full_pack_h),
            given_fraction=float(ratio),
        ),
    )


def _resistance_ohm(question: PackQuestion) -> float | None:
    """By the newest two readings under load, else as the pack's file says."""
    for visit in reversed(question.of_this_pack):
        if visit.under_load is not None:
            read = visit.under_load
            return sag_resistance_ohm(read.idle_v, read.idle_a, read.load_v, read.load_a)
    return question.pack.resistance_ohm


def _flat(read: ChargeNow) -> list[Sentence]:
    return [
        Sentence("Cell {cell} is below its flat end: charge the pack before it works.", cell=cell)
        for cell in read.flat_cells
    ]
