"""The machine as the planner needs it: widths, turning, speeds and times, as numbers."""

from dataclasses import dataclass

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """What the floor needs to know of one machine.

    Parameters
    ----------
    deck_width_m
        Scrubbed width [m, > 0].
    overlap_m
        Least overlap of neighbouring lanes [m, 0 <= overlap < deck width].
    body_width_m
        Widest point of the machine, squeegee included [m, > 0].
    clearance_m
        Gap that the driver keeps on each side [m, >= 0].
    front_m
        From the deck's centre to the foremost point of the machine [m, >= 0].
    turning_radius_m
        Least radius of the rear axle's middle [m, >= 0].
    turning_aisle_m
        Width of the aisle in which it turns round in one go [m, > 0].
    scrubbing_radius_m
        Least radius at which the squeegee still covers what the deck wets [m, >= 0].
    working_speed_m_per_s, transport_speed_m_per_s, reverse_speed_m_per_s, turning_speed_m_per_s
        Speeds [m/s, > 0].
    deck_cycle_s
        Time to lower and raise deck and squeegee once [s, >= 0].
    """

    deck_width_m: float
    overlap_m: float
    body_width_m: float
    clearance_m: float
    front_m: float
    turning_radius_m: float
    turning_aisle_m: float
    scrubbing_radius_m: float
    working_speed_m_per_s: float
    transport_speed_m_per_s: float
    reverse_speed_m_per_s: float
    turning_speed_m_per_s: float
    deck_cycle_s: float

    def __post_init__(self) -> None:
        for name in (
            "deck_width_m",
            "body_width_m",
            "turning_aisle_m",
            "working_speed_m_per_s",
            "transport_speed_m_per_s",
            "reverse_speed_m_per_s",
            "turning_speed_m_per_s",
        ):
            check_above_zero(name, getattr(self, name))
        for name in ("clearance_m", "front_m", "turning_radius_m", "scrubbing_radius_m", "deck_cycle_s"):
            check_zero_or_more(name, getattr(self, name))
        if not 0 <= self.overlap_m < self.deck_width_m:
            raise BadInput(
                "The overlap is {given}; enter at least zero and less than the deck width of {deck_width_m}.",
                given=str(self.overlap_m),
                deck_width_m=self.deck_width_m,
            )

    @property
    def pitch_m(self) -> float:
        """Widest spacing of neighbouring lanes [m]."""
        return self.deck_width_m - self.overlap_m

    @property
    def half_gauge_m(self) -> float:
        """Least distance from the deck's centre to anything solid beside it [m]."""
        return self.body_width_m / 2 + self.clearance_m
