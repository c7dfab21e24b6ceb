"""Solution on the floor: flow, dose, and how far a tank goes."""

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence


def dose_l_per_m2(flow_l_per_min: float, moving_rate_m2_per_h: float) -> float:
    """Solution laid on each square metre [L/m²].

    Parameters
    ----------
    flow_l_per_min
        Solution leaving the tank while the deck is down [L/min, >= 0].
    moving_rate_m2_per_h
        Floor covered in an hour of moving with the deck down, overlap taken off, turns and stops not counted
        [m²/h, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    60 flow / rate. Usual doses: 0.020 to 0.040 on polished or lightly soiled floor, 0.040 to 0.080
    in general, 0.080 to 0.150 on rough or grouted floor (common practice).

    **Source** identity; value in tests/worked/test_area_and_water_numbers.py.

    Examples
    --------
    >>> round(dose_l_per_m2(2.5, 3500.0), 4)
    0.0429
    """
    check_zero_or_more("flow_l_per_min", flow_l_per_min)
    check_above_zero("moving_rate_m2_per_h", moving_rate_m2_per_h)
    return 60.0 * flow_l_per_min / moving_rate_m2_per_h


def flow_for_dose_l_per_min(dose_l_per_m2: float, moving_rate_m2_per_h: float) -> float:
    """Flow that lays a dose at a moving rate [L/min], the inverse of `dose_l_per_m2`.

    Parameters
    ----------
    dose_l_per_m2
        Wanted dose [L/m², >= 0].
    moving_rate_m2_per_h
        Floor covered in an hour of moving with the deck down [m²/h, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    **Source** identity; round trip in tests/properties/test_water_balance.py.
    """
    check_zero_or_more("dose_l_per_m2", dose_l_per_m2)
    check_above_zero("moving_rate_m2_per_h", moving_rate_m2_per_h)
    return dose_l_per_m2 * moving_rate_m2_per_h / 60.0


def left_on_floor_l_per_m2(dose_l_per_m2: float, recovered_fraction: float) -> float:
    """Film that stays on the floor behind the squeegee [L/m²].

    Parameters
    ----------
    dose_l_per_m2
        Solution laid [L/m², >= 0].
    recovered_fraction
        Share that the squeegee brings back [0 to 1]; 0.90 is common, 0.85 to 0.98 with a good blade, below 0.80
        the pick-up is at fault.

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    Includes what pad and brush hold, so it is an upper figure for the film itself.

    **Source** balance of litres; the shares are common practice.
    """
    check_zero_or_more("dose_l_per_m2", dose_l_per_m2)
    _check_share("recovered_fraction", recovered_fraction)
    return dose_l_per_m2 * (1.0 - recovered_fraction)


def area_per_tank_m2(usable_solution_l: float, dose_l_per_m2: float) -> float:
    """Floor that a tank does [m²].

    Parameters
    ----------
    usable_solution_l
        Solution that a full tank gives [L, > 0].
    dose_l_per_m2
        Solution laid on each square metre [L/m², > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    **Source** identity; value in tests/worked/test_area_and_water_numbers.py.

    Examples
    --------
    >>> round(area_per_tank_m2(120.0, dose_l_per_m2(2.5, 3500.0)))
    2800
    """
    check_above_zero("usable_solution_l", usable_solution_l)
    check_above_zero("dose_l_per_m2", dose_l_per_m2)
    return usable_solution_l / dose_l_per_m2


def tank_min(usable_solution_l: float, flow_l_per_min: float) -> float:
    """Minutes of scrubbing that a tank lasts [min].

    Parameters
    ----------
    usable_solution_l
        Solution that a full tank gives [L, > 0].
    flow_l_per_min
        Solution leaving the tank while the deck is down [L/min, > 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    **Source** identity; value in tests/worked/test_area_and_water_numbers.py.
    """
    check_above_zero("usable_solution_l", usable_solution_l)
    check_above_zero("flow_l_per_min", flow_l_per_min)
    return usable_solution_l / flow_l_per_min


def _check_share(name: str, value: float) -> None:
    if not 0 <= value <= 1:
        raise BadInput(
            "{figure} is {given}; enter a share from 0 to 1, such as {example}.",
            figure=name,
            given=str(value),
            example=Sentence("{share_fraction}", share_fraction=0.9),
        )
