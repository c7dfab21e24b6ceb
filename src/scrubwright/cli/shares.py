"""What people type as a share of a whole: "0.85", "85 %"."""

import re

from scrubwright.measures.errors import BadInput

_SHARE = re.compile(r"([-+]?\d*[.,]?\d+) *(%?)")


def share_fraction(option: str, text: str) -> float:
    """A share as typed after an option [0 to 1]: "0.85", "0,85", "85%", "85 %".

    A number above one without its sign is refused: 1.4 may be a slip for 0.4 or for 14 %.

    Raises
    ------
    BadInput
        It is no share, or none from 0 to 1.

    Examples
    --------
    >>> share_fraction("--charge", "85 %")
    0.85
    """
    found = _SHARE.fullmatch(text.strip())
    share = float(found[1].replace(",", ".")) / (100 if found[2] else 1) if found else -1.0
    if not 0 <= share <= 1:
        raise BadInput(
            '{option} is "{given}"; enter a share from 0 to 1 such as 0.85, or with its sign such as 85%.',
            option=option,
            given=text,
        )
    return share
