"""What a route planner needs of a plate: widths, turning, speeds and times, as numbers."""

from dataclasses import dataclass

from scrubwright.machine.plate import Plate


@dataclass(frozen=True, slots=True, kw_only=True)
class Driving:
    """The figures of one machine that decide where and how fast it drives [m, m/s, s].

    Parameters
    ----------
    deck_width_m, overlap_m
        Scrubbed width, and how much of it neighbouring lanes share at least.
    body_width_m, clearance_m
        Widest point, squeegee and deck included, and the gap kept on each side.
    front_m
        From the deck's middle to the foremost point.
    turning_radius_m, turning_aisle_m, scrubbing_radius_m
        Least radius of the rear axle's middle; aisle for a turn in one go; least radius that leaves no water.
    working_speed_m_per_s, transport_speed_m_per_s, reverse_speed_m_per_s, turning_speed_m_per_s
        Speeds.
    deck_cycle_s
        To lower and raise deck and squeegee once.
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


def driving(plate: Plate) -> Driving:
    """The figures of a plate that decide where and how fast the machine drives.

    A turn tighter than the steering allows cannot be driven, so the scrubbing radius is at least the turning radius.

    Notes
    -----
    **Source** ours: each figure is read off the plate or derived where its property says.
    """
    turning_radius_m = plate.turning_radius_m
    return Driving(
        deck_width_m=plate.deck.scrub_width_m,
        overlap_m=plate.deck.overlap_m,
        body_width_m=plate.widest_m,
        clearance_m=plate.body.clearance_m,
        front_m=plate.front_m,
        turning_radius_m=turning_radius_m,
        turning_aisle_m=plate.turning_aisle_m,
        scrubbing_radius_m=max(turning_radius_m, plate.scrubbing_radius_m),
        working_speed_m_per_s=plate.speeds.working_m_per_s,
        transport_speed_m_per_s=plate.speeds.transport_m_per_s,
        reverse_speed_m_per_s=plate.speeds.reverse_m_per_s,
        turning_speed_m_per_s=plate.speeds.turning_m_per_s,
        deck_cycle_s=plate.service.deck_cycle_s,
    )
