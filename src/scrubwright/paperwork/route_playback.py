"""What playback needs of a route: where each machine is at any second, and what its tanks hold."""

from collections.abc import Sequence

from scrubwright.jobs.route_answer import Leg, LegKind, MachineRoute, RouteAnswer
from scrubwright.measures.units import UnitSystem, unit_of
from scrubwright.paperwork.route_drawing import Plot
from scrubwright.paperwork.route_json import Json
from scrubwright.paperwork.wording import Teller

KINDS = (LegKind.SCRUB, LegKind.DRIVE, LegKind.REVERSE, LegKind.STOP)


def played(
    answer: RouteAnswer, plot: Plot, teller: Teller, rows: Sequence[Sequence[Json]] | None = None
) -> dict[str, Json]:
    """The floor's size, the tanks, how litres are shown, and each machine's legs, blocks and stops.

    Parameters
    ----------
    rows
        The legs of each machine as `leg_row` makes them; None takes those of the route.
    """
    rows = rows if rows is not None else [[leg_row(leg, plot) for leg in route.legs] for route in answer.routes]
    machines: list[Json] = [_machine(route, answer, legs) for route, legs in zip(answer.routes, rows, strict=True)]
    return {
        "wide": round(plot.width_m, 2),
        "high": round(plot.height_m, 2),
        "deck": answer.deck_width_m,
        "solution": answer.solution_tank_l,
        "recovery": answer.recovery_tank_l,
        "litre": _litre(teller),
        "machines": machines,
    }


def first_levels_l(route: MachineRoute, answer: RouteAnswer) -> tuple[float, float]:
    """Solution and what is recovered when the machine leaves its place [L]."""
    still = route.legs[0].kind in (LegKind.DRIVE, LegKind.REVERSE)
    return (route.legs[0].solution_l, route.legs[0].recovered_l) if still else (answer.solution_tank_l, 0.0)


def _litre(teller: Teller) -> Json:
    unit = unit_of("tank_l")
    shown = (unit.us if teller.system is UnitSystem.US else unit.si) if unit else None
    # A tank of six gallons needs a decimal; a hundred litres do not.
    decimals = 1 if teller.system is UnitSystem.US else 0
    return {"factor": shown.factor if shown else 1.0, "label": teller.label("tank_l"), "decimals": decimals}


def leg_row(leg: Leg, plot: Plot, kind: int | None = None, wet_until_s: float | None = None) -> list[Json]:
    """One leg for the script.

    Parameters
    ----------
    kind
        As the script counts them; None for the leg's own.
    wet_until_s
        From when on the floor behind it dries, since the start [s]; None for the leg's end.
    """
    points = (leg.points_m - (plot.left_m, plot.top_m)) * (1, -1)
    flat: list[Json] = [round(value, 2) for value in points.ravel().tolist()]
    row: list[Json] = [
        KINDS.index(leg.kind) if kind is None else kind,
        round(leg.start_s, 1),
        round(leg.duration_s, 1),
        round(leg.solution_l, 1),
        round(leg.recovered_l, 1),
        leg.lane or 0,
        leg.block or 0,
        leg.stop or 0,
        flat,
    ]
    return row if wet_until_s is None else [*row, round(wet_until_s, 1)]


def _machine(route: MachineRoute, answer: RouteAnswer, legs: Sequence[Json]) -> Json:
    solution_l, recovered_l = first_levels_l(route, answer)
    blocks: list[Json] = [[block.number, round(block.start_s, 1), round(block.end_s, 1)] for block in route.blocks]
    stops: list[Json] = [[stop.number, round(stop.arrive_s, 1), round(stop.duration_s, 1)] for stop in route.stops]
    return {
        "number": route.machine,
        "end": round(route.total_time_s, 1),
        "first": {"solution": solution_l, "recovered": recovered_l},
        "legs": list(legs),
        "blocks": blocks,
        "stops": stops,
    }
