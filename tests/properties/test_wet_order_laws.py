"""An order bent for less wet floor drives every lane once, is hardly longer, and never crosses more of it."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, box

from scrubwright.floor.sequence import tour_of
from scrubwright.floor.wet_order import LOSS_FRACTION, drier_tour
from tests.rooms.test_wet_order import driven_m, weighed


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), dry_s=st.floats(20.0, 400.0))
def test_never_more_wet_floor_and_all_lanes_once(seed: int, dry_s: float) -> None:
    rng = np.random.default_rng(seed)
    lines = [LineString(rng.uniform(1.0, 29.0, (2, 2))) for _ in range(8)]
    night = weighed(lines, box(0, 0, 30, 30), dry_s=dry_s)
    tour = tour_of(2 * rng.permutation(np.arange(1, 9)) + rng.integers(0, 2, 8), night.net.links)
    mended = drier_tour(tour, night)
    assert sorted(mended.entries >> 1) == list(range(1, 9))
    assert driven_m(night, mended) <= driven_m(night, tour) + 1e-6
    whole_s = tour.cost_s + night.lane_s.sum()
    assert mended.cost_s + night.lane_s.sum() <= whole_s * (1 + LOSS_FRACTION) + 1e-3
