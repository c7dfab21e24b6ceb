"""The figures of a plate that people ask for first, each with where it comes from."""

from scrubwright.machine.plate import Plate
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence


def main_figures(plate: Plate) -> tuple[Sourced, ...]:
    """What decides where a machine fits, how it turns, how fast it goes and what it carries.

    The detail of each says in a few words what it is.
    """
    return _widths(plate) + _turning(plate) + _speeds_and_slopes(plate) + _tanks_and_stops(plate)


def _given(plate: Plate, path: str, value: float, detail: Sentence) -> Sourced:
    return Sourced(name=path.rpartition(".")[2], value=value, origin=plate.origin(path), detail=detail)


def _worked_out(name: str, value: float, detail: Sentence) -> Sourced:
    return Sourced(name=name, value=value, origin=Origin.ESTIMATE, detail=detail)


def _widths(plate: Plate) -> tuple[Sourced, ...]:
    deck, body = plate.deck, plate.body
    return (
        _given(plate, "deck.scrub_width_m", deck.scrub_width_m, Sentence("Scrubbed width")),
        _given(plate, "deck.overlap_m", deck.overlap_m, Sentence("Overlap of lanes")),
        _worked_out("widest_m", plate.widest_m, Sentence("Widest point, squeegee included")),
        _given(plate, "body.clearance_m", body.clearance_m, Sentence("Gap kept on each side")),
        _given(plate, "body.length_m", body.length_m, Sentence("Length")),
        _given(plate, "body.height_m", body.height_m, Sentence("Height")),
    )


def _turning(plate: Plate) -> tuple[Sourced, ...]:
    steering = plate.steering
    quoted_m = steering.turning_aisle_m
    aisle = Sentence("Aisle for turning round in one go")
    radius = Sentence("Least radius of the rear axle's middle")
    return (
        _given(plate, "steering.turning_aisle_m", quoted_m, aisle)
        if quoted_m is not None and quoted_m >= plate.turning_aisle_m
        else _worked_out("turning_aisle_m", plate.turning_aisle_m, aisle),
        _given(plate, "steering.turning_radius_m", steering.turning_radius_m, radius)
        if steering.turning_radius_m is not None
        else _worked_out("turning_radius_m", plate.turning_radius_m, radius),
        _worked_out(
            "scrubbing_radius_m", plate.scrubbing_radius_m, Sentence("Least radius that leaves no water behind")
        ),
        _worked_out("tail_swing_m", plate.tail_swing_m, Sentence("Squeegee swings out in the tightest turn by")),
    )


def _speeds_and_slopes(plate: Plate) -> tuple[Sourced, ...]:
    speeds, slopes = plate.speeds, plate.slopes
    return (
        _given(plate, "speeds.working_m_per_s", speeds.working_m_per_s, Sentence("Speed while scrubbing")),
        _given(plate, "speeds.transport_m_per_s", speeds.transport_m_per_s, Sentence("Speed with everything up")),
        _given(plate, "speeds.reverse_m_per_s", speeds.reverse_m_per_s, Sentence("Speed backwards")),
        _given(plate, "speeds.turning_m_per_s", speeds.turning_m_per_s, Sentence("Speed in turns")),
        _given(plate, "slopes.work_fraction", slopes.work_fraction, Sentence("Steepest slope for scrubbing")),
        _given(plate, "slopes.transport_fraction", slopes.transport_fraction, Sentence("Steepest slope for driving")),
        _given(plate, "slopes.park_fraction", slopes.park_fraction, Sentence("Steepest slope for parking")),
    )


def _tanks_and_stops(plate: Plate) -> tuple[Sourced, ...]:
    tanks, service = plate.tanks, plate.service
    return (
        _given(plate, "tanks.solution_l", tanks.solution_l, Sentence("Solution tank")),
        _given(plate, "tanks.recovery_l", tanks.recovery_l, Sentence("Recovery tank")),
        _given(
            plate, "tanks.recovered_fraction", tanks.recovered_fraction, Sentence("Share of solution that comes back")
        ),
        _given(plate, "flow.flow_l_per_min", plate.flow.flow_l_per_min, Sentence("Solution flow in use")),
        _given(plate, "service.empty_min", service.empty_min, Sentence("To empty and rinse")),
        _given(plate, "service.fill_l_per_min", service.fill_l_per_min, Sentence("Flow of the fill hose")),
    )
