"""How many tankfuls an amount of solution takes."""

import math

from scrubwright.measures.errors import BadInput


def fewest_tankfuls(total_used_l: float, trip_l: float) -> int:
    """Least number of tankfuls that so much solution takes, the first one included.

    Parameters
    ----------
    total_used_l
        Solution that the whole work lays down [L, >= 0].
    trip_l
        Solution that one trip may use [L, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Examples
    --------
    >>> fewest_tankfuls(200.0, 95.0)
    3

    **Source** identity.
    """
    if not (0 <= total_used_l < math.inf and 0 < trip_l < math.inf):
        raise BadInput(
            "{total} L in trips of {trip} L cannot be counted; enter litres, and more than none for a trip.",
            total=str(total_used_l),
            trip=str(trip_l),
        )
    # A hair over a whole number of tanks is rounding, not another tank.
    return max(1, math.ceil(total_used_l / trip_l - 1e-9))
