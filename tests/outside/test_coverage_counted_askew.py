"""Coverage by polygon union against a count on a raster laid askew, with none of the planner's geometry."""

from collections.abc import Callable

import numpy as np
import pytest

from benchmarks.floors import free_form, school, store
from benchmarks.raster import covered_fraction
from benchmarks.reference_machine import reference_plate
from scrubwright.floor.site import FloorPlan, Site
from scrubwright.jobs.route_plan import route_plan


@pytest.mark.parametrize("make", [store, school, free_form])
def test_the_share_covered_is_what_an_askew_raster_counts(make: Callable[[np.random.Generator], FloorPlan]) -> None:
    site = Site(name="made up", floors=(make(np.random.default_rng(3)),))
    answer = route_plan(site, reference_plate(), rng=np.random.default_rng(1))
    lanes_m = [lane.points_m for lane in answer.lanes]
    counted = covered_fraction(answer.reachable, lanes_m, deck_width_m=answer.deck_width_m)
    assert counted == pytest.approx(answer.coverage_fraction, abs=0.002)
