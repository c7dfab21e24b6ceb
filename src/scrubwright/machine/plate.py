"""The plate: all that is known of one machine, and where each figure comes from."""

from dataclasses import dataclass

from scrubwright.machine.deck import Deck
from scrubwright.machine.parts import (
    Body,
    Consumable,
    Currents,
    FlowSetting,
    HeavyPart,
    Meter,
    Option,
    ServiceTimes,
    SlopeLimits,
    Speeds,
    Tanks,
    Weight,
)
from scrubwright.machine.squeegee import Squeegee, scrubbing_radius_m, straight_cover_m
from scrubwright.machine.steering import Corner, Steering, aisle_m, outer_radius_m, radius_from_aisle_m, tail_swing_m
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin

# How well lengths of a machine are measured with a tape, three of them added up.
MEASURED_TO_M = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """One machine.

    Parameters
    ----------
    name
        What its people call it.
    flows
        The settings of the solution flow, at least one; `default_flow` names the one that is used.
    currents
        What each consumer draws; None where not known.
    weights
        Heavy parts with their places; none where not known. Never defaulted.
    options, meters, consumables
        What is fitted.
    origins
        Where figures come from, by path such as "deck.overlap_m", for every figure that is not off the plate.

    Notes
    -----
    Lengths behind or ahead are from the rear axle, since the machine turns about a point on that axle's line.
    """

    name: str
    deck: Deck
    squeegee: Squeegee
    body: Body
    steering: Steering
    tanks: Tanks
    flows: tuple[FlowSetting, ...]
    default_flow: str
    speeds: Speeds
    slopes: SlopeLimits
    service: ServiceTimes
    currents: Currents | None = None
    weights: tuple[Weight, ...] = ()
    options: frozenset[Option] = frozenset()
    meters: tuple[Meter, ...] = ()
    consumables: tuple[Consumable, ...] = ()
    origins: tuple[tuple[str, Origin], ...] = ()

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadInput("The machine has no name; enter what your people call it.")
        self._check_flows()
        self._check_weights()
        if not straight_cover_m(self.deck, self.squeegee) > 0:
            raise BadInput(
                "The squeegee is {squeegee_width_m} wide, the deck {scrub_width_m} with its middle {offset_m} off the "
                "machine's; the squeegee must reach past both ends of the deck. Measure both again.",
                squeegee_width_m=self.squeegee.width_m,
                scrub_width_m=self.deck.scrub_width_m,
                offset_m=self.deck.offset_m,
            )
        if not self.front_m >= 0:
            raise BadInput(
                "The deck's middle lies {deck_ahead_m} ahead of the rear axle, the machine's foremost point "
                "{front_ahead_m}; count the deck into front_overhang_m if it stands in front.",
                deck_ahead_m=self.deck.ahead_of_rear_axle_m,
                front_ahead_m=self.foremost_ahead_m,
            )
        self._check_length()
        if self.steering.turning_radius_m is None and self.steering.turning_aisle_m is not None:
            radius_from_aisle_m(self.steering.turning_aisle_m, self.corners, self.widest_m)

    def _check_length(self) -> None:
        parts_m = self.foremost_ahead_m + self.squeegee.behind_rear_axle_m
        # The blade's ends may lie ahead of its middle, so the parts may be shorter than the whole, never longer.
        if not parts_m <= self.body.length_m + MEASURED_TO_M:
            raise BadInput(
                "From the foremost point to the squeegee the plate adds up to {parts_m}, but the machine is {length_m} "
                "long. Measure again: front overhang, wheelbase, squeegee behind the rear axle, length.",
                parts_m=parts_m,
                length_m=self.body.length_m,
            )

    def _check_flows(self) -> None:
        names = [flow.name for flow in self.flows]
        if not names:
            raise BadInput("The plate names no solution flow; enter at least one setting with its litres a minute.")
        if len(set(names)) != len(names):
            raise BadInput("Two flow settings have one name; give each its own, such as low, normal and high.")
        if self.default_flow not in names:
            raise BadInput(
                "The flow to use is called {given}; the plate has: {known}. Enter one of these.",
                given=self.default_flow,
                known=", ".join(names),
            )

    def _check_weights(self) -> None:
        parts = [weight.part for weight in self.weights]
        if len(set(parts)) != len(parts):
            raise BadInput("Two weights are given for one part; give each part once.")

    def origin(self, path: str) -> Origin:
        """Where the figure at a path such as "deck.overlap_m" comes from."""
        return dict(self.origins).get(path, Origin.PLATE)

    @property
    def flow(self) -> FlowSetting:
        """The flow setting in use."""
        return next(flow for flow in self.flows if flow.name == self.default_flow)

    def weight(self, part: HeavyPart) -> Weight | None:
        """Weight and place of a heavy part; None where not given."""
        return next((weight for weight in self.weights if weight.part is part), None)

    @property
    def foremost_ahead_m(self) -> float:
        """From the rear axle to the foremost point of the machine [m]."""
        return self.steering.wheelbase_m + self.body.front_overhang_m

    @property
    def front_m(self) -> float:
        """From the deck's middle to the foremost point of the machine [m]."""
        return self.foremost_ahead_m - self.deck.ahead_of_rear_axle_m

    @property
    def widest_m(self) -> float:
        """Twice the distance from the machine's middle line to its furthest side, squeegee and deck included [m]."""
        deck_m = self.deck.scrub_width_m + 2 * abs(self.deck.offset_m)
        return max(self.body.width_m, self.squeegee.width_m, deck_m)

    @property
    def corners(self) -> tuple[Corner, ...]:
        """The points of the machine that may be outermost in a turn."""
        return (
            Corner(ahead_m=self.foremost_ahead_m, aside_m=self.body.width_m / 2),
            Corner(
                ahead_m=self.deck.ahead_of_rear_axle_m,
                aside_m=self.deck.scrub_width_m / 2 + abs(self.deck.offset_m),
            ),
            Corner(ahead_m=-self.squeegee.behind_rear_axle_m, aside_m=self.squeegee.width_m / 2),
        )

    @property
    def turning_radius_m(self) -> float:
        """Least radius of the rear axle's middle: as given, else from the quoted aisle [m]."""
        if self.steering.turning_radius_m is not None:
            return self.steering.turning_radius_m
        quoted_m = self.steering.turning_aisle_m
        return radius_from_aisle_m(0.0 if quoted_m is None else quoted_m, self.corners, self.widest_m)

    @property
    def turning_aisle_m(self) -> float:
        """Aisle in which it turns round in one go: the wider of the quoted and the drawn one [m]."""
        drawn_m = aisle_m(self.turning_radius_m, self.corners, self.widest_m)
        return max(drawn_m, self.steering.turning_aisle_m or 0.0)

    @property
    def outer_radius_m(self) -> float:
        """Radius of its outermost point in the tightest turn [m]."""
        return outer_radius_m(self.turning_radius_m, self.corners)

    @property
    def tail_swing_m(self) -> float:
        """How far the squeegee swings past the machine's side in the tightest turn [m]."""
        return tail_swing_m(
            self.turning_radius_m, self.squeegee.width_m, self.squeegee.behind_rear_axle_m, self.widest_m
        )

    @property
    def scrubbing_radius_m(self) -> float:
        """Least radius of the rear axle's middle at which the squeegee leaves no water [m]."""
        return scrubbing_radius_m(self.deck, self.squeegee)
