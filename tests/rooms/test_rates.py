"""Rates and steering refuse what is no machine."""

import math
from collections.abc import Callable

import pytest

from scrubwright.machine.deck import Deck, DeckKind
from scrubwright.machine.rates import effective_rate_m2_per_h, lane_count, lanes_time_s, theoretical_rate_m2_per_h
from scrubwright.machine.squeegee import Squeegee, Turning, inner_cover_m, scrubbing_radius_m
from scrubwright.machine.steering import Corner, Steering, radius_from_aisle_m, radius_from_steer_m
from scrubwright.measures.errors import BadInput, NoAnswer

DECK = Deck(
    kind=DeckKind.ORBITAL, scrub_width_m=0.7, ahead_of_rear_axle_m=0.4, offset_m=0.0, side_shift_m=0.0, overlap_m=0.05
)
SQUEEGEE = Squeegee(width_m=0.9, behind_rear_axle_m=0.4)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: theoretical_rate_m2_per_h(0.0, 1.0),
        lambda: theoretical_rate_m2_per_h(0.8, math.nan),
        lambda: effective_rate_m2_per_h(0.8, 1.0, overlap_m=0.8, efficiency_fraction=0.7),
        lambda: effective_rate_m2_per_h(0.8, 1.0, overlap_m=0.1, efficiency_fraction=1.1),
        lambda: lane_count(10.0, 0.0),
        lambda: lanes_time_s(0, 10.0, 1.0, turn_s=5.0),
        lambda: lanes_time_s(3, 10.0, 1.0, turn_s=-5.0),
        lambda: radius_from_steer_m(1.0, 0.0),
        lambda: radius_from_steer_m(1.0, 2.0),
        lambda: radius_from_aisle_m(1.5, (Corner(ahead_m=1.4, aside_m=0.4),), 0.9),
        lambda: Steering(wheelbase_m=1.0, track_m=0.7),
        lambda: inner_cover_m(DECK, SQUEEGEE, -1.0, Turning.LEFT),
        lambda: Squeegee(width_m=0.9, behind_rear_axle_m=0.4, pivot_behind_rear_axle_m=0.5, swing_rad=0.2),
    ],
)
def test_what_no_machine_can_do_is_refused(ask: Callable[[], object]) -> None:
    with pytest.raises(BadInput):
        ask()


def test_a_squeegee_no_wider_than_the_deck_has_no_dry_turn() -> None:
    with pytest.raises(NoAnswer, match="leaves water even straight ahead"):
        scrubbing_radius_m(DECK, Squeegee(width_m=0.7, behind_rear_axle_m=0.4))
