"""Answers for packs small enough to read whole; every number made up to fit the others."""

from dataclasses import replace
from datetime import date, datetime, timedelta

from scrubwright.battery.charge_left import GravityFamily, GravityPoint
from scrubwright.battery.pack import Chemistry, LockOut, Pack, RatedCapacity
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
        name=Sentence("own ends"),
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
        remark=Sentence("It falls behind the others by {drift_per_visit}.", drift_per_visit=0.0018)
        if is_weakest
        else None,
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
    label: str,
    name: str,
    value: float,
    origin: Origin,
    detail: str,
    low: float | None = None,
    high: float | None = None,
) -> PackFigure:
    number = Sourced(name=name, value=value, origin=origin, detail=Sentence(detail), low=low, high=high)
    return PackFigure(part=part, label=Sentence(label), number=number)


def figures() -> tuple[PackFigure, ...]:
    cells, charge, runtime = PackPart.CELLS, PackPart.CHARGE, PackPart.RUNTIME
    charging, water, health = PackPart.CHARGING, PackPart.WATER, PackPart.HEALTH
    measured, estimate = Origin.MEASURED, Origin.ESTIMATE
    return (
        figure(cells, "Spread of the cells", "spread_ratio", 0.035, measured, "Highest less lowest, at 25 °C."),
        figure(charge, "Charge left by gravity", "charge_fraction", 0.967, measured, "17 cells read.", 0.941, 0.993),
        figure(charge, "Volts at rest", "rested_v", 38.1, measured, "Rested 9 h."),
        figure(
            runtime, "Runs tonight", "runtime_h", 3.31, estimate, "From charge left and the log of hours.", 3.02, 3.58
        ),
        figure(runtime, "The work takes", "work_h", 3.0, measured, "As given."),
        figure(runtime, "Chance of finishing", "chance_fraction", 0.83, estimate, "From the band of the runtime."),
        figure(charging, "Charge takes", "charge_h", 9.8, Origin.COMMON_PRACTICE, "Profile IUIa.", 9.1, 10.6),
        figure(charging, "Takes from the wall", "mains_a", 13.3, Origin.PLATE, "The charger's plate."),
        figure(water, "Water used in a charge, all cells", "water_l", 0.31, estimate, "By charge factor.", 0.24, 0.4),
        figure(water, "Fill again in", "interval_cycles", 14.0, estimate, "From the reserve of a cell.", 11.0, 18.0),
        figure(health, "Hours that a full pack runs", "full_pack_h", 3.4, estimate, "30 discharges.", 3.2, 3.6),
        figure(health, "Of what it gave when new", "health_fraction", 0.773, estimate, "Best 5 of 30.", 0.73, 0.82),
    )


def steps() -> tuple[Step, ...]:
    return (
        Step(
            told=Sentence("Read cell {number} again with a second hydrometer.", number=WEAKEST),
            cautions=(
                Sentence("Charger off, key off, brake set. Face shield, acid gloves and apron before a cap is opened."),
                Sentence("Put the acid back into the same cell."),
            ),
        ),
        Step(
            told=Sentence("Give an equalise charge, and read every cell each hour."),
            cautions=(Sentence("Stop at {limit_k}, or when a cell spits or a case grows hot.", limit_k=319.15),),
        ),
        Step(told=Sentence("Look again after the next full charge.")),
    )


def flooded_answer() -> PackAnswer:
    """A flooded pack of 36 V whose cell 11 is low and falls behind."""
    return PackAnswer(
        pack=FLOODED,
        last_visit_at=READ_AT,
        verdict=PackVerdict.CARE,
        why=Sentence(
            "Cell {number} is {below_ratio} under the others and ends the night for all: plan {runtime_h}, no more.",
            number=WEAKEST,
            below_ratio=0.032,
            runtime_h=3.02,
        ),
        cells=tuple(cell_line(number, gravity_ratio) for number, gravity_ratio in enumerate(GRAVITIES, 1)),
        remarks=(
            (PackPart.CELLS, Sentence("A spread above {limit_ratio} asks for an equalise charge.", limit_ratio=0.030)),
            (PackPart.RUNTIME, Sentence("The lock-out acts at {voltage_v}.", voltage_v=31.5)),
            (PackPart.WATER, Sentence("Cover bare plates before the charge; fill to the mark after it.")),
        ),
        steps=steps(),
        figures=figures(),
        trend=trend(),
        replace_by=(date(2026, 5, 3), date(2026, 2, 20), date(2026, 8, 9)),
        does_not_apply=(Sentence("The display of a lithium pack: this one is flooded."),),
        cautions=(
            Sentence("Every forecast here is an estimate from readings up to {day}.", day="2025-11-12"),
            Sentence("The maker's limits win over these."),
        ),
    )


def sealed_answer() -> PackAnswer:
    """A sealed pack: volts only, no cells, no water."""
    kept = (PackPart.CHARGE, PackPart.RUNTIME, PackPart.CHARGING, PackPart.HEALTH)
    return replace(
        flooded_answer(),
        pack=SEALED,
        verdict=PackVerdict.RUN,
        why=Sentence("The pack is rested and full, and the work takes {work_h}.", work_h=2.0),
        cells=(),
        figures=tuple(each for each in figures() if each.part in kept),
        remarks=((PackPart.CHARGE, Sentence("Volts at rest tell less than a hydrometer.")),),
        steps=(Step(told=Sentence("Plug in after the work.")),),
        does_not_apply=(
            Sentence("Gravity and cells: the pack is sealed."),
            Sentence("Water: never open a sealed pack."),
        ),
    )


def lithium_answer() -> PackAnswer:
    """A lithium pack, too far gone for the work; no trend of its own yet."""
    return replace(
        sealed_answer(),
        pack=LITHIUM,
        verdict=PackVerdict.STOP,
        why=Sentence("The display shows {charge_fraction}: charge first.", charge_fraction=0.08),
        figures=(
            figure(PackPart.CHARGE, "Charge left on the display", "charge_fraction", 0.08, Origin.MEASURED, "Read."),
        ),
        remarks=(),
        trend=(),
        replace_by=(),
        does_not_apply=(Sentence("Gravity, cells and water: the pack is lithium."),),
    )


def unread_answer() -> PackAnswer:
    """A flooded pack before its first reading."""
    return replace(
        flooded_answer(),
        last_visit_at=None,
        verdict=PackVerdict.UNKNOWN,
        why=Sentence("There is no reading yet."),
        cells=(),
        remarks=(),
        steps=(Step(told=Sentence("Charge it full, let it rest, and read every cell."), cautions=steps()[0].cautions),),
        figures=(),
        trend=(),
        replace_by=(),
        does_not_apply=(),
        cautions=(Sentence("No reading: take the worst for true."),),
    )
