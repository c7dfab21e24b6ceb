"""The pack file: its tables and keys, what each means, and where to find it on the pack or in its papers.

The unit of a number is the last part of its key; a text such as "77 °F" brings its own. A key's
sentence is what people read in the blank file, the reference page and the schema.
"""

from enum import StrEnum
from typing import Annotated, Any

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from scrubwright.battery.pack import ChargeProfile, Chemistry
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.instruments import GravityScale
from scrubwright.paperwork.toml_keys import Name, Table, Written


class GravityTable(StrEnum):
    """Which way from gravity to charge the pack goes."""

    OWN = "own"
    FULL_1265 = "1.265 table"
    FULL_1280 = "1.280 table"


def _count(value: Any) -> Any:
    # TOML tells yes-or-no from a number; Python counts true as 1.
    if isinstance(value, bool):
        raise PydanticCustomError("count_type", "a count")
    return value


Count = Annotated[int, Field(ge=1, le=120), BeforeValidator(_count)]
# Keys that may be left out of the file, but are asked of some packs.
ASKED_OF_SOME = frozenset({"cut_off_v_per_cell", "gravity.full", "gravity.flat", "gravity.reference_temperature_c"})


class CapacityTable(Table):
    """One row of the rate table; repeat for each."""

    ah: Annotated[Written, Sentence("Ampere-hours that the pack gives. Label, or the rate table of its papers.")] = (
        Field(examples=[225])
    )
    over_h: Annotated[
        Written,
        Sentence(
            "Over how many hours it is emptied for that. Beside the ampere-hours: 5 for C5, 20 for C20; for minutes "
            "at a current, their hours."
        ),
    ] = Field(examples=[5])


class GravityTableOfPack(Table):
    """Gravity of a flooded pack: its full and flat ends."""

    family: Annotated[
        GravityTable,
        Sentence(
            "own: the two ends that the pack's papers print. 1.265 table, 1.280 table: published tables, where the "
            "papers give only the full gravity. Never mix them: 1.190 is half full in one, a quarter in the other."
        ),
    ] = Field(examples=["own"])
    full: Annotated[
        Written | None, Sentence("Gravity of the full pack, from its papers; asked for own, left out for a table.")
    ] = Field(default=None, examples=[1.28])
    flat: Annotated[
        Written | None,
        Sentence("Gravity of the discharged pack, from its papers; asked for own, left out for a table."),
    ] = Field(default=None, examples=[1.13])
    flat_charge_percent: Annotated[
        Written | None,
        Sentence(
            "Charge that is left at the flat gravity, for own: 20 where the papers print the gravity after a discharge "
            "of 80 percent. Without it, flat is taken as empty."
        ),
    ] = Field(default=None, examples=[20])
    scale: Annotated[
        GravityScale,
        Sentence(
            "SG or kg/L: what the hydrometer of this pack is marked in, and full and flat here. 1.280 kg/L is 1.284 SG."
        ),
    ] = Field(examples=["SG"])
    reference_temperature_c: Annotated[
        Written | None,
        Sentence(
            "Temperature that full and flat hold at. The pack's papers, never a guess: often 25 or 26.7 for blocks, 30 "
            "for traction cells. Asked for own, left out for a table, which has its own."
        ),
    ] = Field(default=None, examples=[25])


class LockOutTable(Table):
    """The machine's guard that stops the brushes at a low voltage. May be left out."""

    voltage_v: Annotated[
        Written, Sentence("Volts of the whole pack under load at which it acts. Handbook of the machine, settings.")
    ] = Field(examples=[31.5])
    delay_s: Annotated[
        Written, Sentence("For how long the volts must stay below before it acts. Handbook of the machine.")
    ] = Field(examples=[10])


class WaterTable(Table):
    """Water of a flooded pack. May be left out."""

    reserve_ml: Annotated[
        Written | None,
        Sentence("Water of one cell between the filling mark and the top of the plates. The pack's papers."),
    ] = Field(default=None, examples=[250])
    mark_mm: Annotated[
        Written | None,
        Sentence(
            "How far the filling mark lies below the vent well. The pack's papers; makers differ, so never guess."
        ),
    ] = Field(default=None, examples=[3])


class LifeTable(Table):
    """One point of the life curve in the pack's papers; repeat for each. May be left out."""

    depth_percent: Annotated[Written, Sentence("How deep each discharge goes. Life curve of the pack's papers.")] = (
        Field(examples=[60])
    )
    cycles: Annotated[
        Written, Sentence("How many such discharges until the pack holds 80 percent of its rating. Same curve.")
    ] = Field(examples=[700])


class ChargerTable(Table):
    """The charger of this pack. May be left out."""

    name: Annotated[Name, Sentence("What your people call the charger.")] = Field(examples=["Closet, left"])
    profile: Annotated[
        ChargeProfile,
        Sentence(
            "Letters on the charger's plate: I steady current, U steady voltage, W falling current, a ends by itself, "
            "o changes by itself."
        ),
    ] = Field(examples=["IUIa"])
    main_a: Annotated[Written, Sentence("Current that it starts with. The charger's plate.")] = Field(examples=[36])
    finish_a: Annotated[
        Written | None, Sentence("Current in the last, gassing part. The charger's papers, or clamp meter.")
    ] = Field(default=None, examples=[9])
    charge_factor: Annotated[
        Written | None,
        Sentence(
            "Ampere-hours put in over those taken out, as the maker of the charger or of the pack says; often 1.15."
        ),
    ] = Field(default=None, examples=[1.15])
    circulates: Annotated[
        bool,
        Sentence("true where the charger blows air through the electrolyte, which needs less overcharge."),
    ] = Field(default=False, examples=[False])
    mains_v: Annotated[Written | None, Sentence("Volts of the wall socket. The charger's plate.")] = Field(
        default=None, examples=[230]
    )
    mains_a: Annotated[Written | None, Sentence("Most amperes from the wall socket. The charger's plate.")] = Field(
        default=None, examples=[9.5]
    )
    efficiency_percent: Annotated[
        Written | None, Sentence("Share of the energy from the wall that reaches the pack. The charger's papers.")
    ] = Field(default=None, examples=[87])
    power_factor_percent: Annotated[
        Written | None, Sentence("Power factor at full current; 0.95 is 95 percent. The charger's papers.")
    ] = Field(default=None, examples=[95])


class PackFile(Table):
    """One battery pack with its charger."""

    name: Annotated[Name, Sentence("What your people call this pack.")] = Field(examples=["Market hall, pack 1"])
    chemistry: Annotated[
        Chemistry,
        Sentence("flooded (has caps to fill water), AGM, gel or lithium. The pack's label."),
    ] = Field(examples=["flooded"])
    cells: Annotated[
        Count,
        Sentence("Cells in series: half the volts on the label of a lead-acid pack, so 18 for 36 V; else as printed."),
    ] = Field(examples=[18])
    cells_per_block: Annotated[
        Count,
        Sentence("Cells in one case: its caps, counted. 1 for single cells, 3 for a 6 V block, 6 for a 12 V block."),
    ] = Field(examples=[3])
    rows: Annotated[
        tuple[tuple[Count, ...], ...],
        Sentence(
            "Where the cells sit, seen from above with the machine's front upward, row by row. Cell 1 is at the pack's "
            "positive end; count along the way of the current."
        ),
    ] = Field(default=(), examples=[[[1, 2, 3, 4, 5, 6], [12, 11, 10, 9, 8, 7], [13, 14, 15, 16, 17, 18]]])
    rated_temperature_c: Annotated[
        Written,
        Sentence(
            "Temperature that the rated ampere-hours hold at. The pack's papers: 25 for most blocks, 30 for traction "
            "cells."
        ),
    ] = Field(examples=[25])
    cut_off_v_per_cell: Annotated[
        Written | None,
        Sentence(
            "Volts of one cell at which the rated discharge ends, such as 1.75 or 1.70. The pack's papers; asked for "
            "every pack but lithium."
        ),
    ] = Field(default=None, examples=[1.75])
    resistance_mohm: Annotated[
        Written | None,
        Sentence(
            "Milliohms of the whole pack with its cables, measured on the machine: volts lost over amperes added, "
            "times 1000."
        ),
    ] = Field(default=None, examples=[14])
    measured: Annotated[
        tuple[str, ...], Sentence("Figures that you measured on this pack, as key, with its table before it.")
    ] = Field(default=(), examples=[["gravity.full", "water.reserve_ml"]])
    from_memory: Annotated[
        tuple[str, ...], Sentence("Figures that nobody looked up, as key, with its table before it.")
    ] = Field(default=(), examples=[["lock_out.delay_s"]])
    capacity: Annotated[
        tuple[CapacityTable, ...],
        Sentence("One row of the rate table: ampere-hours and over how many hours; repeat for each."),
    ]
    gravity: Annotated[
        GravityTableOfPack | None,
        Sentence("Gravity of a flooded pack; asked there, left out for every other."),
    ] = None
    lock_out: Annotated[
        LockOutTable | None,
        Sentence("The machine's guard that stops the brushes at a low voltage. May be left out."),
    ] = None
    water: Annotated[WaterTable | None, Sentence("Water of a flooded pack. May be left out.")] = None
    life: Annotated[
        tuple[LifeTable, ...],
        Sentence("One point of the life curve in the pack's papers; repeat for each. May be left out."),
    ] = ()
    charger: Annotated[ChargerTable | None, Sentence("The charger of this pack. May be left out.")] = None
