"""Checks that every room makes of the numbers handed to it."""

import math

from scrubwright.measures.errors import BadInput


def check_above_zero(name: str, value: float) -> None:
    """Refuse what is not a finite number above zero, not a number included.

    Raises
    ------
    BadInput
        It is not.
    """
    if not 0 < value < math.inf:
        raise BadInput("{figure} is {given}; enter a number above zero.", figure=name, given=str(value))


def check_zero_or_more(name: str, value: float) -> None:
    """Refuse what is not a finite number of zero or more, not a number included.

    Raises
    ------
    BadInput
        It is not.
    """
    if not 0 <= value < math.inf:
        raise BadInput("{figure} is {given}; enter zero or more.", figure=name, given=str(value))
