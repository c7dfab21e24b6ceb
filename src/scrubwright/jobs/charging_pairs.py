"""Two charges on one circuit swap their loose slots so that they pause least, by dynamic programming."""

import math
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

_IDLE_OR_CHARGED = (0, 1)
_STEPS = tuple(product(_IDLE_OR_CHARGED, _IDLE_OR_CHARGED))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loose:
    """The loose slots of one charge, to be laid before its unbroken part.

    Parameters
    ----------
    first
        It may charge from this slot on.
    count
        Slots to lay.
    start
        Where its unbroken part begins.
    slot_ratio
        What each slot of the night weighs, shape (slots,).
    stretch_ratio
        What each stretch that begins weighs.
    """

    first: int
    count: int
    start: int
    slot_ratio: NDArray[np.float64]
    stretch_ratio: float


def laid_together(
    one: Loose, other: Loose, fits_one: NDArray[np.bool_], fits_other: NDArray[np.bool_], fits_both: NDArray[np.bool_]
) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """The slots of both with the least weight together; None where there is no way.

    Parameters
    ----------
    one, other
        What is to be laid.
    fits_one, fits_other, fits_both
        In which slots the circuit has room for one, the other, or both of them, shape (slots,) each; their unbroken
        parts counted as taken.

    Notes
    -----
    The state is how many slots of each are laid and whether each charged in the slot before. The first slot of an
    unbroken part counts as one more slot, which is laid there and nowhere else: so a pause before it is seen.
    """
    shape = (one.count + 2, other.count + 2, 2, 2)
    least = np.full(shape, math.inf)
    least[0, 0, 0, 0] = 0.0
    came: list[NDArray[np.int8]] = []
    first, last = min(one.first, other.first), max(one.start, other.start)
    for slot in range(first, last + 1):
        fresh, origin = np.full(shape, math.inf), np.zeros(shape, dtype=np.int8)
        for step in _STEPS:
            if not _is_allowed(one, slot, step[0]) or not _is_allowed(other, slot, step[1]):
                continue
            is_loose = (step[0] and slot != one.start, step[1] and slot != other.start)
            fits = {(True, True): fits_both, (True, False): fits_one, (False, True): fits_other}
            if any(is_loose) and not fits[bool(is_loose[0]), bool(is_loose[1])][slot]:
                continue
            _step(least, fresh, origin, (one, other), slot, step)
        least = fresh
        came.append(origin)
    ends = least[one.count + 1, other.count + 1]
    if not math.isfinite(ends.min()):
        return None
    was = divmod(int(ends.argmin()), 2)
    return _read_back(one, other, came, first, was)


def _is_allowed(each: Loose, slot: int, charged: int) -> bool:
    """Whether it may be charged, or idle, in a slot: its unbroken part must begin when it begins."""
    if slot == each.start:
        return charged == 1
    return not charged or each.first <= slot < each.start


def _step(
    least: NDArray[np.float64],
    fresh: NDArray[np.float64],
    origin: NDArray[np.int8],
    pair: tuple[Loose, Loose],
    slot: int,
    step: tuple[int, int],
) -> None:
    """What it comes to when each is charged or idle in a slot, from every state before it."""
    weight = sum(
        float(each.slot_ratio[slot]) for each, charged in zip(pair, step, strict=True) if charged and slot != each.start
    )
    # Slots laid before: all of them where the unbroken part begins, fewer where a loose one is laid.
    before: list[Any] = [
        (slice(each.count, each.count + 1) if slot == each.start else slice(0, each.count)) if charged else slice(None)
        for each, charged in zip(pair, step, strict=True)
    ]
    after: list[Any] = [
        slice(s.start + 1, s.stop + 1) if charged else s for s, charged in zip(before, step, strict=True)
    ]
    for was in _STEPS:
        begins = sum(
            each.stretch_ratio
            for each, charged, before_it in zip(pair, step, was, strict=True)
            if charged and not before_it
        )
        reached = least[(*before, *was)] + weight + begins
        target, source = fresh[(*after, *step)], origin[(*after, *step)]
        better = reached < target
        target[better] = reached[better]
        source[better] = 2 * was[0] + was[1]


def _read_back(
    one: Loose, other: Loose, came: list[NDArray[np.int8]], first: int, was: tuple[int, int]
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    laid: tuple[list[int], list[int]] = ([], [])
    left = [one.count + 1, other.count + 1]
    for slot in range(first + len(came) - 1, first - 1, -1):
        step = was
        was = divmod(int(came[slot - first][left[0], left[1], step[0], step[1]]), 2)
        for number, (each, charged) in enumerate(zip((one, other), step, strict=True)):
            if charged:
                left[number] -= 1
                if slot != each.start:
                    laid[number].append(slot)
    return tuple(reversed(laid[0])), tuple(reversed(laid[1]))
