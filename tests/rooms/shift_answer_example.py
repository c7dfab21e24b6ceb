"""Shifts in the small hall, small enough to check by hand: one that fits, a tight one, and one that does not fit."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache
from itertools import groupby
from pathlib import Path

import numpy as np
from shapely import MultiPolygon, box

from scrubwright.floor.site import Site, Use
from scrubwright.jobs.route_answer import Leg, LegKind, MachineRoute, RouteAnswer
from scrubwright.jobs.route_cautions import cautions_for
from scrubwright.jobs.shift_answer import (
    Chance,
    Change,
    Course,
    Doing,
    Limit,
    MachineShift,
    Section,
    ShiftAnswer,
    ShiftVerdict,
    Stretch,
)
from scrubwright.jobs.shift_question import Air, MachineTonight, Rate, Rates, ShiftQuestion, ShiftSettings
from scrubwright.jobs.shift_told import cautions_of, provenance_of, why_of
from scrubwright.machine.plate import Plate
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.plates import plate_from
from tests.rooms.hall_answer import hall_answer

EXAMPLES = Path(__file__).parents[2] / "examples"
START_AT = datetime(2026, 3, 10, 4, 0)
DRY_BY = datetime(2026, 3, 10, 5, 45)
DRY_S = (290.0, 430.0, 640.0)
SCRUB_A, DRIVE_A, IDLE_A, CHARGE_A = 71.0, 16.5, 1.2, -36.0
# The machine is plugged in at its second stop, and waits for people to leave before it enters the east end.
CHARGE_STOP, CHARGE_S = 2, 900.0
WAIT_BLOCK, WAIT_S = 7, 240.0
RESERVE = 0.2


@dataclass(frozen=True, kw_only=True)
class Story:
    """What differs from one of the three shifts to the next: the charge at the start, and what comes of it."""

    charge: float
    planned_limit: Limit
    chance: float
    limits: tuple[tuple[Limit, float], ...]


STORIES = {
    ShiftVerdict.FITS: Story(
        charge=0.85, planned_limit=Limit.NONE, chance=0.988, limits=((Limit.CLOCK, 0.010), (Limit.CHARGE, 0.002))
    ),
    ShiftVerdict.TIGHT: Story(
        charge=0.35,
        planned_limit=Limit.NONE,
        chance=0.784,
        limits=((Limit.CHARGE, 0.196), (Limit.CLOCK, 0.012), (Limit.TANK, 0.006), (Limit.RAMP, 0.002)),
    ),
    ShiftVerdict.DOES_NOT_FIT: Story(
        charge=0.22, planned_limit=Limit.CHARGE, chance=0.013, limits=((Limit.CHARGE, 0.981), (Limit.CLOCK, 0.006))
    ),
}


@cache
def shift_answer(verdict: ShiftVerdict = ShiftVerdict.TIGHT, *, machines: int = 1) -> ShiftAnswer:
    """The whole answer: courses and lines counted leg by leg, chances and changes made up to fit them.

    With `machines=2` the hall is shared by two machines as in `hall_answer`.
    """
    story = STORIES[verdict]
    bare = hall_answer(machines=machines)
    plate = replace(plate_from(EXAMPLES / "plates" / "mid_cylindrical_080.toml"), name=bare.machine)
    route = with_socket(bare, plate)
    question = shift_question(route, plate, charge=story.charge, machines=machines)
    shifts = tuple(
        machine_shift(each, tonight, dry_by_s=question.window_s)
        for each, tonight in zip(route.routes, question.machines, strict=True)
    )
    finish_s = max(each.finish_s for each in shifts)
    finish_at, dry_at = (START_AT + timedelta(seconds=each) for each in (finish_s, finish_s + DRY_S[1]))
    drawn = chance(story, shifts, finish_s)
    answer = ShiftAnswer(
        question=question,
        route=route,
        verdict=verdict,
        why=why_of(question, shifts, drawn, story.planned_limit, finish_s, finish_s + DRY_S[1]),
        machines=shifts,
        sections=sections(shifts),
        chance=drawn,
        first_limit=story.limits[0][0],
        finish_at=finish_at,
        dry_at=dry_at,
        dry_s=DRY_S,
        wet_crossed_m=6.5,
        changes=() if verdict is ShiftVerdict.FITS else changes(question, finish_at, dry_at),
        cautions=cautions_of(question, route, shifts),
        provenance=(),
    )
    return replace(answer, provenance=provenance_of(answer, question.machines[0]))


def chance(story: Story, shifts: Sequence[MachineShift], finish_s: float) -> Chance:
    end = min(each.end_charge_fraction for each in shifts)
    return Chance(
        chance_fraction=story.chance,
        error_fraction=0.006 if 0.03 < story.chance < 0.97 else 0.002,
        samples=4096,
        first_limit=story.limits[0][0],
        limits=story.limits,
        finish_s=(finish_s - 260.0, finish_s + 40.0, finish_s + 420.0),
        dry_s=(finish_s + 90.0, finish_s + 450.0, finish_s + 900.0),
        end_charge_fraction=(end - 0.06, end, end + 0.05),
    )


def with_socket(route: RouteAnswer, plate: Plate) -> RouteAnswer:
    """The hall with a socket at the west drain, and the cautions that hold once the charge is looked at."""
    points = tuple(
        replace(point, uses=point.uses | {Use.SOCKET}) if point.name == "Drain west" else point
        for point in route.plan.service_points
    )
    plan = replace(route.plan, service_points=points)
    cautions = [each for each in cautions_for(plan, plate, route.routes) if "charge" not in each.told.template]
    return replace(route, plan=plan, cautions=tuple(cautions))


def shift_question(route: RouteAnswer, plate: Plate, *, charge: float, machines: int) -> ShiftQuestion:
    paper = pack_from(EXAMPLES / "packs" / "market_hall_36v.toml")
    tonight = MachineTonight(
        plate=plate,
        pack=paper.pack,
        charger=paper.charger,
        charge_fraction=charge,
        health_ratio=0.93,
        health_sd_ratio=0.05,
        rates=Rates(scrubbing=Rate(factor_ratio=1.0, sd_ratio=0.03, shift_sd_ratio=0.04, shifts=6)),
    )
    return ShiftQuestion(
        site=Site(name=route.site, floors=(route.plan,)),
        machines=(tonight,) * machines,
        start_at=START_AT,
        dry_by=DRY_BY,
        floor_name=route.floor,
        air=Air(air_k=291.15, humidity_fraction=0.6),
        settings=ShiftSettings(reserve_fraction=RESERVE),
    )


def machine_shift(route: MachineRoute, tonight: MachineTonight, *, dry_by_s: float) -> MachineShift:
    """The legs in time, with the charge at the second stop and the wait before the east end put in."""
    pauses = [pause_s(before, leg) for before, leg in zip((None, *route.legs), route.legs, strict=False)]
    end_s = np.cumsum([leg.duration_s + pause for leg, pause in zip(route.legs, pauses, strict=True)])
    current_a = np.array([leg_a(leg) for leg in route.legs])
    hours = np.diff(end_s, prepend=0.0) / 3600
    capacity_ah = tonight.pack.capacity_ah * tonight.health_ratio
    charge = tonight.charge_fraction - np.cumsum(current_a * hours) / capacity_ah
    pack_v = 36.0 + 2.2 * charge - 0.014 * current_a
    course = Course(
        end_s=end_s,
        current_a=current_a,
        charge_fraction=charge,
        pack_v=pack_v,
        solution_l=np.array([leg.solution_l for leg in route.legs]),
        recovered_l=np.array([leg.recovered_l for leg in route.legs]),
        squeegee_down=np.ones(len(route.legs), dtype=np.bool_),
    )
    drawn_wh = np.where(current_a > 0, current_a * pack_v * hours, 0.0)
    charged_ah = np.where(current_a < 0, -current_a * hours, 0.0)
    return MachineShift(
        machine=route.machine,
        course=course,
        line=night_line(route.legs, end_s, dry_by_s),
        finish_s=float(end_s[-1]),
        end_charge_fraction=float(charge[-1]),
        energy_wh=math.fsum(drawn_wh),
        charged_ah=math.fsum(charged_ah),
    )


def pause_s(before: Leg | None, leg: Leg) -> float:
    """Charging within the second stop; waiting within the drive to the east end."""
    if leg.stop == CHARGE_STOP:
        return CHARGE_S
    comes_first = leg.block == WAIT_BLOCK and (before is None or before.block != WAIT_BLOCK)
    return WAIT_S if comes_first else 0.0


def leg_a(leg: Leg) -> float:
    if leg.kind is LegKind.STOP:
        both_s = leg.duration_s + CHARGE_S
        mean_a = (IDLE_A * leg.duration_s + CHARGE_A * CHARGE_S) / both_s
        return mean_a if leg.stop == CHARGE_STOP else IDLE_A
    return SCRUB_A if leg.kind is LegKind.SCRUB else DRIVE_A


def night_line(
    legs: Sequence[Leg], end_s: np.ndarray[tuple[int], np.dtype[np.float64]], dry_by_s: float
) -> tuple[Stretch, ...]:
    """What the legs do, neighbours of one kind in one stretch, and the drying after the last."""
    stretches: list[Stretch] = []
    numbered = list(enumerate(legs))
    for (block, stop), run in groupby(numbered, key=lambda pair: (pair[1].block, pair[1].stop)):
        members = list(run)
        first, last = members[0], members[-1]
        before = legs[first[0] - 1] if first[0] else None
        begin_s = float(end_s[first[0] - 1]) if first[0] else 0.0
        until_s = float(end_s[last[0]])
        pause = pause_s(before, first[1])
        if stop is not None:
            stretches.append(Stretch(doing=Doing.SERVICE, start_s=begin_s, end_s=until_s - pause, stop=stop))
            if pause:
                stretches.append(Stretch(doing=Doing.CHARGE, start_s=until_s - pause, end_s=until_s, stop=stop))
        elif block is not None:
            if pause:
                stretches.append(Stretch(doing=Doing.WAIT, start_s=begin_s, end_s=begin_s + pause, block=block))
            stretches.append(Stretch(doing=Doing.SCRUB, start_s=begin_s + pause, end_s=until_s, block=block))
        else:
            stretches.append(Stretch(doing=Doing.MOVE, start_s=begin_s, end_s=until_s))
    finish_s = float(end_s[-1])
    stretches.append(Stretch(doing=Doing.DRYING, start_s=finish_s, end_s=min(finish_s + DRY_S[1], dry_by_s)))
    return tuple(stretches)


def sections(shifts: Sequence[MachineShift]) -> tuple[Section, ...]:
    """Three pieces of the hall, each closed from its first wet lane until its last one is dry."""
    pieces = (
        ("West end", (1,), box(0, 0, 6, 26)),
        ("Aisles 1 to 5", (2, 3, 4, 5, 6, 9), box(6, 0, 36, 26)),
        ("East end", (7, 8), box(36, 0, 42, 26)),
    )
    found = []
    for name, blocks, outline in pieces:
        wet = [each for shift in shifts for each in shift.line if each.doing is Doing.SCRUB and each.block in blocks]
        found.append(
            Section(
                name=name,
                blocks=blocks,
                close_s=min(each.start_s for each in wet),
                open_s=max(each.end_s for each in wet) + DRY_S[2],
                outline=MultiPolygon([outline]),
            )
        )
    return tuple(sorted(found, key=lambda section: section.close_s))


def changes(question: ShiftQuestion, finish_at: datetime, dry_at: datetime) -> tuple[Change, ...]:
    """Those that make it fit first, the least painful first; each with the question that it would ask."""
    return (
        Change(
            told=Sentence('Scrub at pressure "{pressure}": less current, less bite.', pressure="low"),
            chance_fraction=0.942,
            error_fraction=0.004,
            finish_at=finish_at,
            dry_at=dry_at,
            pain=3,
            floor_left_m2=0.0,
            question=replace(question, settings=replace(question.settings, pressure="low")),
        ),
        Change(
            told=Sentence("Leave out {areas} tonight: {left_m2}.", areas="West end", left_m2=156.0),
            chance_fraction=0.973,
            error_fraction=0.003,
            finish_at=finish_at - timedelta(minutes=11),
            dry_at=dry_at - timedelta(minutes=11),
            pain=4,
            floor_left_m2=156.0,
            question=replace(question, settings=replace(question.settings, leave_out=("West end",))),
        ),
        Change(
            told=Sentence("Start {earlier_s} earlier, at {clock}.", earlier_s=1_800.0, clock="03:30"),
            chance_fraction=0.801,
            error_fraction=0.006,
            finish_at=finish_at - timedelta(minutes=30),
            dry_at=dry_at - timedelta(minutes=30),
            pain=2,
            floor_left_m2=0.0,
            question=replace(question, start_at=START_AT - timedelta(minutes=30)),
        ),
    )
