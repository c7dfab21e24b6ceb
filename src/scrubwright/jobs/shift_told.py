"""What a shift's answer says in words: why, what to watch, and where the numbers come from."""

from scrubwright.battery.temperature import COLDEST_K
from scrubwright.floor.site import FloorPlan
from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.shift_answer import Chance, Limit, MachineShift, ShiftAnswer
from scrubwright.jobs.shift_question import MachineTonight, Rate, ShiftQuestion
from scrubwright.machine.draws import pressure_step
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence


def why_of(
    question: ShiftQuestion,
    machines: tuple[MachineShift, ...],
    chance: Chance,
    limit: Limit,
    finish_s: float,
    dry_s: float,
    late_areas: tuple[str, ...] = (),
) -> Sentence:
    """The one line that a person can say aloud.

    Parameters
    ----------
    question
        What was asked.
    machines, chance
        How the shift goes, planned and drawn.
    limit
        What ends the planned shift too early.
    finish_s, dry_s
        Last machine home, and last floor dry [s since the start].
    late_areas
        Areas that are still wet when their hours end.
    """
    least = min(machine.end_charge_fraction for machine in machines)
    if limit is Limit.CHARGE and least >= question.settings.reserve_fraction:
        return Sentence(
            "The lock-out acts before the work is done, with {end_fraction} of the charge still in the pack: under "
            "this load its voltage falls too low.",
            end_fraction=least,
        )
    if limit is Limit.CHARGE:
        return Sentence(
            "The charge does not last: {end_fraction} would be left, and {reserve_fraction} must be.",
            end_fraction=max(least, 0.0),
            reserve_fraction=question.settings.reserve_fraction,
        )
    if limit is Limit.RAMP:
        return Sentence("The pack gives out on a ramp. Never send it there so empty.")
    if limit is Limit.CLOCK and dry_s <= question.window_s and late_areas:
        return Sentence("{area} is still wet when its hours end; start earlier, or leave it out.", area=late_areas[0])
    if limit is Limit.CLOCK:
        return Sentence(
            "The last floor is dry {late_s} too late; the machine is done after {finish_s}.",
            late_s=max(dry_s - question.window_s, 0.0),
            finish_s=finish_s,
        )
    spare_s = max(question.window_s - dry_s, 0.0)
    if chance.chance_fraction >= 0.9:
        return Sentence(
            "Done after {finish_s}, dry {spare_s} before it must be, with {end_fraction} of the charge left.",
            finish_s=finish_s,
            spare_s=spare_s,
            end_fraction=least,
        )
    return Sentence(
        "As planned it is dry {spare_s} before it must be with {end_fraction} left, but a usual night differs: what "
        "fails first is the {limit}.",
        spare_s=spare_s,
        end_fraction=least,
        limit=chance.first_limit,
    )


def cautions_of(
    question: ShiftQuestion, route: RouteAnswer, machines: tuple[MachineShift, ...]
) -> tuple[Sentence, ...]:
    """What holds for the whole shift, besides the cautions of the route."""
    found = [
        Sentence(
            "Put out signs and close each section before it is wet; open it when it is dry to the touch, not when the "
            "clock says so."
        ),
        Sentence("Where the display shows less charge than the sheet, stop at the next drain and plan again."),
        Sentence("Never bridge the low-voltage lock-out to get a last lane done."),
    ]
    if any(machine.charged_ah > 0 for machine in machines):
        found.append(
            Sentence(
                "Charging on the way: brake set, key off, covers open, no flame or spark near; charger off before the "
                "lead moves."
            )
        )
    if any(
        machine.electrolyte_k is not None and machine.electrolyte_k < COLDEST_K + 14 for machine in question.machines
    ):
        found.append(
            Sentence("The pack is cold: it gives less than its label, and less than this where it cools further.")
        )
    if _has_double(route.plan):
        found.append(
            Sentence(
                "Double scrub: nobody walks on the solution while it acts, and it must not dry. Follow its label for "
                "gloves, eyes and rinsing."
            )
        )
    return tuple(found)


def _has_double(plan: FloorPlan) -> bool:
    return any(area.passes == 2 for area in plan.areas)


def provenance_of(answer: ShiftAnswer, machine: MachineTonight) -> tuple[Sourced, ...]:
    """Every number of the shift with where it comes from; those of the route stand with the route."""
    chance = answer.chance
    plate, rates = machine.plate, machine.rates
    step = pressure_step(plate, answer.question.settings.pressure)
    seconds = Sentence("worked out from route, pauses and this machine's own rates")
    drawn = Sentence("{samples} drawn shifts", samples=chance.samples)
    end = min(each.end_charge_fraction for each in answer.machines)
    figures = [
        Sourced(
            name="chance_fraction",
            value=chance.chance_fraction,
            origin=Origin.ESTIMATE,
            detail=drawn,
            low=max(chance.chance_fraction - 2 * chance.error_fraction, 0.0),
            high=min(chance.chance_fraction + 2 * chance.error_fraction, 1.0),
        ),
        _banded("finish_s", max(each.finish_s for each in answer.machines), chance.finish_s, seconds),
        _banded("end_charge_fraction", end, chance.end_charge_fraction, Sentence("two wells, worked leg by leg")),
        Sourced(
            name="drying_s",
            value=answer.dry_s[1],
            origin=Origin.PUBLISHED,
            detail=Sentence("evaporation from a wet surface, at the air that was given"),
            low=answer.dry_s[0],
            high=answer.dry_s[2],
        ),
        Sourced(
            name="charge_at_start_fraction",
            value=machine.charge_fraction,
            origin=Origin.MEASURED,
            detail=Sentence("as given for tonight"),
        ),
        Sourced(
            name="brush_a",
            value=step.brush_current_a,
            origin=plate.origin("pressure.brush_current_a"),
            detail=Sentence('brushes at pressure "{name}"', name=step.name),
        ),
    ]
    figures += [
        _rate(name, label, rate)
        for name, label, rate in (
            ("scrubbing_ratio", Sentence("time with the deck down over the plate's"), rates.scrubbing),
            ("driving_ratio", Sentence("time with the deck up over the planned"), rates.driving),
            ("water_ratio", Sentence("solution used over the plate's"), rates.water),
            ("current_ratio", Sentence("current drawn over the plate's"), rates.current),
            ("stops_ratio", Sentence("time of a stop over the plate's"), rates.stops),
        )
    ]
    return tuple(figures)


def _banded(name: str, value: float, band: tuple[float, float, float], detail: Sentence) -> Sourced:
    return Sourced(
        name=name,
        value=value,
        origin=Origin.ESTIMATE,
        detail=detail,
        low=min(band[0], value),
        high=max(band[2], value),
    )


def _rate(name: str, label: Sentence, rate: Rate) -> Sourced:
    detail = Sentence("{label}, from {shifts} logged shifts", label=label, shifts=rate.shifts)
    return Sourced(name=name, value=rate.factor_ratio, origin=rate.origin, detail=detail if rate.shifts else label)
