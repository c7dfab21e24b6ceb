"""Whether a pack asks for an equalising charge, how it is given, and when one that runs must stop."""

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce

from scrubwright.battery.cells import SpreadState
from scrubwright.battery.charge_left import charge_left_fraction
from scrubwright.battery.equalising import EqualiseLook, EqualiseVerdict, equalise_look
from scrubwright.battery.equalising_stop import EqualiseCall, EqualiseReading, equalise_stop
from scrubwright.battery.pack import Chemistry, Pack
from scrubwright.battery.visit import Event, Moment, Visit, check_visit_fits
from scrubwright.jobs import pack_cautions
from scrubwright.jobs.pack_answer import Step
from scrubwright.jobs.pack_cell_view import CellView, corrected_ratio
from scrubwright.jobs.pack_question import PackQuestion
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence


def equalising(question: PackQuestion, cells: CellView | None) -> EqualiseLook | None:
    """Whether the pack's story asks for an equalising charge, why and how; None where it does not.

    It does for a spread that is more than noise, work down to the end, charges cut short, or a charger that only holds
    a voltage; not on the strength of readings that cannot be compared yet.
    """
    if not question.is_flooded:
        return None
    visits = _since_equalising(question.of_this_pack)
    spread_ratio = None
    if cells is not None and cells.grid is not None and cells.state is SpreadState.EQUALISE:
        spread_ratio = cells.grid.range_ratio
    look = equalise_look(
        question.pack,
        question.charger,
        spread_ratio=spread_ratio,
        gravities_ratio=() if cells is None or not cells.is_after_charge else cells.gravities_ratio,
        deepest_fraction=_deepest(question.pack, visits),
        incomplete_charges=_cut_short(visits),
        charges_since=sum(visit.moment is Moment.CHARGED for visit in visits),
    )
    return look if look.verdict is EqualiseVerdict.EQUALISE else None


def equalising_step(look: EqualiseLook) -> Step:
    """The step where something else than a low cell asks for it."""
    reasons = reduce(lambda first, then: Sentence("{first} {then}", first=first, then=then), look.why)
    return Step(
        told=Sentence("Equalise after the next full charge. {reasons}", reasons=reasons),
        cautions=(*pack_cautions.equalising(), pack_cautions.makers_word()),
        how=look.steps,
    )


def equalising_call(
    pack: Pack, visits: Sequence[Visit], *, boils: bool = False, hot_cell: bool = False
) -> EqualiseCall:
    """Whether an equalising charge that runs must stop now.

    Parameters
    ----------
    pack
        A flooded one.
    visits
        The hourly readings, the first before the charger was switched on.
    boils, hot_cell
        Whether a person says so of the newest reading.

    Raises
    ------
    BadInput
        A pack that is never equalised, or readings that do not follow each other.
    """
    if pack.chemistry is not Chemistry.FLOODED:
        raise BadInput(
            "{pack} is {chemistry}: it must never be equalised. Leave its charger to its own programme.",
            pack=pack.name,
            chemistry=pack.chemistry,
        )
    in_order = sorted(visits, key=lambda visit: visit.at)
    readings = []
    for visit in in_order:
        check_visit_fits(pack, visit)
        readings.append(
            EqualiseReading(
                at_h=(visit.at - in_order[0].at).total_seconds() / 3600,
                gravities_ratio=corrected_ratio(pack, visit),
                electrolyte_k=visit.electrolyte_k,
            )
        )
    if readings:
        readings[-1] = replace(readings[-1], boils=boils, hot_cell=hot_cell)
    return equalise_stop(readings)


def _since_equalising(visits: tuple[Visit, ...]) -> tuple[Visit, ...]:
    done = [place for place, visit in enumerate(visits) if visit.event is Event.EQUALISED]
    return visits[done[-1] + 1 :] if done else visits


def _deepest(pack: Pack, visits: tuple[Visit, ...]) -> float | None:
    """The least charge left after work, by the median of the cells that were read."""
    if pack.family is None:
        return None
    left = []
    for visit in visits:
        gravities = sorted(each for each in corrected_ratio(pack, visit) if each is not None)
        if visit.moment is Moment.WORKED and gravities:
            left.append(float(charge_left_fraction(pack.family, gravities[len(gravities) // 2])))
    return min(left, default=None)


def _cut_short(visits: tuple[Visit, ...]) -> int:
    """How many charges in a row up to now began and were not seen to finish."""
    count = 0
    for visit in reversed(visits):
        if visit.plugged_in_at is None:
            continue
        if visit.finished_at is not None:
            break
        count += 1
    return count
