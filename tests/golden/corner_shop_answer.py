"""The answer for a shop of three aisles, small enough to read whole; every number made up to fit the others."""

from shapely import MultiPolygon, box

from scrubwright.floor.site import FloorPlan
from scrubwright.jobs.route_answer import (
    Bites,
    Block,
    Caution,
    LaneKind,
    LeftOut,
    MachineRoute,
    Pattern,
    RouteAnswer,
    Stop,
)
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

FLOOR = MultiPolygon([box(0, 0, 30, 20)])


def block(
    number: int, area: str, kind: LaneKind, pattern: Pattern, lanes: tuple[int, ...], start_s: float, end_s: float
) -> Block:
    return Block(
        number=number,
        area=area,
        kind=kind,
        pattern=pattern,
        lanes=lanes,
        entry_m=(1.0, 1.0),
        exit_m=(29.0, 1.0),
        start_s=start_s,
        end_s=end_s,
        deck_down_length_m=100.0,
    )


def stop(number: int, drain: str, tap: str | None, arrive_s: float, dumped_l: float, filled_l: float) -> Stop:
    return Stop(
        number=number,
        drain=drain,
        tap=tap,
        x_m=1.0,
        y_m=19.0,
        arrive_s=arrive_s,
        duration_s=540.0,
        dumped_l=dumped_l,
        filled_l=filled_l,
    )


def left_out(name: str, area_m2: float, x_m: float, y_m: float, reason: Sentence) -> LeftOut:
    return LeftOut(name=name, area_m2=area_m2, x_m=x_m, y_m=y_m, reason=reason, outline=FLOOR)


def corner_shop_answer() -> RouteAnswer:
    """One machine, three blocks and a patch, a stop at one place, one at two and one without water."""
    route = MachineRoute(
        machine=1,
        legs=(),
        blocks=(
            block(1, "Sales floor", LaneKind.EDGE, Pattern.SINGLE, (1,), 12.0, 108.0),
            block(2, "Sales floor", LaneKind.LANE, Pattern.IN_ORDER, tuple(range(2, 16)), 110.0, 2_010.0),
            block(3, "Bread and pastry", LaneKind.LANE, Pattern.EVERY_SECOND, (16, 18, 20, 19, 17), 2_640.0, 6_830.0),
            block(4, "Sales floor", LaneKind.PATCH, Pattern.AS_LISTED, (24, 21, 22), 7_400.0, 7_445.0),
        ),
        stops=(
            stop(1, "Closet", "Closet", 2_030.0, 61.2, 66.0),
            stop(2, "Yard drain", "Closet", 6_850.0, 58.0, 62.5),
            stop(3, "Yard drain", None, 7_460.0, 3.1, 0.0),
        ),
        scrub_time_s=5_400.0,
        drive_time_s=1_010.0,
        stop_time_s=1_620.0,
        deck_down_length_m=1_480.0,
        drive_length_m=900.0,
        water_used_l=128.5,
    )
    missed = [
        left_out(
            "Bread and pastry" if n % 3 else "Sales floor",
            0.9 - n / 100,
            2.0 + n,
            3.0,
            Sentence(
                "A spot {where}: too small for a pass of its own, mop it by hand.", where=Sentence("along a wall")
            ),
        )
        for n in range(14)
    ]
    narrow = Sentence("The way in is about {way_m} wide; this machine needs {gauge_m}.", way_m=0.6, gauge_m=0.86)
    return RouteAnswer(
        site="Corner shop",
        floor="Ground floor",
        plan=FloorPlan(name="Ground floor", outline=FLOOR),
        machine="Narrow disc, 0.55 m",
        verdict=Sentence("Yes: {total_time_s} for {area_m2}.", total_time_s=8_030.0, area_m2=584.0),
        why=(
            Sentence(
                "Aisle {aisle_m} takes {passes} passes with this deck; {fewer} with {less_m} less overlap or a "
                "{deck_m} deck: saves {saving_s}.",
                aisle_m=2.4,
                passes=5,
                fewer=4,
                less_m=0.012,
                deck_m=0.6,
                saving_s=205.0,
            ),
            Sentence(
                "{water_l} of solution goes down, {trip_l} a trip; emptying and filling take {stops_s}, "
                "{share_fraction} of the time.",
                water_l=128.5,
                trip_l=66.5,
                stops_s=1_620.0,
                share_fraction=0.202,
            ),
        ),
        cautions=(
            Caution(
                told=Sentence(
                    "This answer does not look at the charge: make sure that the pack lasts the time before you start."
                ),
                bites=Bites.START,
            ),
            Caution(
                told=Sentence(
                    "Shut the solution off {run_out_m} before a lane ends at a wall: the squeegee follows that far "
                    "behind the deck.",
                    run_out_m=0.82,
                ),
                bites=Bites.LANES,
            ),
            Caution(
                told=Sentence("Sewer drains only, as local rules say; never a storm drain or soil."),
                bites=Bites.STOPS,
            ),
            Caution(
                told=Sentence(
                    "Ramp: straight up or down, never across, never turn on it; walking pace, tanks as empty as the "
                    "work allows, nobody below."
                ),
                bites=Bites.BLOCKS,
                blocks=(3, 4),
            ),
        ),
        free=FLOOR,
        reachable=FLOOR,
        covered=FLOOR,
        lanes=(),
        routes=(route,),
        missed=tuple(missed),
        unreachable=(left_out("Store room", 29.8, 21.0, 12.5, narrow),),
        stays_wet=(),
        deck_width_m=0.55,
        overlap_m=0.05,
        solution_tank_l=66.5,
        recovery_tank_l=69.0,
        floor_area_m2=616.0,
        reachable_area_m2=584.2,
        out_of_reach_m2=29.8,
        hand_strip_m2=2.0,
        coverage_fraction=0.9804,
        raster_coverage_fraction=0.9801,
        overlap_fraction=0.214,
        deck_down_length_m=1_480.0,
        length_bound_ratio=1.1267,
        total_time_s=8_030.0,
        lower_bound_s=7_960.0,
        bound_gap_fraction=0.0088,
        dump_trips=3,
        dump_trips_bound=2,
        planning_time_s=1.4,
        provenance=(
            Sourced(name="deck_width_m", value=0.55, origin=Origin.PLATE, detail=Sentence("Scrubbed width")),
            Sourced(
                name="working_speed_m_per_s",
                value=1.1,
                origin=Origin.MEASURED,
                detail=Sentence("Speed while scrubbing"),
            ),
            Sourced(
                name="dose_l_per_m2",
                value=0.08,
                origin=Origin.COMMON_PRACTICE,
                detail=Sentence("Solution on the floor"),
            ),
            Sourced(
                name="lower_bound_s",
                value=7_960.0,
                origin=Origin.ESTIMATE,
                detail=Sentence("Proved for these lanes: no order of them takes less"),
            ),
        ),
    )
