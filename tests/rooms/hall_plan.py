"""The floor of the small hall as it was given: names, slopes and service points beside the outline."""

import math

from shapely import MultiPolygon, box

from scrubwright.floor.site import Area, FloorPlan, NamedOutline, Place, Ramp, ServicePoint, Use

PARKING = (2.0, 13.0)
DRAINS = {"Drain east": (40.9, 13.0), "Drain west": (1.1, 20.0)}


def hall_plan(floor: MultiPolygon) -> FloorPlan:
    """The hall as it was given: two areas, a ramp, floor to keep off, and more service points than tonight needs."""
    taps = {"Tap at " + name.lower(): at for name, at in DRAINS.items()}
    points = [
        *((name, at, Use.DRAIN) for name, at in DRAINS.items()),
        *((name, at, Use.TAP) for name, at in taps.items()),
        ("Old drain", (20.5, 25.6), Use.DRAIN),
        ("Charger", (2.4, 13.0), Use.SOCKET),
    ]
    return FloorPlan(
        name="Ground floor",
        outline=floor,
        areas=(
            Area(name="West end", outline=box(0, 0, 6, 26), surface="terrazzo"),
            Area(name="East end", outline=box(36, 0, 42, 26), passes=2),
        ),
        no_go=(NamedOutline(name="Lift pit", outline=box(30, 24, 32, 25)),),
        ramps=(Ramp(name="Dock ramp", outline=box(37, 20, 41, 25), slope_fraction=0.05, uphill_rad=math.pi / 2),),
        service_points=tuple(
            ServicePoint(name=name, x_m=at[0], y_m=at[1], uses=frozenset({use})) for name, at, use in points
        ),
        parking=Place(name="Parking", x_m=PARKING[0], y_m=PARKING[1]),
    )
