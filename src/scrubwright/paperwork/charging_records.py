"""From the tables of a charging file to the question of a night, part by part, so that every problem is told."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path

from scrubwright.battery.charging import mains_a
from scrubwright.battery.gassing import gassing_a_per_ah
from scrubwright.battery.pack import SEALED, Chemistry
from scrubwright.battery.room_air import GassingPack, air_through_m3_per_h
from scrubwright.jobs.charging_answer import ChargingNight, Circuit, MachineToCharge, Room, Tariff
from scrubwright.jobs.charging_needs import ChargeNeeds, charge_needs
from scrubwright.measures.errors import BadInput, NoAnswer, UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.charging_file import ChargingFile, MachineTable
from scrubwright.paperwork.charging_times import Moment, homes_at, prices, ready_at
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.packs import pack_from

# Figures and times by their place in the file, e.g. "machine 2.mains_a", in the records' units.
Figures = Mapping[str, Figure]
Moments = Mapping[str, Moment]
Window = tuple[datetime, datetime]

# What the file calls the figures of a charge, and what the records call them.
CHARGE_KEYS = {
    "mains_a": "mains_a",
    "charge_h": "charge_h",
    "gassing_from_h": "gassing_from_h",
    "energy_kwh": "energy_wh",
}
# These stand on no plate: somebody logged them, or remembers.
_LOGGED = frozenset({"charge_h", "gassing_from_h", "energy_wh"})
_NEVER_GASSES = SEALED | {Chemistry.LITHIUM}
_ONE_DAY = timedelta(days=1)
# Hours worked out are told to the nearest five minutes.
_TOLD_PER_H, _TOLD_S = 12, 300.0


@dataclass(slots=True, kw_only=True)
class _Found:
    """What turns up while the records are made: what to mend, and what else to tell."""

    wrong: list[Sentence] = field(default_factory=list)
    remarks: list[Sentence] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Charge:
    """One machine's charge, from its own figures or its pack's, by the names of the records."""

    figures: Mapping[str, float]
    origins: Mapping[str, Origin]
    gas: GassingPack | None
    before_gas_fraction: float | None = None


def night_of(
    page: ChargingFile, figures: Figures, moments: Moments, *, folder: Path, now: datetime, day: date | None
) -> tuple[ChargingNight | None, tuple[Sentence, ...], tuple[Sentence, ...]]:
    """The question of a file that is complete, or None; what does not go together in it; and what else to tell.

    Parameters
    ----------
    page
        The checked tables.
    figures, moments
        Every figure and time of the file, converted.
    folder
        From which pack files are looked for.
    now
        When it is asked.
    day
        On which the night begins; None: the night that ends next.
    """
    found = _Found()
    night = _night(page, figures, moments, found, folder, _windows_of_the_night(page, moments, found, now, day))
    # Machines with one kind of charger are told of it once.
    return night, tuple(found.wrong), tuple(dict.fromkeys(found.remarks))


def _night(
    page: ChargingFile, figures: Figures, moments: Moments, found: _Found, folder: Path, windows: Sequence[Window]
) -> ChargingNight | None:
    if found.wrong:
        return None
    machines = [
        _machine(table, f"machine {number}", figures, window, found, folder)
        for number, (table, window) in enumerate(zip(page.machine, windows, strict=True), 1)
    ]
    tariff = _tariff(page, figures, moments, windows, found)
    if found.wrong:
        return None
    try:
        return ChargingNight(
            machines=tuple(machine for machine in machines if machine is not None),
            circuits=_circuits(page, figures),
            tariff=tariff,
            room=_room(page, figures),
            may_pause=page.may_pause,
        )
    except BadInput as problem:
        found.wrong.append(problem.sentence)
        return None


def _windows_of_the_night(
    page: ChargingFile, moments: Moments, found: _Found, now: datetime, day: date | None
) -> list[Window]:
    """From when until when each machine may charge, on the day asked for or in the night that ends next."""
    places = [f"machine {number}" for number, _ in enumerate(page.machine, 1)]
    homes = [moments[_own_or_shared(place, "home", moments)] for place in places]
    ends = [moments[_own_or_shared(place, "ready_by", moments)] for place in places]
    # An end with a day of its own does not tell whether yesterday's night still lasts.
    by_clock = [number for number, end in enumerate(ends) if isinstance(end, time)]
    tonight = [now.date() + days * _ONE_DAY for days in ((-1, 0, 1) if by_clock else (0,))]
    for each in tonight if day is None else [day]:
        windows, wrong = _windows(places, homes, ends, each)
        if wrong or max((windows[number][1] for number in by_clock), default=now) > now:
            break
    found.wrong += wrong
    return windows


def _windows(
    places: Sequence[str], homes: Sequence[Moment], ends: Sequence[Moment], day: date
) -> tuple[list[Window], list[Sentence]]:
    windows, wrong = [], []
    for place, home_at, end in zip(places, homes_at(homes, day), ends, strict=True):
        try:
            windows.append((home_at, ready_at(f"{place}.ready_by", end, home_at)))
        except BadInput as problem:
            wrong.append(problem.sentence)
    return windows, wrong


def _own_or_shared(place: str, key: str, given: Mapping[str, object]) -> str:
    """Where the key of a machine stands: in its own table, else at the top of the file."""
    own = f"{place}.{key}"
    return own if own in given else key


def _machine(
    table: MachineTable, where: str, figures: Figures, window: Window, found: _Found, folder: Path
) -> MachineToCharge | None:
    own = {name: figures[f"{where}.{key}"].value for key, name in CHARGE_KEYS.items() if f"{where}.{key}" in figures}
    try:
        charge = (
            _by_hand(table, where, figures, own)
            if table.pack is None
            else _by_pack(table, where, figures, own, found, folder / table.pack)
        )
        return MachineToCharge(
            name=table.name,
            home_at=window[0],
            ready_by=window[1],
            before_gas_fraction=charge.before_gas_fraction,
            gas=charge.gas,
            origins=tuple(sorted(charge.origins.items())),
            mains_a=charge.figures["mains_a"],
            charge_h=charge.figures["charge_h"],
            gassing_from_h=charge.figures["gassing_from_h"],
            energy_wh=charge.figures.get("energy_wh"),
        )
    except (BadInput, NoAnswer, UnreadablePaper) as problem:
        found.wrong.append(Sentence("{key}: {problem}", key=where, problem=problem.sentence))
        return None


def _by_hand(table: MachineTable, where: str, figures: Figures, own: Mapping[str, float]) -> _Charge:
    """The charge as it was entered."""
    gas = None
    if table.cells is not None and f"{where}.capacity_ah" in figures:
        gas = GassingPack(
            cells=table.cells,
            capacity_ah=figures[f"{where}.capacity_ah"].value,
            gassing_a_per_ah=gassing_a_per_ah(table.chemistry, table.profile),
        )
    # Where nobody knows when it begins to gas, it is taken to gas from the first moment.
    taken = {"gassing_from_h": own["charge_h"] if table.chemistry in _NEVER_GASSES else 0.0}
    return _Charge(
        figures=taken | dict(own), origins=dict.fromkeys(taken, Origin.ESTIMATE) | _origins(table, own), gas=gas
    )


def _by_pack(
    table: MachineTable, where: str, figures: Figures, own: Mapping[str, float], found: _Found, path: Path
) -> _Charge:
    """The charge as pack, charger and charge left make it; what was entered all the same comes first."""
    paper = pack_from(path)
    if paper.charger is None:
        raise BadInput(
            "{file} names no charger; add its table [charger], or give mains_a and charge_h instead of the pack.",
            file=path.name,
        )
    needs = charge_needs(paper.pack, paper.charger, figures[f"{where}.charge_left_percent"].value)
    worked_out = _worked_out(needs)
    mains = needs.mains or (None if "mains_a" in own else mains_a(paper.pack, paper.charger))
    origins = dict.fromkeys(worked_out, Origin.ESTIMATE)
    if mains is not None:
        worked_out["mains_a"], origins["mains_a"] = mains.value, mains.origin
    if needs.before_gas_fraction is None and "charge_h" in own:
        worked_out["gassing_from_h"] = own["charge_h"]
    if "charge_h" not in own:
        found.remarks.append(_hours_told(table.name, needs))
    found.remarks += needs.remarks
    return _Charge(
        figures=worked_out | dict(own),
        origins=origins | _origins(table, own),
        gas=needs.gas,
        before_gas_fraction=needs.before_gas_fraction,
    )


def _worked_out(needs: ChargeNeeds) -> dict[str, float]:
    return {
        "charge_h": needs.planned_h,
        "gassing_from_h": needs.gassing_from_h,
        "energy_wh": needs.energy.value,
    }


def _hours_told(machine: str, needs: ChargeNeeds) -> Sentence:
    hours = needs.hours
    low_h, high_h = (hours.value if end is None else end for end in (hours.low, hours.high))
    return Sentence(
        "{machine}: by its pack file the charge takes {likely_s}, four times in five {low_s} to {high_s}. Planned: "
        "{planned_s}.",
        machine=machine,
        likely_s=_told_s(hours.value),
        low_s=_told_s(low_h),
        high_s=_told_s(high_h),
        planned_s=_told_s(needs.planned_h),
    )


def _told_s(hours_h: float) -> float:
    return round(hours_h * _TOLD_PER_H) * _TOLD_S


def _origins(table: MachineTable, own: Mapping[str, float]) -> dict[str, Origin]:
    """Where the figures that were entered come from."""
    origins = {name: Origin.MEMORY if name in _LOGGED else Origin.PLATE for name in own}
    for keys, origin in ((table.measured, Origin.MEASURED), (table.from_memory, Origin.MEMORY)):
        origins |= {CHARGE_KEYS[key]: origin for key in keys if CHARGE_KEYS[key] in own}
    return origins


def _circuits(page: ChargingFile, figures: Figures) -> tuple[Circuit, ...]:
    return tuple(
        Circuit(
            name=table.name,
            breaker_a=figures[f"circuit {number}.breaker_a"].value,
            other_load_a=_given(figures, f"circuit {number}.other_load_a") or 0.0,
            machines=table.machines,
        )
        for number, table in enumerate(page.circuit, 1)
    )


def _tariff(
    page: ChargingFile, figures: Figures, moments: Moments, windows: Sequence[Window], found: _Found
) -> tuple[Tariff, ...]:
    daily = []
    for number, _ in enumerate(page.tariff, 1):
        begins = moments[f"tariff {number}.begins"]
        if isinstance(begins, time):
            daily.append((begins, figures[f"tariff {number}.price_per_kwh"].value))
        else:
            found.wrong.append(
                Sentence(
                    "tariff {number}.begins has a day; prices are the same every day, so enter the time alone, such "
                    "as 22:00.",
                    number=number,
                )
            )
    if not daily:
        return ()
    return prices(daily, min(home for home, _ in windows), max(ready_by for _, ready_by in windows))


def _room(page: ChargingFile, figures: Figures) -> Room | None:
    if page.room is None:
        return None
    opening_m2 = _given(figures, "room.openings_cm2")
    return Room(
        free_m3=_given(figures, "room.free_volume_m3"),
        air_m3_per_h=_given(figures, "room.air_m3_per_h") if opening_m2 is None else air_through_m3_per_h(opening_m2),
    )


def _given(figures: Figures, place: str) -> float | None:
    return figures[place].value if place in figures else None
