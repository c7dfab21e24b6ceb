"""The range that each figure of a plate must lie in, wide enough for any ride-on scrubber that exists."""

from dataclasses import dataclass, fields
from typing import Any

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """What a figure may be, in the unit that its name ends in; both ends are allowed."""

    least: float
    most: float


def _range(least: float, most: float) -> Range:
    return Range(least=least, most=most)


# Wide on purpose: they catch a slipped comma or a foot read as a metre, and turn down no real machine.
RANGES: dict[str, Range] = {
    "deck.scrub_width_m": _range(0.3, 2.5),
    "deck.ahead_of_rear_axle_m": _range(-1.0, 4.0),
    "deck.offset_m": _range(-0.5, 0.5),
    "deck.side_shift_m": _range(0.0, 0.5),
    "deck.overlap_m": _range(0.0, 0.5),
    "deck.side_brush_width_m": _range(0.05, 1.0),
    "pressure.down_force_kg": _range(1.0, 500.0),
    "pressure.brush_current_a": _range(1.0, 300.0),
    "squeegee.width_m": _range(0.3, 3.0),
    "squeegee.behind_rear_axle_m": _range(-2.0, 3.0),
    "squeegee.pivot_behind_rear_axle_m": _range(-3.0, 2.0),
    "squeegee.swing_rad": _range(0.01, 1.4),
    "body.length_m": _range(0.8, 5.0),
    "body.width_m": _range(0.4, 2.5),
    "body.height_m": _range(0.8, 3.0),
    "body.front_overhang_m": _range(-0.5, 2.0),
    "body.clearance_m": _range(0.0, 0.5),
    "steering.wheelbase_m": _range(0.5, 3.0),
    "steering.track_m": _range(0.2, 2.0),
    "steering.turning_radius_m": _range(0.0, 5.0),
    "steering.turning_aisle_m": _range(1.0, 10.0),
    "tanks.solution_l": _range(20.0, 1000.0),
    "tanks.recovery_l": _range(20.0, 1000.0),
    "tanks.usable_solution_fraction": _range(0.5, 1.0),
    "tanks.usable_recovery_fraction": _range(0.5, 1.0),
    "tanks.recovered_fraction": _range(0.5, 1.0),
    "flow.flow_l_per_min": _range(0.1, 20.0),
    "speeds.working_m_per_s": _range(0.2, 3.5),
    "speeds.transport_m_per_s": _range(0.3, 5.0),
    "speeds.reverse_m_per_s": _range(0.1, 2.5),
    "speeds.turning_m_per_s": _range(0.1, 2.5),
    "slopes.work_fraction": _range(0.0, 0.3),
    "slopes.transport_fraction": _range(0.0, 0.3),
    "slopes.park_fraction": _range(0.0, 0.3),
    "service.empty_min": _range(0.5, 60.0),
    "service.fill_l_per_min": _range(1.0, 200.0),
    "service.fill_min": _range(0.5, 120.0),
    "service.deck_cycle_s": _range(0.0, 60.0),
    "currents.vacuum_a": _range(1.0, 150.0),
    "currents.traction_level_a": _range(1.0, 300.0),
    "currents.pump_a": _range(0.0, 30.0),
    "currents.idle_a": _range(0.0, 20.0),
    "weight.mass_kg": _range(1.0, 3000.0),
    "weight.ahead_of_rear_axle_m": _range(-2.0, 4.0),
    "weight.height_m": _range(0.05, 2.5),
}


def quantity(name: str, value: float) -> Sentence:
    """A number as a sentence of its own, so that each reader sees it in their units.

    Raises
    ------
    BadInput
        No figure of a plate is measured in the unit that `name` ends in.

    Notes
    -----
    **Source** ours; each unit has a literal template so that the word lists stay complete.
    """
    for suffix, said in (
        ("_l_per_min", Sentence("{flow_l_per_min}", flow_l_per_min=value)),
        ("_m_per_s", Sentence("{speed_m_per_s}", speed_m_per_s=value)),
        ("_rev_per_min", Sentence("{rotation_rev_per_min}", rotation_rev_per_min=value)),
        ("_fraction", Sentence("{share_fraction}", share_fraction=value)),
        ("_rad", Sentence("{angle_rad}", angle_rad=value)),
        ("_min", Sentence("{time_min}", time_min=value)),
        ("_kg", Sentence("{mass_kg}", mass_kg=value)),
        ("_h", Sentence("{time_h}", time_h=value)),
        ("_a", Sentence("{current_a}", current_a=value)),
        ("_l", Sentence("{volume_l}", volume_l=value)),
        ("_m", Sentence("{length_m}", length_m=value)),
        ("_s", Sentence("{time_s}", time_s=value)),
    ):
        if name.endswith(suffix):
            return said
    raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=name)


def outside(path: str, value: float, called: str = "") -> BadInput | None:
    """What is wrong with a figure, or None where it lies in its range.

    Parameters
    ----------
    path
        Where `RANGES` holds it, e.g. "deck.scrub_width_m".
    value
        The figure, in the unit that `path` ends in.
    called
        What the person who gave it calls it, where that is not `path`.
    """
    allowed = RANGES[path]
    if allowed.least <= value <= allowed.most:
        return None
    return BadInput(
        "{field} is {given}; a ride-on scrubber has from {least} to {most}. Check the number and its unit.",
        field=called or path,
        given=quantity(path, value),
        least=quantity(path, allowed.least),
        most=quantity(path, allowed.most),
    )


def check(part: str, record: Any) -> None:
    """Check every figure of a record against its range.

    Parameters
    ----------
    part
        The name under which `RANGES` holds the figures of this record, e.g. "deck".
    record
        A dataclass of this room; a figure that is None is not given and not checked.

    Raises
    ------
    BadInput
        A figure lies outside its range or is not a number.
    """
    for each in fields(record):
        value = getattr(record, each.name)
        path = f"{part}.{each.name}"
        if path in RANGES and value is not None:
            problem = outside(path, value)
            if problem is not None:
                raise problem
