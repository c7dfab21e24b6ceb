"""What a driver must watch, each caution with the steps of the way where it bites."""

from collections.abc import Iterator, Sequence

import shapely

from scrubwright.floor.site import FloorPlan
from scrubwright.jobs.route_answer import Bites, Caution, LegKind, MachineRoute
from scrubwright.machine.plate import Plate
from scrubwright.measures.sentence import Sentence

# Of a route alone; a shift counts the charge.
CHARGE_NOT_COUNTED = Sentence(
    "This answer does not look at the charge: make sure that the pack lasts the time before you start."
)


# A shift says it of its sections.
CLOSE_TO_PEOPLE = Sentence(
    "Close each section to people and put out signs before it is wet; open it when it is dry to the touch."
)


def cautions_for(plan: FloorPlan, plate: Plate, routes: Sequence[MachineRoute]) -> tuple[Caution, ...]:
    """The usual cautions of the trade, each where it bites.

    Parameters
    ----------
    plan, plate
        The floor and the machine.
    routes
        The way of each machine; the caution for ramps names the blocks where it meets one.

    Notes
    -----
    **Source** common practice.
    """
    found = [
        Caution(
            told=CLOSE_TO_PEOPLE,
            bites=Bites.START,
        ),
        Caution(
            told=CHARGE_NOT_COUNTED,
            bites=Bites.START,
        ),
        Caution(
            told=Sentence(
                "Shut the solution off {run_out_m} before a lane ends at a wall: the squeegee follows that far "
                "behind the deck.",
                run_out_m=plate.deck.ahead_of_rear_axle_m + plate.squeegee.behind_rear_axle_m,
            ),
            bites=Bites.LANES,
        ),
        Caution(
            told=Sentence("Sewer drains only, as local rules say; never a storm drain or soil."), bites=Bites.STOPS
        ),
    ]
    sloping = tuple(sorted({block for route in routes for block in _blocks_on_ramps(plan, route)}))
    if sloping:
        found.append(
            Caution(
                told=Sentence(
                    "Ramp: straight up or down, never across, never turn on it; walking pace, tanks as empty as "
                    "the work allows, nobody below."
                ),
                bites=Bites.BLOCKS,
                blocks=sloping,
            )
        )
    return tuple(found)


def _blocks_on_ramps(plan: FloorPlan, route: MachineRoute) -> Iterator[int]:
    """The blocks whose lanes, or whose way there, meet a ramp; the last block stands for the way home."""
    if not plan.ramps or not route.blocks:
        return
    ramps = shapely.union_all([ramp.outline for ramp in plan.ramps])
    shapely.prepare(ramps)
    waiting = False
    for leg in route.legs:
        line = shapely.LineString(leg.points_m) if len(leg.points_m) > 1 else shapely.Point(leg.points_m[0])
        waiting = waiting or (leg.kind is not LegKind.STOP and bool(ramps.intersects(line)))
        if waiting and leg.block is not None:
            yield leg.block
            waiting = False
    if waiting:
        yield route.blocks[-1].number
