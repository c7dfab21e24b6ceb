"""Floor of areas with people, closed piece by piece: each piece dry before the next one is begun."""

from collections.abc import Sequence

# A section ends with the block that is under way after this time: long enough to be worth its signs, and short
# enough that people find another way (ours).
LEAST_SECTION_S = 900.0


def section_starts(
    areas: Sequence[str], begin_s: Sequence[float], people: Sequence[str], twice: Sequence[str] = ()
) -> tuple[int, ...]:
    """Places among the blocks of a way at which a new section of an area with people begins.

    A section is a row of blocks of one area. Once it has lasted long enough, the next block begins another. An area
    that is scrubbed twice stays in one section, since its solution must not dry between the passes.

    Parameters
    ----------
    areas
        Of each block, in driving order.
    begin_s
        When each begins, pauses left out [s].
    people, twice
        Areas with people, and areas that are scrubbed twice.

    **Source** ours, see docs/explanation/the-shift.md.

    Examples
    --------
    >>> section_starts(["Hall", "Hall", "Hall", "Store", "Hall"], [0.0, 500.0, 1000.0, 1500.0, 2000.0], ["Hall"])
    (0, 2, 4)
    """
    starts: list[int] = []
    for place, area in enumerate(areas):
        if area not in people:
            continue
        goes_on = place > 0 and areas[place - 1] == area
        if not goes_on or (area not in twice and begin_s[place] - begin_s[starts[-1]] >= LEAST_SECTION_S):
            starts.append(place)
    return tuple(starts)
