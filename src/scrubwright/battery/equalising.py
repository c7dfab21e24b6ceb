"""Equalising: whether a pack needs it, and how it is done."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from scrubwright.battery.charge_limits import CHARGE_V_REFERENCE_K, HeldAt, held_cell_v
from scrubwright.battery.pack import ChargeProfile, Charger, Chemistry, Pack
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
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
READINGS_ALIKE = 3


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
    steps
        How, in order; empty unless the verdict is to equalise.
    """

    verdict: EqualiseVerdict
    why: tuple[Sentence, ...]
    steps: tuple[Sentence, ...] = ()


def equalise_look(
    pack: Pack,
    charger: Charger | None,
    *,
    spread_ratio: float | None = None,
    gravities_ratio: Sequence[float | None] = (),
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
    gravities_ratio
        Of each cell then, None for one not read; empty where none was. They say which cells to read each hour.
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
    return EqualiseLook(verdict=EqualiseVerdict.EQUALISE, why=tuple(why), steps=_steps(pack, gravities_ratio))


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


def lowest_cells(gravities_ratio: Sequence[float | None], among: Iterable[int] | None = None) -> tuple[int, ...]:
    """The quarter of the cells that read lowest, counted from 1: by them an equalising charge is judged.

    Parameters
    ----------
    gravities_ratio
        Of each cell at the start, corrected to one temperature; None for one not read.
    among
        The cells to choose from; None for all. The quarter is one of all cells that were read.

    Notes
    -----
    None where no cell was read, or where the lowest of all is not to choose from.

    **Source** a quarter is ours: one cell alone is within the hydrometer's error, and all of them take an hour to read.

    Examples
    --------
    >>> lowest_cells((1.250, 1.235, None, 1.245, 1.251, 1.252, 1.250, 1.251, 1.252))
    (2, 4)
    """
    read = sorted((gravity, cell) for cell, gravity in enumerate(gravities_ratio, 1) if gravity is not None)
    chosen = {cell for _, cell in read} if among is None else set(among)
    if not read or read[0][1] not in chosen:
        return ()
    left = [cell for _, cell in read if cell in chosen]
    return tuple(sorted(left[: max(1, len(read) // 4)]))


def _cells(cells: Iterable[int]) -> Sentence:
    return Sentence("cells {cells}", cells=tuple(Sentence("{number}", number=cell) for cell in cells))


def _steps(pack: Pack, gravities_ratio: Sequence[float | None]) -> tuple[Sentence, ...]:
    lowest = lowest_cells(gravities_ratio)
    which = Sentence("the lowest quarter of the cells")
    if lowest:
        which = Sentence("cell {number}", number=lowest[0]) if len(lowest) == 1 else _cells(lowest)
    return (
        Sentence("Charge the pack fully in the usual way first."),
        Sentence("See that the plates are covered in every cell. Keep the caps in place and the covers open."),
        Sentence(
            "Read every cell and the electrolyte's temperature. Write them as the first row of a new readings file, "
            "moment «after charge»."
        ),
        Sentence(
            "Start the charger's equalise setting: at most {most_a}, and {pack_v} with the electrolyte at "
            "{reference_k}. If it has none, ask its maker; do not build one.",
            most_a=MOST_A_PER_AH * pack.capacity_ah,
            pack_v=pack.cells * held_cell_v(HeldAt.EQUALISE, CHARGE_V_REFERENCE_K),
            reference_k=CHARGE_V_REFERENCE_K,
        ),
        Sentence(
            "Each hour switch the charger off and read {which} again: one row more, moment «in between». Stop when "
            "they have not risen over {readings} readings, at {hottest_k}, or after {limit_h}, whichever is first.",
            which=which,
            readings=READINGS_ALIKE,
            hottest_k=HOTTEST_K,
            limit_h=TIME_LIMIT_H,
        ),
        Sentence("Let the pack rest an hour, fill the cells to the mark, and read them after the next full charge."),
    )
