"""How much floor a machine does in an hour: in theory, with losses, and counted lane by lane."""

import math

from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput

SECONDS_PER_HOUR_S = 3600.0
SQUARE_METRES_PER_HECTARE_M2 = 10_000.0


def theoretical_rate_m2_per_h(width_m: float, speed_m_per_s: float) -> float:
    """Floor that passes under the deck in an hour of straight running [m²/h].

    Parameters
    ----------
    width_m
        Scrubbed width, or the lane pitch for the moving rate with overlap [m, > 0].
    speed_m_per_s
        Working speed [m/s, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    **Source** geometry; rows V01 and V02 in tests/worked/test_area_and_water_numbers.py.
    """
    check_above_zero("width_m", width_m)
    check_above_zero("speed_m_per_s", speed_m_per_s)
    return width_m * speed_m_per_s * SECONDS_PER_HOUR_S


def effective_rate_m2_per_h(
    width_m: float, speed_m_per_s: float, *, overlap_m: float, efficiency_fraction: float
) -> float:
    """Floor that is done in an hour once overlap and lost time are taken off [m²/h].

    Parameters
    ----------
    width_m
        Scrubbed width without side brushes [m, > 0].
    speed_m_per_s
        Working speed [m/s, > 0].
    overlap_m
        Width that neighbouring lanes share [m, 0 <= overlap < width].
    efficiency_fraction
        Share of the time that is scrubbing [0 < share <= 1]; open hall 0.75 to 0.85, warehouse aisles 0.6 to 0.75,
        shop with fixtures 0.5 to 0.65, among people 0.35 to 0.5 (common practice).

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    **Source** the form of field capacity, ANSI/ASAE D497, Agricultural Machinery Management Data, clause on
    field efficiency; row V03 in tests/worked/test_area_and_water_numbers.py.
    """
    if not 0 <= overlap_m < width_m:
        raise BadInput(
            "Lanes overlap by {overlap}, the deck scrubs {width}; enter an overlap from zero to less than the width.",
            overlap=f"{overlap_m} m",
            width=f"{width_m} m",
        )
    if not 0 < efficiency_fraction <= 1:
        raise BadInput(
            "The share of the time that is scrubbing is {given}; enter above 0 and at most 1, such as 0.7.",
            given=str(efficiency_fraction),
        )
    return theoretical_rate_m2_per_h(width_m - overlap_m, speed_m_per_s) * efficiency_fraction


def field_capacity_ha_per_h(width_m: float, speed_m_per_s: float, *, efficiency_fraction: float) -> float:
    """Effective rate in the form that farm machinery is rated by [ha/h].

    Parameters
    ----------
    width_m
        Working width [m, > 0].
    speed_m_per_s
        Working speed [m/s, > 0].
    efficiency_fraction
        Field efficiency [0 < share <= 1].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    C = s w E / 10 with s in km/h and w in m.

    **Source** ANSI/ASAE D497, Agricultural Machinery Management Data; tests/published/test_field_capacity.py.
    """
    rate_m2_per_h = effective_rate_m2_per_h(
        width_m, speed_m_per_s, overlap_m=0.0, efficiency_fraction=efficiency_fraction
    )
    return rate_m2_per_h / SQUARE_METRES_PER_HECTARE_M2


def lane_count(room_width_m: float, pitch_m: float) -> int:
    """Lanes side by side that a room's width takes.

    Parameters
    ----------
    room_width_m
        Width across the lanes [m, > 0].
    pitch_m
        Scrubbed width less overlap [m, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.
    """
    check_above_zero("room_width_m", room_width_m)
    check_above_zero("pitch_m", pitch_m)
    # A hair over a whole number of lanes is rounding, not another lane.
    return math.ceil(room_width_m / pitch_m - 1e-9)


def lanes_time_s(count: int, length_m: float, speed_m_per_s: float, *, turn_s: float) -> float:
    """Time for equal lanes one beside the other, with a turn between neighbours [s].

    Parameters
    ----------
    count
        Lanes [>= 1].
    length_m
        Length of each [m, > 0].
    speed_m_per_s
        Working speed [m/s, > 0].
    turn_s
        One turn into the next lane [s, >= 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    n L / v + (n - 1) t. For an empty rectangle only; a real floor is planned by the room `floor`.

    **Source** common practice; rows V06 to V08 in tests/worked/test_area_and_water_numbers.py.
    """
    check_above_zero("length_m", length_m)
    check_above_zero("speed_m_per_s", speed_m_per_s)
    if count < 1 or not 0 <= turn_s < math.inf:
        raise BadInput(
            "{count} lanes with turns of {turn} s cannot be timed; enter one lane or more and zero seconds or more.",
            count=count,
            turn=str(turn_s),
        )
    return count * length_m / speed_m_per_s + (count - 1) * turn_s
