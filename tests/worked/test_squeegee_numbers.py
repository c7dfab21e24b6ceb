"""What the squeegee covers in turns, worked by hand: deck 0.80 m wide 0.45 m ahead, squeegee 1.00 m wide."""

import math

import pytest

from scrubwright.machine.deck import Deck, DeckKind
from scrubwright.machine.squeegee import Squeegee, Turning, inner_cover_m, outer_cover_m, scrubbing_radius_m

DECK = Deck(
    kind=DeckKind.DISC, scrub_width_m=0.80, ahead_of_rear_axle_m=0.45, offset_m=0.0, side_shift_m=0.0, overlap_m=0.05
)


@pytest.mark.parametrize(
    ("behind_m", "radius_m", "inner_mm", "outer_mm"),
    [
        # hypot(1.2 - 0.4, 0.45) - hypot(1.2 - 0.5, 0.45) = 0.9179 - 0.8322 = 86 mm
        # hypot(1.2 + 0.5, 0.45) - hypot(1.2 + 0.4, 0.45) = 1.7585 - 1.6621 = 96 mm
        (0.45, 1.2, 86, 96),
        # hypot(0.8, 0.45) - hypot(0.7, 0.75) = 0.9179 - 1.0259 = -108 mm; 1.8581 - 1.6621 = 196 mm
        (0.75, 1.2, -108, 196),
    ],
)
def test_inner_and_outer_cover_agree_with_the_sum_by_hand(
    behind_m: float, radius_m: float, inner_mm: float, outer_mm: float
) -> None:
    squeegee = Squeegee(width_m=1.00, behind_rear_axle_m=behind_m)
    assert inner_cover_m(DECK, squeegee, radius_m, Turning.LEFT) * 1000 == pytest.approx(inner_mm, abs=0.5)
    assert outer_cover_m(DECK, squeegee, radius_m, Turning.LEFT) * 1000 == pytest.approx(outer_mm, abs=0.5)


@pytest.mark.parametrize(
    ("radius_m", "left_mm"),
    # hypot(R - 0.5, 0.75) - hypot(R - 0.4, 0.45): 1.2500 - 1.1885 = 62 mm; 1.6771 - 1.6621 = 15 mm.
    [(1.5, 62), (2.0, 15)],
)
def test_a_long_tail_leaves_less_water_the_wider_the_turn(radius_m: float, left_mm: float) -> None:
    squeegee = Squeegee(width_m=1.00, behind_rear_axle_m=0.75)
    assert -inner_cover_m(DECK, squeegee, radius_m, Turning.LEFT) * 1000 == pytest.approx(left_mm, abs=0.5)


def test_a_long_tail_leaves_none_in_a_turn_of_three_metres() -> None:
    # hypot(2.6, 0.45) - hypot(2.5, 0.75) = 2.63866 - 2.61008 = 28.578 mm
    squeegee = Squeegee(width_m=1.00, behind_rear_axle_m=0.75)
    assert inner_cover_m(DECK, squeegee, 3.0, Turning.LEFT) * 1000 == pytest.approx(28.5783, abs=0.01)


def test_the_least_scrubbing_radius_agrees_with_the_root_by_hand() -> None:
    # hypot(R - 0.4, 0.45) = hypot(R - 0.5, 0.75) squared: R (1.0 - 0.8) = (1.0² - 0.8²)/4 + 0.75² - 0.45²
    # = 0.09 + 0.36 = 0.45, so R = 2.25 m.
    squeegee = Squeegee(width_m=1.00, behind_rear_axle_m=0.75)
    assert scrubbing_radius_m(DECK, squeegee) == pytest.approx(2.25, abs=2e-5)


def test_a_short_tail_leaves_no_water_in_any_turn() -> None:
    assert scrubbing_radius_m(DECK, Squeegee(width_m=1.00, behind_rear_axle_m=0.45)) == 0.0


def test_a_deck_off_the_middle_leaves_water_sooner_on_its_own_side() -> None:
    # Deck 0.05 m to the right, squeegee 0.60 m behind. Turning right its inner end runs on hypot(R - 0.45, 0.45), the
    # blade's on hypot(R - 0.5, 0.6): R (1.0 - 0.9) = 0.5² - 0.45² + 0.6² - 0.45² = 0.0475 + 0.1575, so R = 2.05 m.
    deck = Deck(
        kind=DeckKind.DISC,
        scrub_width_m=0.80,
        ahead_of_rear_axle_m=0.45,
        offset_m=0.05,
        side_shift_m=0.0,
        overlap_m=0.05,
    )
    squeegee = Squeegee(width_m=1.00, behind_rear_axle_m=0.60)
    assert scrubbing_radius_m(deck, squeegee) == pytest.approx(2.05, abs=2e-5)
    assert inner_cover_m(deck, squeegee, 2.0, Turning.RIGHT) < 0 < inner_cover_m(deck, squeegee, 2.0, Turning.LEFT)


def test_a_swinging_squeegee_settles_square_to_the_turn() -> None:
    # Pivot 0.10 m behind the axle, arm 0.30 m, radius 1.00 m: the pivot runs on sqrt(1 + 0.01) = 1.00499 m, the
    # blade's middle on sqrt(1.01 - 0.09) = 0.95917 m, square to it: its ends on 0.45917 and 1.45917 m.
    # The deck's inner end runs on hypot(0.6, 0.45) = 0.75 m, its outer on hypot(1.4, 0.45) = 1.47054 m.
    squeegee = Squeegee(
        width_m=1.00, behind_rear_axle_m=0.40, pivot_behind_rear_axle_m=0.10, swing_rad=math.radians(60)
    )
    assert inner_cover_m(DECK, squeegee, 1.0, Turning.LEFT) == pytest.approx(0.75 - 0.45917, abs=1e-5)
    assert outer_cover_m(DECK, squeegee, 1.0, Turning.LEFT) == pytest.approx(1.45917 - 1.47054, abs=1e-5)


def test_a_swinging_squeegee_at_its_stop_stands_as_one_mounted_aslant() -> None:
    # Pivot on the axle, arm 0.40 m, stop at 30°; at radius 0.50 m it would swing asin(0.4/0.5) = 53°.
    # The blade's middle lies 0.34641 m behind and 0.20 m inward; its outer end 0.25 m further back and 0.43301 m out:
    # 0.59641 m behind, 0.73301 m from the centre: hypot = 0.94498 m. The line of the blade passes the centre at
    # |0.34641 x 0.86603 - 0.30 x 0.5| = 0.15 m, at a point within the blade.
    # The deck's inner end runs on hypot(0.10, 0.45) = 0.46098 m, its outer on hypot(0.90, 0.45) = 1.00623 m.
    squeegee = Squeegee(width_m=1.00, behind_rear_axle_m=0.40, pivot_behind_rear_axle_m=0.0, swing_rad=math.radians(30))
    assert inner_cover_m(DECK, squeegee, 0.50, Turning.LEFT) == pytest.approx(0.46098 - 0.15, abs=2e-5)
    assert outer_cover_m(DECK, squeegee, 0.50, Turning.LEFT) == pytest.approx(0.94498 - 1.00623, abs=2e-5)
