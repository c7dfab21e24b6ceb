"""What a driver must watch, and where on the way."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import box

from benchmarks.reference_machine import reference_plate
from scrubwright.floor.site import Ramp, Site
from scrubwright.jobs.route_answer import Bites, RouteAnswer
from scrubwright.jobs.route_plan import route_plan
from tests.rooms.plain_floors import floor_plan

HALL = box(0, 0, 14, 6)
RAMP = Ramp(name="Ramp", outline=box(14, 2, 18, 5), slope_fraction=0.05, uphill_rad=0.0)


def answered(*ramps: Ramp) -> RouteAnswer:
    plan = floor_plan(HALL, RAMP.outline, ramps=ramps)
    return route_plan(Site(name="Site", floors=(plan,)), reference_plate(), rng=np.random.default_rng(0))


def test_every_night_has_the_usual_cautions_where_they_bite() -> None:
    plain = answered()
    assert [caution.bites for caution in plain.cautions] == [Bites.START, Bites.START, Bites.LANES, Bites.STOPS]
    (run_out,) = [caution for caution in plain.cautions if caution.bites is Bites.LANES]
    plate = reference_plate()
    # Deck 0.55 m ahead of the rear axle, squeegee 0.40 m behind it.
    assert dict(run_out.told.values)["run_out_m"] == pytest.approx(0.95)
    assert plate.squeegee.behind_rear_axle_m == 0.40
    assert all("safe" not in str(caution.told) for caution in plain.cautions)


def test_a_ramp_on_the_way_is_told_at_the_blocks_that_meet_it() -> None:
    sloping = answered(RAMP)
    (caution,) = [each for each in sloping.cautions if each.bites is Bites.BLOCKS]
    on_it = {lane.block for lane in sloping.lanes if lane.area == "Ramp"}
    assert on_it
    assert on_it <= set(caution.blocks)
    assert set(caution.blocks) <= {block.number for block in sloping.routes[0].blocks}
    assert list(caution.blocks) == sorted(caution.blocks)


def test_a_ramp_that_is_closed_is_no_caution() -> None:
    assert Bites.BLOCKS not in {each.bites for each in answered(replace(RAMP, slope_fraction=0.3)).cautions}
