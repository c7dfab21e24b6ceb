"""Water: what a charge costs a cell, how many charges a reserve lasts, and what the litres say about the charger."""

import math
from dataclasses import dataclass

from scrubwright.battery.gassing import WATER_KG_PER_AH, split_water_kg
from scrubwright.battery.pack import Chemistry, Pack
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.constants import WATER_KG_PER_L
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

# What dries off with the gas and from the warm pack, as a share of what is split: middle and ends, from memory.
EVAPORATED_FRACTION, EVAPORATED_LOW_FRACTION, EVAPORATED_HIGH_FRACTION = 0.15, 0.10, 0.20
# An eighth of an inch, as two makers' watering guides have it.
USUAL_MARK_M = 0.0254 / 8
# Litres say that the charger overcharges more than it should from this much on (ours).
MUCH_MORE_RATIO = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterUse:
    """What one charge costs.

    Parameters
    ----------
    split_cell_kg
        Split in each cell, by Faraday's law [kg].
    cells
        In the pack.
    """

    split_cell_kg: float
    cells: int

    @property
    def cell_kg(self) -> float:
        """Gone from each cell, with what usually dries off [kg]."""
        return self.split_cell_kg * (1 + EVAPORATED_FRACTION)

    @property
    def cell_l(self) -> float:
        """The same in litres [L]."""
        return self.cell_kg / WATER_KG_PER_L

    @property
    def cell_low_l(self) -> float:
        """Gone from each cell where little dries off [L]."""
        return self.split_cell_kg * (1 + EVAPORATED_LOW_FRACTION) / WATER_KG_PER_L

    @property
    def cell_high_l(self) -> float:
        """Gone from each cell where much dries off [L]; plan the watering by it."""
        return self.split_cell_kg * (1 + EVAPORATED_HIGH_FRACTION) / WATER_KG_PER_L

    @property
    def pack_l(self) -> float:
        """Gone from the whole pack [L]."""
        return self.cell_l * self.cells

    @property
    def figure(self) -> Sourced:
        """The pack's litres as people are told them."""
        return Sourced(
            name="water_per_charge_l",
            value=self.pack_l,
            origin=Origin.ESTIMATE,
            detail=Sentence("what the overcharge splits, and a tenth to a fifth more that dries off"),
            low=self.cell_low_l * self.cells,
            high=self.cell_high_l * self.cells,
        )


def water_per_charge(pack: Pack, out_ah: float, charge_factor_ratio: float) -> WaterUse:
    """Water that one charge costs a flooded pack.

    What goes in beyond what was taken out splits water; sulphuric acid is not used up, so only water is ever added.

    Parameters
    ----------
    pack
        A flooded one.
    out_ah
        Ampere-hours taken out since the charge before [Ah, >= 0].
    charge_factor_ratio
        Ampere-hours in over ampere-hours out [>= 1].

    Raises
    ------
    BadInput
        A sealed pack, or a value outside these ranges.

    Notes
    -----
    Method: docs/explanation/charging-and-water.md; checked in tests/worked/test_battery_watering.py.
    """
    check_takes_water(pack)
    _check_factor(charge_factor_ratio)
    check_zero_or_more("out_ah", out_ah)
    return WaterUse(split_cell_kg=split_water_kg(out_ah * (charge_factor_ratio - 1), 1), cells=pack.cells)


def watering_interval_cycles(reserve_l: float, cell_l: float) -> int:
    """How many charges the water between mark and plates lasts, in whole charges.

    Parameters
    ----------
    reserve_l
        Of one cell [L, > 0].
    cell_l
        Gone from it in one charge [L, > 0]; hand in the thirstiest cell's.

    Notes
    -----
    A charge that is not finished is counted as one. The maker's monthly check stays, whatever this says.
    """
    check_above_zero("reserve_l", reserve_l)
    check_above_zero("cell_l", cell_l)
    # Reserves such as 0.3 over 0.1 are a whole number of charges, although not in binary.
    return math.floor(reserve_l / cell_l + 1e-9)


def charge_factor_by_water_ratio(
    water_l: float, cells: int, out_ah: float, evaporated_fraction: float = EVAPORATED_FRACTION
) -> float:
    """Charge factor that explains the water put in.

    The inverse of `water_per_charge` over many charges: level to the same mark, count the litres until it is there
    again, and the ampere-hours worked in between.

    Parameters
    ----------
    water_l
        Put into the whole pack between two fillings to the mark [L, >= 0].
    cells
        In series [>= 1].
    out_ah
        Taken out in between, all shifts together [Ah, > 0].
    evaporated_fraction
        What dried off, as a share of what was split [>= 0].

    Raises
    ------
    BadInput
        A value outside these ranges.

    Notes
    -----
    Over fewer than about ten charges a millimetre at the mark weighs more than what was split.

    **Source** Faraday's law; round trip in tests/properties/test_battery_charging_laws.py.

    Examples
    --------
    >>> round(charge_factor_by_water_ratio(3.68, 18, 30 * 135.0, evaporated_fraction=0.0), 2)
    1.15
    """
    check_zero_or_more("water_l", water_l)
    check_above_zero("out_ah", out_ah)
    check_zero_or_more("evaporated_fraction", evaporated_fraction)
    if cells < 1:
        raise BadInput("{cells} cells cannot gas; enter how many the pack has in series, from 1 on.", cells=cells)
    split_kg = water_l * WATER_KG_PER_L / (1 + evaporated_fraction)
    return 1 + split_kg / (WATER_KG_PER_AH * cells * out_ah)


def water_use_remark(learned_ratio: float, expected_ratio: float) -> Sentence | None:
    """What it means that a pack drinks more than its charge factor explains; None where it does not."""
    _check_factor(learned_ratio)
    _check_factor(expected_ratio)
    if learned_ratio < expected_ratio + MUCH_MORE_RATIO:
        return None
    return Sentence(
        "The water put in tells of {learned_ratio} ampere-hours in for each one out, expected are {expected_ratio}. "
        "The charger overcharges, the pack runs hot, its plates are old, or a case leaks: look under the pack, then "
        "have the charger checked.",
        learned_ratio=learned_ratio,
        expected_ratio=expected_ratio,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WateringRule:
    """When and how to add water.

    Parameters
    ----------
    steps
        In order.
    cautions
        What bites while doing it.
    """

    steps: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]


def watering_rule(pack: Pack) -> WateringRule:
    """When and how to water a flooded pack: cover bare plates only, charge, then fill to the mark.

    Handbooks disagree: armies and line crews water before the charge, battery makers after it. Before, acid rises out
    of the caps as the pack gasses; after, plates that are bare dry out and burn. This order does neither.

    Raises
    ------
    BadInput
        A sealed pack.
    """
    check_takes_water(pack)
    return WateringRule(
        steps=(
            Sentence(
                "Before the charge, look into each cell. If plates are bare, add just enough water to cover them."
            ),
            Sentence("Charge the pack fully, caps in place, covers open."),
            Sentence("After the charge, fill each cell to {mark}.", mark=mark_told(pack)),
            Sentence("Write down how much you put in. Read no gravity until after the next full charge."),
        ),
        cautions=(
            Sentence(
                "Before you open a cap: charger off, key out, pack unplugged, brake set. No flame, phone or tool on it."
            ),
            Sentence("Wear a face shield, acid gloves and an apron. Know where the eyewash is, and that it runs."),
            Sentence("Only distilled or deionised water. Never acid, never tap water, never up to the cap."),
        ),
    )


def mark_told(pack: Pack) -> Sentence:
    """Where to fill to, and whose word that is: the maker's mark, or common practice where it is not known."""
    if pack.mark_m is not None:
        return Sentence("{mark_m} below the vent well, as its maker says", mark_m=pack.mark_m)
    return Sentence("3 mm (1/8 in) below the vent well (common practice; its maker's mark wins)")


def interval_figure(pack: Pack, use: WaterUse) -> Sourced:
    """Charges between waterings as people are told them.

    Raises
    ------
    NoAnswer
        The reserve of a cell is not known, or nothing is lost.
    """
    if pack.reserve_l is None or not use.cell_l > 0:
        raise NoAnswer(
            "How often {pack} needs water cannot be told: enter the water of one cell between the mark and the top of "
            "the plates, and a charge that overcharges.",
            pack=pack.name,
        )
    return Sourced(
        name="watering_interval_cycles",
        value=float(watering_interval_cycles(pack.reserve_l, use.cell_l)),
        origin=Origin.ESTIMATE,
        detail=Sentence("reserve of a cell over what a charge costs it; look every month all the same"),
        low=float(watering_interval_cycles(pack.reserve_l, use.cell_high_l)),
        high=float(watering_interval_cycles(pack.reserve_l, use.cell_low_l)),
    )


def check_takes_water(pack: Pack) -> None:
    """Refuse water for a pack that must never be opened.

    Raises
    ------
    BadInput
        It is not flooded.
    """
    if pack.chemistry is not Chemistry.FLOODED:
        raise BadInput(
            "{pack} is {chemistry}: it takes no water, and opening it ruins it. Leave its caps shut.",
            pack=pack.name,
            chemistry=pack.chemistry,
        )


def _check_factor(charge_factor_ratio: float) -> None:
    if not 1 <= charge_factor_ratio < math.inf:
        raise BadInput(
            "The charge factor is {given}; enter ampere-hours in over ampere-hours out, from 1 to 1.5, such as 1.15.",
            given=str(charge_factor_ratio),
        )
