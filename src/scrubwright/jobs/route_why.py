"""Why the night takes what it takes, in lines that a person can say aloud."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scrubwright.floor.lanes import Strip
from scrubwright.floor.night import Night
from scrubwright.floor.site import ServicePoint
from scrubwright.floor.turns import lane_start_s
from scrubwright.floor.vehicle import Vehicle
from scrubwright.jobs.route_answer import LeftOut, MachineRoute
from scrubwright.measures.sentence import Sentence
from scrubwright.water.tanks import TankPair

MOST_AISLES = 3
# An aisle that saves less than this share of the night is said last.
WORTH_SAYING_FIRST_FRACTION = 0.01
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


def why_lines(
    planned: Night,
    vehicle: Vehicle,
    tanks: TankPair,
    routes: Sequence[MachineRoute],
    unreachable: Sequence[LeftOut],
    beyond: Sequence[ServicePoint],
    *,
    hand_strip_m2: float,
) -> tuple[Sentence, ...]:
    """Why the night is as it is, in the order of what a person can act on.

    Aisles that are worth it come first, then floor and drains out of reach, water, the strip for the
    hand tool, lane ends without room to turn, and last the aisles that save little.

    Parameters
    ----------
    planned, vehicle, tanks, routes
        The night, the machine, its tanks and its ways.
    unreachable, beyond
        Floor, and drains and taps, where it does not come.
    hand_strip_m2
        Floor along walls and racks that the deck does not cover [m2, >= 0].

    **Source** ours, see docs/explanation/route-for-tonight.md.
    """
    total_s = math.fsum(route.total_time_s for route in routes)
    advice = aisle_advice(planned.lanes.strips, vehicle, lane_start_s(vehicle))
    worth_s = WORTH_SAYING_FIRST_FRACTION * total_s
    first = aisle_lines([each for each in advice if each.saving_s >= worth_s], vehicle.deck_width_m)
    last = aisle_lines([each for each in advice if each.saving_s < worth_s], vehicle.deck_width_m)
    return (
        *first,
        *_reach_lines(unreachable, beyond),
        *_water_lines(tanks, routes, total_s),
        *_hand_lines(planned, vehicle, hand_strip_m2),
        *last[: MOST_AISLES - len(first)],
    )


def _reach_lines(unreachable: Sequence[LeftOut], beyond: Sequence[ServicePoint]) -> list[Sentence]:
    lines = []
    if unreachable:
        lines.append(
            Sentence(
                "{left_m2} of floor is out of reach, most of it at {name}: {reason}",
                left_m2=math.fsum(each.area_m2 for each in unreachable),
                name=unreachable[0].name,
                reason=unreachable[0].reason,
            )
        )
    lines.extend(
        Sentence("This machine does not come to {name}, so it is not used.", name=each.name) for each in beyond
    )
    return lines


def _water_lines(tanks: TankPair, routes: Sequence[MachineRoute], total_s: float) -> list[Sentence]:
    stops_s = math.fsum(route.stop_time_s for route in routes)
    lines = [
        Sentence(
            "{water_l} of solution goes down, {trip_l} a trip; emptying and filling take {stops_s}, "
            "{share_fraction} of the time.",
            water_l=math.fsum(route.water_used_l for route in routes),
            trip_l=tanks.trip_l,
            stops_s=stops_s,
            share_fraction=stops_s / total_s,
        )
    ]
    if tanks.recovery_ends_it:
        lines.append(
            Sentence("The recovery tank is full before the solution tank is empty; it sets the length of a trip.")
        )
    return lines


def _hand_lines(planned: Night, vehicle: Vehicle, hand_strip_m2: float) -> list[Sentence]:
    lines = []
    beside_m = vehicle.half_gauge_m - vehicle.deck_width_m / 2
    if beside_m > 0.02 and hand_strip_m2 > 1:
        lines.append(
            Sentence(
                "Along walls and racks the deck stays {beside_m} off; that strip, {strip_m2} in all, is for "
                "the hand tool.",
                beside_m=beside_m,
                strip_m2=hand_strip_m2,
            )
        )
    backing = int(np.count_nonzero(planned.net.back_m > 0))
    if backing:
        lines.append(
            Sentence(
                "{ends} lane ends lie where the machine cannot turn; it needs {aisle_m} to turn round and "
                "backs out there, deck and squeegee up.",
                ends=backing,
                aisle_m=vehicle.turning_aisle_m,
            )
        )
    return lines
