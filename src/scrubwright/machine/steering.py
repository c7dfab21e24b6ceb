"""Steering: the tightest turn, the room it takes, and the aisle in which the machine turns round."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scrubwright.machine.ranges import check
from scrubwright.measures.errors import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A point of the machine that may hit something: ahead of the rear axle and out from the middle line [m]."""

    ahead_m: float
    aside_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Steering:
    """Wheels and the tightest turn; one of radius and aisle is enough.

    Parameters
    ----------
    wheelbase_m
        From the rear axle to the front wheel's axle [m, 0.5 to 3].
    track_m
        Between the middles of the rear tyres [m, 0.2 to 2].
    turning_radius_m
        Least radius of the rear axle's middle [m, 0 to 5]; None where only the aisle is quoted.
    turning_aisle_m
        Aisle in which the handbook says it turns round in one go [m, 1 to 10]; None where not quoted.
    """

    wheelbase_m: float
    track_m: float
    turning_radius_m: float | None = None
    turning_aisle_m: float | None = None

    def __post_init__(self) -> None:
        check("steering", self)
        if self.turning_radius_m is None and self.turning_aisle_m is None:
            raise BadInput("The plate tells nothing of turning; enter turning_aisle_m or turning_radius_m.")


def radius_from_steer_m(wheelbase_m: float, steer_rad: float) -> float:
    """Radius of the rear axle's middle at a steer angle [m].

    Parameters
    ----------
    wheelbase_m
        From the rear axle to the steered wheel [m, > 0].
    steer_rad
        Angle of the steered wheel from straight ahead [rad, 0 < angle <= pi/2].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    Rolling without side slip.

    **Source** plane geometry (kinematic bicycle), common practice; checked in
    tests/worked/test_turning_numbers.py.
    """
    if not (0 < wheelbase_m < math.inf and 0 < steer_rad <= math.pi / 2):
        raise BadInput(
            "A wheelbase of {wheelbase_m} steered by {steer_rad} gives no turn; "
            "enter a wheelbase above zero and an angle above 0° up to 90°.",
            wheelbase_m=float(wheelbase_m),
            steer_rad=float(steer_rad),
        )
    return wheelbase_m * math.cos(steer_rad) / math.sin(steer_rad)


def outer_radius_m(turning_radius_m: float, corners: Sequence[Corner]) -> float:
    """Radius of the outermost point of the machine in a turn [m].

    Parameters
    ----------
    turning_radius_m
        Radius of the rear axle's middle [m, >= 0].
    corners
        Points that may be outermost; at least one.

    Notes
    -----
    **Source** plane geometry, common practice; checked in tests/worked/test_turning_numbers.py.
    """
    return max(math.hypot(turning_radius_m + corner.aside_m, corner.ahead_m) for corner in corners)


def aisle_m(turning_radius_m: float, corners: Sequence[Corner], widest_m: float) -> float:
    """Aisle in which the machine turns round in one go [m].

    Parameters
    ----------
    turning_radius_m
        Radius of the rear axle's middle [m, >= 0].
    corners
        Points that may be outermost; at least one.
    widest_m
        Widest part of the machine, which starts flush with one side of the aisle [m, > 0].

    Notes
    -----
    Outer radius + turning radius + half the width. What swings out behind the rear axle on the
    starting side is not in it, as in the figures that handbooks quote: see `tail_swing_m`.

    **Source** common practice; checked in tests/worked/test_turning_numbers.py.
    """
    return outer_radius_m(turning_radius_m, corners) + turning_radius_m + widest_m / 2


def radius_from_aisle_m(turning_aisle_m: float, corners: Sequence[Corner], widest_m: float) -> float:
    """Radius of the rear axle's middle that a quoted turning aisle means [m].

    Parameters
    ----------
    turning_aisle_m
        Aisle in which the machine turns round in one go [m, > 0].
    corners
        Points that may be outermost; at least one.
    widest_m
        Widest part of the machine [m, > 0].

    Raises
    ------
    BadInput
        The aisle is too narrow even for a turn on the spot.

    Notes
    -----
    For one corner (a, c) and k = aisle - width/2, hypot(r + c, a) = k - r gives r = (k² - c² - a²)
    / (2 (k + c)); the corner that leaves least counts.

    **Source** the inverse of `aisle_m`, ours; round trip in tests/properties.
    """
    rest_m = turning_aisle_m - widest_m / 2
    radius_m = min(
        (rest_m**2 - corner.aside_m**2 - corner.ahead_m**2) / (2 * (rest_m + corner.aside_m)) for corner in corners
    )
    # Rounding may leave a hair below zero for the aisle of a turn on the spot.
    if not radius_m >= -1e-9:
        raise BadInput(
            "The plate says it turns round in an aisle of {turning_aisle_m}; this body needs {least_aisle_m} even to "
            "turn on the spot. Check aisle, wheelbase, front overhang and widths, or enter turning_radius_m instead.",
            turning_aisle_m=turning_aisle_m,
            least_aisle_m=aisle_m(0.0, corners, widest_m),
        )
    return max(0.0, radius_m)


def tail_swing_m(turning_radius_m: float, squeegee_width_m: float, squeegee_behind_m: float, widest_m: float) -> float:
    """How far the squeegee's outer end swings past the machine's side in its tightest turn [m, >= 0].

    Parameters
    ----------
    turning_radius_m
        Radius of the rear axle's middle [m, >= 0].
    squeegee_width_m, squeegee_behind_m
        Width of the squeegee and how far behind the rear axle it runs, taken as rigid [m].
    widest_m
        Widest part of the machine [m, > 0].

    Notes
    -----
    This much room is needed beside the machine on the side that it turns away from.

    **Source** plane geometry, common practice.
    """
    end_m = math.hypot(turning_radius_m + squeegee_width_m / 2, squeegee_behind_m)
    return max(0.0, end_m - turning_radius_m - widest_m / 2)
