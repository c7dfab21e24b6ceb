"""How long a charge takes, what goes in, and what it draws from the wall."""

from dataclasses import dataclass, replace

from scrubwright.battery.charge_curve import (
    PROFILES,
    Stage,
    StageTime,
    Taper,
    charge_curve,
    check_charger_fits,
    stage_times,
    usual_finish_a,
    usual_taper,
)
from scrubwright.battery.pack import SEALED, ChargeProfile, Charger, Chemistry, Pack
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

# Ends of an 80 % band lie this many standard deviations from its middle.
Z_80 = 1.2816
# How far the place where the current begins to fall may be off while it is not learned (ours), in charge of the pack.
UNLEARNED_FRACTION = 0.04
# Plug-in and finish are read off a clock on the wall.
CLOCK_H = 0.25

# Volts of one cell at which a charger draws its most, and while lithium (iron phosphate) fills: from memory.
PEAK_CELL_V, LITHIUM_PEAK_CELL_V, LITHIUM_CELL_V = 2.45, 3.65, 3.40

# Middle, low and high end of what chargers do where the plate is silent: common practice.
EFFICIENCY = (0.85, 0.78, 0.92)
POWER_FACTOR = (0.90, 0.70, 0.99)

# Usual size of the main current for each ampere-hour: flooded as two handbooks and sealed as a maker's page print it.
USUAL_A_PER_AH = {
    Chemistry.FLOODED: (0.10, 0.20),
    Chemistry.AGM: (0.10, 0.30),
    Chemistry.GEL: (0.10, 0.30),
    Chemistry.LITHIUM: (0.10, 0.50),
}
# Above these, the last part boils a flooded pack or dries a sealed one.
MOST_FINISH_A_PER_AH = {Chemistry.FLOODED: 0.05, Chemistry.AGM: 0.015, Chemistry.GEL: 0.015}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeFactor:
    """Ampere-hours in over ampere-hours out, with its 80 % band."""

    value_ratio: float
    low_ratio: float
    high_ratio: float
    origin: Origin
    detail: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeRun:
    """One charge from plug-in to its end.

    Parameters
    ----------
    start_fraction
        Charge left at plug-in [0 to 1].
    main_h, taper_h, finish_h
        What its parts take [h].
    gassing_from_h
        From plug-in until the gassing voltage is reached [h]; the whole charge where the pack does not gas.
    in_ah
        Put in, overcharge included [Ah].
    charge_factor_ratio
        Ampere-hours in over those missing.
    finish_a
        Current of the last part [A].
    energy_wh
        From the wall [Wh].
    mains_a
        Drawn from the wall at its most [A]; None where the plate gives neither mains amperes nor mains volts.
    figures
        The numbers to tell, each with band and origin: hours, ampere-hours, energy, currents, charge factor.
    remarks
        What is odd about this charger on this pack.
    """

    start_fraction: float
    main_h: float
    taper_h: float
    finish_h: float
    gassing_from_h: float
    in_ah: float
    charge_factor_ratio: float
    finish_a: float
    energy_wh: float
    mains_a: float | None
    figures: tuple[Sourced, ...]
    remarks: tuple[Sentence, ...]

    @property
    def total_h(self) -> float:
        """From plug-in to the end [h]."""
        return self.main_h + self.taper_h + self.finish_h


def usual_charge_factor(pack: Pack, charger: Charger) -> ChargeFactor:
    """How much more goes into a pack than was taken out.

    The rest splits water, warms the pack, and mixes the acid, which in tall cells nothing else does; air blown
    through the electrolyte mixes it with less.

    Notes
    -----
    The charger's own figure first. Flooded: 1.15 to 1.20, with circulation 1.05 to 1.07 (common practice; a maker's
    page prints 1.15 to 1.30). Steady voltage alone 1.05 (from memory; at 2.40 V a cell little
    gas is made). Sealed: 1.02 to 1.05 and 1.04 to 1.12 on two makers' pages.
    """
    if charger.charge_factor_ratio is not None:
        plate = charger.charge_factor_ratio
        return ChargeFactor(
            value_ratio=plate,
            low_ratio=plate,
            high_ratio=plate,
            origin=Origin.PLATE,
            detail=Sentence("the charger's own charge factor"),
        )
    if pack.chemistry is Chemistry.LITHIUM:
        values, origin = (1.01, 1.00, 1.02), Origin.MEMORY
        detail = Sentence("usual for lithium")
    elif pack.chemistry in SEALED:
        values, origin = (1.05, 1.02, 1.12), Origin.PUBLISHED
        detail = Sentence("two makers' pages for sealed packs")
    elif charger.circulates:
        values, origin = (1.07, 1.05, 1.10), Origin.COMMON_PRACTICE
        detail = Sentence("usual with air blown through the electrolyte")
    elif charger.profile is ChargeProfile.IUOU:
        values, origin = (1.05, 1.02, 1.10), Origin.MEMORY
        detail = Sentence("usual where the voltage is held to the end")
    elif charger.profile is ChargeProfile.IUIA:
        values, origin = (1.15, 1.10, 1.20), Origin.COMMON_PRACTICE
        detail = Sentence("usual for this profile without circulation")
    else:
        values, origin = (1.20, 1.15, 1.25), Origin.COMMON_PRACTICE
        detail = Sentence("usual for this profile without circulation")
    return ChargeFactor(value_ratio=values[0], low_ratio=values[1], high_ratio=values[2], origin=origin, detail=detail)


def charge_run(pack: Pack, charger: Charger, start_fraction: float, taper: Taper | None = None) -> ChargeRun:
    """One charge of a pack on a charger: its hours, ampere-hours, energy and currents.

    The charger gives its main current until the pack reaches the gassing voltage; then the current falls evenly with
    the charge put in; the last part goes on with the finish current until the charge factor is reached.

    Parameters
    ----------
    pack, charger
        Which fit each other.
    start_fraction
        Charge left at plug-in [0 to 1].
    taper
        Learned from logs (`charge_log.learned_taper`); None: by the ampere-hour law.

    Raises
    ------
    BadInput
        The charger does not fit the pack, or the charge left is no share.

    Notes
    -----
    Method ours, docs/explanation/charging-and-water.md. Counted in the pack's rated ampere-hours; an aged pack takes
    less. The hours hold at 15 to 35 °C; a cold pack takes longer.

    Examples
    --------
    >>> from scrubwright.battery.pack import RatedCapacity
    >>> pack = Pack(name="A", chemistry=Chemistry.AGM, cells=18, cut_off_v=1.75, rated_k=298.15,
    ...             capacities=(RatedCapacity(capacity_ah=200.0, over_h=5.0),))
    >>> run = charge_run(pack, Charger(name="B", profile=ChargeProfile.IUOU, main_a=40.0), 0.2)
    >>> round(run.main_h, 2), round(run.taper_h, 2), round(run.finish_h, 2), round(run.in_ah)
    (3.0, 3.0, 5.0, 168)
    """
    check_charger_fits(pack, charger)
    if not 0 <= start_fraction <= 1:
        raise BadInput(
            "The charge left at plug-in is {given}; enter a share from 0 to 1, such as 0.3.", given=str(start_fraction)
        )
    factor = usual_charge_factor(pack, charger)
    used = taper or usual_taper(pack, charger)
    times = _times(pack, charger, start_fraction, used, factor.value_ratio)
    total_h = sum(each.duration_h for each in times.values())
    in_ah = factor.value_ratio * (1 - start_fraction) * pack.capacity_ah
    energy = _energy(pack, charger, times)
    wall = None if charger.mains_a is None and charger.mains_v is None else mains_a(pack, charger)
    figures = (
        _total(pack, charger, start_fraction, used, factor, total_h),
        _by_factor("charge_in_ah", in_ah / factor.value_ratio, factor),
        energy,
        _finish_figure(pack, charger),
        _by_factor("charge_factor_ratio", 1.0, factor),
    )
    return ChargeRun(
        start_fraction=start_fraction,
        main_h=times[Stage.MAIN].duration_h,
        taper_h=times[Stage.TAPER].duration_h,
        finish_h=times[Stage.FINISH].duration_h,
        gassing_from_h=times[Stage.MAIN].duration_h if pack.chemistry is Chemistry.FLOODED else total_h,
        in_ah=in_ah,
        charge_factor_ratio=factor.value_ratio,
        finish_a=usual_finish_a(pack, charger),
        energy_wh=energy.value,
        mains_a=None if wall is None else wall.value,
        figures=figures if wall is None else (*figures, wall),
        remarks=charger_remarks(pack, charger),
    )


def _times(
    pack: Pack, charger: Charger, start_fraction: float, taper: Taper, factor_ratio: float
) -> dict[Stage, StageTime]:
    missing_ah = (1 - start_fraction) * pack.capacity_ah
    curve = charge_curve(pack, charger, taper)
    return stage_times(curve, start_fraction * pack.capacity_ah, factor_ratio * missing_ah)


def charge_h(
    pack: Pack, charger: Charger, start_fraction: float, taper: Taper, charge_factor_ratio: float | None = None
) -> float:
    """Hours of one charge [h], for a taper and a charge factor of one's own.

    Parameters
    ----------
    start_fraction
        Charge left at plug-in [0 to 1].
    charge_factor_ratio
        None: as usual for the pair.

    **Source** As `charge_run`; checked in tests/worked/test_battery_charge_times.py.
    """
    factor_ratio = (
        usual_charge_factor(pack, charger).value_ratio if charge_factor_ratio is None else charge_factor_ratio
    )
    times = _times(pack, charger, start_fraction, taper, factor_ratio)
    return sum(each.duration_h for each in times.values())


def _total(
    pack: Pack, charger: Charger, start_fraction: float, taper: Taper, factor: ChargeFactor, total_h: float
) -> Sourced:
    """The hours, with the band that what was logged, or what is not known, leaves."""
    if taper.spread_h is not None:
        off_h = Z_80 * max(taper.spread_h, CLOCK_H)
        low_h, high_h = max(total_h - off_h, 0.0), total_h + off_h
        detail = Sentence("learned from {logs} charges, plug-in to finish", logs=taper.logs)
    else:
        at = taper.gassing_charge_fraction
        early = replace(taper, gassing_charge_fraction=max(at - UNLEARNED_FRACTION, at / 2))
        late = replace(taper, gassing_charge_fraction=min(at + UNLEARNED_FRACTION, (1 + at) / 2))
        ends_h = (
            total_h,
            charge_h(pack, charger, start_fraction, late, factor.low_ratio),
            charge_h(pack, charger, start_fraction, early, factor.high_ratio),
        )
        low_h, high_h = min(ends_h), max(ends_h)
        detail = Sentence(
            "worked out from the currents and the charge factor; log plug-in and finish to make it this pack's own"
        )
    return Sourced(name="charge_h", value=total_h, origin=Origin.ESTIMATE, detail=detail, low=low_h, high=high_h)


def _energy(pack: Pack, charger: Charger, times: dict[Stage, StageTime]) -> Sourced:
    lithium = pack.chemistry is Chemistry.LITHIUM
    volts = {phase.stage: LITHIUM_CELL_V if lithium else phase.cell_v for phase in PROFILES[charger.profile]}
    into_pack_wh = pack.cells * sum(volts[stage] * each.in_ah for stage, each in times.items())
    middle, low, high = _plate_or_usual(charger.efficiency_fraction, EFFICIENCY)
    return Sourced(
        name="energy_wh",
        value=into_pack_wh / middle,
        origin=Origin.ESTIMATE,
        detail=Sentence("ampere-hours times usual cell volts, over the charger's efficiency"),
        low=into_pack_wh / high,
        high=into_pack_wh / low,
    )


def _by_factor(name: str, each: float, factor: ChargeFactor) -> Sourced:
    """What goes with the charge factor, with its band and origin."""
    return Sourced(
        name=name,
        value=each * factor.value_ratio,
        origin=factor.origin,
        detail=factor.detail,
        low=each * factor.low_ratio,
        high=each * factor.high_ratio,
    )


def _finish_figure(pack: Pack, charger: Charger) -> Sourced:
    usual = Origin.COMMON_PRACTICE if pack.chemistry is Chemistry.FLOODED else Origin.MEMORY
    return Sourced(
        name="finish_a",
        value=usual_finish_a(pack, charger),
        origin=usual if charger.finish_a is None else Origin.PLATE,
        detail=Sentence("usual for the profile and the pack's size")
        if charger.finish_a is None
        else Sentence("the charger's plate"),
    )


def _plate_or_usual(plate: float | None, usual: tuple[float, float, float]) -> tuple[float, float, float]:
    return usual if plate is None else (plate, plate, plate)


def mains_a(pack: Pack, charger: Charger) -> Sourced:
    """What a charger draws from the wall at its most [A].

    Off its plate; else the power at the end of the main part over volts, efficiency and power factor.

    Raises
    ------
    NoAnswer
        The plate gives neither mains amperes nor mains volts.

    Notes
    -----
    A falling charger is counted with its first current at the same volts, which errs high. **Source** identity;
    checked in tests/worked/test_battery_charge_times.py.
    """
    if charger.mains_a is not None:
        return Sourced(
            name="mains_a", value=charger.mains_a, origin=Origin.PLATE, detail=Sentence("the charger's plate")
        )
    if charger.mains_v is None:
        raise NoAnswer(
            "The plate of {charger} gives neither the amperes nor the volts of the wall side; read one of them off it "
            "and enter it.",
            charger=charger.name,
        )
    cell_v = LITHIUM_PEAK_CELL_V if pack.chemistry is Chemistry.LITHIUM else PEAK_CELL_V
    peak_a = pack.cells * cell_v * charger.main_a / charger.mains_v
    efficiency = _plate_or_usual(charger.efficiency_fraction, EFFICIENCY)
    factor = _plate_or_usual(charger.power_factor_fraction, POWER_FACTOR)
    return Sourced(
        name="mains_a",
        value=peak_a / (efficiency[0] * factor[0]),
        origin=Origin.ESTIMATE,
        detail=Sentence("pack volts times main current, over mains volts, efficiency and power factor"),
        low=peak_a / (efficiency[2] * factor[2]),
        high=peak_a / (efficiency[1] * factor[1]),
    )


def charger_remarks(pack: Pack, charger: Charger) -> tuple[Sentence, ...]:
    """What is odd about a charger on a pack that it may charge: too small, too big, too much at the end."""
    remarks = []
    main_a_per_ah = charger.main_a / pack.capacity_ah
    low, high = USUAL_A_PER_AH[pack.chemistry]
    if main_a_per_ah < low:
        remarks.append(
            Sentence(
                "{charger} is small for this pack: {main_a_per_ah}, usual is {low_a_per_ah} or more. The charge takes "
                "long, and may not be done by morning.",
                charger=charger.name,
                main_a_per_ah=main_a_per_ah,
                low_a_per_ah=low,
            )
        )
    if main_a_per_ah > high:
        remarks.append(
            Sentence(
                "{charger} is big for this pack: {main_a_per_ah}, usual is up to {high_a_per_ah}. Ask the pack's maker "
                "whether it takes that much.",
                charger=charger.name,
                main_a_per_ah=main_a_per_ah,
                high_a_per_ah=high,
            )
        )
    most = MOST_FINISH_A_PER_AH.get(pack.chemistry)
    finish_a_per_ah = usual_finish_a(pack, charger) / pack.capacity_ah
    if most is not None and charger.finish_a is not None and finish_a_per_ah > most:
        remarks.append(
            Sentence(
                "{charger} ends with {finish_a_per_ah}; more than {most_a_per_ah} overheats this kind of pack and "
                "drives its water out. Have its setting checked.",
                charger=charger.name,
                finish_a_per_ah=finish_a_per_ah,
                most_a_per_ah=most,
            )
        )
    return tuple(remarks)
