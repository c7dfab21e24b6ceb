"""What would make a shift fit: one change at a time, each planned anew, the least painful first."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from enum import Enum

import numpy as np

from scrubwright.floor.site import FloorPlan
from scrubwright.jobs.route_again import route_again
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.shift_answer import Change, Limit, ShiftAnswer
from scrubwright.jobs.shift_chance import chance_of
from scrubwright.jobs.shift_legs import as_measured
from scrubwright.jobs.shift_loads import LoadKind
from scrubwright.jobs.shift_planned import FITS_FRACTION, Planned, shift_planned, stages_of
from scrubwright.jobs.shift_question import ShiftQuestion
from scrubwright.measures.errors import BadInput, NoAnswer, OutOfRange
from scrubwright.measures.sentence import Sentence

NOTHING, A_SETTING, TIME, QUALITY, FLOOR = range(5)
# As many changes as a person reads at night.
MOST_TOLD = 5
EARLIER_STEP_S = 900.0
# A later start still counts as the same night.
MOST_EARLIER_S = 4 * 3600.0
LEAST_OVERLAP_M = 0.03
LEAST_GAIN_FRACTION = 0.02


class _Way(Enum):
    """What a change does to the way through the floor, the quickest to plan first."""

    SAME = 0
    REORDERED = 1
    ANEW = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class _Candidate:
    """A change not yet planned."""

    told: Sentence
    question: ShiftQuestion
    pain: int
    way: _Way
    floor_left_m2: float = 0.0


def changes_for(
    planned: Planned, same_chance: Callable[[], np.random.Generator], *, samples: int = 4096
) -> tuple[Change, ...]:
    """Changes that make a shift fit better, each planned anew, the least painful first.

    Those that make it fit come before those that only help; among these, less pain before more, and less floor
    left before more.

    Parameters
    ----------
    planned
        The shift as asked.
    same_chance
        Gives a generator that begins as the shift's own did, so that a change is all that differs.
    samples
        As in `shift_planned`.
    """
    answer = planned.answer
    found: list[Change] = []
    for candidate in sorted(_candidates(answer), key=lambda each: (each.way.value, each.pain, each.floor_left_m2)):
        # Once something lighter makes it fit, a heavier change that needs another way is not worth the wait.
        if candidate.way is not _Way.SAME and any(_fits(each) and each.pain < candidate.pain for each in found):
            continue
        if candidate.way is _Way.ANEW and not could_help(planned, same_chance(), samples):
            continue
        change = _planned(candidate, answer, same_chance, samples)
        if change is not None and change.chance_fraction > answer.chance.chance_fraction + LEAST_GAIN_FRACTION:
            found.append(change)
    return tuple(sorted(found, key=_rank)[:MOST_TOLD])


def could_help(planned: Planned, rng: np.random.Generator, samples: int) -> bool:
    """Whether lanes laid anew could help at all: were all work shorter by twice what a wider pitch saves.

    Laying lanes is by far the slowest thing that a change asks for, and a shift far out of reach is common.

    Parameters
    ----------
    planned, samples
        As in `changes_for`.
    rng
        That begins as the shift's own did.
    """
    answer = planned.answer
    question, width_m = answer.question, answer.question.machines[0].plate.deck.scrub_width_m
    saved_fraction = 1 - (width_m - answer.route.overlap_m) / (width_m - LEAST_OVERLAP_M)
    ratio = max(1 - 2 * saved_fraction, 0.0)
    shorter = []
    for each in planned.timed:
        loads = each.loads
        charging = loads.kind == LoadKind.CHARGE
        duration_s = np.where(charging, loads.duration_s, ratio * loads.duration_s)
        shorter.append(replace(loads, duration_s=duration_s, water_l=ratio * loads.water_l))
    chance = chance_of(
        shorter,
        window_s=question.window_s,
        dry_s=answer.dry_s,
        reserve_fraction=question.settings.reserve_fraction,
        rng=rng,
        samples=samples,
    )
    return chance.chance_fraction > answer.chance.chance_fraction + LEAST_GAIN_FRACTION


def _fits(change: Change) -> bool:
    return change.chance_fraction >= FITS_FRACTION


def _rank(change: Change) -> tuple[bool, float, float, float]:
    if _fits(change):
        return False, float(change.pain), change.floor_left_m2, -change.chance_fraction
    return True, -change.chance_fraction, float(change.pain), change.floor_left_m2


def _planned(
    candidate: _Candidate, asked: ShiftAnswer, same_chance: Callable[[], np.random.Generator], samples: int
) -> Change | None:
    """The change planned; None where it cannot be planned at all."""
    try:
        route = _route(candidate, asked, same_chance())
        planned = shift_planned(candidate.question, rng=same_chance(), route=route, samples=samples)
    except (BadInput, OutOfRange, NoAnswer):
        # Another flow or overlap may leave a lane longer than a tankful; then it is no change to offer.
        return None
    answer = planned.answer
    return Change(
        told=candidate.told,
        chance_fraction=answer.chance.chance_fraction,
        error_fraction=answer.chance.error_fraction,
        finish_at=answer.finish_at,
        dry_at=answer.dry_at,
        pain=candidate.pain,
        floor_left_m2=candidate.floor_left_m2,
        question=candidate.question,
    )


def _route(candidate: _Candidate, asked: ShiftAnswer, rng: np.random.Generator) -> RouteAnswer | None:
    """The way of the changed shift; None where lanes must be laid anew."""
    if candidate.way is _Way.SAME:
        return asked.route
    night = asked.route.night
    if candidate.way is _Way.ANEW or night is None:
        return None
    question, settings = candidate.question, candidate.question.settings
    machine = question.machines[0]
    plate = as_measured(machine.plate, machine.rates)
    plate = plate if settings.flow is None else replace(plate, default_flow=settings.flow)
    kept = [
        number
        for number, lane in enumerate(night.lanes.lanes, 1)
        if night.lanes.areas[lane.area] not in settings.leave_out and (settings.edges or lane.kind != "edge")
    ]
    return route_again(
        asked.route,
        plate,
        np.array(kept, dtype=np.intp),
        rng=rng,
        machines=len(question.machines),
        stages=stages_of(_floor(question), question, asked.dry_s[1]),
    )


def _candidates(answer: ShiftAnswer) -> Iterator[_Candidate]:
    yield from _by_time(answer)
    yield from _by_charge(answer)
    yield from _by_setting(answer)
    yield from _by_machine(answer)
    yield from _by_floor(answer)


def _by_time(answer: ShiftAnswer) -> Iterator[_Candidate]:
    """An earlier start, by what nine nights in ten need."""
    question = answer.question
    late_s = answer.chance.dry_s[2] - question.window_s
    if late_s <= 0 and answer.first_limit not in (Limit.CLOCK, Limit.TANK):
        return
    earlier_s = max(EARLIER_STEP_S, math.ceil(late_s / EARLIER_STEP_S) * EARLIER_STEP_S)
    if earlier_s <= MOST_EARLIER_S:
        start_at = question.start_at - timedelta(seconds=earlier_s)
        yield _Candidate(
            told=Sentence("Start {earlier_s} earlier, at {clock}.", earlier_s=earlier_s, clock=f"{start_at:%H:%M}"),
            question=replace(question, start_at=start_at),
            pain=TIME,
            way=_Way.SAME if all(area.window_from_h is None for area in _floor(question).areas) else _Way.REORDERED,
        )


def _by_charge(answer: ShiftAnswer) -> Iterator[_Candidate]:
    """Charge before the start, or on the way."""
    question = answer.question
    if answer.first_limit not in (Limit.CHARGE, Limit.RAMP):
        return
    least = min(machine.charge_fraction for machine in question.machines)
    for wanted in (0.8, 0.9, 1.0):
        if wanted > least + 0.03:
            machines = tuple(
                replace(machine, charge_fraction=max(machine.charge_fraction, wanted)) for machine in question.machines
            )
            yield _Candidate(
                told=Sentence("Charge to {wanted_fraction} before the start.", wanted_fraction=wanted),
                question=replace(question, machines=machines),
                pain=TIME,
                way=_Way.SAME,
            )
    if not question.settings.charge_on_the_way and any(machine.charger for machine in question.machines):
        yield _Candidate(
            told=Sentence("Let the machine charge at a stop that has a socket."),
            question=replace(question, settings=replace(question.settings, charge_on_the_way=True)),
            pain=TIME,
            way=_Way.SAME,
        )


def _by_setting(answer: ShiftAnswer) -> Iterator[_Candidate]:
    """Less flow, less overlap, less pressure."""
    question, settings = answer.question, answer.question.settings
    plate = question.machines[0].plate
    flow = next((each for each in plate.flows if each.name == settings.flow), plate.flow)
    lower = [each for each in plate.flows if each.flow_l_per_min < flow.flow_l_per_min]
    if lower and answer.route.dump_trips > 1:
        less = max(lower, key=lambda each: each.flow_l_per_min)
        yield _Candidate(
            told=Sentence('Set the solution to "{flow}": fewer stops.', flow=less.name),
            question=replace(question, settings=replace(settings, flow=less.name)),
            pain=A_SETTING,
            way=_Way.REORDERED,
        )
    overlap_m = settings.overlap_m if settings.overlap_m is not None else plate.deck.overlap_m
    if overlap_m > LEAST_OVERLAP_M + 0.005:
        yield _Candidate(
            told=Sentence("Overlap lanes by {overlap_m}: a steady driver, fewer lanes.", overlap_m=LEAST_OVERLAP_M),
            question=replace(question, settings=replace(settings, overlap_m=LEAST_OVERLAP_M)),
            pain=A_SETTING,
            way=_Way.ANEW,
        )
    steps = plate.deck.pressure
    names = [step.name for step in steps]
    at = names.index(settings.pressure) if settings.pressure in names else (len(steps) - 1) // 2
    if at > 0 and answer.first_limit in (Limit.CHARGE, Limit.RAMP):
        yield _Candidate(
            told=Sentence('Scrub at pressure "{pressure}": less current, less bite.', pressure=names[at - 1]),
            question=replace(question, settings=replace(settings, pressure=names[at - 1])),
            pain=QUALITY,
            way=_Way.SAME,
        )
    if settings.edges and any(lane.kind == "edge" for lane in answer.route.lanes):
        yield _Candidate(
            told=Sentence("Leave the passes along walls and racks for another night."),
            question=replace(question, settings=replace(settings, edges=False)),
            pain=QUALITY,
            way=_Way.REORDERED,
        )


def _by_machine(answer: ShiftAnswer) -> Iterator[_Candidate]:
    question = answer.question
    yield _Candidate(
        told=Sentence("Send {count} machines of this kind, charged alike.", count=len(question.machines) + 1),
        question=replace(question, machines=(*question.machines, question.machines[-1])),
        pain=TIME,
        way=_Way.REORDERED,
    )


def _by_floor(answer: ShiftAnswer) -> Iterator[_Candidate]:
    """Areas left out, the least important first, alone and then together."""
    question = answer.question
    kept = [area for area in _floor(question).areas if area.name not in question.settings.leave_out]
    if len(kept) < 2:
        return
    least_first = sorted(kept, key=lambda area: (-area.priority, area.outline.area))
    sets: list[Sequence[str]] = [(area.name,) for area in least_first[:3]]
    if len(kept) > 2:
        sets.append(tuple(area.name for area in least_first[:2]))
    for names in sets:
        left_m2 = math.fsum(area.outline.area for area in kept if area.name in names)
        leave_out = (*question.settings.leave_out, *names)
        yield _Candidate(
            told=Sentence("Leave out {areas} tonight: {left_m2}.", areas=", ".join(names), left_m2=left_m2),
            question=replace(question, settings=replace(question.settings, leave_out=leave_out)),
            pain=FLOOR,
            way=_Way.REORDERED,
            floor_left_m2=left_m2,
        )


def _floor(question: ShiftQuestion) -> FloorPlan:
    return question.site.floor(question.floor_name)
