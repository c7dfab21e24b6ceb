"""The plate file: its tables and keys, what each means, and where to find it on the machine.

The unit of a number is the last part of its key; a text such as "32 in" brings its own. A key's
sentence is what people read in the blank plate, the reference page and the schema.
"""

from typing import Annotated

from pydantic import Field

from scrubwright.machine.deck import DeckKind
from scrubwright.machine.parts import Counts, HeavyPart, Option
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.toml_keys import Name, Table, Written


class PressureTable(Table):
    """One pressure step of the deck; repeat the table for each, lightest first. May be left out."""

    name: Annotated[Name, Sentence("What the switch or display calls this step.")] = Field(examples=["normal"])
    down_force_kg: Annotated[
        Written, Sentence("How hard all brushes or pads together press on the floor. Handbook, technical data.")
    ] = Field(examples=[40])
    brush_current_a: Annotated[
        Written,
        Sentence("What all brush motors together draw at this step on an ordinary floor. Handbook, or clamp meter."),
    ] = Field(examples=[28])


class DeckTable(Table):
    """The scrub deck."""

    kind: Annotated[DeckKind, Sentence("How it scrubs: disc, cylindrical or orbital. Look under the skirt.")] = Field(
        examples=["disc"]
    )
    scrub_width_m: Annotated[
        Written,
        Sentence("Scrubbed width without side brushes. Handbook, or measure the wet track with the squeegee up."),
    ] = Field(examples=[0.8])
    ahead_of_rear_axle_m: Annotated[
        Written,
        Sentence(
            "From the rear axle forward to the middle of the deck. Tape measure along the floor; below zero "
            "where the deck sits behind the axle."
        ),
    ] = Field(examples=[0.45])
    offset_m: Annotated[
        Written,
        Sentence(
            "How far the middle of the deck sits to the right of the machine's middle line; below zero to the left."
        ),
    ] = Field(default=0, examples=[0])
    side_shift_m: Annotated[Written, Sentence("How far the deck can be slid out to the side to reach a wall.")] = Field(
        default=0, examples=[0]
    )
    overlap_m: Annotated[
        Written, Sentence("How much neighbouring lanes overlap. Take 0.03 for a steady driver, 0.08 for a new one.")
    ] = Field(default=0.05, examples=[0.05])
    side_brush_width_m: Annotated[
        Written | None,
        Sentence("What the side brush adds to the scrubbed width while it is down. Leave out without one."),
    ] = Field(default=None, examples=[0.2])
    pressure: Annotated[
        tuple[PressureTable, ...],
        Sentence("One pressure step of the deck; repeat for each, lightest first. May be left out."),
    ] = Field(default=())


class SqueegeeTable(Table):
    """The squeegee."""

    width_m: Annotated[Written, Sentence("Straight across between the ends of the blade. Tape measure.")] = Field(
        examples=[1.05]
    )
    behind_rear_axle_m: Annotated[
        Written,
        Sentence(
            "From the rear axle back to the ends of the blade, squeegee down, wheels straight. Tape measure "
            "along the floor."
        ),
    ] = Field(examples=[0.45])
    pivot_behind_rear_axle_m: Annotated[
        Written | None,
        Sentence(
            "From the rear axle back to the pin about which the squeegee swings in turns; below zero where "
            "the pin is ahead of the axle. Leave out where it is rigid."
        ),
    ] = Field(default=None, examples=[0.25])
    swing_degrees: Annotated[
        Written | None,
        Sentence("How far the squeegee swings to each side before it meets its stop. Leave out where it is rigid."),
    ] = Field(default=None, examples=[20])


class BodyTable(Table):
    """The outside of the machine."""

    length_m: Annotated[Written, Sentence("Overall length, squeegee included. Handbook, or tape measure.")] = Field(
        examples=[1.9]
    )
    width_m: Annotated[Written, Sentence("Widest point of the machine without the squeegee.")] = Field(examples=[0.9])
    height_m: Annotated[Written, Sentence("Height to the highest fixed point, guard included.")] = Field(examples=[1.4])
    front_overhang_m: Annotated[
        Written,
        Sentence(
            "From the front wheel's axle forward to the foremost point, deck and side brush included. Tape measure."
        ),
    ] = Field(examples=[0.3])
    clearance_m: Annotated[Written, Sentence("Gap that the driver keeps to walls and racks on each side.")] = Field(
        default=0.05, examples=[0.05]
    )


class SteeringTable(Table):
    """Wheels and turning; one of radius and aisle is enough."""

    wheelbase_m: Annotated[
        Written, Sentence("From the rear axle to the front wheel's axle. Handbook, or tape measure.")
    ] = Field(examples=[1.1])
    track_m: Annotated[Written, Sentence("Between the middles of the rear tyres. Tape measure.")] = Field(
        examples=[0.7]
    )
    turning_aisle_m: Annotated[
        Written | None, Sentence("Aisle in which it turns round in one go. Handbook, or two walls and a try.")
    ] = Field(default=None, examples=[2.1])
    turning_radius_m: Annotated[
        Written | None,
        Sentence(
            "Least radius of the middle of the rear axle. Drive a full circle on a damp floor, steering "
            "hard over: half the mean diameter of the two rear tyre marks."
        ),
    ] = Field(default=None, examples=[0.3])


class TanksTable(Table):
    """The two tanks."""

    solution_l: Annotated[Written, Sentence("Solution tank at the full mark. Handbook.")] = Field(examples=[110])
    recovery_l: Annotated[Written, Sentence("Recovery tank at the full mark. Handbook.")] = Field(examples=[115])
    usable_solution_percent: Annotated[
        Written, Sentence("Share of the solution that reaches the floor before the deck runs dry.")
    ] = Field(default=95, examples=[95])
    usable_recovery_percent: Annotated[
        Written,
        Sentence("How full of water the recovery tank is when the float shuts the suction; foam makes it less."),
    ] = Field(default=90, examples=[90])
    recovered_percent: Annotated[
        Written,
        Sentence(
            "Share of the solution that comes back: litres emptied over litres used. A good blade brings back 85 to 98."
        ),
    ] = Field(default=90, examples=[90])


class FlowTable(Table):
    """One setting of the solution flow; repeat the table for each."""

    name: Annotated[Name, Sentence("What the switch or display calls this setting.")] = Field(examples=["normal"])
    flow_l_per_min: Annotated[
        Written, Sentence("Litres a minute at this setting. Handbook, or a bucket under the deck for one minute.")
    ] = Field(examples=[2.4])


class WaterTable(Table):
    """The solution flow."""

    default_flow: Annotated[Name, Sentence("The setting that is used unless somebody says otherwise.")] = Field(
        examples=["normal"]
    )
    flow: Annotated[tuple[FlowTable, ...], Sentence("One setting of the solution flow; repeat for each.")] = Field()


class SpeedsTable(Table):
    """How fast it goes."""

    working_km_per_h: Annotated[
        Written, Sentence("Scrubbing, all functions on. Handbook, or seconds for 20 m on your floor.")
    ] = Field(examples=[5])
    transport_km_per_h: Annotated[Written, Sentence("Driving with deck and squeegee up. Handbook.")] = Field(
        examples=[6]
    )
    reverse_km_per_h: Annotated[Written, Sentence("Driving backwards.")] = Field(default=2.5, examples=[2.5])
    turning_km_per_h: Annotated[Written, Sentence("Turning round at the end of a lane.")] = Field(
        default=2.2, examples=[2.2]
    )


class SlopesTable(Table):
    """The steepest slopes that the handbook allows. Never guessed: a machine that rolls away can kill."""

    max_work_slope_percent: Annotated[
        Written, Sentence("Steepest slope for scrubbing. Handbook, never a guess; 1:12 is 8.3 %.")
    ] = Field(examples=[5])
    max_transport_slope_percent: Annotated[
        Written, Sentence("Steepest slope for driving with deck and squeegee up. Handbook, never a guess.")
    ] = Field(examples=[10])
    max_park_slope_percent: Annotated[
        Written, Sentence("Steepest slope on which its parking brake may hold it. Handbook, never a guess.")
    ] = Field(examples=[10])


class ServiceTable(Table):
    """What a stop costs."""

    empty_min: Annotated[Written, Sentence("To empty and rinse the recovery tank, from stopping to hose up.")] = Field(
        default=5, examples=[5]
    )
    fill_l_per_min: Annotated[
        Written | None,
        Sentence(
            "Flow of the fill hose. Time a 10 L bucket: 600 over its seconds. Without this and fill_min, 15 is taken."
        ),
    ] = Field(default=None, examples=[15])
    fill_min: Annotated[
        Written | None, Sentence("Minutes to fill an empty solution tank, in place of fill_l_per_min.")
    ] = Field(default=None, examples=[7])
    deck_cycle_s: Annotated[Written, Sentence("To lower and raise deck and squeegee once, together.")] = Field(
        default=6, examples=[6]
    )


class CurrentsTable(Table):
    """What each consumer draws; asked when running time is worked out. May be left out."""

    vacuum_a: Annotated[Written, Sentence("Suction motor. Handbook, or clamp meter.")] = Field(examples=[20])
    traction_level_a: Annotated[Written, Sentence("Traction motor while scrubbing on level floor. Clamp meter.")] = (
        Field(examples=[15])
    )
    pump_a: Annotated[Written, Sentence("Solution pump or valve; 0 where water runs down by itself.")] = Field(
        examples=[2]
    )
    idle_a: Annotated[Written, Sentence("Key on, nothing running.")] = Field(examples=[1])


class WeightTable(Table):
    """One heavy part; repeat the table for each. Asked when slopes and turns are worked out. May be left out."""

    part: Annotated[
        HeavyPart,
        Sentence(
            "machine (without battery, driver and water), battery, driver, solution (tank full) or recovery "
            "(tank full)."
        ),
    ] = Field(examples=["machine"])
    mass_kg: Annotated[Written, Sentence("What it weighs. Handbook; the battery's own label.")] = Field(examples=[380])
    ahead_of_rear_axle_m: Annotated[Written, Sentence("From the rear axle forward to its centre of gravity.")] = Field(
        examples=[0.5]
    )
    height_m: Annotated[Written, Sentence("From the floor up to its centre of gravity.")] = Field(examples=[0.4])


class MeterTable(Table):
    """One hour meter; repeat the table for each. May be left out."""

    name: Annotated[Name, Sentence("What the display calls it.")] = Field(examples=["total hours"])
    counts: Annotated[
        Counts, Sentence("What makes it count: key, traction, brush or vacuum. Watch it with only that running.")
    ] = Field(examples=["key"])
    digits: Annotated[int, Field(ge=1, le=7), Sentence("Digits before the point; after all nines it starts again.")] = (
        Field(examples=[5])
    )


class ConsumableTable(Table):
    """One part that wears out; repeat the table for each. May be left out."""

    place: Annotated[Name, Sentence("Where it sits.")] = Field(examples=["rear squeegee blade"])
    fitted: Annotated[Name, Sentence("What is fitted, as on the order list.")] = Field(examples=["gum rubber, 4 mm"])


class PlateFile(Table):
    """The plate of one machine."""

    name: Annotated[Name, Sentence("What your people call this machine.")] = Field(examples=["Ground floor, number 2"])
    options: Annotated[
        tuple[Option, ...],
        Sentence(
            "What is fitted: side brush, sweep hopper, on-board dosing, water recycling, second vacuum, "
            "spray wand, overhead guard, seat belt, economy setting, inspection dome, on-board charger, hydraulics, "
            "air tyres, warning lights, reverse alarm, level gauge tube, charge counter, fire extinguisher."
        ),
    ] = Field(default=(), examples=[["side brush", "seat belt"]])
    measured: Annotated[tuple[str, ...], Sentence("Figures that you measured on this machine, as table and key.")] = (
        Field(default=(), examples=[["deck.ahead_of_rear_axle_m", "speeds.working_km_per_h"]])
    )
    from_memory: Annotated[tuple[str, ...], Sentence("Figures that nobody looked up, as table and key.")] = Field(
        default=(), examples=[["body.height_m"]]
    )
    deck: Annotated[DeckTable, Sentence("The scrub deck.")]
    squeegee: Annotated[SqueegeeTable, Sentence("The squeegee.")]
    body: Annotated[BodyTable, Sentence("The outside of the machine.")]
    steering: Annotated[
        SteeringTable, Sentence("Wheels and turning; one of turning_aisle_m and turning_radius_m is enough.")
    ]
    tanks: Annotated[TanksTable, Sentence("The two tanks.")]
    water: Annotated[WaterTable, Sentence("The solution flow.")]
    speeds: Annotated[SpeedsTable, Sentence("How fast it goes.")]
    slopes: Annotated[
        SlopesTable,
        Sentence("The steepest slopes that the handbook allows. Never guessed: a machine that rolls away can kill."),
    ]
    service: Annotated[ServiceTable, Sentence("What a stop costs.")]
    currents: Annotated[
        CurrentsTable | None,
        Sentence("What each consumer draws. Asked when running time is worked out; may be left out."),
    ] = None
    weight: Annotated[
        tuple[WeightTable, ...],
        Sentence("One heavy part; repeat for each. Asked when slopes and turns are worked out; may be left out."),
    ] = ()
    meter: Annotated[
        tuple[MeterTable, ...],
        Sentence("One hour meter; repeat for each. May be left out."),
    ] = ()
    consumable: Annotated[
        tuple[ConsumableTable, ...],
        Sentence("One part that wears out; repeat for each. May be left out."),
    ] = ()


# Where a table's figures stand in `machine.ranges.RANGES`, where that is not the table's own name.
PARTS = {"deck.pressure": "pressure", "water.flow": "flow"}
# How the last part of a key becomes the suffix of the record's field, and the ratio between the two.
_FIELD_SUFFIXES = {
    "_km_per_h": ("_m_per_s", 1 / 3.6),
    "_percent": ("_fraction", 0.01),
    "_degrees": ("_rad", 0.017453292519943295),
}
_RENAMED = {
    "max_work_slope_fraction": "work_fraction",
    "max_transport_slope_fraction": "transport_fraction",
    "max_park_slope_fraction": "park_fraction",
}


def field_of(table: str, key: str) -> str:
    """The path of the figure in the records, e.g. ("slopes", "max_work_slope_percent") as "slopes.work_fraction"."""
    for suffix, (instead, _) in _FIELD_SUFFIXES.items():
        if key.endswith(suffix):
            key = key.removesuffix(suffix) + instead
    return f"{PARTS.get(table, table)}.{_RENAMED.get(key, key)}"


def unit_ratio(key: str) -> float:
    """By what a plain number under this key is multiplied to become the record's figure."""
    for suffix, (_, ratio) in _FIELD_SUFFIXES.items():
        if key.endswith(suffix):
            return ratio
    return 1.0
