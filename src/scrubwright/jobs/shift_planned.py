"""One shift planned: route, clock, charge, drying and chance joined."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from scrubwright.battery.pack import Chemistry
from scrubwright.floor.site import FloorPlan
from scrubwright.floor.stages import Stages
from scrubwright.floor.wet import wet_crossed_m
from scrubwright.jobs.route_again import route_by_sockets
from scrubwright.jobs.route_answer import MachineRoute, RouteAnswer
from scrubwright.jobs.route_cautions import CHARGE_NOT_COUNTED, CLOSE_TO_PEOPLE
from scrubwright.jobs.route_plan import RouteSettings, route_plan
from scrubwright.jobs.shift_answer import Limit, MachineShift, ShiftAnswer, ShiftVerdict
from scrubwright.jobs.shift_chance import chance_of
from scrubwright.jobs.shift_course import PackTonight, pack_tonight
from scrubwright.jobs.shift_legs import LegRow, as_measured, leg_row
from scrubwright.jobs.shift_loads import Closing, Hold
from scrubwright.jobs.shift_question import MachineTonight, ShiftQuestion
from scrubwright.jobs.shift_sections import closed_sections, section_holds
from scrubwright.jobs.shift_time import Timed, contact_holds, machine_shift, stops_early, timed, with_charging
from scrubwright.jobs.shift_told import cautions_of, provenance_of, why_of
from scrubwright.jobs.shift_wet import wet_cautions
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.water.drying import drying_s, film_l_per_m2
from scrubwright.water.flow import dose_l_per_m2

# A shift that fits nine times in ten is handed over; one in two is a gamble.
FITS_FRACTION = 0.9
TIGHT_FRACTION = 0.5
_LEAD_CELL_V, _LITHIUM_CELL_V = 2.0, 3.2
_SECONDS_PER_H = 3600.0
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planned:
    """A shift with everything that a change of it can be planned from.

    Parameters
    ----------
    answer
        The answer without its changes.
    timed
        One a machine.
    """

    answer: ShiftAnswer
    timed: tuple[Timed, ...]


def shift_planned(
    question: ShiftQuestion,
    *,
    rng: np.random.Generator,
    route: RouteAnswer | None = None,
    samples: int = 4096,
    progress: Callable[[float], None] | None = None,
    clock: Callable[[], float] | None = None,
) -> Planned:
    """Plan the shift once: route, clock, charge, drying, chance.

    Parameters
    ----------
    question
        What is asked.
    rng
        Where chance comes from; the same generator gives the same shift.
    route
        Of the same floor, plate and settings, where it is known already.
    samples
        How many shifts are drawn, a power of two.
    progress, clock
        As in `route_plan`.

    Raises
    ------
    BadInput, OutOfRange, NoAnswer
        From the stages, each with its sentence.

    Notes
    -----
    **Source** ours, see docs/explanation/the-shift.md.
    """
    check_can_be_planned(question)
    first = question.machines[0]
    plate = as_measured(first.plate, first.rates)
    settings = question.settings
    dry_s = drying_band_s(question)
    floor = question.site.floor(question.floor_name)
    if route is None:
        route = route_plan(
            question.site,
            plate,
            rng=rng,
            floor_name=question.floor_name,
            machines=len(question.machines),
            settings=RouteSettings(
                overlap_m=settings.overlap_m,
                flow=settings.flow,
                leave_out=settings.leave_out,
                edges=settings.edges,
                stages=stages_of(floor, question, dry_s[1]),
            ),
            progress=None if progress is None else lambda part: progress(0.85 * part),
            clock=clock,
        )
    packs = [pack_tonight(machine) for machine in question.machines]
    on_clock = _all_on_clock(question, plate, packs, route, dry_s)
    short = _shortness(question, on_clock)
    stages = stages_of(floor, question, dry_s[1])
    by_sockets = route_by_sockets(route, plate, stages) if short and settings.charge_on_the_way else None
    if by_sockets is not None:
        again = _all_on_clock(question, plate, packs, by_sockets, dry_s)
        if _shortness(question, again) < short:
            route, on_clock = by_sockets, again
    cautions = tuple(each for each in route.cautions if each.told not in (CHARGE_NOT_COUNTED, CLOSE_TO_PEOPLE))
    route = replace(route, cautions=(*cautions, *wet_cautions(route, dry_s[1])))
    machines = tuple(machine_shift(number, each, dry_s[1]) for number, each in enumerate(on_clock, 1))
    chance = chance_of(
        [each.loads for each in on_clock],
        window_s=question.window_s,
        dry_s=dry_s,
        reserve_fraction=settings.reserve_fraction,
        rng=rng,
        samples=samples,
    )
    finish_s = max(machine.finish_s for machine in machines)
    wet_s = max(float(each.end_s[each.loads.last_wet_leg]) for each in on_clock)
    limit = _limit(question, on_clock, machines, wet_s + dry_s[1], dry_s[1])
    verdict = ShiftVerdict.DOES_NOT_FIT
    if limit is Limit.NONE and chance.chance_fraction >= TIGHT_FRACTION:
        verdict = ShiftVerdict.FITS if chance.chance_fraction >= FITS_FRACTION else ShiftVerdict.TIGHT
    answer = ShiftAnswer(
        question=question,
        route=route,
        verdict=verdict,
        why=why_of(
            question,
            machines,
            chance,
            limit,
            finish_s,
            wet_s + dry_s[1],
            _late_areas(on_clock, dry_s[1]) if limit is Limit.CLOCK else (),
        ),
        machines=machines,
        sections=closed_sections(floor, route, machines, dry_s[2]),
        chance=chance,
        first_limit=limit if limit is not Limit.NONE else chance.first_limit,
        finish_at=question.start_at + timedelta(seconds=finish_s),
        dry_at=question.start_at + timedelta(seconds=wet_s + dry_s[1]),
        dry_s=dry_s,
        wet_crossed_m=_wet_crossed_m(route, dry_s[1]),
        changes=(),
        cautions=cautions_of(question, route, machines),
        provenance=(),
    )
    if progress is not None:
        progress(1.0)
    return Planned(answer=replace(answer, provenance=provenance_of(answer, first)), timed=on_clock)


def drying_band_s(question: ShiftQuestion) -> tuple[float, float, float]:
    """How long a wet lane takes to dry [s]: low end, middle, high end.

    **Source** as `water.drying.drying_s`.
    """
    machine = question.machines[0]
    plate = as_measured(machine.plate, machine.rates)
    flow = next((each for each in plate.flows if each.name == question.settings.flow), plate.flow)
    rate_m2_per_h = machine.plate.deck.scrub_width_m * machine.plate.speeds.working_m_per_s * _SECONDS_PER_H
    film = film_l_per_m2(dose_l_per_m2(flow.flow_l_per_min, rate_m2_per_h), plate.tanks.recovered_fraction)
    air = question.air
    return drying_s(film, air.air_k, air.humidity_fraction, air.speed_m_per_s)


def _wet_crossed_m(route: RouteAnswer, dry_s: float) -> float:
    """How far the machines drive over floor that they have wetted themselves and that is still wet [m]."""
    return math.fsum(wet_crossed_m(each.legs, route.deck_width_m, dry_s) for each in route.routes)


def stages_of(floor: FloorPlan, question: ShiftQuestion, dry_s: float) -> Stages:
    """Areas by when they may be wet, by importance where that is asked for, then by when they must be dry."""
    keys = {}
    for area in floor.areas:
        window = _window_s(question, area.window_from_h, area.window_until_h)
        keys[area.name] = (max(window[0], 0.0), area.priority if question.settings.important_first else 1, window[1])
    order = sorted(set(keys.values()))
    return Stages(
        stage_of=tuple((name, order.index(key)) for name, key in keys.items()),
        contact_s=question.settings.contact_s,
        dry_s=dry_s,
        people=tuple(area.name for area in floor.areas if area.people),
        opens_s=drying_band_s(question)[2],
    )


def _window_s(question: ShiftQuestion, from_h: float | None, until_h: float | None) -> tuple[float, float]:
    """When an area may be wet, in seconds since the start: from, until; the window that the shift meets first."""
    if from_h is None or until_h is None:
        return -math.inf, math.inf
    midnight = question.start_at.replace(hour=0, minute=0, second=0, microsecond=0)
    length_h = (until_h - from_h) % 24
    for day in (-1, 0, 1):
        start_s = (midnight + timedelta(days=day, hours=from_h) - question.start_at).total_seconds()
        if start_s + length_h * _SECONDS_PER_H > 0:
            return start_s, start_s + length_h * _SECONDS_PER_H
    return -math.inf, math.inf


def _all_on_clock(
    question: ShiftQuestion,
    plate: Plate,
    packs: Sequence[PackTonight],
    route: RouteAnswer,
    dry_s: tuple[float, float, float],
) -> tuple[Timed, ...]:
    return tuple(
        _on_clock(question, replace(machine, plate=plate), pack, each, route, dry_s)
        for machine, pack, each in zip(question.machines, packs, route.routes, strict=False)
    )


def _shortness(question: ShiftQuestion, on_clock: Sequence[Timed]) -> int:
    """2 where a pack gives out or ends below what must be kept, 1 where it only falls below it on the way, else 0."""
    least = question.settings.reserve_fraction - _ROUNDING
    worst = 0
    for machine, each in zip(question.machines, on_clock, strict=False):
        charge_fraction = each.spent.charge_fraction
        ends_short = stops_early(machine, each) or float(charge_fraction[-1]) < least
        worst = max(worst, 2 if ends_short else int(float(charge_fraction.min()) < least))
    return worst


def _on_clock(
    question: ShiftQuestion,
    machine: MachineTonight,
    pack: PackTonight,
    own: MachineRoute,
    route: RouteAnswer,
    dry_s: tuple[float, float, float],
) -> Timed:
    cell_v = _LITHIUM_CELL_V if machine.pack.chemistry is Chemistry.LITHIUM else _LEAD_CELL_V
    row = leg_row(own, route, machine, question.settings.pressure, cell_v * machine.pack.cells)
    hours, closings = _hours(question, row)
    sections = section_holds(question.site.floor(question.floor_name), own)
    holds = (*hours, *sections, *contact_holds(row, question.settings.contact_s))
    # A section is opened at the slow end of the drying band, and the next one waits for that.
    found = timed(row, pack, holds=holds, closings=closings, dry_s=dry_s[2])
    if not question.settings.charge_on_the_way:
        return found
    return with_charging(
        found,
        pack,
        reserve_fraction=question.settings.reserve_fraction,
        spare_s=question.window_s - dry_s[1] - float(found.end_s[-1]),
        holds=holds,
        closings=closings,
        dry_s=dry_s[2],
    )


def _hours(question: ShiftQuestion, row: LegRow) -> tuple[tuple[Hold, ...], tuple[Closing, ...]]:
    """What the hours of areas ask for: no lane before its area may be wet, and when each area must be dry."""
    floor = question.site.floor(question.floor_name)
    window_of = {area.name: _window_s(question, area.window_from_h, area.window_until_h) for area in floor.areas}
    holds: list[Hold] = []
    last_of: dict[str, int] = {}
    opened_s = 0.0
    for leg, area in enumerate(row.area):
        from_s, until_s = window_of.get(area, (-math.inf, math.inf))
        # Whoever waited for one area need not wait for what opens before it.
        if from_s > opened_s:
            holds.append(Hold(leg=leg, not_before_s=from_s))
            opened_s = from_s
        if until_s < math.inf:
            last_of[area] = leg
    return tuple(holds), tuple(Closing(leg=leg, dry_by_s=window_of[area][1]) for area, leg in last_of.items())


def _limit(
    question: ShiftQuestion,
    on_clock: tuple[Timed, ...],
    machines: tuple[MachineShift, ...],
    dry_at_s: float,
    dry_s: float,
) -> Limit:
    """What ends the planned shift too early; a tank and a ramp only where they are the reason."""
    for machine, each in zip(question.machines, on_clock, strict=False):
        if stops_early(machine, each):
            at = int(np.searchsorted(each.end_s, each.spent.stop_s))
            on_ramp = at < len(each.loads.on_ramp) and bool(each.loads.on_ramp[at])
            return Limit.RAMP if on_ramp else Limit.CHARGE
    if any(each.end_charge_fraction < question.settings.reserve_fraction - _ROUNDING for each in machines):
        return Limit.CHARGE
    if dry_at_s > question.window_s or _late_areas(on_clock, dry_s):
        return Limit.CLOCK
    return Limit.NONE


def _late_areas(on_clock: tuple[Timed, ...], dry_s: float) -> tuple[str, ...]:
    """Areas that are still wet when their window closes."""
    late = [
        each.row.area[each.leg_of[closing.leg]]
        for each in on_clock
        for closing in each.loads.closings
        if each.end_s[closing.leg] + dry_s > closing.dry_by_s
    ]
    return tuple(dict.fromkeys(late))


def check_can_be_planned(question: ShiftQuestion) -> None:
    """Refuse a shift whose windows never open between its start and the hour it must be dry.

    Raises
    ------
    BadInput
        An area that may not be wet at any time of the shift.
    """
    floor = question.site.floor(question.floor_name)
    for area in floor.areas:
        if area.name in question.settings.leave_out:
            continue
        from_s, until_s = _window_s(question, area.window_from_h, area.window_until_h)
        if from_s >= question.window_s or until_s <= 0:
            raise BadInput(
                "{area} may not be wet at any time of this shift; change its hours, leave it out, or start at another "
                "time.",
                area=area.name,
            )
