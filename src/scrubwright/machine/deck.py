"""The scrub deck: brushes or pads, how wide, where, and how hard it presses."""

from dataclasses import dataclass
from enum import StrEnum

from scrubwright.machine.ranges import check
from scrubwright.measures.errors import BadInput


class DeckKind(StrEnum):
    """How the deck scrubs."""

    DISC = "disc"
    CYLINDRICAL = "cylindrical"
    ORBITAL = "orbital"


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureStep:
    """One setting of the deck's pressure.

    Parameters
    ----------
    name
        As on the switch, e.g. "low".
    down_force_kg
        How hard brushes or pads press on the floor, all together [kg, 1 to 500].
    brush_current_a
        What all brush motors together draw on an ordinary floor at this step [A, 1 to 300].
    """

    name: str
    down_force_kg: float
    brush_current_a: float

    def __post_init__(self) -> None:
        check("pressure", self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Deck:
    """The scrub deck.

    Parameters
    ----------
    kind
        Disc, cylindrical or orbital.
    scrub_width_m
        Scrubbed width without side brushes [m, 0.3 to 2.5].
    ahead_of_rear_axle_m
        From the rear axle forward to the deck's middle [m, -1 to 4].
    offset_m
        From the machine's middle line to the deck's, positive to the right [m, -0.5 to 0.5].
    side_shift_m
        How far the deck can be slid out to the side [m, 0 to 0.5].
    overlap_m
        Least overlap of neighbouring lanes that the driver keeps [m, 0 to 0.5, less than the scrub width].
    side_brush_width_m
        What a side brush adds to the scrubbed width while it is down [m, 0.05 to 1]; None without one.
    pressure
        The pressure steps, lightest first; none where they are not known.
    """

    kind: DeckKind
    scrub_width_m: float
    ahead_of_rear_axle_m: float
    offset_m: float
    side_shift_m: float
    overlap_m: float
    side_brush_width_m: float | None = None
    pressure: tuple[PressureStep, ...] = ()

    def __post_init__(self) -> None:
        check("deck", self)
        if not self.overlap_m < self.scrub_width_m:
            raise BadInput(
                "The lanes overlap by {overlap_m}, the deck scrubs {scrub_width_m}; "
                "enter an overlap smaller than the scrub width, such as 0.05 m.",
                overlap_m=self.overlap_m,
                scrub_width_m=self.scrub_width_m,
            )
        names = [step.name for step in self.pressure]
        if len(set(names)) != len(names):
            raise BadInput("Two pressure steps have one name; give each its own, such as low, normal and high.")
        forces = [step.down_force_kg for step in self.pressure]
        if forces != sorted(forces):
            raise BadInput("The pressure steps are not in order; list them from the lightest to the heaviest.")
