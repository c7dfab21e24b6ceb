"""Simulated packs whose true state is known, with the visits that a person would have written down of them.

A hydrometer counts ampere-hours through the acid: the drop for an hour of work is the same in a new pack and in a worn
one. What a worn pack loses is how far the gravity can fall before the pack is at its end.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.charge_left import GravityFamily, GravityPoint
from scrubwright.battery.gravity import SLOPE_PER_K
from scrubwright.battery.pack import Chemistry, Pack, RatedCapacity
from scrubwright.battery.temperature import capacity_fraction
from scrubwright.battery.visit import Moment, Visit, VoltsUnderLoad
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import KELVIN_AT_0_C

FLAT_RATIO, FULL_RATIO = 1.120, 1.265
SPAN_RATIO = FULL_RATIO - FLAT_RATIO
CELLS, PILOT_CELLS = 18, (1, 8, 15)
HYDROMETER_SD_RATIO = 0.005
# As three cells with a hydrometer: 0.005 / sqrt(3) / 0.145.
DISPLAY_SD_FRACTION = 0.02
STRATIFIED_RATIO = 0.004
WRONG_FRACTION = 0.05
DEPTHS_FRACTION = (0.35, 0.75)
LIVES_SHIFTS = (350.0, 900.0)
WORK_SD_FRACTION = 0.05
END_SD_FRACTION = 0.015
END_OF_LIFE_FRACTION = 0.8
BEGIN = datetime(2024, 1, 1, 6)
DAYS_PER_SHIFT = 7 / 5
END_V, WORKING_V = 31.0, 34.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SimulatedPack:
    """One pack, its visits and the truth.

    Parameters
    ----------
    visits
        As written down.
    full_pack_h
        True hours of a full pack at 25 °C in each shift [h], shape (shifts,).
    work_h
        What it must do: 80 % of its first hours [h].
    last_shift
        The first shift in which it no longer does that.
    """

    visits: tuple[Visit, ...]
    full_pack_h: NDArray[np.float64]
    work_h: float
    last_shift: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How a fleet is read.

    Parameters
    ----------
    every
        One shift in so many, before and after.
    run_down_every
        One shift in so many goes on to the pack's end, and there all cells are read; None: none does on purpose.
    is_display
        Whether a display tells the charge, in shares of what the pack holds by now; else a hydrometer, in shares of
        what the acid holds.
    first_fraction
        Share of the scale that a new pack gives; other than 1 where the flat end on its label is wrong.
    stratified_ratio
        How much thinner the acid at the top is after a charge, at most.
    """

    every: int
    run_down_every: int | None
    is_display: bool = False
    first_fraction: float = 1.0
    stratified_ratio: float = STRATIFIED_RATIO


def fleet_pack(reading: Reading) -> Pack:
    """The pack that all of them are on paper: lithium with a display, or flooded."""
    if reading.is_display:
        return Pack(
            name="simulated",
            chemistry=Chemistry.LITHIUM,
            cells=12,
            capacities=(RatedCapacity(capacity_ah=180.0, over_h=5.0),),
            rated_k=298.15,
        )
    ends = (
        GravityPoint(gravity_ratio=FLAT_RATIO, charge_fraction=0.0),
        GravityPoint(gravity_ratio=FULL_RATIO, charge_fraction=1.0),
    )
    return Pack(
        name="simulated",
        chemistry=Chemistry.FLOODED,
        cells=CELLS,
        cells_per_block=3,
        capacities=(RatedCapacity(capacity_ah=225.0, over_h=5.0),),
        rated_k=298.15,
        cut_off_v=1.75,
        family=GravityFamily(name=Sentence("own"), points=ends, origin=Origin.PLATE, source=Sentence("label")),
        reference_k=298.15,
    )


def fade(rng: np.random.Generator, life_shifts: float, shifts: int) -> NDArray[np.float64]:
    """Capacity over the first one, shift by shift; 0.8 at the end of life, slow first and faster then.

    One of three shapes by chance: a power of the age; a straight line with an exponential (the shape of Schiffer et
    al., Journal of Power Sources 168 (2007) 66: corrosion, and degradation by weighted throughput); two straight
    lines with a knee (the shape of the life table of an open library).
    """
    age = np.arange(shifts) / life_shifts
    kind = rng.integers(3)
    if kind == 0:
        left = 1 - 0.2 * age ** rng.uniform(1.3, 2.5)
    elif kind == 1:
        corroded = rng.uniform(0.03, 0.12)
        left = 1 - corroded * age - (0.2 - corroded) * np.exp(-5 * (1 - age))
    else:
        knee = rng.uniform(0.55, 0.75)
        left = np.where(age < knee, 1 - 0.1 * age / knee, 0.9 - 0.1 * (age - knee) / (1 - knee))
    return np.asarray(np.maximum(left, 0.5))


def simulated_pack(rng: np.random.Generator, reading: Reading) -> SimulatedPack:
    """One pack from its first shift to a little past its end of life."""
    life_shifts = rng.uniform(*LIVES_SHIFTS)
    shifts = int(life_shifts * 1.1)
    scale_h = rng.uniform(3.2, 5.5)
    capacity = reading.first_fraction * fade(rng, life_shifts, shifts) * np.exp(rng.normal(0, 0.04))
    offset = int(rng.integers(reading.run_down_every)) if reading.run_down_every else 0
    visits: list[Visit] = []
    meter_h = float(rng.uniform(0, 3000))
    for shift in range(shifts):
        electrolyte_k = KELVIN_AT_0_C + 22 + 7 * np.sin(2 * np.pi * shift / 260) + rng.normal(0, 1.5)
        end = capacity[shift] * np.exp(rng.normal(0, END_SD_FRACTION))
        if not reading.is_display:
            end *= float(capacity_fraction(electrolyte_k))
        is_test = reading.run_down_every is not None and shift % reading.run_down_every == offset
        # How much of the scale goes, had the work taken what it usually takes, and what goes tonight.
        wanted = rng.uniform(*DEPTHS_FRACTION)
        taken = wanted * np.exp(rng.normal(0, WORK_SD_FRACTION))
        ran_down = bool(is_test or taken > end)
        if ran_down:
            wanted, taken = wanted * end / taken, end
        worked_h = wanted * scale_h
        if ran_down or shift % reading.every == 0:
            shown = taken / capacity[shift] if reading.is_display else taken
            shift_of = _Shift(shift, meter_h, worked_h, shown, electrolyte_k, ran_down=ran_down)
            if reading.is_display:
                visits += _displayed(rng, shift_of)
            else:
                visits += _measured(rng, shift_of, reading, all_cells=is_test)
        meter_h += worked_h
    full_pack_h = scale_h * capacity
    work_h = END_OF_LIFE_FRACTION * float(full_pack_h[0])
    return SimulatedPack(
        visits=tuple(visits),
        full_pack_h=full_pack_h,
        work_h=work_h,
        last_shift=int(np.argmax(full_pack_h < work_h)),
    )


def shift_at(at: datetime) -> int:
    """The shift that a time of a simulated log lies in."""
    return round((at - BEGIN) / timedelta(days=DAYS_PER_SHIFT) - 0.3)


@dataclass(frozen=True, slots=True)
class _Shift:
    number: int
    meter_h: float
    worked_h: float
    taken: float
    electrolyte_k: float
    ran_down: bool


def _measured(rng: np.random.Generator, shift: _Shift, reading: Reading, *, all_cells: bool) -> list[Visit]:
    """The two visits of a shift with a hydrometer, one entry in twenty wrong."""
    read = range(CELLS) if all_cells else PILOT_CELLS
    # Work warms the pack; half of it counts.
    half_k = rng.uniform(1, 4)
    before_k, after_k = shift.electrolyte_k - half_k, shift.electrolyte_k + half_k
    full = FULL_RATIO - rng.uniform(0, reading.stratified_ratio)
    with_sag = reading.run_down_every is not None
    gravities = [
        {cell: round(truth - SLOPE_PER_K * (k - 298.15) + rng.normal(0, HYDROMETER_SD_RATIO), 3) for cell in read}
        for truth, k in ((full, before_k), (FULL_RATIO - shift.taken * SPAN_RATIO, after_k))
    ]
    meter_h, ran_down = round(shift.meter_h + shift.worked_h, 1), shift.ran_down
    if rng.random() < WRONG_FRACTION:
        kind = rng.integers(4 if with_sag else 3)
        if kind == 0:
            # Another digit of the meter.
            meter_h += float(rng.choice([-9, -3, -1, 1, 2, 5, 10]))
        elif kind == 1:
            # Another digit of one gravity.
            cell = int(rng.choice(list(read)))
            gravities[1][cell] = round(gravities[1][cell] + float(rng.choice([-0.06, -0.03, 0.03, 0.06, 0.1])), 3)
        elif kind == 2:
            # The line of another day.
            gravities[1] = {cell: round(value + rng.normal(0, 0.025), 3) for cell, value in gravities[1].items()}
        else:
            ran_down = not ran_down
    return [
        Visit(
            at=at,
            moment=moment,
            meter_h=max(0.0, hours),
            gravities_ratio=tuple(values.get(cell) for cell in range(CELLS)),
            electrolyte_k=(round(k + rng.normal(0, 1.0), 1),),
            under_load=sag,
        )
        for at, moment, hours, values, k, sag in zip(
            *_frame(shift, meter_h),
            gravities,
            (before_k, after_k),
            (None, _sag(ran_down) if with_sag else None),
            strict=True,
        )
    ]


def _displayed(rng: np.random.Generator, shift: _Shift) -> list[Visit]:
    """The two visits of a shift with a display, one entry in twenty wrong."""
    shown = [left + rng.normal(0, DISPLAY_SD_FRACTION) for left in (1.0, 1.0 - shift.taken)]
    meter_h = round(shift.meter_h + shift.worked_h, 1)
    if rng.random() < WRONG_FRACTION:
        if rng.integers(2):
            meter_h += float(rng.choice([-9, -3, -1, 1, 2, 5, 10]))
        else:
            shown[1] += float(rng.choice([-0.3, -0.2, -0.1, 0.1, 0.2, 0.3]))
    return [
        Visit(at=at, moment=moment, meter_h=max(0.0, hours), charge_fraction=round(value, 2))
        for at, moment, hours, value in zip(*_frame(shift, meter_h), shown, strict=True)
    ]


def _frame(
    shift: _Shift, meter_h: float
) -> tuple[tuple[datetime, datetime], tuple[Moment, Moment], tuple[float, float]]:
    """When both visits are, which they are, and the hour meter at each."""
    before = BEGIN + timedelta(days=DAYS_PER_SHIFT * shift.number)
    return (
        (before, before + timedelta(hours=9)),
        (Moment.CHARGED, Moment.WORKED),
        (round(shift.meter_h, 1), meter_h),
    )


def _sag(ran_down: bool) -> VoltsUnderLoad:
    return VoltsUnderLoad(idle_v=36.5, idle_a=2.0, load_v=END_V if ran_down else WORKING_V, load_a=68.0)
