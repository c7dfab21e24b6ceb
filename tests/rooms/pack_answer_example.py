"""Answers for packs small enough to read whole; every number made up to fit the others, every word a real one."""

from dataclasses import replace
from datetime import date, datetime, timedelta

from scrubwright.battery.charge_left import GravityFamily, GravityPoint
from scrubwright.battery.discharge import StopCause
from scrubwright.battery.pack import Chemistry, LockOut, Pack, RatedCapacity
from scrubwright.jobs import pack_cautions
from scrubwright.jobs.pack_answer import (
    CellLine,
    HealthPoint,
    PackAnswer,
    PackFigure,
    PackPart,
    PackVerdict,
    Step,
)
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

# Cell by cell from 1 on; cell 16 was passed over.
GRAVITIES: tuple[float | None, ...] = (
    *(1.271, 1.270, 1.268, 1.272, 1.270, 1.269, 1.271, 1.270, 1.266),
    *(1.270, 1.238, 1.269, 1.273, 1.270, 1.271, None, 1.268, 1.270),
)
MEDIAN = 1.270
WEAKEST = 11
READ_AT = datetime(2025, 11, 12, 6, 40)
LAST_SEAT_ROW = (7, 8, 9, 12, 11, 10)

FLOODED = Pack(
    name="Market hall, mid machine",
    chemistry=Chemistry.FLOODED,
    cells=18,
    cells_per_block=3,
    rows=((1, 2, 3, 18, 17, 16), (4, 5, 6, 15, 14, 13), LAST_SEAT_ROW),
    capacities=(RatedCapacity(capacity_ah=195, over_h=5), RatedCapacity(capacity_ah=240, over_h=20)),
    rated_k=298.15,
    cut_off_v=1.75,
    family=GravityFamily(
        name=Sentence("the pack's own full and flat gravity"),
        points=(
            GravityPoint(gravity_ratio=1.120, charge_fraction=0.0),
            GravityPoint(gravity_ratio=1.275, charge_fraction=1.0),
        ),
        origin=Origin.PLATE,
        source=Sentence("The pack's papers."),
    ),
    reference_k=298.15,
    lock_out=LockOut(voltage_v=31.5, delay_s=10),
)
SEALED = Pack(
    name="Bakery, narrow machine",
    chemistry=Chemistry.AGM,
    cells=12,
    cells_per_block=6,
    capacities=(RatedCapacity(capacity_ah=105, over_h=5),),
    rated_k=298.15,
    cut_off_v=1.75,
)
LITHIUM = Pack(
    name="Fish hall, wide machine",
    chemistry=Chemistry.LITHIUM,
    cells=12,
    capacities=(RatedCapacity(capacity_ah=160, over_h=1),),
    rated_k=298.15,
)


def cell_line(number: int, gravity_ratio: float | None) -> CellLine:
    is_weakest = number == WEAKEST
    return CellLine(
        number=number,
        gravity_ratio=gravity_ratio,
        above_median_ratio=None if gravity_ratio is None else gravity_ratio - MEDIAN,
        drift_per_visit=None if gravity_ratio is None else -0.0018 if is_weakest else 0.0001,
        charge_fraction=None if gravity_ratio is None else (gravity_ratio - 1.120) / 0.155,
        remark=Sentence("falls from visit to visit") if is_weakest else None,
        is_weakest=is_weakest,
    )


def trend() -> tuple[HealthPoint, ...]:
    """Thirty discharges, fourteen days apart, from 4.4 h down to 3.4 h."""
    start = READ_AT - timedelta(days=29 * 14)
    points = []
    for number in range(30):
        full_pack_h = 4.4 - 0.6 * number / 29 - 0.4 * (number / 29) ** 3
        half_h = 0.45 - 0.25 * min(1.0, number / 12)
        off_h = (0.0, 0.21, -0.16, 0.09, -0.27, 0.12)[number % 6]
        points.append(
            HealthPoint(
                at=start + timedelta(days=14 * number),
                full_pack_h=full_pack_h,
                low_h=full_pack_h - half_h,
                high_h=full_pack_h + half_h,
                logged_h=None if number % 10 == 7 else full_pack_h + off_h,
            )
        )
    return tuple(points)


def figure(
    part: PackPart,
    label: Sentence,
    name: str,
    value: float,
    origin: Origin,
    detail: Sentence,
    low: float | None = None,
    high: float | None = None,
) -> PackFigure:
    number = Sourced(name=name, value=value, origin=origin, detail=detail, low=low, high=high)
    return PackFigure(part=part, label=label, number=number)


def figures() -> tuple[PackFigure, ...]:
    charge, runtime, charging = PackPart.CHARGE, PackPart.RUNTIME, PackPart.CHARGING
    water, health = PackPart.WATER, PackPart.HEALTH
    measured, estimate, plate = Origin.MEASURED, Origin.ESTIMATE, Origin.PLATE
    own_ends = Sentence("the pack's own full and flat gravity")
    by_gravity = Sentence(
        "{day}, {source}", day="2025-11-12", source=Sentence("{cells} cells by {family}", cells=17, family=own_ends)
    )
    chance_label = Sentence("Chance that a full pack does {work_h}", work_h=3.0)
    from_log = Sentence("from its own log; the shift's own ups and downs are in it; never told surer than 99 %")
    by_rates = Sentence(
        "two wells fitted to {rows} rated capacities; it ends when {cause}", rows=2, cause=StopCause.LOCK_OUT
    )
    reserve = Sentence("reserve of a cell over what a charge costs it; look every month all the same")
    splits = Sentence("what the overcharge splits, and a tenth to a fifth more that dries off")
    table = Sentence("Work left by its rate table at {load_a}", load_a=66.0)
    usual = Sentence("usual for the profile and the pack's size")
    charger = Sentence("the charger's plate")
    handbooks = Sentence("army handbooks, at its gravity of {weakest_ratio}", weakest_ratio=1.238)
    return (
        figure(
            charge, Sentence("Charge left by gravity"), "charge_fraction", 0.967, measured, by_gravity, 0.941, 0.993
        ),
        figure(charge, Sentence("The weakest cell freezes at"), "freezing_k", 229.0, Origin.PUBLISHED, handbooks),
        figure(runtime, table, "left_h", 3.31, estimate, by_rates, 3.02, 3.58),
        figure(charging, Sentence("Full again after"), "charge_h", 9.8, Origin.COMMON_PRACTICE, usual, 9.1, 10.6),
        figure(charging, Sentence("Drawn from the wall"), "mains_a", 13.3, plate, charger),
        figure(
            water, Sentence("Water for a charge from 40 % up, whole pack"), "water_l", 0.31, estimate, splits, 0.24, 0.4
        ),
        figure(water, Sentence("Charges between two fillings"), "interval_cycles", 14.0, estimate, reserve, 11.0, 18.0),
        figure(health, Sentence("A full pack runs this machine for"), "full_pack_h", 3.4, measured, from_log, 3.2, 3.6),
        figure(health, chance_label, "chance_fraction", 0.83, estimate, from_log),
    )


def steps() -> tuple[Step, ...]:
    return (
        Step(
            told=Sentence(
                "Read again: cell {cells}. It is too far off to believe at once. The same again? Enter it as one more "
                "visit.",
                cells="11",
            ),
            cautions=pack_cautions.reading_gravity(),
        ),
        Step(
            told=Sentence("Fill up with water after the next full charge, to the mark and no higher."),
            cautions=pack_cautions.watering(),
        ),
        Step(
            told=Sentence("Read cell {cell} at each visit: it falls behind from visit to visit.", cell=WEAKEST),
            cautions=(
                Sentence("Ask for a price of a replacement now; a cell that drifts seldom turns round."),
                pack_cautions.estimate(),
            ),
        ),
    )


def flooded_answer() -> PackAnswer:
    """A flooded pack of 36 V whose cell 11 is low and falls behind."""
    return PackAnswer(
        pack=FLOODED,
        last_visit_at=READ_AT,
        verdict=PackVerdict.CARE,
        why=Sentence(
            "{work_h} of work are ahead; what is left gives about {left_h}, and {low_h} where it goes badly.",
            work_h=3.0,
            left_h=3.31,
            low_h=2.9,
        ),
        cells=tuple(cell_line(number, gravity_ratio) for number, gravity_ratio in enumerate(GRAVITIES, 1)),
        remarks=(
            (
                PackPart.CELLS,
                Sentence(
                    "The cells lie {range_ratio} apart, which the hydrometer alone may show, but cell {cell} stands "
                    "apart from the others.",
                    range_ratio=0.035,
                    cell=WEAKEST,
                ),
            ),
            (
                PackPart.RUNTIME,
                Sentence(
                    "The machine's lock-out voltage is not known, so the end of the rate table stands for it. Look it "
                    "up in the machine's handbook and enter it."
                ),
            ),
        ),
        steps=steps(),
        figures=figures(),
        trend=trend(),
        replace_by=(date(2026, 5, 3), date(2026, 2, 20), date(2026, 8, 9)),
        does_not_apply=(),
        cautions=(pack_cautions.estimate(), pack_cautions.makers_word(), pack_cautions.guards()),
    )


def sealed_answer() -> PackAnswer:
    """A sealed pack: volts only, no cells, no water."""
    kept = (PackPart.CHARGE, PackPart.RUNTIME, PackPart.CHARGING, PackPart.HEALTH)
    return replace(
        flooded_answer(),
        pack=SEALED,
        verdict=PackVerdict.RUN,
        why=Sentence("{charge_fraction} left, and no cell asks for anything.", charge_fraction=0.97),
        cells=(),
        figures=tuple(each for each in figures() if each.part in kept),
        remarks=(),
        steps=(Step(told=Sentence("Nothing is due. Read it again in a month, after a full charge.")),),
        does_not_apply=(
            Sentence(
                "Gravity and water: a sealed pack must never be opened; its acid is bound, and the gas is joined again."
            ),
            Sentence("Equalising: the gas that it makes leaves through the valve and never comes back."),
        ),
    )


def lithium_answer() -> PackAnswer:
    """A lithium pack, too far gone for the work; no trend of its own yet."""
    return replace(
        sealed_answer(),
        pack=LITHIUM,
        verdict=PackVerdict.STOP,
        why=Sentence("Only {charge_fraction} is left: charge before you work.", charge_fraction=0.08),
        figures=(
            figure(
                PackPart.CHARGE,
                Sentence("Charge left by its display"),
                "charge_fraction",
                0.08,
                Origin.MEASURED,
                Sentence("as shown"),
            ),
        ),
        remarks=(),
        trend=(),
        replace_by=(),
        does_not_apply=(
            Sentence(
                "Gravity, water, equalising and the advice for lead cells: a lithium pack has none of them, and its "
                "own guard watches its cells. Follow its maker."
            ),
        ),
    )


def unread_answer() -> PackAnswer:
    """A flooded pack before its first reading."""
    return replace(
        flooded_answer(),
        last_visit_at=None,
        verdict=PackVerdict.UNKNOWN,
        why=Sentence("Nothing was read that tells how this pack stands."),
        cells=(),
        remarks=(),
        steps=(
            Step(
                told=Sentence("Charge it full, let it rest, then read gravity and temperature of every cell."),
                cautions=pack_cautions.reading_gravity(),
            ),
        ),
        figures=(),
        trend=(),
        replace_by=(),
        does_not_apply=(),
        cautions=(pack_cautions.guards(),),
    )
