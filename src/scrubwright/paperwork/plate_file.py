"""The plate file: its tables and keys, what each means, and where to find it on the machine.

The unit of a number is the last part of its key; a text such as "32 in" brings its own. A key's
description is what people read in the blank plate, the reference page and the schema.
"""

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from scrubwright.machine.deck import DeckKind
from scrubwright.machine.parts import Counts, HeavyPart, Option


def _no_yes_or_no(value: Any) -> Any:
    if isinstance(value, bool):
        raise PydanticCustomError("figure_type", "a figure")
    return value


def _name_text(value: Any) -> Any:
    # A name that looks like a number, such as 2 for the second flow setting, is still a name.
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


Figure = Annotated[
    float | str,
    BeforeValidator(_no_yes_or_no),
    WithJsonSchema({"type": ["number", "string"]}),
]
Name = Annotated[str, BeforeValidator(_name_text), Field(min_length=1, max_length=80)]


class Table(BaseModel):
    """A table of the plate file; a key that nobody reads is a mistake."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class PressureTable(Table):
    """One pressure step of the deck; repeat the table for each, lightest first. May be left out."""

    name: Name = Field(description="What the switch or display calls this step.", examples=["normal"])
    down_force_kg: Figure = Field(
        description="How hard all brushes or pads together press on the floor. Handbook, technical data.",
        examples=[40],
    )
    brush_current_a: Figure = Field(
        description="What all brush motors together draw at this step on an ordinary floor. Handbook, or clamp meter.",
        examples=[28],
    )


class DeckTable(Table):
    """The scrub deck."""

    kind: DeckKind = Field(
        description="How it scrubs: disc, cylindrical or orbital. Look under the skirt.", examples=["disc"]
    )
    scrub_width_m: Figure = Field(
        description="Scrubbed width without side brushes. Handbook, or measure the wet track with the squeegee up.",
        examples=[0.80],
    )
    ahead_of_rear_axle_m: Figure = Field(
        description="From the rear axle forward to the middle of the deck. Tape measure along the floor; "
        "below zero where the deck sits behind the axle.",
        examples=[0.45],
    )
    offset_m: Figure = Field(
        default=0,
        description="How far the middle of the deck sits to the right of the machine's middle line; "
        "below zero to the left.",
        examples=[0],
    )
    side_shift_m: Figure = Field(
        default=0, description="How far the deck can be slid out to the side to reach a wall.", examples=[0]
    )
    overlap_m: Figure = Field(
        default=0.05,
        description="How much neighbouring lanes overlap. Take 0.03 for a steady driver, 0.08 for a new one.",
        examples=[0.05],
    )
    side_brush_width_m: Figure | None = Field(
        default=None,
        description="What the side brush adds to the scrubbed width while it is down. Leave out without one.",
        examples=[0.20],
    )
    pressure: tuple[PressureTable, ...] = Field(default=(), description="The pressure steps of the deck.")


class SqueegeeTable(Table):
    """The squeegee."""

    width_m: Figure = Field(description="Straight across between the ends of the blade. Tape measure.", examples=[1.05])
    behind_rear_axle_m: Figure = Field(
        description="From the rear axle back to the ends of the blade, squeegee down, wheels straight. "
        "Tape measure along the floor.",
        examples=[0.45],
    )
    pivot_behind_rear_axle_m: Figure | None = Field(
        default=None,
        description="From the rear axle back to the pin about which the squeegee swings in turns; "
        "below zero where the pin is ahead of the axle. Leave out where it is rigid.",
        examples=[0.25],
    )
    swing_degrees: Figure | None = Field(
        default=None,
        description="How far the squeegee swings to each side before it meets its stop. Leave out where it is rigid.",
        examples=[20],
    )


class BodyTable(Table):
    """The outside of the machine."""

    length_m: Figure = Field(
        description="Overall length, squeegee included. Handbook, or tape measure.", examples=[1.6]
    )
    width_m: Figure = Field(description="Widest point of the machine without the squeegee.", examples=[0.9])
    height_m: Figure = Field(description="Height to the highest fixed point, guard included.", examples=[1.4])
    front_overhang_m: Figure = Field(
        description="From the front wheel's axle forward to the foremost point, deck and side brush included. "
        "Tape measure.",
        examples=[0.3],
    )
    clearance_m: Figure = Field(
        default=0.05, description="Gap that the driver keeps to walls and racks on each side.", examples=[0.05]
    )


class SteeringTable(Table):
    """Wheels and turning; one of radius and aisle is enough."""

    wheelbase_m: Figure = Field(
        description="From the rear axle to the front wheel's axle. Handbook, or tape measure.", examples=[1.1]
    )
    track_m: Figure = Field(description="Between the middles of the rear tyres. Tape measure.", examples=[0.7])
    turning_aisle_m: Figure | None = Field(
        default=None,
        description="Aisle in which it turns round in one go. Handbook, or two walls and a try.",
        examples=[2.1],
    )
    turning_radius_m: Figure | None = Field(
        default=None,
        description="Least radius of the middle of the rear axle. Drive a full circle on a damp floor, steering hard "
        "over: half the mean diameter of the two rear tyre marks.",
        examples=[0.3],
    )


class TanksTable(Table):
    """The two tanks."""

    solution_l: Figure = Field(description="Solution tank at the full mark. Handbook.", examples=[110])
    recovery_l: Figure = Field(description="Recovery tank at the full mark. Handbook.", examples=[115])
    usable_solution_percent: Figure = Field(
        default=95, description="Share of the solution that reaches the floor before the deck runs dry.", examples=[95]
    )
    usable_recovery_percent: Figure = Field(
        default=90,
        description="How full of water the recovery tank is when the float shuts the suction; foam makes it less.",
        examples=[90],
    )
    recovered_percent: Figure = Field(
        default=90,
        description="Share of the solution that comes back: litres emptied over litres used. "
        "A good blade brings back 85 to 98.",
        examples=[90],
    )


class FlowTable(Table):
    """One setting of the solution flow; repeat the table for each."""

    name: Name = Field(description="What the switch or display calls this setting.", examples=["normal"])
    flow_l_per_min: Figure = Field(
        description="Litres a minute at this setting. Handbook, or a bucket under the deck for one minute.",
        examples=[2.4],
    )


class WaterTable(Table):
    """The solution flow."""

    default_flow: Name = Field(
        description="The setting that is used unless somebody says otherwise.", examples=["normal"]
    )
    flow: tuple[FlowTable, ...] = Field(description="The settings of the solution flow.")


class SpeedsTable(Table):
    """How fast it goes."""

    working_km_per_h: Figure = Field(
        description="Scrubbing, all functions on. Handbook, or seconds for 20 m on your floor.", examples=[5]
    )
    transport_km_per_h: Figure = Field(description="Driving with deck and squeegee up. Handbook.", examples=[6])
    reverse_km_per_h: Figure = Field(default=2.5, description="Driving backwards.", examples=[2.5])
    turning_km_per_h: Figure = Field(default=2.2, description="Turning round at the end of a lane.", examples=[2.2])


class SlopesTable(Table):
    """The steepest slopes that the handbook allows. Never guessed: a machine that rolls away kills."""

    max_work_slope_percent: Figure = Field(
        description="Steepest slope for scrubbing. Handbook, never a guess; 1:12 is 8.3 %.", examples=[5]
    )
    max_transport_slope_percent: Figure = Field(
        description="Steepest slope for driving with deck and squeegee up. Handbook, never a guess.", examples=[10]
    )
    max_park_slope_percent: Figure = Field(
        description="Steepest slope on which its parking brake may hold it. Handbook, never a guess.", examples=[10]
    )


class ServiceTable(Table):
    """What a stop costs."""

    empty_min: Figure = Field(
        default=5, description="To empty and rinse the recovery tank, from stopping to hose up.", examples=[5]
    )
    fill_l_per_min: Figure | None = Field(
        default=None, description="Flow of the fill hose. Seconds for a 10 L bucket: 600 over them.", examples=[15]
    )
    fill_min: Figure | None = Field(
        default=None, description="Or: minutes to fill an empty solution tank. Give one of the two.", examples=[7]
    )
    deck_cycle_s: Figure = Field(
        default=6, description="To lower and raise deck and squeegee once, together.", examples=[6]
    )


class CurrentsTable(Table):
    """What each consumer draws; asked when running time is worked out. May be left out."""

    vacuum_a: Figure = Field(description="Suction motor. Handbook, or clamp meter.", examples=[20])
    traction_level_a: Figure = Field(
        description="Traction motor while scrubbing on level floor. Clamp meter.", examples=[15]
    )
    pump_a: Figure = Field(description="Solution pump or valve; 0 where water runs down by itself.", examples=[2])
    idle_a: Figure = Field(description="Key on, nothing running.", examples=[1])


class WeightTable(Table):
    """One heavy part; repeat the table for each. Asked when slopes and turns are worked out. May be left out."""

    part: HeavyPart = Field(
        description="machine (without battery, driver and water), battery, driver, solution (tank full) "
        "or recovery (tank full).",
        examples=["machine"],
    )
    mass_kg: Figure = Field(description="What it weighs. Handbook; the battery's own label.", examples=[380])
    ahead_of_rear_axle_m: Figure = Field(
        description="From the rear axle forward to its centre of gravity.", examples=[0.5]
    )
    height_m: Figure = Field(description="From the floor up to its centre of gravity.", examples=[0.4])


class MeterTable(Table):
    """One hour meter; repeat the table for each. May be left out."""

    name: Name = Field(description="What the display calls it.", examples=["total hours"])
    counts: Counts = Field(
        description="What makes it count: key, traction, brush or vacuum. Watch it with only that running.",
        examples=["key"],
    )
    digits: Annotated[int, Field(ge=1, le=7)] = Field(
        description="Digits before the point; after all nines it starts again.", examples=[5]
    )


class ConsumableTable(Table):
    """One part that wears out; repeat the table for each. May be left out."""

    place: Name = Field(description="Where it sits.", examples=["rear squeegee blade"])
    fitted: Name = Field(description="What is fitted, as on the order list.", examples=["gum rubber, 4 mm"])


class PlateFile(Table):
    """The plate of one machine."""

    name: Name = Field(description="What your people call this machine.", examples=["Ground floor, number 2"])
    options: tuple[Option, ...] = Field(
        default=(),
        description="What is fitted: side brush, sweep hopper, on-board dosing, water recycling, second vacuum, "
        "spray wand, overhead guard, seat belt, economy setting.",
        examples=[["side brush", "seat belt"]],
    )
    measured: tuple[str, ...] = Field(
        default=(),
        description="Figures that you measured on this machine, as table and key.",
        examples=[["deck.ahead_of_rear_axle_m", "speeds.working_km_per_h"]],
    )
    from_memory: tuple[str, ...] = Field(
        default=(), description="Figures that nobody looked up, as table and key.", examples=[["body.height_m"]]
    )
    deck: DeckTable
    squeegee: SqueegeeTable
    body: BodyTable
    steering: SteeringTable
    tanks: TanksTable
    water: WaterTable
    speeds: SpeedsTable
    slopes: SlopesTable
    service: ServiceTable
    currents: CurrentsTable | None = None
    weight: tuple[WeightTable, ...] = ()
    meter: tuple[MeterTable, ...] = ()
    consumable: tuple[ConsumableTable, ...] = ()


# Where a table's figures stand in `machine.ranges.RANGES`, where that is not the table's own name.
PARTS = {"deck.pressure": "pressure", "water.flow": "flow"}
# How the last part of a key becomes the suffix of the record's field, and the factor between the two.
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


def factor_of(key: str) -> float:
    """By what a plain number under this key is multiplied to become the record's figure."""
    for suffix, (_, factor) in _FIELD_SUFFIXES.items():
        if key.endswith(suffix):
            return factor
    return 1.0
