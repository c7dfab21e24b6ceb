"""The charging file: its tables and keys, what each means, and where to find it.

The unit of a number is the last part of its key; a text such as "380 cfm" brings its own. A key's sentence is what
people read in the blank file, the reference page and the schema.
"""

from datetime import datetime, time
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from scrubwright.battery.pack import ChargeProfile, Chemistry
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figure_ranges import (
    AIR,
    AMPERE_HOURS,
    AMPERES,
    CUBIC_METRES,
    HOURS,
    KILOWATT_HOURS,
    PERCENT,
    PRICE,
    SQUARE_CENTIMETRES,
    Range,
)
from scrubwright.paperwork.pack_file import Count
from scrubwright.paperwork.toml_keys import Name, Table, Written


def clock_text(value: Any) -> Any:
    """A time as text; TOML has times of its own, written without quotes, and both ways are read."""
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes")
    if isinstance(value, time):
        return value.isoformat(timespec="minutes")
    return value


Clock = Annotated[str, BeforeValidator(clock_text)]
# Keys that may be left out of the file, but are asked of some machines.
ASKED_OF_SOME = frozenset(
    {
        "home",
        "ready_by",
        "machine.home",
        "machine.ready_by",
        "machine.charge_left_percent",
        "machine.mains_a",
        "machine.charge_h",
        "machine.energy_kwh",
        "machine.cells",
        "machine.capacity_ah",
    }
)


class MachineTable(Table):
    """One machine that charges tonight; repeat for each."""

    name: Annotated[Name, Sentence("What your people call this machine.")] = Field(examples=["Wide disc"])
    home: Annotated[
        Clock | None,
        Sentence("From when on this one can be plugged in; where it is left out, home at the top of the file holds."),
    ] = Field(default=None, examples=["22:30"])
    ready_by: Annotated[
        Clock | None,
        Sentence("When this one must be done; where it is left out, ready_by at the top of the file holds."),
    ] = Field(default=None, examples=["06:30"])
    pack: Annotated[
        Name | None,
        Sentence(
            "Its pack file, with the charger in it; seen from the folder of this file. It takes the place of the "
            "figures below; those given all the same come first."
        ),
    ] = Field(default=None, examples=["packs/wide_disc.toml"])
    charge_left_percent: Annotated[
        Written | None,
        Range(name="charge_fraction", kind=PERCENT, low=0, high=99),
        Sentence("Charge left when it is plugged in; asked with a pack file. The display, or a gravity after work."),
    ] = Field(default=None, examples=[30])
    mains_a: Annotated[
        Written | None,
        Range(name="mains_a", kind=AMPERES, low=0.5, high=100),
        Sentence("Most amperes that its charger takes from the wall; asked without a pack file. The charger's plate."),
    ] = Field(default=None, examples=[11.6])
    charge_h: Annotated[
        Written | None,
        Range(name="charge_h", kind=HOURS, low=0.25, high=48),
        Sentence(
            "How long it charges tonight; asked without a pack file. Your log of plug-in and finish; take the longest "
            "of the last nights."
        ),
    ] = Field(default=None, examples=[8])
    gassing_from_h: Annotated[
        Written | None,
        Range(name="gassing_from_h", kind=HOURS, low=0, high=48),
        Sentence(
            "From how many hours after plug-in on it gasses; from then on its charge is never interrupted. Where it is "
            "left out, a sealed or lithium pack may be interrupted all along, and every other not at all."
        ),
    ] = Field(default=None, examples=[4.5])
    energy_kwh: Annotated[
        Written | None,
        Range(name="energy_wh", kind=KILOWATT_HOURS, low=0.05, high=200),
        Sentence("What the charge takes from the wall; asked where prices are given. A meter in the plug."),
    ] = Field(default=None, examples=[11])
    chemistry: Annotated[
        Chemistry | None,
        Sentence("flooded (has caps to fill water), AGM, gel or lithium, for the air of the room. The pack's label."),
    ] = Field(default=None, examples=["flooded"])
    profile: Annotated[
        ChargeProfile | None,
        Sentence(
            "Letters on the charger's plate, for the air of the room; where they or the kind of pack are left out, the "
            "worst is taken."
        ),
    ] = Field(default=None, examples=["IUIa"])
    cells: Annotated[
        Count | None,
        Sentence("Cells in series, 18 for 36 V; asked where the air of the room is limited. The pack's label, halved."),
    ] = Field(default=None, examples=[18])
    capacity_ah: Annotated[
        Written | None,
        Range(name="capacity_ah", kind=AMPERE_HOURS, low=1, high=5000),
        Sentence("Rated ampere-hours, over five hours; asked where the air of the room is limited. The pack's label."),
    ] = Field(default=None, examples=[240])
    measured: Annotated[
        tuple[str, ...],
        Sentence("Figures of this charge that you measured or logged, as key."),
    ] = Field(default=(), examples=[["charge_h"]])
    from_memory: Annotated[
        tuple[str, ...],
        Sentence("Figures of this charge that nobody looked up, as key."),
    ] = Field(default=(), examples=[["mains_a"]])


class CircuitTable(Table):
    """One circuit with its breaker; repeat for each."""

    name: Annotated[Name, Sentence("What the panel calls this circuit.")] = Field(examples=["Panel B, 7"])
    breaker_a: Annotated[
        Written,
        Range(name="breaker_a", kind=AMPERES, low=5, high=400),
        Sentence("Amperes stamped on its breaker. Chargers together may draw 80 percent of them."),
    ] = Field(examples=[20])
    other_load_a: Annotated[
        Written,
        Range(name="other_load_a", kind=AMPERES, low=0, high=400),
        Sentence("Amperes of all else that runs on it at night, such as lights and a fridge."),
    ] = Field(default=0, examples=[1.5])
    machines: Annotated[
        tuple[Name, ...],
        Sentence("The machines whose chargers can be plugged in there; where it is left out, all of them."),
    ] = Field(default=(), examples=[["Wide disc"]])


class TariffTable(Table):
    """One price of energy and when it begins, every day; repeat for each. Without prices, early counts."""

    begins: Annotated[Clock, Sentence("When this price begins; it holds until the next one does.")] = Field(
        examples=["22:00"]
    )
    price_per_kwh: Annotated[
        Written,
        Range(name="price_money_per_kwh", kind=PRICE, low=0, high=100_000),
        Sentence("Price of one kilowatt-hour. The bill."),
    ] = Field(examples=[0.14])


class RoomTable(Table):
    """The room in which they charge, for its air. May be left out."""

    free_volume_m3: Annotated[
        Written | None,
        Range(name="free_m3", kind=CUBIC_METRES, low=1, high=100_000),
        Sentence("Length times width times height, less what stands in it."),
    ] = Field(default=None, examples=[90])
    openings_cm2: Annotated[
        Written | None,
        Range(name="opening_m2", kind=SQUARE_CENTIMETRES, low=0, high=100_000),
        Sentence(
            "Free area of the inlet low down, or of the outlet up high on the opposite wall: the smaller one. Where it "
            "is given, no more machines charge at once than its air allows."
        ),
    ] = Field(default=None, examples=[600])
    air_m3_per_h: Annotated[
        Written | None,
        Range(name="air_m3_per_h", kind=AIR, low=0, high=100_000),
        Sentence(
            "Air that a fan changes, as measured or on its plate, where it runs all night; instead of openings_cm2. No "
            "more machines charge at once than it allows."
        ),
    ] = Field(default=None, examples=[60])


class ChargingFile(Table):
    """Which machines charge tonight, and on which circuits."""

    home: Annotated[
        Clock | None,
        Sentence("From when on machines can be plugged in; asked where one has no time of its own."),
    ] = Field(default=None, examples=["22:00"])
    ready_by: Annotated[
        Clock | None,
        Sentence("When machines must be done: the first such time after home; asked where one has no time of its own."),
    ] = Field(default=None, examples=["06:00"])
    may_pause: Annotated[
        bool,
        Sentence(
            "false where a charge, once begun, must go on to its end. true where a timer or somebody on site can "
            "interrupt it before it gasses."
        ),
    ] = Field(default=True, examples=[False])
    machine: Annotated[tuple[MachineTable, ...], Sentence("One machine that charges tonight; repeat for each.")]
    circuit: Annotated[tuple[CircuitTable, ...], Sentence("One circuit with its breaker; repeat for each.")]
    tariff: Annotated[
        tuple[TariffTable, ...],
        Sentence(
            "One price of energy and when it begins, every day; repeat for each. Without prices, being done early "
            "counts. May be left out."
        ),
    ] = ()
    room: Annotated[RoomTable | None, Sentence("The room in which they charge, for its air. May be left out.")] = None
