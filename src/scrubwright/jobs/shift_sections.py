"""Areas with people, closed section by section, and the waits that this asks for."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from scrubwright.floor.edges import deck_print
from scrubwright.floor.free_floor import as_multipolygon
from scrubwright.floor.sections import section_starts
from scrubwright.floor.site import FloorPlan
from scrubwright.jobs.route_answer import Block, LegKind, MachineRoute, RouteAnswer
from scrubwright.jobs.shift_answer import MachineShift, Section
from scrubwright.jobs.shift_loads import Hold


def section_holds(floor: FloorPlan, route: MachineRoute) -> tuple[Hold, ...]:
    """For the first lane of each section but the first that the section before in its area must be dry."""
    last_of: dict[str, tuple[Block, ...]] = {}
    found = []
    for section in _sections(floor, route):
        area = section[0].area
        if area in last_of:
            first, last = _scrubs(route, section)[0], _scrubs(route, last_of[area])[-1]
            found.append(Hold(leg=first, dries_from=last))
        last_of[area] = section
    return tuple(found)


def closed_sections(
    floor: FloorPlan, route: RouteAnswer, machines: Sequence[MachineShift], open_after_s: float
) -> tuple[Section, ...]:
    """Pieces of areas with people, closed from their first wet lane until their last is dry.

    Parameters
    ----------
    floor, route, machines
        The floor, the way, and how each machine goes along it.
    open_after_s
        How long after its last lane a section is opened [s].
    """
    found = []
    for machine, each in zip(machines, route.routes, strict=False):
        starts_s = machine.course.end_s - np.array([leg.duration_s for leg in each.legs])
        for section in _sections(floor, each):
            legs = _scrubs(each, section)
            lines = [shapely.LineString(each.legs[at].points_m) for at in legs]
            wet = shapely.union_all([deck_print(line, route.deck_width_m) for line in lines])
            found.append(
                Section(
                    name=section[0].area,
                    blocks=tuple(block.number for block in section),
                    close_s=float(starts_s[legs[0]]),
                    open_s=float(machine.course.end_s[legs[-1]]) + open_after_s,
                    outline=as_multipolygon(shapely.convex_hull(wet)),
                )
            )
    return tuple(sorted(found, key=lambda section: section.close_s))


def _sections(floor: FloorPlan, route: MachineRoute) -> list[tuple[Block, ...]]:
    """The blocks of each section, in driving order."""
    blocks = route.blocks
    people = [area.name for area in floor.areas if area.people]
    twice = [area.name for area in floor.areas if area.passes > 1]
    starts = section_starts([block.area for block in blocks], [block.start_s for block in blocks], people, twice)
    return [
        tuple(block for block in blocks[start:end] if block.area == blocks[start].area)
        for start, end in pairwise([*starts, len(blocks)])
    ]


def _scrubs(route: MachineRoute, section: Sequence[Block]) -> list[int]:
    """Places of the legs that wet a section."""
    numbers = {block.number for block in section}
    return [at for at, leg in enumerate(route.legs) if leg.kind is LegKind.SCRUB and leg.block in numbers]
