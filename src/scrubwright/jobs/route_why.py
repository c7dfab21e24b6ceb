"""Why the night takes what it takes, in lines that a person can say aloud."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scrubwright.floor.lanes import Strip
from scrubwright.floor.vehicle import Vehicle
from scrubwright.measures.sentence import Sentence

MOST_AISLES = 3
# Decks come in steps; advice names the next full 5 cm.
DECK_STEP_M = 0.05
LEAST_SAVING_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AisleAdvice:
    """Aisles of one width and what a pass less would need.

    Parameters
    ----------
    aisle_m
        Wall to wall [m].
    passes
        Passes it takes now.
    length_m
        Length of all such aisles [m].
    less_overlap_m
        Overlap to give up for a pass less [m]; None where no overlap would do.
    deck_m
        Deck that would save a pass at the same overlap [m].
    saving_s
        Time that a pass less saves in all of them [s].
    """

    aisle_m: float
    passes: int
    length_m: float
    less_overlap_m: float | None
    deck_m: float
    saving_s: float


def aisle_advice(strips: Sequence[Strip], vehicle: Vehicle, lane_start_s: float) -> tuple[AisleAdvice, ...]:
    """Widths whose passes were rounded up, the dearest first.

    With n passes over a need b, n - 1 passes do where the overlap falls to ((n - 1) w - b) / (n - 2),
    or the deck grows to (b - w) / (n - 2) + overlap (the need grows with the deck).

    Parameters
    ----------
    strips
        Aisles of the lane plan.
    vehicle
        The machine.
    lane_start_s
        What a lane more costs beyond its length [s, >= 0].

    Notes
    -----
    **Source** ours: the lane model solved for overlap and for width; checked in
    tests/worked/test_aisle_advice.py.
    """
    alike: dict[tuple[float, int], list[Strip]] = {}
    for strip in strips:
        alike.setdefault((round(strip.need_m, 2), strip.passes), []).append(strip)
    found = []
    for (need_m, passes), group in alike.items():
        if passes < 3:
            continue
        overlap_m = ((passes - 1) * vehicle.deck_width_m - need_m) / (passes - 2)
        deck_m = (need_m - vehicle.deck_width_m) / (passes - 2) + vehicle.overlap_m
        length_m = math.fsum(strip.length_m for strip in group)
        found.append(
            AisleAdvice(
                aisle_m=need_m + 2 * vehicle.half_gauge_m - vehicle.deck_width_m,
                passes=passes,
                length_m=length_m,
                less_overlap_m=vehicle.overlap_m - overlap_m if 0 <= overlap_m < vehicle.overlap_m else None,
                deck_m=math.ceil(deck_m / DECK_STEP_M - 1e-9) * DECK_STEP_M,
                saving_s=length_m / vehicle.working_speed_m_per_s + lane_start_s * len(group),
            )
        )
    return tuple(sorted(found, key=lambda each: -each.saving_s))


def aisle_lines(advice: Sequence[AisleAdvice], deck_width_m: float) -> tuple[Sentence, ...]:
    """The advice worth saying: where a little less overlap or the next wider deck saves a pass.

    Parameters
    ----------
    advice
        From `aisle_advice`.
    deck_width_m
        This machine's deck [m].
    """
    lines = []
    for each in advice:
        near = each.deck_m <= deck_width_m + 2 * DECK_STEP_M + 1e-9
        if each.saving_s < LEAST_SAVING_S or not (near or each.less_overlap_m is not None):
            continue
        start = {"aisle_m": each.aisle_m, "passes": each.passes, "fewer": each.passes - 1, "saving_s": each.saving_s}
        if each.less_overlap_m is None:
            lines.append(
                Sentence(
                    "Aisle {aisle_m} takes {passes} passes with this deck; {fewer} with a {deck_m} deck: saves "
                    "{saving_s}.",
                    **start,
                    deck_m=each.deck_m,
                )
            )
        else:
            lines.append(
                Sentence(
                    "Aisle {aisle_m} takes {passes} passes with this deck; {fewer} with {less_m} less overlap "
                    "or a {deck_m} deck: "
                    "saves {saving_s}.",
                    **start,
                    less_m=each.less_overlap_m,
                    deck_m=each.deck_m,
                )
            )
    return tuple(lines[:MOST_AISLES])
