"""What must hold for the squeegee's cover of any deck in any turn."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scrubwright.machine.deck import Deck, DeckKind
from scrubwright.machine.squeegee import (
    Squeegee,
    Turning,
    inner_cover_m,
    outer_cover_m,
    scrubbing_radius_m,
    straight_cover_m,
)

turnings = st.sampled_from(Turning)
radii = st.floats(0, 50)


def deck_of(width_m: float, ahead_m: float, offset_m: float = 0.0) -> Deck:
    return Deck(
        kind=DeckKind.CYLINDRICAL,
        scrub_width_m=width_m,
        ahead_of_rear_axle_m=ahead_m,
        offset_m=offset_m,
        side_shift_m=0.0,
        overlap_m=0.05,
    )


@st.composite
def pairs(draw: st.DrawFn) -> tuple[Deck, Squeegee]:
    width_m = draw(st.floats(0.4, 1.4))
    offset_m = draw(st.floats(-0.1, 0.1))
    beyond_m = draw(st.floats(0.05, 0.4))
    behind_m = draw(st.floats(0.2, 1.0))
    swings = draw(st.booleans())
    squeegee = Squeegee(
        width_m=width_m + 2 * abs(offset_m) + beyond_m,
        behind_rear_axle_m=behind_m,
        pivot_behind_rear_axle_m=behind_m - draw(st.floats(0.1, 0.5)) if swings else None,
        swing_rad=math.radians(draw(st.floats(2, 40))) if swings else None,
    )
    return deck_of(width_m, draw(st.floats(0.2, 1.2)), offset_m), squeegee


def least_cover_m(deck: Deck, squeegee: Squeegee, radius_m: float) -> float:
    return min(
        cover_m(deck, squeegee, radius_m, turning) for turning in Turning for cover_m in (inner_cover_m, outer_cover_m)
    )


def least_radius_by_formula_m(deck: Deck, squeegee: Squeegee) -> float:
    """Of a rigid squeegee and a deck in the middle: equal squares of both distances, solved for the radius."""
    w, s = deck.scrub_width_m, squeegee.width_m
    f, b = deck.ahead_of_rear_axle_m, squeegee.behind_rear_axle_m
    inner_m = 0.0
    if b > f:
        # While the blade spans the point that the machine turns about, its nearest point is its foot, b away.
        spanning_m = w / 2 + math.sqrt(b**2 - f**2)
        inner_m = spanning_m if spanning_m <= s / 2 else (s + w) / 4 + (b**2 - f**2) / (s - w)
    outer_m = (f**2 - b**2) / (s - w) - (s + w) / 4
    return max(0.0, inner_m, outer_m)


@given(st.floats(0.4, 1.4), st.floats(0.2, 1.2), st.floats(0.08, 0.5), st.floats(0.1, 1.2))
def test_the_search_finds_what_the_formula_for_a_rigid_squeegee_says(
    width_m: float, ahead_m: float, beyond_m: float, behind_m: float
) -> None:
    deck, squeegee = deck_of(width_m, ahead_m), Squeegee(width_m=width_m + beyond_m, behind_rear_axle_m=behind_m)
    expected_m = least_radius_by_formula_m(deck, squeegee)
    assume(expected_m < 90)
    assert scrubbing_radius_m(deck, squeegee) == pytest.approx(expected_m, abs=1e-3)


@given(pairs(), st.floats(0, 5))
def test_no_wider_turn_than_the_scrubbing_radius_leaves_water(pair: tuple[Deck, Squeegee], more_m: float) -> None:
    deck, squeegee = pair
    assume(least_cover_m(deck, squeegee, 100.0) >= 0)
    assert least_cover_m(deck, squeegee, scrubbing_radius_m(deck, squeegee) + more_m) >= -1e-6


@given(pairs(), radii)
def test_a_turn_to_the_left_mirrors_one_to_the_right(pair: tuple[Deck, Squeegee], radius_m: float) -> None:
    deck, squeegee = pair
    mirrored = deck_of(deck.scrub_width_m, deck.ahead_of_rear_axle_m, -deck.offset_m)
    for cover_m in (inner_cover_m, outer_cover_m):
        left_m = cover_m(deck, squeegee, radius_m, Turning.LEFT)
        assert left_m == pytest.approx(cover_m(mirrored, squeegee, radius_m, Turning.RIGHT), abs=1e-12)


@given(pairs(), turnings)
def test_a_very_wide_turn_is_a_straight_run(pair: tuple[Deck, Squeegee], turning: Turning) -> None:
    deck, squeegee = pair
    both_m = sum(cover_m(deck, squeegee, 1e5, turning) for cover_m in (inner_cover_m, outer_cover_m))
    assert both_m == pytest.approx(squeegee.width_m - deck.scrub_width_m, abs=1e-3)
    assert straight_cover_m(deck, squeegee) > 0


@given(pairs(), radii, st.floats(0.01, 0.5), turnings)
def test_a_wider_rigid_squeegee_never_covers_less(
    pair: tuple[Deck, Squeegee], radius_m: float, more_m: float, turning: Turning
) -> None:
    deck, squeegee = pair
    behind_m = squeegee.behind_rear_axle_m
    narrow = Squeegee(width_m=squeegee.width_m, behind_rear_axle_m=behind_m)
    wide = Squeegee(width_m=squeegee.width_m + more_m, behind_rear_axle_m=behind_m)
    for cover_m in (inner_cover_m, outer_cover_m):
        assert cover_m(deck, wide, radius_m, turning) >= cover_m(deck, narrow, radius_m, turning) - 1e-12
