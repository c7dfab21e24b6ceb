"""What is told to make a shift fit keeps its promise, on fifty nights that do not fit."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from shapely import MultiPolygon, box

from scrubwright.floor.site import Area, FloorPlan, Place, ServicePoint, Site, Use
from scrubwright.jobs.shift_answer import ShiftVerdict
from scrubwright.jobs.shift_plan import shift_plan
from scrubwright.jobs.shift_planned import shift_planned
from scrubwright.jobs.shift_question import MachineTonight, ShiftQuestion, ShiftSettings
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


def night_that_does_not_fit(seed: int) -> ShiftQuestion:
    """Short of charge on odd nights, of time on even ones: what the floor asks for, less a share of it."""
    rng = np.random.default_rng(seed)
    ample = small_night(rng)
    asked = shift_planned(ample, rng=np.random.default_rng(seed), samples=64).answer
    share = float(rng.uniform(0.5, 0.97))
    if seed % 2:
        taken_fraction = 1.0 - asked.machines[0].end_charge_fraction
        low = replace(ample.machines[0], charge_fraction=RESERVE + share * taken_fraction)
        return replace(ample, machines=(low,))
    return replace(ample, dry_by=START + share * (asked.dry_at - START))


@pytest.mark.parametrize("seed", range(NIGHTS))
def test_the_first_change_gives_what_it_promises(seed: int) -> None:
    answer = shift_plan(night_that_does_not_fit(seed), rng=np.random.default_rng(seed), samples=SAMPLES)
    assert answer.verdict is ShiftVerdict.DOES_NOT_FIT
    first = answer.changes[0]
    assert first.chance_fraction > answer.chance.chance_fraction
    taken = shift_planned(first.question, rng=np.random.default_rng(1000 + seed), samples=SAMPLES).answer.chance
    assert taken.chance_fraction >= first.chance_fraction - 2 * first.error_fraction
