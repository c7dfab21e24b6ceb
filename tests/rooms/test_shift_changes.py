"""What is told to make a shift fit keeps its promise, on fifty nights that do not fit."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from shapely import MultiPolygon, box

from scrubwright.floor.site import Area, FloorPlan, Place, ServicePoint, Site, Use
from scrubwright.jobs.shift_answer import ShiftVerdict
from scrubwright.jobs.shift_changes import LEAST_GAIN_FRACTION, LEAST_OVERLAP_M, could_help
from scrubwright.jobs.shift_plan import shift_plan
from scrubwright.jobs.shift_planned import Planned, shift_planned
from scrubwright.jobs.shift_question import MachineTonight, Rate, Rates, ShiftQuestion, ShiftSettings
from tests.properties.test_shift_balance import PLATE, START
from tests.rooms.pack_year import PACK

NIGHTS = 50
SAMPLES = 256
RESERVE = 0.2


def small_night(rng: np.random.Generator) -> ShiftQuestion:
    """A small hall of two areas on a full pack, with the whole night before it."""
    wide_m, deep_m = rng.uniform(7, 9.5), rng.uniform(4.5, 6)
    cut_m = rng.uniform(0.4, 0.6) * wide_m
    plan = FloorPlan(
        name="hall",
        outline=MultiPolygon([box(0, 0, wide_m, deep_m)]),
        areas=(
            Area(name="West", outline=box(0, 0, cut_m, deep_m)),
            Area(name="East", outline=box(cut_m, 0, wide_m, deep_m), priority=2),
        ),
        service_points=(ServicePoint(name="closet", x_m=1.0, y_m=1.0, uses=frozenset({Use.DRAIN, Use.TAP})),),
        parking=Place(name="bay", x_m=1.5, y_m=2.0),
    )
    return ShiftQuestion(
        site=Site(name="S", floors=(plan,)),
        machines=(MachineTonight(plate=PLATE, pack=PACK, charge_fraction=1.0),),
        start_at=START,
        dry_by=START + timedelta(hours=8),
        settings=ShiftSettings(reserve_fraction=RESERVE),
    )


def short_of_charge(ample: ShiftQuestion, share: float) -> ShiftQuestion:
    """With a share of the charge that the floor asks for."""
    asked = planned_for(ample, 64).answer
    taken_fraction = 1.0 - asked.machines[0].end_charge_fraction
    low = replace(ample.machines[0], charge_fraction=RESERVE + share * taken_fraction)
    return replace(ample, machines=(low,))


def short_of_time(ample: ShiftQuestion, share: float) -> ShiftQuestion:
    """With a share of the time."""
    return replace(ample, dry_by=START + share * (planned_for(ample, 64).answer.dry_at - START))


def short_of_tank(ample: ShiftQuestion, share: float) -> ShiftQuestion:
    """With a share of the time, a good part of which goes into dump stops."""
    wet = Rates(water=Rate(factor_ratio=3.0))
    return short_of_time(replace(ample, machines=(replace(ample.machines[0], rates=wet),)), share)


def short_of_hours(ample: ShiftQuestion, share: float) -> ShiftQuestion:
    """With an area whose hours end before it is dry."""
    west, east = ample.site.floors[0].areas
    hours = replace(east, window_from_h=18.0, window_until_h=5.5)
    found = planned_for(with_areas(ample, west, hours), 64)
    closing = found.timed[0].loads.closings[0]
    dry_s = float(found.timed[0].end_s[closing.leg]) + found.answer.dry_s[1]
    until_h = 21.5 + share * dry_s / 3600
    return with_areas(ample, west, replace(hours, window_until_h=until_h))


def with_areas(question: ShiftQuestion, *areas: Area) -> ShiftQuestion:
    floor = replace(question.site.floors[0], areas=areas)
    return replace(question, site=replace(question.site, floors=(floor,)))


def planned_for(question: ShiftQuestion, samples: int = SAMPLES) -> Planned:
    return shift_planned(question, rng=np.random.default_rng(1), samples=samples)


KINDS = (short_of_charge, short_of_time, short_of_tank, short_of_hours)


def night_that_does_not_fit(seed: int) -> ShiftQuestion:
    """Each kind of shortage in turn: what the floor asks for, less a share of it."""
    rng = np.random.default_rng(seed)
    ample = small_night(rng)
    return KINDS[seed % len(KINDS)](ample, float(rng.uniform(0.5, 0.97)))


@pytest.mark.parametrize("seed", range(NIGHTS))
def test_the_first_change_gives_what_it_promises(seed: int) -> None:
    answer = shift_plan(night_that_does_not_fit(seed), rng=np.random.default_rng(seed), samples=SAMPLES)
    assert answer.verdict is ShiftVerdict.DOES_NOT_FIT
    first = answer.changes[0]
    assert first.chance_fraction > answer.chance.chance_fraction
    taken = shift_planned(first.question, rng=np.random.default_rng(1000 + seed), samples=SAMPLES).answer.chance
    assert taken.chance_fraction >= first.chance_fraction - 2 * first.error_fraction


@pytest.mark.parametrize("seed", range(8))
def test_lanes_laid_anew_are_only_passed_over_where_they_would_gain_nothing(seed: int) -> None:
    rng = np.random.default_rng(seed)
    ample = small_night(rng)
    settings = replace(ample.settings, overlap_m=float(rng.choice([0.06, 0.12, 0.2])))
    near = KINDS[seed % 2](replace(ample, settings=settings), float(rng.uniform(0.75, 1.0)))
    planned = planned_for(near)
    wider = replace(near, settings=replace(settings, overlap_m=LEAST_OVERLAP_M))
    gained = planned_for(wider).answer.chance.chance_fraction - planned.answer.chance.chance_fraction
    if gained > LEAST_GAIN_FRACTION:
        assert could_help(planned, np.random.default_rng(1), SAMPLES)
