"""The squeegee: where it runs in a turn, and how tight a turn leaves no water behind."""

import math
from dataclasses import dataclass
from enum import StrEnum

from scipy.optimize import brentq

from scrubwright.machine.deck import Deck
from scrubwright.machine.ranges import check
from scrubwright.measures.errors import BadInput, NoAnswer

# Beyond this radius a turn is a straight run for any ride-on scrubber.
STRAIGHT_M = 100.0
# Steps of the search below; a few per cent apart, finer than any change of the covers with the radius.
_STEPS = 400


class Turning(StrEnum):
    """Which way a turn goes, as the driver sees it."""

    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class Squeegee:
    """The squeegee that brings the water back.

    Parameters
    ----------
    width_m
        Between the blade's ends, measured straight across [m, 0.3 to 3].
    behind_rear_axle_m
        From the rear axle back to the blade's ends, machine going straight [m, -2 to 3].
    pivot_behind_rear_axle_m
        From the rear axle back to the pivot about which the squeegee swings [m]; None where it is rigid.
    swing_rad
        How far it swings to either side before it meets its stop [rad, 0.01 to 1.4]; None where it is rigid.
    """

    width_m: float
    behind_rear_axle_m: float
    pivot_behind_rear_axle_m: float | None = None
    swing_rad: float | None = None

    def __post_init__(self) -> None:
        check("squeegee", self)
        if (self.pivot_behind_rear_axle_m is None) != (self.swing_rad is None):
            raise BadInput("A swinging squeegee needs both its pivot and how far it swings; enter both, or neither.")
        if self.pivot_behind_rear_axle_m is not None and not self.pivot_behind_rear_axle_m < self.behind_rear_axle_m:
            raise BadInput(
                "The squeegee's pivot lies {pivot_behind_m} behind the rear axle, its blade {blade_behind_m}; "
                "a squeegee that swings trails behind its pivot. Measure both again.",
                pivot_behind_m=self.pivot_behind_rear_axle_m,
                blade_behind_m=self.behind_rear_axle_m,
            )


def inner_cover_m(deck: Deck, squeegee: Squeegee, radius_m: float, turning: Turning) -> float:
    """How far the squeegee reaches past the deck on the inside of a turn [m]; below zero, that strip stays wet.

    Parameters
    ----------
    deck, squeegee
        Parts of one plate.
    radius_m
        Radius of the rear axle's middle [m, >= 0].
    turning
        Which way; matters where the deck sits to one side.

    Raises
    ------
    BadInput
        The radius is below zero or not a number.

    Notes
    -----
    Steady turn about a point on the rear axle's line; no side slip.

    **Source** ours, plane geometry, see docs/explanation/squeegee-cover.md; checked in
    tests/worked/test_squeegee_numbers.py.
    """
    deck_nearest_m, _ = _deck_reach_m(deck, radius_m, turning)
    blade_nearest_m, _ = _blade_reach_m(squeegee, radius_m)
    return deck_nearest_m - blade_nearest_m


def outer_cover_m(deck: Deck, squeegee: Squeegee, radius_m: float, turning: Turning) -> float:
    """How far the squeegee reaches past the deck on the outside of a turn [m]; below zero, that strip stays wet.

    Parameters
    ----------
    deck, squeegee
        Parts of one plate.
    radius_m
        Radius of the rear axle's middle [m, >= 0].
    turning
        Which way; matters where the deck sits to one side.

    Raises
    ------
    BadInput
        The radius is below zero or not a number.

    Notes
    -----
    Steady turn about a point on the rear axle's line; no side slip.

    **Source** ours, plane geometry, see docs/explanation/squeegee-cover.md; checked in
    tests/worked/test_squeegee_numbers.py.
    """
    _, deck_furthest_m = _deck_reach_m(deck, radius_m, turning)
    _, blade_furthest_m = _blade_reach_m(squeegee, radius_m)
    return blade_furthest_m - deck_furthest_m


def straight_cover_m(deck: Deck, squeegee: Squeegee) -> float:
    """How far the squeegee reaches past the deck on its narrower side when going straight [m].

    Notes
    -----
    **Source** ours, plane geometry, see docs/explanation/squeegee-cover.md.
    """
    return (squeegee.width_m - deck.scrub_width_m) / 2 - abs(deck.offset_m)


def scrubbing_radius_m(deck: Deck, squeegee: Squeegee) -> float:
    """Least radius of the rear axle's middle from which every wider turn leaves no water [m].

    Parameters
    ----------
    deck, squeegee
        Parts of one plate.

    Raises
    ------
    NoAnswer
        The squeegee leaves water even when going straight.

    Notes
    -----
    Found by walking in from a straight run to the first radius at which either cover, turning left
    or right, falls below zero, then closing in on it to a hundredth of a millimetre.

    **Source** ours, see docs/explanation/squeegee-cover.md; checked against the closed form for a rigid
    squeegee in tests/worked.
    """

    def least_cover_m(radius_m: float) -> float:
        return min(
            cover_m(deck, squeegee, radius_m, turning)
            for turning in Turning
            for cover_m in (inner_cover_m, outer_cover_m)
        )

    if not (straight_cover_m(deck, squeegee) > 0 and least_cover_m(STRAIGHT_M) >= 0):
        raise NoAnswer(
            "The squeegee of {squeegee_width_m} does not reach past both ends of the deck of {scrub_width_m}, "
            "so it leaves water even straight ahead. Check both widths and the deck's offset of {offset_m}.",
            squeegee_width_m=squeegee.width_m,
            scrub_width_m=deck.scrub_width_m,
            offset_m=deck.offset_m,
        )
    dry_m = STRAIGHT_M
    for step in range(_STEPS - 1, -1, -1):
        tighter_m = STRAIGHT_M * (step / _STEPS) ** 3
        if least_cover_m(tighter_m) < 0:
            # A wet radius and a dry one: the edge between them, taken on the dry side.
            edge_m = float(brentq(least_cover_m, tighter_m, dry_m, xtol=1e-9))
            return edge_m + 1e-5
        dry_m = tighter_m
    return 0.0


def _deck_reach_m(deck: Deck, radius_m: float, turning: Turning) -> tuple[float, float]:
    """Nearest and furthest distance of the deck from the turn's centre [m]."""
    if not 0 <= radius_m < math.inf:
        raise BadInput("The turn has a radius of {given}; enter zero or more metres.", given=str(radius_m))
    inward_m = deck.offset_m if turning is Turning.RIGHT else -deck.offset_m
    half_m = deck.scrub_width_m / 2
    return _reach_m(
        (-deck.ahead_of_rear_axle_m, radius_m - inward_m - half_m),
        (-deck.ahead_of_rear_axle_m, radius_m - inward_m + half_m),
    )


def _blade_reach_m(squeegee: Squeegee, radius_m: float) -> tuple[float, float]:
    """Nearest and furthest distance of the blade from the turn's centre [m]."""
    half_m = squeegee.width_m / 2
    if squeegee.pivot_behind_rear_axle_m is None or squeegee.swing_rad is None:
        behind_m = squeegee.behind_rear_axle_m
        return _reach_m((behind_m, radius_m - half_m), (behind_m, radius_m + half_m))
    pivot_m = squeegee.pivot_behind_rear_axle_m
    arm_m = squeegee.behind_rear_axle_m - pivot_m
    swing_rad = _trailing_rad(pivot_m, arm_m, radius_m, squeegee.swing_rad)
    along, across = math.cos(swing_rad), math.sin(swing_rad)
    middle_behind_m = pivot_m + arm_m * along
    middle_out_m = radius_m - arm_m * across
    return _reach_m(
        (middle_behind_m - half_m * across, middle_out_m - half_m * along),
        (middle_behind_m + half_m * across, middle_out_m + half_m * along),
    )


def _trailing_rad(pivot_m: float, arm_m: float, radius_m: float, most_rad: float) -> float:
    """Angle toward the inside at which a trailing arm settles in a steady turn [rad].

    It settles square to the line from the turn's centre: R sin(a) - p cos(a) = arm.
    """
    to_pivot_m = math.hypot(radius_m, pivot_m)
    if arm_m >= to_pivot_m:
        return most_rad
    free_rad = math.atan2(pivot_m, radius_m) + math.asin(arm_m / to_pivot_m)
    return max(-most_rad, min(most_rad, free_rad))


def _reach_m(one_m: tuple[float, float], other_m: tuple[float, float]) -> tuple[float, float]:
    """Nearest and furthest distance from the origin to a straight piece between two points [m]."""
    (x1, y1), (x2, y2) = one_m, other_m
    dx, dy = x2 - x1, y2 - y1
    share = max(0.0, min(1.0, -(x1 * dx + y1 * dy) / (dx * dx + dy * dy)))
    nearest_m = math.hypot(x1 + share * dx, y1 + share * dy)
    return nearest_m, max(math.hypot(x1, y1), math.hypot(x2, y2))
