"""What a plate file says, for the terminal: the verdict first, then what to mend, then the main figures."""

import textwrap
from collections.abc import Sequence

from scrubwright.machine.main_figures import main_figures
from scrubwright.machine.plate import Plate
from scrubwright.machine.rates import theoretical_rate_m2_per_h
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.plates import PlateReading
from scrubwright.paperwork.wording import Teller
from scrubwright.water.flow import area_per_tank_m2, dose_l_per_m2
from scrubwright.water.tanks import TankPair

WIDTH = 80


def plate_text(reading: PlateReading, file: str, teller: Teller) -> str:
    """The whole answer about one plate file.

    Parameters
    ----------
    reading
        What the file says.
    file
        Its name.
    teller
        Who tells it.
    """
    words = teller.words
    if reading.plate is None:
        count = len(reading.missing) + len(reading.wrong)
        parts = [words("{file} cannot be used yet. Things to mend: {count}.", file=file, count=count)]
    else:
        parts = [words("{file} can be used: {name}.", file=file, name=reading.plate.name)]
    parts += _listed(words("To mend"), reading.wrong, teller)
    parts += _listed(words("Still missing"), reading.missing, teller)
    if reading.plate is not None:
        parts.append(_table(main_figures(reading.plate) + water_figures(reading.plate), teller))
    parts += _listed(words("Taken as common practice"), reading.assumed, teller)
    return "\n\n".join(parts) + "\n"


def water_figures(plate: Plate) -> tuple[Sourced, ...]:
    """Dose, and how far a tank goes, at the flow in use."""
    pitch_m = plate.deck.scrub_width_m - plate.deck.overlap_m
    moving_rate_m2_per_h = theoretical_rate_m2_per_h(pitch_m, plate.speeds.working_m_per_s)
    dose = dose_l_per_m2(plate.flow.flow_l_per_min, moving_rate_m2_per_h)
    trip_l = tank_pair(plate).trip_l
    return (
        _worked_out("moving_rate_m2_per_h", moving_rate_m2_per_h, Sentence("Floor in an hour of moving, overlap off")),
        _worked_out("dose_l_per_m2", dose, Sentence("Solution on the floor")),
        _worked_out("trip_l", trip_l, Sentence("Solution between two stops")),
        _worked_out("area_per_tank_m2", area_per_tank_m2(trip_l, dose), Sentence("Floor between two stops")),
    )


def tank_pair(plate: Plate) -> TankPair:
    """The tanks of a plate as the room `water` takes them."""
    tanks = plate.tanks
    return TankPair(
        solution_l=tanks.solution_l,
        recovery_l=tanks.recovery_l,
        usable_solution_l=tanks.usable_solution_l,
        usable_recovery_l=tanks.usable_recovery_l,
        recovered_fraction=tanks.recovered_fraction,
    )


def _worked_out(name: str, value: float, detail: Sentence) -> Sourced:
    return Sourced(name=name, value=value, origin=Origin.ESTIMATE, detail=detail)


def _table(figures: Sequence[Sourced], teller: Teller) -> str:
    rows = [
        (teller.tell(each.detail), teller.number(each.name, each.value), teller.words(each.origin)) for each in figures
    ]
    first, second = (max(len(row[column]) for row in rows) for column in (0, 1))
    return "\n".join(f"  {what:<{first}}  {number:>{second}}  {origin}" for what, number, origin in rows)


def _listed(title: str, sentences: Sequence[Sentence], teller: Teller) -> list[str]:
    if not sentences:
        return []
    lines = [f"{title}:"]
    for sentence in sentences:
        lines += textwrap.wrap(teller.tell(sentence), WIDTH, initial_indent="  - ", subsequent_indent="    ")
    return ["\n".join(lines)]
