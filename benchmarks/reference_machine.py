"""The machine that all plans are measured with: deck 0.75 m, tank 100 L, 8 minutes to dump and refill.

Figures as in the targets: overlap 0.05 m, body 0.90 m with 0.05 m to spare on each side, 1.25 m/s at work and
1.5 m/s between, turning radius 0.45 m, 0.045 L/m2. Of the 480 s, 30 s go to emptying and 450 s to filling.
"""

from dataclasses import fields

from scrubwright.floor.free_floor import FreeFloor, free_floor
from scrubwright.floor.links import Service
from scrubwright.floor.site import FloorPlan
from scrubwright.floor.vehicle import Vehicle
from scrubwright.machine.deck import Deck, DeckKind
from scrubwright.machine.driving import driving
from scrubwright.machine.parts import Body, FlowSetting, ServiceTimes, SlopeLimits, Speeds, Tanks
from scrubwright.machine.plate import Plate
from scrubwright.machine.squeegee import Squeegee
from scrubwright.machine.steering import Steering

TANK_L = 100.0
DOSE_L_PER_M2 = 0.045
EMPTY_S = 30.0
FILL_S = 450.0


def reference_plate(*, tank_l: float = TANK_L) -> Plate:
    """The reference machine, with another tank where asked [L, 20 to 1,000]; filling takes 450 s whatever its size."""
    return Plate(
        name="Reference 0.75 m",
        deck=Deck(
            kind=DeckKind.DISC,
            scrub_width_m=0.75,
            ahead_of_rear_axle_m=0.55,
            offset_m=0.0,
            side_shift_m=0.0,
            overlap_m=0.05,
        ),
        squeegee=Squeegee(width_m=0.90, behind_rear_axle_m=0.40),
        body=Body(length_m=1.55, width_m=0.90, height_m=1.40, front_overhang_m=0.05, clearance_m=0.05),
        steering=Steering(wheelbase_m=1.0, track_m=0.65, turning_radius_m=0.45),
        tanks=Tanks(
            solution_l=tank_l,
            recovery_l=tank_l,
            usable_solution_fraction=1.0,
            usable_recovery_fraction=1.0,
            recovered_fraction=1.0,
        ),
        flows=(FlowSetting(name="normal", flow_l_per_min=DOSE_L_PER_M2 * 0.70 * 1.25 * 60),),
        default_flow="normal",
        speeds=Speeds(working_m_per_s=1.25, transport_m_per_s=1.5, reverse_m_per_s=0.6, turning_m_per_s=0.6),
        slopes=SlopeLimits(work_fraction=0.06, transport_fraction=0.12, park_fraction=0.12),
        service=ServiceTimes(empty_min=EMPTY_S / 60, fill_l_per_min=tank_l / FILL_S * 60, deck_cycle_s=0.0),
    )


def reference_vehicle() -> Vehicle:
    """The reference machine as the floor sees it."""
    figures = driving(reference_plate())
    return Vehicle(**{each.name: getattr(figures, each.name) for each in fields(figures)})


def reference_floor(plan: FloorPlan) -> FreeFloor:
    """What of a floor the reference machine comes to from its service points."""
    service = reference_service(plan)
    return free_floor(plan, reference_vehicle(), (service.parking_m, *service.drains_m))


def reference_service(plan: FloorPlan) -> Service:
    """Where and how the reference machine is emptied and filled on a floor whose service points give drain and tap."""
    places_m = tuple((point.x_m, point.y_m) for point in plan.service_points)
    parking = plan.parking or plan.service_points[0]
    return Service(
        drains_m=places_m,
        taps_m=places_m,
        parking_m=(parking.x_m, parking.y_m),
        empty_s=EMPTY_S,
        fill_s=FILL_S,
        capacity_l=TANK_L,
        dose_l_per_m2=DOSE_L_PER_M2,
    )
