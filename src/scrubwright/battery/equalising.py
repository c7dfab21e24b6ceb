"""Equalising: whether a pack needs it, how it is done, and when it must stop."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

import numpy as np

from scrubwright.battery.charge_limits import CHARGE_V_REFERENCE_K, HeldAt, held_cell_v
from scrubwright.battery.pack import ChargeProfile, Charger, Chemistry, Pack
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import KELVIN_AT_0_C

# Between the highest and the lowest cell after a full charge: deep-cycle practice, a boat engine's manual of 1994.
SPREAD_LIMIT_RATIO = 0.030
# Less left than this is a deep discharge (traction practice: not below a fifth).
DEEP_FRACTION = 0.20
# Charges in a row that ended early, and charges by steady voltage alone, that call for it (ours; monthly practice).
INCOMPLETE_CHARGES, HELD_CHARGES = 3, 20

MOST_A_PER_AH = 0.05
# 115 °F, as printed on a page on equalising flooded packs.
HOTTEST_K = KELVIN_AT_0_C + 46
# From memory; the makers' own limit wins.
TIME_LIMIT_H = 6.0
# The lowest cells count as no longer rising when their mean gains less than this over three readings (ours).
RISE_RATIO = 0.002
READINGS_ALIKE = 3
# Readings closer together than this are no hourly readings.
LEAST_APART_H = 0.75


class EqualiseVerdict(StrEnum):
    """Whether to equalise."""

    EQUALISE = "equalise"
    NOT_NOW = "do not equalise now"
    NEVER = "never equalise"


@dataclass(frozen=True, slots=True, kw_only=True)
class EqualiseLook:
    """Whether and how to equalise.

    Parameters
    ----------
    verdict
        Equalise, not now, or never for this kind of pack.
    why
        One line for each reason.
    steps, cautions
        How, in order, and what bites while doing it; empty unless the verdict is to equalise.
    """

    verdict: EqualiseVerdict
    why: tuple[Sentence, ...]
    steps: tuple[Sentence, ...] = ()
    cautions: tuple[Sentence, ...] = ()


def equalise_look(
    pack: Pack,
    charger: Charger | None,
    *,
    spread_ratio: float | None = None,
    deepest_fraction: float | None = None,
    incomplete_charges: int = 0,
    charges_since: int | None = None,
    limit_ratio: float = SPREAD_LIMIT_RATIO,
) -> EqualiseLook:
    """Whether a pack needs an equalising charge, by its condition and not by the calendar.

    A long, gentle overcharge brings up cells that lag and mixes acid that has settled. It also makes gas, heat and
    worn grids, so it needs a reason.

    Parameters
    ----------
    pack, charger
        The charger may not be known.
    spread_ratio
        Between highest and lowest cell after a full charge, gravity corrected [>= 0]; None where not read.
    deepest_fraction
        Least charge left since the last equalising [0 to 1].
    incomplete_charges
        In a row up to now, that ended before the charger's own end.
    charges_since
        Since the last equalising; None where not logged.
    limit_ratio
        Spread from which on to equalise; the battery maker's value wins.

    Raises
    ------
    BadInput
        A spread below zero, or a limit of zero or less.

    Notes
    -----
    The reasons are those of a maker's leaflet for traction cells: after a deep discharge, after repeated incomplete
    charges, and where the charger only holds a voltage; and the spread of gravities of deep-cycle practice.
    """
    check_above_zero("limit_ratio", limit_ratio)
    if pack.chemistry is not Chemistry.FLOODED:
        return EqualiseLook(verdict=EqualiseVerdict.NEVER, why=(_why_never(pack),))
    why = []
    if spread_ratio is not None:
        check_zero_or_more("spread_ratio", spread_ratio)
        if spread_ratio > limit_ratio:
            why.append(
                Sentence(
                    "After a full charge the cells lie {spread_ratio} apart; more than {limit_ratio} calls for it.",
                    spread_ratio=spread_ratio,
                    limit_ratio=limit_ratio,
                )
            )
    if deepest_fraction is not None and deepest_fraction < DEEP_FRACTION:
        why.append(
            Sentence(
                "It was worked down to {deepest_fraction}; that deep, cells lag.", deepest_fraction=deepest_fraction
            )
        )
    if incomplete_charges >= INCOMPLETE_CHARGES:
        why.append(Sentence("{count} charges in a row were cut short.", count=incomplete_charges))
    held = charger is not None and charger.profile is ChargeProfile.IUOU and not charger.circulates
    if held and charges_since is not None and charges_since >= HELD_CHARGES:
        why.append(
            Sentence(
                "The charger only holds a voltage, which leaves the acid unmixed, and {count} charges have passed.",
                count=charges_since,
            )
        )
    if not why:
        return EqualiseLook(verdict=EqualiseVerdict.NOT_NOW, why=(_why_not_now(spread_ratio, limit_ratio),))
    return EqualiseLook(
        verdict=EqualiseVerdict.EQUALISE, why=tuple(why), steps=_steps(pack), cautions=EQUALISE_CAUTIONS
    )


def _why_never(pack: Pack) -> Sentence:
    if pack.chemistry is Chemistry.LITHIUM:
        return Sentence("A lithium pack evens its cells out by itself; overcharge can set it on fire.")
    return Sentence(
        "This pack is {chemistry}, and sealed: overcharge dries it out, and the water cannot be given back.",
        chemistry=pack.chemistry,
    )


def _why_not_now(spread_ratio: float | None, limit_ratio: float) -> Sentence:
    if spread_ratio is None:
        return Sentence("No cell was read after a full charge, and nothing else calls for it. Read the cells first.")
    return Sentence(
        "The cells lie {spread_ratio} apart after a full charge; up to {limit_ratio} equalising wears more than it "
        "mends.",
        spread_ratio=spread_ratio,
        limit_ratio=limit_ratio,
    )


EQUALISE_CAUTIONS = (
    Sentence("Flooded packs only. Never a sealed, gel, AGM or lithium one."),
    Sentence(
        "Air the room well: it makes more hydrogen than a usual charge. No flame, no spark, no phone on the pack."
    ),
    Sentence(
        "Wear a face shield, acid gloves and an apron at every reading. Know where the eyewash is, and that it runs."
    ),
    Sentence("Stay with it. Never move the leads while the charger is on."),
    Sentence("Rotten-egg smell, hissing, a hot or swollen case, smoke: switch off at the wall, leave, air the room."),
)


def _steps(pack: Pack) -> tuple[Sentence, ...]:
    return (
        Sentence("Charge the pack fully in the usual way first."),
        Sentence("See that the plates are covered in every cell. Keep the caps in place and the covers open."),
        Sentence("Read every cell and the electrolyte's temperature, and write them down."),
        Sentence(
            "Start the charger's equalise setting: at most {most_a}, and {pack_v} with the electrolyte at "
            "{reference_k}. If it has none, ask its maker; do not build one.",
            most_a=MOST_A_PER_AH * pack.capacity_ah,
            pack_v=pack.cells * held_cell_v(HeldAt.EQUALISE, CHARGE_V_REFERENCE_K),
            reference_k=CHARGE_V_REFERENCE_K,
        ),
        Sentence(
            "Each hour switch the charger off and read again. Stop when the lowest cells have not risen over "
            "{readings} readings, at {hottest_k}, or after {limit_h}, whichever is first.",
            readings=READINGS_ALIKE,
            hottest_k=HOTTEST_K,
            limit_h=TIME_LIMIT_H,
        ),
        Sentence("Let the pack rest an hour, fill the cells to the mark, and read them after the next full charge."),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class EqualiseReading:
    """One hourly look while equalising.

    Parameters
    ----------
    at_h
        Since the start [h, >= 0].
    gravities_ratio
        One a cell, corrected to one temperature, since the pack warms as it gasses; None for a cell not read.
    electrolyte_k
        Of one cell or more [K]; at least one.
    boils
        Whether a person says that a cell boils violently.
    hot_cell
        Whether a person says that one cell is hotter than the others.
    """

    at_h: float
    gravities_ratio: tuple[float | None, ...]
    electrolyte_k: tuple[float, ...]
    boils: bool = False
    hot_cell: bool = False

    def __post_init__(self) -> None:
        check_zero_or_more("at_h", self.at_h)
        if not self.electrolyte_k or not all(
            KELVIN_AT_0_C - 20 < each < KELVIN_AT_0_C + 90 for each in self.electrolyte_k
        ):
            raise BadInput(
                "The reading at {at_h} has no electrolyte temperature that can be; measure at least one cell, and "
                "enter it.",
                at_h=self.at_h,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class EqualiseCall:
    """Whether to stop now, and why."""

    stop: bool
    reason: Sentence


def equalise_stop(readings: Sequence[EqualiseReading], limit_h: float = TIME_LIMIT_H) -> EqualiseCall:
    """Whether an equalising charge must stop now.

    What a person sees comes first, then heat, then time; then whether it still does any good.

    Parameters
    ----------
    readings
        From the start on.
    limit_h
        The charger's or the battery maker's limit wins [h, > 0].

    Raises
    ------
    BadInput
        Readings out of order or with different counts of cells, or a limit that is none.

    Notes
    -----
    No rise over three hourly readings: US Army TM 10-3930-644, page 249; 115 °F: a page on equalising. How much counts
    as a rise, which cells are the lowest (a quarter, at the start), and the time limit are ours.
    """
    check_above_zero("limit_h", limit_h)
    if not readings:
        return EqualiseCall(
            stop=False, reason=Sentence("No reading yet: read every cell and the temperature before it starts.")
        )
    counts = {len(each.gravities_ratio) for each in readings}
    times = [each.at_h for each in readings]
    if len(counts) > 1 or any(b <= a for a, b in pairwise(times)):
        raise BadInput(
            "The readings of this equalising charge do not follow each other; enter them in order, each with a value "
            "for the same cells."
        )
    last = readings[-1]
    if last.boils or last.hot_cell:
        return EqualiseCall(
            stop=True,
            reason=Sentence("A cell boils hard or runs hotter than the others: stop, and have that cell looked at."),
        )
    if max(last.electrolyte_k) >= HOTTEST_K:
        return EqualiseCall(
            stop=True,
            reason=Sentence(
                "A cell is at {cell_k}; from {hottest_k} on the charge must stop. Let the pack cool.",
                cell_k=max(last.electrolyte_k),
                hottest_k=HOTTEST_K,
            ),
        )
    if last.at_h >= limit_h:
        return EqualiseCall(
            stop=True,
            reason=Sentence("It has run for {at_h}; the limit is {limit_h}.", at_h=last.at_h, limit_h=limit_h),
        )
    if _no_longer_rises(readings):
        return EqualiseCall(
            stop=True,
            reason=Sentence(
                "The lowest cells have not risen over {readings} readings: it is done.", readings=READINGS_ALIKE
            ),
        )
    return EqualiseCall(
        stop=False, reason=Sentence("The lowest cells may still rise: go on, and read again in an hour.")
    )


def _no_longer_rises(readings: Sequence[EqualiseReading]) -> bool:
    """Whether the lowest cells stood still over the last three hourly readings."""
    hourly = [readings[-1]]
    for each in reversed(readings[:-1]):
        if hourly[-1].at_h - each.at_h >= LEAST_APART_H:
            hourly.append(each)
    if len(hourly) < READINGS_ALIKE:
        return False
    told = hourly[:READINGS_ALIKE]
    # Cells that are not read each hour cannot tell.
    each_hour = [
        cell
        for cell in range(len(readings[0].gravities_ratio))
        if all(each.gravities_ratio[cell] is not None for each in (*told, readings[0]))
    ]
    first = [(gravity, cell) for cell, gravity in enumerate(readings[0].gravities_ratio) if gravity is not None]
    # A few cells will do, with the lowest of all at the start among them.
    if not first or min(first)[1] not in each_hour:
        return False
    began = {cell: readings[0].gravities_ratio[cell] or 0.0 for cell in each_hour}
    lowest = sorted(each_hour, key=lambda cell: began[cell])[: max(1, len(first) // 4)]
    means = [float(np.mean([each.gravities_ratio[cell] or 0.0 for cell in lowest])) for each in told]
    return max(means[:-1]) - means[-1] <= RISE_RATIO
